//! Results printed as "not detected": the limit beside them is the value, where the report says which limit is meant.

use super::atom::Atom;
use super::fold::pieces;
use super::found::Found;
use super::label::label;
use super::number::{Decimal, PrintedNumber, number};
use super::vocabulary::{Context, Meaning, hits_where};
use crate::soil::Qualifier;
use regex::Regex;
use std::sync::LazyLock;

/// A column of limits in a certificate.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Limit {
    /// Limit of reporting or quantitation.
    Reporting,
    /// Limit of detection.
    Detection,
}

/// What a cell without a number says of a limit.
#[derive(Debug, Clone, PartialEq)]
pub enum Below {
    /// The value is less than this number.
    Limit(PrintedNumber),
    /// Less than one of two printed limits, and nothing tells which.
    Either(PrintedNumber, PrintedNumber),
}

macro_rules! pattern {
    ($name:ident, $text:literal) => {
        static $name: LazyLock<Option<Regex>> = LazyLock::new(|| Regex::new($text).ok());
    };
}

pattern!(
    REPORTING,
    r"(?i)^(?:rl|mrl|lor|loq|pql|reporting limit|report limit|rep\. limit|limit of (?:reporting|quantitation|quantification)|quantitation limit|practical quantitation limit|bestimmungsgrenze|lq|ldq|limite de quantification|limite di quantificazione|límite de cuantificación)$"
);
pattern!(
    DETECTION,
    r"(?i)^(?:mdl|dl|lod|det\. limit|(?:method )?detection limit|limit of detection|nachweisgrenze|limite de détection|límite de detección)$"
);
pattern!(
    LEGEND,
    r#"(?i)\b(?:n[./]?d\.?|b\.?d\.?)"?\s*(?:[:=,-]|\s)\s*(?:means |is |stands for )?(?:(?:not|none|non)[ -]detect\w*|below (?:the )?(?:limit of )?detection(?: limit)?)(?:,? (?:at|above|below|over|at or above)(?: the)?(?: \w+)? (reporting|detection|quantitation|quantification) limit)?"#
);
pattern!(NOT_DETECTED, r"(?i)^(?:n[./]?d\.?|b\.?d\.?|not detected|below detection)$");
pattern!(UNDER_REPORTING, r"(?i)^(?:<\s*(?:rl|mrl|lor|loq|pql)|brl|bql)$");
pattern!(UNDER_DETECTION, r"(?i)^(?:<\s*(?:mdl|dl|lod)|bdl)$");

pattern!(
    TOLD,
    r#"(?i)\bn[./]?d\.?"?\s*[:=,-]?\s*(?:means |is |stands for )?(?:not|none|non)[ -]detect\w*,?\s+(?:at |that is,? |i\.e\.,? )?(?:below|less than|under|<)\s*([0-9]+(?:[.,][0-9]+)?)\s*(\S+?)\s+for\s+([^.;]+)"#
);

pattern!(
    LIMIT_FOR,
    r"(?i)\b(?:reporting|detection|quantitation|quantification) limits?\s+(?:for|of)\s+([^.;:=]{1,40}?)\s*(?:\bis\b|\bare\b|\bwas\b|[:=])\s*([0-9]+(?:[.,][0-9]+)?)\s*(\S+)"
);

pattern!(
    LIMITS,
    r"(?im)\b(?:reporting|detection|quantitation|quantification) limits?\s*(?:\(([^)\n]{1,20})\)|in (\S{1,20}?))?\s*(?:are\b|[:=])\s*([^\n]+)$"
);
pattern!(LIMIT_IN_LIST, r"^\s*(.*?[^\s0-9.,:=])\s*[:=]?\s+([0-9]+(?:[.,][0-9]+)?)\s*(\D\S*)?\s*\.?\s*$");

/// `Detection limits (mg/kg): P 1, K 2, Zn 0.5`: name, limit and unit of each, up to the first that is no limit.
fn listed(text: &str) -> Vec<(String, String, String)> {
    let (Some(lists), Some(one)) = (LIMITS.as_ref(), LIMIT_IN_LIST.as_ref()) else { return Vec::new() };
    let of_list = |list: regex::Captures<'_>| {
        let common = list.get(1).or(list.get(2)).map_or("", |m| m.as_str()).to_owned();
        let items = list.get(3).map_or("", |m| m.as_str()).replace(" and ", ", ").replace(';', ", ");
        let items: Vec<String> = items.split(", ").map(str::to_owned).collect();
        items
            .into_iter()
            .map_while(|item| {
                let said = one.captures(&item)?;
                let own = said.get(3).map_or(common.as_str(), |m| m.as_str());
                Some((said.get(1)?.as_str().to_owned(), said.get(2)?.as_str().to_owned(), own.to_owned()))
            })
            .collect::<Vec<_>>()
    };
    lists.captures_iter(text).flat_map(of_list).collect()
}

/// True for a mark that may stand for "not detected", or for "not determined".
pub fn is_not_detected(cell: &Atom) -> bool {
    is_mark_of_none(&cell.text)
}

/// True for a text that is such a mark.
pub fn is_mark_of_none(text: &str) -> bool {
    is(&NOT_DETECTED, text)
}

/// True for a flag that tells of a result below a limit, whichever: `ND`, `<RL`, `BDL`, and the `U` of environmental
/// laboratories (common practice, no source).
pub fn is_under_a_limit(flag: &str) -> bool {
    [&NOT_DETECTED, &UNDER_REPORTING, &UNDER_DETECTION].into_iter().any(|p| is(p, flag)) || flag == "U"
}

