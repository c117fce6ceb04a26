//! When a site was sampled last, for plans of many sites: without reading its numbers.

use super::columns::{contradiction, day, past_doubt, status_now};
use super::{History, Result};
use jiff::civil::Date;
use rusqlite::OptionalExtension;

impl History {
    /// The last day of sampling of which a reading counts.
    ///
    /// # Errors
    /// What the store says.
    pub fn last_sampled(&self, site: &str) -> Result<Option<Date>> {
        let mut statement = self.connection.prepare_cached(concat!(
            "SELECT coalesce(s.sampled_on, s.dated_on) FROM samples s
             WHERE s.site = ?1 AND s.duplicate_of IS NULL AND s.superseded_by IS NULL
                AND coalesce(s.sampled_on, s.dated_on) IS NOT NULL AND EXISTS (
                    SELECT 1 FROM readings r LEFT JOIN standing t ON t.reading_id = r.id
                    WHERE r.sample_id = s.id AND ",
            status_now!(),
            " IN ('accepted', 'corrected'))
             ORDER BY 1 DESC LIMIT 1"
        ))?;
        day(statement.query_row([site], |row| row.get(0)).optional()?)
    }
}
