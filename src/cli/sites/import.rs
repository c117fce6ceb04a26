//! `sites import`: a roster becomes what is known of sites, all of it or nothing.

use super::roster::{Roster, RosterRow, roster};
use crate::cli::context::Context;
use crate::cli::say::count;
use crate::history::{History, KeptSite, KnownName, NameOfSite, SiteCode, State, ZoneFacts, name_key};
use crate::ingest::names::Names;
use crate::ingest::{Ingest, site_of};
use crate::soil::site::{WHOLE, made_id, slug};
use crate::soil::{Doubt, Report, Site};
use anyhow::bail;
use std::collections::{BTreeMap, BTreeSet};
use std::path::Path;

/// Faults shown; more only tire.
const FAULTS: usize = 20;
/// Changes shown one by one.
const SHOWN: usize = 40;

/// Imports a roster, or says what it would change.
///
/// # Errors
/// Every fault of the file with its line and column; what the store says.
pub fn import(context: &mut Context, file: &Path, dry_run: bool, who: &str, at: &str) -> anyhow::Result<()> {
    let bytes =
        std::fs::read(file).map_err(|e| anyhow::anyhow!("{} cannot be read ({e})", file.display()))?;
    let mut ingest = context.ingest()?;
    let read = roster(&bytes).and_then(|roster| {
        let state = state(&ingest.history, &roster, who, at)?;
        Ok((roster, state))
    });
    let (roster, state) = match read {
        Ok(read) => read,
        Err(faults) => {
            let more = faults.len().saturating_sub(FAULTS);
            let mut lines: Vec<String> = faults.into_iter().take(FAULTS).collect();
            if more > 0 {
                lines.push(format!("and {more} more"));
            }
            bail!("{} was not imported, nothing is changed:\n  {}", file.display(), lines.join("\n  "));
        }
    };
    let ids: BTreeSet<String> = state.sites.keys().cloned().collect();
    let (before, after) = ingest.history.would_change(state.clone())?;
    for line in differences(&before, &after) {
        context.say.line(line)?;
    }
    if !roster.ignored.is_empty() {
        context.say.line(format!("Columns passed over: {}.", roster.ignored.join(", ")))?;
    }
    for line in twins(&ingest.history, &roster, &ids)? {
        context.say.line(line)?;
    }
    let changed = after.sites.len() + after.names.len() + after.zones.len() + after.codes.len();
    if dry_run {
        context.say.line(format!(
            "{} of {} would change; nothing is written.",
            count(changed, "entry").replace("entrys", "entries"),
            count(roster.rows.len(), "row")
        ))?;
        return Ok(());
    }
    match ingest.history.change_sites(state, "import", who, at)? {
        Some(id) => context.say.line(format!(
            "{} imported by decision {id}: `loamline undo {id}` takes it back.",
            count(roster.rows.len(), "row")
        ))?,
        None => context.say.line("The roster says nothing new.")?,
    }
    mark_alike(&mut ingest.history, &after)?;
    for line in find_again(&mut ingest, who, at)? {
        context.say.line(line)?;
    }
    Ok(())
}

