//! `beyond-lab-noise`: the last change is larger than two results of one soil differ, and neither the line before it nor
//! what is carried off in such a time explains it. It points to the sample, the depth or the laboratory: resample before advising (rule 59).
//!
//! Where nobody published how far results scatter, the change is told beside the series and raises nothing.

use super::facts::{SeriesFacts, ZoneFacts};
use super::{Flag, FlagKind, Severity};
use crate::guide::{Limit, limit, use_of};
use crate::soil::Analyte;
use crate::soil::table::TableError;
use crate::trend::drawdown::{Balance, buffering, change_mg_per_kg_per_year, declines};
use crate::trend::noise::variability_of;

/// The flags of a zone.
pub(super) fn raise(zone: &ZoneFacts) -> Result<Vec<Flag>, TableError> {
    let mut flags = Vec::new();
    for facts in zone.current() {
        flags.extend(of_series(zone, facts)?);
    }
    Ok(flags)
}

fn of_series(zone: &ZoneFacts, facts: &SeriesFacts) -> Result<Option<Flag>, TableError> {
    let published =
        variability_of(facts.analyte(), facts.method())?.is_some_and(|figures| figures.checked == "READ");
    let found = facts.change.as_ref().filter(|change| change.beyond && published);
    let Some((change, critical, sentence)) =
        found.and_then(|c| Some((c, c.critical?, facts.change_sentence.as_ref()?)))
    else {
        return Ok(None);
    };
    let years = f64::from(change.to_season) - f64::from(change.from_season);
    if years > limit(Limit::NoiseWithinYears)?.value {
        return Ok(None);
    }
    let moved = change.to - change.from;
    let by_line = facts.expected_change.is_some_and(|expected| (moved - expected).abs() <= critical);
    let explained =
        by_line || -moved - normal_fall(zone, facts, change.from, years)? <= critical && moved < 0.0;
    if explained {
        return Ok(None);
    }
    let reason =
        format!("{} Check sample, depth and laboratory, and resample before advising.", sentence.trim_end());
    Ok(Flag::of(zone, facts, FlagKind::BeyondLabNoise, Severity::Watch, Some(change.from), None, reason))
}

/// How far a test may fall in some years by what is carried off, mg/kg; 0 where nothing is published.
fn normal_fall(zone: &ZoneFacts, facts: &SeriesFacts, from: f64, years: f64) -> Result<f64, TableError> {
    match facts.analyte() {
        Analyte::Phosphorus => Ok(declines()?
            .iter()
            .filter(|decline| decline.nutrient == Analyte::Phosphorus)
            .map(|decline| decline.fall_mg_per_kg(from, years).1)
            .fold(0.0, f64::max)),
        Analyte::Potassium => {
            let turf = use_of(zone.site)?.is_some_and(|found| found.is_turf());
            let removed = limit(if turf { Limit::RemovalK2oTurf } else { Limit::RemovalK2oCrop })?.value;
            let balance = Balance { applied_lb_oxide_per_acre: 0.0, removed_lb_oxide_per_acre: removed };
            let layer_in = facts.series.key.depth_cm.map(|(top, bottom)| f64::from(bottom - top) / 2.54);
            let mut most: f64 = 0.0;
            // The figures were found with ammonium acetate; Mehlich-3 reads about 14 % higher (tristate2020), which the
            // largest removal leaves room for.
            for line in buffering()?.iter().filter(|line| line.nutrient == Analyte::Potassium) {
                let lb = match layer_in {
                    Some(inches) => line.lb_oxide_per_mg_per_kg(facts.context.cec, inches),
                    None => line.in_its_own_layer(facts.context.cec),
                };
                let fall = lb.and_then(|lb| change_mg_per_kg_per_year(balance, lb)).unwrap_or(0.0);
                most = most.max(-fall * years);
            }
            Ok(most)
        }
        _ => Ok(0.0),
    }
}
