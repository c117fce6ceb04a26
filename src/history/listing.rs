//! The list of documents as people leaf through it: the newest first, narrowed and counted by indexes.
//!
//! What a document is now follows from its samples. It stands beside the document, is marked by triggers when something
//! it follows from changes (`0008_listing.sql`), and is made anew before the commit that changed it.

use super::document::{DocumentRow, copy_of, document};
use super::{History, Result};
use crate::soil::Outcome;
use rusqlite::{Connection, OptionalExtension, params_from_iter, types::Value};

/// What is asked of the list.
#[derive(Debug, Clone, Default)]
pub struct Listing {
    /// Stands in the file's name, the client, the laboratory or the report number, in letters of any size.
    pub words: String,
    /// Only what became this.
    pub outcome: Option<Outcome>,
}

impl History {
    /// How many documents and copies there are of these.
    ///
    /// # Errors
    /// What the store says.
    pub fn count_documents(&self, asked: &Listing) -> Result<usize> {
        let (sql, values) = asked.select(|of| match of {
            Of::Documents => "SELECT count(*) AS n FROM documents d",
            Of::Copies => "SELECT count(*) FROM copies d",
        });
        let mut statement =
            self.connection.prepare_cached(&format!("SELECT coalesce(sum(n), 0) FROM ({sql})"))?;
        let count: i64 = statement.query_row(params_from_iter(values), |row| row.get(0))?;
        Ok(usize::try_from(count).unwrap_or_default())
    }

    /// So many of these documents and copies after so many others, the newest first, then by name and hash.
    ///
    /// # Errors
    /// What the store says.
    pub fn newest_documents(&self, asked: &Listing, skip: usize, most: usize) -> Result<Vec<DocumentRow>> {
        let (sql, mut values) = asked.newest();
        values.extend([most, skip].map(|n| Value::Integer(i64::try_from(n).unwrap_or(i64::MAX))));
        let mut statement = self.connection.prepare_cached(&sql)?;
        let mut rows = statement.query(params_from_iter(values))?;
        let mut all = Vec::new();
        while let Some(row) = rows.next()? {
            let Some(first) = document(&self.connection, &row.get::<_, String>(2)?)? else { continue };
            all.push(if row.get::<_, bool>(4)? {
                copy_of(&first, row.get(1)?, row.get(3)?, row.get(0)?)
            } else {
                first
            });
        }
        Ok(all)
    }
}

#[derive(Clone, Copy)]
enum Of {
    Documents,
    Copies,
}

impl Listing {
    pub(super) fn newest(&self) -> (String, Vec<Value>) {
        let (sql, values) = self.select(|of| match of {
            Of::Documents => {
                "SELECT d.recorded_at AS at, d.source_file AS file, d.sha256 AS sha256, coalesce(d.inside_of, '') AS around,
                    0 AS copied FROM documents d"
            }
            Of::Copies => {
                "SELECT d.recorded_at, d.source_file, o.sha256, d.inside_of, 1 FROM copies d JOIN documents o ON o.id = d.document_id"
            }
        });
        (format!("{sql} ORDER BY at DESC, file, sha256, around LIMIT ? OFFSET ?"), values)
    }

    /// Documents and copies, each with what narrows it. A copy is a duplicate, whatever its first is.
    fn select(&self, head: fn(Of) -> &'static str) -> (String, Vec<Value>) {
        let words = self.words.trim().to_lowercase();
        let both = [Of::Documents, Of::Copies].into_iter();
        let asked = both
            .filter(|of| matches!(of, Of::Documents) || self.outcome.is_none_or(|o| o == Outcome::Duplicate));
        let (mut parts, mut values) = (Vec::new(), Vec::new());
        for of in asked {
            let mut narrowed = Vec::new();
            if let (Of::Documents, Some(outcome)) = (of, self.outcome) {
                narrowed.push("d.outcome_now = ?");
                values.push(Value::Text(outcome.id().to_owned()));
            }
            if !words.is_empty() {
                narrowed.push("instr(d.found_by, ?) > 0");
                values.push(Value::Text(words.clone()));
            }
            let narrowed = if narrowed.is_empty() {
                String::new()
            } else {
                format!(" WHERE {}", narrowed.join(" AND "))
            };
            parts.push(format!("{}{narrowed}", head(of)));
        }
        (parts.join(" UNION ALL "), values)
    }
}

