//! `charts`: draws the charts of sites, and all sites at a glance.

use super::Exit;
use super::assessed::find_site;
use super::context::Context;
use super::overview_rows;
use super::say::{self, count};
use crate::assess::Assessment;
use crate::chart::{self, ChartInput, Easel, OverviewInput, SiteRow, Width, scene::Scene};
use crate::history::{History, Purpose};
use crate::home::Home;
use crate::inbox::put_away;
use crate::reader::batch;
use crate::soil::site::{WHOLE, slug};
use anyhow::{Context as _, bail};
use clap::ValueEnum;
use indicatif::ProgressBar;
use std::collections::{BTreeMap, BTreeSet};
use std::ffi::OsString;
use std::path::{Path, PathBuf};
use std::sync::atomic::Ordering;

/// Draws the charts.
#[derive(Debug, clap::Args)]
#[command(
    after_help = "Examples:\n  loamline charts\n  loamline charts --site front-lawn --format png\n\nThey lie in `charts/` in the home folder, a folder a site: `main` holds pH, organic matter, phosphorus and potassium, `others` all other measurements."
)]
pub struct Charts {
    /// One site alone
    #[arg(long, value_name = "SITE")]
    site: Option<String>,
    /// How they are written
    #[arg(long, default_value = "svg")]
    format: Kind,
    /// For a telephone (360 px wide), beside the others as NAME-narrow
    #[arg(long)]
    narrow: bool,
    /// A sheet of its own for each measurement besides; once it is there, it is drawn anew with the others
    #[arg(long)]
    each: bool,
}

/// The formats of charts.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum Kind {
    /// Scales to any size.
    Svg,
    /// Pixels.
    Png,
}

/// How a chart is written and for which width.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Form {
    /// File format.
    pub kind: Kind,
    /// Width it is laid out for.
    pub width: Width,
}

impl Form {
    /// What is redrawn by itself: for a page, to any size.
    pub const PAGE: Self = Self { kind: Kind::Svg, width: Width::Wide };
}

