//! The list of documents as people leaf through it: the newest first, narrowed and counted by indexes.
//!
//! What a document is now follows from its samples. It stands beside the document, is marked by triggers when something
//! it follows from changes (`0008_listing.sql`), and is made anew before the commit that changed it.

use super::columns::word;
use super::document::{document, same_bytes};
use super::{History, Result};
use crate::soil::Outcome;
use rusqlite::{Connection, OptionalExtension, params_from_iter, types::Value};

/// A document or a copy as the list shows it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ListedDocument {
    /// Name as it was dropped.
    pub source_file: String,
    /// SHA-256 of the bytes.
    pub source_sha256: String,
    /// What became of it, as things stand now.
    pub outcome: Outcome,
    /// One sentence; none when filed.
    pub why: Option<String>,
    /// Client as printed (first report).
    pub client: Option<String>,
    /// Report number (first report).
    pub report: Option<String>,
    /// Samples it prints; none for a copy.
    pub samples: u64,
    /// Readings it gave the history.
    pub readings: u64,
    /// Of these, held now.
    pub held_readings: u64,
}

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
    pub fn newest_documents(&self, asked: &Listing, skip: usize, most: usize) -> Result<Vec<ListedDocument>> {
        let (sql, mut values) = asked.newest();
        values.extend([most, skip].map(|n| Value::Integer(i64::try_from(n).unwrap_or(i64::MAX))));
        let mut statement = self.connection.prepare_cached(&sql)?;
        let mut rows = statement.query(params_from_iter(values))?;
        let mut all = Vec::new();
        while let Some(row) = rows.next()? {
            let copied: bool = row.get(1)?;
            let first: String = row.get(3)?;
            let count = |at| {
                Ok::<_, rusqlite::Error>(if copied { 0 } else { row.get::<_, i64>(at)?.cast_unsigned() })
            };
            all.push(ListedDocument {
                source_file: row.get(0)?,
                source_sha256: row.get(2)?,
                outcome: match copied {
                    true => Outcome::Duplicate,
                    false => word("outcome", &row.get::<_, String>(4)?, Outcome::from_id)?,
                },
                why: if copied { Some(same_bytes(&first)) } else { row.get(5)? },
                client: row.get(6)?,
                report: row.get(7)?,
                samples: count(8)?,
                readings: count(9)?,
                held_readings: count(10)?,
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
    /// The place in the list is found along the indexes alone; rows are read for the page.
    pub(super) fn newest(&self) -> (String, Vec<Value>) {
        let (sql, values) = self.select(|of| match of {
            Of::Documents => {
                "SELECT d.recorded_at AS at, d.source_file AS file, d.sha256 AS sha256, '' AS around, 0 AS copied FROM documents d"
            }
            Of::Copies => {
                "SELECT d.recorded_at, d.source_file, o.sha256, d.inside_of, 1 FROM copies d JOIN documents o ON o.id = d.document_id"
            }
        });
        let sql = format!(
            "WITH page AS MATERIALIZED ({sql} ORDER BY at DESC, file, sha256, around LIMIT ? OFFSET ?)
             SELECT g.file, g.copied, g.sha256, d.source_file, d.outcome_now, d.why_now, d.client, d.report, d.samples_now,
                d.readings_now, d.held_now
             FROM page g CROSS JOIN documents d ON d.sha256 = g.sha256 ORDER BY g.at DESC, g.file, g.sha256, g.around, g.copied"
        );
        (sql, values)
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
            UNION SELECT d.id, d.sha256, d.inside_of FROM marked m JOIN documents d ON d.sha256 = m.around
            UNION SELECT d.id, d.sha256, d.inside_of FROM marked m JOIN copies c ON c.document_id = m.id
                JOIN documents d ON d.sha256 = c.inside_of WHERE c.inside_of <> '')
         SELECT id, sha256 FROM marked",
    )?;
    let marked = statement
        .query_map([], |row| Ok((row.get(0)?, row.get(1)?)))?
        .collect::<rusqlite::Result<Vec<(i64, String)>>>()?;
    for (id, sha256) in marked {
        let Some(now) = document(connection, &sha256)? else { continue };
        let words = found_by([Some(now.source_file), now.client, now.lab, now.report]);
        let [samples, readings, held] = [now.samples, now.readings, now.held_readings].map(u64::cast_signed);
        connection
            .prepare_cached(
                "UPDATE documents SET outcome_now = ?2, why_now = ?3, samples_now = ?4, readings_now = ?5, held_now = ?6,
                    found_by = ?7 WHERE id = ?1",
            )?
            .execute(rusqlite::params![id, now.outcome.id(), now.why, samples, readings, held, words])?;
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
    let sql = "SELECT sha256, outcome_now, why_now, samples_now, readings_now, held_now FROM documents";
    let mut statement = connection.prepare(sql).unwrap();
    type Kept = (String, Option<String>, Option<String>, [i64; 3]);
    let read = |row: &rusqlite::Row<'_>| {
        let numbers = [row.get(3)?, row.get(4)?, row.get(5)?];
        Ok((row.get(0)?, row.get(1)?, row.get(2)?, numbers))
    };
    for kept in statement.query_map([], read).unwrap() {
        let kept: Kept = kept.unwrap();
        let now = document(connection, &kept.0).unwrap().unwrap();
        let numbers = [now.samples, now.readings, now.held_readings].map(u64::cast_signed);
        assert_eq!(kept, (now.source_sha256, Some(now.outcome.id().to_owned()), now.why, numbers));
    }
}
