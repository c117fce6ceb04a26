//! Pairs of sites that reports made under names nearly alike: perhaps one. A person joins them or says that they are two.

use super::change::change;
use super::site_rows::{followed, name_by_key, read_kept};
use super::{Error, History, KnownName, NameOfSite, Result, State, name_key};
use crate::soil::Site;
use crate::soil::site::WHOLE;
use rusqlite::{Connection, params};
use std::collections::BTreeSet;

impl History {
    /// Keeps that two sites are perhaps one.
    ///
    /// # Errors
    /// What the store says.
    pub fn mark_alike(&mut self, one: &str, other: &str) -> Result<()> {
        if one == other {
            return Ok(());
        }
        self.write(|connection| {
            connection
                .prepare_cached("INSERT OR IGNORE INTO sites_alike (site, other) VALUES (?1, ?2)")?
                .execute(params![one.min(other), one.max(other)])?;
            Ok(())
        })
    }

    /// One report has samples of these sites side by side: none of them is another.
    ///
    /// # Errors
    /// What the store says.
    pub fn stand_beside(&mut self, sites: &BTreeSet<&str>) -> Result<()> {
        let mut two = Vec::new();
        if sites.len() > 1 {
            let mut statement =
                self.connection.prepare_cached("SELECT other FROM sites_alike WHERE site = ?1")?;
            for site in sites {
                for other in statement.query_map([site], |row| row.get::<_, String>(0))? {
                    two.extend(Some(other?).filter(|o| sites.contains(o.as_str())).map(|o| (*site, o)));
                }
            }
        }
        if two.is_empty() {
            return Ok(());
        }
        self.write(|connection| {
            for (site, other) in two {
                connection
                    .prepare_cached("DELETE FROM sites_alike WHERE site = ?1 AND other = ?2")?
                    .execute(params![site, other])?;
            }
            Ok(())
        })
    }

    /// The pairs a person has not spoken on, by id, each with the site of more samples first; of a site that was joined
    /// into another, that other.
    ///
    /// # Errors
    /// What the store says.
    pub fn perhaps_one(&self) -> Result<Vec<(Site, Site)>> {
        let mut statement =
            self.connection.prepare_cached("SELECT site, other FROM sites_alike ORDER BY site, other")?;
        let mut rows = statement.query([])?;
        let mut pairs = BTreeSet::new();
        while let Some(row) = rows.next()? {
            let [one, other] =
                [row.get::<_, String>(0)?, row.get(1)?].map(|id| followed(&self.connection, &id));
            if let (Some(one), Some(other)) = (one?, other?)
                && one != other
            {
                pairs.insert(if one < other { (one, other) } else { (other, one) });
            }
        }
        let mut open = Vec::new();
        for (one, other) in pairs {
            let (Some(one), Some(other)) = (self.site(&one)?, self.site(&other)?) else { continue };
            if !(is_said(&self.connection, &one)? && is_said(&self.connection, &other)?) {
                let fewer = self.samples_of(&one.id)? < self.samples_of(&other.id)?;
                open.push(if fewer { (other, one) } else { (one, other) });
            }
        }
        Ok(open)
    }

    /// How many pairs there are, spoken on or not.
    ///
    /// # Errors
    /// What the store says.
    pub fn count_alike(&self) -> Result<usize> {
        let mut statement = self.connection.prepare_cached("SELECT count(*) FROM sites_alike")?;
        let count: i64 = statement.query_row([], |row| row.get(0))?;
        Ok(usize::try_from(count).unwrap_or_default())
    }

    fn samples_of(&self, site: &str) -> Result<i64> {
        let mut statement = self.connection.prepare_cached("SELECT count(*) FROM samples WHERE site = ?1")?;
        Ok(statement.query_row([site], |row| row.get(0))?)
    }

    /// Says that two sites are two, each known by its own name: neither is offered as the other again. Gives the number
    /// of the decision, none where it is said already.
    ///
    /// # Errors
    /// [`Error::Unknown`] for a site that is not there, [`Error::Refused`] for one and the same.
    pub fn set_apart(&mut self, one: &str, other: &str, who: &str, at: &str) -> Result<Option<i64>> {
        if one == other {
            return Err(Error::Refused(format!("{one} is one site")));
        }
        let transaction = self.begin()?;
        let mut to = State::default();
        for id in [one, other] {
            let site = read_kept(&transaction, id)?
                .filter(|kept| kept.joined_into.is_none())
                .ok_or_else(|| Error::Unknown { what: "site", key: id.to_owned() })?
                .site;
            if !is_said(&transaction, &site)? {
                let name = NameOfSite {
                    client: site.client,
                    label: site.name,
                    site: site.id,
                    zone: WHOLE.to_owned(),
                };
                let key = name_key(name.client.as_deref(), &name.label);
                to.names.insert(key, Some(KnownName { name, roster: false }));
            }
        }
        let id = change(&transaction, to, "apart", who, at)?;
        transaction.commit()?;
        Ok(id)
    }
}

/// True where a person has said that the site's own name means it.
fn is_said(connection: &Connection, site: &Site) -> Result<bool> {
    let key = name_key(site.client.as_deref(), &site.name);
    let known = name_by_key(connection, &key)?;
    Ok(known.is_some_and(|known| known.name.site == site.id))
}