impl Charts {
    /// Runs it.
    ///
    /// # Errors
    /// What the store or the disk says.
    pub fn run(self, context: &mut Context) -> anyhow::Result<Exit> {
        let history = context.history()?;
        let mut drawn;
        let form = Form { kind: self.format, width: if self.narrow { Width::Narrow } else { Width::Wide } };
        if let Some(id) = &self.site {
            let assessment = context.assessment(&history, find_site(&history, id)?)?;
            drawn = draw_site(&context.home, &assessment, form, self.each, &mut Easel::default())?;
        } else {
            let mut rows = Vec::new();
            let sites = history.sites()?;
            let mut drawer = Drawer { each: self.each, ..Drawer::new(&context.home, form, sites.len()) };
            context.each_assessment(&history, sites, |assessment| {
                rows.push(chart::site_row(&assessment));
                drop(drawer.take(assessment)?);
                Ok(())
            })?;
            drop(drawer.finish()?);
            drawer.bar.finish_and_clear();
            drawn = drawer.drawn;
            if !rows.is_empty() {
                drawn.push(draw_overview(&context.home, rows, form)?);
            }
        }
        if !drawn.is_empty() {
            put_away::sync_disk_of(&context.home.charts())?;
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

/// Nothing is drawn by itself below so many times the room that is kept free: on a disk that fills up, charts give way
/// while there is still room for reports.
const ROOM: u64 = 2;

/// Sites in hand while they are drawn side by side: enough to keep every core at work, few enough for any memory.
const IN_HAND: usize = 64;

/// Draws sites on all cores, a handful at a time.
struct Drawer<'a> {
    home: &'a Home,
    form: Form,
    each: bool,
    waiting: Vec<Assessment>,
    drawn: Vec<PathBuf>,
    bar: ProgressBar,
}

impl<'a> Drawer<'a> {
    fn new(home: &'a Home, form: Form, sites: usize) -> Self {
        Self { home, form, each: false, waiting: Vec::new(), drawn: Vec::new(), bar: say::progress(sites) }
    }

    /// Takes a site, and gives back those that are drawn by now.
    fn take(&mut self, assessment: Assessment) -> anyhow::Result<Vec<Assessment>> {
        self.waiting.push(assessment);
        if self.waiting.len() < IN_HAND { Ok(Vec::new()) } else { self.finish() }
    }

    /// Draws the sites in hand and gives them back.
    fn finish(&mut self) -> anyhow::Result<Vec<Assessment>> {
        let sites = std::mem::take(&mut self.waiting);
        let workers = std::thread::available_parallelism().map_or(1, usize::from);
        let mut failed = None;
        batch::in_order(
            &sites,
            workers,
            Easel::default,
            |easel, site| draw_site(self.home, site, self.form, self.each, easel),
            |_, drawn, _| {
                self.bar.inc(1);
                match drawn {
                    Ok(drawn) => self.drawn.extend(drawn),
                    Err(error) => failed = Some(error),
                }
                failed.is_none()
            },
        );
        failed.map_or(Ok(sites), Err)
    }
}

/// Draws one site: the four main analytes on one sheet, all others on a second. What has a sheet of its own by now has it
/// drawn anew, so that none tells of a former season; `each` gives one to every measurement.
///
/// # Errors
/// What the disk says.
fn draw_site(
    home: &Home,
    assessment: &Assessment,
    form: Form,
    each: bool,
    easel: &mut Easel,
) -> anyhow::Result<Vec<PathBuf>> {
    let folder = home.charts().join(slug(&assessment.site.id));
    std::fs::create_dir_all(&folder).with_context(|| cannot_be_written(&folder))?;
    let there = names_in(&folder).with_context(|| cannot_be_written(&folder))?;
    let mut drawn = Vec::new();
    for zone in chart::zones(assessment) {
        let input = chart::chart_input(assessment, &zone)?;
        let before = if zone == WHOLE { String::new() } else { format!("{}-", slug(&zone)) };
        let mut sheet = |name: &str, scene: &Scene| -> anyhow::Result<()> {
            drawn.push(write(home, folder.join(format!("{before}{name}")), scene, form, easel)?);
            Ok(())
        };
        sheet("main", &chart::four(&input, form.width))?;
        if let Some(others) = chart::others(&input, form.width) {
            sheet("others", &others)?;
        }
        for panel in &input.panels {
            let name = panel.analyte.id();
            let own = folder.join(format!("{before}{name}"));
            if each || written(&own, form).file_name().is_some_and(|own| there.contains(own)) {
                let alone = ChartInput { panels: vec![panel.clone()], ..input.clone() };
                sheet(name, &chart::single(&alone, form.width))?;
            }
        }
    }
    Ok(drawn)
}

/// Names in a folder.
fn names_in(folder: &Path) -> std::io::Result<BTreeSet<OsString>> {
    std::fs::read_dir(folder)?.map(|entry| Ok(entry?.file_name())).collect()
}

/// Draws all sites at a glance.
fn draw_overview(home: &Home, sites: Vec<SiteRow>, form: Form) -> anyhow::Result<PathBuf> {
    let folder = home.charts();
    std::fs::create_dir_all(&folder).with_context(|| cannot_be_written(&folder))?;
    let input = OverviewInput { title: "All sites".to_owned(), subtitle: count(sites.len(), "site"), sites };
    let scene = chart::overview(&input, form.width);
    write(home, home.charts().join("all-sites"), &scene, form, &mut Easel::default())
}

/// Draws what changed since the last time, hands on each assessment of a changed site once it is drawn, and gives their
/// number. Only these are assessed and drawn anew; the overview keeps its row of every other site.
///
/// # Errors
/// What the store or the disk says.
pub fn draw_changed(
    context: &Context,
    history: &mut History,
    mut each: impl FnMut(Assessment),
) -> anyhow::Result<usize> {
    let changed = history.sites_changed_since(Purpose::Charts)?;
    if changed.is_empty() {
        return Ok(0);
    }
    let ids: BTreeSet<&str> = changed.iter().map(|(site, _)| site.as_str()).collect();
    let mut kept = overview_rows::kept(context);
    let mut rows = BTreeMap::new();
    let mut anew = Vec::new();
    for site in history.sites()? {
        match kept.remove(&site.id).filter(|_| !ids.contains(site.id.as_str())) {
            Some(row) => drop(rows.insert(site.id, row)),
            None => anew.push(site),
        }
    }
    room(context)?;
    let mut drawer = Drawer::new(&context.home, Form::PAGE, changed.len());
    context.each_assessment(history, anew, |assessment| {
        // Nothing is marked as drawn yet: the next pass draws these again.
        anyhow::ensure!(!context.stop.load(Ordering::Relaxed), "stopped before all were drawn");
        room(context)?;
        rows.insert(assessment.site.id.clone(), chart::site_row(&assessment));
        if ids.contains(assessment.site.id.as_str()) {
            drawer.take(assessment)?.into_iter().for_each(&mut each);
        }
        Ok(())
    })?;
    drawer.finish()?.into_iter().for_each(each);
    drawer.bar.finish_and_clear();
    overview_rows::keep(context, &rows)?;
    draw_overview(&context.home, rows.into_values().collect(), Form::PAGE)?;
    // What is marked as drawn is not drawn again: it must outlive a power cut.
    put_away::sync_disk_of(&context.home.charts())?;
    history.mark(Purpose::Charts, &changed)?;
    Ok(changed.len())
}

/// There is room for charts beside what reports may need.
fn room(context: &Context) -> anyhow::Result<()> {
    let wanted = context.settings.watch.keep_free_mib.saturating_mul(ROOM);
    let free = crate::home::bytes_free(context.home.root()).map(|bytes| bytes >> 20);
    match free.filter(|free| *free < wanted) {
        Some(free) => bail!("{free} MiB are free, and below {wanted} MiB the room is left to reports"),
        None => Ok(()),
    }
}

fn write(
    home: &Home,
    stem: PathBuf,
    scene: &Scene,
    form: Form,
    easel: &mut Easel,
) -> anyhow::Result<PathBuf> {
    let bytes = match form.kind {
        Kind::Svg => chart::svg(scene)?.into_bytes(),
        Kind::Png => easel.png(scene)?,
    };
    let path = written(&stem, form);
    put_away::write_anew(home, &path, &bytes).with_context(|| cannot_be_written(&path))?;
    Ok(path)
}

/// Where a sheet of this name is written.
fn written(stem: &Path, form: Form) -> PathBuf {
    let mut name = stem.as_os_str().to_owned();
    name.push(match form.width {
        Width::Narrow => "-narrow",
        Width::Wide => "",
    });
    name.push(match form.kind {
        Kind::Svg => ".svg",
        Kind::Png => ".png",
    });
    PathBuf::from(name)
}

fn cannot_be_written(path: &Path) -> String {
    format!("{} cannot be written", path.display())
}