/// What the store is to hold for the roster's rows.
fn state(history: &History, roster: &Roster, who: &str, at: &str) -> Result<State, Vec<String>> {
    let told = |e: crate::history::Error| vec![e.to_string()];
    let mut state = State::default();
    let mut faults = Vec::new();
    let mut rows_of: BTreeMap<String, Vec<&RosterRow>> = BTreeMap::new();
    for row in &roster.rows {
        let made = || made_id(row.client.as_deref(), row.name.as_deref().unwrap_or_default());
        if let Some(id) = row.id.clone().or_else(made) {
            rows_of.entry(id).or_default().push(row);
        }
    }
    let mut claimed: BTreeMap<String, (u64, bool)> = BTreeMap::new();
    for (id, rows) in &rows_of {
        let kept = history.kept_site(id).map_err(told)?;
        if let Some(other) = kept.as_ref().and_then(|kept| kept.joined_into.as_ref()) {
            let line = rows.first().map_or(0, |row| row.line);
            faults.push(format!("line {line}: {id} was joined into {other}; use that id, or undo the join"));
            continue;
        }
        let site = merged(id, kept.map(|kept| kept.site), rows, &mut faults);
        for row in rows {
            let zone = row.zone.clone().unwrap_or_else(|| WHOLE.to_owned());
            let key = format!("{id}/{zone}");
            if state.zones.contains_key(&key) {
                faults.push(format!("line {}: {id} with the zone {zone} stands there twice", row.line));
            }
            let facts = ZoneFacts { area_ft2: row.area_ft2, depth: row.depth };
            state.zones.insert(key, Some(facts).filter(|f| *f != ZoneFacts::default()));
            let own = match rows.len() {
                1 => vec![site.name.clone()],
                _ => vec![format!("{} {zone}", site.name)],
            };
            let listed = row.samples.iter().map(|name| (name.clone(), true));
            for (label, listed) in listed.chain(own.into_iter().map(|name| (name, false))) {
                let name = name_key(site.client.as_deref(), &label);
                match claimed.get(&name) {
                    // A name that is listed goes before one that is only the site's own.
                    Some((_, true)) if !listed => continue,
                    Some((line, false)) if !listed => {
                        faults.push(format!(
                            "line {}: the name `{label}` is that of line {line} too; list sample names",
                            row.line
                        ));
                        continue;
                    }
                    Some((line, true))
                        if state
                            .names
                            .get(&name)
                            .and_then(Option::as_ref)
                            .is_some_and(|k| k.name.site != *id || k.name.zone != zone) =>
                    {
                        faults.push(format!("line {}: the sample name `{label}` is listed in line {line} for another site or zone", row.line));
                        continue;
                    }
                    _ => {}
                }
                claimed.insert(name.clone(), (row.line, listed));
                let known =
                    NameOfSite { client: site.client.clone(), label, site: id.clone(), zone: zone.clone() };
                state.names.insert(name, Some(KnownName { name: known, roster: true }));
            }
            for code in &row.codes {
                let key = slug(code).to_uppercase();
                let taken = history.code(&key).map_err(told)?.is_some_and(|c| c.bag);
                if key.is_empty() || taken || state.codes.contains_key(&key) {
                    faults.push(format!(
                        "line {}: the code `{code}` means another bag or row already",
                        row.line
                    ));
                    continue;
                }
                let before = history.code(&key).map_err(told)?.filter(|c| c.site == *id && c.zone == zone);
                let new = SiteCode {
                    code: code.clone(),
                    bag: false,
                    site: id.clone(),
                    zone: zone.clone(),
                    season: None,
                    depth: None,
                    who: who.to_owned(),
                    at: at.to_owned(),
                };
                state.codes.insert(key, Some(before.unwrap_or(new)));
            }
        }
        state.sites.insert(id.clone(), Some(KeptSite { site, joined_into: None }));
    }
    if roster.names_samples {
        for known in history.names_of_sites().map_err(told)? {
            let key = name_key(known.name.client.as_deref(), &known.name.label);
            if known.roster && state.sites.contains_key(&known.name.site) {
                state.names.entry(key).or_insert(None);
            }
        }
    }
    if faults.is_empty() { Ok(state) } else { Err(faults) }
}

/// A site as it was, with what its rows say; an empty cell leaves what is known.
fn merged(id: &str, known: Option<Site>, rows: &[&RosterRow], faults: &mut Vec<String>) -> Site {
    let mut site =
        known.unwrap_or_else(|| Site { id: id.to_owned(), name: id.to_owned(), ..Site::default() });
    let mut said: BTreeMap<&str, (&str, u64)> = BTreeMap::new();
    for row in rows {
        let fields = [
            ("client", &row.client),
            ("name", &row.name),
            ("use", &row.use_),
            ("region", &row.region),
            ("texture", &row.texture),
            ("species", &row.species),
            ("note", &row.note),
        ];
        for (field, value) in fields {
            let Some(value) = value.as_deref() else { continue };
            match said.get(field) {
                Some((other, line)) if *other != value => {
                    faults.push(format!(
                        "line {}: {field} of {id} is `{value}`, but `{other}` in line {line}",
                        row.line
                    ));
                }
                _ => {
                    said.insert(field, (value, row.line));
                }
            }
        }
    }
    let get = |field: &str| said.get(field).map(|(value, _)| (*value).to_owned());
    site.client = get("client").or(site.client);
    site.name = get("name").unwrap_or(site.name);
    site.use_ = get("use").or(site.use_);
    site.region = get("region").or(site.region);
    site.texture = get("texture").or(site.texture);
    site.species = get("species").or(site.species);
    site.note = get("note").or(site.note);
    let areas: Option<Vec<f64>> = rows.iter().map(|row| row.area_ft2).collect();
    if let Some(areas) = areas {
        site.area_ft2 = Some(areas.iter().sum());
    }
    site
}

