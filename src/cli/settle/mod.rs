//! `settle` and `undo`: what a person decides about what is held.

mod log;

mod read_as;

mod teach;

pub use log::Undo;

use super::Exit;
use super::assessed::find_site;
use super::context::Context;
use super::say::count;
use crate::history::{Decision, History, KeptSite, KnownName, NameOfSite, State, name_key};
use crate::ingest::Ingest;
use crate::soil::season::season;
use crate::soil::site::{WHOLE, slug};
use crate::soil::{ReadingRow, Site};
use anyhow::{Context as _, bail};
use jiff::civil::Date;
use std::collections::BTreeSet;

/// Settles what is held: accept, correct, reject, name the unit, the method, the site or the day.
#[derive(Debug, clap::Args)]
#[command(
    after_help = "Examples:\n  loamline settle accept 17 18 19 --who Robin\n  loamline settle correct 17 6.4 --who Robin\n  loamline settle unit lb/acre 17 18 --teach --who Robin\n  loamline settle method mehlich-3 17 --teach --who Robin\n  loamline settle assign vale-front-lawn 17 --who Robin\n  loamline settle date 2024-05-01 17 --who Robin\n  loamline settle replaced old.pdf new.pdf --who Robin\n\nKeys are those `loamline held` shows. Nothing printed is lost: a decision stands beside it and can be taken back. With --teach the answer is remembered for the same form of the same laboratory: `loamline taught` lists what is."
)]
pub struct Settle {
    #[command(subcommand)]
    what: What,
    /// Who decides (else the name of the user)
    #[arg(long, global = true, value_name = "NAME")]
    who: Option<String>,
}

#[derive(Debug, clap::Subcommand)]
enum What {
    /// They are right as read
    Accept {
        /// Keys of readings
        #[arg(required = true, value_name = "KEY")]
        keys: Vec<i64>,
        /// Remember for this form that its column, unit or layer is right as read
        #[arg(long)]
        teach: bool,
    },
    /// It is this value instead, in the unit the history keeps
    Correct {
        /// Key of the reading
        key: i64,
        /// The value; `<` or `>` before it where the laboratory says so
        value: String,
    },
    /// They do not count
    Reject {
        /// Keys of readings
        #[arg(required = true, value_name = "KEY")]
        keys: Vec<i64>,
    },
    /// Their printed numbers are in this unit
    Unit {
        /// The unit: ppm, lb/acre, mg/kg, % ...
        unit: String,
        /// Keys of readings
        #[arg(required = true, value_name = "KEY")]
        keys: Vec<i64>,
        /// Remember it for this form
        #[arg(long)]
        teach: bool,
    },
    /// They were measured by this method
    Method {
        /// The method, as the history names it: mehlich-3, olsen, water-1:1 ...
        method: String,
        /// Keys of readings
        #[arg(required = true, value_name = "KEY")]
        keys: Vec<i64>,
        /// Remember it for this form
        #[arg(long)]
        teach: bool,
    },
    /// The samples of these readings belong to this site
    Assign {
        /// Site id
        site: String,
        /// Keys of readings
        #[arg(required = true, value_name = "KEY")]
        keys: Vec<i64>,
        /// The zone of the site
        #[arg(long, default_value = WHOLE)]
        zone: String,
        /// Make the site, with this name
        #[arg(long, value_name = "NAME")]
        new: Option<String>,
        /// From now on this client and sample name mean this site
        #[arg(long)]
        remember: bool,
        /// From now on this name, or none, on this form means this site
        #[arg(long)]
        teach: bool,
    },
    /// The samples of these readings were taken on this day; the report prints none
    Date {
        /// The day
        #[arg(value_name = "YYYY-MM-DD")]
        day: Date,
        /// Keys of readings
        #[arg(required = true, value_name = "KEY")]
        keys: Vec<i64>,
    },
    /// One document replaces another: the newer counts, both are kept
    Replaced {
        /// Name of the older file, or the start of its hash
        older: String,
        /// Name of the newer file, or the start of its hash
        newer: String,
    },
    /// Two documents are no issues of one report: both count
    Apart {
        /// Name of one file, or the start of its hash
        one: String,
        /// Name of the other, or the start of its hash
        other: String,
    },
    /// Lists every decision: who, when, before, after
    Log {
        /// As JSON
        #[arg(long)]
        json: bool,
    },
}

impl Settle {
    /// Runs it.
    ///
    /// # Errors
    /// A key or site that is not there, or what the store says.
    pub fn run(self, context: &mut Context) -> anyhow::Result<Exit> {
        if let What::Log { json } = self.what {
            return log::log(context, json);
        }
        let by = By { who: who(self.who)?, at: jiff::Timestamp::now().to_string() };
        let mut ingest = context.ingest()?;
        let next_from = context.settings.season.next_from_month;
        let said = settled(&mut ingest.history, self.what, &by, next_from)?;
        for line in said {
            context.say.line(line)?;
        }
        refile(&mut ingest, context)
    }
}

/// Who decides, and when.
struct By {
    who: String,
    at: String,
}

