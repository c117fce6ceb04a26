//! What a person decides about what is held: the words of a command or a form become decisions, each with its undo.

mod read_as;

mod teach;

pub use teach::words;

use crate::history::{Decision, History, KeptSite, KnownName, NameOfSite, State, name_key};
use crate::soil::season::season;
use crate::soil::site::slug;
use crate::soil::{ReadingRow, Site};
use anyhow::{Context as _, bail};
use jiff::civil::Date;
use std::collections::BTreeSet;

/// Who decides, and when.
#[derive(Debug, Clone)]
pub struct By {
    /// Who.
    pub who: String,
    /// When (RFC 3339).
    pub at: String,
}

/// Where samples belong.
#[derive(Debug, Clone)]
pub struct To {
    /// Site id; it must be in the history.
    pub site: String,
    /// Zone of the site.
    pub zone: String,
    /// From now on the printed client and name mean this site.
    pub remember: bool,
    /// From now on this name, or none, on this form means this site.
    pub teach: bool,
}

/// They are right as read.
///
/// # Errors
/// A key that is not there; nothing to teach where that is asked.
pub fn accept(history: &mut History, keys: &[i64], teach: bool, by: &By) -> anyhow::Result<Vec<String>> {
    let rules = if teach { teach::accepted(history, keys)? } else { Vec::new() };
    let mut said = each(history, keys.iter().map(|key| (*key, Decision::Accept)), by)?;
    said.extend(teach::all(history, rules, &by.who, &by.at)?);
    Ok(said)
}

/// They do not count.
///
/// # Errors
/// A key that is not there.
pub fn reject(history: &mut History, keys: &[i64], by: &By) -> anyhow::Result<Vec<String>> {
    each(history, keys.iter().map(|key| (*key, Decision::Reject)), by)
}

/// It is this value instead, in the unit the history keeps.
///
/// # Errors
/// No value, or one that cannot be.
pub fn correct(history: &mut History, key: i64, value: &str, by: &By) -> anyhow::Result<Vec<String>> {
    let decision = read_as::correction(&reading(history, key)?, value)?;
    each(history, [(key, decision)], by)
}

/// Their printed numbers are in this unit.
///
/// # Errors
/// A unit that is not known or leads nowhere.
pub fn unit(
    history: &mut History,
    unit: &str,
    keys: &[i64],
    teach: bool,
    by: &By,
) -> anyhow::Result<Vec<String>> {
    let (decisions, rules) = read_as::in_unit(history, unit, keys)?;
    let mut said = each(history, decisions, by)?;
    said.extend(teach::all(history, if teach { rules } else { Vec::new() }, &by.who, &by.at)?);
    Ok(said)
}

/// They were measured by this method.
///
/// # Errors
/// A method that is not known.
pub fn method(
    history: &mut History,
    method: &str,
    keys: &[i64],
    teach: bool,
    by: &By,
) -> anyhow::Result<Vec<String>> {
    let (decisions, rules) = read_as::by_method(history, method, keys)?;
    let mut said = each(history, decisions, by)?;
    said.extend(teach::all(history, if teach { rules } else { Vec::new() }, &by.who, &by.at)?);
    Ok(said)
}

/// The samples of these readings belong to this site.
///
/// # Errors
/// A key or site that is not there.
pub fn assign(history: &mut History, keys: &[i64], to: &To, by: &By) -> anyhow::Result<Vec<String>> {
    let keys = one_a_sample(history, keys)?;
    let rules = if to.teach { teach::samples(history, &keys, &to.site, &to.zone)? } else { Vec::new() };
    let decision = |key: &i64| (*key, Decision::Assign { site: to.site.clone(), zone: to.zone.clone() });
    let mut said = each(history, keys.iter().map(decision).collect::<Vec<_>>(), by)?;
    if to.remember {
        said.extend(remembered(history, &keys, &to.site, &to.zone, by)?);
    }
    said.extend(teach::all(history, rules, &by.who, &by.at)?);
    Ok(said)
}

/// The samples of these readings were taken on this day. `next_from` is the month from which a sample counts for the
/// next season.
///
/// # Errors
/// A key that is not there.
pub fn date(
    history: &mut History,
    day: Date,
    keys: &[i64],
    next_from: Option<i8>,
    by: &By,
) -> anyhow::Result<Vec<String>> {
    let season = season(Some(day), None, None, next_from).context("the day has no season")?;
    let keys = one_a_sample(history, keys)?;
    each(history, keys.into_iter().map(|key| (key, Decision::Date { day, season })), by)
}

/// Makes a site, or finds the one there is; its id, and what is said where it was made.
///
/// # Errors
/// A word that makes no id; what the store says.
pub fn new_site(
    history: &mut History,
    asked: &str,
    name: String,
    by: &By,
) -> anyhow::Result<(String, Option<String>)> {
    let id = slug(asked);
    if id.is_empty() {
        bail!("`{asked}` is no site id: use letters, digits and hyphens");
    }
    if let Some(site) = history.site(&id)? {
        return Ok((site.id, None));
    }
    let site = Site { id: id.clone(), name, ..Site::default() };
    let mut state = State::default();
    state.sites.insert(id.clone(), Some(KeptSite { site, joined_into: None }));
    let made = history.change_sites(state, "new", &by.who, &by.at)?;
    let said = made.map(|decision| format!("The site {id} is new, by decision {decision}."));
    Ok((id, said))
}

fn each(
    history: &mut History,
    decisions: impl IntoIterator<Item = (i64, Decision)>,
    by: &By,
) -> anyhow::Result<Vec<String>> {
    let mut said = Vec::new();
    for (key, decision) in decisions {
        let id = history.decide(key, &decision, &by.who, &by.at)?;
        let what = match decision {
            Decision::Assign { .. } | Decision::Date { .. } => "The sample of reading",
            _ => "Reading",
        };
        said.push(format!("{what} {key} settled by decision {id}: `loamline undo {id}` takes it back."));
    }
    Ok(said)
}

/// From now on the printed client and names mean the site.
fn remembered(
    history: &mut History,
    keys: &[i64],
    site: &str,
    zone: &str,
    by: &By,
) -> anyhow::Result<Option<String>> {
    let mut state = State::default();
    for key in keys {
        let row = reading(history, *key)?;
        let client = history.printed_client(*key)?;
        let name =
            NameOfSite { client, label: row.sample_label, site: site.to_owned(), zone: zone.to_owned() };
        let key = name_key(name.client.as_deref(), &name.label);
        state.names.insert(key, Some(KnownName { name, roster: false }));
    }
    let id = history.change_sites(state, "name", &by.who, &by.at)?;
    Ok(id.map(|id| format!("The name is remembered by decision {id}: `loamline undo {id}` takes it back.")))
}

/// The first of the keys that are of one sample.
fn one_a_sample(history: &History, keys: &[i64]) -> anyhow::Result<Vec<i64>> {
    let mut seen = BTreeSet::new();
    let mut first = Vec::new();
    for key in keys {
        if seen.insert(history.sample_of(*key)?) {
            first.push(*key);
        }
    }
    Ok(first)
}

fn reading(history: &History, key: i64) -> anyhow::Result<ReadingRow> {
    let found = history.reading(key)?;
    Ok(found.with_context(|| format!("there is no reading {key}: `loamline held` shows the keys"))?.row)
}
