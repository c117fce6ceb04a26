//! Sites, the printed names that mean them, and marks of what changed since charts and digest were made.

use super::columns::key;
use super::site_rows::{
    COLUMNS, NAMES, followed, name_by_key, name_key, read, read_kept, read_name, write_kept,
};
use super::state::{ZoneFacts, depth};
use super::{Error, History, Result};
use crate::soil::Site;
use rusqlite::{Connection, OptionalExtension, params};
use serde::{Deserialize, Serialize};

/// A printed sample name and the site and zone it means.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct NameOfSite {
    /// Client as printed; none where the report names none.
    pub client: Option<String>,
    /// Sample name as printed.
    pub label: String,
    /// Site id.
    pub site: String,
    /// Zone of the site.
    pub zone: String,
}

/// A printed name with where it comes from.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct KnownName {
    /// The name and its meaning.
    #[serde(flatten)]
    pub name: NameOfSite,
    /// True where the roster says so, false where a person did while settling.
    pub roster: bool,
}

/// A site as the store keeps it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct KeptSite {
    /// What is known of it.
    #[serde(flatten)]
    pub site: Site,
    /// The site it was joined into by a person.
    pub joined_into: Option<String>,
}

/// What is made from the history and must be made again when a site's numbers change.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Purpose {
    /// Charts drawn.
    Charts,
    /// The nightly message.
    Digest,
}

impl Purpose {
    const fn id(self) -> &'static str {
        match self {
            Self::Charts => "charts",
            Self::Digest => "digest",
        }
    }
}

impl History {
    /// Every site, by id; those joined into another are left out.
    ///
    /// # Errors
    /// What the store says.
    pub fn sites(&self) -> Result<Vec<Site>> {
        let mut statement =
            self.connection.prepare_cached(&format!("{COLUMNS} WHERE joined_into IS NULL ORDER BY id"))?;
        let mut rows = statement.query([])?;
        let mut sites = Vec::new();
        while let Some(row) = rows.next()? {
            sites.push(read(row)?.site);
        }
        Ok(sites)
    }

    /// So many sites after this id, by id; those joined into another are left out.
    ///
    /// # Errors
    /// What the store says.
    pub fn sites_after(&self, id: &str, most: usize) -> Result<Vec<Site>> {
        let mut statement = self.connection.prepare_cached(&format!(
            "{COLUMNS} WHERE id > ?1 AND joined_into IS NULL ORDER BY id LIMIT ?2"
        ))?;
        let mut rows = statement.query(params![id, i64::try_from(most).unwrap_or(i64::MAX)])?;
        let mut sites = Vec::new();
        while let Some(row) = rows.next()? {
            sites.push(read(row)?.site);
        }
        Ok(sites)
    }

    /// How many sites there are; those joined into another are left out.
    ///
    /// # Errors
    /// What the store says.
    pub fn site_count(&self) -> Result<usize> {
        let count: i64 = self
            .connection
            .prepare_cached("SELECT count(*) FROM sites WHERE joined_into IS NULL")?
            .query_row([], |row| row.get(0))?;
        Ok(usize::try_from(count).unwrap_or_default())
    }

    /// One site; of one joined into another, that other.
    ///
    /// # Errors
    /// What the store says.
    pub fn site(&self, id: &str) -> Result<Option<Site>> {
        let Some(id) = followed(&self.connection, id)? else { return Ok(None) };
        Ok(read_kept(&self.connection, &id)?.map(|kept| kept.site))
    }

    /// One site as it is kept, also where it was joined into another.
    ///
    /// # Errors
    /// What the store says.
    pub fn kept_site(&self, id: &str) -> Result<Option<KeptSite>> {
        read_kept(&self.connection, id)
    }

    /// Adds a site, or replaces what is known of it.
    ///
    /// # Errors
    /// What the store says.
    pub fn upsert_site(&mut self, site: &Site) -> Result<()> {
        self.write(|connection| {
            let joined_into = read_kept(connection, &site.id)?.and_then(|kept| kept.joined_into);
            write_kept(connection, &KeptSite { site: site.clone(), joined_into })
        })
    }

    /// The site and zone a printed client and sample name mean, if that is known.
    ///
    /// # Errors
    /// What the store says.
    pub fn site_for(&self, client: Option<&str>, label: &str) -> Result<Option<NameOfSite>> {
        let Some(known) = name_by_key(&self.connection, &name_key(client, label))? else { return Ok(None) };
        let site = followed(&self.connection, &known.name.site)?.unwrap_or(known.name.site);
        Ok(Some(NameOfSite { site, ..known.name }))
    }

    /// Remembers what a printed name means; the last word counts.
    ///
    /// # Errors
    /// [`Error::Unknown`] for a site that is not there.
    pub fn name_site(&mut self, name: &NameOfSite) -> Result<()> {
        if self.site(&name.site)?.is_none() {
            return Err(Error::Unknown { what: "site", key: name.site.clone() });
        }
        self.write(|connection| {
            connection.prepare_cached(
                "INSERT INTO site_names (client_key, label_key, client, label, site, zone) VALUES (?1, ?2, ?3, ?4, ?5, ?6)
                 ON CONFLICT (client_key, label_key) DO UPDATE SET client = excluded.client, label = excluded.label,
                    site = excluded.site, zone = excluded.zone, origin = 'said'",
            )?
            .execute(params![
                name.client.as_deref().map(key).unwrap_or_default(),
                key(&name.label),
                name.client,
                name.label,
                name.site,
                name.zone
            ])?;
            Ok(())
        })
    }

