//! What a site's earlier seasons say of the later ones, made anew whenever the site's numbers change.
//!
//! The answer stands beside what was read and follows from the site's rows alone, so it does not matter in which order
//! its reports came.

use super::columns::{contradiction, status_alone, word, word_or_none};
use super::{Result, site};
use crate::check::{self, Before};
use crate::place::Place;
use crate::soil::{Analyte, Basis, Method, Qualifier, Quantity, Reading, Sample, Status};
use rusqlite::{Connection, ToSql};
use std::collections::BTreeMap;
use std::rc::Rc;
use std::sync::LazyLock;

/// Reading, what speaks against it, what speaks for it.
type Says = BTreeMap<i64, (Option<String>, Option<String>)>;

/// A reading of the site as it stands without its past.
struct Row {
    id: i64,
    sample: i64,
    zone: Rc<str>,
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
    let (rows, before) = rows(connection, site)?;
    let now = says(&rows);
    if now == before {
        return Ok(());
    }
    for id in before.keys().filter(|id| !now.contains_key(id)) {
        connection.prepare_cached("DELETE FROM past WHERE reading_id = ?1")?.execute([id])?;
    }
    let changed: Vec<_> = now.iter().filter(|(id, said)| before.get(id) != Some(said)).collect();
    for lot in changed.chunks(ROWS) {
        put(connection, lot)?;
    }
    site::changed(connection, site)
}

/// What is written with one statement, at most.
const ROWS: usize = 16;

/// The statements for one row, two rows and so on.
static PUTS: LazyLock<Vec<String>> = LazyLock::new(|| {
    let rows = (1..=ROWS).map(|count| vec!["(?, ?, ?)"; count].join(", "));
    rows.map(|rows| {
        format!(
            "INSERT INTO past (reading_id, doubt, witness) VALUES {rows}
             ON CONFLICT (reading_id) DO UPDATE SET doubt = excluded.doubt, witness = excluded.witness"
        )
    })
    .collect()
});

/// Writes up to [`ROWS`] rows.
fn put(connection: &Connection, lot: &[(&i64, &(Option<String>, Option<String>))]) -> Result<()> {
    let Some(sql) = lot.len().checked_sub(1).and_then(|at| PUTS.get(at)) else { return Ok(()) };
    let mut statement = connection.prepare_cached(sql)?;
    let mut column = 0;
    for (id, (doubt, witness)) in lot {
        let row: [&dyn ToSql; 3] = [id, doubt, witness];
        for value in row {
            column += 1;
            statement.raw_bind_parameter(column, value)?;
        }
    }
    statement.raw_execute()?;
    Ok(())
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

/// The readings of a site that can be compared, in the order of time, and what was said of its readings before.
fn rows(connection: &Connection, site: &str) -> Result<(Vec<Row>, Says)> {
    let (mut found, mut said) = (Vec::new(), Says::new());
    // What is sorted are the samples; the readings of each lie in their order.
    let mut statement = connection.prepare_cached(SAMPLES)?;
    let mut samples = statement.query([site])?;
    let mut readings = connection.prepare_cached(READINGS)?;
    while let Some(sample) = samples.next()? {
        let (id, zone): (i64, Rc<str>) = (sample.get(0)?, sample.get(1)?);
        let season: Option<i16> = sample.get(2)?;
        let season = season.filter(|_| sample.get(3).unwrap_or(false));
        let mut rows = readings.query([id])?;
        while let Some(row) = rows.next()? {
            if row.get(8)? {
                said.insert(row.get(0)?, (row.get(9)?, row.get(10)?));
            }
            if let Some(season) = season {
                found.extend(read(row, id, &zone, season)?);
            }
        }
    }
    Ok((found, said))
}

/// The samples of a site in the order of time, and whether each counts.
pub(super) const SAMPLES: &str =
    "SELECT s.id, s.zone, s.season, s.duplicate_of IS NULL AND s.superseded_by IS NULL
     FROM samples s JOIN reports p ON p.id = s.report_id JOIN documents d ON d.id = p.document_id WHERE s.site = ?1
     ORDER BY s.zone, s.season, coalesce(s.sampled_on, p.received_on, p.reported_on), p.lab, p.number, d.sha256,
        p.ordinal, s.ordinal";

pub(super) const READINGS: &str = concat!(
    "SELECT r.id, coalesce(t.analyte, r.analyte), coalesce(t.method, r.method), coalesce(t.value, r.value),
        iif(t.reading_id IS NULL, r.basis, t.basis), iif(t.reading_id IS NULL, r.qualifier, t.qualifier), ",
    status_alone!(),
    ", coalesce(t.decided, 0), a.reading_id IS NOT NULL, a.doubt, a.witness
     FROM readings r LEFT JOIN standing t ON t.reading_id = r.id LEFT JOIN past a ON a.reading_id = r.id
     WHERE r.sample_id = ?1 ORDER BY r.ordinal"
);

/// A reading that is not rejected.
fn read(row: &rusqlite::Row<'_>, sample: i64, zone: &Rc<str>, season: i16) -> Result<Option<Row>> {
    let text = |at: usize| Ok::<&str, rusqlite::Error>(row.get_ref(at)?.as_str()?);
    let status = word("status", text(6)?, Status::from_id)?;
    if status == Status::Rejected {
        return Ok(None);
    }
    let analyte = word("analyte", text(1)?, Analyte::from_id)?;
    Ok(Some(Row {
        id: row.get(0)?,
        sample,
        zone: Rc::clone(zone),
        season,
        analyte,
        method: word("method", text(2)?, Method::from_id)?,
        quantity: Quantity {
            value: row.get(3)?,
            unit: analyte.unit(),
            basis: word_or_none("basis", row.get(4)?, Basis::from_id)?,
            qualifier: word_or_none("qualifier", row.get(5)?, Qualifier::from_id)?,
        },
        status,
        decided: row.get(7)?,
    }))
}
