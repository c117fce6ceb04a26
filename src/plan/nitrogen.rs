//! Nitrogen for a season: target, clippings, what is already down, and the largest single rate.
//!
//! Soil tests do not measure the nitrogen turf gets; the target comes from species and use, or from the laboratory.

use super::fertiliser::{Remaining, remaining};
use super::limits::{PlanLimit, figure};
use super::recommended::Recommended;
use super::settings::{Clippings, Level, SiteSettings};
use super::sources::{known, region_of, was_read};
use crate::guide::condition::word;
use crate::guide::use_of;
use crate::soil::Site;
use crate::soil::ids::contract_ids;
use crate::soil::table::{TableError, rows};
use serde::{Deserialize, Serialize};
use std::sync::LazyLock;

#[derive(Debug, Deserialize)]
struct Row {
    crop: String,
    figure: String,
    #[serde(rename = "unit")]
    _unit: String,
    value: String,
    source_key: String,
    checked: String,
}

impl Row {
    fn number(&self) -> Option<f64> {
        self.value.parse().ok()
    }
}

contract_ids! {
    /// When a grass grows.
    Group { Cool = "cool", Warm = "warm" }
}

#[derive(Debug, Deserialize)]
struct SpeciesRow {
    species: String,
    group: Group,
    aliases: String,
}

static ROWS: LazyLock<Result<Vec<Row>, TableError>> = LazyLock::new(|| {
    const TABLE: &str = "nitrogen.csv";
    let all: Vec<Row> = rows(TABLE, include_str!("nitrogen.csv"))?;
    for (number, row) in (1..).zip(&all) {
        known(TABLE, number, &row.source_key)?;
        was_read(TABLE, number, &row.checked)?;
    }
    Ok(all)
});

static SPECIES: LazyLock<Result<Vec<SpeciesRow>, TableError>> =
    LazyLock::new(|| rows("species.csv", include_str!("species.csv")));

fn all() -> Result<&'static [Row], TableError> {
    ROWS.as_deref().map_err(Clone::clone)
}

/// The grass a word means in the tables, with the season it grows in; none for a word they do not know.
///
/// # Errors
/// The built-in table is damaged.
pub fn grass(named: &str) -> Result<Option<(&'static str, Group)>, TableError> {
    let named = word(named);
    let found = SPECIES.as_ref().map_err(Clone::clone)?.iter().find(|row| {
        row.species == named || row.aliases.split(';').map(str::trim).any(|alias| alias == named)
    });
    Ok(found.map(|row| (row.species.as_str(), row.group)))
}

/// Nitrogen for the season before any credit.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Target {
    /// lb/1000 ft2.
    pub lb_per_1000_ft2: f64,
    /// How it came about, in a sentence.
    pub reason: String,
    /// Source key, or `keeper` or `laboratory`.
    pub source: String,
}

/// Source word for what the keeper set.
pub const KEEPER: &str = "keeper";
/// Source word for what the laboratory printed.
pub const LABORATORY: &str = "laboratory";

/// The season's target, or the sentence why there is none; beside it what to ask of the laboratory's own.
///
/// The keeper's own figure stands first, then the laboratory's that the keeper entered, then the one of the newest
/// report where it is certain, then the published span of the grass. What the report leaves unsure is a question.
///
/// # Errors
/// A built-in table is damaged.
pub fn target(
    site: &Site,
    settings: &SiteSettings,
    recommended: Option<&Recommended>,
) -> Result<(Result<Target, String>, Option<String>), TableError> {
    if let Some(set) = by_settings(settings) {
        return Ok((Ok(set), None));
    }
    Ok(
        match recommended
            .filter(|found| !found.nitrogen.is_empty())
            .map(|found| found.target(site))
            .transpose()?
        {
            Some(Ok(target)) => (Ok(target), None),
            Some(Err(question)) => (published(site, settings)?, Some(question)),
            None => (published(site, settings)?, None),
        },
    )
}

/// What the keeper decided, or entered of the laboratory's.
fn by_settings(settings: &SiteSettings) -> Option<Target> {
    if let Some(lb) = settings.n_lb_per_1000_ft2 {
        let reason = format!("{lb} lb N/1000 ft2 for the season, set by the keeper.");
        return Some(Target { lb_per_1000_ft2: lb, reason, source: KEEPER.to_owned() });
    }
    settings.lab_nitrogen.as_ref().map(|rate| {
        let lb = rate.lb_per_1000_ft2;
        let reason = format!(
            "The laboratory recommends {}, that is {lb:.2} lb N/1000 ft2 for the season.",
            rate.printed
        );
        Target { lb_per_1000_ft2: lb, reason, source: LABORATORY.to_owned() }
    })
}

