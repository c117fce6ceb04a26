//! One row, one sample: its fields, and a result under each heading that names a measurement.

use super::super::atom::{Atom, Kind};
use super::super::band::{Band, Leaf};
use super::super::below::is_not_detected;
use super::super::found::{Found, FoundSample};
use super::super::label::label;
use super::super::layout::Layout;
use super::super::number::{Decimal, PrintedNumber, first_of_several};
use super::super::vocabulary::{Context, Field};
use super::names::{name_goes_on, number_apart, own_cell, takes_values, without_blanks};
use super::row::{Row, text_of};
use crate::soil::{Doubt, OtherMeasurement, Printed};

pub(super) fn wide_row(page: &Layout, row: &Row<'_>, band: &Band, decimal: Decimal) -> Option<FoundSample> {
    let mut sample =
        FoundSample { page: page.number, y: row.y, named_by_table: true, ..FoundSample::default() };
    for (heading, atoms, sure) in &row.cells {
        let Some(leaf) = band.leaves.get(*heading) else { continue };
        if let Some(field) = leaf.label.field.filter(|_| leaf.label.analyte.is_none()) {
            add_field(&mut sample, field, leaf, &text_of(&own_cell(page, field, atoms)));
        } else if leaf.label.is_result() {
            sample.readings.extend(result(leaf, atoms, *sure, page.em, decimal));
            sample.undetected.extend(undetected(leaf, atoms).filter(|_| *sure));
        } else if half_understood(leaf, band) {
            sample.readings.extend(result(leaf, atoms, *sure, page.em, decimal).map(several_named));
        } else if leaf.label.other && !leaf.label.decoy {
            sample.others.extend(other(leaf, atoms));
        }
    }
    number_apart(&mut sample, row, band);
    name_goes_on(&mut sample, row, band, page);
    if !page.cells && takes_values(row, band, decimal) {
        sample.fields.retain(|(field, _)| *field != Field::SampleLabel);
    }
    // Without a heading of its own the leftmost text is the name.
    if sample.field(Field::SampleLabel).is_none()
        && let Some(name) = row.loose.iter().find(|a| matches!(a.kind, Kind::Text))
        && band.leaves.first().is_some_and(|l| name.area.x0 < l.area.x0)
    {
        sample.fields.push((Field::SampleLabel, name.text.clone()));
    }
    // A name that was not sure enough to be taken is this row's all the same: no other is.
    let asked = row.cells.iter().any(|(h, atoms, _)| {
        let asks = band.leaves.get(*h).and_then(|l| l.label.field.filter(|_| l.label.analyte.is_none()));
        matches!(asks, Some(Field::SampleLabel | Field::LabSample))
            && !super::super::atom::is_blank(&text_of(atoms))
    });
    sample.named_by_table = asked || sample.field(Field::SampleLabel).is_some();
    let enough = if band.results() > 2 { 2 } else { 1 };
    (sample.readings.len() >= enough || (!sample.readings.is_empty() && !sample.fields.is_empty()))
        .then_some(sample)
}

/// True for a heading that names several measurements, the first of which has no column of its own: its numbers are not
/// to be lost.
fn half_understood(leaf: &Leaf, band: &Band) -> bool {
    let own = |l: &Leaf| l.label.is_result() && l.label.analyte == leaf.label.analyte;
    leaf.label.names_several() && !band.leaves.iter().any(own)
}

fn several_named(mut reading: Found) -> Found {
    let doubt = Doubt::new("name-not-understood", "The heading over this result names several measurements.");
    reading.doubts.push(doubt);
    reading
}

/// So long no code of a horizon is.
const HORIZON: usize = 6;

