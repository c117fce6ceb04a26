//! Does what was read agree with itself: ranges, and chemistry as the witness.
//!
//! A check adds a witness to what it confirms and a doubt, in a sentence, to what it contradicts. It never changes a
//! printed number; only the unit of numbers printed without one may be settled by the sum of the cations.

mod acidity_rule;

mod alone;

mod limits;

mod competing;

mod buffer;

mod exchange;

mod range;

mod sums;

mod past;

use crate::soil::{Analyte, Doubt, Method, Reading, Report, Sample};

/// The latest value of a site that counts, for a later season to be held against.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Before {
    /// What was measured.
    pub analyte: Analyte,
    /// How.
    pub method: Method,
    /// How much, in the canonical unit of the analyte.
    pub value: f64,
}

/// Adds witnesses and doubts to the readings of a report, from the report alone.
pub fn check(report: &mut Report) {
    spread_missing_unit(report);
    for sample in &mut report.samples {
        exchange::check(sample);
        alone::settle(sample);
        buffer::check(sample);
        sums::check(sample);
        range::check(sample);
    }
    against_each_other(&mut report.samples.iter_mut().collect::<Vec<_>>());
}

/// Takes off what one sample alone left in doubt and the samples of its report settle together.
pub fn against_each_other(samples: &mut [&mut Sample]) {
    acidity_rule::settle(samples);
}

/// Adds what the site's earlier seasons say: one value an analyte and method.
pub fn against_past(sample: &mut Sample, before: &[Before]) {
    past::check(sample, before);
}

/// What one sample's number shows of a column without a unit holds for the whole column: `11` under a heading without
/// a unit is no 11 % where the next row says 48.
fn spread_missing_unit(report: &mut Report) {
    const REASON: &str = "unit-missing";
    let readings = || report.samples.iter().flat_map(|s| &s.readings);
    let found: Vec<(Analyte, Method, Doubt)> = readings()
        .filter(|r| r.printed.unit.is_empty())
        .filter_map(|r| Some((r.analyte, r.method, r.doubts.iter().find(|d| d.reason == REASON)?.clone())))
        .collect();
    for reading in report.samples.iter_mut().flat_map(|s| &mut s.readings) {
        let doubt = found.iter().find(|(a, m, _)| *a == reading.analyte && *m == reading.method);
        if let Some((.., doubt)) = doubt
            && reading.printed.unit.is_empty()
            && reading.doubts.iter().all(|d| d.reason != REASON)
        {
            reading.doubts.push(doubt.clone());
        }
    }
}

/// The one reading of an analyte without a qualifier; none where there is none, or several by different methods.
fn only(sample: &Sample, analyte: Analyte) -> Option<&Reading> {
    let mut found = sample.readings.iter().filter(|r| r.analyte == analyte && r.quantity.qualifier.is_none());
    let first = found.next()?;
    found.next().is_none().then_some(first)
}

fn value(sample: &Sample, analyte: Analyte) -> Option<f64> {
    only(sample, analyte).map(|r| r.quantity.value)
}

/// Decimals of a number as printed.
fn printed_decimals(reading: &Reading) -> u8 {
    let text = reading.printed.value.trim();
    text.rsplit_once(['.', ','])
        .map_or(0, |(_, f)| u8::try_from(f.chars().take_while(char::is_ascii_digit).count()).unwrap_or(0))
}

fn hold(sample: &mut Sample, analytes: &[Analyte], reason: &str, sentence: &str, alternatives: &[String]) {
    for reading in sample.readings.iter_mut().filter(|r| analytes.contains(&r.analyte)) {
        if reading.doubts.iter().all(|d| d.reason != reason) {
            reading.doubts.push(Doubt {
                reason: reason.to_owned(),
                sentence: sentence.to_owned(),
                alternatives: alternatives.to_vec(),
            });
        }
    }
}

fn witness(sample: &mut Sample, analytes: &[Analyte], words: &str) {
    for reading in sample.readings.iter_mut().filter(|r| analytes.contains(&r.analyte)) {
        if !reading.witnesses.iter().any(|w| w == words) {
            reading.witnesses.push(words.to_owned());
        }
    }
}

#[cfg(test)]
pub(crate) mod tests {
    use super::*;
    use crate::place::{Place, Rect};
    use crate::soil::{Printed, Quantity};

    pub(crate) fn reading(analyte: Analyte, method: Method, printed: &str) -> Reading {
        Reading {
            analyte,
            method,
            quantity: Quantity {
                value: printed.parse().unwrap(),
                unit: analyte.unit(),
                qualifier: None,
                basis: None,
            },
            printed: Printed { value: printed.to_owned(), unit: String::new() },
            place: Place::Page { page: 1, area: Rect::default() },
            witnesses: Vec::new(),
            doubts: Vec::new(),
        }
    }

    pub(crate) fn sample(values: &[(Analyte, &str)]) -> Sample {
        Sample {
            label: "Plot".to_owned(),
            readings: values.iter().map(|(a, v)| reading(*a, Method::Unstated, v)).collect(),
            ..Sample::default()
        }
    }

    /// What a former season had, by the methods that [`sample`] gives.
    pub(crate) fn past(values: &[(Analyte, f64)]) -> Vec<Before> {
        values
            .iter()
            .map(|(analyte, value)| Before { analyte: *analyte, method: Method::Unstated, value: *value })
            .collect()
    }

    pub(crate) fn doubted(sample: &Sample) -> Vec<Analyte> {
        sample.readings.iter().filter(|r| !r.doubts.is_empty()).map(|r| r.analyte).collect()
    }
}
