//! A part of what is known of sites, as one value: read, compared, written. A change and its undo are two of these.

use super::site::{KeptSite, KnownName};
use super::site_rows::read_kept;
use super::whereabouts::Belonging;
use super::{Result, site_rows};
use crate::soil::Depth;
use rusqlite::{Connection, OptionalExtension, params};
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

/// What the roster says of a zone.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
pub struct ZoneFacts {
    /// Area in square feet.
    pub area_ft2: Option<f64>,
    /// How deep it is sampled.
    pub depth: Option<Depth>,
}

/// A code that means a site and zone.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct SiteCode {
    /// As written.
    pub code: String,
    /// True for one issued for a bag by this program, false for the roster's own.
    pub bag: bool,
    /// Site id.
    pub site: String,
    /// Zone of the site.
    pub zone: String,
    /// The season it was issued for.
    pub season: Option<i16>,
    /// How deep the bag was to be filled from.
    pub depth: Option<Depth>,
    /// Who had it issued.
    pub who: String,
    /// When, as the caller's clock said.
    pub at: String,
}

/// Rows by their keys; none where a row is not there.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
pub struct State {
    /// Sites by id.
    #[serde(default, skip_serializing_if = "BTreeMap::is_empty")]
    pub sites: BTreeMap<String, Option<KeptSite>>,
    /// Printed names by their key: client, a slash, name.
    #[serde(default, skip_serializing_if = "BTreeMap::is_empty")]
    pub names: BTreeMap<String, Option<KnownName>>,
    /// Zones by site, a slash, zone.
    #[serde(default, skip_serializing_if = "BTreeMap::is_empty")]
    pub zones: BTreeMap<String, Option<ZoneFacts>>,
    /// Codes by key.
    #[serde(default, skip_serializing_if = "BTreeMap::is_empty")]
    pub codes: BTreeMap<String, Option<SiteCode>>,
    /// Samples by their key in the store.
    #[serde(default, skip_serializing_if = "BTreeMap::is_empty")]
    pub(super) samples: BTreeMap<i64, Belonging>,
    /// Sites of applications by their key in the store.
    #[serde(default, skip_serializing_if = "BTreeMap::is_empty")]
    pub(super) applications: BTreeMap<i64, String>,
}

impl State {
    /// How the rows of another state stand in the store now.
    pub(super) fn now(connection: &Connection, keys: &Self) -> Result<Self> {
        let mut state = Self::default();
        for id in keys.sites.keys() {
            state.sites.insert(id.clone(), read_kept(connection, id)?);
        }
        for key in keys.names.keys() {
            state.names.insert(key.clone(), site_rows::name_by_key(connection, key)?);
        }
        for key in keys.zones.keys() {
            let (site, zone) = key.split_once('/').unwrap_or((key, ""));
            let zone = connection
                .prepare_cached(
                    "SELECT area_ft2, depth_top_cm, depth_bottom_cm FROM zones WHERE site = ?1 AND zone = ?2",
                )?
                .query_row([site, zone], |row| {
                    Ok(ZoneFacts { area_ft2: row.get(0)?, depth: depth(row.get(1)?, row.get(2)?) })
                })
                .optional()?;
            state.zones.insert(key.clone(), zone);
        }
        for key in keys.codes.keys() {
            state.codes.insert(key.clone(), code(connection, key)?);
        }
        for id in keys.samples.keys() {
            state.samples.insert(*id, super::whereabouts::belonging(connection, *id)?);
        }
        for id in keys.applications.keys() {
            let site = connection
                .prepare_cached("SELECT site FROM applications WHERE id = ?1")?
                .query_row([id], |row| row.get(0))?;
            state.applications.insert(*id, site);
        }
        Ok(state)
    }

