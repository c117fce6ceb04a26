//! `charts`: draws the charts of sites, and all sites at a glance.

use super::Exit;
use super::context::Context;
use super::say::count;
use crate::assess::Assessment;
use crate::chart::{self, ChartInput, OverviewInput, Width, scene::Scene};
use crate::history::{History, Purpose};
use crate::home::Home;
use crate::inbox::put_away;
use crate::soil::site::{WHOLE, slug};
use anyhow::Context as _;
use clap::ValueEnum;
use std::path::PathBuf;

/// Draws the charts.
#[derive(Debug, clap::Args)]
#[command(
    after_help = "Examples:\n  loamline charts\n  loamline charts --site front-lawn --format png\n\nThey lie in `charts/` in the home folder, a folder a site."
)]
pub struct Charts {
    /// One site alone
    #[arg(long, value_name = "SITE")]
    site: Option<String>,
    /// How they are written
    #[arg(long, default_value = "svg")]
    format: Kind,
}

/// The formats of charts.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum Kind {
    /// Scales to any size.
    Svg,
    /// Pixels.
    Png,
}

impl Charts {
    /// Runs it.
    ///
    /// # Errors
    /// What the store or the disk says.
    pub fn run(self, context: &mut Context) -> anyhow::Result<Exit> {
        let history = context.history()?;
        let assessments = context.assessments(&history, self.site.as_deref())?;
        let mut drawn = Vec::new();
        for assessment in &assessments {
            drawn.extend(draw_site(&context.home, assessment, self.format)?);
        }
        if self.site.is_none() && !assessments.is_empty() {
            drawn.push(draw_overview(&context.home, &assessments, self.format)?);
        }
        if let Some(last) = drawn.last() {
            let folder = last.parent().unwrap_or(last);
            context.say.line(format!("{} drawn in {}.", count(drawn.len(), "chart"), folder.display()))?;
        } else {
            context.say.line("Nothing to draw yet: no reading counts.")?;
        }
        Ok(Exit::Fine)
    }
}

/// Draws one site: the four main analytes together, and each analyte alone.
///
/// # Errors
/// What the disk says.
pub fn draw_site(home: &Home, assessment: &Assessment, kind: Kind) -> anyhow::Result<Vec<PathBuf>> {
    let folder = home.charts().join(slug(&assessment.site.id));
    let mut drawn = Vec::new();
    for zone in chart::zones(assessment) {
        let input = chart::chart_input(assessment, &zone)?;
        let before = if zone == WHOLE { String::new() } else { format!("{}-", slug(&zone)) };
        drawn.push(write(
            home,
            folder.join(format!("{before}main")),
            &chart::four(&input, Width::Wide),
            kind,
        )?);
        for panel in &input.panels {
            let alone = ChartInput { panels: vec![panel.clone()], ..input.clone() };
            let name = format!("{before}{}", panel.analyte.id());
            drawn.push(write(home, folder.join(name), &chart::single(&alone, Width::Wide), kind)?);
        }
    }
    Ok(drawn)
}

/// Draws all sites at a glance.
///
/// # Errors
/// What the disk says.
pub fn draw_overview(home: &Home, assessments: &[Assessment], kind: Kind) -> anyhow::Result<PathBuf> {
    let input = OverviewInput {
        title: "All sites".to_owned(),
        subtitle: count(assessments.len(), "site"),
        sites: assessments.iter().map(chart::site_row).collect(),
    };
    write(home, home.charts().join("all-sites"), &chart::overview(&input, Width::Wide), kind)
}

/// Draws what changed since the last time; gives the assessments of the changed sites.
///
/// # Errors
/// What the store or the disk says.
pub fn draw_changed(context: &Context, history: &mut History) -> anyhow::Result<Vec<Assessment>> {
    let changed = history.sites_changed_since(Purpose::Charts)?;
    let mut assessments = Vec::new();
    for (site, _) in &changed {
        if let Some(site) = history.site(site)? {
            let assessment = context.assessment(history, site)?;
            draw_site(&context.home, &assessment, Kind::Svg)?;
            assessments.push(assessment);
        }
    }
    if !changed.is_empty() {
        draw_overview(&context.home, &context.assessments(history, None)?, Kind::Svg)?;
    }
    history.mark(Purpose::Charts, &changed)?;
    Ok(assessments)
}

fn write(home: &Home, stem: PathBuf, scene: &Scene, kind: Kind) -> anyhow::Result<PathBuf> {
    let (end, bytes) = match kind {
        Kind::Svg => ("svg", chart::svg(scene)?.into_bytes()),
        Kind::Png => ("png", chart::png(scene)?),
    };
    let mut name = stem.into_os_string();
    name.push(format!(".{end}"));
    let path = PathBuf::from(name);
    let said = || format!("{} cannot be written", path.display());
    if let Some(folder) = path.parent() {
        std::fs::create_dir_all(folder).with_context(said)?;
    }
    put_away::write_whole(home, &path, &bytes).with_context(said)?;
    Ok(path)
}
