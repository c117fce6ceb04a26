//! Invented panels for the tests of this folder and the charts kept in `charts/`.

use super::input::*;
use crate::soil::{Analyte, Qualifier};

pub(super) fn points(first: i16, values: &[f64], edge: f64) -> Vec<Point> {
    (first..)
        .zip(values)
        .filter(|(_, value)| value.is_finite())
        .map(|(season, &value)| Point {
            season,
            value,
            qualifier: None,
            below: value < edge,
            flagged: false,
            noise: None,
        })
        .collect()
}

fn noisy(mut points: Vec<Point>, share: f64) -> Vec<Point> {
    for point in &mut points {
        point.noise = Some(point.value * share);
    }
    points
}

fn line(method: &str, points: Vec<Point>) -> Line {
    Line { method: method.to_owned(), lab: None, points, trend: None }
}

fn zone(from: f64, to: Option<f64>, label: &str) -> Option<Zone> {
    Some(Zone { from, to, label: label.to_owned(), since: None, classes: Vec::new() })
}

const GAP: f64 = f64::NAN;

/// Ten seasons with two missing ones.
pub(super) fn ph() -> Panel {
    let mut one = line("water 1:1", points(2016, &[6.6, 6.5, GAP, 6.4, 6.4, 6.2, GAP, 6.1, 6.1, 5.9], 6.0));
    for point in &mut one.points {
        point.noise = Some(0.12);
    }
    one.trend = Some(TrendLine { pivot: (2020.5, 6.3), slope: -0.075, bounds: Some((-0.1, -0.05)) });
    Panel {
        lines: vec![one],
        zone: zone(6.0, Some(7.0), "wanted for cool-season lawns, example guide"),
        ..Panel::empty(Analyte::Ph)
    }
}

/// No class: no guide speaks.
pub(super) fn organic_matter() -> Panel {
    Panel {
        lines: vec![line(
            "loss on ignition",
            points(2016, &[4.1, 4.0, GAP, 4.2, 4.3, 4.2, 4.4, 4.3, 4.5, 4.4], 0.0),
        )],
        note: Some(
            "No guide at hand classes organic matter on this soil; the numbers stand alone.".to_owned(),
        ),
        ..Panel::empty(Analyte::OrganicMatter)
    }
}

/// A fall toward the edge, with its crossing.
pub(super) fn phosphorus_falling() -> Panel {
    let mut one = line(
        "Mehlich 3",
        noisy(points(2017, &[48.0, 47.0, 43.0, 42.0, 40.0, 36.0, 35.0, 33.0, 31.0], 26.0), 0.08),
    );
    one.trend = Some(TrendLine { pivot: (2021.0, 39.8), slope: -2.15, bounds: Some((-2.5, -1.7)) });
    if let Some(last) = one.points.last_mut() {
        last.flagged = true;
    }
    Panel {
        lines: vec![one],
        zone: zone(26.0, Some(54.0), "optimum, example turf guide"),
        crossing: Some(Crossing { season: 2028, low: Some(2027), high: Some(2030) }),
        ..Panel::empty(Analyte::Phosphorus)
    }
}

/// Another method half-way.
pub(super) fn method_change() -> Panel {
    let old = line("ammonium acetate", points(2016, &[151.0, 148.0, 140.0, 139.0, 131.0], 0.0));
    let mut new = line("Mehlich 3", points(2021, &[118.0, 116.0, 109.0, 104.0, 98.0], 116.0));
    new.trend = Some(TrendLine { pivot: (2023.0, 109.0), slope: -5.0, bounds: Some((-7.0, -2.0)) });
    for point in &mut new.points {
        point.flagged = point.season == 2025;
    }
    Panel {
        lines: vec![old, new],
        zone: zone(116.0, None, "sufficient, example turf guide")
            .map(|zone| Zone { since: Some(2021), ..zone }),
        breaks: vec![Break { season: 2021, label: "Mehlich 3".to_owned() }],
        lab_changes: vec![Break { season: 2023, label: "Lab Birkenau".to_owned() }],
        ..Panel::empty(Analyte::Potassium)
    }
}

pub(super) fn one_season() -> Panel {
    Panel {
        lines: vec![line("Mehlich 3", points(2025, &[31.0], 26.0))],
        zone: zone(26.0, Some(54.0), "optimum, example"),
        ..Panel::empty(Analyte::Phosphorus)
    }
}

