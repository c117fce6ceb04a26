//! The rows of the contract's `export trends`.

use super::Assessment;
use crate::flag::SeriesFacts;
use crate::soil::{Analyte, Method, Unit};
use serde::{Deserialize, Serialize};

/// A row of the contract's `export trends`, in its column order.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct TrendRow {
    /// Site id.
    pub site: String,
    /// Zone.
    pub zone: String,
    /// What.
    pub analyte: Analyte,
    /// How.
    pub method: Method,
    /// Canonical unit.
    pub unit: Unit,
    /// Seasons with a value.
    pub n: usize,
    /// First season.
    pub first_season: i16,
    /// Last season.
    pub last_season: i16,
    /// Value of the last season.
    pub last_value: f64,
    /// Theil-Sen slope a year.
    pub slope_per_year: Option<f64>,
    /// Lower confidence bound of the slope.
    pub slope_low: Option<f64>,
    /// Upper confidence bound of the slope.
    pub slope_high: Option<f64>,
    /// Confidence of the bounds.
    pub confidence: Option<f64>,
    /// Mann-Kendall S.
    pub mk_s: i64,
    /// Its two-sided probability.
    pub mk_p: Option<f64>,
    /// The guide flags follow.
    pub guide: Option<String>,
    /// The guide's own class name.
    pub level: Option<String>,
    /// Lower edge of sufficiency.
    pub sufficient_from: Option<f64>,
    /// Season in which the line meets that edge.
    pub crosses_in: Option<i32>,
    /// Earliest season by the bounds.
    pub crosses_low: Option<i32>,
    /// Latest season by the bounds.
    pub crosses_high: Option<i32>,
}

/// The rows of `export trends` of a site, in the order of zone, analyte, method.
pub fn trend_rows(assessment: &Assessment) -> Vec<TrendRow> {
    let row = |facts: &SeriesFacts| {
        let key = &facts.series.key;
        let (first, last) = (facts.series.values.first()?, facts.last()?);
        let (level, crossing) = (facts.level(), facts.crossing.unwrap_or_default());
        Some(TrendRow {
            site: key.site.clone(),
            zone: key.zone.clone(),
            analyte: key.analyte,
            method: key.method,
            unit: key.analyte.unit(),
            n: facts.trend.n,
            first_season: first.season,
            last_season: last.season,
            last_value: last.value,
            slope_per_year: facts.trend.slope,
            slope_low: facts.trend.slope_bounds.map(|bounds| bounds.0),
            slope_high: facts.trend.slope_bounds.map(|bounds| bounds.1),
            confidence: facts.trend.confidence,
            mk_s: facts.trend.s,
            mk_p: facts.trend.p,
            guide: level.map(|level| level.guide.clone()),
            level: level.map(|level| level.class.clone()),
            sufficient_from: level.and_then(|level| level.sufficient_from),
            crosses_in: crossing.season,
            crosses_low: crossing.earliest,
            crosses_high: crossing.latest,
        })
    };
    assessment.series.iter().filter_map(row).collect()
}
