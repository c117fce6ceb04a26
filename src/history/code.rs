//! Codes that mean a site and zone: issued for bags, or the roster's own.

use super::state::{SiteCode, code, depth, write_code};
use super::{Error, History, Result, site_rows};
use rusqlite::Row;

pub(super) const COLUMNS: &str =
    "SELECT code, kind = 'bag', site, zone, season, depth_top_cm, depth_bottom_cm, who, at FROM codes";

pub(super) fn read(row: &Row<'_>) -> rusqlite::Result<SiteCode> {
    Ok(SiteCode {
        code: row.get(0)?,
        bag: row.get(1)?,
        site: row.get(2)?,
        zone: row.get(3)?,
        season: row.get(4)?,
        depth: depth(row.get(5)?, row.get(6)?),
        who: row.get(7)?,
        at: row.get(8)?,
    })
}

impl History {
    /// The code with this key, its site the one that counts now.
    ///
    /// # Errors
    /// What the store says.
    pub fn code(&self, key: &str) -> Result<Option<SiteCode>> {
        let Some(mut code) = code(&self.connection, key)? else { return Ok(None) };
        if let Some(site) = site_rows::followed(&self.connection, &code.site)? {
            code.site = site;
        }
        Ok(Some(code))
    }

    /// Every code, by key: for near ones, and for the roster.
    ///
    /// # Errors
    /// What the store says.
    pub fn codes(&self) -> Result<Vec<SiteCode>> {
        let mut statement = self.connection.prepare_cached(&format!("{COLUMNS} ORDER BY code_key"))?;
        let codes = statement.query_map([], read)?.collect::<rusqlite::Result<Vec<_>>>()?;
        Ok(codes)
    }

    /// Keeps a code issued for a bag.
    ///
    /// # Errors
    /// [`Error::Unknown`] for a site that is not there; [`Error::Refused`] where the code was issued before.
    pub fn issue_code(&mut self, key: &str, new: &SiteCode) -> Result<()> {
        let transaction = self.begin()?;
        if site_rows::followed(&transaction, &new.site)?.is_none() {
            return Err(Error::Unknown { what: "site", key: new.site.clone() });
        }
        if code(&transaction, key)?.is_some() {
            return Err(Error::Refused(format!("the code {} was issued before", new.code)));
        }
        write_code(&transaction, key, Some(new))?;
        transaction.commit()?;
        Ok(())
    }
}
