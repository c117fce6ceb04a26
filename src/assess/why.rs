//! How each thing said came about: the readings used, those left out and the reason, the tables, the rules by name.

use super::Assessment;
use crate::flag::{SeriesFacts, what_changed};
use crate::guide::Level;
use crate::guide::own::OWN;
use crate::guide::source::source;
use crate::soil::table::TableError;
use crate::soil::{Analyte, Method, ReadingRow, Status};
use crate::trend::noise::variability_of;
use crate::trend::rules::{Rule, TrendRules, rule};
use crate::trend::{SeasonValue, mann_kendall};
use serde::Serialize;
use std::collections::BTreeSet;

/// Why a series stands as it does.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct SeriesWhy {
    /// Zone.
    pub zone: String,
    /// What.
    pub analyte: Analyte,
    /// How.
    pub method: Method,
    /// The readings behind each season.
    pub used: Vec<UsedSeason>,
    /// Readings of the same zone and analyte that count nowhere, with the reason.
    pub left_out: Vec<LeftOut>,
    /// Other series of the analyte, with what keeps them apart.
    pub apart: Vec<String>,
    /// Tables that gave a class; the first is the one that flags follow.
    pub tables: Vec<TableWhy>,
    /// Why other tables say nothing.
    pub silent: Vec<String>,
    /// Rules applied.
    pub rules: Vec<RuleWhy>,
}

/// One season and what its value was made of.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct UsedSeason {
    /// The year.
    pub season: i16,
    /// `<20 mg/kg`, canonical unit.
    pub value: String,
    /// Where each reading stands.
    pub readings: Vec<ReadingWhy>,
}

/// A reading as a person finds it again.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct ReadingWhy {
    /// Key in the store.
    pub id: i64,
    /// Value and unit as printed.
    pub printed: String,
    /// Laboratory as printed.
    pub lab: Option<String>,
    /// The laboratory's report number.
    pub report: Option<String>,
    /// Name of the original.
    pub file: String,
    /// Page of the original.
    pub page: Option<u32>,
}

/// A reading that counts nowhere.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct LeftOut {
    /// The reading.
    pub reading: ReadingWhy,
    /// Its season, where one is known.
    pub season: Option<i16>,
    /// How it was measured.
    pub method: Method,
    /// The reason, in a sentence.
    pub why: String,
}

/// A table that gave a class.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct TableWhy {
    /// The guide's id.
    pub guide: String,
    /// The guide's name.
    pub title: String,
    /// Its class.
    pub class: String,
    /// The class as printed.
    pub range: String,
    /// Lower edge of sufficiency, canonical unit.
    pub sufficient_from: Option<f64>,
    /// `READ` or `MEMORY`: whether every figure used was read in a copy of the source; `OWN` for the site's own edge.
    pub checked: &'static str,
    /// Key of the source.
    pub source: String,
    /// Who, when, what.
    pub citation: String,
    /// What to bear in mind.
    pub cautions: Vec<String>,
}

/// A rule that was applied.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct RuleWhy {
    /// Its name.
    pub rule: &'static str,
    /// What it says here.
    pub said: String,
    /// Where it comes from.
    pub source: String,
}

/// Why every series of a site stands as it does, in their order. `rows` are all readings of the site, held and rejected
/// ones too.
///
/// # Errors
/// A built-in table is damaged.
pub fn why(assessment: &Assessment, rows: &[ReadingRow]) -> Result<Vec<SeriesWhy>, TableError> {
    let counted: BTreeSet<i64> = assessment
        .series
        .iter()
        .flat_map(|one| &one.series.values)
        .flat_map(|value| &value.readings)
        .copied()
        .collect();
    assessment.series.iter().map(|facts| of_series(assessment, facts, rows, &counted)).collect()
}

fn of_series(
    assessment: &Assessment,
    facts: &SeriesFacts,
    rows: &[ReadingRow],
    counted: &BTreeSet<i64>,
) -> Result<SeriesWhy, TableError> {
    let key = &facts.series.key;
    let same = |row: &&ReadingRow| row.site == key.site && row.zone == key.zone && row.analyte == key.analyte;
    let own: Vec<&ReadingRow> = rows.iter().filter(same).collect();
    let tables = facts.levels.iter().map(table).collect::<Result<_, _>>()?;
    Ok(SeriesWhy {
        zone: key.zone.clone(),
        analyte: key.analyte,
        method: key.method,
        used: facts.series.values.iter().map(|value| used(facts, value, &own)).collect(),
        left_out: own.iter().filter(|row| !counted.contains(&row.id)).map(|row| left_out(row)).collect(),
        apart: apart(assessment, facts),
        tables,
        silent: facts.silent.iter().map(|silent| silent.reason.clone()).collect(),
        rules: rules(facts)?,
    })
}

