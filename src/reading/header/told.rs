//! A name, and the depth and the day behind it.

use super::super::date::{DayOrder, date};
use super::super::label::year_of;
use super::super::layout::Phrase;
use super::super::words::List;
use super::leading::leading_field;
use super::plausible::{is_depth, is_size, plausible};
use super::{Context, Field, FieldValue, Layout};
use regex::Regex;
use std::sync::LazyLock;

/// `Sample: North lawn, 0 to 6 inches, taken 3 May 2023`: the name, or the day of sampling, and what stands behind it where
/// that is a depth and a day and nothing else. Empty where nothing of that kind stands there.
pub(super) fn told_behind_a_name(page: &Layout, phrase: &Phrase, context: Context) -> Vec<FieldValue> {
    let Some((field, rest, true)) = leading_field(phrase.text(), context) else { return Vec::new() };
    let make = |field, text: &str| FieldValue {
        field,
        text: text.to_owned(),
        page: page.number,
        area: phrase.area,
        firm: true,
    };
    let strokes = if field == Field::SampleLabel { parts_by_strokes(&rest) } else { Vec::new() };
    if strokes.len() > 1 {
        return told_by_strokes(&strokes, make);
    }
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

/// A layer from one figure to another, or down to one, with its unit and nothing else.
static WHOLE_LAYER: LazyLock<Option<Regex>> = LazyLock::new(|| {
    Regex::new(
        r"(?i)^[0-9]+(?:[.,][0-9]+)?\s*(?:(?:-|to)\s*[0-9]+(?:[.,][0-9]+)?\s*)?(?:cm|mm|inches|inch|in)\.?$",
    )
    .ok()
});

/// `in 21 Feb 2022, out 2 Mar 2022`: two or more days, each behind the word that tells it, and nothing else.
pub(super) fn days_in_a_row(page: &Layout, phrase: &Phrase) -> Vec<FieldValue> {
    let parts = parts_told(phrase.text());
    let days: Option<Vec<(Field, String)>> = parts.iter().map(|part| day_of_another_kind(part)).collect();
    let mut days = days.unwrap_or_default();
    days.dedup_by_key(|(field, _)| *field);
    if days.len() < 2 || days.len() != parts.len() {
        return Vec::new();
    }
    let make = |(field, text)| FieldValue { field, text, page: page.number, area: phrase.area, firm: true };
    days.into_iter().map(make).collect()
}

/// What strokes between words part; `0 - 4 in` is one layer.
pub(super) fn parts_by_strokes(text: &str) -> Vec<String> {
    let words: Vec<&str> = text.split(' ').filter(|w| !w.is_empty()).collect();
    let figure = |at: Option<usize>, last: bool| {
        let word = at.and_then(|i| words.get(i)).copied().unwrap_or_default();
        if last {
            word.ends_with(|c: char| c.is_ascii_digit())
        } else {
            word.starts_with(|c: char| c.is_ascii_digit())
        }
    };
    let mut out: Vec<Vec<&str>> = vec![Vec::new()];
    for (i, word) in words.iter().enumerate() {
        let stroke = matches!(*word, "-" | "|" | "·" | "•" | "–" | "—");
        let range = *word == "-" && figure(i.checked_sub(1), true) && figure(Some(i + 1), false);
        match out.last_mut() {
            Some(part) if !stroke || range => part.push(*word),
            _ => out.push(Vec::new()),
        }
    }
    out.into_iter().filter(|p| !p.is_empty()).map(|p| p.join(" ")).collect()
}

/// `Soccer field - depth 0-4 in - bermudagrass`: the name, and behind it a layer or a day, besides them at most what grows
/// there. Empty where anything else stands among them.
fn told_by_strokes(parts: &[String], make: impl Fn(Field, &str) -> FieldValue) -> Vec<FieldValue> {
    let Some((name, behind)) = parts.split_first() else { return Vec::new() };
    let mut out = vec![make(Field::SampleLabel, name)];
    let whole = |layer: &String| WHOLE_LAYER.as_ref().is_some_and(|r| r.is_match(layer));
    for part in behind {
        if let Some(day) = day_told(part) {
            out.push(make(Field::SampledOn, &day));
        } else if let Some(layer) = layer_told(part).filter(whole) {
            out.push(make(Field::DepthTop, &layer));
        } else if !List::Crop.has(&part.to_lowercase()) {
            return Vec::new();
        }
    }
    let plain = plausible(Field::SampleLabel, name, true) && name.contains(char::is_alphabetic);
    let mut fields: Vec<Field> = out.iter().map(|f| f.field).collect();
    fields.dedup();
    if plain && out.len() > 1 && fields.len() == out.len() { out } else { Vec::new() }
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
    // `came 13 May 2024; answered 17 May 2024`.
    let (word, day) = part.split_once(' ').unwrap_or_default();
    let word = word.to_lowercase();
    let lists = [(List::AskedReceived, Field::ReceivedOn), (List::AskedReported, Field::ReportedOn)];
    if let Some((_, field)) = lists.into_iter().find(|(list, _)| list.has(&word)) {
        return day_told(day).map(|day| (field, day));
    }
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
    let words = text.split(' ').skip_while(|w| list.has(w.to_lowercase().trim_end_matches(':')));
    words.collect::<Vec<_>>().join(" ")
}

#[cfg(test)]
mod tests {
    use super::super::super::layout::{layout, tests::typed};
    use super::super::fields;
    use super::*;

    #[test]
    fn days_that_a_word_tells_stand_behind_a_name() {
        let line = "Sample: Rose border, 0-15 cm, taken 10 May 2024; came 13 May 2024; answered 17 May 2024";
        let page = layout(&typed(&[line]));
        let found = fields(&page, &[], Context { symbols: false, capitals: false });
        let has = |field, text: &str| found.iter().any(|f| f.field == field && f.text == text);
        assert!(has(Field::SampleLabel, "Rose border") && has(Field::DepthTop, "0-15 cm"), "{found:?}");
        assert!(has(Field::SampledOn, "10 May 2024"), "{found:?}");
        assert!(has(Field::ReceivedOn, "13 May 2024") && has(Field::ReportedOn, "17 May 2024"), "{found:?}");
    }

    #[test]
    fn days_in_a_row_are_each_behind_their_word() {
        let of = |line: &str| -> Vec<(Field, String)> {
            let page = layout(&typed(&[line]));
            let found = fields(&page, &[], Context { symbols: false, capitals: false });
            found.into_iter().map(|f| (f.field, f.text)).collect()
        };
        let days =
            [(Field::ReceivedOn, "21 Feb 2022".to_owned()), (Field::ReportedOn, "2 Mar 2022".to_owned())];
        assert_eq!(of("in 21 Feb 2022, out 2 Mar 2022"), days);
        assert_eq!(of("in 21 Feb 2022, limed 2 Mar 2022"), []);
    }

    #[test]
    fn strokes_part_a_name_from_the_layer_and_what_grows_there() {
        let of = |line: &str| -> Vec<(Field, String)> {
            let page = layout(&typed(&[line]));
            let found = fields(&page, &[], Context { symbols: false, capitals: false });
            found.into_iter().map(|f| (f.field, f.text)).collect()
        };
        let own = |name: &str| (Field::SampleLabel, name.to_owned());
        let layer = |text: &str| (Field::DepthTop, text.to_owned());
        for line in [
            "Sample: Soccer field - depth 0-4 in - bermudagrass",
            "Sample: Soccer field | 0-4 in",
            "Sample: Soccer field | tall fescue | 0-4 in",
        ] {
            assert_eq!(of(line), [own("Soccer field"), layer("0-4 in")], "{line}");
        }
        assert_eq!(of("Sample: Moss - 0 - 4 in"), [own("Moss"), layer("0 - 4 in")]);
        for whole in ["Moss - north end - 0-4 in", "Compost - 3 old", "Moss - bermudagrass"] {
            assert_eq!(of(&format!("Sample: {whole}")), [own(whole)], "{whole}");
        }
    }
}