/// The published span of the grass, or the sentence why there is none.
fn published(site: &Site, settings: &SiteSettings) -> Result<Result<Target, String>, TableError> {
    if !use_of(site)?.is_some_and(|found| found.is_turf()) {
        return Ok(Err("No nitrogen table fits what grows here: set lab_nitrogen to the laboratory's own \
                       recommendation, or n_lb_per_1000_ft2."
            .to_owned()));
    }
    let Some(named) = site.species.as_deref().filter(|named| !named.trim().is_empty()) else {
        return Ok(Err(
            "Which grass grows here? The nitrogen it wants differs threefold between grasses: set \
                       species, lab_nitrogen or n_lb_per_1000_ft2."
                .to_owned(),
        ));
    };
    let Some((species, _)) = grass(named)? else {
        return Ok(Err(format!("No nitrogen table names {named:?}: set lab_nitrogen or n_lb_per_1000_ft2.")));
    };
    let spans = spans(species)?;
    let region = site.region.as_deref().map(word).unwrap_or_default();
    let mut chosen = spans.first();
    for span in &spans {
        if !region.is_empty() && region_of(span.source)? == region {
            chosen = Some(span);
            break;
        }
    }
    let Some(span) = chosen else {
        return Ok(Err(format!("No nitrogen figures for {species} were read: set n_lb_per_1000_ft2.")));
    };
    let (lb, which) = match settings.n_level {
        Level::Low => (span.low, "lower end"),
        Level::Middle => ((span.low + span.high) / 2.0, "middle"),
        Level::High => (span.high, "upper end"),
    };
    let others: Vec<String> = spans
        .iter()
        .filter(|other| (other.low, other.high) != (span.low, span.high))
        .map(|other| format!("{} to {} in {}", other.low, other.high, other.source))
        .collect();
    let others = if others.is_empty() { String::new() } else { format!("; elsewhere {}", others.join(", ")) };
    let reason = format!(
        "{} wants {} to {} lb N/1000 ft2 a year ({}{others}); the {which} is {lb}.",
        species.replace('-', " "),
        span.low,
        span.high,
        span.source
    );
    Ok(Ok(Target { lb_per_1000_ft2: lb, reason, source: span.source.to_owned() }))
}

struct Span {
    low: f64,
    high: f64,
    source: &'static str,
}

/// Spans of a grass that were read, in the order of the table.
fn spans(species: &str) -> Result<Vec<Span>, TableError> {
    let rows = all()?;
    let of = |figure: &'static str| {
        rows.iter().filter(move |row| row.crop == species && row.figure == figure && row.checked == "READ")
    };
    Ok(of("annual_n_low")
        .filter_map(|low| {
            let high = of("annual_n_high").find(|high| high.source_key == low.source_key)?;
            Some(Span { low: low.number()?, high: high.number()?, source: &low.source_key })
        })
        .collect())
}

/// The largest single rate.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Single {
    /// All nitrogen at once, lb/1000 ft2.
    pub lb_per_1000_ft2: f64,
    /// Quickly released nitrogen at once, lb/1000 ft2, where a rule of the region says so.
    pub soluble_lb_per_1000_ft2: Option<f64>,
    /// The keeper set it, so that it stands before the caps of the calendar.
    pub by_keeper: bool,
    /// Source key, or `keeper`.
    pub source: String,
}

/// The largest single rate: the keeper's, else the lowest of what was published for the grass and the region. A figure
/// from memory counts here, since it only makes the plan more careful. None for what is no turf.
///
/// # Errors
/// A built-in table is damaged.
pub fn single(site: &Site, settings: &SiteSettings) -> Result<Option<Single>, TableError> {
    let region = site.region.as_deref().map(word).unwrap_or_default();
    let group = site.species.as_deref().map(grass).transpose()?.flatten().map(|(_, group)| group);
    let here = format!("lawn@{region}");
    let lawn = match group {
        Some(group) => format!("{group}-season-lawn"),
        None => "cool-season-lawn".to_owned(),
    };
    let lowest = |figures: &[&str]| -> Result<Option<(f64, &'static str)>, TableError> {
        Ok(all()?
            .iter()
            .filter(|row| figures.contains(&row.figure.as_str()))
            .filter(|row| row.crop == lawn || row.crop == "lawn" || row.crop == here)
            .filter_map(|row| Some((row.number()?, row.source_key.as_str())))
            .min_by(|a, b| a.0.total_cmp(&b.0)))
    };
    let soluble = lowest(&["max_soluble_n_single_application"])?.map(|(lb, _)| lb);
    if let Some(lb) = settings.max_single_n_lb_per_1000_ft2 {
        return Ok(Some(Single {
            lb_per_1000_ft2: lb,
            soluble_lb_per_1000_ft2: soluble,
            by_keeper: true,
            source: KEEPER.to_owned(),
        }));
    }
    if !use_of(site)?.is_some_and(|found| found.is_turf()) {
        return Ok(None);
    }
    let total = lowest(&["max_single_application", "max_total_n_single_application"])?;
    Ok(total.map(|(lb, source)| Single {
        lb_per_1000_ft2: lb,
        soluble_lb_per_1000_ft2: soluble,
        by_keeper: false,
        source: source.to_owned(),
    }))
}