/// The limit that a sentence gives for what was not detected of a measurement, in the unit it is counted in:
/// `ND: not detected, below 0.2 ppm for boron and zinc`, `n/d = not detected; reporting limit for boron is 0.2 ppm`.
/// Where two unlike limits are told of one measurement, neither is its value.
pub fn told(text: &str, found: &Found, decimal: Decimal) -> Option<PrintedNumber> {
    let context = Context { symbols: true, capitals: false };
    let limit = |figure: &str, unit: &str, names: &str| {
        let unit = label(unit.trim_end_matches(['.', ',', ';', ')']), context).unit.as_ref()?.0;
        let words = pieces(names);
        let named = hits_where(
            &words,
            context,
            &|m| matches!(m, Meaning::Analyte(analyte, ..) if Some(*analyte) == found.label.analyte),
        );
        let own = found.unit.as_ref().is_some_and(|own| own.0 == unit);
        let limit = number(figure, decimal).filter(|_| own && !named.is_empty())?;
        Some(PrintedNumber { qualifier: Some(Qualifier::Below), ..limit })
    };
    let told = TOLD
        .as_ref()?
        .captures_iter(text)
        .filter_map(|said| limit(said.get(1)?.as_str(), said.get(2)?.as_str(), said.get(3)?.as_str()));
    let legend = LEGEND.as_ref()?.is_match(text);
    let limits = LIMIT_FOR
        .as_ref()?
        .captures_iter(text)
        .filter(|_| legend)
        .filter_map(|said| limit(said.get(2)?.as_str(), said.get(3)?.as_str(), said.get(1)?.as_str()));
    let lists = listed(text).into_iter().filter(|_| legend);
    let lists = lists.filter_map(|(names, figure, unit)| limit(&figure, &unit, &names));
    let mut all = told.chain(limits).chain(lists);
    let first = all.next()?;
    all.all(|other| other.value == first.value).then_some(first)
}

fn is(pattern: &LazyLock<Option<Regex>>, text: &str) -> bool {
    pattern.as_ref().is_some_and(|r| r.is_match(text.trim()))
}

/// The limit that a column's heading names.
pub fn limit_of(heading: &str) -> Option<Limit> {
    if is(&REPORTING, heading) {
        Some(Limit::Reporting)
    } else if is(&DETECTION, heading) {
        Some(Limit::Detection)
    } else {
        None
    }
}

/// What a cell such as `ND` or `<RL` says, from the limits of its row and the words of the report. "ND" without a
/// legend may be "not determined", and then says nothing.
pub fn below(cell: &Atom, limits: &[(Limit, &Atom)], text: &str, decimal: Decimal) -> Option<Below> {
    let of = |wanted: Limit| {
        limits
            .iter()
            .find(|(l, _)| *l == wanted)
            .and_then(|(_, a)| number(&a.text, decimal))
            .map(|n| PrintedNumber { qualifier: Some(Qualifier::Below), ..n })
    };
    if is(&UNDER_REPORTING, &cell.text) {
        return of(Limit::Reporting).map(Below::Limit);
    }
    if is(&UNDER_DETECTION, &cell.text) {
        return of(Limit::Detection).map(Below::Limit);
    }
    if !is(&NOT_DETECTED, &cell.text) {
        return None;
    }
    let legend = LEGEND.as_ref()?.captures(text)?;
    match legend.get(1).map(|m| m.as_str().to_lowercase()) {
        Some(word) if word == "detection" => of(Limit::Detection).map(Below::Limit),
        Some(_) => of(Limit::Reporting).map(Below::Limit),
        None => match (of(Limit::Reporting), of(Limit::Detection)) {
            (Some(a), Some(b)) => Some(Below::Either(a, b)),
            (one, other) => one.or(other).map(Below::Limit),
        },
    }
}

#[cfg(test)]
mod tests {
    use super::super::atom::atoms;
    use super::super::layout::{layout, tests::typed};
    use super::*;

    fn of(cell: &str, text: &str) -> Option<Below> {
        let page = layout(&typed(&[&format!("{cell}    0.20    0.05")]));
        let cells = atoms(&page.lines[0], Decimal::Point);
        below(
            &cells[0],
            &[(Limit::Reporting, &cells[1]), (Limit::Detection, &cells[2])],
            text,
            Decimal::Point,
        )
    }

    #[test]
    fn not_detected_is_the_limit_only_where_the_report_says_so() {
        let value = |b: Option<Below>| match b {
            Some(Below::Limit(n)) => Some((n.value, n.qualifier)),
            _ => None,
        };
        let under = Some(Qualifier::Below);
        assert_eq!(value(of("ND", "ND: not detected at the reporting limit.")), Some((0.2, under)));
        assert_eq!(
            value(of("ND", "ND = none detected above the method detection limit")),
            Some((0.05, under))
        );
        assert_eq!(value(of("<MDL", "")), Some((0.05, under)));
        assert_eq!(of("ND", "ND means not determined."), None);
        assert_eq!(of("ND", ""), None);
        assert!(matches!(of("ND", "ND = not detected"), Some(Below::Either(..))));
    }

    #[test]
    fn limits_are_known_by_their_heading() {
        assert_eq!(limit_of("Reporting Limit"), Some(Limit::Reporting));
        assert_eq!(limit_of("MDL"), Some(Limit::Detection));
        assert_eq!(limit_of("Upper limit"), None);
    }
}
