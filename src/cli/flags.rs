//! `flags`: what needs attention, the most urgent first.

use super::Exit;
use super::assessed::find_site;
use super::attention::{self, Attention};
use super::context::Context;
use super::why::{self, Explained};
use crate::flag::Flag;
use crate::history::History;

/// What needs attention, the most urgent first.
#[derive(Debug, clap::Args)]
#[command(
    after_help = "Examples:\n  loamline flags\n  loamline flags --site front-lawn --why\n  loamline flags --json"
)]
pub struct Flags {
    /// One site alone
    #[arg(long, value_name = "SITE")]
    site: Option<String>,
    /// Also how each came about: the rule, readings used and left out, tables and their sources
    #[arg(long)]
    why: bool,
    /// As JSON
    #[arg(long)]
    json: bool,
}

impl Flags {
    /// Runs it.
    ///
    /// # Errors
    /// What the store says.
    pub fn run(self, context: &mut Context) -> anyhow::Result<Exit> {
        let history = context.history()?;
        let mut found = Attention::default();
        match &self.site {
            Some(site) => found.note(&context.assessment(&history, find_site(&history, site)?)?),
            None => context.each_assessment(&history, history.sites()?, |assessment| {
                found.note(&assessment);
                Ok(())
            })?,
        }
        if self.why {
            return self.explained(context, &history, &found);
        }
        if self.json {
            let flags: Vec<&Flag> = found.urgent().into_iter().flat_map(|site| &site.flags).collect();
            context.say.json(&flags)?;
        } else if found.urgent().is_empty() {
            context.say.line("Nothing needs attention.")?;
        } else {
            for line in found.lines(usize::MAX) {
                context.say.line(line)?;
            }
        }
        Ok(Exit::Fine)
    }

    fn explained(&self, context: &mut Context, history: &History, found: &Attention) -> anyhow::Result<Exit> {
        let mut all = Vec::new();
        for site in found.urgent() {
            let assessment = &context.assessment(history, find_site(history, &site.id)?)?;
            let reasons = why::of_flags(assessment, &why::of_site(history, assessment)?)?;
            if self.json {
                let flags = assessment.flags.iter().cloned();
                all.extend(flags.zip(reasons).map(|(row, why)| Explained { row, why }));
                continue;
            }
            context.say.line(&site.title)?;
            for (flag, reason) in assessment.flags.iter().zip(&reasons) {
                context.say.line(attention::line(flag))?;
                for said in why::flag_lines(reason) {
                    context.say.line(format!("    {said}"))?;
                }
            }
        }
        if self.json {
            context.say.json(&all)?;
        } else if found.urgent().is_empty() {
            context.say.line("Nothing needs attention.")?;
        }
        Ok(Exit::Fine)
    }
}
