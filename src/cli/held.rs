//! `held`: what waits for a person, with all that is needed to decide.

use super::Exit;
use super::context::Context;
use super::history::rounded;
use super::say::count;
use super::sites::perhaps_one;
use crate::history::HeldReading;
use crate::ingest::site_of;
use crate::soil::{Doubt, ReadingRow};
use serde::Serialize;

/// Lists what waits for a person: the file, the place, what is printed, and why; and sites that are perhaps one.
#[derive(Debug, clap::Args)]
#[command(
    after_help = "Examples:\n  loamline held\n  loamline held --file 2024-05\n  loamline held --json\n\nThe number before a reading is its key for `loamline settle`."
)]
pub struct Held {
    /// Of one file alone: a part of its name
    #[arg(long, value_name = "NAME")]
    file: Option<String>,
    /// As JSON
    #[arg(long)]
    json: bool,
}

/// A held reading for other programs.
#[derive(Serialize)]
struct Row<'a> {
    reading: &'a ReadingRow,
    sample_id: i64,
    doubts: &'a [Doubt],
    witnesses: &'a [String],
}

impl Held {
    /// Runs it.
    ///
    /// # Errors
    /// What the store says.
    pub fn run(self, context: &mut Context) -> anyhow::Result<Exit> {
        let history = context.history()?;
        let mut held = history.held()?;
        let wanted = |name: &str| self.file.as_deref().is_none_or(|part| name.contains(part));
        held.retain(|h| wanted(&h.row.source_file));
        site_of::offer_now(&history, &mut held)?;
        held.sort_by(|a, b| {
            let key = |h: &HeldReading| (h.row.source_file.clone(), h.row.source_sha256.clone());
            key(a)
                .cmp(&key(b))
                .then_with(|| a.row.doubt.cmp(&b.row.doubt))
                .then_with(|| a.row.id.cmp(&b.row.id))
        });
        if self.json {
            let rows: Vec<Row<'_>> = held
                .iter()
                .map(|h| Row {
                    reading: &h.row,
                    sample_id: h.sample_id,
                    doubts: &h.doubts,
                    witnesses: &h.witnesses,
                })
                .collect();
            context.say.json(&rows)?;
            return Ok(Exit::Fine);
        }
        let mut whole = history.held_whole()?;
        whole.retain(|document| wanted(&document.source_file));
        for line in lines(&held) {
            context.say.line(line)?;
        }
        for document in &whole {
            let why = document.why.as_deref().unwrap_or_default();
            context.say.line(format!("{}\n  {why}", document.source_file))?;
        }
        let perhaps_one = if self.file.is_none() { perhaps_one(&history)? } else { Vec::new() };
        for line in &perhaps_one {
            context.say.line(line)?;
        }
        if held.is_empty() && whole.is_empty() {
            if perhaps_one.is_empty() {
                context.say.line("Nothing waits.")?;
            }
        } else {
            context.say.line(format!(
                "{} in doubt. Look at the original, then: loamline settle accept KEY... | correct KEY VALUE | reject KEY... | unit UNIT KEY... | method METHOD KEY... | assign SITE KEY... | date YYYY-MM-DD KEY...",
                count(held.len(), "reading")
            ))?;
        }
        Ok(Exit::Fine)
    }
}

/// Held readings under their file and reason: one sentence, then the readings it is about.
pub fn lines(held: &[HeldReading]) -> Vec<String> {
    let mut lines = Vec::new();
    let (mut file, mut doubt) = (None, None);
    for one in held {
        let row = &one.row;
        if file != Some(&row.source_sha256) {
            lines.push(row.source_file.clone());
            (file, doubt) = (Some(&row.source_sha256), None);
        }
        let sites: Vec<&String> = of_the_sample(one).collect();
        if doubt.as_ref() != Some(&(&row.doubt, sites.clone())) {
            lines.push(format!("  {}", row.doubt.as_deref().unwrap_or("In doubt.")));
            lines.extend(sites.iter().map(|alternative| format!("      or: {alternative}")));
            doubt = Some((&row.doubt, sites));
        }
        let place = row.place.map_or_else(String::new, |p| format!(", {}", p.spoken()));
        let unit = row.analyte.unit().suffix();
        lines.push(format!(
            "    {:>6}  {}, {}: printed `{}`, read as {}{} {}{place}",
            row.id,
            if row.sample_label.is_empty() { "sample without a name" } else { &row.sample_label },
            row.analyte.name(),
            format!("{} {}", row.raw_value, row.raw_unit).trim(),
            row.qualifier.map_or("", |q| q.id()),
            rounded(row.value),
            unit
        ));
        let own = one.doubts.iter().filter(|d| !about_the_site(d));
        for alternative in own.flat_map(|d| &d.alternatives) {
            lines.push(format!("            or: {alternative}"));
        }
    }
    lines
}

/// Competing sites: said once, not for every reading of the sample.
fn of_the_sample(held: &HeldReading) -> impl Iterator<Item = &String> {
    held.doubts.iter().filter(|d| about_the_site(d)).flat_map(|d| &d.alternatives)
}

fn about_the_site(doubt: &Doubt) -> bool {
    doubt.reason.starts_with("site")
}
