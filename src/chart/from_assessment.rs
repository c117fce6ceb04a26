//! An assessment as the charts of one zone: each analyte a panel, each method a line of its own.

use super::input::{Band, Break, ChartInput, Crossing, Line, Panel, Point, TrendLine, Zone};
use super::words;
use crate::assess::Assessment;
use crate::flag::{FlagKind, SeriesFacts};
use crate::guide::{self, Standing};
use crate::soil::table::TableError;
use crate::soil::{Analyte, Basis, Qualifier, site::WHOLE};
use crate::trend::{SeasonValue, SeriesKey, noise, shift};
use std::collections::BTreeSet;

/// The zones of a site that have a series, in order: each has charts of its own.
pub fn zones(assessment: &Assessment) -> Vec<String> {
    let zones: BTreeSet<&String> = assessment.series.iter().map(|facts| &facts.series.key.zone).collect();
    zones.into_iter().cloned().collect()
}

/// The charts of a zone: a panel for every analyte measured there, in the contract's order.
///
/// # Errors
/// A built-in table is damaged.
pub fn chart_input(assessment: &Assessment, zone: &str) -> Result<ChartInput, TableError> {
    let site = &assessment.site;
    let title = if site.name.is_empty() { &site.id } else { &site.name };
    let zone_words = (zone != WHOLE).then(|| format!("zone {zone}"));
    let subtitle: Vec<String> =
        [site.client.clone(), zone_words, site.use_.clone()].into_iter().flatten().collect();
    let panels = Analyte::ALL.iter().map(|analyte| panel(assessment, zone, *analyte));
    Ok(ChartInput {
        title: title.clone(),
        subtitle: subtitle.join(", "),
        panels: panels.filter_map(Result::transpose).collect::<Result<_, TableError>>()?,
    })
}

/// None where the analyte was never measured.
fn panel(assessment: &Assessment, zone: &str, analyte: Analyte) -> Result<Option<Panel>, TableError> {
    let mine = |facts: &&SeriesFacts| facts.series.key.zone == zone && facts.analyte() == analyte;
    let mut all: Vec<&SeriesFacts> = assessment.series.iter().filter(mine).collect();
    // The line that guide, trend and crossing speak of comes last: current, classed, the longest.
    all.sort_by_key(|facts| (last_season(facts), edge(facts).is_some(), facts.series.values.len()));
    let Some(main) = all.last() else { return Ok(None) };
    let lines =
        all.iter().map(|facts| line(assessment, facts, &all)).collect::<Result<Vec<_>, TableError>>()?;
    let breaks = breaks(&all);
    let since =
        breaks.iter().map(|(season, _)| *season).filter(|season| first_season(main) == Some(*season)).max();
    let unclassed =
        main.level().is_none().then(|| main.silent.first().map(|silent| silent.reason.clone())).flatten();
    let classes = classes(main)?;
    Ok(Some(Panel {
        analyte,
        method: words::method(main.method()),
        lines,
        zone: main.level().zip(edge(main)).map(|(level, from)| Zone {
            from,
            to: level.sufficient_to,
            label: format!("sufficient by {}; last value: {}", level.title, level.class),
            since,
            classes,
        }),
        breaks: breaks.into_iter().map(|(season, label)| Break { season, label }).collect(),
        lab_changes: lab_changes(&all),
        crossing: main.crossing.and_then(|crossing| {
            Some(Crossing { season: crossing.season?, low: crossing.earliest, high: crossing.latest })
        }),
        note: unclassed.or_else(|| main.early_word.clone()),
    }))
}

/// The classes of the scale that the leading level comes from.
fn classes(facts: &SeriesFacts) -> Result<Vec<Band>, TableError> {
    let Some(level) = facts.level() else { return Ok(Vec::new()) };
    let scale = guide::scale_of(level, facts.analyte(), facts.method())?;
    let bands = scale.iter().flat_map(|scale| &scale.classes);
    Ok(bands.map(|class| Band { name: class.name.clone(), from: class.from, to: class.to }).collect())
}

fn first_season(facts: &SeriesFacts) -> Option<i16> {
    facts.series.values.first().map(|value| value.season)
}

fn last_season(facts: &SeriesFacts) -> Option<i16> {
    facts.last().map(|value| value.season)
}

