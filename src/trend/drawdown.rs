//! How fast a soil test can be drawn down by what is carried off, and built up by what is put on.
//!
//! A mass balance: what is removed and not replaced, divided by the oxide an acre that moves the test by 1 mg/kg
//! (`buffering.csv`). It belongs to one extractant and to a layer of 6 2/3 to 8 inches. Below the responsive range the
//! fall flattens (Ciampitti and others, SSSAJ 75, 2011; Messiga and others, Ambio 44, 2015): an upper bound of the fall.

use crate::soil::table::{TableError, rows};
use crate::soil::{Analyte, Method};
use serde::Deserialize;
use std::sync::LazyLock;

/// How much oxide moves the test.
#[derive(Debug, Clone, PartialEq, Deserialize)]
pub struct Buffering {
    /// What a person calls it.
    pub name: String,
    /// Phosphorus (as P2O5) or potassium (as K2O).
    pub nutrient: Analyte,
    /// The extractant it was found with.
    pub method: Method,
    lb_oxide_per_mg_per_kg: f64,
    more_per_cec: f64,
    thickness_in: f64,
    /// Where the figure comes from.
    pub source: String,
    /// READ, MEMORY or COMPUTED.
    pub checked: String,
}

static BUILT_IN: LazyLock<Result<Vec<Buffering>, TableError>> =
    LazyLock::new(|| load(include_str!("buffering.csv")));

fn load(text: &str) -> Result<Vec<Buffering>, TableError> {
    const TABLE: &str = "buffering.csv";
    let table: Vec<Buffering> = rows(TABLE, text)?;
    for (row, line) in (1..).zip(&table) {
        let sound = line.lb_oxide_per_mg_per_kg > 0.0 && line.more_per_cec >= 0.0 && line.thickness_in > 0.0;
        let known = matches!(line.nutrient, Analyte::Phosphorus | Analyte::Potassium)
            && line.method.measures(line.nutrient)
            && !line.source.is_empty();
        if !(sound && known) {
            return Err(TableError::new(
                TABLE,
                row,
                "needs figures above 0, P or K by a method, and a source",
            ));
        }
    }
    Ok(table)
}

/// The built-in figures.
///
/// # Errors
/// The built-in table is damaged.
pub fn buffering() -> Result<&'static [Buffering], TableError> {
    BUILT_IN.as_deref().map_err(Clone::clone)
}

impl Buffering {
    /// lb of oxide an acre that move the test of a layer so thick by 1 mg/kg; none where the CEC (cmol(+)/kg) is
    /// needed and unknown, or the layer has no thickness.
    pub fn lb_oxide_per_mg_per_kg(&self, cec_cmol: Option<f64>, thickness_in: f64) -> Option<f64> {
        let more = if self.more_per_cec > 0.0 { self.more_per_cec * cec_cmol? } else { 0.0 };
        let whole = self.lb_oxide_per_mg_per_kg + more;
        (thickness_in > 0.0).then(|| whole * thickness_in / self.thickness_in)
    }

    /// The same in the layer the figure was found for.
    pub fn in_its_own_layer(&self, cec_cmol: Option<f64>) -> Option<f64> {
        self.lb_oxide_per_mg_per_kg(cec_cmol, self.thickness_in)
    }
}

/// What is put on and carried off in a year, lb of oxide an acre.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Balance {
    /// Applied.
    pub applied_lb_oxide_per_acre: f64,
    /// Carried off with harvest or clippings.
    pub removed_lb_oxide_per_acre: f64,
}

/// Change of the test in a year, mg/kg (negative: drawn down).
pub fn change_mg_per_kg_per_year(balance: Balance, lb_oxide_per_mg_per_kg: f64) -> Option<f64> {
    (lb_oxide_per_mg_per_kg > 0.0).then(|| {
        (balance.applied_lb_oxide_per_acre - balance.removed_lb_oxide_per_acre) / lb_oxide_per_mg_per_kg
    })
}

