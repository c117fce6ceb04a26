//! From what the reader gave to what the history records: sites, doubts, and one outcome a document.

use crate::check;
use crate::config::Settings;
use crate::document::{Cause, Format, Refusal};
use crate::history::{self, History, NewDocument, NewReport, NewSample};
use crate::ingest::names::Names;
use crate::ingest::site_of;
use crate::reader::ReadDocument;
use crate::reading::taught;
use crate::soil::season::season;
use crate::soil::site::WHOLE;
use crate::soil::{Doubt, Outcome, Reading, Report, Sample, Status};
use std::collections::BTreeSet;

/// A document with its members, ready to be kept and recorded.
#[derive(Debug)]
pub struct Filing {
    /// The document first, then what is inside it, in order. Where they are kept is not filled in yet.
    pub documents: Vec<NewDocument>,
    /// The refusal of the whole, where it is one.
    pub refusal: Option<Refusal>,
}

impl Filing {
    /// What becomes of the original.
    pub fn outcome(&self) -> Outcome {
        self.documents.first().map_or(Outcome::Refused, |d| d.outcome)
    }

    /// The year on the shelf: that of the first dated report, on whatever day it is filed.
    pub fn year(&self) -> Option<i16> {
        let reports = self.documents.iter().flat_map(|d| &d.reports);
        reports
            .flat_map(|r| {
                let sampled = r.samples.first().and_then(|s| s.sample.sampled_on);
                [r.report.reported_on, r.report.received_on, sampled]
            })
            .flatten()
            .map(|day| day.year())
            .next()
    }
}

/// Decides on a document and everything inside it.
///
/// # Errors
/// What the store says.
pub fn prepare(
    history: &mut History,
    names: &mut Names,
    settings: &Settings,
    read: ReadDocument,
    now: &str,
) -> history::Result<Filing> {
    let mut documents = Vec::new();
    let rules = history.rules()?;
    let refusal = add((history, names), (settings, &rules), read, None, now, &mut documents)?;
    Ok(Filing { documents, refusal })
}

/// Adds a document and its members; gives the refusal where the document as a whole is refused.
fn add(
    (history, names): (&mut History, &mut Names),
    known: (&Settings, &[(i64, taught::Rule)]),
    read: ReadDocument,
    inside_of: Option<&str>,
    now: &str,
    documents: &mut Vec<NewDocument>,
) -> history::Result<Option<Refusal>> {
    let ReadDocument { name, sha256, bytes_len, format, result, needs_recognition, members, .. } = read;
    let reports = result.and_then(|mut reports| {
        reports.iter_mut().flat_map(|r| &mut r.samples).for_each(leave_out_the_boundless);
        let any = reports.iter().flat_map(|r| &r.samples).any(|s| !s.readings.is_empty());
        if any { Ok(reports) } else { Err(no_report(format)) }
    });
    let place = documents.len();
    let (reports, refusal) = match reports {
        Ok(reports) => {
            let mut new = Vec::with_capacity(reports.len());
            for report in reports {
                new.push(prepare_report((history, names), known, report)?);
            }
            (new, None)
        }
        Err(refusal) => (Vec::new(), Some(refusal)),
    };
    let own = match &refusal {
        None if held(&reports) > 0 => Outcome::Held,
        None => Outcome::Filed,
        Some(_) if needs_recognition => Outcome::Held,
        Some(_) => Outcome::Refused,
    };
    let file = if name.trim().is_empty() { "document".to_owned() } else { name };
    documents.push(NewDocument {
        file,
        sha256: sha256.clone(),
        bytes: bytes_len,
        format,
        outcome: own,
        why: None,
        kept_at: None,
        inside_of: inside_of.map(str::to_owned),
        recorded_at: now.to_owned(),
        inbox_note: None,
        reports,
    });
    let mut outcome = own;
    for member in members {
        let first = documents.len();
        add((history, names), known, member, Some(&sha256), now, documents)?;
        let inside = documents.get(first).map_or(Outcome::Refused, |d| d.outcome);
        outcome = of_container(outcome, inside);
    }
    let refusal = refusal.filter(|_| matches!(outcome, Outcome::Refused) || needs_recognition);
    if let Some(document) = documents.get_mut(place) {
        document.outcome = outcome;
        document.why = match (&refusal, outcome) {
            (Some(refusal), _) => Some(refusal.what.clone()),
            (None, Outcome::Held) => Some(why_held(&document.reports)),
            (None, _) => None,
        };
    }
    Ok(refusal)
}

