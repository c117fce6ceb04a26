//! What a value might have been by another extractant: shown beside the value with its source, and nowhere else.
//!
//! An estimate is not a `Quantity` and not a `SeasonValue`, so it cannot enter a series, a slope, a guide or a flag.
//! Two university results for the same pair of K tests differ by 16 %, more than a year's draw-down.

use crate::soil::table::{TableError, rows};
use crate::soil::{Analyte, Method};
use serde::Deserialize;
use std::sync::LazyLock;

/// A published relation between two extractants.
#[derive(Debug, Clone, PartialEq, Deserialize)]
pub struct Conversion {
    /// What a person calls it: where and when.
    pub name: String,
    /// What.
    pub analyte: Analyte,
    /// Measured by.
    pub from: Method,
    /// Estimated for.
    pub to: Method,
    intercept: f64,
    slope_low: f64,
    slope_high: f64,
    /// How far single soils stray from it, as far as the source says.
    pub scatter: String,
    /// Where it comes from.
    pub source: String,
    /// READ, MEMORY or COMPUTED.
    pub checked: String,
}

/// A range of estimates in the canonical unit; both ends are equal where the source gives one line.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Estimate {
    /// Lowest.
    pub low: f64,
    /// Highest.
    pub high: f64,
}

static BUILT_IN: LazyLock<Result<Vec<Conversion>, TableError>> =
    LazyLock::new(|| load(include_str!("conversions.csv")));

fn load(text: &str) -> Result<Vec<Conversion>, TableError> {
    const TABLE: &str = "conversions.csv";
    let table: Vec<Conversion> = rows(TABLE, text)?;
    for (row, line) in (1..).zip(&table) {
        let measured =
            line.from.measures(line.analyte) && line.to.measures(line.analyte) && line.from != line.to;
        let sound = line.slope_low > 0.0 && line.slope_low <= line.slope_high && line.intercept.is_finite();
        if !(measured && sound) || line.source.is_empty() {
            return Err(TableError::new(
                TABLE,
                row,
                "needs two methods of the analyte, slopes above 0, a source",
            ));
        }
    }
    Ok(table)
}

/// The published relations.
///
/// # Errors
/// The built-in table is damaged.
pub fn conversions() -> Result<&'static [Conversion], TableError> {
    BUILT_IN.as_deref().map_err(Clone::clone)
}

impl Conversion {
    /// The estimate for a measured value, canonical unit; none where the line leaves the possible (below 0).
    pub fn estimate(&self, measured: f64) -> Option<Estimate> {
        let at = |slope: f64| self.intercept + slope * measured;
        let estimate = Estimate { low: at(self.slope_low), high: at(self.slope_high) };
        (estimate.low >= 0.0).then_some(estimate)
    }
}

/// How far two estimates of the same value lie apart, percent of their mean; none where both are 0.
pub fn relative_gap_percent(a: f64, b: f64) -> Option<f64> {
    (a + b > 0.0).then(|| 200.0 * (a - b).abs() / (a + b))
}

/// Scatter about a line as a share of the whole spread, from the correlation: sqrt(1 - r^2).
pub fn residual_share(correlation: f64) -> f64 {
    (1.0 - correlation * correlation).max(0.0).sqrt()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_published_relations_are_sound_and_a_damaged_one_is_refused() {
        assert!(conversions().is_ok());
        let head = include_str!("conversions.csv").lines().next().unwrap();
        for row in [
            "a,phosphorus,olsen,olsen,0,1,1,,x,READ",
            "a,phosphorus,olsen,dtpa,0,1,1,,x,READ",
            "a,phosphorus,olsen,bray-p1,0,2,1,,x,READ",
        ] {
            assert!(load(&format!("{head}\n{row}\n")).is_err(), "{row}");
        }
    }

    #[test]
    fn a_line_below_zero_estimates_nothing() {
        let ohio = conversions().unwrap().iter().find(|line| line.name == "Ohio").unwrap();
        assert_eq!(ohio.estimate(9.0), None);
        assert!(ohio.estimate(22.0).is_some());
    }
}
