//! How far a test may fall by what is carried off: a second estimate beside the trend line, independent of it.
//!
//! A mass balance with nothing put on (Ohio State and Illinois figures in `trend/buffering.csv`), or the published falls of
//! unfertilised soil (`trend/decline.csv`). It is an upper bound: below the responsive range a fall flattens.

use crate::guide::{Context, Limit, limit, use_of};
use crate::soil::table::TableError;
use crate::soil::{Analyte, Site};
use crate::trend::drawdown::{Balance, buffering, change_mg_per_kg_per_year, declines};
use crate::trend::noise::amount;
use crate::trend::{SeriesKey, Trend};

/// How far P or K may fall from a value in some years by what is carried off, mg/kg; 0 where nothing is published.
///
/// # Errors
/// A built-in table is damaged.
pub fn possible_fall(
    site: &Site,
    key: &SeriesKey,
    context: &Context,
    from: f64,
    years: f64,
) -> Result<f64, TableError> {
    let turf = use_of(site)?.is_some_and(|found| found.is_turf());
    let removed = match (key.analyte, turf) {
        (Analyte::Phosphorus, true) => Limit::RemovalP2o5Turf,
        (Analyte::Phosphorus, false) => Limit::RemovalP2o5Crop,
        (Analyte::Potassium, true) => Limit::RemovalK2oTurf,
        (Analyte::Potassium, false) => Limit::RemovalK2oCrop,
        _ => return Ok(0.0),
    };
    let removed_lb_oxide_per_acre = limit(removed)?.value;
    let balance = Balance { applied_lb_oxide_per_acre: 0.0, removed_lb_oxide_per_acre };
    let layer_in = key.depth_cm.map(|(top, bottom)| f64::from(bottom - top) / 2.54);
    let seen = declines()?.iter().filter(|decline| decline.nutrient == key.analyte);
    let mut most = seen.map(|decline| decline.fall_mg_per_kg(from, years).1).fold(0.0, f64::max);
    // The figures belong to one extractant each; Mehlich-3 reads higher by 14 % in K and 35 % in P (tristate2020), which
    // the largest removal leaves room for.
    for line in buffering()?.iter().filter(|line| line.nutrient == key.analyte) {
        let lb = match layer_in {
            Some(inches) => line.lb_oxide_per_mg_per_kg(context.cec, inches),
            None => line.in_its_own_layer(context.cec),
        };
        let fall = lb.and_then(|lb| change_mg_per_kg_per_year(balance, lb)).unwrap_or(0.0);
        most = most.max(-fall * years);
    }
    Ok(most)
}

/// The fall of a trend line held against what removal could do, in a sentence; none where the line does not surely fall
/// or nothing is published.
///
/// # Errors
/// A built-in table is damaged.
pub fn compared(
    site: &Site,
    key: &SeriesKey,
    trend: &Trend,
    context: &Context,
) -> Result<Option<String>, TableError> {
    let sure = trend.slope_bounds.filter(|(_, high)| *high < 0.0);
    let Some(((low, high), (_, middle))) = sure.zip(trend.pivot) else { return Ok(None) };
    let possible = possible_fall(site, key, context, middle, 1.0)?;
    if possible <= 0.0 {
        return Ok(None);
    }
    let (name, unit) = (key.analyte.symbol(), key.analyte.unit());
    let (slope, said) = (trend.slope.unwrap_or(low), amount(possible, unit));
    let fall = amount(-slope, unit);
    Ok(Some(if -high > possible {
        format!(
            "{name} falls {fall} a year; what is carried off could take {said} a year at most, so removal alone does not \
             explain it: check laboratory, depth and what leaves with water."
        )
    } else {
        format!(
            "{name} falls {fall} a year; what is carried off could take up to {said} a year where nothing is put on, so \
             removal can explain it."
        )
    }))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::trend::sample_key;

    fn said(slope: f64, bounds: (f64, f64)) -> Option<String> {
        let site = Site { use_: Some("turf".into()), ..Site::default() };
        let trend = Trend {
            n: 6,
            slope: Some(slope),
            slope_bounds: Some(bounds),
            confidence: Some(0.95),
            s: -15,
            p: Some(0.003),
            pivot: Some((2020.0, 40.0)),
        };
        compared(&site, &sample_key(), &trend, &Context::default()).unwrap()
    }

    #[test]
    fn a_slow_fall_is_explained_by_what_is_carried_off_and_a_fast_one_is_not() {
        assert!(said(-2.0, (-2.5, -1.5)).unwrap().contains("can explain it"));
        assert!(said(-9.0, (-10.0, -8.0)).unwrap().contains("does not explain it"));
        assert_eq!(said(-1.0, (-2.0, 0.5)), None, "it may not fall at all");
    }

    #[test]
    fn the_fall_by_removal_is_the_largest_published_one() {
        // 32.7 lb P2O5 carried off over 16.35 lb for 1 mg/kg in 6 2/3 inches, here in 15 cm: 2.26; 8.2 % of 40: 3.28.
        let site = Site { use_: Some("turf".into()), ..Site::default() };
        let fall = possible_fall(&site, &sample_key(), &Context::default(), 40.0, 1.0).unwrap();
        assert!((fall - 3.28).abs() < 0.01, "{fall}");
        let fall = possible_fall(&site, &sample_key(), &Context::default(), 10.0, 1.0).unwrap();
        assert!((fall - 3.27).abs() < 0.01, "{fall}");
    }
}
