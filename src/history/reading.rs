//! Readings of the history as everything downstream receives them, always in the same order.

use super::columns::{contradiction, day, doubt_now, from_json, past_doubt, status_now, word, word_or_none};
use super::{History, Result};
use crate::place::Place;
use crate::soil::{Analyte, Basis, Doubt, Method, Qualifier, ReadingRow, Status};
use rusqlite::{Connection, Row};

/// Which readings are asked for; the default is all of them.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Filter {
    /// Of one site alone; an empty id asks for readings without a site.
    pub site: Option<String>,
    /// With one of these standings alone; empty asks for all.
    pub statuses: Vec<Status>,
    /// Of one original alone.
    pub sha256: Option<String>,
}

impl Filter {
    /// The readings of a site that count: accepted and corrected.
    pub fn counting(site: &str) -> Self {
        Self {
            site: Some(site.to_owned()),
            statuses: vec![Status::Accepted, Status::Corrected],
            sha256: None,
        }
    }
}

/// A reading that waits for a person, with all that speaks for and against it.
#[derive(Debug, Clone, PartialEq)]
pub struct HeldReading {
    /// The reading.
    pub row: ReadingRow,
    /// Key of its sample, for assigning a site.
    pub sample_id: i64,
    /// Why it is held, with competing readings.
    pub doubts: Vec<Doubt>,
    /// What confirms it.
    pub witnesses: Vec<String>,
}

pub(super) const COLUMNS: &str = concat!("SELECT r.id, coalesce(s.site, ''), s.zone, coalesce(w.client, p.client), s.label, s.lab_number, p.number, p.lab,
    coalesce(s.sampled_on, s.dated_on), p.received_on, p.reported_on, s.season, s.depth_top_cm, s.depth_bottom_cm,
    coalesce(t.analyte, r.analyte), coalesce(t.method, r.method), coalesce(t.value, r.value),
    iif(t.reading_id IS NULL, r.basis, t.basis), iif(t.reading_id IS NULL, r.qualifier, t.qualifier),
    r.raw_value, r.raw_unit,
    iif(s.superseded_by IS NULL, ", status_now!(), ", 'rejected'),
    CASE WHEN s.superseded_by IS NOT NULL THEN 'superseded by ' || e.source_file
         ELSE ", doubt_now!(), " END,
    d.source_file, d.sha256, r.place, s.id, r.doubts, r.witnesses,
    (SELECT a.witness FROM past a WHERE a.reading_id = r.id)
    FROM samples s
    JOIN reports p ON p.id = s.report_id
    JOIN documents d ON d.id = p.document_id
    JOIN readings r ON r.sample_id = s.id
    LEFT JOIN standing t ON t.reading_id = r.id
    LEFT JOIN sites w ON w.id = s.site
    LEFT JOIN samples n ON n.id = (SELECT coalesce(x.duplicate_of, x.id) FROM samples x WHERE x.id = s.superseded_by)
    LEFT JOIN reports o ON o.id = n.report_id
    LEFT JOIN documents e ON e.id = o.document_id
    WHERE s.duplicate_of IS NULL ");

/// By what the originals say alone, so that it does not matter when they came; within a sample as printed.
const ORDER: &str =
    " ORDER BY coalesce(s.site, ''), s.zone, s.season, coalesce(s.sampled_on, s.dated_on, p.received_on, p.reported_on),
    p.lab, p.number, d.sha256, p.ordinal, s.ordinal, r.ordinal";

/// One year and one client after the other; no year and no client come first.
const BY_YEAR_AND_CLIENT: &str = " ORDER BY s.season, coalesce(w.client, p.client), ";

impl History {
    /// Hands on every reading, year by year and client by client, within these in the order of [`History::readings`].
    /// One statement sees one state of the history, however long it takes; no more than a row is in memory here.
    ///
    /// # Errors
    /// What the store says, or who takes them.
    pub fn each_by_year_and_client<E: From<super::Error>>(
        &self,
        take: impl FnMut(ReadingRow) -> std::result::Result<(), E>,
    ) -> std::result::Result<(), E> {
        let order = ORDER.replace(" ORDER BY ", BY_YEAR_AND_CLIENT);
        each(&self.connection, &format!("{COLUMNS} {order}"), take)
    }

    /// Hands on every reading, in the order of [`History::readings`], as [`History::each_by_year_and_client`] does.
    ///
    /// # Errors
    /// What the store says, or who takes them.
    pub fn each_reading<E: From<super::Error>>(
        &self,
        take: impl FnMut(ReadingRow) -> std::result::Result<(), E>,
    ) -> std::result::Result<(), E> {
        each(&self.connection, &format!("{COLUMNS} {ORDER}"), take)
    }

    /// The readings asked for, in stable order. Readings of a duplicate are left out; those of a superseded report are
    /// there as rejected.
    ///
    /// # Errors
    /// What the store says.
    pub fn readings(&self, filter: &Filter) -> Result<Vec<ReadingRow>> {
        let mut rows = Vec::new();
        select(&self.connection, filter, |held| rows.push(held.row))?;
        Ok(rows)
    }

    /// One reading, with all that speaks for and against it; none for a key that is not there, or one of a duplicate.
    ///
    /// # Errors
    /// What the store says.
    pub fn reading(&self, key: i64) -> Result<Option<HeldReading>> {
        let mut statement = self.connection.prepare_cached(&format!("{COLUMNS} AND r.id = ?1"))?;
        let mut rows = statement.query([key])?;
        rows.next()?.map(read).transpose()
    }

    /// What the history knows of a site, for checks of the next report: the readings that count.
    ///
    /// # Errors
    /// What the store says.
    pub fn past_for(&self, site: &str) -> Result<Vec<ReadingRow>> {
        self.readings(&Filter::counting(site))
    }

    /// What waits for a person, in stable order.
    ///
    /// # Errors
    /// What the store says.
    pub fn held(&self) -> Result<Vec<HeldReading>> {
        let mut rows = Vec::new();
        let filter = Filter { statuses: vec![Status::Held], ..Filter::default() };
        select(&self.connection, &filter, |held| rows.push(held))?;
        Ok(rows)
    }
}

/// Hands on the readings of a statement without parameters, row by row.
fn each<E: From<super::Error>>(
    connection: &Connection,
    statement: &str,
    mut take: impl FnMut(ReadingRow) -> std::result::Result<(), E>,
) -> std::result::Result<(), E> {
    let store = |error: rusqlite::Error| E::from(error.into());
    let mut statement = connection.prepare(statement).map_err(store)?;
    let mut rows = statement.query([]).map_err(store)?;
    while let Some(row) = rows.next().map_err(store)? {
        take(read(row)?.row)?;
    }
    Ok(())
}

fn select(connection: &Connection, filter: &Filter, mut take: impl FnMut(HeldReading)) -> Result<()> {
    let sql = statement(filter);
    let mut statement = connection.prepare_cached(&sql)?;
    let site = filter.site.clone().unwrap_or_default();
    let sha256 = filter.sha256.clone().unwrap_or_default();
    let mut rows = statement.query([site, sha256])?;
    while let Some(row) = rows.next()? {
        let held = read(row)?;
        if filter.statuses.is_empty() || filter.statuses.contains(&held.row.status) {
            take(held);
        }
    }
    Ok(())
}

/// One statement a kind of question, so that each finds its index.
pub(super) fn statement(filter: &Filter) -> String {
    let site = match filter.site.as_deref() {
        None => "AND ?1 = ''",
        Some("") => "AND s.site IS NULL AND ?1 = ''",
        Some(_) => "AND s.site = ?1",
    };
    let document = if filter.sha256.is_some() { "AND d.sha256 = ?2" } else { "AND ?2 = ''" };
    // What waits is little beside a history of decades, so it is found by its own indexes.
    let held = if filter.statuses == [Status::Held] {
        "AND r.id IN (SELECT id FROM readings WHERE status = 'held' UNION SELECT reading_id FROM standing WHERE status = 'held'
            UNION SELECT reading_id FROM contradictions UNION SELECT reading_id FROM past WHERE doubt IS NOT NULL)"
    } else {
        ""
    };
    format!("{COLUMNS} {site} {document} {held} {ORDER}")
}

