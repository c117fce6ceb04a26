//! A long table: one result a row, its name, value, unit and method each in a column.

use super::super::atom::{Atom, is_blank};
use super::super::band::{Band, Leaf};
use super::super::below::is_under_a_limit;
use super::super::found::{Found, FoundSample};
use super::super::label::{Label, label};
use super::super::layout::{Layout, Line};
use super::super::notes::{has_methods, method_told, strange_words};
use super::super::vocabulary::{Context, Field, Form, Role};
use super::super::words::List;
use super::beside::says_nothing;
use super::reissued::Reissued;
use super::row::{Row, text_of};
use super::wide::{add_field, found};
use crate::soil::{Analyte, Doubt, OtherMeasurement, Printed, Qualifier};

/// What the row above says of its sample.
pub type Fields = Vec<(Field, String)>;

/// One result a row: the name stands in a column of its own, with unit and method beside it.
pub fn long_row(
    page: &Layout,
    row: &Row<'_>,
    band: &Band,
    issues: &Reissued,
    above: Option<&Fields>,
    context: Context,
) -> Option<FoundSample> {
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
    let mut still = None;
    let (values, sure) = match issues.unchanged(page, row) {
        Some((former, doubt)) => {
            still = doubt;
            (former, &true)
        }
        None => cell(Role::Result).map(|(_, values, sure)| (values, sure))?,
    };
    let name_text = text_of(name);
    let mut name_label: Label = label(&name_text, Context { symbols: true, ..context });
    if let Some((_, method, _)) = cell(Role::Method) {
        by_method(&mut name_label, &text_of(method), context);
    }
    // `pH` in the column of units counts no other thing than the name does.
    let own_scale = |unit: &String| {
        matches!(name_label.analyte, Some(Analyte::Ph | Analyte::BufferPh)) && unit.eq_ignore_ascii_case("pH")
    };
    let unit_text =
        cell(Role::Unit).map(|(_, unit, _)| text_of(unit)).filter(|t| !is_blank(t) && !own_scale(t));
    let mut sample =
        FoundSample { page: page.number, y: row.y, named_by_table: true, ..FoundSample::default() };
    for (heading, atoms, _) in &row.cells {
        let Some(leaf) = band.leaves.get(*heading) else { continue };
        if let Some(field) = leaf.label.field {
            add_field(&mut sample, field, leaf, &text_of(atoms));
        }
    }
    sample.named_by_table = names_itself(&sample);
    if !sample.named_by_table {
        let above = above.filter(|_| page.cells && is_blank_before_the_name(row, band))?;
        let own = |field: Field| sample.field(field).is_some();
        let taken: Vec<_> = above.iter().filter(|(field, _)| !own(*field)).cloned().collect();
        sample.fields.extend(taken);
        sample.named_by_table = names_itself(&sample);
    }
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
    if let Some(text) = &unit_text {
        counted_as_ion(&mut reading, text, context);
    }
    if !sure {
        reading.doubts.push(Doubt::new(
            "column-unsure",
            format!("It is not clear that `{}` is the result.", atom.text),
        ));
    }
    reading.doubts.extend(still);
    if let Some(sign) = sign_before(row, band) {
        qualify(&mut reading, sign);
    }
    if let Some((_, flags, _)) = cell(Role::Qualifier) {
        qualify(&mut reading, &text_of(flags));
    }
    let signed = sign_before(row, band);
    let beside =
        row.cells.iter().filter(|(_, atoms, _)| signed.is_none_or(|sign| text_of(atoms).trim() != sign));
    let beside = beside.filter(|(h, ..)| band.leaves.get(*h).is_some_and(|l| says_nothing(&l.label)));
    for (_, atoms, _) in beside {
        changed_beside(&mut reading, &text_of(atoms));
    }
    sample.readings.push(reading);
    Some(sample)
}

