//! `flags`: what needs attention, the most urgent first.

use super::Exit;
use super::context::Context;
use super::say::count;
use crate::assess::Assessment;
use crate::flag::{Flag, Severity};
use std::collections::BTreeMap;

/// What needs attention, the most urgent first.
#[derive(Debug, clap::Args)]
#[command(
    after_help = "Examples:\n  loamline flags\n  loamline flags --site front-lawn\n  loamline flags --json"
)]
pub struct Flags {
    /// One site alone
    #[arg(long, value_name = "SITE")]
    site: Option<String>,
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
            let zone = if flag.zone == crate::soil::site::WHOLE {
                String::new()
            } else {
                format!(" [{}]", flag.zone)
            };
            lines.push(format!("  {:<5} {:<17}{zone} {}", flag.severity.id(), flag.flag.id(), flag.reason));
        }
        let rest = assessment.flags.len().saturating_sub(most);
        if rest > 0 {
            lines.push(format!("  and {} more: loamline flags --site {}", rest, assessment.site.id));
        }
    }
    lines
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
