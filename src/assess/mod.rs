//! PIPELINE 2 on one page: a site's readings become series, trend, level, flags: one Assessment.

mod bulk;

mod surroundings;

mod trend_row;

mod why;

#[cfg(test)]
mod worked;

pub use bulk::{BulkError, assess_all};
pub use trend_row::{TrendRow, trend_rows};
pub use why::{LeftOut, ReadingWhy, RuleWhy, SeriesWhy, TableWhy, UsedSeason, why};

use crate::flag::{self, Flag, FlagSettings, LeaveAlone, SeriesFacts, ZoneFacts};
use crate::guide::{
    self, Context, Level, Limit, Measured, NoLevel, OwnEdge, Silence, Standing, interpret, limit, own_level,
};
use crate::soil::table::TableError;
use crate::soil::{ReadingRow, Site, Status};
use crate::trend::bulk::SiteSeries;
use crate::trend::columns::known_day;
use crate::trend::rules::TrendRules;
use crate::trend::{SeasonValue, Series, crossing, noise, series, shift, trend, trend_of, word};
use jiff::civil::Date;
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

/// What the keeper may set for an assessment.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct AssessSettings {
    /// How far ahead a fall below sufficiency is flagged, years.
    pub horizon_years: f64,
    /// Edges of the keeper's own at this site; they stand before every guide.
    pub own_edges: Vec<OwnEdge>,
}

impl AssessSettings {
    /// The defaults.
    ///
    /// # Errors
    /// A built-in table is damaged.
    pub fn built_in() -> Result<Self, TableError> {
        Ok(Self { horizon_years: limit(Limit::DrawingDownWithinYears)?.value, own_edges: Vec::new() })
    }
}

/// Everything that is said of a site: charts, pages, exports and the digest come from this one value.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Assessment {
    /// The site as it was known.
    pub site: Site,
    /// The day it was made for.
    pub today: Date,
    /// Series by zone, analyte and method.
    pub series: Vec<SeriesFacts>,
    /// Flags, the most urgent first.
    pub flags: Vec<Flag>,
    /// What to leave alone, and why.
    pub leave_alone: Vec<LeaveAlone>,
    /// From which day on each zone is due for sampling again.
    pub retest_on: BTreeMap<String, Date>,
}

/// Assesses a site from its readings; readings of other sites are passed over, held and rejected ones do not count.
///
/// # Errors
/// A built-in table is damaged.
pub fn assess(
    site: &Site,
    rows: &[ReadingRow],
    settings: &AssessSettings,
    today: Date,
) -> Result<Assessment, TableError> {
    let own: Vec<ReadingRow> = rows.iter().filter(|row| row.site == site.id).cloned().collect();
    let mut last_days: BTreeMap<String, Option<Date>> = BTreeMap::new();
    for row in own.iter().filter(|row| row.status != Status::Rejected) {
        let printed = row.sampled_on.or(row.received_on).or(row.reported_on);
        let last = last_days.entry(row.zone.clone()).or_default();
        *last = (*last).max(known_day(printed, row.season));
    }
    let series = series::build(&own, &TrendRules::built_in()?);
    assess_series(site, SiteSeries { series, last_days }, settings, today)
}

/// Assesses a site from its series: the one way for a single site and for many.
pub(super) fn assess_series(
    site: &Site,
    found: SiteSeries,
    settings: &AssessSettings,
    today: Date,
) -> Result<Assessment, TableError> {
    let rules = TrendRules::built_in()?;
    let all = found.series;
    let mut series = Vec::with_capacity(all.len());
    for one in &all {
        series.push(facts(site, one, &all, settings, &rules)?);
    }
    let (mut flags, mut leave_alone, mut retest_on) = (Vec::new(), Vec::new(), BTreeMap::new());
    for (zone, last_day) in &found.last_days {
        // Series stand in the order of their zones.
        let from = series.partition_point(|one| one.series.key.zone < *zone);
        let to = series.partition_point(|one| one.series.key.zone <= *zone);
        let seen = ZoneFacts {
            site,
            zone,
            series: series.get(from..to).unwrap_or_default(),
            last_day: *last_day,
            settings: FlagSettings { horizon_years: settings.horizon_years },
            today,
        };
        flags.extend(flag::flags(&seen)?);
        leave_alone.extend(flag::leave_alone(&seen)?);
        retest_on.extend(flag::retest_on(&seen)?.map(|on| (zone.clone(), on)));
    }
    flag::sort(&mut flags);
    Ok(Assessment { site: site.clone(), today, series, flags, leave_alone, retest_on })
}