fn used(facts: &SeriesFacts, value: &SeasonValue, own: &[&ReadingRow]) -> UsedSeason {
    let sign = value.qualifier.map_or("", |qualifier| qualifier.id());
    UsedSeason {
        season: value.season,
        value: format!("{sign}{}", facts.edge(value.value)),
        readings: own.iter().filter(|row| value.readings.contains(&row.id)).map(|row| reading(row)).collect(),
    }
}

fn reading(row: &ReadingRow) -> ReadingWhy {
    ReadingWhy {
        id: row.id,
        printed: format!("{} {}", row.raw_value, row.raw_unit).trim_end().to_owned(),
        lab: row.lab.clone(),
        report: row.report.clone(),
        file: row.source_file.clone(),
        page: row.place.map(|place| place.page()),
    }
}

fn left_out(row: &ReadingRow) -> LeftOut {
    let why = match (row.status, &row.doubt) {
        (Status::Held, Some(doubt)) => format!("Held: {doubt}"),
        (Status::Held, None) => "Held for a person.".to_owned(),
        (Status::Rejected, Some(doubt)) => format!("Rejected: {doubt}"),
        (Status::Rejected, None) => "Rejected by a person.".to_owned(),
        _ if row.season.is_none() => "Its season is not known.".to_owned(),
        _ => "Its value is no number.".to_owned(),
    };
    LeftOut { reading: reading(row), season: row.season, method: row.method, why }
}

/// Other series of the same analyte and zone.
fn apart(assessment: &Assessment, facts: &SeriesFacts) -> Vec<String> {
    let key = &facts.series.key;
    let others = assessment.series.iter().filter(|other| {
        other.series.key != *key && other.series.key.zone == key.zone && other.analyte() == key.analyte
    });
    others
        .filter_map(|other| {
            let (first, last) = (other.series.values.first()?.season, other.last()?.season);
            let earlier = facts.series.values.first().is_none_or(|value| first <= value.season);
            let (old, new) = if earlier { (&other.series.key, key) } else { (key, &other.series.key) };
            let what = what_changed(old, new);
            Some(format!(
                "{} seasons from {first} to {last} are a series of their own: {what}.",
                other.trend.n
            ))
        })
        .collect()
}

fn table(level: &Level) -> Result<TableWhy, TableError> {
    let cited = source(&level.source)?;
    Ok(TableWhy {
        guide: level.guide.clone(),
        title: level.title.clone(),
        class: level.class.clone(),
        range: level.as_printed.clone(),
        sufficient_from: level.sufficient_from,
        checked: match level.guide.as_str() {
            OWN => "OWN",
            _ if level.read && level.edge_read => "READ",
            _ => "MEMORY",
        },
        source: level.source.clone(),
        citation: cited.map_or_else(|| level.meaning.clone(), |cited| cited.citation.clone()),
        cautions: level.cautions.clone(),
    })
}

