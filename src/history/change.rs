//! Changes of what is known of sites, each a decision with its state before and after, so that it can be taken back.

use super::columns::{from_json, json, key};
use super::decision::{About, DecisionRow, Note, write_down};
use super::state::State;
use super::whereabouts::Belonging;
use super::{Error, History, Result, site, site_rows};
use crate::soil::site::made_id;
use rusqlite::Connection;

impl History {
    /// What a change would alter: how it stands and how it would stand, without what stands so already.
    ///
    /// # Errors
    /// What the store says.
    pub fn would_change(&self, mut to: State) -> Result<(State, State)> {
        let mut before = State::now(&self.connection, &to)?;
        to.retain_changes(&mut before);
        Ok((before, to))
    }

    /// Changes what is known of sites, all of it or nothing; gives the number of the decision, none where nothing
    /// changes.
    ///
    /// # Errors
    /// What the store says.
    pub fn change_sites(&mut self, to: State, action: &str, who: &str, at: &str) -> Result<Option<i64>> {
        let transaction = self.begin()?;
        let id = change(&transaction, to, action, who, at)?;
        transaction.commit()?;
        Ok(id)
    }

    /// Makes two sites one: from now on `from` means `into`, with all its samples and what went down on it.
    ///
    /// # Errors
    /// [`Error::Unknown`] for a site that is not there, [`Error::Refused`] for one joined already or with itself.
    pub fn join_sites(&mut self, into: &str, from: &str, who: &str, at: &str) -> Result<i64> {
        let transaction = self.begin()?;
        let mut to = State::default();
        for id in [into, from] {
            let kept = site_rows::read_kept(&transaction, id)?
                .ok_or_else(|| Error::Unknown { what: "site", key: id.to_owned() })?;
            if let Some(other) = kept.joined_into {
                return Err(Error::Refused(format!("{id} is joined into {other} already")));
            }
            if id == from {
                let joined = site::KeptSite { joined_into: Some(into.to_owned()), ..kept };
                to.sites.insert(id.to_owned(), Some(joined));
            }
        }
        if into == from {
            return Err(Error::Refused(format!("{into} is one site already")));
        }
        let mut statement = transaction.prepare("SELECT id, zone FROM samples WHERE site = ?1")?;
        let samples = statement.query_map([from], |row| Ok((row.get(0)?, row.get(1)?)))?;
        for sample in samples {
            let (id, zone) = sample?;
            to.samples.insert(id, Belonging { site: Some(into.to_owned()), zone });
        }
        drop(statement);
        let mut statement = transaction.prepare("SELECT id FROM applications WHERE site = ?1")?;
        for id in statement.query_map([from], |row| row.get(0))? {
            to.applications.insert(id?, into.to_owned());
        }
        drop(statement);
        let id = change(&transaction, to, "join", who, at)?;
        transaction.commit()?;
        id.ok_or_else(|| Error::Refused(format!("{into} and {from} are one already")))
    }
}

pub(super) fn change(
    connection: &Connection,
    mut to: State,
    action: &str,
    who: &str,
    at: &str,
) -> Result<Option<i64>> {
    let mut before = State::now(connection, &to)?;
    to.retain_changes(&mut before);
    if to.is_empty() {
        return Ok(None);
    }
    to.write(connection)?;
    let note = Note { about: About::Subject("sites"), action, undoes: None, who, at };
    write_down(connection, &note, &json(&before)?, &json(&to)?).map(Some)
}

/// Brings sites back to how they stood before the decision; refused where something changed them since.
pub(super) fn undo(connection: &Connection, row: &DecisionRow) -> Result<()> {
    let (before, after): (State, State) = (from_json(&row.before)?, from_json(&row.after)?);
    if State::now(connection, &after)? != after {
        return Err(Error::Refused(
            "what this decision changed was changed again since; take the later decision back first"
                .to_owned(),
        ));
    }
    for (id, kept) in &before.sites {
        if kept.is_none() && site_rows::is_used(connection, id)? {
            return Err(Error::Refused(format!(
                "reports or applications stand under {id} since; join it with another site instead"
            )));
        }
    }
    before.write(connection)?;
    if row.action == "join" {
        for (id, kept) in &after.sites {
            if let Some(into) = kept.as_ref().and_then(|kept| kept.joined_into.as_deref()) {
                bring_back(connection, id, into, &after)?;
            }
        }
    }
    Ok(())
}

/// Samples that came after a join, and whose own names mean the site that was joined.
fn bring_back(connection: &Connection, id: &str, into: &str, moved: &State) -> Result<()> {
    let mut statement = connection.prepare_cached(
        "SELECT s.id, s.zone, p.client, s.label FROM samples s JOIN reports p ON p.id = s.report_id
         WHERE s.site = ?1 AND NOT EXISTS (SELECT 1 FROM decisions d WHERE d.sample_id = s.id AND d.action = 'assign')",
    )?;
    let came = statement
        .query_map([into], |row| {
            Ok((row.get(0)?, row.get(1)?, row.get::<_, Option<String>>(2)?, row.get::<_, String>(3)?))
        })?
        .collect::<rusqlite::Result<Vec<(i64, String, _, _)>>>()?;
    for (sample, zone, client, label) in came {
        if moved.samples.contains_key(&sample) {
            continue;
        }
        let name = format!("{}/{}", client.as_deref().map(key).unwrap_or_default(), key(&label));
        let means = match site_rows::name_by_key(connection, &name)? {
            Some(name) => Some(name.name.site),
            None => made_id(client.as_deref(), &label),
        };
        if means.as_deref() == Some(id) {
            let back = Belonging { site: Some(id.to_owned()), zone };
            super::whereabouts::belong(connection, sample, &back)?;
        }
    }
    Ok(())
}