/// A mail or archive is held while something inside is, filed when something inside is.
fn of_container(own: Outcome, inside: Outcome) -> Outcome {
    match (own, inside) {
        (Outcome::Held, _) | (_, Outcome::Held) => Outcome::Held,
        (Outcome::Filed, _) | (_, Outcome::Filed | Outcome::Duplicate) => Outcome::Filed,
        _ => own,
    }
}

/// A report with its sites, checked against itself, with what was taught for its form as one more witness. What other
/// issues and the sites' earlier seasons say is the store's matter: it says so in whatever order they come.
fn prepare_report(
    (history, names): (&mut History, &mut Names),
    (settings, rules): (&Settings, &[(i64, taught::Rule)]),
    mut report: Report,
) -> history::Result<NewReport> {
    let next_from = settings.season.next_from_month;
    let mut samples: Vec<(Sample, Option<(String, String)>, Option<i16>)> = Vec::new();
    let labels: Vec<String> = report.samples.iter().map(|s| s.label.clone()).collect();
    for mut sample in std::mem::take(&mut report.samples) {
        let beside: Vec<String> = labels.iter().filter(|l| **l != sample.label).cloned().collect();
        let printed = site_of::Printed { report: &report, label: &sample.label, beside: &beside };
        let whose = site_of::site_of(history, names, rules, printed)?;
        sample.doubts.extend(whose.doubt);
        if whose.rule.is_some() {
            sample.doubts.retain(|d| d.reason != "sample-unnamed");
        }
        let season =
            season(sample.sampled_on, report.received_on, report.reported_on, next_from).or(sample.year);
        let sample = checked(&report, sample, rules, whose.rule);
        samples.push((sample, whose.site, season));
    }
    check::against_each_other(&mut samples.iter_mut().map(|(sample, ..)| sample).collect::<Vec<_>>());
    one_site_once(&mut samples);
    let sites: BTreeSet<&str> =
        samples.iter().filter_map(|(_, site, _)| site.as_ref()).map(|(site, _)| site.as_str()).collect();
    history.stand_beside(&sites)?;
    let samples = samples
        .into_iter()
        .map(|(sample, site, season)| prepare_sample(&report, sample, site, season))
        .collect();
    Ok(NewReport { report, samples })
}

/// A sample checked by chemistry and ranges; where rules were taught for the form, with their help, and held
/// where chemistry says otherwise.
fn checked(report: &Report, sample: Sample, rules: &[(i64, taught::Rule)], site_rule: Option<i64>) -> Sample {
    let check = |sample: Sample| {
        let mut alone = Report { samples: vec![sample], ..report.clone() };
        check::check(&mut alone);
        alone.samples.pop().unwrap_or_default()
    };
    let mut told = sample.clone();
    if let Some(rule) = site_rule {
        for reading in &mut told.readings {
            reading.witnesses.push(format!("{} the site", taught::witness_of(rule)));
        }
    }
    if taught::apply(&mut told, rules, report) == 0 {
        return check(told);
    }
    let by_chemistry = check(sample);
    let mut told = check(told);
    taught::weigh(&by_chemistry, &mut told);
    told
}

/// Two samples of one report, day and depth cannot both be one place: a person says which is.
fn one_site_once(samples: &mut [(Sample, Option<(String, String)>, Option<i16>)]) {
    let place = |(sample, site, _): &(Sample, Option<(String, String)>, Option<i16>)| {
        let depth = sample.depth.map(|d| (d.top_cm.to_bits(), d.bottom_cm.to_bits()));
        site.clone().map(|site| (site, depth, sample.sampled_on))
    };
    let places: Vec<_> = samples.iter().map(place).collect();
    let labels: Vec<String> = samples.iter().map(|(sample, ..)| sample.label.clone()).collect();
    for (at, (sample, ..)) in samples.iter_mut().enumerate() {
        let own = places.get(at).cloned().flatten();
        let twin = places.iter().zip(&labels).enumerate().find(|(other, (place, label))| {
            *other != at && own.is_some() && **place == own && **label != sample.label
        });
        if let (Some((_, (_, label))), Some(((site, _), ..))) = (twin, own) {
            sample.doubts.push(Doubt::new(
                "site-twice",
                format!("`{}` and `{label}` of this report both mean the site {site}.", sample.label),
            ));
        }
    }
}

