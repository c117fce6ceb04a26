//! Whether what stands for a sample's name is one, whole and alone.

use super::super::header::leading_field;
use super::super::vocabulary::{Context, Field};
use super::super::words::List;

pub(super) fn clean(text: &str) -> String {
    text.trim().trim_matches(['.', ',', ';', ':']).trim().to_owned()
}

/// A name out of a picture counts only where it looks like one: capital or digit first, no stray signs, and no
/// method's words.
pub(super) fn clean_name(label: &str) -> bool {
    let first = label.chars().next().is_some_and(|c| c.is_uppercase() || c.is_ascii_digit());
    let plain = label.chars().all(|c| {
        c.is_alphanumeric() || matches!(c, ' ' | '.' | ',' | '\'' | '&' | '/' | '(' | ')' | '#' | '-')
    });
    // A footnote's mark is taken for a quotation mark: then this is the heading of a column.
    let last = label.chars().next_back().is_some_and(|c| c.is_alphanumeric() || matches!(c, ')' | '#'));
    first
        && last
        && plain
        && super::super::label::label(label, Context { symbols: false, capitals: false }).methods.is_empty()
}

/// True where a figure follows a letter within a word, or a capital a small letter: recognition loses the space of
/// `B 4` and `Meadow S`, and `B4` is another place.
pub(super) fn space_lost(label: &str) -> bool {
    label.chars().zip(label.chars().skip(1)).any(|(one, next)| {
        one.is_alphabetic() && next.is_ascii_digit() || one.is_lowercase() && next.is_uppercase()
    })
}

/// `14526 14527`: the numbers of two samples set close together are neither's.
pub(super) fn several_numbers(text: &str) -> bool {
    let mut words = text.split(' ');
    let long = |w: &str| w.len() >= 4 && w.chars().all(|c| c.is_ascii_digit());
    text.contains(' ') && words.all(long)
}

/// `North 40 1 6.0 6.8 33`: a name that ran into the numbers behind it.
pub(super) fn holds_values(label: &str) -> bool {
    let numbers: Vec<&str> = label
        .split(' ')
        .filter(|w| {
            w.starts_with(|c: char| c.is_ascii_digit())
                && w.chars().all(|c| c.is_ascii_digit() || matches!(c, '.' | ','))
        })
        .collect();
    numbers.len() > 1 && numbers.iter().any(|w| w.contains(['.', ',']))
        || !numbers.is_empty() && counts_area(label)
}

/// `Lawn area 4,200 sq ft`: a name and the size of it.
fn counts_area(label: &str) -> bool {
    let lower = label.to_lowercase();
    ["sq ft", "sq. ft", "square feet", "ft2", "sq m", "square metres", "m2"]
        .iter()
        .any(|unit| lower.ends_with(unit))
}

/// `Vegetable beds (our number 2231)`: the number in brackets is the laboratory's.
pub(super) fn without_number_note(label: &str) -> String {
    match label.split_once('(') {
        Some((name, note))
            if note.to_lowercase().contains("number") || note.to_lowercase().contains("no.") =>
        {
            name.trim().to_owned()
        }
        _ => label.to_owned(),
    }
}

/// `Plot 4 ref BG311`, `Long border lab no. 4471`: a name, and behind it the number that a word for one asks for.
pub(super) fn name_and_number(label: &str) -> Option<(String, String)> {
    let context = Context { symbols: false, capitals: false };
    // In brackets as well.
    let bare = label.replace(['(', ')'], "");
    let words: Vec<&str> = bare.split(' ').collect();
    let (number, before) = words.split_last()?;
    let asks = |words: &[&str]| {
        let asked = leading_field(&words.join(" "), context)
            .is_some_and(|(field, rest, _)| field == Field::LabSample && rest.is_empty());
        asked
            || matches!(words, [word] if List::Reference.has(&word.trim_end_matches(['.', ':']).to_lowercase()))
    };
    let start = (1..before.len()).find(|i| before.get(*i..).is_some_and(asks))?;
    let name = before.get(..start)?.join(" ");
    let name = name.trim_end_matches([',', ';', '-', ' ']).to_owned();
    let numbered = number.chars().filter(char::is_ascii_digit).count() > 1;
    (numbered && name.contains(char::is_alphabetic)).then(|| (name, (*number).to_owned()))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_name_whose_space_may_be_lost_is_seen() {
        assert!(space_lost("B4") && space_lost("MeadowS") && space_lost("HayLower"));
        assert!(clean_name("Sam's Lawn") && !clean_name("Result'"));
        assert!(!space_lost("B 4") && !space_lost("Meadow S") && !space_lost("NORTH LAWN"));
    }

    #[test]
    fn a_number_behind_a_name_is_no_part_of_it() {
        let parted = |label: &str| name_and_number(label).map(|(name, number)| format!("{name}|{number}"));
        assert_eq!(parted("Plot 4 ref BG311").as_deref(), Some("Plot 4|BG311"));
        assert_eq!(parted("Long border, lab no. 4471").as_deref(), Some("Long border|4471"));
        assert_eq!(parted("Long border (ref. HM/12)").as_deref(), Some("Long border|HM/12"));
        for whole in ["Ref 12", "Plot 4", "Reference plot 12", "Lab 4471", "Long border ref"] {
            assert_eq!(parted(whole), None, "{whole}");
        }
    }

    #[test]
    fn a_name_that_ran_into_values_is_seen() {
        assert!(holds_values("Lawn area 4,200 sq ft") && !holds_values("North 40 acres"));
        assert!(holds_values("North 40 1 6.0 6.8 33") && holds_values("Front 3 1,04"));
        assert!(several_numbers("14526 14527") && !several_numbers("14526") && !several_numbers("A 14526"));
        assert!(!holds_values("North 40 3") && !holds_values("Plot 3.1") && !holds_values("12 Mill Lane"));
    }
}
