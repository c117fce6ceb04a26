//! Which field of the page is a sample's: its own, else the nearest that is no other's.

use super::super::found::FoundSample;
use super::super::gather::Gathered;
use super::super::header::FieldValue;
use super::super::vocabulary::Field;
use super::forms::{Forms, order, own_form};

/// The value of a field for a sample: its own, else the nearest above on its page, else the last before, else the
/// only one in the document.
pub(super) fn value<'a>(
    gathered: &'a Gathered,
    forms: &Forms,
    found: &'a FoundSample,
    field: Field,
) -> Option<&'a str> {
    if let Some(own) = found.field(field) {
        return Some(own);
    }
    if found.named_by_table && matches!(field, Field::SampleLabel | Field::LabSample) {
        return None;
    }
    // In a table with a day for each sample a blank is no day of another.
    let dated = |s: &FoundSample| s.named_by_table && s.field(Field::SampledOn).is_some();
    let any_dated = || *gathered.dated_by_table.get_or_init(|| gathered.samples.iter().any(dated));
    if field == Field::SampledOn && found.named_by_table && any_dated() {
        return None;
    }
    let all: Vec<&FieldValue> = gathered.fields.iter().filter(|f| f.field == field).collect();
    let firm: Vec<&FieldValue> = all.iter().copied().filter(|f| f.firm).collect();
    let mut candidates = if firm.is_empty() { all } else { firm };
    if matches!(field, Field::SampledOn | Field::LabSample) {
        own_form(forms, found, &mut candidates);
    }
    let above = candidates.iter().rev().find(|f| f.page == found.page && f.area.y0 <= found.y + 1.0);
    if matches!(field, Field::SampleLabel | Field::LabSample)
        && let Some(name) = named_beside(gathered, forms, found, field, above.map_or(0.0, |f| f.area.y0))
    {
        return name;
    }
    let above = above.map(|last| beside(&candidates, last, found));
    let on_page = candidates.iter().find(|f| f.page == found.page);
    let before = candidates.iter().rev().find(|f| f.page < found.page);
    // Where several forms name their samples, the name of the next form is not this one's.
    if field == Field::SampleLabel
        && above.or(before).is_none()
        && candidates.iter().any(|f| candidates.first().is_some_and(|first| first.text != f.text))
    {
        return None;
    }
    above.or(on_page).or(before).or(candidates.first()).map(|f| f.text.as_str())
}

/// A table of the same form whose own heading names the sample, below any name that a field gives: its name counts for
/// the tables beside and below it; none where it names several. `None` without such a table.
fn named_beside<'a>(
    gathered: &'a Gathered,
    forms: &Forms,
    found: &FoundSample,
    field: Field,
    below: f32,
) -> Option<Option<&'a str>> {
    let end = forms.headed.partition_point(|(at, _)| order(at, &(found.page, found.y + 1.0)).is_le());
    let (last, _) = *forms.headed.get(end.checked_sub(1)?)?;
    if last.0 != found.page || last.1 <= below {
        return None;
    }
    let beside = forms.headed.get(..end).unwrap_or_default().iter().rev().take_while(|(at, _)| *at == last);
    let mut names: Vec<Option<&str>> =
        beside.filter_map(|(_, i)| gathered.samples.get(*i)).map(|s| s.field(field)).collect();
    names.dedup();
    Some(if let [one] = names.as_slice() { *one } else { None })
}

/// Of fields of one kind on one line, over forms that stand side by side, the first from the form's left edge on.
fn beside<'a, 'b>(
    candidates: &'b [&'a FieldValue],
    last: &'b &'a FieldValue,
    found: &FoundSample,
) -> &'b &'a FieldValue {
    candidates
        .iter()
        .filter(|f| f.page == last.page && (f.area.y0 - last.area.y0).abs() < 3.0)
        .filter(|f| !found.named_by_table && f.area.x0 > found.x - 12.0)
        .min_by(|a, b| a.area.x0.total_cmp(&b.area.x0))
        .unwrap_or(last)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_form_never_takes_the_name_of_the_next() {
        let name = |text: &str, y: f32| FieldValue {
            field: Field::SampleLabel,
            text: text.to_owned(),
            page: 1,
            area: crate::place::Rect::new(0.0, y, 50.0, y + 10.0),
            firm: true,
        };
        let two = Gathered { fields: vec![name("Moss", 300.0), name("Fern", 600.0)], ..Gathered::default() };
        let found = FoundSample { page: 1, y: 100.0, ..FoundSample::default() };
        assert_eq!(value(&two, &Forms::of(&two), &found, Field::SampleLabel), None);
        let one = Gathered { fields: vec![name("Moss", 300.0)], ..Gathered::default() };
        assert_eq!(value(&one, &Forms::of(&one), &found, Field::SampleLabel), Some("Moss"));
    }
}
