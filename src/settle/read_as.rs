//! What a printed number is: another value, in a unit, by a method.

use super::reading;
use super::teach::{Lesson, lesson};
use crate::history::{Decision, History};
use crate::reading::taught::{Taught, in_unit as converted};
use crate::reading::{label, vocabulary};
use crate::soil::{Depth, Method, Qualifier, Quantity, ReadingRow};
use anyhow::{Context as _, bail};

/// Decisions by key, and what they would teach.
type Read = (Vec<(i64, Decision)>, Vec<Lesson>);

/// The decision that a reading is this value, in the unit of its analyte.
pub fn correction(row: &ReadingRow, text: &str) -> anyhow::Result<Decision> {
    let text = text.trim();
    let (qualifier, number) = match text.split_at_checked(1) {
        Some(("<", rest)) => (Some(Qualifier::Below), rest),
        Some((">", rest)) => (Some(Qualifier::Above), rest),
        _ => (None, text),
    };
    let unit = row.analyte.unit();
    let value: f64 =
        number.trim().parse().ok().filter(|v: &f64| v.is_finite() && *v >= 0.0).with_context(|| {
            format!("`{text}` is no value: give a number in {}, such as 6.4 or <0.1", unit.id())
        })?;
    let quantity = Quantity { value, unit, qualifier, basis: row.basis };
    Ok(Decision::Correct { analyte: row.analyte, method: row.method, quantity })
}

/// The decisions that printed numbers are in this unit.
///
/// # Errors
/// A unit that is not known or leads nowhere; a reading whose own unit is printed.
pub fn in_unit(history: &History, asked: &str, keys: &[i64]) -> anyhow::Result<Read> {
    let context = vocabulary::Context { symbols: false, capitals: false };
    let unit = label::label(asked, context).unit.as_ref().map(|unit| unit.0);
    let unit =
        unit.with_context(|| format!("`{asked}` is no unit that is known: write ppm, mg/kg, lb/acre or %"))?;
    let (mut decisions, mut lessons) = (Vec::new(), Vec::new());
    for key in keys {
        let row = reading(history, *key)?;
        if !row.raw_unit.trim().is_empty() {
            bail!(
                "reading {key} has its unit printed (`{}`): give the value with `loamline settle correct {key} VALUE`",
                row.raw_unit
            );
        }
        let depth = row.depth_top_cm.zip(row.depth_bottom_cm);
        let depth = depth.map(|(top_cm, bottom_cm)| Depth { top_cm, bottom_cm });
        // Without a printed unit the number was kept as it stands, as the element.
        let Some((value, basis, doubts)) = converted(row.analyte, row.value, unit, depth) else {
            bail!("{} cannot be reckoned from {unit} without more than is printed", row.analyte.name());
        };
        if let Some(doubt) = doubts.first() {
            bail!(
                "{} Give the value in {}: `loamline settle correct {key} VALUE`.",
                doubt.sentence,
                row.analyte.unit()
            );
        }
        let quantity = Quantity { value, unit: row.analyte.unit(), qualifier: row.qualifier, basis };
        decisions.push((*key, Decision::Correct { analyte: row.analyte, method: row.method, quantity }));
        lessons.push(lesson(history, *key, Taught::Unit { analyte: row.analyte, unit: unit.to_owned() })?);
    }
    Ok((decisions, lessons))
}

/// The decisions that readings are by this method.
///
/// # Errors
/// A method that is not known.
pub fn by_method(history: &History, asked: &str, keys: &[i64]) -> anyhow::Result<Read> {
    let method = Method::from_id(asked.trim()).with_context(|| {
        let all: Vec<&str> = Method::ALL.iter().map(|m| m.id()).collect();
        format!("`{asked}` is no method; known are {}", all.join(", "))
    })?;
    let (mut decisions, mut lessons) = (Vec::new(), Vec::new());
    for key in keys {
        let row = reading(history, *key)?;
        let quantity = Quantity {
            value: row.value,
            unit: row.analyte.unit(),
            qualifier: row.qualifier,
            basis: row.basis,
        };
        decisions.push((*key, Decision::Correct { analyte: row.analyte, method, quantity }));
        lessons.push(lesson(history, *key, Taught::Method { analyte: row.analyte, method })?);
    }
    Ok((decisions, lessons))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::soil::site::WHOLE;
    use crate::soil::{Analyte, Status};

    fn row() -> ReadingRow {
        ReadingRow {
            id: 1,
            site: String::new(),
            zone: WHOLE.into(),
            client: None,
            sample_label: "a".into(),
            lab_sample: None,
            report: None,
            lab: None,
            sampled_on: None,
            received_on: None,
            reported_on: None,
            season: None,
            depth_top_cm: None,
            depth_bottom_cm: None,
            analyte: Analyte::Ph,
            method: Method::Unstated,
            value: 64.0,
            basis: None,
            qualifier: None,
            raw_value: "64".into(),
            raw_unit: String::new(),
            status: Status::Held,
            doubt: None,
            source_file: "x".into(),
            source_sha256: "y".into(),
            place: None,
        }
    }

    #[test]
    fn a_correction_is_a_plain_number_in_the_unit_of_its_analyte() {
        let Decision::Correct { quantity, .. } = correction(&row(), "<6.4").unwrap() else {
            panic!("no correction")
        };
        assert_eq!((quantity.value, quantity.qualifier), (6.4, Some(Qualifier::Below)));
        for wrong in ["six", "-1", "NaN", "", "6,4", "é"] {
            assert!(correction(&row(), wrong).is_err(), "{wrong}");
        }
    }
}
