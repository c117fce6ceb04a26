//! Changes of sites, some at a time: what keeps something up to date in the background works through them in order.

use super::{History, Result};
use rusqlite::params;

impl History {
    /// So many sites changed after this change, each with the number of its last one, in the order of the changes.
    ///
    /// # Errors
    /// What the store says.
    pub fn next_changed(&self, change: i64, most: usize) -> Result<Vec<(String, i64)>> {
        let mut statement = self.connection.prepare_cached(
            "SELECT site, change FROM site_changes WHERE change > ?1 ORDER BY change LIMIT ?2",
        )?;
        let most = i64::try_from(most).unwrap_or(i64::MAX);
        let sites = statement.query_map(params![change, most], |row| Ok((row.get(0)?, row.get(1)?)))?;
        Ok(sites.collect::<rusqlite::Result<_>>()?)
    }

    /// How many sites changed after this change.
    ///
    /// # Errors
    /// What the store says.
    pub fn count_changed_after(&self, change: i64) -> Result<usize> {
        let count: i64 = self
            .connection
            .prepare_cached("SELECT count(*) FROM site_changes WHERE change > ?1")?
            .query_row([change], |row| row.get(0))?;
        Ok(usize::try_from(count).unwrap_or_default())
    }

    /// Sites changed after this change; those joined into another are left out.
    ///
    /// # Errors
    /// What the store says.
    pub fn standing_sites_changed_after(&self, change: i64) -> Result<Vec<String>> {
        let mut statement = self.connection.prepare_cached(
            "SELECT c.site FROM site_changes c JOIN sites s ON s.id = c.site
             WHERE c.change > ?1 AND s.joined_into IS NULL ORDER BY c.change",
        )?;
        let sites = statement.query_map([change], |row| row.get(0))?;
        Ok(sites.collect::<rusqlite::Result<_>>()?)
    }
}
