//! Sites, the printed names that mean them, and marks of what changed since charts and digest were made.

use super::columns::{from_json, json, key};
use super::{Error, History, Result};
use crate::soil::Site;
use rusqlite::{Connection, OptionalExtension, Row, params};

/// A printed sample name and the site and zone it means.
#[derive(Debug, Clone, PartialEq, Eq)]
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

const COLUMNS: &str =
    "SELECT id, name, client, use_, region, texture, calcareous, area_ft2, species, guides, note FROM sites";

impl History {
    /// Every site, by id.
    ///
    /// # Errors
    /// What the store says.
    pub fn sites(&self) -> Result<Vec<Site>> {
        let mut statement = self.connection.prepare_cached(&format!("{COLUMNS} ORDER BY id"))?;
        let mut rows = statement.query([])?;
        let mut sites = Vec::new();
        while let Some(row) = rows.next()? {
            sites.push(read(row)?);
        }
        Ok(sites)
    }

    /// One site.
    ///
    /// # Errors
    /// What the store says.
    pub fn site(&self, id: &str) -> Result<Option<Site>> {
        let mut statement = self.connection.prepare_cached(&format!("{COLUMNS} WHERE id = ?1"))?;
        let mut rows = statement.query([id])?;
        rows.next()?.map(read).transpose()
    }

    /// Adds a site, or replaces what is known of it.
    ///
    /// # Errors
    /// What the store says.
    pub fn upsert_site(&mut self, site: &Site) -> Result<()> {
        let transaction =
            self.connection.transaction_with_behavior(rusqlite::TransactionBehavior::Immediate)?;
        transaction
            .prepare_cached(
                "INSERT INTO sites (id, name, client, use_, region, texture, calcareous, area_ft2, species, guides, note)
                 VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10, ?11)
                 ON CONFLICT (id) DO UPDATE SET name = excluded.name, client = excluded.client, use_ = excluded.use_,
                    region = excluded.region, texture = excluded.texture, calcareous = excluded.calcareous,
                    area_ft2 = excluded.area_ft2, species = excluded.species, guides = excluded.guides, note = excluded.note",
            )?
            .execute(params![
                site.id,
                site.name,
                site.client,
                site.use_,
                site.region,
                site.texture,
                site.calcareous,
                site.area_ft2,
                site.species,
                json(&site.guides)?,
                site.note,
            ])?;
        changed(&transaction, &site.id)?;
        transaction.commit()?;
        Ok(())
    }

    /// The site and zone a printed client and sample name mean, if that is known.
    ///
    /// # Errors
    /// What the store says.
    pub fn site_for(&self, client: Option<&str>, label: &str) -> Result<Option<NameOfSite>> {
        Ok(self
            .connection
            .prepare_cached(
                "SELECT client, label, site, zone FROM site_names WHERE client_key = ?1 AND label_key = ?2",
            )?
            .query_row([client.map(key).unwrap_or_default(), key(label)], read_name)
            .optional()?)
    }

    /// Remembers what a printed name means; the last word counts.
    ///
    /// # Errors
    /// [`Error::Unknown`] for a site that is not there.
    pub fn name_site(&mut self, name: &NameOfSite) -> Result<()> {
        if self.site(&name.site)?.is_none() {
            return Err(Error::Unknown { what: "site", key: name.site.clone() });
        }
        self.connection
            .prepare_cached(
                "INSERT INTO site_names (client_key, label_key, client, label, site, zone) VALUES (?1, ?2, ?3, ?4, ?5, ?6)
                 ON CONFLICT (client_key, label_key) DO UPDATE SET client = excluded.client, label = excluded.label,
                    site = excluded.site, zone = excluded.zone",
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
    }

    /// Every printed name with its meaning, by client and label.
    ///
    /// # Errors
    /// What the store says.
    pub fn names_of_sites(&self) -> Result<Vec<NameOfSite>> {
        let mut statement = self.connection.prepare_cached(
            "SELECT client, label, site, zone FROM site_names ORDER BY client_key, label_key",
        )?;
        let names = statement.query_map([], read_name)?;
        Ok(names.collect::<rusqlite::Result<_>>()?)
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
        let transaction =
            self.connection.transaction_with_behavior(rusqlite::TransactionBehavior::Immediate)?;
        for (site, change) in sites {
            transaction
                .prepare_cached(
                    "INSERT INTO site_done (purpose, site, change) VALUES (?1, ?2, ?3)
                     ON CONFLICT (purpose, site) DO UPDATE SET change = max(change, excluded.change)",
                )?
                .execute(params![purpose.id(), site, change])?;
        }
        transaction.commit()?;
        Ok(())
    }
}

/// Counts a change of the site's numbers.
pub(super) fn changed(connection: &Connection, site: &str) -> Result<()> {
    connection
        .prepare_cached(
            "INSERT INTO site_changes (site, change) SELECT ?1, coalesce(max(change), 0) + 1 FROM site_changes WHERE true
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

fn read_name(row: &Row<'_>) -> rusqlite::Result<NameOfSite> {
    Ok(NameOfSite { client: row.get(0)?, label: row.get(1)?, site: row.get(2)?, zone: row.get(3)? })
}

fn read(row: &Row<'_>) -> Result<Site> {
    Ok(Site {
        id: row.get(0)?,
        name: row.get(1)?,
        client: row.get(2)?,
        use_: row.get(3)?,
        region: row.get(4)?,
        texture: row.get(5)?,
        calcareous: row.get(6)?,
        area_ft2: row.get(7)?,
        species: row.get(8)?,
        guides: from_json(&row.get::<_, String>(9)?)?,
        note: row.get(10)?,
    })
}