/// What changes, a line each.
pub fn differences(before: &State, after: &State) -> Vec<String> {
    let mut lines = Vec::new();
    for (id, site) in &after.sites {
        let old = before.sites.get(id).and_then(Option::as_ref);
        match (old, site) {
            (None, Some(new)) => lines.push(format!(
                "new site {id}: {}{}",
                new.site.name,
                new.site.client.as_ref().map_or_else(String::new, |c| format!(" of {c}"))
            )),
            (Some(old), Some(new)) => lines.push(format!("site {id}: {}", fields(&old.site, &new.site))),
            (Some(_), None) => lines.push(format!("site {id}: taken out")),
            (None, None) => {}
        }
    }
    for (key, name) in &after.names {
        let old = before.names.get(key).and_then(Option::as_ref);
        match (old, name) {
            (None, Some(new)) => lines.push(format!("name `{}` means {}", new.name.label, at(&new.name))),
            (Some(old), Some(new)) if at(&old.name) != at(&new.name) => {
                lines.push(format!(
                    "name `{}` means {} instead of {}",
                    new.name.label,
                    at(&new.name),
                    at(&old.name)
                ));
            }
            (Some(old), None) => {
                lines.push(format!("name `{}` means {} no more", old.name.label, at(&old.name)))
            }
            _ => {}
        }
    }
    for code in after.codes.values().flatten() {
        lines.push(format!("code {} means {}", code.code, code.site));
    }
    for (key, facts) in &after.zones {
        let facts = facts.clone().unwrap_or_default();
        let area = facts.area_ft2.map_or_else(String::new, |a| format!(", {a:.0} ft2"));
        let depth =
            facts.depth.map_or_else(String::new, |d| format!(", {:.1} to {:.1} cm", d.top_cm, d.bottom_cm));
        lines.push(format!("zone {key}{area}{depth}"));
    }
    let more = lines.len().saturating_sub(SHOWN);
    lines.truncate(SHOWN);
    if more > 0 {
        lines.push(format!("and {more} more"));
    }
    lines
}

fn at(name: &NameOfSite) -> String {
    if name.zone == WHOLE { name.site.clone() } else { format!("{} ({})", name.site, name.zone) }
}

fn fields(old: &Site, new: &Site) -> String {
    let (Ok(serde_json::Value::Object(old)), Ok(serde_json::Value::Object(new))) =
        (serde_json::to_value(old), serde_json::to_value(new))
    else {
        return "changed".to_owned();
    };
    let show = |v: Option<&serde_json::Value>| match v {
        None | Some(serde_json::Value::Null) => "nothing".to_owned(),
        Some(serde_json::Value::String(text)) => text.clone(),
        Some(other) => other.to_string(),
    };
    let changed = new.iter().filter(|(key, value)| old.get(*key) != Some(value));
    let lines: Vec<String> = changed
        .map(|(key, value)| {
            format!("{} {} -> {}", key.trim_end_matches('_'), show(old.get(key)), show(Some(value)))
        })
        .collect();
    lines.join(", ")
}

/// Sites that reports made under the same client and name before the roster came.
fn twins(history: &History, roster: &Roster, ids: &BTreeSet<String>) -> anyhow::Result<Vec<String>> {
    let mut lines = Vec::new();
    for row in &roster.rows {
        let Some(id) = &row.id else { continue };
        for name in row.samples.iter().chain(&row.name) {
            let Some(made) = made_id(row.client.as_deref(), name).filter(|made| !ids.contains(made)) else {
                continue;
            };
            if history.kept_site(&made)?.is_some_and(|kept| kept.joined_into.is_none()) {
                let line = format!(
                    "{made} came from reports under the same client and name: `loamline sites join {id} {made}` makes them one."
                );
                if !lines.contains(&line) {
                    lines.push(line);
                }
            }
        }
    }
    Ok(lines)
}

/// Sites that reports made under names nearly those that are new in the roster.
fn mark_alike(history: &mut History, after: &State) -> anyhow::Result<()> {
    let mut names = Names::default();
    let mut near = Vec::new();
    for name in after.names.values().flatten().map(|known| &known.name) {
        let offers = names.near(history, name.client.as_deref(), &name.label)?;
        near.extend(offers.into_iter().filter(|o| !o.said).map(|o| (name.site.clone(), o.site)));
    }
    for (site, other) in near {
        history.mark_alike(&site, &other)?;
    }
    Ok(())
}

/// The printed name itself is in doubt, so no roster can tell whose it is.
fn unsure_of_the_name(doubt: &Doubt) -> bool {
    doubt.reason == "name-repeated" || doubt.reason.starts_with("sample-")
}

/// Samples that waited for their site and are named now.
fn find_again(ingest: &mut Ingest, who: &str, at: &str) -> anyhow::Result<Vec<String>> {
    let history = &mut ingest.history;
    let mut seen = BTreeSet::new();
    let mut lines = Vec::new();
    let mut names = Names::default();
    for held in history.held()? {
        let waits = held.row.site.is_empty() && seen.insert(held.sample_id);
        if !waits || held.doubts.iter().any(unsure_of_the_name) {
            continue;
        }
        let report = Report { client: held.row.client.clone(), ..Report::default() };
        let label = &held.row.sample_label;
        let printed = site_of::Printed { report: &report, label, beside: &[] };
        let Some((site, zone)) = site_of::look_up(history, &mut names, &[], printed)?.site else {
            continue;
        };
        let id = history.assign(held.sample_id, &site, &zone, who, at)?;
        lines.push(format!(
            "`{label}` of `{}` waited and is of {site} now (decision {id}).",
            held.row.source_file
        ));
    }
    if !lines.is_empty() {
        let moved = ingest.reshelve()?;
        if moved > 0 {
            lines.push(format!("{} now filed.", count(moved, "original")));
        }
    }
    Ok(lines)
}
