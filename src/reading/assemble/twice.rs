//! What a report prints twice: one measurement of a sample, or one name.

use super::super::label::label;
use super::super::normalise::OTHER_METHOD;
use super::super::units::{Rule, conversion};
use super::super::vocabulary::Context;
use super::tables::SECOND_TABLE;
use crate::soil::{Analyte, Doubt, Method, Reading, Report, Sample, Unit};
use std::collections::HashMap;

/// The same number printed twice is one reading; two numbers for one measurement wait for a person.
pub(super) fn add_reading(readings: &mut Vec<Reading>, reading: Reading, depth: Option<crate::soil::Depth>) {
    let Some(kept) = readings.iter_mut().find(|r| {
        r.analyte == reading.analyte
            && r.method == reading.method
            && r.quantity.basis == reading.quantity.basis
    }) else {
        readings.push(reading);
        return;
    };
    // What a second table says takes nothing from the first.
    if reading.doubts.iter().any(|d| d.reason == SECOND_TABLE) {
        if reading.printed != kept.printed {
            readings.push(reading);
        }
        return;
    }
    let (a, b) = (kept.quantity.value, reading.quantity.value);
    // One reading printed in two units: pounds of a layer beside parts per million.
    let area = |r: &Reading| {
        label(&r.printed.unit, Context { symbols: false, capitals: false })
            .unit
            .as_ref()
            .and_then(|u| conversion(u.0, Unit::MgPerKg))
            .is_some_and(|c| matches!(c.rule, Rule::Area | Rule::AreaMetric))
    };
    if area(&reading) != area(kept) && per_area_of_the_same(kept, &reading, depth) {
        if area(kept) {
            *kept = reading;
        }
        kept.witnesses.push("printed in two units that agree".to_owned());
        return;
    }
    if agree_in_two_units(kept, &reading) {
        let better = match (as_printed(kept), as_printed(&reading)) {
            // Of the element and its oxide in one unit the element is what was asked for.
            (own, other) if own != other && kept.printed.unit == reading.printed.unit => other,
            _ => figures(&reading) > figures(kept),
        };
        if better {
            *kept = reading;
        }
        kept.witnesses.push("printed in two units that agree".to_owned());
        return;
    }
    let same = (a - b).abs() <= 0.005 * a.abs().max(b.abs())
        && kept.quantity.qualifier == reading.quantity.qualifier;
    if same {
        kept.witnesses.push("printed twice".to_owned());
        return;
    }
    let mut doubt = Doubt::new(
        "two-values",
        format!(
            "Two different values are printed for {}: `{}` and `{}`.",
            reading.analyte.name(),
            kept.printed.value,
            reading.printed.value
        ),
    );
    doubt.alternatives = vec![kept.printed.value.clone(), reading.printed.value.clone()];
    kept.doubts.push(doubt);
}

/// So many numbers of a second table that agree with the first make it the same results in another unit.
const ENOUGH_AGREE: usize = 3;

/// A second table that counts what the first holds in another unit, `meq/100 g` beside `ppm`, and contradicts none of it:
/// what it holds beside that is a result as well.
pub(super) fn in_another_unit(readings: &mut Vec<Reading>) {
    let second = |r: &Reading| r.doubts.iter().any(|d| d.reason == SECOND_TABLE);
    let (seconds, firsts): (Vec<&Reading>, Vec<&Reading>) = readings.iter().partition(|r| second(r));
    let mut agreed: Vec<Analyte> = Vec::new();
    for reading in &seconds {
        let mut own = firsts.iter().filter(|r| r.analyte == reading.analyte).peekable();
        if own.peek().is_none() {
            continue;
        }
        let mut bare = (*reading).clone();
        bare.doubts.retain(|d| d.reason != SECOND_TABLE);
        if !own.all(|first| first.method == bare.method && agree_in_two_units(first, &bare)) {
            return;
        }
        agreed.push(reading.analyte);
    }
    if agreed.len() < ENOUGH_AGREE {
        return;
    }
    readings.retain(|r| !(second(r) && agreed.contains(&r.analyte)));
    for reading in readings.iter_mut() {
        if agreed.contains(&reading.analyte) {
            reading.witnesses.push("printed in two units that agree".to_owned());
        }
        reading.doubts.retain(|d| d.reason != SECOND_TABLE);
    }
}

/// One measurement counted in two unlike units, `127 mg/kg` and `0.33 cmol/kg`: the same but for what rounding each of
/// them to its last figure takes away.
fn agree_in_two_units(kept: &Reading, second: &Reading) -> bool {
    let unit = |r: &Reading| {
        label(&r.printed.unit, Context { symbols: false, capitals: false }).unit.as_ref().map(|u| u.0)
    };
    let (Some(one), Some(other)) = (unit(kept), unit(second)) else { return false };
    let (Some(a), Some(b)) = (figures(kept), figures(second)) else { return false };
    let (x, y) = (kept.quantity.value, second.quantity.value);
    let plain = |r: &Reading| r.quantity.qualifier.is_none() && r.doubts.is_empty();
    (one != other || counted_unlike(kept, second))
        && plain(kept)
        && plain(second)
        && (x - y).abs() <= x.abs() * 0.5 / a + y.abs() * 0.5 / b + 0.005 * x.abs().max(y.abs())
}

/// True where the printed number is the value itself.
fn as_printed(reading: &Reading) -> bool {
    printed(reading).is_some_and(|n| (n - reading.quantity.value).abs() <= SAME * n.abs())
}