/// Depth headings name the unit (`Depth (in)`); it goes along with the text.
pub(super) fn add_field(sample: &mut FoundSample, field: Field, leaf: &Leaf, text: &str) {
    // `Ap`, `Bw`, `Bt1` under `Horizon` are no depths.
    let edge = matches!(field, Field::DepthTop | Field::DepthBottom);
    let code = text.starts_with(|c: char| c.is_ascii_uppercase()) && !text.contains(' ');
    let figures = text.chars().filter(char::is_ascii_digit).count();
    if edge && code && text.chars().count() < HORIZON && figures < 2 {
        return;
    }
    let text = match field {
        Field::DepthTop | Field::DepthBottom if !text.chars().any(char::is_alphabetic) => {
            format!("{text} {}", super::super::header::depth_unit(&leaf.text).unwrap_or_default())
        }
        _ => text.to_owned(),
    };
    // A column of numbers headed `Lab` names no laboratory.
    let field = match field {
        Field::Lab if text.contains(|c: char| c.is_ascii_digit()) => Field::LabSample,
        field => field,
    };
    let text = match field {
        Field::SampleLabel | Field::LabSample => without_blanks(&text).to_owned(),
        _ => text.trim().to_owned(),
    };
    if text.is_empty() || super::super::atom::is_blank(&text) {
        return;
    }
    match sample.fields.iter_mut().find(|(f, _)| *f == field) {
        // "Field | Sample ID": both are names; the column that says sample or name is the sample's own.
        Some((_, kept)) if field == Field::SampleLabel => {
            let own = leaf.text.to_lowercase();
            if own.contains("sample") || own.contains("name") || own.contains("description") {
                *kept = text;
            }
        }
        Some(_) => {}
        None => sample.fields.push((field, text)),
    }
}

/// `ND` alone in the cell of a result.
fn undetected(leaf: &Leaf, atoms: &[&Atom]) -> Option<Found> {
    let [atom] = atoms else { return None };
    let none = PrintedNumber { value: 0.0, qualifier: None, decimals: 0, rating: None, odd: None };
    is_not_detected(atom).then_some(())?;
    found(leaf, &Atom { kind: Kind::Number(none), ..(*atom).clone() }, None)
}

fn result(leaf: &Leaf, atoms: &[&Atom], sure: bool, em: f32, decimal: Decimal) -> Option<Found> {
    let numbers: Vec<&&Atom> = atoms.iter().filter(|a| a.number().is_some()).collect();
    if let ([], [cell]) = (numbers.as_slice(), atoms) {
        // `17/10`, which may be a number of the laboratory's elsewhere.
        let number = first_of_several(&cell.text, decimal)?;
        return found(leaf, &Atom { kind: Kind::Number(number), ..(*cell).clone() }, None);
    }
    let [atom] = numbers.as_slice() else {
        // Two numbers in one column of one row cannot both be the value.
        let first = numbers.first()?;
        let mut found = found(leaf, first, None)?;
        let all = numbers.iter().map(|a| a.text.as_str()).collect::<Vec<_>>().join(" and ");
        let mut doubt = Doubt::new(
            "two-in-a-column",
            format!("Under `{}` stand {all}; only one can be the value.", leaf.text),
        );
        doubt.alternatives = numbers.iter().map(|a| a.text.clone()).collect();
        found.doubts.push(doubt);
        return Some(found);
    };
    let unit = atoms.iter().find(|a| matches!(a.kind, Kind::Text) && a.area.x0 - atom.area.x1 < 2.0 * em);
    let mut found = found(leaf, atom, unit.map(|a| a.text.as_str()))?;
    if !sure {
        found.doubts.push(Doubt::new(
            "column-unsure",
            format!(
                "It is not clear that `{}` belongs under `{}`; a heading beside it has no value.",
                atom.text, leaf.text
            ),
        ));
    }
    Some(found)
}

pub(super) fn found(leaf: &Leaf, atom: &Atom, beside: Option<&str>) -> Option<Found> {
    let unit = leaf.label.unit.clone().or_else(|| {
        beside.and_then(|text| label(text, Context { symbols: false, capitals: false }).unit.clone())
    });
    Some(Found {
        label: leaf.label.clone(),
        number: atom.number()?.clone(),
        printed: atom.text.clone(),
        unit,
        place: atom.place()?,
        confidence: atom.confidence(),
        marks: leaf.marks.iter().chain(&atom.marks).cloned().collect(),
        caption: None,
        doubts: Vec::new(),
    })
}

fn other(leaf: &Leaf, atoms: &[&Atom]) -> Option<OtherMeasurement> {
    let atom = atoms.iter().find(|a| a.number().is_some())?;
    let unit = leaf.label.unit.as_ref().map(|u| u.1.clone()).unwrap_or_default();
    Some(OtherMeasurement {
        name: leaf.text.clone(),
        printed: Printed { value: atom.text.clone(), unit },
        place: atom.place()?,
    })
}