pub(super) fn all_below() -> Panel {
    Panel {
        lines: vec![line("Olsen", points(2019, &[7.0, 6.0, 6.4, 5.0, 5.0, 4.0], 16.0))],
        zone: zone(16.0, Some(25.0), "index 2, example grassland guide"),
        ..Panel::empty(Analyte::Phosphorus)
    }
}

/// Limits in place of values.
pub(super) fn below_range() -> Panel {
    let mut one = line("hot water", points(2018, &[0.42, 0.35, 0.30, 0.21, 0.2, 0.2, 3.0], 0.5));
    for point in &mut one.points {
        point.qualifier = match point.season {
            2022 | 2023 => Some(Qualifier::Below),
            2024 => Some(Qualifier::Above),
            _ => None,
        };
    }
    Panel { lines: vec![one], zone: zone(0.5, None, "adequate, example"), ..Panel::empty(Analyte::Boron) }
}

pub(super) fn huge() -> Panel {
    Panel {
        lines: vec![line("Mehlich 3", points(2019, &[4933.0, 4870.0, 12904.0, 5012.0, 4990.0, 5100.0], 0.0))],
        ..Panel::empty(Analyte::Calcium)
    }
}

pub(super) fn lawn() -> ChartInput {
    ChartInput {
        title: "North lawn".to_owned(),
        subtitle: "Ashgrove Cottage, whole site".to_owned(),
        panels: vec![ph(), organic_matter(), phosphorus_falling(), method_change()],
    }
}

/// The lawn with three measurements more.
pub(super) fn others() -> ChartInput {
    let more = [huge(), below_range(), Panel { analyte: Analyte::Zinc, ..one_season() }];
    let mut all = lawn();
    all.panels.extend(more);
    all
}

pub(super) fn of(panel: Panel) -> ChartInput {
    ChartInput {
        title: "North lawn".to_owned(),
        subtitle: "Ashgrove Cottage".to_owned(),
        panels: vec![panel],
    }
}

/// Names as long and as hostile as paper can bring them.
pub(super) fn long_names() -> ChartInput {
    let mut panel = method_change();
    panel.breaks = (2017..=2025)
        .step_by(2)
        .map(|season| Break { season, label: "Mehlich 3, colorimetric finish, volume basis".to_owned() })
        .collect();
    panel.zone = zone(
        116.0,
        None,
        "sufficient for established cool-season turf on sands and loams of low organic matter, a guide with a very long name indeed, second revision",
    );
    panel.note = Some("The method is not stated, so no guide may class these results, and they are compared with nothing but themselves from the same laboratory in other seasons.".to_owned());
    ChartInput {
        title: "Practice fairway <script>alert('7')</script> & the long northern approach behind the greenkeeper's sheds at Oberbirkenau".to_owned(),
        subtitle: "The Honourable Company of Greenkeepers, Groundsmen and Allied Trades of the Upper Valley & District, zone \"wet end\"".to_owned(),
        panels: vec![ph(), panel, phosphorus_falling()],
    }
}

pub(super) fn state(season: i16, state: State, analytes: &str) -> SiteSeason {
    SiteSeason { season, state, analytes: analytes.to_owned() }
}

pub(super) fn sites(count: usize) -> OverviewInput {
    let cycle = [State::Good, State::Watch, State::Good, State::Act, State::Unclassed, State::Watch];
    let words = ["", "pH", "", "P K", "", "K"];
    let sites = (0..count).map(|n| SiteRow {
        name: format!("Site {n:04}{}", if n % 5 == 0 { " behind the long western avenue" } else { "" }),
        client: if n % 3 == 0 { String::new() } else { "Ashgrove Grounds Co-operative".to_owned() },
        seasons: (2016..=2025_i16)
            .enumerate()
            .filter(|(i, _)| (i + n) % 4 != 0)
            .filter_map(|(i, season)| {
                let at = (i * 5 + n) % cycle.len();
                Some(state(season, *cycle.get(at)?, words.get(at)?))
            })
            .collect(),
    });
    OverviewInput {
        title: "All sites".to_owned(),
        subtitle: "Ashgrove Grounds Co-operative".to_owned(),
        sites: sites.collect(),
    }
}
