//! What the nightly copy does not hold yet: counted as it comes, so that a night looks at nothing else.

use super::{History, Result};
use rusqlite::params;

/// An original to copy.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ToCopy {
    /// SHA-256.
    pub sha256: String,
    /// Where it lies in the home.
    pub kept_at: String,
    /// Its size; that of the record, so that of a member for what lies in a mail.
    pub bytes: u64,
}

impl History {
    /// Originals that came or moved since they were last copied.
    ///
    /// # Errors
    /// What the store says.
    pub fn to_copy(&self) -> Result<Vec<ToCopy>> {
        let mut statement = self.connection.prepare_cached(
            "SELECT d.sha256, d.kept_at, d.bytes FROM to_copy c CROSS JOIN documents d ON d.sha256 = c.sha256
             WHERE d.kept_at IS NOT NULL ORDER BY d.sha256",
        )?;
        let rows = statement.query_map([], |row| {
            Ok(ToCopy {
                sha256: row.get(0)?,
                kept_at: row.get(1)?,
                bytes: row.get::<_, i64>(2)?.cast_unsigned(),
            })
        })?;
        Ok(rows.collect::<rusqlite::Result<_>>()?)
    }

    /// The last line of the journal, if it is not in the last copy yet.
    ///
    /// # Errors
    /// What the store says.
    pub fn changed_since_copy(&self) -> Result<Option<i64>> {
        let (last, copied): (i64, i64) = self.connection.query_row(
            "SELECT coalesce((SELECT max(id) FROM journal), 0), coalesce((SELECT change FROM passes WHERE purpose = 'copy'), -1)",
            [],
            |row| Ok((row.get(0)?, row.get(1)?)),
        )?;
        Ok((last != copied).then_some(last))
    }

    /// These are copied, and the journal up to this line.
    ///
    /// # Errors
    /// What the store says.
    pub fn copied(&mut self, originals: &[ToCopy], line: i64) -> Result<()> {
        self.write(|connection| {
            for one in originals {
                connection
                    .prepare_cached(
                        "DELETE FROM to_copy WHERE sha256 = ?1 AND EXISTS (SELECT 1 FROM documents WHERE sha256 = ?1 AND kept_at = ?2)",
                    )?
                    .execute([&one.sha256, &one.kept_at])?;
            }
            connection
                .prepare_cached(
                    "INSERT INTO passes (purpose, change) VALUES ('copy', ?1)
                     ON CONFLICT (purpose) DO UPDATE SET change = excluded.change",
                )?
                .execute(params![line])?;
            Ok(())
        })
    }

    /// Bytes of the store.
    ///
    /// # Errors
    /// What the store says.
    pub fn bytes(&self) -> Result<u64> {
        let of = |name: &str| self.connection.pragma_query_value(None, name, |row| row.get::<_, i64>(0));
        Ok(of("page_count")?.saturating_mul(of("page_size")?).cast_unsigned())
    }
}
