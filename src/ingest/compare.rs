//! A fresh reading of an original held against what the history has of it. Pure.

use crate::history::PrintedRow;
use crate::history::recommendation::OfSample;
use crate::soil::{Reading, Recommendation, Report};

/// Where the two differ.
#[derive(Debug, Clone, PartialEq)]
pub enum Difference {
    /// At the same place in the same sample something else is read now.
    Changed {
        /// As the history has it.
        was: PrintedRow,
        /// As it is read now.
        now: Reading,
    },
    /// Nothing is read there now.
    Gone(PrintedRow),
    /// Nothing was read there before.
    New {
        /// Place of its report in the document, from 0.
        report: i64,
        /// Sample name.
        label: String,
        /// As it is read now.
        now: Reading,
    },
    /// Another recommendation of nitrogen is read now.
    Nitrogen {
        /// As the history has it.
        was: Option<OfSample>,
        /// As it is read now.
        now: Option<OfSample>,
    },
}

impl Difference {
    /// True where a number that counts is not what its original says.
    pub fn concerns_a_counting_number(&self) -> bool {
        match self {
            Self::Changed { was, .. } | Self::Gone(was) => was.counts,
            Self::New { .. } => false,
            // What a plan may rest on is not what its original says.
            Self::Nitrogen { was, .. } => was.as_ref().is_some_and(|was| was.nitrogen.doubts.is_empty()),
        }
    }

    /// One line for a person.
    pub fn spoken(&self) -> String {
        match self {
            Self::Changed { was, now } => format!("{}: now read as {}", old(was), new(now)),
            Self::Gone(was) => format!("{}: not read there now", old(was)),
            Self::Nitrogen { was, now } => {
                let said = |one: &Option<OfSample>| {
                    one.as_ref().map_or_else(
                        || "none".to_owned(),
                        |one| format!("{} ({})", one.nitrogen.said(), one.nitrogen.place.spoken()),
                    )
                };
                let label = was.as_ref().or(now.as_ref()).map_or("", |one| one.label.as_str());
                format!("{label}, nitrogen recommended: {}, now read as {}", said(was), said(now))
            }
            Self::New { label, now, .. } => format!("{label}, {}: not read before", new(now)),
        }
    }
}

fn old(was: &PrintedRow) -> String {
    let place = was.place.map_or_else(String::new, |place| format!(", {}", place.spoken()));
    let qualifier = was.qualifier.map_or("", |q| q.id());
    format!(
        "{}, {} ({}) {qualifier}{}{}, printed `{}`{place}",
        was.label,
        was.analyte.name(),
        was.method.id(),
        was.value,
        was.analyte.unit().suffix(),
        was.raw_value
    )
}

fn new(now: &Reading) -> String {
    let qualifier = now.quantity.qualifier.map_or("", |q| q.id());
    format!(
        "{} ({}) {qualifier}{}{}, printed `{}`",
        now.analyte.name(),
        now.method.id(),
        now.quantity.value,
        now.quantity.unit.suffix(),
        now.printed.value
    )
}

/// What differs: readings are paired by sample and place, first those that are the same altogether.
pub fn compare(stored: &[PrintedRow], now: &[Report]) -> Vec<Difference> {
    let mut left: Vec<Option<&PrintedRow>> = stored.iter().map(Some).collect();
    let mut differences = Vec::new();
    let mut unpaired = Vec::new();
    for (report, label, reading) in readings(now) {
        let same = left.iter_mut().find(|was| was.is_some_and(|was| is_same(was, &label, reading)));
        match same {
            Some(was) => *was = None,
            None => unpaired.push((report, label, reading)),
        }
    }
    for (report, label, reading) in unpaired {
        let there = |was: &PrintedRow| was.label == label && was.place == Some(reading.place);
        match left.iter_mut().find(|was| was.is_some_and(there)).and_then(Option::take) {
            Some(was) => differences.push(Difference::Changed { was: was.clone(), now: reading.clone() }),
            None => differences.push(Difference::New { report, label, now: reading.clone() }),
        }
    }
    differences.extend(left.into_iter().flatten().map(|was| Difference::Gone(was.clone())));
    differences
}

