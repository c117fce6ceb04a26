//! Phosphorus on turf: a question of the law before it is one of the soil.

use super::dates::days_between;
use super::limits::{PlanLimit, figure};
use super::need::Need;
use super::nutrients::Nutrient;
use super::outcome::{Plan, Question};
use super::removal;
use super::zone::{LAW, Seen};
use crate::flag::SeriesFacts;
use crate::guide::condition::word;
use crate::guide::use_of;
use crate::soil::Analyte;
use crate::soil::table::TableError;
use jiff::civil::date;

/// Phosphorus on turf is put down only where the keeper has settled that the law allows it, on a recent test.
///
/// # Errors
/// A built-in table is damaged.
pub(super) fn settle_phosphorus(
    seen: &Seen,
    series: &[&SeriesFacts],
    needs: &mut [(Nutrient, Need)],
    plan: &mut Plan,
) -> Result<(), TableError> {
    if !use_of(seen.site)?.is_some_and(|found| found.is_turf()) {
        return Ok(());
    }
    let region = seen.site.region.as_deref().map(word);
    for (nutrient, need) in needs.iter_mut().filter(|(nutrient, _)| *nutrient == Nutrient::P2o5) {
        let Need::Apply { lb_per_1000_ft2, reason, source, .. } = &*need else { continue };
        let law = match &region {
            Some(region) => removal::lawn_p_test_months(region)?,
            None => None,
        };
        let usual = figure(PlanLimit::LawnPTestMonths)?;
        let (months, of) = law.map_or((usual.value, usual.source.as_str()), |law| (law.value, law.source));
        let tested = series
            .iter()
            .filter(|facts| facts.analyte() == Analyte::Phosphorus)
            .filter_map(|facts| facts.last())
            .map(|last| last.season)
            .max();
        // A season may have been sampled on its first day: the test is as old as it may be.
        let fresh = tested.filter(|season| (1..=9999).contains(season)).is_some_and(|season| {
            days_between(date(season, 1, 1), seen.today) as f64 <= months / 12.0 * 365.25
        });
        if seen.settings.phosphorus_allowed && fresh {
            continue;
        }
        let place = region.as_deref().map_or("here".to_owned(), |region| format!("in {region}"));
        let question = if seen.settings.phosphorus_allowed {
            format!(
                "{reason} {lb_per_1000_ft2:.2} lb P2O5/1000 ft2 would do, but the test of {} may be older than the {months} months a law may allow: test again first.",
                tested.unwrap_or_default()
            )
        } else {
            format!(
                "{reason} {lb_per_1000_ft2:.2} lb P2O5/1000 ft2 would do: may phosphorus go on established turf {place}? \
                 Many states forbid it without a recent test that shows need (here up to {months} months old). \
                 Once settled, set phosphorus_allowed."
            )
        };
        let plain = "The soil is short of phosphorus. May it go on established grass here, or does the law forbid it?";
        plan.questions.push(Question { plain: Some(plain.to_owned()), ..seen.question(question, LAW, of) });
        *need = Need::None {
            reason: format!("No {} until the question of the law is settled.", nutrient.name()),
            source: source.clone(),
        };
    }
    Ok(())
}
