//! `beyond-lab-noise`: the last change is larger than two results of one soil differ, and neither the line before it nor
//! what is carried off in such a time explains it. It points to the sample, the depth or the laboratory: resample before advising (rule 59).
//!
//! Where nobody published how far results scatter, the change is told beside the series and raises nothing.

use super::facts::{SeriesFacts, ZoneFacts};
use super::removal::possible_fall;
use super::{Flag, FlagKind, Severity};
use crate::guide::{Limit, limit};
use crate::soil::table::TableError;
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
    let explained = by_line
        || -moved - possible_fall(zone.site, &facts.series.key, &facts.context, change.from, years)?
            <= critical
            && moved < 0.0;
    if explained {
        return Ok(None);
    }
    let reason =
        format!("{} Check sample, depth and laboratory, and resample before advising.", sentence.trim_end());
    Ok(Flag::of(zone, facts, FlagKind::BeyondLabNoise, Severity::Watch, Some(change.from), None, reason))
}
