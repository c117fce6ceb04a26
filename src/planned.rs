//! The plan of a site under the settings, with the user's products and what went down: what command line and pages both show.

use crate::assess::Assessment;
use crate::chart::{self, ChartInput, Width};
use crate::config::Settings;
use crate::history::History;
use crate::home::Home;
use crate::plan::{self, Plan, Product, product};
use crate::soil::Analyte;
use anyhow::{Context as _, anyhow, bail};
use jiff::civil::Date;
use std::path::PathBuf;

/// Where the user's products stand; none where there is no file.
pub fn products_path(home: &Home, settings: &Settings) -> Option<PathBuf> {
    let root = home.root();
    let usual = ["products.toml", "products.csv"].map(|name| root.join(name));
    match &settings.plan.products {
        Some(set) => Some(root.join(set)),
        None => usual.into_iter().find(|path| path.exists()),
    }
}

/// The user's products; none where there is no file.
///
/// # Errors
/// The file cannot be read, or a sentence with its line.
pub fn products(home: &Home, settings: &Settings) -> anyhow::Result<Vec<Product>> {
    let Some(path) = products_path(home, settings) else { return Ok(Vec::new()) };
    let shown = path.display().to_string();
    let text = std::fs::read_to_string(&path)
        .with_context(|| format!("the products file {shown} cannot be read: check it, or leave it out"))?;
    let csv = path.extension().is_some_and(|end| end.eq_ignore_ascii_case("csv"));
    Ok(if csv { product::from_csv(&text, &shown)? } else { product::from_toml(&text, &shown)? })
}

/// The plan of one site, made on a day.
///
/// # Errors
/// What the store says; a lime table or product that is not there.
pub fn plan(
    history: &History,
    settings: &Settings,
    assessment: &Assessment,
    products: &[Product],
    season: i16,
    today: Date,
) -> anyhow::Result<Plan> {
    let id = &assessment.site.id;
    let mut own = settings.sites.get(id).cloned().unwrap_or_default();
    // The roster's areas, where the settings say none.
    for (zone, facts) in history.zones(id)? {
        if let Some(area) = facts.area_ft2.filter(|_| zone != crate::soil::site::WHOLE) {
            own.zones_ft2.entry(zone).or_insert(area);
        }
    }
    if own.sample_on.is_none() {
        // The day of the last sample: a test is compared with one of the same time of the year.
        own.sample_on = history.last_sampled(id)?.map(Into::into);
    }
    if let Some(table) = &own.lime_table
        && plan::lime_table::table(table)?.is_none()
    {
        let ids: Vec<&str> = plan::lime_table::tables()?.iter().map(|table| table.id.as_str()).collect();
        bail!("[sites.{id}] lime_table: there is no `{table}`; known are {}", ids.join(", "));
    }
    let products = plan::choose::on_site(products, &own.products).map_err(|name| {
        anyhow!("[sites.{id}] products: {name:?} is not in the products file: add it there, or leave it out")
    })?;
    let down = history.applications(Some(id))?;
    let recommended = history.recommended(id)?;
    Ok(plan::plan(assessment, &own, &down, &products, &recommended, season, today)?)
}

/// The two of the main four that tell most: flagged ones first. More would be too small to read on the sheet.
///
/// # Errors
/// A chart cannot be drawn.
pub fn letter_charts(assessment: &Assessment) -> anyhow::Result<Vec<String>> {
    let zones = chart::zones(assessment);
    let Some(zone) = zones.first() else { return Ok(Vec::new()) };
    let input = chart::chart_input(assessment, zone)?;
    let flagged = |analyte: Analyte| {
        assessment.flags.iter().any(|flag| flag.zone == *zone && flag.analyte == Some(analyte))
    };
    let mut order: Vec<Analyte> = chart::four::FOUR.to_vec();
    order.sort_by_key(|analyte| !flagged(*analyte));
    let panels = order.iter().filter_map(|analyte| input.panels.iter().find(|p| p.analyte == *analyte));
    panels
        .take(SHOWN)
        .map(|panel| {
            let alone =
                ChartInput { title: String::new(), subtitle: String::new(), panels: vec![panel.clone()] };
            Ok(chart::svg(&chart::single(&alone, Width::Narrow))?)
        })
        .collect()
}

/// Charts on the sheet.
const SHOWN: usize = 2;
