//! The names of a report looked at together when all of it is read: what is surely no part of a name comes off, and a name
//! that still holds what no name holds waits for a person.

mod asked;
mod beside;
mod counted;
mod crop;
mod held;
mod layer;

use crate::soil::{Depth, Doubt, Report};

/// What a look at one name found.
#[derive(Debug, Clone, PartialEq)]
pub(super) enum Found {
    /// A name and the laboratory's number, which a word beside it asks for.
    Numbered(String, String),
    /// A name and the layer behind it.
    Layered(String, Depth),
    /// A name without what grows there.
    Planted(String),
    /// Perhaps no name, or more than one: why.
    Unsure(String),
}

/// Takes numbers that a word asks for, layers and what grows there off the names of a report, where all of them say so.
pub fn part_names(report: &mut Report) {
    let labels: Vec<&str> = report.samples.iter().map(|s| s.label.as_str()).collect();
    let numbered = asked::numbers(&labels, report.number.as_deref());
    settle(report, numbered);
    let labels: Vec<&str> = report.samples.iter().map(|s| s.label.as_str()).collect();
    let layered = layer::layers(&labels);
    settle(report, layered);
    let labels: Vec<&str> = report.samples.iter().map(|s| s.label.as_str()).collect();
    let planted = crop::crops(&labels);
    settle(report, planted);
}

/// Puts a doubt on each sample whose name holds what no name holds, or is perhaps a number beside the name; `text` is all
/// that the document says.
pub fn doubt_names(report: &mut Report, text: &str) {
    let labels: Vec<&str> = report.samples.iter().map(|s| s.label.as_str()).collect();
    let numbered = report.samples.iter().all(|s| s.lab_number.is_some());
    let all = [
        asked::asking(&labels),
        held::unsure(report),
        counted::counted(&labels, numbered),
        beside::beside(&labels, text),
    ];
    for found in all {
        settle(report, found);
    }
}

/// Gives each sample what was found of its name. What speaks against what the sample already has is a doubt.
fn settle(report: &mut Report, found: Vec<Option<Found>>) {
    for (sample, found) in report.samples.iter_mut().zip(found) {
        let whole = sample.label.clone();
        let mut doubt = |why: String| sample.doubts.push(Doubt::new("sample-name-unsure", why));
        match found {
            None => {}
            Some(Found::Unsure(why)) => doubt(why),
            Some(Found::Planted(name)) => sample.label = name,
            Some(Found::Numbered(name, number)) => {
                sample.label = name;
                match &sample.lab_number {
                    Some(own) if *own != number => {
                        doubt(format!("`{whole}` holds another number than `{own}`, the laboratory's."));
                    }
                    _ => sample.lab_number = Some(number),
                }
            }
            Some(Found::Layered(name, layer)) => {
                sample.label = name;
                match sample.depth {
                    Some(own) if own != layer => {
                        doubt(format!("`{whole}` holds another layer than the report gives this sample."));
                    }
                    _ => sample.depth = Some(layer),
                }
            }
        }
    }
}

/// Reports for the tests of these rules.
#[cfg(test)]
mod tests {
    use super::*;
    use crate::soil::Sample;

    /// A report with samples of these names, reported in 2024.
    pub fn report(number: Option<&str>, labels: &[&str]) -> Report {
        let sample = |label: &&str| Sample {
            label: (*label).to_owned(),
            lab_number: None,
            sampled_on: None,
            year: None,
            depth: None,
            readings: Vec::new(),
            others: Vec::new(),
            nitrogen: Vec::new(),
            doubts: Vec::new(),
        };
        Report {
            lab: None,
            client: None,
            number: number.map(str::to_owned),
            received_on: None,
            reported_on: jiff::civil::Date::new(2024, 5, 3).ok(),
            revised: false,
            samples: labels.iter().map(sample).collect(),
            doubts: Vec::new(),
            layout: Vec::new(),
        }
    }

    #[test]
    fn what_a_name_says_against_the_report_waits() {
        let mut found = report(None, &["Moss lab no. 7701", "Hob lab no. 7702"]);
        found.samples[0].lab_number = Some("7701".to_owned());
        found.samples[1].lab_number = Some("8801".to_owned());
        part_names(&mut found);
        let doubted: Vec<bool> = found.samples.iter().map(|s| !s.doubts.is_empty()).collect();
        assert_eq!(doubted, [false, true]);
        let mut found = report(None, &["Moss 0-6 in", "Hob 0-6 in"]);
        found.samples[0].depth = Some(Depth::inches(0.0, 6.0));
        found.samples[1].depth = Some(Depth::inches(0.0, 4.0));
        part_names(&mut found);
        let doubted: Vec<bool> = found.samples.iter().map(|s| !s.doubts.is_empty()).collect();
        assert_eq!(doubted, [false, true]);
    }
}