/// Lowest and highest change a year that the published figures for this extractant give, mg/kg; none where no figure
/// was found with it.
///
/// # Errors
/// The built-in table is damaged.
pub fn possible_change_mg_per_kg_per_year(
    nutrient: Analyte,
    method: Method,
    balance: Balance,
    cec_cmol: Option<f64>,
    thickness_in: f64,
) -> Result<Option<(f64, f64)>, TableError> {
    let changes: Vec<f64> = buffering()?
        .iter()
        .filter(|line| line.nutrient == nutrient && line.method == method)
        .filter_map(|line| line.lb_oxide_per_mg_per_kg(cec_cmol, thickness_in))
        .filter_map(|lb| change_mg_per_kg_per_year(balance, lb))
        .collect();
    let low = changes.iter().copied().min_by(f64::total_cmp);
    Ok(low.zip(changes.iter().copied().max_by(f64::total_cmp)))
}

/// lb of oxide an acre and year that make up a deficit in so many years, on top of removal; none for no years.
pub fn build_up_lb_oxide_per_acre_per_year(
    deficit_mg_per_kg: f64,
    lb_oxide_per_mg_per_kg: f64,
    years: f64,
) -> Option<f64> {
    (years > 0.0).then(|| deficit_mg_per_kg.max(0.0) * lb_oxide_per_mg_per_kg / years)
}

/// Years until a test that falls by a share of itself every year reaches an edge; none where it never does. A test
/// at or below the edge is there already.
pub fn years_to_edge(now_mg_per_kg: f64, edge_mg_per_kg: f64, fall_percent_per_year: f64) -> Option<f64> {
    if now_mg_per_kg <= edge_mg_per_kg {
        return Some(0.0);
    }
    let kept = (1.0 - fall_percent_per_year / 100.0).ln();
    (edge_mg_per_kg > 0.0 && kept < 0.0 && kept.is_finite())
        .then(|| (edge_mg_per_kg / now_mg_per_kg).ln() / kept)
}

/// Years in which a test that falls by a share of itself every year is halved (a meta-analysis of 56 fields without
/// fertiliser: 4.3 to 8.2 % a year; Agricultural & Environmental Letters 10(1), 2025).
pub fn half_life_years(fall_percent_per_year: f64) -> Option<f64> {
    years_to_edge(2.0, 1.0, fall_percent_per_year)
}

/// P of grazed pasture some years after one application: (P + e F) exp(-d t). Tyson and others, Front. Environ. Sci.
/// 8:93 (2020). `e` mg/kg a unit of fertiliser, `d` a year.
pub fn decayed_mg_per_kg(before_mg_per_kg: f64, e: f64, fertiliser: f64, d_per_year: f64, years: f64) -> f64 {
    (before_mg_per_kg + e * fertiliser) * (-d_per_year * years).exp()
}

/// How a published fall is told.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize)]
pub enum PerYear {
    /// Percent of the test a year.
    #[serde(rename = "percent")]
    Percent,
    /// mg/kg a year.
    #[serde(rename = "mg/kg")]
    MgPerKg,
}

/// A fall that was seen where nothing was put on.
#[derive(Debug, Clone, PartialEq, Deserialize)]
pub struct Decline {
    /// What a person calls it.
    pub name: String,
    /// What.
    pub nutrient: Analyte,
    /// By which extractant.
    pub method: Method,
    low: f64,
    high: f64,
    per_year: PerYear,
    /// Where the figure comes from.
    pub source: String,
    /// READ, MEMORY or COMPUTED.
    pub checked: String,
}

static DECLINES: LazyLock<Result<Vec<Decline>, TableError>> =
    LazyLock::new(|| load_declines(include_str!("decline.csv")));

fn load_declines(text: &str) -> Result<Vec<Decline>, TableError> {
    const TABLE: &str = "decline.csv";
    let table: Vec<Decline> = rows(TABLE, text)?;
    for (row, line) in (1..).zip(&table) {
        let sound = 0.0 < line.low && line.low <= line.high;
        let share = line.per_year == PerYear::MgPerKg || line.high < 100.0;
        if !(sound && share && line.method.measures(line.nutrient)) || line.source.is_empty() {
            return Err(TableError::new(
                TABLE,
                row,
                "needs a fall above 0 by a method of the nutrient, and a source",
            ));
        }
    }
    Ok(table)
}

/// The published falls without anything put on.
///
/// # Errors
/// The built-in table is damaged.
pub fn declines() -> Result<&'static [Decline], TableError> {
    DECLINES.as_deref().map_err(Clone::clone)
}

