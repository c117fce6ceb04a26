//! `history SITE`: a site's values, season by season.

use super::Exit;
use super::assessed::find_site;
use super::context::Context;
use super::say::{self, count};
use super::why;
use crate::assess::Assessment;
use crate::history::Filter;
use crate::soil::Status;
use crate::soil::site::WHOLE;
pub use crate::soil::value::rounded;

/// Seasons shown beside each other; earlier ones are in `--json` and the exports.
const SEASONS: usize = 8;

/// A site's values, season by season.
#[derive(Debug, clap::Args)]
#[command(
    after_help = "Examples:\n  loamline history front-lawn\n  loamline history front-lawn --why\n  loamline history front-lawn --json"
)]
pub struct History {
    /// The site's id, or a part of it that no other site has
    #[arg(value_name = "SITE")]
    site: String,
    /// Also how each series came about: readings used and left out, tables and their sources, rules
    #[arg(long)]
    why: bool,
    /// Every reading as JSON, with where it stands on its original
    #[arg(long)]
    json: bool,
}

impl History {
    /// Runs it.
    ///
    /// # Errors
    /// What the store says.
    pub fn run(self, context: &mut Context) -> anyhow::Result<Exit> {
        let history = context.history()?;
        let site = find_site(&history, &self.site)?;
        let rows = history.readings(&Filter { site: Some(site.id.clone()), ..Filter::default() })?;
        if self.json && !self.why {
            context.say.json(&rows)?;
            return Ok(Exit::Fine);
        }
        let held = rows.iter().filter(|r| r.status == Status::Held).count();
        let assessment = context.assessment(&history, site)?;
        let recommended = history.recommended(&assessment.site.id)?;
        if self.json {
            let why = crate::assess::why(&assessment, &rows)?;
            context
                .say
                .json(&serde_json::json!({ "readings": rows, "recommendations": recommended, "why": why }))?;
            return Ok(Exit::Fine);
        }
        context.say.line(super::attention::title(&assessment.site))?;
        if assessment.series.is_empty() {
            context.say.line("No reading counts yet.")?;
        } else {
            context.say.block(&table(&assessment))?;
        }
        for one in &recommended {
            let zone = if one.zone == WHOLE { String::new() } else { format!("{}: ", one.zone) };
            for sentence in one.sentences() {
                context.say.line(format!("{zone}{sentence}"))?;
            }
        }
        if self.why {
            for line in crate::assess::why(&assessment, &rows)?.iter().flat_map(why::lines) {
                context.say.line(line)?;
            }
        }
        if held > 0 {
            context.say.line(format!("{} held: `loamline held` shows why.", count(held, "more reading")))?;
        }
        Ok(Exit::Fine)
    }
}

/// Series down, seasons across.
fn table(assessment: &Assessment) -> String {
    let mut seasons: Vec<i16> =
        assessment.series.iter().flat_map(|f| f.series.values.iter().map(|v| v.season)).collect();
    seasons.sort_unstable();
    seasons.dedup();
    let seasons = seasons.split_off(seasons.len().saturating_sub(SEASONS));
    let years: Vec<String> = seasons.iter().map(i16::to_string).collect();
    let mut headings = vec!["zone", "measured", "method", "unit"];
    headings.extend(years.iter().map(String::as_str));
    headings.push("class");
    let rows = assessment.series.iter().map(|facts| {
        let key = &facts.series.key;
        let mut row = vec![
            key.zone.clone(),
            key.analyte.name().to_owned(),
            key.method.id().to_owned(),
            key.analyte.unit().suffix().to_owned(),
        ];
        for season in &seasons {
            let value = facts.series.values.iter().find(|v| v.season == *season);
            row.push(value.map_or_else(String::new, |v| {
                format!("{}{}", v.qualifier.map_or("", |q| q.id()), rounded(v.value))
            }));
        }
        row.push(facts.level().map(|l| l.class.clone()).unwrap_or_default());
        row
    });
    say::table(&headings, rows)
}
