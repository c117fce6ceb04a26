//! Rows at the foot of a table that may be none of the samples', whatever their names: those whose every number is the
//! mean or a limit of the rows above, and those without a laboratory's number where the others have one.

use super::super::found::{Found, FoundSample};
use super::super::vocabulary::Field;
use super::doubt::doubt_all;
use super::statistic::Of;
use crate::soil::Doubt;

/// So many rows at the foot of a table are compared with those above.
const FOOT: usize = 6;
/// Of fewer rows a mean proves little.
const ENOUGH_ROWS: usize = 3;
/// From so many numbers that come out, in columns whose numbers differ, the row was reckoned.
const ENOUGH_NUMBERS: usize = 4;
/// So many rows between a reckoned row and the rows it was reckoned from may be none of these.
const BETWEEN: usize = 2;
/// A mean of more figures than are printed comes out but for one unit of the last; most come out to the half of it.
const ALL_WITHIN: f64 = 1.01;
const MOST_WITHIN: f64 = 0.51;
/// Names without a number are looked at where so many rows have one.
const ENOUGH_NUMBERED: usize = 3;
/// Above the last numbered row the numbered have to be so many times as many.
const NEARLY_ALL: usize = 4;

/// Drops rows that two things speak against, and doubts those that one does. `aside` are numbered rows that are no samples
/// by their names, each with the count of samples above it: with them or without, a mean may have been reckoned.
pub fn settle(samples: &mut Vec<FoundSample>, aside: &[(usize, FoundSample)]) {
    let mut reckoned = reckoned(samples, &[]);
    if !aside.is_empty() {
        for (own, with) in reckoned.iter_mut().zip(self::reckoned(samples, aside)) {
            *own |= with;
        }
    }
    let numberless = numberless(samples);
    let mut dropped = Vec::new();
    for (i, sample) in samples.iter_mut().enumerate() {
        let (reckoned, numberless) = (reckoned.get(i) == Some(&true), numberless.get(i) == Some(&true));
        dropped.push(reckoned && numberless);
        let name = sample.field(Field::SampleLabel).map_or("This row".to_owned(), |name| format!("`{name}`"));
        let doubt = if reckoned {
            let sentence = format!("{name} has the means or the limits of the rows above it for numbers.");
            Doubt::new("row-of-a-statistic", sentence)
        } else if numberless {
            let sentence = format!(
                "{name} has no laboratory number where the other rows have one; it may be no sample of the client's."
            );
            Doubt::new("row-without-number", sentence)
        } else {
            continue;
        };
        doubt_all(std::slice::from_mut(sample), Some(&doubt));
    }
    let mut dropped = dropped.into_iter();
    samples.retain(|_| dropped.next() != Some(true));
}

/// Of each row, whether it lacks the laboratory's number that (nearly) all others have, and repeats no name.
fn numberless(samples: &[FoundSample]) -> Vec<bool> {
    let without = |s: &FoundSample| s.field(Field::LabSample).is_none();
    let numbered = samples.iter().filter(|s| !without(s)).count();
    let foot = samples.iter().rposition(|s| !without(s)).map_or(0, |last| last + 1);
    let lacking = samples.len() - numbered;
    let all = lacking * NEARLY_ALL <= numbered;
    let below = samples.len() - foot <= numbered;
    let name = |s: &FoundSample| s.field(Field::SampleLabel).map(str::to_lowercase);
    let judged = |(i, s): (usize, &FoundSample)| {
        numbered >= ENOUGH_NUMBERED
            && without(s)
            && (all || below && i >= foot)
            && !samples.iter().take(i).any(|above| name(above).is_some() && name(above) == name(s))
    };
    samples.iter().enumerate().map(judged).collect()
}

/// Of each row, whether it stands at the foot and all its numbers come out from those of the rows above.
fn reckoned(samples: &[FoundSample], aside: &[(usize, FoundSample)]) -> Vec<bool> {
    let mut out = vec![false; samples.len()];
    let mut begin = 0;
    for at in samples.len().saturating_sub(FOOT).max(ENOUGH_ROWS)..samples.len() {
        let mut above: Vec<(usize, &FoundSample)> =
            aside.iter().filter(|(i, _)| *i <= at).map(|(i, s)| (*i, s)).collect();
        above.extend(samples.iter().take(at).enumerate().filter(|(i, _)| out.get(*i) == Some(&false)));
        above.sort_by_key(|(i, _)| *i);
        let Some(sample) = samples.get(at) else { continue };
        let columns: Vec<Column> = sample.readings.iter().map(|r| Column::of(r, &above)).collect();
        let block = above.iter().position(|(i, _)| *i >= begin).unwrap_or(above.len());
        let ends = (0..=BETWEEN).filter_map(|back| above.len().checked_sub(back));
        let found = ends.flat_map(|end| [0, block].map(|from| from..end)).any(|rows| {
            [Of::Mean, Of::Middle, Of::Least, Of::Most].iter().any(|of| all_come_out(&columns, &rows, *of))
        });
        if found {
            begin = at + 1;
        }
        if let Some(own) = out.get_mut(at) {
            *own = found;
        }
    }
    out
}

/// A number of the row and those of the rows above in its column.
struct Column {
    stated: f64,
    /// One unit of its last figure.
    unit: f64,
    above: Vec<Option<f64>>,
    /// A number below or above a limit is reckoned with in many ways.
    limited: bool,
}

impl Column {
    fn of(reading: &Found, above: &[(usize, &FoundSample)]) -> Self {
        let same =
            |r: &&Found| r.label.analyte == reading.label.analyte && r.label.methods == reading.label.methods;
        let found: Vec<Option<&Found>> = above.iter().map(|(_, s)| s.readings.iter().find(same)).collect();
        let limited = found.iter().flatten().chain([&reading]).any(|r| r.number.qualifier.is_some());
        Self {
            stated: reading.number.value,
            unit: 10f64.powi(-i32::try_from(reading.number.decimals).unwrap_or(0)),
            above: found.into_iter().map(|r| r.map(|r| r.number.value)).collect(),
            limited,
        }
    }
}

fn all_come_out(columns: &[Column], rows: &std::ops::Range<usize>, of: Of) -> bool {
    if rows.len() < ENOUGH_ROWS {
        return false;
    }
    let (mut telling, mut close) = (0, 0);
    // Rows that have all its numbers themselves are repeats of each other.
    let mut repeats = vec![true; rows.len()];
    for column in columns.iter().filter(|c| !c.limited) {
        let own = column.above.get(rows.clone()).unwrap_or_default();
        for (repeats, value) in repeats.iter_mut().zip(own) {
            *repeats &= value.is_some_and(|v| same(v, column.stated));
        }
        let mut values: Vec<f64> = own.iter().flatten().copied().collect();
        values.sort_by(f64::total_cmp);
        let Some(reckoned) = of.reckoned(&values).filter(|_| values.len() >= ENOUGH_ROWS) else {
            return false;
        };
        let off = (reckoned - column.stated).abs() / column.unit;
        let exact = matches!(of, Of::Least | Of::Most);
        if off > if exact { 0.01 } else { ALL_WITHIN } {
            return false;
        }
        // Columns of one number throughout prove nothing.
        let differ = values.first().zip(values.last()).is_some_and(|(least, most)| !same(*least, *most));
        if differ {
            telling += 1;
            close += usize::from(off <= MOST_WITHIN);
        }
    }
    telling >= ENOUGH_NUMBERS
        && close >= ENOUGH_NUMBERS
        && close * 4 >= telling * 3
        && !repeats.contains(&true)
}

fn same(a: f64, b: f64) -> bool {
    (a - b).abs() < 1e-9
}