/// Decides, and says by which decisions.
fn settled(history: &mut History, what: What, by: &By, next_from: Option<i8>) -> anyhow::Result<Vec<String>> {
    let By { who, at } = by;
    let mut said = Vec::new();
    match what {
        What::Accept { keys, teach } => {
            let rules = if teach { teach::accepted(history, &keys)? } else { Vec::new() };
            said.extend(each(history, keys.iter().map(|key| (*key, Decision::Accept)), by)?);
            said.extend(teach::all(history, rules, who, at)?);
        }
        What::Reject { keys } => {
            said.extend(each(history, keys.into_iter().map(|key| (key, Decision::Reject)), by)?);
        }
        What::Correct { key, value } => {
            let decision = read_as::correction(&reading(history, key)?, &value)?;
            said.extend(each(history, [(key, decision)], by)?);
        }
        What::Unit { unit, keys, teach } => {
            let (decisions, rules) = read_as::in_unit(history, &unit, &keys)?;
            said.extend(each(history, decisions, by)?);
            said.extend(teach::all(history, if teach { rules } else { Vec::new() }, who, at)?);
        }
        What::Method { method, keys, teach } => {
            let (decisions, rules) = read_as::by_method(history, &method, &keys)?;
            said.extend(each(history, decisions, by)?);
            said.extend(teach::all(history, if teach { rules } else { Vec::new() }, who, at)?);
        }
        What::Assign { site, keys, zone, new, remember, teach } => {
            let (site, made) = assigned_site(history, &site, new, by)?;
            said.extend(made);
            let keys = one_a_sample(history, &keys)?;
            let rules = if teach { teach::samples(history, &keys, &site, &zone)? } else { Vec::new() };
            let decision = |key: &i64| (*key, Decision::Assign { site: site.clone(), zone: zone.clone() });
            said.extend(each(history, keys.iter().map(decision).collect::<Vec<_>>(), by)?);
            if remember {
                said.extend(remembered(history, &keys, &site, &zone, by)?);
            }
            said.extend(teach::all(history, rules, who, at)?);
        }
        What::Date { day, keys } => {
            let season = season(Some(day), None, None, next_from).context("the day has no season")?;
            let keys = one_a_sample(history, &keys)?;
            let decisions = keys.into_iter().map(|key| (key, Decision::Date { day, season }));
            said.extend(each(history, decisions, by)?);
        }
        What::Replaced { older, newer } => {
            let (older, newer) = (document(history, &older)?, document(history, &newer)?);
            let id = history.say_replaced(&older.1, &newer.1, who, at)?;
            said.push(format!(
                "`{}` replaces `{}` by decision {id}: `loamline undo {id}` takes it back.",
                newer.0, older.0
            ));
        }
        What::Apart { one, other } => {
            let (one, other) = (document(history, &one)?, document(history, &other)?);
            let id = history.say_apart(&one.1, &other.1, who, at)?;
            said.push(format!(
                "`{}` and `{}` both count by decision {id}: `loamline undo {id}` takes it back.",
                one.0, other.0
            ));
        }
        What::Log { .. } => {}
    }
    Ok(said)
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

fn refile(ingest: &mut Ingest, context: &mut Context) -> anyhow::Result<Exit> {
    let moved = ingest.reshelve()?;
    if moved > 0 {
        context.say.line(format!("{} now filed.", count(moved, "original")))?;
    }
    Ok(Exit::Fine)
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

/// Name and hash of the document that is called so.
fn document(history: &History, asked: &str) -> anyhow::Result<(String, String)> {
    /// Figures of a hash that are surely meant as one.
    const HASH: usize = 8;
    let all = history.documents()?;
    let hash = |sha256: &str| asked.len() >= HASH && sha256.starts_with(asked);
    let mut found: Vec<(String, String)> = all
        .into_iter()
        .filter(|d| d.source_file == asked || hash(&d.source_sha256))
        .map(|d| (d.source_file, d.source_sha256))
        .collect();
    found.sort_by(|a, b| a.1.cmp(&b.1));
    found.dedup_by(|a, b| a.1 == b.1);
    match found.as_slice() {
        [one] => Ok(one.clone()),
        [] => bail!("there is no document `{asked}`: give its file name or the start of its hash"),
        several => bail!(
            "several documents are called `{asked}`: give the start of a hash, {}",
            several
                .iter()
                .map(|d| d.1.chars().take(HASH).collect::<String>())
                .collect::<Vec<_>>()
                .join(" or ")
        ),
    }
}

pub fn who(said: Option<String>) -> anyhow::Result<String> {
    let named = said.or_else(|| std::env::var("USER").ok()).map(|w| w.trim().to_owned());
    named.filter(|w| !w.is_empty()).context("who decides is not known: say it with --who NAME")
}

fn reading(history: &History, key: i64) -> anyhow::Result<ReadingRow> {
    let found = history.reading(key)?;
    Ok(found.with_context(|| format!("there is no reading {key}: `loamline held` shows the keys"))?.row)
}

/// The id of the site asked for, and what is said where it was made.
fn assigned_site(
    history: &mut History,
    asked: &str,
    new: Option<String>,
    by: &By,
) -> anyhow::Result<(String, Option<String>)> {
    let Some(name) = new else {
        let found = find_site(history, asked);
        return Ok((found.context("to make a new site, add --new NAME")?.id, None));
    };
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