/// The edge of sufficiency a series is held against.
pub(super) fn edge(facts: &SeriesFacts) -> Option<f64> {
    facts
        .level()
        .filter(|level| level.standing != Standing::Information)
        .and_then(|level| level.sufficient_from)
}

/// Surely below an edge: a limit below which the laboratory cannot see may hide a value on either side of it.
pub(super) fn below(value: &SeasonValue, edge: f64) -> bool {
    match value.qualifier {
        None => value.value < edge,
        Some(Qualifier::Below) => value.value <= edge,
        Some(Qualifier::Above) => false,
    }
}

/// What a line is called: its method, and whatever else keeps it apart from another line of the panel.
fn label(key: &SeriesKey, all: &[&SeriesFacts]) -> String {
    let differ = |part: &dyn Fn(&SeriesKey) -> bool| all.iter().any(|facts| part(&facts.series.key));
    let mut words = vec![words::method(key.method)];
    if key.basis == Some(Basis::Volume) {
        words.push("by volume".to_owned());
    }
    if let Some((top, bottom)) = key.depth_cm.filter(|_| differ(&|other| other.depth_cm != key.depth_cm)) {
        words.push(format!("{top} to {bottom} cm"));
    }
    if key.depth_cm.is_none() && differ(&|other| other.depth_cm.is_some()) {
        words.push("depth not stated".to_owned());
    }
    words.join(", ")
}

fn line(assessment: &Assessment, facts: &SeriesFacts, all: &[&SeriesFacts]) -> Result<Line, TableError> {
    let key = &facts.series.key;
    let scatter = noise::variability_of(key.analyte, key.method)?;
    let values = &facts.series.values;
    let same_lab =
        values.first().is_some_and(|first| values.iter().all(|value| shift::same_labs(first, value)));
    let flagged = |season: i16| {
        facts.current
            && assessment.flags.iter().any(|flag| {
                flag.zone == key.zone
                    && flag.analyte == Some(key.analyte)
                    && flag.season == season
                    && flag.flag != FlagKind::MethodChanged
            })
    };
    let points = values.iter().map(|value| Point {
        season: value.season,
        value: value.value,
        qualifier: value.qualifier,
        below: edge(facts).is_some_and(|edge| below(value, edge)),
        flagged: flagged(value.season),
        // Two results of one soil differ by the critical difference at most; one lies off the truth by that over
        // the root of two.
        noise: scatter
            .filter(|_| value.qualifier.is_none())
            .and_then(|scatter| scatter.critical(value.value, value.value, same_lab))
            .map(|critical| critical / std::f64::consts::SQRT_2),
    });
    // Without bounds nothing is claimed, and nothing drawn.
    let trend = facts.trend.slope_bounds.and(facts.trend.pivot).zip(facts.trend.slope);
    Ok(Line {
        method: label(key, all),
        lab: key.lab.clone(),
        points: points.collect(),
        trend: trend.map(|(pivot, slope)| TrendLine { pivot, slope, bounds: facts.trend.slope_bounds }),
    })
}

/// First season and label of every line that begins after another has ended.
fn breaks(all: &[&SeriesFacts]) -> Vec<(i16, String)> {
    let mut found: Vec<(i16, String)> = Vec::new();
    for facts in all {
        let Some(first) = first_season(facts) else { continue };
        if all.iter().any(|other| last_season(other).is_some_and(|last| last < first)) {
            let key = &facts.series.key;
            let lab = key.lab.as_ref().map_or(String::new(), |lab| format!(" ({lab})"));
            found.push((first, format!("{}{lab}", label(key, all))));
        }
    }
    found.sort();
    found.dedup();
    found
}

/// Changes of laboratory within the lines.
fn lab_changes(all: &[&SeriesFacts]) -> Vec<Break> {
    let shifts = all.iter().flat_map(|facts| &facts.lab_shifts);
    let mut found: Vec<(i16, String)> = shifts.map(|shift| (shift.season, shift.after.join(", "))).collect();
    found.sort();
    found.dedup();
    found.into_iter().map(|(season, label)| Break { season, label }).collect()
}

/// Readings of an invented lawn.
#[cfg(test)]
pub(crate) mod rows {
    use crate::soil::site::WHOLE;
    use crate::soil::{Analyte, Basis, Method, ReadingRow, Site, Status};
    use jiff::civil::date;