/// The season's account of nitrogen, lb/1000 ft2.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Account {
    /// Target before credit.
    pub target: Target,
    /// Less for clippings that stay.
    pub clippings_credit: f64,
    /// Season's amount after credit.
    pub season: f64,
    /// Already down since the season began.
    pub down: f64,
    /// Still to put down.
    pub left: f64,
    /// By how much the season is over.
    pub over_by: f64,
}

/// Target less clippings, less what is down.
///
/// # Errors
/// The built-in table is damaged.
pub fn account(target: Target, settings: &SiteSettings, down: f64) -> Result<Account, TableError> {
    let share = match settings.clippings {
        Some(Clippings::Returned) => figure(PlanLimit::ClippingsCredit)?.value / 100.0,
        _ => 0.0,
    };
    let credit = target.lb_per_1000_ft2 * share;
    let season = (target.lb_per_1000_ft2 - credit).max(0.0);
    let Remaining { amount, over_by } = remaining(season, down);
    Ok(Account { target, clippings_credit: credit, season, down, left: amount, over_by })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::plan::settings::PrintedRate;

    fn lawn(species: &str, region: Option<&str>) -> Site {
        Site {
            use_: Some("lawn".into()),
            species: Some(species.into()),
            region: region.map(str::to_owned),
            ..Site::default()
        }
    }

    fn of(site: &Site, settings: &SiteSettings) -> Result<Target, String> {
        target(site, settings, None).unwrap().0
    }

    #[test]
    fn the_grass_and_its_region_choose_the_span_and_the_keeper_stands_before_it() {
        let none = SiteSettings::default();
        let fescue = of(&lawn("Tall Fescue", None), &none).unwrap();
        assert_eq!((fescue.lb_per_1000_ft2, fescue.source.as_str()), (2.75, "va-dcr-lawn"));
        assert!(fescue.reason.contains("2 to 3.5") && fescue.reason.contains("2 to 4 in uiuc1995-lawn"));
        let illinois = of(&lawn("tall-fescue", Some("Illinois")), &none).unwrap();
        assert_eq!(illinois.lb_per_1000_ft2, 3.0);
        let keeper = SiteSettings { n_lb_per_1000_ft2: Some(1.5), ..none.clone() };
        assert_eq!(of(&lawn("tall-fescue", None), &keeper).unwrap().source, KEEPER);
        let low = SiteSettings { n_level: Level::Low, ..none.clone() };
        assert_eq!(of(&lawn("tall-fescue", None), &low).unwrap().lb_per_1000_ft2, 2.0);
    }

    #[test]
    fn the_laboratorys_recommendation_is_taken_as_printed() {
        let rate = PrintedRate::try_from("100 lb/acre".to_owned()).unwrap();
        let settings = SiteSettings { lab_nitrogen: Some(rate), ..SiteSettings::default() };
        let found = of(&lawn("", None), &settings).unwrap();
        assert!((found.lb_per_1000_ft2 - 2.2957).abs() < 1e-4 && found.reason.contains("100 lb/acre"));
    }

    #[test]
    fn without_a_grass_or_a_table_a_question_is_asked_and_no_rate_invented() {
        let none = SiteSettings::default();
        assert!(of(&lawn("", None), &none).is_err_and(|why| why.contains("Which grass")));
        assert!(of(&lawn("moss", None), &none).is_err());
        let corn = Site { use_: Some("corn".into()), ..lawn("corn", None) };
        assert!(of(&corn, &none).is_err_and(|why| why.contains("No nitrogen table")));
    }

    #[test]
    fn the_lowest_published_single_rate_holds_unless_the_keeper_sets_one() {
        let none = SiteSettings::default();
        let rate = |site: &Site, settings: &SiteSettings| single(site, settings).unwrap().unwrap();
        assert_eq!(rate(&lawn("tall-fescue", None), &none).lb_per_1000_ft2, 0.9);
        assert_eq!(rate(&lawn("zoysia", None), &none).lb_per_1000_ft2, 1.0);
        let maryland = rate(&lawn("zoysia", Some("maryland")), &none);
        assert_eq!((maryland.lb_per_1000_ft2, maryland.soluble_lb_per_1000_ft2), (0.9, Some(0.7)));
        let keeper = SiteSettings { max_single_n_lb_per_1000_ft2: Some(0.5), ..none };
        assert_eq!(rate(&lawn("tall-fescue", None), &keeper).lb_per_1000_ft2, 0.5);
    }

    #[test]
    fn clippings_take_off_a_quarter_and_a_season_over_says_by_how_much() {
        let target = Target { lb_per_1000_ft2: 4.0, reason: String::new(), source: KEEPER.into() };
        let returned = SiteSettings { clippings: Some(Clippings::Returned), ..SiteSettings::default() };
        let found = account(target.clone(), &returned, 1.0).unwrap();
        assert_eq!((found.season, found.left, found.over_by), (3.0, 2.0, 0.0));
        let over = account(target, &SiteSettings::default(), 4.4).unwrap();
        assert!(over.left == 0.0 && (over.over_by - 0.4).abs() < 1e-12);
    }
}
