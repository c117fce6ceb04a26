//! The words around a table of recommendations: that it recommends, in which unit, and for how long.

use crate::reading::layout::{Layout, Line};
use crate::soil::{Doubt, RateUnit};
use regex::Regex;
use std::sync::LazyLock;

/// Words by which a laboratory says that it recommends.
static RECOMMENDS: LazyLock<Option<Regex>> = LazyLock::new(|| {
    Regex::new(r"(?i)\b(?:recommend\w*|suggest\w*|advice|advised|apply|fertili[sz]er|fertilization|fertilisation|requirements?|guidelines?|needed|needs?)\b").ok()
});
/// Words of a table that looks alike and recommends nothing: what crops carry off, what was put down, what a manure holds.
static OTHERWISE: LazyLock<Option<Regex>> = LazyLock::new(|| {
    Regex::new(r"(?i)\b(?:removal|removed|removes?|uptake|applied|last (?:year|season)|previous\w*|former|history|manure|compost|contents?|contains?|supplied|supplies|credits?)\b").ok()
});
/// Words by which an amount is not the season's.
static AT_A_TIME: LazyLock<Option<Regex>> = LazyLock::new(|| {
    Regex::new(r"(?i)\b(?:per application|each (?:time|application)|at (?:a|one) time|at once|monthly|every (?:month|\w+ weeks)|per month|maximum|not (?:to )?exceed\w*|up to)\b").ok()
});

/// True where a text says that it recommends.
pub fn recommends(text: &str) -> bool {
    RECOMMENDS.as_ref().is_some_and(|r| r.is_match(text))
}

/// True where a text speaks of something else than what to put down.
pub fn speaks_otherwise(text: &str) -> bool {
    OTHERWISE.as_ref().is_some_and(|r| r.is_match(text))
}

/// True where amounts are for one time, or a limit.
pub fn at_a_time(text: &str) -> bool {
    AT_A_TIME.as_ref().is_some_and(|r| r.is_match(text))
}

/// Units in a text that stand for themselves: no number before them (`in pounds an acre`, not `45 lb/acre`).
pub fn bare_units(text: &str) -> Vec<(RateUnit, String)> {
    RateUnit::all_in(text)
        .into_iter()
        .filter_map(|(unit, range)| {
            let before = text.get(..range.start)?.trim_end();
            let bare = !before.ends_with(|c: char| c.is_ascii_digit());
            bare.then(|| (unit, text.get(range).unwrap_or_default().to_owned()))
        })
        .collect()
}

/// The one unit of several mentions; none where they differ or none is there.
pub fn one_unit(units: &[(RateUnit, String)]) -> Option<(RateUnit, String)> {
    let first = units.first()?;
    units.iter().all(|u| u.0 == first.0).then(|| first.clone())
}

/// A line's words.
pub fn text_of(line: &Line) -> String {
    line.phrases.iter().map(|p| p.text()).collect::<Vec<_>>().join(" | ")
}

/// Lines that may be a caption, above or below.
const CAPTION: usize = 4;

/// What the lines above a table say (nearest first), up to a gap or a line with values.
pub fn above<'a>(page: &'a Layout, first: usize, has_values: &dyn Fn(usize) -> bool) -> Vec<&'a Line> {
    let mut out: Vec<&Line> = Vec::new();
    let Some(mut below) = page.lines.get(first) else { return out };
    for at in (0..first).rev().take(CAPTION) {
        let Some(line) = page.lines.get(at) else { break };
        if has_values(at) || below.area.y0 - line.area.y1 > 4.0 * page.em {
            break;
        }
        out.push(line);
        below = line;
    }
    out
}

/// What the caption says of the amounts: the doubts it raises, none where it plainly recommends; the outer `None` where
/// the table is about something else.
pub fn judged(said: &str, explicit: bool, stated: bool) -> Option<Vec<Doubt>> {
    if speaks_otherwise(said) {
        return None;
    }
    let mut doubts = Vec::new();
    if !explicit && !recommends(said) {
        if !stated {
            return None;
        }
        doubts.push(Doubt::new("context-unsure", "Nothing says that this nitrogen is a recommendation."));
    }
    if at_a_time(said) {
        doubts
            .push(Doubt::new("time-unsure", "It is not said whether this nitrogen is for the whole season."));
    }
    Some(doubts)
}
