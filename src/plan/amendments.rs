//! Lime and gypsum of a zone.

use super::limits::{PlanLimit, figure};
use super::need::Need;
use super::nutrients::Nutrient;
use super::outcome::Plan;
use super::put_down::{self, Zone};
use super::zone::Seen;
use super::{amend, liming};
use crate::flag::SeriesFacts;
use crate::soil::Analyte;
use crate::soil::table::TableError;
use jiff::civil::Date;

/// Lime by the pH and its buffer, gypsum by the sodium; both less what went down since the sample.
///
/// # Errors
/// A built-in table is damaged.
pub(super) fn amendments(
    seen: &Seen,
    zone: &Zone,
    series: &[&SeriesFacts],
    forbidden: &[Nutrient],
    before: usize,
    plan: &mut Plan,
) -> Result<(), TableError> {
    let feeds: Vec<Date> = plan
        .applications
        .iter()
        .skip(before)
        .filter(|one| one.nutrient == Nutrient::N)
        .map(|one| one.on)
        .collect();
    let found = [
        (Nutrient::LimeCce, &[Analyte::Ph][..], liming::need(seen.site, seen.settings, series)?),
        (Nutrient::Gypsum, &[Analyte::SatNa, Analyte::Sar], amend::gypsum(seen.site, seen.settings, series)?),
    ];
    for (nutrient, told_by, need) in found {
        match need {
            None | Some(Need::OnNitrogen) => {}
            Some(Need::None { reason, source }) => {
                seen.none(told_by, nutrient, reason, &source, plan);
            }
            Some(Need::Ask { question, source }) => {
                plan.questions.push(seen.ask_need(nutrient, question, &source));
            }
            Some(Need::Apply { lb_per_1000_ft2, reason, source, rests_on }) => {
                let sampled = told_by
                    .iter()
                    .filter_map(|analyte| liming::latest(series, *analyte)?.last())
                    .map(|last| last.season)
                    .max();
                let since: f64 = seen
                    .applications
                    .iter()
                    .filter(|one| one.put.site == seen.site.id && one.on_zone(seen.zone))
                    .filter(|one| sampled.is_none_or(|season| one.put.on.year() >= season))
                    .map(|one| one.supplied_lb_per_1000_ft2.get(nutrient))
                    .sum();
                let left = lb_per_1000_ft2 - since;
                if left <= figure(PlanLimit::SmallestRate)?.value {
                    let reason =
                        format!("{reason} {since:.0} lb/1000 ft2 went down since; test again first.");
                    plan.leave_alone.push(seen.left(reason, &source));
                    continue;
                }
                let why = put_down::Why { reason, source, rests_on };
                plan.applications.extend(put_down::amendment(zone, nutrient, left, forbidden, &why, &feeds)?);
            }
        }
    }
    Ok(())
}
