//! What was read from an original, as it was read: for holding a fresh reading of the same original against it.

use super::columns::{contradiction, from_json, past_doubt, status_now, word, word_or_none};
use super::{Error, History, Result, record, same};
use super::{issue, lookup::Lookup, site};
use crate::place::Place;
use crate::soil::{Analyte, Basis, Method, Qualifier, Reading, Status};
use rusqlite::{OptionalExtension, params};

/// A reading as it was taken from its original.
#[derive(Debug, Clone, PartialEq)]
pub struct PrintedRow {
    /// Key of the reading.
    pub id: i64,
    /// Place of its report in the document, from 0.
    pub report: i64,
    /// Sample name as printed.
    pub label: String,
    /// What was measured, as read.
    pub analyte: Analyte,
    /// How, as read.
    pub method: Method,
    /// How much, in the canonical unit of the analyte, as read.
    pub value: f64,
    /// Basis, as read.
    pub basis: Option<Basis>,
    /// Qualifier, as read.
    pub qualifier: Option<Qualifier>,
    /// As printed.
    pub raw_value: String,
    /// As printed.
    pub raw_unit: String,
    /// Where it stands.
    pub place: Option<Place>,
    /// True where it counts now.
    pub counts: bool,
}

impl History {
    /// The readings of a document as they were read, in printed order.
    ///
    /// # Errors
    /// What the store says.
    pub fn printed(&self, sha256: &str) -> Result<Vec<PrintedRow>> {
        let mut statement = self.connection.prepare_cached(concat!(
            "SELECT r.id, p.ordinal, s.label, r.analyte, r.method, r.value, r.basis, r.qualifier, r.raw_value, r.raw_unit, r.place, ",
            status_now!(),
            ", s.duplicate_of IS NULL AND s.superseded_by IS NULL
             FROM documents d JOIN reports p ON p.document_id = d.id JOIN samples s ON s.report_id = p.id
             JOIN readings r ON r.sample_id = s.id LEFT JOIN standing t ON t.reading_id = r.id
             WHERE d.sha256 = ?1 ORDER BY p.ordinal, s.ordinal, r.ordinal"
        ))?;
        let mut rows = statement.query([sha256])?;
        let mut printed = Vec::new();
        while let Some(row) = rows.next()? {
            let text = |at: usize| row.get::<_, String>(at);
            let place: Option<String> = row.get(10)?;
            let status = word("status", &text(11)?, Status::from_id)?;
            printed.push(PrintedRow {
                id: row.get(0)?,
                report: row.get(1)?,
                label: text(2)?,
                analyte: word("analyte", &text(3)?, Analyte::from_id)?,
                method: word("method", &text(4)?, Method::from_id)?,
                value: row.get(5)?,
                basis: word_or_none("basis", row.get(6)?, Basis::from_id)?,
                qualifier: word_or_none("qualifier", row.get(7)?, Qualifier::from_id)?,
                raw_value: text(8)?,
                raw_unit: text(9)?,
                place: place.map(|place| from_json(&place)).transpose()?,
                counts: status.counts() && row.get::<_, bool>(12)?,
            });
        }
        Ok(printed)
    }

    /// Originals that were kept for readings, from the one at `from` (a hash or the beginning of one) onwards and round:
    /// hash of the document that was kept, name, place in the home, readings that count in it.
    ///
    /// # Errors
    /// What the store says.
    pub fn originals_from(&self, from: &str) -> Result<Vec<(String, String, String, u64)>> {
        let mut statement = self.connection.prepare(
            "SELECT d.sha256, d.source_file, d.kept_at, (SELECT count(*) FROM documents i JOIN reports p ON p.document_id = i.id
                JOIN samples s ON s.report_id = p.id JOIN readings r ON r.sample_id = s.id LEFT JOIN standing t ON t.reading_id = r.id
                WHERE i.kept_at = d.kept_at AND coalesce(t.status, r.status) IN ('accepted', 'corrected')) AS n
             FROM documents d WHERE d.kept_at IS NOT NULL AND n > 0
                AND NOT EXISTS (SELECT 1 FROM documents o WHERE o.kept_at = d.kept_at AND o.sha256 = d.inside_of)
             ORDER BY d.sha256 < ?1, d.sha256",
        )?;
        let rows = statement.query_map([from], |row| {
            Ok((row.get(0)?, row.get(1)?, row.get(2)?, row.get::<_, i64>(3)?.cast_unsigned()))
        })?;
        Ok(rows.collect::<rusqlite::Result<_>>()?)
    }

    /// Adds a reading that a later reading of the original found in a sample it has; it waits. None where the document
    /// has no such sample.
    ///
    /// # Errors
    /// What the store says.
    pub fn add_found(
        &mut self,
        sha256: &str,
        report: i64,
        label: &str,
        found: &Reading,
    ) -> Result<Option<i64>> {
        self.write(|connection| {
            let sample: Option<(i64, i64)> = connection
                .prepare_cached(
                    "SELECT s.id, (SELECT coalesce(max(r.ordinal), -1) + 1 FROM readings r WHERE r.sample_id = s.id)
                     FROM documents d JOIN reports p ON p.document_id = d.id JOIN samples s ON s.report_id = p.id
                     WHERE d.sha256 = ?1 AND p.ordinal = ?2 AND s.label = ?3 ORDER BY s.ordinal LIMIT 1",
                )?
                .query_row(params![sha256, report, label], |row| Ok((row.get(0)?, row.get(1)?)))
                .optional()?;
            let Some((sample, ordinal)) = sample else { return Ok(None) };
            let doubt = Some("A later reading of the original found it.".to_owned());
            record::insert_reading(connection, sample, ordinal, label, &(found.clone(), Status::Held, doubt))?;
            let id = connection.last_insert_rowid();
            let lookup = Lookup::new(connection);
            same::mark(&lookup, &[sample])?;
            issue::mark(&lookup, &[sample])?;
            site::changed_by_sample(connection, sample)?;
            Ok(Some(id))
        })
    }

    /// The document whose hash begins so, or that came under this name.
    ///
    /// # Errors
    /// [`Error::Unknown`] for none, [`Error::Refused`] for several.
    pub fn document_named(&self, name: &str) -> Result<String> {
        let mut statement = self.connection.prepare(
            "SELECT sha256 FROM documents WHERE source_file = ?1 OR (length(?1) >= 6 AND substr(sha256, 1, length(?1)) = ?1) LIMIT 2",
        )?;
        let found =
            statement.query_map([name], |row| row.get(0))?.collect::<rusqlite::Result<Vec<String>>>()?;
        match found.as_slice() {
            [one] => Ok(one.clone()),
            [] => Err(Error::Unknown { what: "document", key: name.to_owned() }),
            _ => Err(Error::Refused(format!("several documents are called {name}; name one by its hash"))),
        }
    }
}
