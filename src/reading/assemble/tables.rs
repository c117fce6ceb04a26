//! Which tables speak of one sample, and which second table holds no results.

use super::super::date::DayOrder;
use super::super::found::FoundSample;
use super::super::gather::Gathered;
use super::super::header::day;
use super::super::label::Label;
use super::super::vocabulary::Field;
use super::forms::{Forms, is_form};
use super::value::value;
use crate::soil::Doubt;
use std::collections::HashMap;

/// Samples of one name that are looked at for a form to go on with. Forms lie close together; a long table of rows
/// under one name must not take the square of its length.
const FORMS_OF_A_NAME: usize = 64;

/// Several tables of one form on a page (two side by side, a box below) speak of one sample.
pub(super) fn merge_forms(gathered: &Gathered, forms: &Forms) -> Vec<FoundSample> {
    let mut out: Vec<FoundSample> = Vec::new();
    // What is merged has the same key, so that the key of a sample never changes.
    let mut by_key: HashMap<[Option<String>; 8], Vec<usize>> = HashMap::new();
    for found in &gathered.samples {
        let key = [
            Field::SampleLabel,
            Field::LabSample,
            Field::DepthTop,
            Field::DepthBottom,
            Field::SampledOn,
            Field::Client,
            Field::Farm,
            Field::Report,
        ]
        .map(|f| value(gathered, forms, found, f).map(|text| one_day(f, text, gathered.order)));
        let named = by_key.entry(key).or_default();
        let aside = named
            .iter()
            .rev()
            .take(FORMS_OF_A_NAME)
            .copied()
            .find(|i| out.get(*i).is_some_and(|s| second_table(gathered, s, found)));
        if let Some(s) = aside.and_then(|i| out.get_mut(i)) {
            set_aside(s, found.clone());
            continue;
        }
        let same = named.iter().rev().take(FORMS_OF_A_NAME).copied().find(|i| {
            let Some(s) = out.get(*i) else { return false };
            // Rows or columns of one name go on over the page where they measure something else.
            let near = s.page == found.page
                || s.page + 1 == found.page && (!found.named_by_table || !overlap(s, found))
                // Over three sheets and more, a sheet after the other.
                || found.named_by_table && reaches(s) + 1 == found.page && !overlap(s, found);
            // Rows of a table are samples of their own even where two carry one name.
            let apart = s.page == found.page && s.x == found.x && (s.y - found.y).abs() > 0.1;
            let rows = apart && overlap(s, found) && !found.lone;
            near && !rows
        });
        match same.and_then(|i| out.get_mut(i)) {
            Some(s) => go_on(s, found),
            None => {
                named.push(out.len());
                out.push(found.clone());
            }
        }
    }
    out
}

/// A day as itself, however it is told: `1 May 2025` and `1 May 2025 Received 5` are one.
fn one_day(field: Field, text: &str, order: DayOrder) -> String {
    let told = (field == Field::SampledOn).then(|| day(text, order).0).flatten();
    told.map_or_else(|| text.to_owned(), |day| day.to_string())
}

/// The last page or sheet that holds a result of a sample.
fn reaches(found: &FoundSample) -> u32 {
    found.readings.iter().map(|r| r.place.page()).max().unwrap_or(found.page)
}

/// What a table gives a sample, or the page gives it, by which samples of one name are told apart.
pub(super) const TOLD_BY: [Field; 4] =
    [Field::LabSample, Field::DepthTop, Field::DepthBottom, Field::SampledOn];

/// A second table that names its samples and does not repeat their numbers, depths or days goes on with the first, where
/// each name stands once in either and the two measure unlike things.
pub(super) fn join_tables(gathered: &Gathered, forms: &Forms, found: Vec<FoundSample>) -> Vec<FoundSample> {
    let get = |s: &FoundSample, field| value(gathered, forms, s, field).map(str::to_lowercase);
    let named = |s: &FoundSample| {
        let name = get(s, Field::SampleLabel).filter(|name| s.named_by_table && !name.is_empty())?;
        Some((name, get(s, Field::Client), get(s, Field::Report)))
    };
    let mut by_name: HashMap<_, Vec<usize>> = HashMap::new();
    for (i, sample) in found.iter().enumerate() {
        if let Some(key) = named(sample) {
            by_name.entry(key).or_default().push(i);
        }
    }
    // The place of each sample that goes on with another.
    let mut goes_on: HashMap<usize, usize> = HashMap::new();
    for places in by_name.into_values() {
        let [a, b] = places.as_slice() else { continue };
        let (Some(first), Some(second)) = (found.get(*a), found.get(*b)) else { continue };
        let near = first.page == second.page || first.page + 1 == second.page;
        let numbered = |s: &FoundSample| get(s, Field::LabSample).is_some();
        let repeats = |more: &FoundSample, less: &FoundSample| {
            numbered(more)
                && !numbered(less)
                && TOLD_BY.iter().all(|f| get(less, *f).is_none_or(|text| get(more, *f) == Some(text)))
        };
        let one = repeats(first, second) || repeats(second, first);
        if near && one && !overlap(first, second) && !first.lone && !second.lone {
            goes_on.insert(*b, *a);
        }
    }
    let mut out: Vec<Option<FoundSample>> = found.into_iter().map(Some).collect();
    for (from, to) in goes_on {
        let more = out.get_mut(from).and_then(Option::take);
        if let (Some(more), Some(Some(kept))) = (more, out.get_mut(to)) {
            go_on(kept, &more);
        }
    }
    out.into_iter().flatten().collect()
}