/// `43` beside `99` in one unit, of the element and of its oxide: unlike numbers on paper that come to one value.
fn counted_unlike(kept: &Reading, second: &Reading) -> bool {
    let factor = |r: &Reading| printed(r).filter(|n| *n != 0.0).map(|n| r.quantity.value / n);
    factor(kept).zip(factor(second)).is_some_and(|(a, b)| (a - b).abs() > SAME * a.abs().max(b.abs()))
}

/// Numbers no further apart are one but for what a computer rounds.
const SAME: f64 = 1e-6;

fn printed(reading: &Reading) -> Option<f64> {
    reading.printed.value.replace(',', ".").parse().ok()
}

/// The figures of a printed number as a whole number, wherever its point stands: half of one is what rounding took.
fn figures(reading: &Reading) -> Option<f64> {
    let digits: String = reading.printed.value.chars().filter(char::is_ascii_digit).collect();
    digits.parse::<f64>().ok().filter(|n| *n > 0.0)
}

/// A number printed by a named method and again without one is one reading.
pub(super) fn without_repeats(readings: Vec<Reading>) -> Vec<Reading> {
    let named: Vec<Reading> = readings.iter().filter(|r| r.method != Method::Unstated).cloned().collect();
    let repeats = |r: &Reading| {
        named.iter().any(|n| n.analyte == r.analyte && n.printed == r.printed && n.doubts.is_empty())
    };
    readings.into_iter().filter(|r| r.method != Method::Unstated || !repeats(r)).collect()
}

/// A second number for a measurement, by no stated method beside one that states it, may be a rate, a wish or a limit.
pub(super) fn method_left_open(readings: &mut [Reading]) {
    // `pH eau` beside `pH KCl` is a second pH of its own; so is any beside one in a salt.
    let salt = |r: &Reading| matches!(r.method, Method::Cacl2 | Method::Kcl);
    let named: Vec<(Analyte, String)> = readings
        .iter()
        .filter(|r| r.method != Method::Unstated && !salt(r))
        .map(|r| (r.analyte, r.printed.value.clone()))
        .collect();
    // `Potassium (Colwell)` beside exchangeable potassium is a measurement too.
    let own = |r: &Reading| r.witnesses.iter().any(|w| w == OTHER_METHOD);
    for reading in readings.iter_mut().filter(|r| r.method == Method::Unstated && !own(r)) {
        if let Some((_, other)) = named.iter().find(|(analyte, _)| *analyte == reading.analyte) {
            reading.doubts.push(Doubt::new(
                "second-value",
                format!(
                    "Beside `{other}` by a named method stands `{}` for {} by none.",
                    reading.printed.value,
                    reading.analyte.name()
                ),
            ));
        }
    }
}

/// Two values for several measurements: rows of two samples came together, and no number is surely this one's.
pub(super) fn two_samples_in_one(readings: &mut [Reading]) {
    let twice: Vec<Analyte> = readings
        .iter()
        .filter(|r| r.doubts.iter().any(|d| d.reason == "two-values"))
        .map(|r| r.analyte)
        .collect();
    // Rates of phosphorus and potassium stand beside results, and tell nothing of the rest.
    let rates = |a: &Analyte| matches!(a, Analyte::Phosphorus | Analyte::Potassium);
    if twice.len() < 2 || twice.iter().all(rates) {
        return;
    }
    for reading in readings.iter_mut().filter(|r| r.doubts.iter().all(|d| d.reason != "two-values")) {
        reading.doubts.push(Doubt::new(
            "two-samples",
            "Several rows of this table are printed twice with unlike values; it may hold two samples."
                .to_owned(),
        ));
    }
}

/// True where the larger of two printed numbers is the smaller counted as pounds of the layer.
fn per_area_of_the_same(a: &Reading, b: &Reading, depth: Option<crate::soil::Depth>) -> bool {
    let number = |r: &Reading| r.printed.value.replace(',', "").parse::<f64>().ok();
    let (Some(a), Some(b)) = (number(a), number(b)) else { return false };
    let ratio = a.max(b) / a.min(b).max(f64::MIN_POSITIVE);
    // 0.3 lb per inch and ppm for 2,000,000 lb in 6 2/3 inches; a third by the rounder 6-inch habit.
    let layer = depth.map(|d| d.thickness_inches());
    let near = |factor: f64| (ratio / factor - 1.0).abs() < 0.03;
    near(2.0) || layer.is_some_and(|i| near(0.3 * i) || near(i / 3.0))
}

/// One name twice in a report: with the same laboratory number it is a repeat, with another it is another sample
/// whose site a person must tell. Layers of one name are told apart by their depth.
pub(super) fn repeated_names(report: &mut Report) {
    let key = |s: &Sample| (s.label.to_lowercase(), s.depth.map(|d| format!("{d:?}")), s.sampled_on);
    // One bag is not drawn on two days.
    let bag = |s: &Sample| (s.label.to_lowercase(), s.depth.map(|d| format!("{d:?}")), s.lab_number.clone());
    let mut times: HashMap<_, usize> = HashMap::new();
    let mut bags: HashMap<_, usize> = HashMap::new();
    for sample in &report.samples {
        *times.entry(key(sample)).or_default() += 1;
        *bags.entry(bag(sample)).or_default() += 1;
    }
    for sample in &mut report.samples {
        let twice = times.get(&key(sample)).is_some_and(|n| *n > 1)
            || sample.lab_number.is_some() && bags.get(&bag(sample)).is_some_and(|n| *n > 1);
        if !sample.label.is_empty() && twice {
            sample.doubts.push(Doubt::new(
                "name-repeated",
                format!("The name `{}` stands twice in this report.", sample.label),
            ));
        }
    }
}
