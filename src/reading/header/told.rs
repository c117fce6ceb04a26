//! A name, and the depth and the day behind it.

use super::super::date::{DayOrder, date};
use super::super::label::year_of;
use super::super::layout::Phrase;
use super::super::words::List;
use super::leading::leading_field;
use super::plausible::{is_depth, is_size, plausible};
use super::{Context, Field, FieldValue, Layout};

/// `Sample: North lawn, 0 to 6 inches, taken 3 May 2023`: the name, and what stands behind it where that is a depth and a
/// day and nothing else. Empty where nothing of that kind stands there.
pub(super) fn told_behind_a_name(page: &Layout, phrase: &Phrase, context: Context) -> Vec<FieldValue> {
    let Some((Field::SampleLabel, rest, true)) = leading_field(&phrase.text(), context) else {
        return Vec::new();
    };
    // `2,400 sq ft` is how large it is, in one figure.
    if is_size(&rest) {
        return Vec::new();
    }
    let make = |field, text: &str| FieldValue {
        field,
        text: text.to_owned(),
        page: page.number,
        area: phrase.area,
        firm: true,
    };
    let mut parts = rest.split([',', ';']).map(str::trim).peekable();
    let Some(name) = parts.next().filter(|name| plausible(Field::SampleLabel, name, true)) else {
        return Vec::new();
    };
    let mut out = vec![make(Field::SampleLabel, name)];
    while let Some(part) = parts.next() {
        // `May 3, 2023` is one day.
        let year = parts.peek().filter(|next| year_of(next).is_some());
        let whole = year.map(|year| format!("{part}, {year}"));
        let day = |text: &str| {
            let text = without(text, List::BeforeDay);
            date(&text, DayOrder::Unknown).is_some().then_some(text)
        };
        let layer = without(part, List::BeforeDepth);
        if let Some(text) = whole.as_deref().and_then(day) {
            out.push(make(Field::SampledOn, &text));
            parts.next();
        } else if let Some(text) = day(part) {
            out.push(make(Field::SampledOn, &text));
        } else if is_depth(&layer) {
            out.push(make(Field::DepthTop, &layer));
        } else {
            return Vec::new();
        }
    }
    if out.len() > 1 { out } else { Vec::new() }
}

/// A text without the words of a list in front of it.
fn without(text: &str, list: List) -> String {
    let words = text.split(' ').skip_while(|w| list.has(&w.to_lowercase()));
    words.collect::<Vec<_>>().join(" ")
}
