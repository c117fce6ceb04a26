//! Rows of sites and of the names that mean them, as the store keeps them.

use super::Result;
use super::columns::{from_json, json, key};
use super::site::{KeptSite, KnownName, NameOfSite, changed};
use crate::soil::Site;
use rusqlite::{Connection, OptionalExtension, Row, params};

pub(super) const COLUMNS: &str = "SELECT id, name, client, use_, region, texture, calcareous, area_ft2, species, guides, note, joined_into FROM sites";

pub(super) const NAMES: &str = "SELECT client, label, site, zone, origin = 'roster' FROM site_names";

/// The key of a printed name: client, a slash, name.
pub fn name_key(client: Option<&str>, label: &str) -> String {
    format!("{}/{}", client.map(key).unwrap_or_default(), key(label))
}

pub(super) fn read_name(row: &Row<'_>) -> rusqlite::Result<KnownName> {
    let name = NameOfSite { client: row.get(0)?, label: row.get(1)?, site: row.get(2)?, zone: row.get(3)? };
    Ok(KnownName { name, roster: row.get(4)? })
}

pub(super) fn name_by_key(connection: &Connection, name: &str) -> Result<Option<KnownName>> {
    let (client, label) = name.split_once('/').unwrap_or(("", name));
    Ok(connection
        .prepare_cached(&format!("{NAMES} WHERE client_key = ?1 AND label_key = ?2"))?
        .query_row([client, label], read_name)
        .optional()?)
}

pub(super) fn write_name(connection: &Connection, name: &str, to: Option<&KnownName>) -> Result<()> {
    let (client, label) = name.split_once('/').unwrap_or(("", name));
    connection
        .prepare_cached("DELETE FROM site_names WHERE client_key = ?1 AND label_key = ?2")?
        .execute([client, label])?;
    if let Some(KnownName { name, roster }) = to {
        connection
            .prepare_cached(
                "INSERT INTO site_names (client_key, label_key, client, label, site, zone, origin)
                 VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7)",
            )?
            .execute(params![
                client,
                label,
                name.client,
                name.label,
                name.site,
                name.zone,
                if *roster { "roster" } else { "said" }
            ])?;
    }
    Ok(())
}

/// The site an id means now: itself, or the one it was joined into; none where there is no such site.
pub(super) fn followed(connection: &Connection, id: &str) -> Result<Option<String>> {
    let mut statement = connection.prepare_cached("SELECT joined_into FROM sites WHERE id = ?1")?;
    let mut id = id.to_owned();
    for _ in 0..=LONGEST_WAY {
        match statement.query_row([&id], |row| row.get::<_, Option<String>>(0)).optional()? {
            None => return Ok(None),
            Some(None) => return Ok(Some(id)),
            Some(Some(next)) => id = next,
        }
    }
    Ok(None)
}

/// Joins behind each other that are followed.
const LONGEST_WAY: usize = 64;

pub(super) fn read_kept(connection: &Connection, id: &str) -> Result<Option<KeptSite>> {
    let mut statement = connection.prepare_cached(&format!("{COLUMNS} WHERE id = ?1"))?;
    let mut rows = statement.query([id])?;
    rows.next()?.map(read).transpose()
}

pub(super) fn write_kept(connection: &Connection, kept: &KeptSite) -> Result<()> {
    let site = &kept.site;
    connection
        .prepare_cached(
            "INSERT INTO sites (id, name, client, use_, region, texture, calcareous, area_ft2, species, guides, note, joined_into)
             VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10, ?11, ?12)
             ON CONFLICT (id) DO UPDATE SET name = excluded.name, client = excluded.client, use_ = excluded.use_,
                region = excluded.region, texture = excluded.texture, calcareous = excluded.calcareous,
                area_ft2 = excluded.area_ft2, species = excluded.species, guides = excluded.guides, note = excluded.note,
                joined_into = excluded.joined_into",
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
            kept.joined_into,
        ])?;
    changed(connection, &site.id)
}

/// True where a sample or an application stands under the site.
pub(super) fn is_used(connection: &Connection, id: &str) -> Result<bool> {
    let mut statement = connection.prepare_cached(
        "SELECT 1 FROM samples WHERE site = ?1 UNION ALL SELECT 1 FROM applications WHERE site = ?1
         UNION ALL SELECT 1 FROM codes WHERE site = ?1 AND kind = 'bag' LIMIT 1",
    )?;
    Ok(statement.exists([id])?)
}

pub(super) fn remove(connection: &Connection, id: &str) -> Result<()> {
    connection.execute("DELETE FROM sites_alike WHERE site = ?1 OR other = ?1", [id])?;
    for table in ["site_done", "site_changes"] {
        connection.execute(&format!("DELETE FROM {table} WHERE site = ?1"), [id])?;
    }
    connection.execute("DELETE FROM sites WHERE id = ?1", [id])?;
    Ok(())
}

pub(super) fn read(row: &Row<'_>) -> Result<KeptSite> {
    Ok(KeptSite {
        site: Site {
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
        },
        joined_into: row.get(11)?,
    })
}
