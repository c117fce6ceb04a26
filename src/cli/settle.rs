//! `settle` and `undo`: what a person decides about what is held.

use super::Exit;
use super::assessed::find_site;
use super::context::Context;
use super::say::count;
use crate::history::{Decision, Filter, History, NameOfSite};
use crate::soil::site::{WHOLE, slug};
use crate::soil::{Qualifier, Quantity, ReadingRow, Site};
use anyhow::{Context as _, bail};

/// Settles what is held: accept, correct, reject, or say which site.
#[derive(Debug, clap::Args)]
#[command(
    after_help = "Examples:\n  loamline settle accept 17 18 19 --who Robin\n  loamline settle correct 17 6.4 --who Robin\n  loamline settle assign vale-front-lawn 17 --who Robin\n\nKeys are those `loamline held` shows. Nothing printed is lost: a decision stands beside it and can be taken back."
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
    },
}

impl Settle {
    /// Runs it.
    ///
    /// # Errors
    /// A key or site that is not there, or what the store says.
    pub fn run(self, context: &mut Context) -> anyhow::Result<Exit> {
        let who = who(self.who)?;
        let at = jiff::Timestamp::now().to_string();
        let mut ingest = context.ingest()?;
        let history = &mut ingest.history;
        let decisions: Vec<(i64, Decision)> = match self.what {
            What::Accept { keys } => keys.into_iter().map(|key| (key, Decision::Accept)).collect(),
            What::Reject { keys } => keys.into_iter().map(|key| (key, Decision::Reject)).collect(),
            What::Correct { key, value } => vec![(key, correction(&reading(history, key)?, &value)?)],
            What::Assign { site, keys, zone, new, remember } => {
                let site = assigned_site(history, &site, new)?;
                if remember {
                    for key in &keys {
                        let row = reading(history, *key)?;
                        history.name_site(&NameOfSite {
                            client: row.client,
                            label: row.sample_label,
                            site: site.clone(),
                            zone: zone.clone(),
                        })?;
                    }
                }
                keys.into_iter()
                    .map(|key| (key, Decision::Assign { site: site.clone(), zone: zone.clone() }))
                    .collect()
            }
        };
        for (key, decision) in decisions {
            let id = history.decide(key, &decision, &who, &at)?;
            context.say.line(format!(
                "Reading {key} settled by decision {id}: `loamline undo {id}` takes it back."
            ))?;
        }
        let moved = ingest.reshelve()?;
        if moved > 0 {
            context.say.line(format!("{} now filed.", count(moved, "original")))?;
        }
        Ok(Exit::Fine)
    }
}

/// Takes a decision back.
#[derive(Debug, clap::Args)]
#[command(
    after_help = "What it concerned stands as it did before. Later decisions on the same reading go first."
)]
pub struct Undo {
    /// Number of the decision
    decision: i64,
    /// Who takes it back (else the name of the user)
    #[arg(long, value_name = "NAME")]
    who: Option<String>,
}

impl Undo {
    /// Runs it.
    ///
    /// # Errors
    /// A decision that is not there or cannot be taken back.
    pub fn run(self, context: &mut Context) -> anyhow::Result<Exit> {
        let mut history = context.history()?;
        let id = history.undo(self.decision, &who(self.who)?, &jiff::Timestamp::now().to_string())?;
        context.say.line(format!("Decision {} taken back by decision {id}.", self.decision))?;
        Ok(Exit::Fine)
    }
}

pub(super) fn who(said: Option<String>) -> anyhow::Result<String> {
    let named = said.or_else(|| std::env::var("USER").ok()).map(|w| w.trim().to_owned());
    named.filter(|w| !w.is_empty()).context("who decides is not known: say it with --who NAME")
}

fn reading(history: &History, key: i64) -> anyhow::Result<ReadingRow> {
    let rows = history.readings(&Filter::default())?;
    rows.into_iter()
        .find(|r| r.id == key)
        .with_context(|| format!("there is no reading {key}: `loamline held` shows the keys"))
}

/// The decision that a reading is this value, in the unit of its analyte.
fn correction(row: &ReadingRow, text: &str) -> anyhow::Result<Decision> {
    let text = text.trim();
    let (qualifier, number) = match text.split_at_checked(1) {
        Some(("<", rest)) => (Some(Qualifier::Below), rest),
        Some((">", rest)) => (Some(Qualifier::Above), rest),
        _ => (None, text),
    };
    let unit = row.analyte.unit();
    let value: f64 =
        number.trim().parse().ok().filter(|v: &f64| v.is_finite() && *v >= 0.0).with_context(|| {
            format!("`{text}` is no value: give a number in {}, such as 6.4 or <0.1", unit.id())
        })?;
    let quantity = Quantity { value, unit, qualifier, basis: row.basis };
    Ok(Decision::Correct { analyte: row.analyte, method: row.method, quantity })
}

fn assigned_site(history: &mut History, asked: &str, new: Option<String>) -> anyhow::Result<String> {
    let Some(name) = new else {
        let found = find_site(history, asked);
        return Ok(found.context("to make a new site, add --new NAME")?.id);
    };
    let id = slug(asked);
    if id.is_empty() {
        bail!("`{asked}` is no site id: use letters, digits and hyphens");
    }
    if history.site(&id)?.is_none() {
        history.upsert_site(&Site { id: id.clone(), name, ..Site::default() })?;
    }
    Ok(id)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::soil::{Analyte, Method, Status};

    fn row() -> ReadingRow {
        ReadingRow {
            id: 1,
            site: String::new(),
            zone: WHOLE.into(),
            client: None,
            sample_label: "a".into(),
            lab_sample: None,
            report: None,
            lab: None,
            sampled_on: None,
            received_on: None,
            reported_on: None,
            season: None,
            depth_top_cm: None,
            depth_bottom_cm: None,
            analyte: Analyte::Ph,
            method: Method::Unstated,
            value: 64.0,
            basis: None,
            qualifier: None,
            raw_value: "64".into(),
            raw_unit: String::new(),
            status: Status::Held,
            doubt: None,
            source_file: "x".into(),
            source_sha256: "y".into(),
            place: None,
        }
    }

    #[test]
    fn a_correction_is_a_plain_number_in_the_unit_of_its_analyte() {
        let Decision::Correct { quantity, .. } = correction(&row(), "<6.4").unwrap() else {
            panic!("no correction")
        };
        assert_eq!((quantity.value, quantity.qualifier), (6.4, Some(Qualifier::Below)));
        for wrong in ["six", "-1", "NaN", "", "6,4", "é"] {
            assert!(correction(&row(), wrong).is_err(), "{wrong}");
        }
    }
}