impl Decline {
    /// Slowest and fastest fall of a test at this level over some years, mg/kg; never more than all of it.
    pub fn fall_mg_per_kg(&self, now_mg_per_kg: f64, years: f64) -> (f64, f64) {
        let fall = |rate: f64| match self.per_year {
            PerYear::Percent => now_mg_per_kg * (1.0 - (1.0 - rate / 100.0).powf(years)),
            PerYear::MgPerKg => steady_fall_mg_per_kg(rate, years).min(now_mg_per_kg),
        };
        (fall(self.low), fall(self.high))
    }
}

/// Fall of a test at a steady rate over some years, mg/kg (one long trial: 3.27 Olsen-P a year over 11 years;
/// Zhang and others, Front. Earth Sci. 8:115, 2020).
pub fn steady_fall_mg_per_kg(mg_per_kg_per_year: f64, years: f64) -> f64 {
    mg_per_kg_per_year * years
}

/// Oxides carried off with clippings, in the unit of the nitrogen given, by a ratio N : P2O5 : K2O (about 4 : 1 : 3:
/// W. Kussow, Landscape Management 42, quoted second-hand). P2O5 and K2O; none for a ratio without nitrogen.
pub fn clippings_p2o5_k2o(nitrogen: f64, ratio: (f64, f64, f64)) -> Option<(f64, f64)> {
    let (n, p2o5, k2o) = ratio;
    (n > 0.0).then(|| (nitrogen * p2o5 / n, nitrogen * k2o / n))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_built_in_figures_are_sound_and_a_damaged_row_is_refused() {
        assert!(buffering().is_ok());
        let head = include_str!("buffering.csv").lines().next().unwrap();
        for row in [
            "a,zinc,dtpa,20,0,6,x,READ",
            "a,phosphorus,bray-p1,0,0,6,x,READ",
            "a,potassium,olsen,4,0,6,x,READ",
        ] {
            assert!(load(&format!("{head}\n{row}\n")).is_err(), "{row}");
        }
    }

    #[test]
    fn a_published_fall_is_of_the_test_that_is_left_and_never_more_than_it() {
        let of = |method| declines().unwrap().iter().find(|line| line.method == method).unwrap();
        let (slow, fast) = of(Method::Mehlich3).fall_mg_per_kg(100.0, 2.0);
        assert!((slow - 8.4151).abs() < 1e-4 && (fast - 15.7276).abs() < 1e-4, "{slow} {fast}");
        assert_eq!(of(Method::Olsen).fall_mg_per_kg(10.0, 5.0), (10.0, 10.0));
        let head = include_str!("decline.csv").lines().next().unwrap();
        for row in [
            "a,phosphorus,olsen,5,4,percent,x,READ",
            "a,phosphorus,olsen,5,100,percent,x,READ",
            "a,phosphorus,olsen,4,5,year,x,READ",
        ] {
            assert!(load_declines(&format!("{head}\n{row}\n")).is_err(), "{row}");
        }
    }

    #[test]
    fn a_thinner_layer_is_drawn_down_faster() {
        let corn = Balance { removed_lb_oxide_per_acre: 55.0, ..Balance::default() };
        let change = |inches| {
            possible_change_mg_per_kg_per_year(Analyte::Phosphorus, Method::BrayP1, corn, None, inches)
                .unwrap()
        };
        let (low, high) = change(6.6667).unwrap();
        assert!(low < -2.75 && -2.75 < high, "{low} {high}");
        assert!(change(4.0).is_some_and(|(thin, _)| (thin - low / 0.6).abs() < 1e-3));
        assert_eq!(change(0.0), None);
    }

    #[test]
    fn potassium_needs_the_cec_and_an_extractant_with_figures() {
        let hay = Balance { removed_lb_oxide_per_acre: 100.0, ..Balance::default() };
        let change = |method, cec| {
            possible_change_mg_per_kg_per_year(Analyte::Potassium, method, hay, cec, 6.6667).unwrap()
        };
        assert_eq!(change(Method::AmmoniumAcetate, None), None);
        assert_eq!(change(Method::Mehlich3, Some(10.0)), None);
        assert!(
            change(Method::AmmoniumAcetate, Some(10.0))
                .is_some_and(|(low, _)| (low + 100.0 / 6.0).abs() < 1e-3)
        );
    }

    #[test]
    fn an_edge_is_reached_never_or_already() {
        assert_eq!(years_to_edge(80.0, 40.0, 0.0), None);
        assert_eq!(years_to_edge(80.0, 0.0, 5.0), None);
        assert_eq!(years_to_edge(30.0, 40.0, 5.0), Some(0.0));
    }
}
