//! A history filled without any file: what the trends, the pages and a night work on.

use super::soil;
use jiff::civil::date;
use loamline::document::Format;
use loamline::history::{self, History, NewDocument, NewReport, NewSample};
use loamline::place::{Place, Rect};
use loamline::soil::site::{WHOLE, made_id};
use loamline::soil::{Outcome, Printed, Quantity, Reading, Report, Sample, Site, Status};
use std::path::Path;

/// Reports written in one transaction.
const TOGETHER: usize = 500;

/// Fills a new history with these sites and seasons.
pub fn fill(path: &Path, sites: usize, seasons: usize) -> History {
    filled(path, sites, seasons, false)
}

/// The same, where one number of every tenth report waits for a person.
pub fn fill_with_waiting(path: &Path, sites: usize, seasons: usize) -> History {
    filled(path, sites, seasons, true)
}

fn filled(path: &Path, sites: usize, seasons: usize, some_wait: bool) -> History {
    let mut history = History::open(path).unwrap();
    for first in (0..sites).step_by(TOGETHER) {
        let some = first..sites.min(first + TOGETHER);
        for season in 0..seasons {
            let filled: history::Result<()> = history.together(|history| {
                for site in some.clone() {
                    if season == 0 {
                        history.upsert_site(&site_row(site))?;
                    }
                    history.record(&document(
                        site,
                        season,
                        some_wait && (site + season).is_multiple_of(10),
                    ))?;
                }
                Ok(())
            });
            filled.unwrap();
        }
    }
    history
}

/// The id of a site.
pub fn id(site: usize) -> String {
    made_id(Some(&soil::client(site)), &soil::label(site)).unwrap()
}

fn site_row(site: usize) -> Site {
    Site {
        id: id(site),
        name: soil::label(site),
        client: Some(soil::client(site)),
        use_: Some("lawn".to_owned()),
        species: Some("tall fescue".to_owned()),
        region: Some("oregon".to_owned()),
        texture: Some("loam".to_owned()),
        area_ft2: Some(4_000.0 + 10.0 * (site % 400) as f64),
        ..Site::default()
    }
}

fn document(site: usize, season: usize, waits: bool) -> NewDocument {
    let year = soil::year(season);
    let readings =
        soil::values(site, season).into_iter().enumerate().map(|(row, (analyte, method, value))| {
            let y = 100.0 + 17.0 * row as f32;
            let reading = Reading {
                analyte,
                method,
                quantity: Quantity {
                    value: value.parse().unwrap(),
                    unit: analyte.unit(),
                    qualifier: None,
                    basis: None,
                },
                printed: Printed { value, unit: String::new() },
                place: Place::Page { page: 1, area: Rect::new(300.0, y, 330.0, y + 10.0) },
                witnesses: Vec::new(),
                doubts: Vec::new(),
            };
            let waits = waits && row == 3;
            let doubt = || "It may be printed in another unit.".to_owned();
            let status = if waits { Status::Held } else { Status::Accepted };
            (reading, status, waits.then(doubt))
        });
    let number = format!("S{season:02}-{site:06}");
    NewDocument {
        file: format!("{number}.pdf"),
        sha256: format!("{:064x}", (site as u128) << 32 | season as u128),
        bytes: 2_000,
        format: Format::Pdf,
        outcome: Outcome::Filed,
        why: None,
        kept_at: None,
        inside_of: None,
        recorded_at: "2025-01-01T00:00:00Z".to_owned(),
        inbox_note: None,
        reports: vec![NewReport {
            report: Report {
                lab: Some("Invented Soil Room".to_owned()),
                client: Some(soil::client(site)),
                number: Some(number),
                reported_on: Some(date(year, 4, 28)),
                ..Report::default()
            },
            samples: vec![NewSample {
                site: Some(id(site)),
                zone: WHOLE.to_owned(),
                season: Some(year),
                sample: Sample {
                    label: soil::label(site),
                    sampled_on: Some(date(year, 4, 12)),
                    ..Sample::default()
                },
                readings: readings.collect(),
            }],
        }],
    }
}
