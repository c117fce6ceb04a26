//! What is carried off with crops, and what turf uses, from `removal.csv`; legal spans of a soil test stand there too.

use super::limits::{PlanLimit, figure};
use super::sources::{known, region_of, was_read};
use crate::guide::condition::word;
use crate::soil::Analyte;
use crate::soil::table::{TableError, rows};
use crate::trend::drawdown::clippings_p2o5_k2o;
use serde::Deserialize;
use std::sync::LazyLock;

#[derive(Debug, Deserialize)]
struct Row {
    crop: String,
    figure: String,
    unit: String,
    value: f64,
    source_key: String,
    checked: String,
}

static ROWS: LazyLock<Result<Vec<Row>, TableError>> = LazyLock::new(|| load(include_str!("removal.csv")));

fn load(text: &str) -> Result<Vec<Row>, TableError> {
    const TABLE: &str = "removal.csv";
    let all: Vec<Row> = rows(TABLE, text)?;
    for (number, row) in (1..).zip(&all) {
        known(TABLE, number, &row.source_key)?;
        was_read(TABLE, number, &row.checked)?;
        if !(row.value.is_finite() && row.value > 0.0) {
            return Err(TableError::new(TABLE, number, "needs a figure above 0"));
        }
    }
    Ok(all)
}

fn all() -> Result<&'static [Row], TableError> {
    ROWS.as_deref().map_err(Clone::clone)
}

/// A figure with its unit and source.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Cited {
    /// The figure.
    pub value: f64,
    /// Its unit as in the table.
    pub unit: &'static str,
    /// Source key.
    pub source: &'static str,
}

/// P2O5 and K2O carried off with a unit of yield.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CropRemoval {
    /// P2O5, lb for a unit of yield.
    pub p2o5: Cited,
    /// K2O, lb for a unit of yield.
    pub k2o: Cited,
}

/// What a crop carries off, by figures that were read: those of the site's own region first. None where none were.
///
/// # Errors
/// The built-in table is damaged.
pub fn of_crop(crop: &str, region: Option<&str>) -> Result<Option<CropRemoval>, TableError> {
    let crop = match word(crop) {
        // The figures that were read for wheat are of winter wheat.
        wheat if wheat == "wheat" => "winter-wheat".to_owned(),
        other => other,
    };
    let found = |figure: &str| -> Result<Option<Cited>, TableError> {
        let region = region.map(word).unwrap_or_default();
        let mut best: Option<(bool, Cited)> = None;
        let names = [figure.to_owned(), format!("{figure}_low"), format!("{figure}_high")];
        for row in all()?.iter().filter(|row| row.crop == crop && row.checked == "READ") {
            if !names.contains(&row.figure) {
                continue;
            }
            let at_home = !region.is_empty() && region_of(&row.source_key)? == region;
            let middle = if row.figure == *figure {
                row.value
            } else {
                // A span stands for its middle.
                let span = |end: &str| {
                    let name = format!("{figure}_{end}");
                    ROWS.as_ref().ok().and_then(|rows| {
                        rows.iter()
                            .find(|other| {
                                other.crop == crop
                                    && other.figure == name
                                    && other.source_key == row.source_key
                            })
                            .map(|other| other.value)
                    })
                };
                match span("low").zip(span("high")) {
                    Some((low, high)) => (low + high) / 2.0,
                    None => row.value,
                }
            };
            if best.is_none_or(|(home, _)| at_home && !home) {
                best = Some((at_home, Cited { value: middle, unit: &row.unit, source: &row.source_key }));
            }
        }
        Ok(best.map(|(_, cited)| cited))
    };
    Ok(found("removal_p2o5")?.zip(found("removal_k2o")?).map(|(p2o5, k2o)| CropRemoval { p2o5, k2o }))
}

/// The most turf uses of an element for a lb of nitrogen (lb element); none for elements without a figure.
///
/// # Errors
/// The built-in table is damaged.
pub fn plant_use_per_lb_n(element: Analyte) -> Result<Option<Cited>, TableError> {
    let name = format!("max_plant_use_{}_per_lb_n", element.symbol().to_lowercase());
    Ok(all()?.iter().find(|row| row.crop == "turf" && row.figure == name).map(cited))
}

/// K2O a guide of maintenance adds to removal, lb/acre.
///
/// # Errors
/// The built-in table is damaged.
pub fn k2o_on_top_of_removal() -> Result<Option<Cited>, TableError> {
    Ok(all()?.iter().find(|row| row.figure == "k2o_on_top_of_removal").map(cited))
}

/// Months a soil test may be old to justify phosphorus on an established lawn of a region, where a law was read.
///
/// # Errors
/// The built-in table is damaged.
pub fn lawn_p_test_months(region: &str) -> Result<Option<Cited>, TableError> {
    let crop = format!("established-lawn@{}", word(region));
    Ok(all()?
        .iter()
        .find(|row| row.crop == crop && row.figure == "oldest_soil_test_that_can_justify_p")
        .map(cited))
}

fn cited(row: &'static Row) -> Cited {
    Cited { value: row.value, unit: &row.unit, source: &row.source_key }
}

/// P2O5 and K2O carried off with the clippings of so much nitrogen, in the unit of the nitrogen.
///
/// # Errors
/// The built-in table is damaged.
pub fn with_clippings(nitrogen: f64) -> Result<(f64, f64), TableError> {
    let of = |limit| figure(limit).map(|figure| figure.value);
    let ratio = (of(PlanLimit::ClippingsN)?, of(PlanLimit::ClippingsP2o5)?, of(PlanLimit::ClippingsK2o)?);
    Ok(clippings_p2o5_k2o(nitrogen, ratio).unwrap_or((0.0, 0.0)))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn figures_that_were_read_stand_before_memory_and_those_of_the_region_first() {
        let corn = of_crop("corn", None).unwrap().unwrap();
        assert_eq!((corn.p2o5.value, corn.p2o5.unit), (0.37, "lb/bu"));
        let ontario = of_crop("corn", Some("Ontario")).unwrap().unwrap();
        assert!((ontario.p2o5.value - 0.405).abs() < 1e-12);
        assert_eq!(ontario.p2o5.source, "ontario2025-removal");
        assert_eq!(of_crop("wheat", None).unwrap().map(|wheat| wheat.k2o.value), Some(0.36));
        assert_eq!(of_crop("rice", None).unwrap(), None);
    }

    #[test]
    fn turf_uses_and_the_law_of_a_state_are_found() {
        let of = |analyte| plant_use_per_lb_n(analyte).unwrap().map(|cited| cited.value);
        assert_eq!((of(Analyte::Potassium), of(Analyte::Phosphorus)), (Some(0.5), Some(0.125)));
        assert_eq!(of(Analyte::Sulfur), None);
        assert_eq!(lawn_p_test_months("Vermont").unwrap().map(|cited| cited.value), Some(18.0));
        assert_eq!(lawn_p_test_months("utah").unwrap(), None);
        assert_eq!(with_clippings(3.0).unwrap(), (0.75, 2.25));
    }
}