/// Makes anew what is marked, and what lies around it: a mail waits as long as something in it does.
pub(super) fn renew(connection: &Connection) -> Result<()> {
    if !pending(connection)? {
        return Ok(());
    }
    let mut statement = connection.prepare_cached(
        "WITH RECURSIVE marked (id, sha256, around) AS (
            SELECT id, sha256, inside_of FROM documents WHERE outcome_now IS NULL
            UNION SELECT d.id, d.sha256, d.inside_of FROM marked m JOIN documents d ON d.sha256 = m.around)
         SELECT id, sha256 FROM marked",
    )?;
    let marked = statement
        .query_map([], |row| Ok((row.get(0)?, row.get(1)?)))?
        .collect::<rusqlite::Result<Vec<(i64, String)>>>()?;
    for (id, sha256) in marked {
        let Some(now) = document(connection, &sha256)? else { continue };
        let words = found_by([Some(now.source_file), now.client, now.lab, now.report]);
        connection
            .prepare_cached(
                "UPDATE documents SET outcome_now = ?2, held_now = ?3, found_by = ?4 WHERE id = ?1",
            )?
            .execute(rusqlite::params![id, now.outcome.id(), now.held_readings.cast_signed(), words])?;
    }
    let mut statement = connection.prepare_cached(
        "SELECT c.id, c.source_file, d.client, d.lab, d.report FROM copies c JOIN documents d ON d.id = c.document_id
         WHERE c.found_by IS NULL",
    )?;
    let copies = statement
        .query_map([], |row| {
            let words = [row.get::<_, Option<String>>(1)?, row.get(2)?, row.get(3)?, row.get(4)?];
            Ok((row.get::<_, i64>(0)?, words))
        })?
        .collect::<rusqlite::Result<Vec<_>>>()?;
    for (id, words) in copies {
        connection
            .prepare_cached("UPDATE copies SET found_by = ?2 WHERE id = ?1")?
            .execute(rusqlite::params![id, found_by(words)])?;
    }
    Ok(())
}

/// True where something is marked: after an upgrade, and within a step under way.
pub(super) fn pending(connection: &Connection) -> Result<bool> {
    let mut statement = connection.prepare_cached(
        "SELECT 1 FROM documents WHERE outcome_now IS NULL UNION ALL SELECT 1 FROM copies WHERE found_by IS NULL LIMIT 1",
    )?;
    Ok(statement.query_row([], |_| Ok(())).optional()?.is_some())
}

/// Each on its own line, so that no word is found across two.
fn found_by(words: [Option<String>; 4]) -> String {
    words.into_iter().flatten().collect::<Vec<_>>().join("\n").to_lowercase()
}

/// In the unit tests every commit holds what is kept against what follows from the samples.
#[cfg(test)]
pub(super) fn hold_against(connection: &Connection) {
    let mut statement = connection.prepare("SELECT sha256, outcome_now, held_now FROM documents").unwrap();
    let kept = statement.query_map([], |row| Ok((row.get(0)?, (row.get(1)?, row.get(2)?)))).unwrap();
    for row in kept {
        let (sha256, kept): (String, (Option<String>, i64)) = row.unwrap();
        let now = document(connection, &sha256).unwrap().unwrap();
        let now = (Some(now.outcome.id().to_owned()), now.held_readings.cast_signed());
        assert_eq!(kept, now, "the list says otherwise of {sha256}");
    }
}
