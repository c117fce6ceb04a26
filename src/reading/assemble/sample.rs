//! One sample of a report out of what was found of it: name, days, depth, readings, and what is unsure.

use super::super::found::FoundSample;
use super::super::gather::Gathered;
use super::super::header::{day, depth, ends_with_a_heading, names_a_part, reads_like_a_heading};
use super::super::normalise::{Around, normalise};
use super::super::units::{Rule, conversion};
use super::super::vocabulary::Field;
use super::forms::Forms;
use super::name::{
    clean, clean_name, holds_values, name_and_number, several_numbers, space_lost, without_number_note,
};
use super::twice::{add_reading, in_another_unit, method_left_open, two_samples_in_one, without_repeats};
use super::value::value;
use crate::soil::{Analyte, Doubt, Method, Reading, Sample};

/// True where a neighbour is counted in a solution, or the table's title names the paste: milligrams a litre there are
/// not of soil.
fn dissolved(found: &FoundSample) -> bool {
    found.readings.iter().any(|r| {
        let solution = r.unit.as_ref().zip(r.label.analyte).is_some_and(|(unit, analyte)| {
            conversion(unit.0, analyte.unit()).is_some_and(|c| c.rule == Rule::Solution)
        });
        solution || r.caption == Some(Method::SaturatedPaste)
    })
}

/// True where no other sample of that name reaches to another depth.
fn alone_of_its_name(gathered: &Gathered, found: &FoundSample) -> bool {
    let name = found.field(Field::SampleLabel);
    let other = |s: &&FoundSample| {
        s.field(Field::SampleLabel) == name && s.field(Field::DepthBottom) != found.field(Field::DepthBottom)
    };
    !gathered.samples.iter().any(|s| other(&s))
}

/// `0-300` with the unit that a sentence of the report gives to its depths.
fn with_unit_said(edge: &str, unit: Option<&str>) -> String {
    let bare = edge.starts_with(|c: char| c.is_ascii_digit())
        && !edge.contains(|c: char| c.is_alphabetic() || c == '"');
    match unit {
        Some(unit) if bare => format!("{} {unit}", edge.trim_end()),
        _ => edge.to_owned(),
    }
}

/// True where this sample and another of its name have layers of their own, of which this one's is not understood.
fn of_unknown_layer(gathered: &Gathered, found: &FoundSample) -> bool {
    let layer = |s: &FoundSample| {
        [Field::DepthTop, Field::DepthBottom].map(|edge| s.field(edge).map(|t| clean(t).to_owned()))
    };
    let own = layer(found);
    let name = found.field(Field::SampleLabel).filter(|name| !name.is_empty());
    name.is_some()
        && own.iter().flatten().any(|text| text.contains(|c: char| c.is_ascii_digit()))
        && gathered.samples.iter().any(|s| s.field(Field::SampleLabel) == name && layer(s) != own)
}

