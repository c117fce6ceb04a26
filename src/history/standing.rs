//! How a reading stands beside how it was read: what a decision or a check made anew may change.

use super::columns::{from_json, word, word_or_none};
use super::{Error, Result};
use crate::soil::{Analyte, Basis, Doubt, Method, Qualifier, Status, Unit};
use rusqlite::{Connection, params};
use serde::{Deserialize, Serialize};

/// How a reading stands: the columns a decision may change.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub(super) struct Standing {
    pub(super) status: Status,
    pub(super) doubt: Option<String>,
    pub(super) analyte: Analyte,
    pub(super) method: Method,
    pub(super) value: f64,
    pub(super) unit: Unit,
    pub(super) basis: Option<Basis>,
    pub(super) qualifier: Option<Qualifier>,
    pub(super) decided: bool,
}

/// As it is kept; what another issue says against it comes on top, and goes when that issue no longer counts.
pub(super) fn standing(connection: &Connection, reading: i64) -> Result<Standing> {
    let mut statement = connection.prepare_cached(
        "SELECT coalesce(t.status, r.status), iif(t.reading_id IS NULL, r.doubt, t.doubt), coalesce(t.analyte, r.analyte),
            coalesce(t.method, r.method), coalesce(t.value, r.value), coalesce(t.unit, r.unit),
            iif(t.reading_id IS NULL, r.basis, t.basis), iif(t.reading_id IS NULL, r.qualifier, t.qualifier),
            coalesce(t.decided, 0)
         FROM readings r LEFT JOIN standing t ON t.reading_id = r.id WHERE r.id = ?1",
    )?;
    let mut rows = statement.query([reading])?;
    let row = rows.next()?.ok_or_else(|| Error::Unknown { what: "reading", key: reading.to_string() })?;
    let text = |at: usize| row.get::<_, String>(at);
    Ok(Standing {
        status: word("status", &text(0)?, Status::from_id)?,
        doubt: row.get(1)?,
        analyte: word("analyte", &text(2)?, Analyte::from_id)?,
        method: word("method", &text(3)?, Method::from_id)?,
        value: row.get(4)?,
        unit: word("unit", &text(5)?, Unit::from_id)?,
        basis: word_or_none("basis", row.get(6)?, Basis::from_id)?,
        qualifier: word_or_none("qualifier", row.get(7)?, Qualifier::from_id)?,
        decided: row.get(8)?,
    })
}

/// Writes how a reading stands, and with it the same reading in other printings of the same sample: whichever
/// printing the history shows, the decision holds.
pub(super) fn write_standing(connection: &Connection, reading: i64, standing: &Standing) -> Result<()> {
    connection
        .prepare_cached(
            "INSERT INTO standing (reading_id, status, doubt, analyte, method, value, unit, basis, qualifier, decided)
             SELECT x.id, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10 FROM readings r JOIN samples s ON s.id = r.sample_id
             JOIN samples o ON o.id = coalesce(s.duplicate_of, s.id) OR o.duplicate_of = coalesce(s.duplicate_of, s.id)
             JOIN readings x ON x.sample_id = o.id AND (x.id = r.id OR (o.id <> s.id AND x.analyte = r.analyte AND x.method = r.method))
             WHERE r.id = ?1
             ON CONFLICT (reading_id) DO UPDATE SET status = excluded.status, doubt = excluded.doubt, analyte = excluded.analyte,
                method = excluded.method, value = excluded.value, unit = excluded.unit, basis = excluded.basis,
                qualifier = excluded.qualifier, decided = excluded.decided",
        )?
        .execute(params![
            reading,
            standing.status.id(),
            standing.doubt,
            standing.analyte.id(),
            standing.method.id(),
            standing.value,
            standing.unit.id(),
            standing.basis.map(Basis::id),
            standing.qualifier.map(Qualifier::id),
            standing.decided,
        ])?;
    Ok(())
}

/// Doubts about whose sample it is, or about its name.
fn about_the_site(reason: &str) -> bool {
    reason.starts_with("site") || matches!(reason, "name-repeated" | "sample-unnamed" | "sample-name-unsure")
}

/// Undecided readings of the sample against which nothing speaks but the site or the day, now that a person has told
/// these: no doubt of their own, and none of the sample's or report's doubts of another kind.
pub(super) fn held_for_whereabouts(connection: &Connection, sample: i64) -> Result<Vec<i64>> {
    let (assigned, dated): (bool, bool) = connection
        .prepare_cached(
            "SELECT s.site IS NOT NULL AND EXISTS (SELECT 1 FROM decisions d JOIN samples o ON o.id = d.sample_id
                WHERE d.action = 'assign' AND coalesce(o.duplicate_of, o.id) = coalesce(s.duplicate_of, s.id)
                  AND NOT EXISTS (SELECT 1 FROM decisions u WHERE u.undoes = d.id)), s.dated_on IS NOT NULL
             FROM samples s WHERE s.id = ?1",
        )?
        .query_row([sample], |row| Ok((row.get(0)?, row.get(1)?)))?;
    if !assigned && !dated {
        return Ok(Vec::new());
    }
    let told = |reason: &str| assigned && about_the_site(reason) || dated && reason == "season-unknown";
    let mut statement = connection.prepare_cached(
        "SELECT r.id, r.doubts, s.doubts, p.doubts FROM readings r JOIN samples s ON s.id = r.sample_id JOIN reports p ON p.id = s.report_id
         LEFT JOIN standing t ON t.reading_id = r.id
         WHERE s.id = ?1 AND r.status = 'held' AND (t.reading_id IS NULL OR (t.status = 'held' AND t.decided = 0 AND t.doubt IS r.doubt))",
    )?;
    let mut rows = statement.query([sample])?;
    let mut held = Vec::new();
    while let Some(row) = rows.next()? {
        let mut doubts: Vec<Doubt> = Vec::new();
        for column in 1..=3 {
            doubts.extend(from_json::<Vec<Doubt>>(&row.get::<_, String>(column)?)?);
        }
        if doubts.iter().all(|doubt| told(&doubt.reason)) {
            held.push(row.get(0)?);
        }
    }
    Ok(held)
}
