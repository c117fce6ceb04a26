//! Puts samples, fields and notes together into reports.

mod finished;
mod forms;
mod name;
mod numbers;
mod one_name;
mod parted;
mod sample;
mod solution;
mod tables;
mod twice;
mod value;

use super::found::FoundSample;
use super::gather::Gathered;
use super::header::day;
use super::matter::revised;
use super::recommendation::{Owner, attach};
use super::vocabulary::Field;
use crate::soil::{Doubt, Report};
use finished::{doubt_names, part_names};
use forms::Forms;
use name::clean;
pub use parted::holds;
use parted::{codes_off_names, doubt_codes_in_names, numbers_off_names};
use sample::sample;
use std::collections::{HashMap, HashSet};
use tables::{join_tables, merge_forms};
use twice::repeated_names;
use value::value;

/// The reports of a document: one for each laboratory, client and report number in it.
pub fn assemble(gathered: &Gathered) -> Vec<Report> {
    let mut reports: Vec<Report> = Vec::new();
    let mut by_head: HashMap<Head, usize> = HashMap::new();
    let mut owners: Vec<(usize, Owner)> = Vec::new();
    let forms = &Forms::of(gathered);
    let found = join_tables(gathered, forms, merge_forms(gathered, forms));
    let mut found = numbers::join_tables(gathered, forms, solution::set_apart(found));
    one_name::doubt_forms(gathered, forms, &mut found);
    for found in found {
        let head = head(gathered, forms, &found);
        let sample = sample(gathered, forms, &found);
        if sample.readings.is_empty() && sample.others.is_empty() {
            continue;
        }
        let own = (head.lab.clone(), head.client.clone(), head.number.clone());
        let place = *by_head.entry(own).or_insert(reports.len());
        if !sample.readings.is_empty() {
            let (label, lab_number) = (sample.label.clone(), sample.lab_number.clone());
            owners.push((place, Owner { page: found.page, y: found.y, label, lab_number }));
        }
        match reports.get_mut(place) {
            Some(report) => report.samples.push(sample),
            None => reports.push(Report { samples: vec![sample], ..head }),
        }
    }
    let explained = super::codes::explained(&gathered.text);
    for report in &mut reports {
        report.samples.retain(|s| !s.readings.is_empty());
        part_names(report);
        numbers_off_names(report);
        codes_off_names(report);
        doubt_codes_in_names(report);
        repeated_names(report);
        super::stems::doubt_numbers_in_names(report);
        doubt_names(report, &gathered.text);
        doubt_codes(report, &explained);
    }
    recommended(&mut reports, gathered, owners);
    reports.retain(|r| !r.samples.is_empty());
    reports
}

/// Lets samples wait that bear a code which the report explains by words elsewhere: these are their names.
fn doubt_codes(report: &mut Report, explained: &HashSet<String>) {
    for sample in report.samples.iter_mut().filter(|s| explained.contains(&s.label)) {
        sample.doubts.push(Doubt::new(
            "sample-name-unsure",
            format!(
                "The report says elsewhere what `{}` stands for, and that may be the name.",
                sample.label
            ),
        ));
    }
}

/// Gives each sample the nitrogen that is recommended for it; `owners` are the samples with readings, each with its
/// report, in the order they have there.
fn recommended(reports: &mut [Report], gathered: &Gathered, owners: Vec<(usize, Owner)>) {
    if gathered.nitrogen.is_empty() {
        return;
    }
    let (places, owners): (Vec<usize>, Vec<Owner>) = owners.into_iter().unzip();
    let mut next: Vec<_> = reports.iter_mut().map(|r| r.samples.iter_mut()).collect();
    for (place, nitrogen) in places.into_iter().zip(attach(&gathered.nitrogen, &owners)) {
        if let Some(sample) = next.get_mut(place).and_then(Iterator::next) {
            sample.nitrogen = nitrogen;
        }
    }
}

/// Laboratory, client and number: what tells one report from another.
type Head = (Option<String>, Option<String>, Option<String>);

fn head(gathered: &Gathered, forms: &Forms, found: &FoundSample) -> Report {
    let get = |field| value(gathered, forms, found, field).map(clean).filter(|t| !t.is_empty());
    Report {
        lab: get(Field::Lab).or_else(|| gathered.letterhead.clone()),
        client: get(Field::Client),
        // Better none than a wrong one.
        number: get(Field::Report).filter(|text| !gathered.unsure_of(text)),
        received_on: get(Field::ReceivedOn)
            .filter(|text| !gathered.unsure_of(text))
            .and_then(|t| day(&t, gathered.order).0),
        reported_on: get(Field::ReportedOn)
            .filter(|text| !gathered.unsure_of(text))
            .and_then(|t| day(&t, gathered.order).0),
        revised: *gathered.revised.get_or_init(|| revised(&gathered.text)),
        samples: Vec::new(),
        doubts: Vec::new(),
        layout: gathered.features.clone(),
    }
}
