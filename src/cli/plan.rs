//! `plan`: what to put down this season, what to leave alone, and when to test again.

use super::Exit;
use super::assessed::find_site;
use super::context::Context;
use super::plan_page;
use crate::assess::Assessment;
use crate::export::{Cell, Column, Format, Kind, Table, write_whole};
use crate::history::History;
use crate::plan::dates::current_season;
use crate::plan::demand::{SiteDemand, days, demand, loads};
use crate::plan::rows::{PlanRow, rows};
use crate::plan::{self, Product, SiteSettings, ical};
use crate::planned;
use std::path::PathBuf;

/// What to put down this season, what to leave alone, and when to test again.
#[derive(Debug, clap::Args)]
#[command(
    after_help = "Examples:\n  loamline plan front-lawn\n  loamline plan front-lawn --season 2027 --ics -o front-lawn.ics\n  loamline plan --all\n  loamline plan --all --csv -o season.csv\n\nArea, grass, window and limits stand in loamline.toml under [sites.ID]; products in products.toml in the home."
)]
pub struct Plan {
    /// The site's id, or a part of it that no other site has
    #[arg(value_name = "SITE", required_unless_present = "all", conflicts_with = "all")]
    site: Option<String>,
    /// All sites: the season's products in packages, and a day list
    #[arg(long)]
    all: bool,
    /// The season (else this year, or the next once this year's last feeding days are over)
    #[arg(long, value_name = "YEAR", value_parser = clap::value_parser!(i16).range(1900..=9000))]
    season: Option<i16>,
    /// As JSON
    #[arg(long, group = "form")]
    json: bool,
    /// As CSV
    #[arg(long, group = "form")]
    csv: bool,
    /// As a calendar (iCalendar)
    #[arg(long, group = "form")]
    ics: bool,
    /// Text cells exactly as they are, also where a spreadsheet would run them
    #[arg(long, requires = "csv")]
    exact: bool,
    /// Into this file
    #[arg(short, value_name = "FILE", requires = "form")]
    output: Option<PathBuf>,
}

impl Plan {
    /// Runs it.
    ///
    /// # Errors
    /// What the store, the settings or the products file says.
    pub fn run(self, context: &mut Context) -> anyhow::Result<Exit> {
        let history = context.history()?;
        let products = context.products()?;
        let season = match self.season {
            Some(season) => season,
            None => current_season(context.today)?,
        };
        let assessments = match &self.site {
            Some(site) => vec![context.assessment(&history, find_site(&history, site)?)?],
            None => context.assessments(&history)?,
        };
        let plans = assessments
            .iter()
            .map(|assessment| context.plan(&history, assessment, &products, season))
            .collect::<anyhow::Result<Vec<_>>>()?;
        let sites: Vec<SiteDemand> = plans.iter().map(SiteDemand::of).collect();
        let bytes = if self.json {
            let mut text = match (self.all, plans.as_slice()) {
                (false, [one]) => serde_json::to_vec_pretty(one)?,
                _ => serde_json::to_vec_pretty(&serde_json::json!({
                    "season": season, "demand": demand(&sites, &products), "days": days(&sites),
                    "loads": loads(&sites, &products), "plans": plans,
                }))?,
            };
            text.push(b'\n');
            text
        } else if self.csv {
            table(plans.iter().flat_map(rows)).write(Format::Csv, self.exact)?
        } else if self.ics {
            ical::calendar(&plans).into_bytes()
        } else {
            for line in match (self.all, plans.as_slice()) {
                (false, [one]) => plan_page::site(one),
                _ => plan_page::all(
                    &plans,
                    &demand(&sites, &products),
                    (&days(&sites), &loads(&sites, &products)),
                    season,
                ),
            } {
                match line.as_str() {
                    "" => context.say.line("")?,
                    text => context.say.block(text)?,
                }
            }
            return Ok(Exit::Fine);
        };
        match &self.output {
            Some(path) => write_whole(path, &bytes)?,
            None => context.say.raw(&bytes)?,
        }
        Ok(Exit::Fine)
    }
}

impl Context {
    /// The user's products; none where there is no file.
    ///
    /// # Errors
    /// The file cannot be read, or a sentence with its line.
    pub fn products(&self) -> anyhow::Result<Vec<Product>> {
        planned::products(&self.home, &self.settings)
    }

    /// What the keeper set for a site.
    pub fn site_settings(&self, site: &str) -> SiteSettings {
        self.settings.sites.get(site).cloned().unwrap_or_default()
    }

    /// The plan of one site.
    ///
    /// # Errors
    /// What the store says; a lime table that is not there.
    pub fn plan(
        &self,
        history: &History,
        assessment: &Assessment,
        products: &[Product],
        season: i16,
    ) -> anyhow::Result<plan::Plan> {
        planned::plan(history, &self.settings, assessment, products, season, self.today)
    }
}

fn table(rows: impl Iterator<Item = PlanRow>) -> Table {
    use Kind::{Integer, Number, Text};
    let columns = [
        ("site", Text),
        ("zone", Text),
        ("season", Integer),
        ("kind", Text),
        ("on", Text),
        ("nutrient", Text),
        ("product", Text),
        ("lb_per_1000_ft2", Number),
        ("gal_per_1000_ft2", Number),
        ("area_ft2", Number),
        ("total_lb", Number),
        ("total_gal", Number),
        ("reason", Text),
        ("ask", Text),
        ("source", Text),
    ];
    let text = |text: Option<String>| text.map_or(Cell::None, Cell::Text);
    // A scale shows no more than four digits after the point.
    let number = |n: Option<f64>| n.map_or(Cell::None, |n| Cell::Number((n * 1e4).round() / 1e4));
    Table {
        columns: columns.into_iter().map(|(name, kind)| Column { name, kind }).collect(),
        rows: rows
            .map(|row| {
                vec![
                    Cell::Text(row.site),
                    Cell::Text(row.zone),
                    Cell::Integer(row.season.into()),
                    Cell::Text(row.kind),
                    text(row.on),
                    text(row.nutrient),
                    text(row.product),
                    number(row.lb_per_1000_ft2),
                    number(row.gal_per_1000_ft2),
                    number(row.area_ft2),
                    number(row.total_lb),
                    number(row.total_gal),
                    Cell::Text(row.reason),
                    text(row.ask),
                    Cell::Text(row.source),
                ]
            })
            .collect(),
    }
}
