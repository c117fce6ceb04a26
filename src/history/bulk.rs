//! Readings of many sites at once, as columns: one statement for all of them.

use super::columns::{contradiction, day, json, past_doubt, status_now, word, word_or_none};
use super::{History, Result};
use crate::soil::{Analyte, Basis, Method, Qualifier, Status};
use crate::trend::columns::{ColumnRow, ReadingColumns};
use rusqlite::Row;

pub(super) const STATEMENT: &str = concat!(
    "SELECT r.id, s.site, s.zone, p.lab, coalesce(s.sampled_on, s.dated_on, p.received_on, p.reported_on), s.season,
    s.depth_top_cm, s.depth_bottom_cm, coalesce(t.analyte, r.analyte), coalesce(t.method, r.method),
    coalesce(t.value, r.value), iif(t.reading_id IS NULL, r.basis, t.basis),
    iif(t.reading_id IS NULL, r.qualifier, t.qualifier), ",
    status_now!(),
    " FROM json_each(?1) AS wanted
    CROSS JOIN samples s ON s.site = wanted.value
    CROSS JOIN reports p ON p.id = s.report_id
    CROSS JOIN readings r ON r.sample_id = s.id
    LEFT JOIN standing t ON t.reading_id = r.id
    WHERE s.duplicate_of IS NULL AND s.superseded_by IS NULL"
);

impl History {
    /// The readings of these sites that are not rejected.
    ///
    /// # Errors
    /// What the store says.
    pub fn columns_of(&self, sites: &[&str]) -> Result<ReadingColumns> {
        let mut columns = ReadingColumns::default();
        let mut statement = self.connection.prepare_cached(STATEMENT)?;
        let mut rows = statement.query([json(sites)?])?;
        while let Some(row) = rows.next()? {
            columns.push(&read(row)?);
        }
        Ok(columns)
    }
}

fn read<'a>(row: &'a Row<'_>) -> Result<ColumnRow<'a>> {
    let text = |at: usize| Ok::<&str, rusqlite::Error>(row.get_ref(at)?.as_str()?);
    let maybe = |at: usize| Ok::<Option<&str>, rusqlite::Error>(row.get_ref(at)?.as_str_or_null()?);
    Ok(ColumnRow {
        id: row.get(0)?,
        site: text(1)?,
        zone: text(2)?,
        lab: maybe(3)?,
        day: day(row.get(4)?)?,
        season: row.get(5)?,
        depth_top_cm: row.get(6)?,
        depth_bottom_cm: row.get(7)?,
        analyte: word("analyte", text(8)?, Analyte::from_id)?,
        method: word("method", text(9)?, Method::from_id)?,
        value: row.get(10)?,
        basis: word_or_none("basis", row.get(11)?, Basis::from_id)?,
        qualifier: word_or_none("qualifier", row.get(12)?, Qualifier::from_id)?,
        status: word("status", text(13)?, Status::from_id)?,
    })
}
