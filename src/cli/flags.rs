//! `flags`: what needs attention, the most urgent first.

use super::Exit;
use super::context::Context;
use super::say::count;
use super::why::{self, Explained};
use crate::assess::Assessment;
use crate::flag::{Flag, Severity};
use crate::history::History;
use crate::soil::site::WHOLE;
use std::collections::BTreeMap;

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
        let assessments = context.assessments(&history, self.site.as_deref())?;
        if self.why {
            return self.explained(context, &history, &assessments);
        }
        if self.json {
            let flags: Vec<&Flag> = urgent(&assessments).into_iter().flat_map(|a| &a.flags).collect();
            context.say.json(&flags)?;
        } else if assessments.iter().all(|a| a.flags.is_empty()) {
            context.say.line("Nothing needs attention.")?;
        } else {
            for line in lines(&assessments, usize::MAX) {
                context.say.line(line)?;
            }
        }
        Ok(Exit::Fine)
    }

    fn explained(
        &self,
        context: &mut Context,
        history: &History,
        assessments: &[Assessment],
    ) -> anyhow::Result<Exit> {
        let mut all = Vec::new();
        for assessment in urgent(assessments) {
            let reasons = why::of_flags(assessment, &why::of_site(history, assessment)?)?;
            if self.json {
                all.extend(assessment.flags.iter().zip(reasons).map(|(row, why)| Explained { row, why }));
                continue;
            }
            context.say.line(title(assessment))?;
            for (flag, reason) in assessment.flags.iter().zip(&reasons) {
                context.say.line(line(flag))?;
                for said in why::flag_lines(reason) {
                    context.say.line(format!("    {said}"))?;
                }
            }
        }
        if self.json {
            context.say.json(&all)?;
        } else if assessments.iter().all(|a| a.flags.is_empty()) {
            context.say.line("Nothing needs attention.")?;
        }
        Ok(Exit::Fine)
    }
}

/// The sites with flags, those with most to act on first; equals by id.
pub fn urgent(assessments: &[Assessment]) -> Vec<&Assessment> {
    let weight = |a: &&Assessment| {
        let act = a.flags.iter().filter(|f| f.severity == Severity::Act).count();
        (std::cmp::Reverse(act), std::cmp::Reverse(a.flags.len()), a.site.id.clone())
    };
    let mut sites: Vec<&Assessment> = assessments.iter().filter(|a| !a.flags.is_empty()).collect();
    sites.sort_by_key(weight);
    sites
}

/// Sites and their flags in sentences, at most so many of a site.
pub fn lines(assessments: &[Assessment], most: usize) -> Vec<String> {
    let mut lines = Vec::new();
    for assessment in urgent(assessments) {
        lines.push(title(assessment));
        for flag in assessment.flags.iter().take(most) {
            lines.push(line(flag));
        }
        let rest = assessment.flags.len().saturating_sub(most);
        if rest > 0 {
            lines.push(format!("  and {} more: loamline flags --site {}", rest, assessment.site.id));
        }
    }
    lines
}

/// A flag in a line.
fn line(flag: &Flag) -> String {
    let zone = if flag.zone == WHOLE { String::new() } else { format!(" [{}]", flag.zone) };
    format!("  {:<5} {:<17}{zone} {}", flag.severity.id(), flag.flag.id(), flag.reason)
}

/// The name of a site with its client and id.
pub fn title(assessment: &Assessment) -> String {
    let site = &assessment.site;
    let name = if site.name.is_empty() { &site.id } else { &site.name };
    match &site.client {
        Some(client) => format!("{name}, {client} ({})", site.id),
        None => format!("{name} ({})", site.id),
    }
}

/// One line on how many flags there are.
pub fn summary(assessments: &[Assessment]) -> String {
    let mut by: BTreeMap<Severity, usize> = BTreeMap::new();
    for flag in assessments.iter().flat_map(|a| &a.flags) {
        *by.entry(flag.severity).or_default() += 1;
    }
    let n = |s| by.get(&s).copied().unwrap_or(0);
    let sites = assessments.iter().filter(|a| !a.flags.is_empty()).count();
    format!(
        "{} of {} with flags: {} to act on, {} to watch.",
        sites,
        count(assessments.len(), "site"),
        n(Severity::Act),
        n(Severity::Watch)
    )
}
