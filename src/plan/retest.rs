//! When to sample again, how deep, and how many cores.

use super::dates::{Calendar, Purpose};
use super::limits::{PlanLimit, figure};
use super::outcome::Retest;
use super::settings::SiteSettings;
use crate::flag::SeriesFacts;
use crate::guide::{Limit, limit, use_of};
use crate::soil::Site;
use crate::soil::convert::CM_PER_INCH;
use crate::soil::table::TableError;
use jiff::ToSpan;
use jiff::civil::Date;

/// The next sample of a zone: when the use of the site asks for it, sooner while something is put right or watched, and
/// never in the months after fertiliser in which a test misleads. `spread_on`: the days on which something went down or
/// will.
///
/// # Errors
/// A built-in table is damaged.
pub fn retest(
    site: &Site,
    settings: &SiteSettings,
    zone: (&str, &[&SeriesFacts]),
    watched: bool,
    spread_on: &[Date],
    today: Date,
) -> Result<Option<Retest>, TableError> {
    let (zone, series) = zone;
    let Some(last) = series.iter().filter_map(|facts| facts.last()).map(|value| value.season).max() else {
        return Ok(None);
    };
    let found = use_of(site)?;
    let every = limit(match found {
        _ if watched => Limit::RetestCorrectingYears,
        Some(found) => found.retest,
        None => Limit::RetestLawnYears,
    })?;
    let due = last.saturating_add(every.value as i16).max(today.year());
    let wait = figure(PlanLimit::WaitAfterFertiliser)?.value as i64;
    let disturbed = |day: Date| {
        spread_on.iter().any(|spread| {
            *spread <= day && spread.checked_add(wait.months()).is_ok_and(|rested| day < rested)
        })
    };
    let mut on = None;
    for year in due..due.saturating_add(3) {
        let day = match settings.sample_on.and_then(|day| day.in_year(year)) {
            Some(day) => Some(day).filter(|day| *day >= today && !disturbed(*day)),
            None => {
                let calendar = Calendar { season: year, today, settings, last_feed: None };
                let openings = calendar.openings(Purpose::Sample)?;
                openings.iter().map(|opening| opening.on).find(|day| !disturbed(*day))
            }
        };
        if day.is_some() {
            on = day;
            break;
        }
    }
    let depth = series.iter().filter_map(|facts| facts.series.key.depth_cm.map(|d| (facts.last(), d)));
    let kept = depth.max_by_key(|(last, _)| last.map(|value| value.season)).map(|(_, depth)| depth);
    let depth = match kept {
        Some((top, bottom)) => {
            let inches = f64::from(bottom - top) / CM_PER_INCH;
            // Depths are kept in whole centimetres; a probe is marked in half inches.
            let inches = (inches * 2.0).round() / 2.0;
            format!("{inches} in deep ({top} to {bottom} cm), as before")
        }
        None => how_deep(site)?,
    };
    let why = if watched { " while something is put right or watched" } else { "" };
    let years =
        if every.value == 1.0 { "every year".to_owned() } else { format!("every {} years", every.value) };
    let cores = least_cores()?;
    Ok(on.map(|on| Retest {
        zone: zone.to_owned(),
        on,
        depth,
        cores,
        reason: format!(
            "Last sampled in {last}; tested {years}{why}. Same month, same depth, same laboratory and method; at least {wait} months after fertiliser."
        ),
        source: every.source.clone(),
    }))
}

/// The usual depth for the use of a site, with its source; for a place that was not sampled before.
///
/// # Errors
/// A built-in table is damaged.
pub fn how_deep(site: &Site) -> Result<String, TableError> {
    let turf = use_of(site)?.is_none_or(|found| found.is_turf());
    let usual = figure(if turf { PlanLimit::DepthTurf } else { PlanLimit::DepthCrops })?;
    Ok(format!("{} in deep ({})", usual.value, usual.source))
}

/// At least so many cores make a sample.
///
/// # Errors
/// A built-in table is damaged.
pub fn least_cores() -> Result<u32, TableError> {
    Ok(figure(PlanLimit::CoresLeast)?.value as u32)
}