    pub fn lawn() -> Site {
        Site { id: "north".into(), name: "North".into(), use_: Some("lawn".into()), ..Site::default() }
    }

    pub fn yearly(first: i16, analyte: Analyte, method: Method, values: &[f64]) -> Vec<ReadingRow> {
        (first..).zip(values).map(|(season, value)| row(season, analyte, method, *value)).collect()
    }

    fn row(season: i16, analyte: Analyte, method: Method, value: f64) -> ReadingRow {
        ReadingRow {
            id: i64::from(season),
            site: "north".to_owned(),
            zone: WHOLE.to_owned(),
            client: None,
            sample_label: "North".to_owned(),
            lab_sample: None,
            report: None,
            lab: Some("Birkenau".to_owned()),
            sampled_on: Some(date(season, 9, 1)),
            received_on: None,
            reported_on: None,
            season: Some(season),
            depth_top_cm: None,
            depth_bottom_cm: None,
            analyte,
            method,
            value,
            basis: Some(Basis::Mass),
            qualifier: None,
            raw_value: value.to_string(),
            raw_unit: "ppm".to_owned(),
            status: Status::Accepted,
            doubt: None,
            source_file: "a.csv".to_owned(),
            source_sha256: String::new(),
            place: None,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::assess::{AssessSettings, assess};
    use crate::chart::{Width, four, svg};
    use crate::soil::{Method, ReadingRow};
    use jiff::civil::date;
    use rows::{lawn, yearly};

    fn made(rows: &[ReadingRow]) -> Assessment {
        assess(&lawn(), rows, &AssessSettings::built_in().unwrap(), date(2025, 12, 1)).unwrap()
    }

    fn changed() -> Vec<ReadingRow> {
        let old = yearly(2015, Analyte::Phosphorus, Method::BrayP1, &[60.0, 56.0, 52.0, 48.0, 44.0]);
        let new = yearly(2020, Analyte::Phosphorus, Method::Mehlich3, &[60.0, 56.0, 52.0, 48.0, 44.0, 40.0]);
        [old, new].concat()
    }

    #[test]
    fn another_method_is_another_line_and_a_break_and_the_zone_holds_for_it_only() {
        let input = chart_input(&made(&changed()), WHOLE).unwrap();
        let panel = &input.panels[0];
        let methods: Vec<&str> = panel.lines.iter().map(|line| line.method.as_str()).collect();
        assert_eq!(methods, ["Bray P1", "Mehlich 3"]);
        assert_eq!(panel.breaks, [Break { season: 2020, label: "Mehlich 3".to_owned() }]);
        assert_eq!(panel.zone.as_ref().unwrap().since, Some(2020));
        assert!(panel.lines[1].trend.is_some_and(|trend| trend.slope < 0.0));
        assert!(panel.lines[1].points.iter().all(|point| point.noise.is_some_and(|noise| noise > 0.0)));
    }

    #[test]
    fn a_trend_without_bounds_is_not_drawn() {
        let rows: Vec<ReadingRow> = changed().into_iter().filter(|row| row.season < Some(2018)).collect();
        let input = chart_input(&made(&rows), WHOLE).unwrap();
        assert_eq!(input.panels[0].lines[0].trend, None);
        assert!(input.panels[0].breaks.is_empty());
    }

    #[test]
    fn a_limit_above_the_edge_says_nothing_of_below() {
        let value =
            |value, qualifier| SeasonValue { season: 2025, value, qualifier, labs: vec![], readings: vec![] };
        assert!(below(&value(5.0, Some(Qualifier::Below)), 26.0));
        assert!(!below(&value(30.0, Some(Qualifier::Below)), 26.0));
        assert!(!below(&value(5.0, Some(Qualifier::Above)), 26.0));
        assert!(below(&value(25.9, None), 26.0) && !below(&value(26.0, None), 26.0));
    }

    #[test]
    fn an_assessment_of_nothing_draws() {
        let nothing = made(&[]);
        assert!(zones(&nothing).is_empty());
        assert!(svg(&four(&chart_input(&nothing, WHOLE).unwrap(), Width::Wide)).is_ok());
    }
}
