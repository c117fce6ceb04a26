//! Originals on their way to a place: said before the move and cleared after it, so that a kill between leaves none
//! without a record and none at two places.

use super::{History, Result};
use rusqlite::{Connection, OptionalExtension, Row, params};

/// An original on its way.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Move {
    /// Key.
    pub id: i64,
    /// SHA-256 of its bytes.
    pub sha256: String,
    /// Name under which it came.
    pub source_file: String,
    /// Where it lay in the home folder; none for one that just came.
    pub old_at: Option<String>,
    /// Where it goes.
    pub new_at: String,
    /// The process that moves it, as [`crate::home::process`] names it.
    pub owner: String,
}

impl History {
    /// Says that an original is about to be moved; gives the key.
    ///
    /// # Errors
    /// What the store says.
    pub fn begin_move(
        &mut self,
        sha256: &str,
        source_file: &str,
        old_at: Option<&str>,
        new_at: &str,
        owner: &str,
    ) -> Result<i64> {
        self.write(|connection| {
            connection
                .prepare_cached(
                    "INSERT INTO moves (sha256, source_file, old_at, new_at, owner) VALUES (?1, ?2, ?3, ?4, ?5)",
                )?
                .execute(params![sha256, source_file, old_at, new_at, owner])?;
            Ok(connection.last_insert_rowid())
        })
    }

    /// The moves still open, oldest first.
    ///
    /// # Errors
    /// What the store says.
    pub fn moves_to_finish(&self) -> Result<Vec<Move>> {
        let mut statement = self
            .connection
            .prepare_cached("SELECT id, sha256, source_file, old_at, new_at, owner FROM moves ORDER BY id")?;
        let moves = statement.query_map([], read)?;
        Ok(moves.collect::<rusqlite::Result<_>>()?)
    }

    /// The original now lies at the new place: so does everything recorded at the old one. The move is over.
    ///
    /// # Errors
    /// What the store says.
    pub fn finish_move(&mut self, id: i64) -> Result<()> {
        self.write(|connection| {
            let found = connection
                .prepare_cached(
                    "SELECT id, sha256, source_file, old_at, new_at, owner FROM moves WHERE id = ?1",
                )?
                .query_row([id], read)
                .optional()?;
            let Some(Move { old_at: Some(old_at), new_at, .. }) = found else { return end(connection, id) };
            connection
                .prepare_cached("UPDATE documents SET kept_at = ?2 WHERE kept_at = ?1")?
                .execute([old_at, new_at])?;
            end(connection, id)
        })
    }

    /// Nothing is on its way any more.
    ///
    /// # Errors
    /// What the store says.
    pub fn end_move(&mut self, id: i64) -> Result<()> {
        self.write(|connection| end(connection, id))
    }

    /// True where a record says that its original lies there.
    ///
    /// # Errors
    /// What the store says.
    pub fn is_kept_at(&self, kept_at: &str) -> Result<bool> {
        Ok(self.connection.prepare_cached("SELECT 1 FROM documents WHERE kept_at = ?1")?.exists([kept_at])?)
    }

    /// Documents whose original does not lie where their outcome wants it: settled ones in `held/`, and waiting ones in
    /// `filed/`. Only what waits or lies in `held/` is looked at.
    ///
    /// # Errors
    /// What the store says.
    pub fn misplaced(&self) -> Result<Vec<super::DocumentRow>> {
        let mut statement = self.connection.prepare_cached(MISPLACED)?;
        let hashes = statement.query_map([], |row| row.get::<_, String>(0))?;
        let mut found = Vec::new();
        for sha256 in hashes.collect::<rusqlite::Result<Vec<_>>>()? {
            let Some(document) = self.document(&sha256)? else { continue };
            let in_held = document.kept_at.as_deref().is_some_and(|at| at.starts_with("held/"));
            if in_held != (document.outcome == crate::soil::Outcome::Held) {
                found.push(document);
            }
        }
        Ok(found)
    }
}

/// Originals in `held/`, and those in `filed/` of a document with a reading that may be held, or of the mail around it.
pub(super) const MISPLACED: &str = "SELECT sha256 FROM documents WHERE substr(kept_at, 1, 5) = 'held/'
    UNION SELECT o.sha256 FROM documents d JOIN documents o ON o.kept_at = d.kept_at
    WHERE substr(d.kept_at, 1, 6) = 'filed/' AND d.id IN (
        SELECT p.document_id FROM readings r JOIN samples s ON s.id = r.sample_id JOIN reports p ON p.id = s.report_id WHERE r.id IN (
            SELECT id FROM readings WHERE status = 'held' UNION SELECT reading_id FROM standing WHERE status = 'held'
            UNION SELECT reading_id FROM contradictions UNION SELECT reading_id FROM past WHERE doubt IS NOT NULL))
    ORDER BY 1";

fn end(connection: &Connection, id: i64) -> Result<()> {
    connection.prepare_cached("DELETE FROM moves WHERE id = ?1")?.execute([id])?;
    Ok(())
}

/// The record speaks of the place now: what came there is on its way no more.
pub(super) fn arrived(connection: &Connection, sha256: &str, kept_at: &str) -> Result<()> {
    connection
        .prepare_cached("DELETE FROM moves WHERE sha256 = ?1 AND new_at = ?2 AND old_at IS NULL")?
        .execute([sha256, kept_at])?;
    Ok(())
}

fn read(row: &Row<'_>) -> rusqlite::Result<Move> {
    Ok(Move {
        id: row.get(0)?,
        sha256: row.get(1)?,
        source_file: row.get(2)?,
        old_at: row.get(3)?,
        new_at: row.get(4)?,
        owner: row.get(5)?,
    })
}
