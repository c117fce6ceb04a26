//! The published guides: `guides.csv` names them, `tables/` holds a guide each, `moving.csv` the
//! scales whose edges move; all validated when first used.

use super::moving;
use super::scale::{self, Scale};
use super::source::items;
use crate::soil::Analyte;
use crate::soil::table::{TableError, rows};
use serde::Deserialize;
use std::sync::LazyLock;

/// A published guide.
#[derive(Debug, Clone, PartialEq)]
pub struct Guide {
    /// Its id.
    pub id: String,
    /// The name a person reads.
    pub title: String,
    /// Regions it was made for; empty where it is bound to none.
    pub regions: Vec<String>,
    /// What to bear in mind with all of it; empty for nothing.
    pub caution: String,
    /// Its scales in printed order.
    pub scales: Vec<Scale>,
}

impl Guide {
    /// Scales for an analyte, by any method.
    pub fn scales_for(&self, analyte: Analyte) -> impl Iterator<Item = &Scale> {
        self.scales.iter().filter(move |scale| scale.analyte == analyte)
    }
}

/// A table: its file name and its text.
type Table = (&'static str, &'static str);

#[rustfmt::skip]
const TABLES: &[Table] = &[
    ("base-saturation-information.csv", include_str!("tables/base-saturation-information.csv")),
    ("corn-critical-iowa-1997.csv", include_str!("tables/corn-critical-iowa-1997.csv")),
    ("crops-arkansas-fsa2118.csv", include_str!("tables/crops-arkansas-fsa2118.csv")),
    ("crops-iowa-pm1688-2013.csv", include_str!("tables/crops-iowa-pm1688-2013.csv")),
    ("crops-kansas-mf2586.csv", include_str!("tables/crops-kansas-mf2586.csv")),
    ("crops-missouri.csv", include_str!("tables/crops-missouri.csv")),
    ("crops-montana.csv", include_str!("tables/crops-montana.csv")),
    ("crops-northern-plains.csv", include_str!("tables/crops-northern-plains.csv")),
    ("crops-okstate-m3.csv", include_str!("tables/crops-okstate-m3.csv")),
    ("crops-tristate-1995-bray-aa.csv", include_str!("tables/crops-tristate-1995-bray-aa.csv")),
    ("crops-tristate-2020-m3.csv", include_str!("tables/crops-tristate-2020-m3.csv")),
    ("crops-wisconsin-a2809-bray.csv", include_str!("tables/crops-wisconsin-a2809-bray.csv")),
    ("general-udel-m3.csv", include_str!("tables/general-udel-m3.csv")),
    ("general-umass-modified-morgan.csv", include_str!("tables/general-umass-modified-morgan.csv")),
    ("grassland-and-arable-ni-olsen.csv", include_str!("tables/grassland-and-arable-ni-olsen.csv")),
    ("grassland-and-tillage-ie-morgan.csv", include_str!("tables/grassland-and-tillage-ie-morgan.csv")),
    ("lawn-ncdacs-index.csv", include_str!("tables/lawn-ncdacs-index.csv")),
    ("lawn-rutgers-m3.csv", include_str!("tables/lawn-rutgers-m3.csv")),
    ("micronutrients-dtpa.csv", include_str!("tables/micronutrients-dtpa.csv")),
    ("organic-matter-minnesota.csv", include_str!("tables/organic-matter-minnesota.csv")),
    ("ph-lawns.csv", include_str!("tables/ph-lawns.csv")),
    ("phosphorus-environment.csv", include_str!("tables/phosphorus-environment.csv")),
    ("salts-clemson-1to2.csv", include_str!("tables/salts-clemson-1to2.csv")),
    ("salts-ece-classes.csv", include_str!("tables/salts-ece-classes.csv")),
    ("salts-turf-tolerance.csv", include_str!("tables/salts-turf-tolerance.csv")),
    ("sodium-hazard.csv", include_str!("tables/sodium-hazard.csv")),
    ("turf-mlsn.csv", include_str!("tables/turf-mlsn.csv")),
    ("turf-osu-acceptable.csv", include_str!("tables/turf-osu-acceptable.csv")),
    ("turf-research-floors.csv", include_str!("tables/turf-research-floors.csv")),
    ("turf-slan-2004.csv", include_str!("tables/turf-slan-2004.csv")),
];

#[derive(Debug, Deserialize)]
struct Row {
    guide: String,
    title: String,
    regions: String,
    caution: String,
}

static GUIDES: LazyLock<Result<Vec<Guide>, TableError>> =
    LazyLock::new(|| load(include_str!("guides.csv"), TABLES, include_str!("moving.csv")));

fn load(text: &str, tables: &[Table], moving: &str) -> Result<Vec<Guide>, TableError> {
    const TABLE: &str = "guides.csv";
    let mut moving = moving::load(moving)?;
    let guides = (1..)
        .zip(rows::<Row>(TABLE, text)?)
        .map(|(number, row)| {
            let found = tables.iter().find(|(name, _)| name.strip_suffix(".csv") == Some(row.guide.as_str()));
            let mut scales = match found {
                Some((name, text)) => scale::load(name, &row.guide, text)?,
                None => Vec::new(),
            };
            for (_, more) in moving.extract_if(.., |(guide, _)| *guide == row.guide) {
                scales.extend(more);
            }
            if scales.is_empty() {
                return Err(TableError::new(TABLE, number, format!("{} has no table", row.guide)));
            }
            let regions = items(&row.regions);
            Ok(Guide { id: row.guide, title: row.title, regions, caution: row.caution, scales })
        })
        .collect::<Result<Vec<Guide>, TableError>>()?;
    if let Some((guide, _)) = moving.first() {
        return Err(TableError::new("moving.csv", 0, format!("there is no guide {guide}")));
    }
    match tables
        .iter()
        .find(|(name, _)| guides.iter().filter(|guide| format!("{}.csv", guide.id) == *name).count() != 1)
    {
        Some((name, _)) => Err(TableError::new(TABLE, 0, format!("{name} needs one row"))),
        None => Ok(guides),
    }
}

/// All guides.
///
/// # Errors
/// A built-in table is damaged; the error names the table and the row.
pub fn guides() -> Result<&'static [Guide], TableError> {
    GUIDES.as_deref().map_err(Clone::clone)
}

/// The guide with this id.
///
/// # Errors
/// A built-in table is damaged.
pub fn guide(id: &str) -> Result<Option<&'static Guide>, TableError> {
    Ok(guides()?.iter().find(|guide| guide.id == id))
}
