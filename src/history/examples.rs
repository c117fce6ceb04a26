//! Invented reports for the tests of the store.

use super::{NewDocument, NewReport, NewSample};
use crate::document::Format;
use crate::place::{Place, Rect};
use crate::soil::{
    Analyte, Doubt, Method, Outcome, Printed, Quantity, Reading, Report, Sample, Site, Status,
};
use jiff::civil::{Date, date};

pub(super) fn sha(seed: u32) -> String {
    format!("{seed:064x}")
}

pub(super) fn site(id: &str) -> Site {
    Site { id: id.to_owned(), name: id.to_owned(), ..Site::default() }
}

pub(super) fn reading(analyte: Analyte, method: Method, raw: &str) -> Reading {
    Reading {
        analyte,
        method,
        quantity: Quantity {
            value: raw.parse().unwrap(),
            unit: analyte.unit(),
            qualifier: None,
            basis: None,
        },
        printed: Printed { value: raw.to_owned(), unit: "ppm".to_owned() },
        place: Place::Page { page: 1, area: Rect::new(10.0, 20.0, 30.0, 32.5) },
        witnesses: vec!["unit stated".to_owned()],
        doubts: Vec::new(),
    }
}

/// A report of one sample on site `lawn`, taken in April of the year.
pub(super) fn document(
    seed: u32,
    number: &str,
    label: &str,
    year: i16,
    values: &[(Analyte, &str)],
) -> NewDocument {
    let readings = values
        .iter()
        .map(|(analyte, raw)| {
            let method = if *analyte == Analyte::Ph { Method::Water1to1 } else { Method::Mehlich3 };
            (reading(*analyte, method, raw), Status::Accepted, None)
        })
        .collect();
    NewDocument {
        file: format!("report {seed}.pdf"),
        sha256: sha(seed),
        bytes: 1000 + u64::from(seed),
        format: Format::Pdf,
        outcome: Outcome::Filed,
        why: None,
        kept_at: Some(format!("filed/{year}/{seed}.pdf")),
        inside_of: None,
        recorded_at: "2024-01-01T00:00:00Z".to_owned(),
        inbox_note: None,
        reports: vec![NewReport {
            report: Report {
                lab: Some("Harrowby Soil House".to_owned()),
                client: Some("Larkmead Bowling Club".to_owned()),
                number: Some(number.to_owned()),
                received_on: Some(date(year, 4, 9)),
                reported_on: Some(date(year, 4, 15)),
                ..Report::default()
            },
            samples: vec![NewSample {
                site: Some("lawn".to_owned()),
                zone: "whole".to_owned(),
                season: Some(year),
                sample: Sample {
                    label: label.to_owned(),
                    sampled_on: Some(date(year, 4, 7)),
                    ..Sample::default()
                },
                readings,
            }],
        }],
    }
}

pub(super) const P: Analyte = Analyte::Phosphorus;
pub(super) const K: Analyte = Analyte::Potassium;
pub(super) const PH: Analyte = Analyte::Ph;

/// The usual three values.
pub(super) fn usual(seed: u32, number: &str, year: i16) -> NewDocument {
    document(seed, number, "Front lawn", year, &[(PH, "6.4"), (P, "31"), (K, "118")])
}

pub(super) fn head(document: &mut NewDocument) -> &mut Report {
    &mut document.reports.first_mut().unwrap().report
}

pub(super) fn sample(document: &mut NewDocument) -> &mut NewSample {
    document.reports.first_mut().unwrap().samples.first_mut().unwrap()
}

/// Holds the reading at `at` with a doubt of its own.
pub(super) fn hold(document: &mut NewDocument, at: usize, sentence: &str) {
    let (reading, status, doubt) = sample(document).readings.get_mut(at).unwrap();
    reading.doubts.push(Doubt::new("unit-missing", sentence));
    (*status, *doubt) = (Status::Held, Some(sentence.to_owned()));
}

pub(super) fn day(year: i16, month: i8, day: i8) -> Option<Date> {
    Some(date(year, month, day))
}