/// Where the recommendations differ. The wording of a doubt is the program's own and no difference.
pub fn compare_nitrogen(stored: &[OfSample], now: &[OfSample]) -> Vec<Difference> {
    let mut left: Vec<&OfSample> = stored.iter().collect();
    let mut fresh = Vec::new();
    for one in now {
        match left.iter().position(|was| same_nitrogen(was, one)) {
            Some(at) => drop(left.remove(at)),
            None => fresh.push(one),
        }
    }
    let mut differences = Vec::new();
    for one in fresh {
        let at =
            left.iter().position(|was| was.label == one.label && was.nitrogen.place == one.nitrogen.place);
        let was = at.map(|at| left.remove(at).clone());
        differences.push(Difference::Nitrogen { was, now: Some(one.clone()) });
    }
    differences
        .extend(left.into_iter().map(|was| Difference::Nitrogen { was: Some(was.clone()), now: None }));
    differences
}

fn same_nitrogen(was: &OfSample, now: &OfSample) -> bool {
    let reasons = |one: &OfSample| one.nitrogen.doubts.iter().map(|d| d.reason.clone()).collect::<Vec<_>>();
    let bare = |one: &OfSample| OfSample {
        nitrogen: Recommendation { doubts: Vec::new(), ..one.nitrogen.clone() },
        ..one.clone()
    };
    bare(was) == bare(now) && reasons(was) == reasons(now)
}

fn readings(reports: &[Report]) -> impl Iterator<Item = (i64, String, &Reading)> {
    (0_i64..).zip(reports).flat_map(|(at, report)| {
        report
            .samples
            .iter()
            .flat_map(move |sample| sample.readings.iter().map(move |r| (at, sample.label.clone(), r)))
    })
}

fn is_same(was: &PrintedRow, label: &str, now: &Reading) -> bool {
    was.label == label
        && was.place == Some(now.place)
        && was.analyte == now.analyte
        && was.method == now.method
        && was.value.to_bits() == now.quantity.value.to_bits()
        && was.basis == now.quantity.basis
        && was.qualifier == now.quantity.qualifier
        && was.raw_value == now.printed.value
        && was.raw_unit == now.printed.unit
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::place::Place;
    use crate::soil::{Analyte, Method, Printed, Quantity, Sample, Unit};

    fn reading(column: u32, printed: &str) -> Reading {
        Reading {
            analyte: Analyte::Ph,
            method: Method::Unstated,
            quantity: Quantity {
                value: printed.parse().unwrap(),
                unit: Unit::One,
                qualifier: None,
                basis: None,
            },
            printed: Printed { value: printed.to_owned(), unit: String::new() },
            place: Place::Cell { sheet: 1, row: 2, column },
            witnesses: Vec::new(),
            doubts: Vec::new(),
        }
    }

    fn stored(id: i64, column: u32, printed: &str) -> PrintedRow {
        let now = reading(column, printed);
        PrintedRow {
            id,
            report: 0,
            label: "Front".to_owned(),
            analyte: now.analyte,
            method: now.method,
            value: now.quantity.value,
            basis: None,
            qualifier: None,
            raw_value: now.printed.value,
            raw_unit: String::new(),
            place: Some(now.place),
            counts: true,
        }
    }

    #[test]
    fn what_is_the_same_changed_gone_or_new_is_told_apart() {
        let now = Report {
            samples: vec![Sample {
                label: "Front".to_owned(),
                readings: vec![reading(1, "6.4"), reading(2, "6.5"), reading(4, "7.1")],
                ..Sample::default()
            }],
            ..Report::default()
        };
        let stored = [stored(1, 1, "6.4"), stored(2, 2, "6.6"), stored(3, 3, "6.7")];
        let found = compare(&stored, &[now]);
        assert_eq!(found.len(), 3, "{found:?}");
        assert!(
            matches!(&found[0], Difference::Changed { was, now } if was.id == 2 && now.printed.value == "6.5")
        );
        assert!(matches!(&found[1], Difference::New { label, .. } if label == "Front"));
        assert!(matches!(&found[2], Difference::Gone(was) if was.id == 3));
        assert!(found[0].concerns_a_counting_number() && !found[1].concerns_a_counting_number());
        assert!(found[2].spoken().contains("not read there now"));
    }
}
