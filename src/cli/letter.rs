//! `letter`: a client's letter of one page.

use super::Exit;
use super::assessed::find_site;
use super::context::Context;
use crate::export::write_whole;
use crate::plan::dates::current_season;
use crate::plan::letter::letter;
use crate::planned;
use std::path::PathBuf;

/// Writes a client's letter: one page of HTML that prints to one sheet.
#[derive(Debug, clap::Args)]
#[command(
    after_help = "Examples:\n  loamline letter front-lawn -o front-lawn.html\n\nWho signs it stands in loamline.toml: [plan] from."
)]
pub struct Letter {
    /// The site's id, or a part of it that no other site has
    #[arg(value_name = "SITE")]
    site: String,
    /// The season (else this year, or the next once this year's last feeding days are over)
    #[arg(long, value_name = "YEAR", value_parser = clap::value_parser!(i16).range(1900..=9000))]
    season: Option<i16>,
    /// Into this file
    #[arg(short, value_name = "FILE")]
    output: PathBuf,
}

impl Letter {
    /// Runs it.
    ///
    /// # Errors
    /// What the store, the settings, the products file or the disk says.
    pub fn run(self, context: &mut Context) -> anyhow::Result<Exit> {
        let history = context.history()?;
        let assessment = context.assessment(&history, find_site(&history, &self.site)?)?;
        let season = match self.season {
            Some(season) => season,
            None => current_season(context.today)?,
        };
        let plan = context.plan(&history, &assessment, &context.products()?, season)?;
        let charts = planned::letter_charts(&assessment)?;
        let from = context.settings.plan.from.as_deref().unwrap_or_default();
        let page = letter(&assessment, &plan, from, &charts);
        write_whole(&self.output, page.as_bytes())?;
        context.say.line(format!("Written to {}.", self.output.display()))?;
        Ok(Exit::Fine)
    }
}
