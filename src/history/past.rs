//! What a site's earlier seasons say of the later ones, made anew whenever the site's numbers change.
//!
//! The answer stands beside what was read and follows from the site's rows alone, so it does not matter in which order
//! its reports came.

use super::columns::{contradiction, status_alone, word, word_or_none};
use super::{Result, site};
use crate::check::{self, Before};
use crate::place::Place;
use crate::soil::{Analyte, Basis, Method, Qualifier, Quantity, Reading, Sample, Status};
use rusqlite::{Connection, params};
use std::collections::BTreeMap;

/// Reading, what speaks against it, what speaks for it.
type Says = BTreeMap<i64, (Option<String>, Option<String>)>;

/// A reading of the site as it stands without its past.
struct Row {
    id: i64,
    sample: i64,
    zone: String,
    season: i16,
    analyte: Analyte,
    method: Method,
    quantity: Quantity,
    status: Status,
    decided: bool,
}

/// Renews what the past says for every site whose numbers changed since the last time.
pub(super) fn renew(connection: &Connection) -> Result<()> {
    let mut statement = connection.prepare_cached(CHANGED)?;
    let sites =
        statement.query_map([], |row| row.get::<_, String>(0))?.collect::<rusqlite::Result<Vec<_>>>()?;
    if sites.is_empty() {
        return Ok(());
    }
    for site in &sites {
        renew_site(connection, site)?;
    }
    connection
        .prepare_cached(
            "INSERT INTO passes (purpose, change) SELECT 'past', max(change) FROM site_changes WHERE true
             ON CONFLICT (purpose) DO UPDATE SET change = excluded.change",
        )?
        .execute([])?;
    Ok(())
}

pub(super) const CHANGED: &str = "SELECT site FROM site_changes INDEXED BY site_changes_by_change
    WHERE change > coalesce((SELECT change FROM passes WHERE purpose = 'past'), 0) ORDER BY site";

fn renew_site(connection: &Connection, site: &str) -> Result<()> {
    let now = says(&rows(connection, site)?);
    let before = stored(connection, site)?;
    if now == before {
        return Ok(());
    }
    for id in before.keys().filter(|id| !now.contains_key(id)) {
        connection.prepare_cached("DELETE FROM past WHERE reading_id = ?1")?.execute([id])?;
    }
    for (id, (doubt, witness)) in now.iter().filter(|(id, said)| before.get(id) != Some(said)) {
        connection
            .prepare_cached(
                "INSERT INTO past (reading_id, doubt, witness) VALUES (?1, ?2, ?3)
                 ON CONFLICT (reading_id) DO UPDATE SET doubt = excluded.doubt, witness = excluded.witness",
            )?
            .execute(params![id, doubt, witness])?;
    }
    site::changed(connection, site)
}

/// Season by season, since what an earlier season's doubts hold back is no measure for a later one.
fn says(rows: &[Row]) -> Says {
    let mut said = Says::new();
    for zone in rows.chunk_by(|a, b| a.zone == b.zone) {
        let mut latest: BTreeMap<(Analyte, Method), f64> = BTreeMap::new();
        for season in zone.chunk_by(|a, b| a.season == b.season) {
            let before: Vec<Before> = latest
                .iter()
                .map(|((analyte, method), value)| Before {
                    analyte: *analyte,
                    method: *method,
                    value: *value,
                })
                .collect();
            for sample in season.chunk_by(|a, b| a.sample == b.sample) {
                against(sample, &before, &mut said);
            }
            for row in season {
                let doubted = !row.decided && said.get(&row.id).is_some_and(|(doubt, _)| doubt.is_some());
                if row.status.counts() && !doubted && row.quantity.qualifier.is_none() {
                    latest.insert((row.analyte, row.method), row.quantity.value);
                }
            }
        }
    }
    said
}

fn against(rows: &[Row], before: &[Before], said: &mut Says) {
    if before.is_empty() {
        return;
    }
    let readings = rows.iter().map(|row| Reading {
        analyte: row.analyte,
        method: row.method,
        quantity: row.quantity,
        printed: Default::default(),
        place: Place::Cell { sheet: 1, row: 1, column: 1 },
        witnesses: Vec::new(),
        doubts: Vec::new(),
    });
    let mut sample = Sample { readings: readings.collect(), ..Sample::default() };
    check::against_past(&mut sample, before);
    for (row, reading) in rows.iter().zip(&sample.readings) {
        let doubts: Vec<&str> = reading.doubts.iter().map(|doubt| doubt.sentence.as_str()).collect();
        let doubt = (!doubts.is_empty()).then(|| doubts.join(" "));
        let witness = reading.witnesses.first().cloned();
        if doubt.is_some() || witness.is_some() {
            said.insert(row.id, (doubt, witness));
        }
    }
}

fn rows(connection: &Connection, site: &str) -> Result<Vec<Row>> {
    let mut statement = connection.prepare_cached(concat!(
        "SELECT r.id, s.id, s.zone, s.season, coalesce(t.analyte, r.analyte), coalesce(t.method, r.method),
            coalesce(t.value, r.value), iif(t.reading_id IS NULL, r.basis, t.basis),
            iif(t.reading_id IS NULL, r.qualifier, t.qualifier), ",
        status_alone!(),
        ", coalesce(t.decided, 0)
         FROM samples s JOIN reports p ON p.id = s.report_id JOIN documents d ON d.id = p.document_id
         JOIN readings r ON r.sample_id = s.id LEFT JOIN standing t ON t.reading_id = r.id
         WHERE s.site = ?1 AND s.duplicate_of IS NULL AND s.superseded_by IS NULL AND s.season IS NOT NULL
         ORDER BY s.zone, s.season, coalesce(s.sampled_on, p.received_on, p.reported_on), p.lab, p.number, d.sha256,
            p.ordinal, s.ordinal, r.ordinal"
    ))?;
    let mut found = Vec::new();
    let mut rows = statement.query([site])?;
    while let Some(row) = rows.next()? {
        let status = word("status", &row.get::<_, String>(9)?, Status::from_id)?;
        if status == Status::Rejected {
            continue;
        }
        let analyte = word("analyte", &row.get::<_, String>(4)?, Analyte::from_id)?;
        found.push(Row {
            id: row.get(0)?,
            sample: row.get(1)?,
            zone: row.get(2)?,
            season: row.get(3)?,
            analyte,
            method: word("method", &row.get::<_, String>(5)?, Method::from_id)?,
            quantity: Quantity {
                value: row.get(6)?,
                unit: analyte.unit(),
                basis: word_or_none("basis", row.get(7)?, Basis::from_id)?,
                qualifier: word_or_none("qualifier", row.get(8)?, Qualifier::from_id)?,
            },
            status,
            decided: row.get(10)?,
        });
    }
    Ok(found)
}

fn stored(connection: &Connection, site: &str) -> Result<Says> {
    let mut statement = connection.prepare_cached(
        "SELECT a.reading_id, a.doubt, a.witness FROM samples s JOIN readings r ON r.sample_id = s.id
         JOIN past a ON a.reading_id = r.id WHERE s.site = ?1",
    )?;
    let rows = statement.query_map([site], |row| Ok((row.get(0)?, (row.get(1)?, row.get(2)?))))?;
    Ok(rows.collect::<rusqlite::Result<_>>()?)
}