pub(super) fn sample(gathered: &Gathered, forms: &Forms, found: &FoundSample) -> Sample {
    let get = |field| value(gathered, forms, found, field).map(clean).filter(|t| !t.is_empty());
    let edge = |field| get(field).map(|text| with_unit_said(&text, gathered.depth_unit));
    let printed = (edge(Field::DepthTop), edge(Field::DepthBottom));
    let depth = match &printed {
        (Some(top), bottom) => depth(top, bottom.as_deref(), gathered.inches_spoken),
        // From the surface down, where no other layer of that name may lie above it.
        (None, Some(bottom)) if alone_of_its_name(gathered, found) => {
            depth(bottom, None, gathered.inches_spoken)
        }
        _ => None,
    };
    let (sampled_on, sampled_year) = get(Field::SampledOn).map_or((None, None), |t| day(&t, gathered.order));
    let year = sampled_year.or_else(|| {
        [Field::ReceivedOn, Field::ReportedOn, Field::Handled]
            .into_iter()
            .find_map(|f| get(f).and_then(|t| day(&t, gathered.order).1))
    });
    let two_ph = found.readings.iter().filter(|r| r.label.analyte == Some(Analyte::Ph)).count() > 1;
    let notes = gathered.sheet_notes.get(&found.page).unwrap_or(&gathered.notes);
    let around = Around { notes, depth, two_ph, dissolved: dissolved(found) };
    let mut readings: Vec<Reading> = Vec::new();
    for raw in &found.readings {
        if let Some(reading) = normalise(raw, around) {
            add_reading(&mut readings, reading, depth);
        }
    }
    in_another_unit(&mut readings);
    two_samples_in_one(&mut readings);
    let mut readings = without_repeats(readings);
    method_left_open(&mut readings);
    // A word that asks for a name is none.
    let label = get(Field::SampleLabel)
        .map(|l| without_number_note(&l))
        .filter(|l| !super::super::across::asks_for_a_name(l))
        .unwrap_or_default();
    let (label, number_behind) =
        name_and_number(&label).map_or((label, None), |(name, number)| (name, Some(number)));
    let mut doubts = Vec::new();
    if label.is_empty() {
        doubts.push(Doubt::new("sample-unnamed", "The report does not name this sample."));
    }
    if holds_values(&label) {
        doubts.push(Doubt::new(
            "sample-unnamed",
            format!("`{label}` seems to hold values of the columns beside the name."),
        ));
    }
    if names_a_part(&label) || reads_like_a_heading(&label) || ends_with_a_heading(&label) {
        doubts.push(Doubt::new(
            "sample-unnamed",
            format!(
                "`{label}` reads like the title or the heading of a table, and no other name stands by it."
            ),
        ));
    }
    if found.readings.iter().any(|r| r.confidence.is_some()) && (!clean_name(&label) || space_lost(&label)) {
        doubts.push(Doubt::new(
            "sample-name-unsure",
            format!("The sample's name `{label}` was read from a picture and is not sure."),
        ));
    }
    if let Some((number, title)) = gathered.beside_numbers.iter().find(|(number, _)| *number == label) {
        doubts.push(Doubt::new(
            "sample-name-unsure",
            format!("`{number}` may be the laboratory's number, and `{title}` beside it the sample's name."),
        ));
    }
    if depth.is_none() && of_unknown_layer(gathered, found) {
        doubts.push(Doubt::new(
            "depth-unsure",
            format!(
                "Samples of `{label}` have several layers, and how deep this one lies is not understood."
            ),
        ));
    }
    let mut unsure = |field: Field, reason: &str, what: &str| {
        if let Some(text) = value(gathered, forms, found, field)
            && gathered.unsure_of(text)
        {
            let sentence = format!("{what} `{}` was read from a picture and is not sure.", clean(text));
            if doubts.iter().all(|d: &Doubt| d.reason != reason) {
                doubts.push(Doubt::new(reason, sentence));
            }
        }
    };
    unsure(Field::SampleLabel, "sample-name-unsure", "The sample's name");
    unsure(Field::Client, "client-unsure", "The client's name");
    unsure(Field::DepthTop, "depth-unsure", "The depth");
    unsure(Field::DepthBottom, "depth-unsure", "The depth");
    let dated = [Field::SampledOn, Field::ReceivedOn, Field::ReportedOn];
    if let Some(field) = dated.into_iter().find(|field| get(*field).is_some()) {
        unsure(field, "date-unsure", "The date");
    }
    Sample {
        label,
        // A table's own number before one behind the name, and that before one somewhere on the page.
        lab_number: found
            .field(Field::LabSample)
            .map(clean)
            .filter(|text| !text.is_empty())
            .or(number_behind)
            .or_else(|| get(Field::LabSample))
            .filter(|text| !gathered.unsure_of(text) && !several_numbers(text)),
        sampled_on,
        year,
        depth,
        readings,
        others: found.others.clone(),
        nitrogen: Vec::new(),
        doubts,
    }
}