fn rules(facts: &SeriesFacts) -> Result<Vec<RuleWhy>, TableError> {
    let (trend, key) = (&facts.trend, &facts.series.key);
    let mut all = Vec::new();
    let mut say =
        |rule, said: String, source: &str| all.push(RuleWhy { rule, said, source: source.to_owned() });
    if facts.series.values.iter().any(|value| value.readings.len() > 1) {
        say(
            "one-value-a-season",
            "several readings of a season make one value: their median".to_owned(),
            "own choice",
        );
    }
    if key.depth_cm.is_some() {
        let same = rule(Rule::SameLayerWithin)?;
        say(
            Rule::SameLayerWithin.id(),
            format!("depths within {} cm are one layer", same.value),
            &same.source,
        );
    }
    match trend.slope {
        Some(_) => say(
            "theil-sen",
            "the slope is the median of the slopes of all pairs of seasons".to_owned(),
            "P. K. Sen, JASA 63 (1968) 1379-1389",
        ),
        None if trend.n > 1 => say(
            "censored",
            "no slope: over half the seasons lie outside the laboratory's range".to_owned(),
            "D. R. Helsel and others, USGS TM 4-A3 (2020), from memory",
        ),
        None => {}
    }
    if trend.p.is_some() {
        let tied = facts
            .series
            .values
            .iter()
            .zip(facts.series.values.iter().skip(1))
            .any(|(a, b)| a.value == b.value);
        let how = if trend.n <= mann_kendall::PERMUTE_UP_TO || !tied {
            "Mann-Kendall, exact: all orders of the seasons are counted"
        } else {
            "Mann-Kendall, normal form with tie variance where seasons are equal"
        };
        say("mann-kendall", how.to_owned(), "R package trend, mk.test");
    }
    match trend.confidence {
        Some(confidence) => say(
            "interval",
            format!("the bounds of the slope hold with {:.0} % confidence", confidence * 100.0),
            "Hollander and Wolfe without ties, Gilbert 1987 with ties (from memory)",
        ),
        None if trend.n > 1 => {
            let claim = rule(Rule::SeasonsForAClaim)?;
            let said = format!(
                "no trend is claimed with fewer than {} seasons, and no bounds exist here",
                claim.value
            );
            say(Rule::SeasonsForAClaim.id(), said, &claim.source);
        }
        None => {}
    }
    if facts.crossing.is_some() {
        let rules = TrendRules::built_in()?;
        let source = &rule(Rule::Horizon)?.source;
        say(Rule::Horizon.id(), format!("the line is followed {} years ahead", rules.horizon_years), source);
    }
    if let (Some(change), Some(scatter)) = (&facts.change, variability_of(key.analyte, key.method)?) {
        let said = match change.critical {
            Some(critical) => format!("two results of one soil differ by up to {}", facts.edge(critical)),
            None => "no published scatter fits these two results".to_owned(),
        };
        say("critical-difference", said, &format!("{} ({})", scatter.source, scatter.checked));
    }
    if let Some(word) = &facts.removal_word {
        say(
            "removal",
            word.trim_end_matches('.').to_owned(),
            "trend/buffering.csv and trend/decline.csv, each line with its source",
        );
    }
    Ok(all)
}

#[cfg(test)]
mod tests {
    use super::super::{AssessSettings, assess};
    use super::*;
    use crate::soil::Site;
    use crate::trend::series::sample_row;
    use jiff::civil::date;

    #[test]
    fn every_reading_is_used_or_left_out_with_a_reason() {
        let of = |id: i64, season: i16, status, doubt: Option<&str>| ReadingRow {
            id,
            season: Some(season),
            status,
            doubt: doubt.map(str::to_owned),
            ..sample_row()
        };
        let rows = [
            of(1, 2020, Status::Accepted, None),
            of(2, 2021, Status::Corrected, None),
            of(3, 2021, Status::Accepted, None),
            of(4, 2022, Status::Held, Some("The unit is missing.")),
            of(5, 2022, Status::Rejected, None),
            ReadingRow { id: 6, season: None, ..sample_row() },
            ReadingRow { id: 7, method: Method::Olsen, ..sample_row() },
        ];
        let site = Site { id: "north".into(), use_: Some("turf".into()), ..Site::default() };
        let made = assess(&site, &rows, &AssessSettings::built_in().unwrap(), date(2023, 1, 1)).unwrap();
        let said = why(&made, &rows).unwrap();
        let bray = said.iter().find(|one| one.method == Method::BrayP1).unwrap();
        let used: Vec<i64> = bray.used.iter().flat_map(|season| &season.readings).map(|one| one.id).collect();
        assert_eq!(used, [1, 2, 3]);
        let out: Vec<(i64, &str)> =
            bray.left_out.iter().map(|one| (one.reading.id, one.why.as_str())).collect();
        assert_eq!(
            out,
            [
                (4, "Held: The unit is missing."),
                (5, "Rejected by a person."),
                (6, "Its season is not known.")
            ]
        );
        assert!(bray.apart.first().unwrap().contains("method"), "{:?}", bray.apart);
        let table = bray.tables.first().unwrap();
        assert!(["READ", "MEMORY"].contains(&table.checked) && !table.citation.is_empty(), "{table:?}");
        let names: Vec<_> = bray.rules.iter().map(|one| one.rule).collect();
        assert!(names.contains(&"one-value-a-season") && names.contains(&"seasons-for-a-claim"), "{names:?}");
        assert!(bray.rules.iter().all(|one| !one.source.is_empty()));
    }
}