    /// Leaves out what stands so already.
    pub(super) fn retain_changes(&mut self, before: &mut Self) {
        fn both<K: Ord + Clone, V: PartialEq>(after: &mut BTreeMap<K, V>, before: &mut BTreeMap<K, V>) {
            after.retain(|key, value| before.get(key) != Some(value));
            before.retain(|key, _| after.contains_key(key));
        }
        both(&mut self.sites, &mut before.sites);
        both(&mut self.names, &mut before.names);
        both(&mut self.zones, &mut before.zones);
        both(&mut self.codes, &mut before.codes);
        both(&mut self.samples, &mut before.samples);
        both(&mut self.applications, &mut before.applications);
    }

    /// True where nothing is said.
    pub fn is_empty(&self) -> bool {
        *self == Self::default()
    }

    /// Writes it; foreign keys are checked when the transaction ends.
    pub(super) fn write(&self, connection: &Connection) -> Result<()> {
        connection.pragma_update(None, "defer_foreign_keys", true)?;
        for (id, kept) in &self.sites {
            match kept {
                Some(kept) => site_rows::write_kept(connection, kept)?,
                None => site_rows::remove(connection, id)?,
            }
        }
        for (key, name) in &self.names {
            site_rows::write_name(connection, key, name.as_ref())?;
        }
        for (key, facts) in &self.zones {
            let Some((site, zone)) = key.split_once('/') else { continue };
            match facts {
                Some(facts) => connection
                    .prepare_cached(
                        "INSERT INTO zones (site, zone, area_ft2, depth_top_cm, depth_bottom_cm) VALUES (?1, ?2, ?3, ?4, ?5)
                         ON CONFLICT (site, zone) DO UPDATE SET area_ft2 = excluded.area_ft2,
                            depth_top_cm = excluded.depth_top_cm, depth_bottom_cm = excluded.depth_bottom_cm",
                    )?
                    .execute(params![
                        site,
                        zone,
                        facts.area_ft2,
                        facts.depth.map(|d| d.top_cm),
                        facts.depth.map(|d| d.bottom_cm)
                    ])?,
                None => connection
                    .prepare_cached("DELETE FROM zones WHERE site = ?1 AND zone = ?2")?
                    .execute([site, zone])?,
            };
        }
        for (key, code) in &self.codes {
            write_code(connection, key, code.as_ref())?;
        }
        for (id, belonging) in &self.samples {
            super::whereabouts::belong(connection, *id, belonging)?;
        }
        for (id, site) in &self.applications {
            connection
                .prepare_cached("UPDATE applications SET site = ?2 WHERE id = ?1")?
                .execute(params![id, site])?;
        }
        Ok(())
    }
}

pub(super) fn depth(top: Option<f64>, bottom: Option<f64>) -> Option<Depth> {
    top.zip(bottom).map(|(top_cm, bottom_cm)| Depth { top_cm, bottom_cm })
}

pub(super) fn code(connection: &Connection, key: &str) -> Result<Option<SiteCode>> {
    Ok(connection
        .prepare_cached(&format!("{} WHERE code_key = ?1", super::code::COLUMNS))?
        .query_row([key], super::code::read)
        .optional()?)
}

pub(super) fn write_code(connection: &Connection, key: &str, code: Option<&SiteCode>) -> Result<()> {
    let Some(code) = code else {
        connection.prepare_cached("DELETE FROM codes WHERE code_key = ?1")?.execute([key])?;
        return Ok(());
    };
    connection
        .prepare_cached(
            "INSERT INTO codes (code_key, code, kind, site, zone, season, depth_top_cm, depth_bottom_cm, who, at)
             VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10)
             ON CONFLICT (code_key) DO UPDATE SET code = excluded.code, kind = excluded.kind, site = excluded.site,
                zone = excluded.zone, season = excluded.season, depth_top_cm = excluded.depth_top_cm,
                depth_bottom_cm = excluded.depth_bottom_cm, who = excluded.who, at = excluded.at",
        )?
        .execute(params![
            key,
            code.code,
            if code.bag { "bag" } else { "roster" },
            code.site,
            code.zone,
            code.season,
            code.depth.map(|d| d.top_cm),
            code.depth.map(|d| d.bottom_cm),
            code.who,
            code.at,
        ])?;
    Ok(())
}
