//! `retest-due`: the last sample is older than the use of the site allows (lawns 3 years, yearly while correcting).

use super::facts::ZoneFacts;
use super::{Flag, FlagKind, Severity, below_sufficiency};
use crate::guide::{Limit, limit, use_of};
use crate::soil::table::TableError;
use jiff::ToSpan;
use jiff::civil::Date;

/// The flag of a zone, at most one.
pub(super) fn raise(zone: &ZoneFacts) -> Result<Vec<Flag>, TableError> {
    let Some(due) = due(zone)?.filter(|due| zone.today >= due.on) else { return Ok(Vec::new()) };
    let Due { last, on, years, correcting, source } = due;
    let why = if correcting { " while something is being put right" } else { "" };
    let often = if years == 1 { "every year".to_owned() } else { format!("every {years} years") };
    let reason = format!(
        "Last sampled on {last}; a soil like this is tested {often}{why} ({source}), so it was due on {on}."
    );
    Ok(vec![Flag {
        site: zone.site.id.clone(),
        zone: zone.zone.to_owned(),
        season: zone.today.year(),
        analyte: None,
        flag: FlagKind::RetestDue,
        severity: Severity::Watch,
        value: None,
        edge: None,
        unit: None,
        guide: None,
        reason,
    }])
}

/// When a zone is to be sampled again.
pub(super) struct Due {
    last: Date,
    /// From this day on it is due.
    pub(super) on: Date,
    years: i64,
    correcting: bool,
    source: String,
}

/// When a zone is to be sampled again; none where no day of a sample is known.
pub(super) fn due(zone: &ZoneFacts) -> Result<Option<Due>, TableError> {
    let Some(last) = zone.last_day else { return Ok(None) };
    let correcting = below_sufficiency::correcting(zone)?;
    let name = match use_of(zone.site)? {
        _ if correcting => Limit::RetestCorrectingYears,
        Some(found) => found.retest,
        None => Limit::RetestLawnYears,
    };
    let every = limit(name)?;
    let years = every.value as i64;
    let due = last.checked_add(years.years()).ok();
    Ok(due.map(|on| Due { last, on, years, correcting, source: every.source.clone() }))
}