/// True for a row with a number in the column of results: one that cannot be read so is a result lost.
pub fn has_result(row: &Row<'_>, band: &Band) -> bool {
    let result = |h: usize| {
        band.leaves.get(h).is_some_and(|l| l.label.role == Some(Role::Result) && l.label.analyte.is_none())
    };
    row.cells.iter().any(|(h, atoms, _)| result(*h) && atoms.iter().any(|a| a.number().is_some()))
}

/// `mg/kg NH4` in the column of units: a unit that names an ion counts it, and not the element.
fn counted_as_ion(reading: &mut Found, unit: &str, context: Context) {
    let said = label(unit, Context { symbols: true, ..context });
    if said.form != Some(Form::IonOrElement) || said.unit.is_none() {
        return;
    }
    match reading.label.form {
        Some(Form::IonOrElement | Form::Ion) if said.analyte == reading.label.analyte => {
            reading.label.form = Some(Form::Ion);
        }
        _ => reading.doubts.push(Doubt::new(
            "unit-odd",
            format!("`{unit}` counts something else than the name of this result says."),
        )),
    }
}

/// `<` under a heading that nobody explains, in the column right before the results.
fn sign_before<'a>(row: &'a Row<'_>, band: &Band) -> Option<&'a str> {
    let result =
        band.leaves.iter().position(|l| l.label.role == Some(Role::Result) && l.label.analyte.is_none())?;
    let before = result.checked_sub(1)?;
    band.leaves.get(before).filter(|l| says_nothing(&l.label))?;
    let (_, atoms, _) = row.cells.iter().find(|(h, ..)| *h == before)?;
    let [sign] = atoms.as_slice() else { return None };
    Some(sign.text.trim()).filter(|s| matches!(*s, "<" | ">" | "≤" | "≥" | "<=" | ">="))
}

/// `LT` under `Operator`, `cancelled` under `Status`: what stands under a heading that nobody explains, and changes or takes
/// back the number beside it.
fn changed_beside(reading: &mut Found, text: &str) {
    let word = text.trim().to_lowercase();
    if List::Sign.has(&word) || List::Unsettled.has(&word) || is_under_a_limit(text.trim()) {
        flagged(reading, text.trim());
    }
}

/// True where between two rows of a sheet stand at most rows without a value, and none that says anything before the name
/// of what it measures.
pub fn goes_on(page: &Layout, last: usize, line: usize, band: &Band) -> bool {
    let measured = |l: &&Leaf| l.label.role == Some(Role::Analyte) && l.label.analyte.is_none();
    let Some(name) = band.leaves.iter().find(measured) else { return false };
    let lines = page.lines.get(last..=line).unwrap_or_default();
    let close = |a: &Line, b: &Line| b.area.y0 - a.area.y0 < 21.0;
    let silent = |l: &Line| l.phrases.iter().all(|p| p.area.x0 >= name.area.x0);
    lines.windows(2).all(|w| matches!(w, [a, b] if close(a, b)))
        && lines.get(1..lines.len().saturating_sub(1)).unwrap_or_default().iter().all(silent)
}

fn names_itself(sample: &FoundSample) -> bool {
    sample.field(Field::SampleLabel).is_some() || sample.field(Field::LabSample).is_some()
}

/// True for a row whose cells before the name of the measurement are empty, but for a layer or a day: cells merged down
/// over the rows of one sample, or printed in the first of them alone. Any other text there may be a name.
fn is_blank_before_the_name(row: &Row<'_>, band: &Band) -> bool {
    let measured = |l: &Leaf| l.label.role == Some(Role::Analyte) && l.label.analyte.is_none();
    let Some(name) = band.leaves.iter().position(measured) else { return false };
    let own = |field| matches!(field, Field::DepthTop | Field::DepthBottom | Field::SampledOn);
    row.loose.iter().all(|a| band.leaves.get(name).is_some_and(|l| a.area.x0 > l.area.x0))
        && row
            .cells
            .iter()
            .filter(|(h, atoms, _)| *h < name && !is_blank(&text_of(atoms)))
            .all(|(h, ..)| band.leaves.get(*h).and_then(|l| l.label.field).is_some_and(own))
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
