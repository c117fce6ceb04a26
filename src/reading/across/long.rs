//! A long table: one result a row, its name, value, unit and method each in a column.

use super::super::atom::{Atom, is_blank};
use super::super::band::{Band, Leaf};
use super::super::below::is_under_a_limit;
use super::super::found::{Found, FoundSample};
use super::super::label::{Label, label};
use super::super::layout::Layout;
use super::super::notes::{has_methods, method_told, strange_words};
use super::super::vocabulary::{Context, Field, Role};
use super::row::{Row, text_of};
use super::wide::{add_field, found};
use crate::soil::{Doubt, OtherMeasurement, Printed, Qualifier};

/// One result a row: the name stands in a column of its own, with unit and method beside it.
pub fn long_row(page: &Layout, row: &Row<'_>, band: &Band, context: Context) -> Option<FoundSample> {
    let cell = |role| {
        row.cells.iter().find(|(h, ..)| {
            band.leaves.get(*h).is_some_and(|l| {
                l.label.role == Some(role) && l.label.analyte.is_none() && l.label.field.is_none()
            })
        })
    };
    // `Test code | Test description`: of several columns of names the one that is understood.
    let names = row.cells.iter().filter(|(h, ..)| {
        band.leaves.get(*h).is_some_and(|l| {
            l.label.role == Some(Role::Analyte) && l.label.analyte.is_none() && l.label.field.is_none()
        })
    });
    let understood = |atoms: &[&Atom]| {
        let said = label(&text_of(atoms), Context { symbols: true, ..context });
        (said.is_result() || said.other, said.unknown.is_empty(), said.methods.len())
    };
    let (_, name, _) = names.rev().max_by_key(|(_, atoms, _)| understood(atoms))?;
    let (_, values, sure) = cell(Role::Result)?;
    let name_text = text_of(name);
    let mut name_label: Label = label(&name_text, Context { symbols: true, ..context });
    if let Some((_, method, _)) = cell(Role::Method) {
        by_method(&mut name_label, &text_of(method), context);
    }
    let unit_text = cell(Role::Unit).map(|(_, unit, _)| text_of(unit)).filter(|t| !is_blank(t));
    let mut sample =
        FoundSample { page: page.number, y: row.y, named_by_table: true, ..FoundSample::default() };
    for (heading, atoms, _) in &row.cells {
        let Some(leaf) = band.leaves.get(*heading) else { continue };
        if let Some(field) = leaf.label.field {
            add_field(&mut sample, field, leaf, &text_of(atoms));
        }
    }
    sample.named_by_table =
        sample.field(Field::SampleLabel).is_some() || sample.field(Field::LabSample).is_some();
    if !sample.named_by_table {
        return None;
    }
    let atom = values.iter().find(|a| a.number().is_some());
    if !name_label.is_result() {
        if name_label.other || name_label.analyte.is_none() {
            sample.others.extend(atom.and_then(|a| {
                Some(OtherMeasurement {
                    name: name_text.clone(),
                    printed: Printed { value: a.text.clone(), unit: unit_text.clone().unwrap_or_default() },
                    place: a.place()?,
                })
            }));
        }
        return Some(sample);
    }
    let Some(atom) = atom else { return Some(sample) };
    let leaf = Leaf {
        area: atom.area,
        text: name_text,
        label: name_label,
        marks: name.iter().flat_map(|a| a.marks.clone()).collect(),
    };
    let mut reading = found(&leaf, atom, unit_text.as_deref())?;
    if let Some(text) = &unit_text
        && reading.unit.is_none()
    {
        reading.doubts.push(Doubt::new("unit-unknown", format!("The unit `{text}` is not known.")));
    }
    if !sure {
        reading.doubts.push(Doubt::new(
            "column-unsure",
            format!("It is not clear that `{}` is the result.", atom.text),
        ));
    }
    if let Some((_, flags, _)) = cell(Role::Qualifier) {
        qualify(&mut reading, &text_of(flags));
    }
    sample.readings.push(reading);
    Some(sample)
}

/// What the cell of a column of methods tells of a result. Words in it that nothing explains leave the result unsure, where
/// its own name does not say how it was measured and there is more than one way.
fn by_method(name: &mut Label, cell: &str, context: Context) {
    let Some(analyte) = name.analyte else { return };
    let told = method_told(cell, analyte, context);
    if told.is_empty() && name.methods.is_empty() && has_methods(analyte) {
        name.unknown.extend(strange_words(cell, context));
    }
    name.methods.extend(told);
}

/// A qualifier in a column of its own: `<` and `>` belong to the number, any other flag needs a look.
pub fn qualify(reading: &mut Found, flag: &str) {
    let said = match flag.trim() {
        "" | "=" => return,
        "<" | "≤" | "<=" => Qualifier::Below,
        ">" | "≥" | ">=" => Qualifier::Above,
        // A limit that is printed with its sign, and the code of the trade for what was not found above it.
        code if is_under_a_limit(code) && reading.number.qualifier == Some(Qualifier::Below) => return,
        code if is_under_a_limit(code) => {
            flagged(reading, code);
            return;
        }
        text if is_blank(text) => return,
        text => {
            flagged(reading, text);
            return;
        }
    };
    if reading.number.qualifier.is_none() {
        reading.number.qualifier = Some(said);
    } else if reading.number.qualifier != Some(said) {
        reading.doubts.push(Doubt::new(
            "flagged",
            format!("`{}` and its flag `{flag}` say different things.", reading.printed),
        ));
    }
}

fn flagged(reading: &mut Found, flag: &str) {
    let sentence = format!("The laboratory flags `{}` with `{flag}`.", reading.printed);
    reading.doubts.push(Doubt::new("flagged", sentence));
}
