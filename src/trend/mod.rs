//! A site's readings become series, and a series becomes a trend.

mod normal;

pub mod theil_sen;

pub mod mann_kendall;

pub mod interval;

pub mod censored;

pub mod rules;

pub mod crossing;

pub mod layer;

mod season_value;

pub mod series;

pub mod columns;

pub mod bulk;

pub mod shift;

pub mod noise;

pub mod word;

pub mod drawdown;

pub mod conversion;

use crate::soil::{Analyte, Basis, Method, Qualifier};
use serde::{Deserialize, Serialize};

/// What makes one comparable series. A change of any of these starts another.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
pub struct SeriesKey {
    /// Site id.
    pub site: String,
    /// Zone.
    pub zone: String,
    /// What.
    pub analyte: Analyte,
    /// How.
    pub method: Method,
    /// For `unstated` the laboratory as well (in small letters), since it matches nothing but itself from the same
    /// laboratory.
    pub lab: Option<String>,
    /// Mass or volume of soil.
    pub basis: Option<Basis>,
    /// Sampled layer in whole centimetres (top, bottom), none where not stated.
    pub depth_cm: Option<(i32, i32)>,
}

/// The one value of a season: the median of the season's readings of the series.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct SeasonValue {
    /// The year.
    pub season: i16,
    /// Median, canonical unit.
    pub value: f64,
    /// Below or above the laboratory's range, where the middle reading (both, of an even number) is; `value` is then
    /// the limit.
    pub qualifier: Option<Qualifier>,
    /// Laboratories it comes from.
    pub labs: Vec<String>,
    /// Keys of the readings it was made of.
    pub readings: Vec<i64>,
}

/// A series in order of season.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Series {
    /// What makes it one.
    pub key: SeriesKey,
    /// One value a season, ascending, never empty.
    pub values: Vec<SeasonValue>,
}

/// What a series does over the years. Slopes are in the canonical unit a year.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Trend {
    /// Seasons with a value.
    pub n: usize,
    /// Theil-Sen slope a year; none for one season or when over half the seasons are below the range.
    pub slope: Option<f64>,
    /// Confidence bounds of the slope, none where no interval of that confidence exists.
    pub slope_bounds: Option<(f64, f64)>,
    /// Nominal confidence of the bounds (0.90 or 0.95), none without bounds.
    pub confidence: Option<f64>,
    /// Mann-Kendall S.
    pub s: i64,
    /// Its two-sided probability under no trend.
    pub p: Option<f64>,
    /// The point the line goes through: median season, median value.
    pub pivot: Option<(f64, f64)>,
}

/// Confidences tried in turn. At four seasons only the second can exist, at three neither.
const CONFIDENCES: [f64; 2] = [0.95, 0.90];

/// What a series does over the years: slope by Theil and Sen with the bounds that exist, Mann-Kendall S and p.
pub fn trend(series: &Series) -> Trend {
    trend_of(&series.values)
}

/// The same of values in order of season.
pub fn trend_of(values: &[SeasonValue]) -> Trend {
    let test = mann_kendall::test(&censored::ranked(values));
    let points = censored::points(values);
    let slopes = points.as_deref().map(theil_sen::pair_slopes).unwrap_or_default();
    let claim = interval::widest_claim(&slopes, &test, &CONFIDENCES);
    Trend {
        n: values.len(),
        slope: theil_sen::median(&slopes),
        slope_bounds: claim.map(|(_, bounds)| bounds),
        confidence: claim.map(|(confidence, _)| confidence),
        s: test.s,
        p: test.p(),
        pivot: points.as_deref().and_then(theil_sen::pivot),
    }
}

/// A plain key to build test series from.
#[cfg(test)]
pub(crate) fn sample_key() -> SeriesKey {
    SeriesKey {
        site: "north".to_owned(),
        zone: "whole".to_owned(),
        analyte: Analyte::Phosphorus,
        method: Method::BrayP1,
        lab: None,
        basis: Some(Basis::Mass),
        depth_cm: Some((0, 15)),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn of(values: &[(f64, Option<Qualifier>)]) -> Trend {
        let values = (2016..)
            .zip(values)
            .map(|(season, &(value, qualifier))| SeasonValue {
                season,
                value,
                qualifier,
                labs: vec![],
                readings: vec![],
            })
            .collect();
        trend(&Series { key: sample_key(), values })
    }

    fn measured(values: &[f64]) -> Trend {
        of(&values.iter().map(|v| (*v, None)).collect::<Vec<_>>())
    }

    #[test]
    fn three_seasons_show_a_slope_and_no_bounds_four_get_90_percent_five_95() {
        let three = measured(&[6.4, 6.2, 6.1]);
        assert!(three.slope.is_some_and(|b| (b + 0.15).abs() < 1e-9));
        assert_eq!((three.slope_bounds, three.confidence), (None, None));
        assert_eq!(measured(&[31.0, 29.0, 26.0, 22.0]).confidence, Some(0.90));
        assert_eq!(measured(&[40.0, 38.0, 35.0, 33.0, 30.0]).confidence, Some(0.95));
    }

    #[test]
    fn one_season_is_no_trend() {
        let one = measured(&[20.0]);
        assert_eq!((one.n, one.slope, one.s, one.p, one.pivot), (1, None, 0, None, Some((2016.0, 20.0))));
    }

    #[test]
    fn mostly_below_the_range_has_no_slope_but_keeps_its_test() {
        let below = (5.0, Some(Qualifier::Below));
        let trend = of(&[(9.0, None), (7.0, None), below, below, below]);
        assert_eq!((trend.slope, trend.slope_bounds, trend.pivot), (None, None, None));
        assert_eq!(trend.s, -7);
        assert!(trend.p.is_some_and(|p| p < 0.15));
    }

    #[test]
    fn a_fall_into_the_range_below_the_limit_takes_half_the_limit() {
        let trend = of(&[(9.0, None), (8.0, None), (6.0, None), (4.0, Some(Qualifier::Below))]);
        assert_eq!(trend.s, -6);
        assert!(trend.slope.is_some_and(|b| b < -1.0));
    }

    proptest! {
        #[test]
        fn shift_scale_and_time_run_backwards_act_on_slope_bounds_and_s(
            values in prop::collection::vec(1i32..200, 1..13), add in 0i32..100, factor in 1i32..5,
        ) {
            let plain: Vec<f64> = values.iter().map(|v| f64::from(*v)).collect();
            let moved: Vec<f64> = values.iter().map(|v| f64::from(factor * v + add)).collect();
            let back: Vec<f64> = plain.iter().rev().copied().collect();
            let (a, b, c) = (measured(&plain), measured(&moved), measured(&back));
            prop_assert_eq!((a.s, a.p), (b.s, b.p));
            prop_assert_eq!((a.s, a.p), (-c.s, c.p));
            let near = |x: Option<f64>, y: Option<f64>| match (x, y) {
                (Some(x), Some(y)) => (x - y).abs() < 1e-9 * (1.0 + x.abs()),
                (x, y) => x == y,
            };
            let f = f64::from(factor);
            prop_assert!(near(a.slope.map(|slope| f * slope), b.slope));
            prop_assert!(near(a.slope.map(|slope| -slope), c.slope));
            prop_assert_eq!((a.confidence, a.confidence), (b.confidence, c.confidence));
            prop_assert!(near(a.slope_bounds.map(|(low, _)| f * low), b.slope_bounds.map(|(low, _)| low)));
            prop_assert!(near(a.slope_bounds.map(|(low, _)| -low), c.slope_bounds.map(|(_, high)| high)));
        }
    }
}
