//! What waits for a person in the order people go through it: file by file, doubt by doubt. Files are found and counted by
//! an index (`0008_listing.sql`), numbers are read for the files that are looked at.

use super::columns::{contradiction, json, past_doubt, status_now};
use super::reading::{COLUMNS, HeldReading, read};
use super::{History, Result};
use rusqlite::OptionalExtension;

impl History {
    /// How many readings wait.
    ///
    /// # Errors
    /// What the store says.
    pub fn count_waiting(&self) -> Result<usize> {
        let mut statement = self.connection.prepare_cached(COUNT)?;
        let count: i64 = statement.query_row([], |row| row.get(0))?;
        Ok(usize::try_from(count).unwrap_or_default())
    }

    /// So many readings that wait, after so many others.
    ///
    /// # Errors
    /// What the store says.
    pub fn waiting(&self, skip: usize, most: usize) -> Result<Vec<HeldReading>> {
        let mut statement = self.connection.prepare_cached(FILES)?;
        let mut rows = statement.query([])?;
        // Readings in the files before, and in the first of those that are looked at.
        let (mut before, mut first, mut files) = (0, 0, Vec::new());
        while let Some(row) = rows.next()? {
            if before >= skip.saturating_add(most) {
                break;
            }
            let held = usize::try_from(row.get::<_, i64>(2)?).unwrap_or_default();
            if before + held > skip {
                if files.is_empty() {
                    first = before;
                }
                files.push(row.get::<_, String>(1)?);
            }
            before += held;
        }
        let all = self.waiting_in(&files)?;
        Ok(all.into_iter().skip(skip.saturating_sub(first)).take(most).collect())
    }

    /// What waits in these documents.
    ///
    /// # Errors
    /// What the store says.
    pub fn waiting_in(&self, sha256s: &[String]) -> Result<Vec<HeldReading>> {
        let mut statement = self.connection.prepare_cached(&in_documents())?;
        let mut rows = statement.query([json(sha256s)?])?;
        let mut found = Vec::new();
        while let Some(row) = rows.next()? {
            found.push(read(row)?);
        }
        found.sort_by(|a, b| {
            let file = |held: &HeldReading| (held.row.source_file.clone(), held.row.source_sha256.clone());
            file(a).cmp(&file(b)).then_with(|| a.row.doubt.cmp(&b.row.doubt)).then(a.row.id.cmp(&b.row.id))
        });
        Ok(found)
    }

    /// What waits after this reading; the first of all after the last one. After one that was settled, the first of its
    /// file, else of the next.
    ///
    /// # Errors
    /// What the store says.
    pub fn waiting_after(&self, held: &HeldReading) -> Result<Option<i64>> {
        let row = &held.row;
        let here = self.waiting_in(std::slice::from_ref(&row.source_sha256))?;
        let after = here.iter().position(|other| other.row.id == row.id).map_or(0, |at| at + 1);
        if let Some(next) = here.get(after) {
            return Ok(Some(next.row.id));
        }
        let next_file = |sql: &str, values: &[&String]| -> Result<Option<String>> {
            let mut statement = self.connection.prepare_cached(sql)?;
            Ok(statement.query_row(rusqlite::params_from_iter(values), |row| row.get(0)).optional()?)
        };
        let file = match next_file(NEXT, &[&row.source_file, &row.source_sha256])? {
            Some(file) => Some(file),
            None => next_file(FIRST, &[])?,
        };
        let Some(file) = file else { return Ok(None) };
        let first = self.waiting_in(&[file])?.first().map(|first| first.row.id);
        Ok(first.filter(|id| *id != row.id))
    }
}

/// Readings that wait in documents whose hashes are given as a list in JSON.
pub(super) fn in_documents() -> String {
    let waits = concat!(status_now!(), " = 'held'");
    format!(
        "{COLUMNS} AND d.sha256 IN (SELECT value FROM json_each(?1)) AND s.superseded_by IS NULL AND {waits}"
    )
}

const COUNT: &str = "SELECT coalesce(sum(held_now), 0) FROM documents INDEXED BY documents_waiting WHERE outcome_now = 'held'";

pub(super) const FILES: &str =
    "SELECT source_file, sha256, held_now FROM documents INDEXED BY documents_waiting
    WHERE outcome_now = 'held' AND held_now > 0 ORDER BY source_file, sha256";

const NEXT: &str = "SELECT sha256 FROM documents INDEXED BY documents_waiting
    WHERE outcome_now = 'held' AND held_now > 0 AND (source_file, sha256) > (?1, ?2) ORDER BY source_file, sha256 LIMIT 1";

const FIRST: &str = "SELECT sha256 FROM documents INDEXED BY documents_waiting
    WHERE outcome_now = 'held' AND held_now > 0 ORDER BY source_file, sha256 LIMIT 1";
