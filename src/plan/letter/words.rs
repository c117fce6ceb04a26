//! Words of the letter: plain, without ids, safe in HTML.

use super::super::outcome::short;
use crate::soil::{Analyte, Unit};

/// Text for HTML; control characters are dropped.
pub(super) fn text(raw: &str) -> String {
    let mut safe = String::new();
    for c in raw.chars() {
        match c {
            '&' => safe.push_str("&amp;"),
            '<' => safe.push_str("&lt;"),
            '>' => safe.push_str("&gt;"),
            '"' => safe.push_str("&quot;"),
            '\'' => safe.push_str("&#39;"),
            c if c.is_control() => safe.push(' '),
            c => safe.push(c),
        }
    }
    safe
}

/// The drawing without what stands before it in a file of its own.
pub(super) fn svg_alone(svg: &str) -> &str {
    svg.find("<svg").and_then(|at| svg.get(at..)).unwrap_or_default()
}

/// A zone before a sentence; nothing where the site has only one.
pub(super) fn of_zone(zone: &str) -> String {
    if zone == crate::soil::site::WHOLE { String::new() } else { format!("{zone}: ") }
}

/// A value without idle zeros.
pub(super) fn short_value(value: f64) -> String {
    let said = short(value);
    match said.contains('.') {
        true => said.trim_end_matches('0').trim_end_matches('.').to_owned(),
        false => said,
    }
}

/// A unit in words, with a space before it; empty for a plain number.
pub(super) fn unit(unit: Unit) -> String {
    match unit {
        Unit::One => String::new(),
        Unit::MgPerKg => " parts per million".to_owned(),
        Unit::Percent => " percent".to_owned(),
        unit => format!(" {}", unit.suffix()),
    }
}

/// An analyte as a client reads it.
pub(super) fn name(analyte: Analyte) -> String {
    match analyte {
        Analyte::Ph => "pH (sour or limy)".to_owned(),
        Analyte::SolubleSalts => "Salt content".to_owned(),
        Analyte::SatNa => "Sodium, share of the nutrient store".to_owned(),
        other => upper(other.name().split(" (").next().unwrap_or_default()),
    }
}

fn upper(name: &str) -> String {
    let mut letters = name.chars();
    match letters.next() {
        Some(first) if !letters.clone().next().is_some_and(char::is_uppercase) => {
            first.to_uppercase().chain(letters).collect()
        }
        _ => name.to_owned(),
    }
}

/// Cut at a word where a text is longer than the sheet has room for.
pub(super) fn cut(said: &str, most: usize) -> String {
    if said.chars().count() <= most {
        return said.to_owned();
    }
    let head: String = said.chars().take(most).collect();
    let end = head.rfind(' ').unwrap_or(head.len());
    format!("{} ...", head.get(..end).unwrap_or_default().trim_end_matches([',', ';', ':']))
}

/// What a client need not read: names of settings end a question.
pub(super) fn plain_question(question: &str, ask: &str) -> String {
    let cut = [" Once settled, set ", ": set ", " Settle it "];
    let end = cut.iter().filter_map(|mark| question.find(mark)).min().unwrap_or(question.len());
    let said = question.get(..end).unwrap_or(question).trim_end_matches(['.', ':']);
    let stop = if said.ends_with('?') { "" } else { "." };
    format!("{}{stop} (We ask {ask}.)", without_ids(said))
}

/// Ids of methods and sources in brackets are left out, and the canonical unit is said in words.
pub(super) fn without_ids(said: &str) -> String {
    let mut plain = String::new();
    let mut rest = said;
    while let Some(open) = rest.find('(') {
        let Some(close) = rest.get(open..).and_then(|tail| tail.find(')')).map(|at| open + at) else { break };
        let inside = rest.get(open + 1..close).unwrap_or_default();
        let before = rest.get(..open).unwrap_or_default();
        let is_id = inside.contains('-')
            && !inside.contains(' ')
            && inside.chars().all(|c| c.is_ascii_lowercase() || c.is_ascii_digit() || "-:.".contains(c))
            || crate::soil::Method::from_id(inside).is_some();
        if is_id {
            plain.push_str(before.trim_end());
        } else {
            plain.push_str(before);
            plain.push('(');
            plain.push_str(inside);
            plain.push(')');
        }
        rest = rest.get(close + 1..).unwrap_or_default();
    }
    plain.push_str(rest);
    plain.replace("mg/kg", "parts per million")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_client_reads_no_ids() {
        assert_eq!(
            without_ids("Phosphorus (P) 60 mg/kg (mehlich-3) in 2023 (class high): fine (va-dcr-lawn)."),
            "Phosphorus (P) 60 parts per million in 2023 (class high): fine."
        );
        assert_eq!(
            plain_question("Which grass grows here? It differs: set species.", "you"),
            "Which grass grows here? It differs. (We ask you.)"
        );
        assert_eq!(text("<b>&\u{1b}"), "&lt;b&gt;&amp; ");
        assert_eq!(svg_alone("<?xml?>\n<svg/>"), "<svg/>");
    }

    #[test]
    fn a_long_text_ends_at_a_word() {
        assert_eq!(cut("one two three", 9), "one two ...");
        assert_eq!(cut("one two", 9), "one two");
    }
}