fn facts(
    site: &Site,
    one: &Series,
    all: &[Series],
    settings: &AssessSettings,
    rules: &TrendRules,
) -> Result<SeriesFacts, TableError> {
    let trend = trend(one);
    let last = one.values.last();
    let last_season = last.map_or(i16::MIN, |value| value.season);
    let current = all
        .iter()
        .filter(|other| other.key.zone == one.key.zone && other.key.analyte == one.key.analyte)
        .all(|other| other.values.last().is_none_or(|value| value.season <= last_season));
    let context = surroundings::context(site, &one.key.zone, last_season, all)?;
    let said = match last {
        Some(last) => levels(site, one, last, &context, settings)?,
        None => Said::default(),
    };
    let crossing = said
        .levels
        .first()
        .and_then(|level| level.sufficient_from)
        .filter(|_| trend.n >= rules.seasons_for_a_claim)
        .map(|edge| crossing::crossing(&trend, edge, last_season, rules.horizon_years));
    let (change, expected_change) = change(one)?;
    Ok(SeriesFacts {
        current,
        levels: said.levels,
        also: said.also,
        silent: said.silent,
        crossing,
        change_sentence: change.as_ref().map(noise::Change::sentence),
        change,
        expected_change,
        early_word: word::early_word(&trend, one, rules)?,
        removal_word: flag::removal::compared(site, &one.key, &trend, &context)?,
        lab_shifts: shift::lab_shifts(one),
        context,
        series: one.clone(),
        trend,
    })
}

/// The last change of a series, and the one that the seasons before it expected.
fn change(one: &Series) -> Result<(Option<noise::Change>, Option<f64>), TableError> {
    let Some((last, before)) = one.values.split_last() else { return Ok((None, None)) };
    let Some(previous) = before.last() else { return Ok((None, None)) };
    let change = noise::change(&one.key, previous, last)?;
    let years = f64::from(last.season) - f64::from(previous.season);
    // Two seasons always lie on a line; it takes three to expect anything.
    let expected = trend_of(before).slope.filter(|_| before.len() > 2).map(|slope| slope * years);
    Ok((Some(change), expected))
}

/// What guides say and do not say.
#[derive(Default)]
struct Said {
    levels: Vec<Level>,
    also: Vec<Level>,
    silent: Vec<NoLevel>,
}

fn levels(
    site: &Site,
    one: &Series,
    last: &SeasonValue,
    context: &Context,
    settings: &AssessSettings,
) -> Result<Said, TableError> {
    let key = &one.key;
    let reading = Measured {
        analyte: key.analyte,
        method: key.method,
        value: last.value,
        qualifier: last.qualifier,
        basis: key.basis,
        depth_cm: key.depth_cm,
    };
    let mut said =
        Said { levels: own_level(&reading, &settings.own_edges).into_iter().collect(), ..Said::default() };
    for guide in guide::choose(site, key.analyte, key.method)? {
        match interpret(&reading, context, site, guide)? {
            Ok(level) => said.levels.push(level),
            Err(silent) => said.silent.push(silent),
        }
    }
    for id in &site.guides {
        if guide::guide(id)?.is_none() {
            let reason = format!("The site asks for the guide {id}, and there is none of that name.");
            said.silent.push(NoLevel { guide: id.clone(), silence: Silence::NoScale, reason });
        }
    }
    if guide::use_of(site)?.is_none() {
        let reason = format!("No guide speaks for the use {:?}.", site.use_.as_deref().unwrap_or_default());
        said.silent.push(NoLevel { guide: String::new(), silence: Silence::Crop, reason });
    }
    for guide in guide::also(site, key.analyte)? {
        // Their silence is of no interest: most of them speak of other methods, textures and states.
        said.also.extend(interpret(&reading, context, site, guide)?.ok());
    }
    // A guide that only informs never leads where another rates sufficiency.
    said.levels.sort_by_key(|level| level.standing == Standing::Information);
    Ok(said)
}
