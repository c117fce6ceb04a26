//! `trend SITE`: how a site's values move, and when they meet the edge of sufficiency.

use super::Exit;
use super::assessed::find_site;
use super::context::Context;
use super::history::rounded;
use super::say;
use super::why::{self, Explained};
use crate::assess::{TrendRow, trend_rows};

/// How a site's values move, and when they meet the edge of sufficiency.
#[derive(Debug, clap::Args)]
#[command(
    after_help = "Examples:\n  loamline trend front-lawn\n  loamline trend front-lawn --why\n\nSlopes are Theil-Sen, in the unit a year, with their confidence bounds."
)]
pub struct Trend {
    /// The site's id, or a part of it that no other site has
    #[arg(value_name = "SITE")]
    site: String,
    /// Also how each came about: readings used and left out, tables and their sources, rules
    #[arg(long)]
    why: bool,
    /// As JSON, with every column of `export trends`
    #[arg(long)]
    json: bool,
}

impl Trend {
    /// Runs it.
    ///
    /// # Errors
    /// What the store says.
    pub fn run(self, context: &mut Context) -> anyhow::Result<Exit> {
        let history = context.history()?;
        let assessment = context.assessment(&history, find_site(&history, &self.site)?)?;
        let rows = trend_rows(&assessment);
        let reasons = self.why.then(|| why::of_site(&history, &assessment)).transpose()?;
        match &reasons {
            Some(reasons) if self.json => {
                let zipped: Vec<_> =
                    rows.iter().zip(reasons).map(|(row, why)| Explained { row, why }).collect();
                context.say.json(&zipped)?;
                return Ok(Exit::Fine);
            }
            None if self.json => {
                context.say.json(&rows)?;
                return Ok(Exit::Fine);
            }
            _ => {}
        }
        context.say.line(super::attention::title(&assessment.site))?;
        let headings = [
            "zone",
            "measured",
            "method",
            "seasons",
            "last",
            "a year",
            "bounds",
            "class",
            "sufficient from",
            "meets it",
        ];
        context.say.block(&say::table(&headings, rows.iter().map(row)))?;
        for facts in &assessment.series {
            // Where nobody published how far results scatter, the numbers above say it all.
            let change = facts.change_sentence.as_ref().filter(|_| {
                facts
                    .change
                    .as_ref()
                    .is_some_and(|c| c.critical.is_some() || c.from_qualifier.or(c.to_qualifier).is_some())
            });
            for sentence in
                [facts.early_word.as_ref(), change, facts.removal_word.as_ref()].into_iter().flatten()
            {
                context.say.line(format!("{}: {sentence}", facts.analyte().name()))?;
            }
        }
        for line in reasons.iter().flatten().flat_map(why::lines) {
            context.say.line(line)?;
        }
        Ok(Exit::Fine)
    }
}

fn row(t: &TrendRow) -> Vec<String> {
    let number = |n: Option<f64>| n.map(rounded).unwrap_or_default();
    let bounds = match (t.slope_low, t.slope_high) {
        (Some(low), Some(high)) => format!("{} to {}", rounded(low), rounded(high)),
        _ => String::new(),
    };
    vec![
        t.zone.clone(),
        t.analyte.name().to_owned(),
        t.method.id().to_owned(),
        format!("{} ({}-{})", t.n, t.first_season, t.last_season),
        format!("{} {}", rounded(t.last_value), t.unit.suffix()).trim_end().to_owned(),
        number(t.slope_per_year),
        bounds,
        t.level.clone().unwrap_or_default(),
        number(t.sufficient_from),
        t.crosses_in.map(|y| y.to_string()).unwrap_or_default(),
    ]
}
