//! A name, and the depth and the day behind it.

use super::super::date::{DayOrder, date};
use super::super::label::year_of;
use super::super::layout::Phrase;
use super::super::words::List;
use super::leading::leading_field;
use super::plausible::{is_depth, is_size, plausible};
use super::{Context, Field, FieldValue, Layout};

/// `Sample: North lawn, 0 to 6 inches, taken 3 May 2023`: the name, or the day of sampling, and what stands behind it where
/// that is a depth and a day and nothing else. Empty where nothing of that kind stands there.
pub(super) fn told_behind_a_name(page: &Layout, phrase: &Phrase, context: Context) -> Vec<FieldValue> {
    let Some((field, rest, true)) = leading_field(&phrase.text(), context) else { return Vec::new() };
    let make = |field, text: &str| FieldValue {
        field,
        text: text.to_owned(),
        page: page.number,
        area: phrase.area,
        firm: true,
    };
    let parts = parts_told(&rest);
    let Some((first, behind)) = parts.split_first() else { return Vec::new() };
    // `2,400 sq ft` is how large it is, in one figure.
    let opens = match field {
        Field::SampleLabel => !is_size(&rest) && plausible(field, first, true),
        // `Sampled: 14 May 2021, depth 0-40 cm`.
        Field::SampledOn => day_told(first).is_some(),
        _ => false,
    };
    if !opens {
        return Vec::new();
    }
    let mut out = vec![make(field, first)];
    for part in behind {
        if let Some(day) = day_told(part).filter(|_| field == Field::SampleLabel) {
            out.push(make(Field::SampledOn, &day));
        } else if let Some(layer) = layer_told(part) {
            out.push(make(Field::DepthTop, &layer));
        } else if let Some((told, day)) = day_of_another_kind(part).filter(|_| field == Field::SampleLabel) {
            out.push(make(told, &day));
        } else {
            return Vec::new();
        }
    }
    if out.len() > 1 { out } else { Vec::new() }
}

/// What commas and semicolons part; `May 3, 2023` is one day.
pub(super) fn parts_told(text: &str) -> Vec<String> {
    let mut out: Vec<String> = Vec::new();
    for part in text.split([',', ';']).map(str::trim).filter(|part| !part.is_empty()) {
        let year = year_of(part).is_some();
        match out.last_mut() {
            Some(before) if year && date(&format!("{before}, {part}"), DayOrder::Unknown).is_some() => {
                *before = format!("{before}, {part}");
            }
            _ => out.push(part.to_owned()),
        }
    }
    out
}

/// The day in a part that holds nothing else but words for taking a sample.
pub(super) fn day_told(part: &str) -> Option<String> {
    let text = without(part, List::BeforeDay);
    let weekday = |w: &&str| {
        let three: String = w.to_lowercase().chars().take(3).collect();
        matches!(three.as_str(), "mon" | "tue" | "wed" | "thu" | "fri" | "sat" | "sun")
    };
    let first = text.split(' ').find(|w| !weekday(w)).unwrap_or_default();
    // `limed 14 April 2023` tells of something else.
    let plain = first.starts_with(|c: char| c.is_ascii_digit())
        || date(&format!("{first} 1, 2001"), DayOrder::Unknown).is_some()
        || date(&format!("{first} 2001"), DayOrder::Unknown).is_some();
    (plain && date(&text, DayOrder::Unknown).is_some()).then_some(text)
}

/// `received April 15, 2025`: a day that a field of its own asks for.
fn day_of_another_kind(part: &str) -> Option<(Field, String)> {
    let (field, rest, _) = leading_field(part, Context { symbols: false, capitals: false })?;
    let day = matches!(field, Field::ReceivedOn | Field::ReportedOn | Field::Handled);
    day_told(&rest).filter(|_| day).map(|day| (field, day))
}

/// The layer in a part that holds nothing else but words for one.
pub(super) fn layer_told(part: &str) -> Option<String> {
    let text = without(part, List::BeforeDepth);
    is_depth(&text).then_some(text)
}

/// A text without the words of a list in front of it.
fn without(text: &str, list: List) -> String {
    let words = text.split(' ').skip_while(|w| list.has(&w.to_lowercase()));
    words.collect::<Vec<_>>().join(" ")
}
