//! `drawing-down`: what is sufficient now will fall below the edge within the horizon if the line goes on.
//!
//! Falling from plenty is good management and raises nothing. A straight line is an early bound: below the responsive
//! range the fall flattens (Ciampitti and others, SSSAJ 75, 2011).

use super::below_sufficiency::no_shortage;
use super::facts::{SeriesFacts, ZoneFacts};
use super::{Flag, FlagKind, Severity, severity};
use crate::guide::{Limit, Standing, limit};
use crate::soil::table::TableError;
use crate::trend::Trend;
use crate::trend::noise::amount;
use crate::trend::rules::TrendRules;

/// The flags of a zone.
pub(super) fn raise(zone: &ZoneFacts) -> Result<Vec<Flag>, TableError> {
    let mut flags = Vec::new();
    for facts in zone.current() {
        flags.extend(of_series(zone, facts)?);
    }
    Ok(flags)
}

/// Where the trend line stands in a season, canonical unit.
fn line_at(trend: &Trend, season: f64) -> Option<f64> {
    let ((x, y), slope) = (trend.pivot?, trend.slope?);
    Some(y + slope * (season - x))
}

fn of_series(zone: &ZoneFacts, facts: &SeriesFacts) -> Result<Option<Flag>, TableError> {
    let Some(level) = facts.level().filter(|level| level.standing == Standing::Within) else {
        return Ok(None);
    };
    let trend = &facts.trend;
    let falling = trend.slope.filter(|slope| *slope < 0.0);
    let found = (|| {
        let (slope, edge, last) = (falling?, level.sufficient_from?, facts.last()?);
        let season = match facts.crossing.and_then(|c| c.season) {
            Some(season) => season,
            // The line has reached the edge although the last value stands just above it: the next season meets it.
            None if line_at(trend, f64::from(last.season))? <= edge => i32::from(last.season) + 1,
            None => return None,
        };
        Some((slope, season, edge, level.alert_below?, last))
    })();
    let Some((slope, season, edge, alert, last)) = found else { return Ok(None) };
    let soon = f64::from(season) <= f64::from(last.season) + zone.settings.horizon_years;
    if !soon || no_shortage(facts)? || trend.n < TrendRules::built_in()?.seasons_for_a_claim {
        return Ok(None);
    }
    let sure = trend.slope_bounds.is_some_and(|(_, high)| high < 0.0);
    let watched = trend.p.is_some_and(|p| p <= limit(Limit::DrawingDownWatchP).map_or(0.0, |l| l.value));
    if !sure && !watched {
        return Ok(None);
    }
    let severity =
        if sure { severity(alert, level.edge_read, level.outside_region) } else { Severity::Watch };
    let (said, edge_said, fall) = (facts.said(), facts.edge(edge), amount(-slope, facts.analyte().unit()));
    let title = &level.title;
    let unverified = if level.edge_read { "" } else { " (unverified figure)" };
    let reason = if sure {
        let latest = facts.crossing.and_then(|c| c.earliest.zip(c.latest));
        let span = latest.map_or(String::new(), |(early, late)| format!(" (between {early} and {late})"));
        format!(
            "{said} falls {fall} a year over {} seasons and, if it goes on so, falls below {edge_said}, the lower \
             edge of {title}{unverified}, in {season}{span}{}; a straight line is an early guess.",
            trend.n,
            facts.depth_word()
        )
    } else {
        format!(
            "{said} may be falling ({fall} a year over {} seasons, not sure yet); if it is, it meets {edge_said}, the \
             lower edge of {title}{unverified}, in {season}.",
            trend.n
        )
    };
    Ok(Flag::of(zone, facts, FlagKind::DrawingDown, severity, Some(edge), Some(&level.guide), reason))
}