/// Takes in what another table of the same sample holds.
pub(super) fn go_on(kept: &mut FoundSample, more: &FoundSample) {
    kept.readings.extend(more.readings.iter().cloned());
    kept.others.extend(more.others.iter().cloned());
    for field in &more.fields {
        if kept.field(field.0).is_none() {
            kept.fields.push(field.clone());
        }
    }
}

/// Two tables under one name that measure the same: the first holds the results, the other perhaps rates, limits or
/// means. Rows of a table are no tables, and a name that stands between two tables is of the second alone.
fn second_table(gathered: &Gathered, first: &FoundSample, second: &FoundSample) -> bool {
    let tables = is_form(first) && is_form(second) && !first.lone && !second.lone;
    let apart = first.page != second.page || (first.y - second.y).abs() > 0.1;
    let near = first.page == second.page || first.page + 1 == second.page;
    let named = first.named_by_table && second.named_by_table
        || gathered.fields.iter().filter(|f| f.field == Field::SampleLabel && f.firm).all(|f| {
            let above = f.page < first.page || f.page == first.page && f.area.y0 <= first.y + 1.0;
            let below = f.page > second.page || f.page == second.page && f.area.y0 > second.y;
            above || below
        });
    tables && apart && near && named && overlap(first, second) && holds_results(first, second)
}

/// True where the first of two tables is plainly the one with the results: it alone says how it was measured, or it is
/// the longer and the other says no more of that.
fn holds_results(first: &FoundSample, second: &FoundSample) -> bool {
    let says =
        |s: &FoundSample| s.readings.iter().any(|r| !r.label.methods.is_empty() || r.caption.is_some());
    match (says(first), says(second)) {
        (true, false) => true,
        (false, true) => false,
        _ => first.readings.len() > second.readings.len(),
    }
}

/// Joins what a second table of a sample says to the first, as a doubt.
fn set_aside(kept: &mut FoundSample, mut other: FoundSample) {
    for reading in &mut other.readings {
        reading.doubts.push(Doubt::new(
            SECOND_TABLE,
            format!("`{}` stands in a second table under this sample's name.", reading.printed),
        ));
    }
    kept.readings.extend(other.readings);
}

/// Why a number of a second table waits.
pub(super) const SECOND_TABLE: &str = "second-table";

/// True where two finds measure the same thing: then they are two samples, not two halves of one. `pH 1:1` and `pH paste`
/// are two things, as each says itself.
pub(super) fn overlap(a: &FoundSample, b: &FoundSample) -> bool {
    let unlike = |r: &Label, o: &Label| r.method().zip(o.method()).is_some_and(|(r, o)| r != o);
    let same = |r: &Label, o: &Label| r.analyte == o.analyte && !unlike(r, o);
    a.readings.iter().any(|r| b.readings.iter().any(|o| same(&r.label, &o.label)))
}

#[cfg(test)]
mod tests {
    use super::super::super::found::Found;
    use super::super::super::number::{Decimal, number};
    use super::*;
    use crate::place::Place;

    #[test]
    fn a_day_is_one_however_it_is_told() {
        let day = |text| one_day(Field::SampledOn, text, DayOrder::Unknown);
        assert_eq!(day("1 May 2025 Received 5"), day("1 May 2025"));
        assert_ne!(day("1 May 2025"), day("2 May 2025"));
        assert_eq!(one_day(Field::LabSample, "1 May 2025 b", DayOrder::Unknown), "1 May 2025 b");
    }

    #[test]
    fn a_long_table_of_one_name_takes_no_square_of_its_length() {
        let reading = |row: u32| Found {
            label: Label::default(),
            number: number("6.5", Decimal::default()).unwrap(),
            printed: "6.5".to_owned(),
            unit: None,
            place: Place::Cell { sheet: 1, row, column: 2 },
            confidence: None,
            marks: Vec::new(),
            caption: None,
            doubts: Vec::new(),
        };
        let row = |row: u16| FoundSample {
            page: 1,
            y: f32::from(row),
            fields: vec![(Field::SampleLabel, "bed".to_owned())],
            named_by_table: true,
            readings: vec![reading(u32::from(row))],
            ..FoundSample::default()
        };
        let gathered = Gathered { samples: (0..40_000).map(row).collect(), ..Gathered::default() };
        let begun = std::time::Instant::now();
        assert_eq!(
            merge_forms(&gathered, &Forms::of(&gathered)).len(),
            40_000,
            "rows of a table are samples of their own"
        );
        // A square of the length would take minutes.
        assert!(begun.elapsed() < std::time::Duration::from_secs(20));
    }
}
