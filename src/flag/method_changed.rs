//! `method-changed`: the newest values of an analyte cannot be compared with the ones before; its line starts anew.
//!
//! It stays until the new series is long enough to claim a trend of its own.

use super::facts::{SeriesFacts, ZoneFacts};
use super::{Flag, FlagKind, Severity};
use crate::soil::Method;
use crate::soil::table::TableError;
use crate::trend::SeriesKey;
use crate::trend::rules::TrendRules;

/// The flags of a zone.
pub(super) fn raise(zone: &ZoneFacts) -> Result<Vec<Flag>, TableError> {
    let enough = TrendRules::built_in()?.seasons_for_a_claim;
    Ok(zone
        .current()
        .filter(|facts| facts.series.values.len() < enough)
        .filter_map(|facts| of_series(zone, facts))
        .collect())
}

fn of_series(zone: &ZoneFacts, facts: &SeriesFacts) -> Option<Flag> {
    let first = facts.series.values.first()?.season;
    let span = |other: &SeriesFacts| {
        other.series.values.first().map(|v| v.season).zip(other.last().map(|v| v.season))
    };
    let before = zone
        .series
        .iter()
        .filter(|other| !other.current && other.analyte() == facts.analyte())
        .filter_map(|other| span(other).map(|(start, end)| (end, start, other)))
        .filter(|(end, start, _)| *end <= first && *start < first)
        .max_by_key(|(end, _, _)| *end)
        .map(|(_, _, other)| other)?;
    // One more series that goes on from before the change: nothing was lost.
    let goes_on = zone.current().any(|other| {
        other.analyte() == facts.analyte() && span(other).is_some_and(|(start, _)| start < first)
    });
    if goes_on {
        return None;
    }
    let reason = format!(
        "{} starts a new series in {first}: {}; it is not compared with the {} seasons before.",
        facts.analyte().name(),
        what_changed(&before.series.key, &facts.series.key),
        before.series.values.len(),
    );
    let mut flag = Flag::of(zone, facts, FlagKind::MethodChanged, Severity::Watch, None, None, reason)?;
    flag.season = first;
    Some(flag)
}

/// What keeps two series of one analyte apart, in words.
pub fn what_changed(old: &SeriesKey, new: &SeriesKey) -> String {
    let mut all = Vec::new();
    if old.method != new.method {
        let said = |method: Method| match method {
            Method::Unstated => "not stated",
            other => other.id(),
        };
        all.push(format!("the method changed from {} to {}", said(old.method), said(new.method)));
    }
    if old.basis != new.basis {
        all.push("results per mass and per volume of soil do not mix".to_owned());
    }
    if old.depth_cm != new.depth_cm {
        let said = |depth: Option<(i32, i32)>| {
            depth.map_or("unknown depth".to_owned(), |(top, bottom)| format!("{top} to {bottom} cm"))
        };
        all.push(format!("the sampled layer changed from {} to {}", said(old.depth_cm), said(new.depth_cm)));
    }
    if old.lab != new.lab && old.method == new.method {
        all.push("another laboratory that does not state its method".to_owned());
    }
    all.join(", ")
}
