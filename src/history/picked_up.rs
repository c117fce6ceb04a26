//! What an address gave the last time it was asked, so that the same file is not fetched twice.

use super::{History, Result};
use rusqlite::{OptionalExtension, params};

/// The last answer of an address.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct PickedUp {
    /// Its entity tag, as sent.
    pub etag: Option<String>,
    /// Its time of change, as sent.
    pub last_modified: Option<String>,
    /// SHA-256 of the bytes.
    pub body_sha256: Option<String>,
    /// When (RFC 3339).
    pub fetched_at: String,
}

impl History {
    /// The last answer of the address with this SHA-256; none where it gave nothing yet.
    ///
    /// # Errors
    /// What the store says.
    pub fn picked_up(&self, address_sha256: &str) -> Result<Option<PickedUp>> {
        let mut statement = self.connection.prepare_cached(
            "SELECT etag, last_modified, body_sha256, fetched_at FROM pick_ups WHERE address_sha256 = ?1",
        )?;
        let last = statement.query_row([address_sha256], |row| {
            Ok(PickedUp {
                etag: row.get(0)?,
                last_modified: row.get(1)?,
                body_sha256: row.get(2)?,
                fetched_at: row.get(3)?,
            })
        });
        Ok(last.optional()?)
    }

    /// Remembers the answer of an address, once its bytes lie in the inbox.
    ///
    /// # Errors
    /// What the store says.
    pub fn remember_picked_up(&mut self, address_sha256: &str, answer: &PickedUp) -> Result<()> {
        self.connection.execute(
            "INSERT INTO pick_ups (address_sha256, etag, last_modified, body_sha256, fetched_at) VALUES (?1, ?2, ?3, ?4, ?5)
             ON CONFLICT (address_sha256) DO UPDATE SET etag = excluded.etag, last_modified = excluded.last_modified,
                body_sha256 = excluded.body_sha256, fetched_at = excluded.fetched_at",
            params![address_sha256, answer.etag, answer.last_modified, answer.body_sha256, answer.fetched_at],
        )?;
        Ok(())
    }
}