/// The history keeps no number beyond this, whatever its unit: a long identity number or a slip, never a soil.
const BEYOND: f64 = 1e12;

/// Takes numbers out that the history cannot keep, and has the whole sample looked at for it.
pub(super) fn leave_out_the_boundless(sample: &mut Sample) {
    let kept = |r: &Reading| r.quantity.value.abs() <= BEYOND;
    for reading in sample.readings.iter().filter(|r| !kept(r)) {
        sample.doubts.push(Doubt::new(
            "number-boundless",
            format!(
                "`{}` stands for {}, which is no number of a soil test; it was left out.",
                reading.printed.value,
                reading.analyte.name()
            ),
        ));
    }
    sample.readings.retain(kept);
}

fn prepare_sample(
    report: &Report,
    mut sample: Sample,
    site: Option<(String, String)>,
    season: Option<i16>,
) -> NewSample {
    let mut doubts: Vec<Doubt> = report.doubts.iter().chain(&sample.doubts).cloned().collect();
    if season.is_none() {
        doubts.push(Doubt::new("season-unknown", "No date is printed, so the year is not known."));
    }
    let readings = std::mem::take(&mut sample.readings);
    let readings = readings
        .into_iter()
        .map(|mut reading: Reading| {
            reading
                .doubts
                .extend(doubts.iter().filter(|d| !reading.doubts.contains(d)).cloned().collect::<Vec<_>>());
            let sentences: Vec<&str> = reading.doubts.iter().map(|d| d.sentence.as_str()).collect();
            let doubt = (!sentences.is_empty()).then(|| sentences.join(" "));
            let status = if doubt.is_none() { Status::Accepted } else { Status::Held };
            (reading, status, doubt)
        })
        .collect();
    let (site, zone) = site.map_or((None, WHOLE.to_owned()), |(site, zone)| (Some(site), zone));
    NewSample { site, zone, season, sample, readings }
}

/// Readings held in these reports.
fn held(reports: &[NewReport]) -> usize {
    let readings = reports.iter().flat_map(|r| &r.samples).flat_map(|s| &s.readings);
    readings.filter(|(_, status, _)| *status == Status::Held).count()
}

fn why_held(reports: &[NewReport]) -> String {
    let readings: Vec<_> = reports.iter().flat_map(|r| &r.samples).flat_map(|s| &s.readings).collect();
    let first = readings
        .iter()
        .find_map(|(_, status, doubt)| (*status == Status::Held).then_some(doubt.as_deref()).flatten());
    let held = held(reports);
    match first {
        Some(doubt) => format!("{held} of {} readings wait for a person. {doubt}", readings.len()),
        None => "Something inside waits for a person.".to_owned(),
    }
}

fn no_report(format: Format) -> Refusal {
    Refusal::new(
        Cause::NotAReport,
        format,
        "No soil test was found in this file: no table with a sample and a measured value.",
        "If it is a report, ask the laboratory for it as PDF or table file and drop that.",
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_container_is_as_good_as_its_best_member_and_waits_with_any() {
        use Outcome::{Duplicate, Filed, Held, Refused};
        assert_eq!(of_container(Refused, Filed), Filed);
        assert_eq!(of_container(Refused, Duplicate), Filed);
        assert_eq!(of_container(Filed, Refused), Filed);
        assert_eq!(of_container(Filed, Held), Held);
        assert_eq!(of_container(Refused, Refused), Refused);
    }

    #[test]
    fn a_doubt_of_the_report_holds_every_reading() {
        let report =
            Report { doubts: vec![Doubt::new("x", "Day and month may be swapped.")], ..Report::default() };
        let reading = Reading {
            analyte: crate::soil::Analyte::Ph,
            method: crate::soil::Method::Unstated,
            quantity: crate::soil::Quantity {
                value: 6.0,
                unit: crate::soil::Unit::One,
                qualifier: None,
                basis: None,
            },
            printed: Default::default(),
            place: crate::place::Place::Cell { sheet: 1, row: 1, column: 1 },
            witnesses: Vec::new(),
            doubts: Vec::new(),
        };
        let sample = Sample { label: "a".into(), readings: vec![reading], ..Sample::default() };
        let new = prepare_sample(&report, sample, Some(("s".into(), "whole".into())), Some(2024));
        let (_, status, doubt) = new.readings.first().unwrap();
        assert_eq!((*status, doubt.as_deref()), (Status::Held, Some("Day and month may be swapped.")));
    }
}