    /// Every printed name with its meaning, by client and label.
    ///
    /// # Errors
    /// What the store says.
    pub fn names_of_sites(&self) -> Result<Vec<KnownName>> {
        let mut statement =
            self.connection.prepare_cached(&format!("{NAMES} ORDER BY client_key, label_key"))?;
        let names = statement.query_map([], read_name)?;
        Ok(names.collect::<rusqlite::Result<_>>()?)
    }

    /// Zones of a site that the roster names, by name.
    ///
    /// # Errors
    /// What the store says.
    pub fn zones(&self, site: &str) -> Result<Vec<(String, ZoneFacts)>> {
        let mut statement = self.connection.prepare_cached(
            "SELECT zone, area_ft2, depth_top_cm, depth_bottom_cm FROM zones WHERE site = ?1 ORDER BY zone",
        )?;
        let zones = statement.query_map([site], |row| {
            Ok((row.get(0)?, ZoneFacts { area_ft2: row.get(1)?, depth: depth(row.get(2)?, row.get(3)?) }))
        })?;
        Ok(zones.collect::<rusqlite::Result<_>>()?)
    }

    /// The number of the last change of any site; 0 for none.
    ///
    /// # Errors
    /// What the store says.
    pub fn last_change(&self) -> Result<i64> {
        Ok(self
            .connection
            .prepare_cached("SELECT coalesce(max(change), 0) FROM site_changes")?
            .query_row([], |row| row.get(0))?)
    }

    /// The number of a site's last change; none for a site that is not there.
    ///
    /// # Errors
    /// What the store says.
    pub fn change_of(&self, site: &str) -> Result<Option<i64>> {
        Ok(self
            .connection
            .prepare_cached("SELECT change FROM site_changes WHERE site = ?1")?
            .query_row([site], |row| row.get(0))
            .optional()?)
    }

    /// Sites changed after this change, each with the number of its last one, in the order of the changes.
    ///
    /// # Errors
    /// What the store says.
    pub fn sites_changed_after(&self, change: i64) -> Result<Vec<(String, i64)>> {
        let mut statement = self
            .connection
            .prepare_cached("SELECT site, change FROM site_changes WHERE change > ?1 ORDER BY change")?;
        let sites = statement.query_map([change], |row| Ok((row.get(0)?, row.get(1)?)))?;
        Ok(sites.collect::<rusqlite::Result<_>>()?)
    }

    /// Sites changed since the purpose was last done, each with the number of its last change; by id.
    ///
    /// # Errors
    /// What the store says.
    pub fn sites_changed_since(&self, purpose: Purpose) -> Result<Vec<(String, i64)>> {
        let mut statement = self.connection.prepare_cached(
            "SELECT c.site, c.change FROM site_changes c LEFT JOIN site_done d ON d.site = c.site AND d.purpose = ?1
             WHERE c.change > coalesce(d.change, 0) ORDER BY c.site",
        )?;
        let sites = statement.query_map([purpose.id()], |row| Ok((row.get(0)?, row.get(1)?)))?;
        Ok(sites.collect::<rusqlite::Result<_>>()?)
    }

    /// Marks the purpose done up to the changes given: what changed meanwhile stays to do.
    ///
    /// # Errors
    /// What the store says.
    pub fn mark(&mut self, purpose: Purpose, sites: &[(String, i64)]) -> Result<()> {
        self.write(|connection| mark_done(connection, purpose, sites))
    }
}

pub(super) fn mark_done(connection: &Connection, purpose: Purpose, sites: &[(String, i64)]) -> Result<()> {
    for (site, change) in sites {
        connection
            .prepare_cached(
                "INSERT INTO site_done (purpose, site, change) VALUES (?1, ?2, ?3)
                 ON CONFLICT (purpose, site) DO UPDATE SET change = max(change, excluded.change)",
            )?
            .execute(params![purpose.id(), site, change])?;
    }
    Ok(())
}

/// Counts a change of the site's numbers.
pub(super) fn changed(connection: &Connection, site: &str) -> Result<()> {
    connection
        .prepare_cached(
            "INSERT INTO site_changes (site, change) VALUES (?1, (SELECT change FROM next_change))
             ON CONFLICT (site) DO UPDATE SET change = excluded.change",
        )?
        .execute([site])?;
    Ok(())
}

/// The same for the site of a sample; nothing where it has none.
pub(super) fn changed_by_sample(connection: &Connection, sample: i64) -> Result<()> {
    let site: Option<Option<String>> = connection
        .prepare_cached("SELECT site FROM samples WHERE id = ?1")?
        .query_row([sample], |row| row.get(0))
        .optional()?;
    site.flatten().map_or(Ok(()), |site| changed(connection, &site))
}

/// The same for the site of a reading.
pub(super) fn changed_by_reading(connection: &Connection, reading: i64) -> Result<()> {
    let sample: Option<i64> = connection
        .prepare_cached("SELECT sample_id FROM readings WHERE id = ?1")?
        .query_row([reading], |row| row.get(0))
        .optional()?;
    sample.map_or(Ok(()), |sample| changed_by_sample(connection, sample))
}
