//! `settle` and `undo`: what a person decides about what is held.

mod log;

pub use log::Undo;

use super::Exit;
use super::assessed::find_site;
use super::context::Context;
use super::say::count;
use crate::history::History;
use crate::ingest::Ingest;
use crate::settle::{self, By};
use crate::soil::site::WHOLE;
use anyhow::{Context as _, bail};
use jiff::civil::Date;

/// Settles what is held: accept, correct, reject, name the unit, the method, the site or the day.
#[derive(Debug, clap::Args)]
#[command(
    after_help = "Examples:\n  loamline settle accept 17 18 19 --who Robin\n  loamline settle correct 17 6.4 --who Robin\n  loamline settle reject 17 --who Robin\n  loamline settle unit lb/acre 17 18 --teach --who Robin\n  loamline settle method mehlich-3 17 --teach --who Robin\n  loamline settle assign vale-front-lawn 17 --who Robin\n  loamline settle date 2024-05-01 17 --who Robin\n  loamline settle replaced old.pdf new.pdf --who Robin\n  loamline settle apart first.pdf second.pdf --who Robin\n  loamline settle log\n\nKeys are those `loamline held` shows. Nothing printed is lost: a decision stands beside it and can be taken back. With --teach the answer is remembered for the same form of the same laboratory: `loamline taught` lists what is."
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

/// Decides, and says by which decisions.
fn settled(history: &mut History, what: What, by: &By, next_from: Option<i8>) -> anyhow::Result<Vec<String>> {
    let By { who, at } = by;
    let mut said = Vec::new();
    match what {
        What::Accept { keys, teach } => said.extend(settle::accept(history, &keys, teach, by)?),
        What::Reject { keys } => said.extend(settle::reject(history, &keys, by)?),
        What::Correct { key, value } => said.extend(settle::correct(history, key, &value, by)?),
        What::Unit { unit, keys, teach } => said.extend(settle::unit(history, &unit, &keys, teach, by)?),
        What::Method { method, keys, teach } => {
            said.extend(settle::method(history, &method, &keys, teach, by)?);
        }
        What::Assign { site, keys, zone, new, remember, teach } => {
            let site = match new {
                Some(name) => {
                    let (site, made) = settle::new_site(history, &site, name, by)?;
                    said.extend(made);
                    site
                }
                None => find_site(history, &site).context("to make a new site, add --new NAME")?.id,
            };
            let to = settle::To { site, zone, remember, teach };
            said.extend(settle::assign(history, &keys, &to, by)?);
        }
        What::Date { day, keys } => said.extend(settle::date(history, day, &keys, next_from, by)?),
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

fn refile(ingest: &mut Ingest, context: &mut Context) -> anyhow::Result<Exit> {
    let moved = ingest.reshelve()?;
    if moved > 0 {
        context.say.line(format!("{} now filed.", count(moved, "original")))?;
    }
    Ok(Exit::Fine)
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