pub(super) fn read(row: &Row<'_>) -> Result<HeldReading> {
    let text = |at: usize| row.get::<_, String>(at);
    let maybe = |at: usize| row.get::<_, Option<String>>(at);
    let place: Option<Place> = maybe(25)?.map(|place| from_json(&place)).transpose()?;
    Ok(HeldReading {
        row: ReadingRow {
            id: row.get(0)?,
            site: text(1)?,
            zone: text(2)?,
            client: maybe(3)?,
            sample_label: text(4)?,
            lab_sample: maybe(5)?,
            report: maybe(6)?,
            lab: maybe(7)?,
            sampled_on: day(maybe(8)?)?,
            received_on: day(maybe(9)?)?,
            reported_on: day(maybe(10)?)?,
            season: row.get(11)?,
            depth_top_cm: row.get(12)?,
            depth_bottom_cm: row.get(13)?,
            analyte: word("analyte", &text(14)?, Analyte::from_id)?,
            method: word("method", &text(15)?, Method::from_id)?,
            value: row.get(16)?,
            basis: word_or_none("basis", maybe(17)?, Basis::from_id)?,
            qualifier: word_or_none("qualifier", maybe(18)?, Qualifier::from_id)?,
            raw_value: text(19)?,
            raw_unit: text(20)?,
            status: word("status", &text(21)?, Status::from_id)?,
            doubt: maybe(22)?,
            source_file: text(23)?,
            source_sha256: text(24)?,
            place,
        },
        sample_id: row.get(26)?,
        doubts: from_json(&text(27)?)?,
        witnesses: from_json::<Vec<String>>(&text(28)?)?.into_iter().chain(maybe(29)?).collect(),
    })
}
