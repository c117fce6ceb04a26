//! A printed number to a value: below or above the range, thousands, decimal comma, not detected, glued ratings.

use super::fold::folded;
use crate::soil::Qualifier;
use regex::Regex;
use std::sync::LazyLock;

/// How a document writes decimals; decided once for the whole document, never per cell.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Decimal {
    /// `6.3` and `1,234`.
    #[default]
    Point,
    /// `6,3` and `1.234`.
    Comma,
    /// Both readings survive: numbers with a mark are in doubt.
    Unclear,
}

/// A number as read from print.
#[derive(Debug, Clone, PartialEq)]
pub struct PrintedNumber {
    /// The number in the printed unit.
    pub value: f64,
    /// Below or above.
    pub qualifier: Option<Qualifier>,
    /// Digits after the decimal mark.
    pub decimals: usize,
    /// A rating letter that stood beside the number in the same text.
    pub rating: Option<String>,
    /// A mark that only a footnote explains, or another reason to look.
    pub odd: Option<&'static str>,
}

/// Said of a number with a footnote sign.
pub const MARK: &str = "a mark stands beside the number";

/// Said of several numbers in the place of one.
const SEVERAL: &str = "numbers with a slash between stand in the place of one";

// Digits are those from 0 to 9: a digit of another script would be matched and then passed over.
static PLAIN: LazyLock<Option<Regex>> = LazyLock::new(|| {
    Regex::new(r"^(?P<q>[<>≤≥]|<=|>=)?\s*(?P<n>[0-9]{1,3}(?:[ ,.][0-9]{3})+(?:[.,][0-9]+)?|[0-9]*[.,]?[0-9]+[.,]?)(?P<e>[eE][+-]?[0-9]{1,2})?(?P<plus>\+)?(?P<star>\*{1,3}|†|‡)?$").ok()
});
static RATED: LazyLock<Option<Regex>> = LazyLock::new(|| {
    Regex::new(r"^(?:(?P<a>VL|L|ML|M|MH|H|VH|EH|O|Opt|E|S|D)\s+)?(?P<n>[<>≤≥]?\s*[0-9.,]+)(?:\s+(?P<b>VL|L|ML|M|MH|H|VH|EH|O|Opt|E|S|D|Low|Medium|High|Very [Ll]ow|Very [Hh]igh|Optimum|Adequate|Sufficient|Deficient|Excessive)[+-]?)$").ok()
});
static RATED_BEFORE: LazyLock<Option<Regex>> =
    LazyLock::new(|| Regex::new(r"^(?P<a>VL|L|ML|M|MH|H|VH|EH|O|Opt|E)\s+(?P<n>[<>≤≥]?\s*[0-9.,]+)$").ok());
static GLUED: LazyLock<Option<Regex>> =
    LazyLock::new(|| Regex::new(r"^(?P<n>[<>≤≥]?\s*[0-9][0-9.,]*)(?P<b>VL|L|ML|M|MH|H|VH|EH)[+-]?$").ok());
static RANGE: LazyLock<Option<Regex>> =
    LazyLock::new(|| Regex::new(r"^[0-9.,]+\s*(?:-|to|bis|à|a)\s*[0-9.,]+$").ok());

/// `6.0 - 7.0`, `1-8`, `30 to 55`: never a result.
pub fn is_range(text: &str) -> bool {
    let text = folded(text);
    let figure = |c: char| c.is_ascii_digit() || matches!(c, '.' | ',');
    // Most texts open or end otherwise.
    if !text.starts_with(figure) || !text.ends_with(figure) {
        return false;
    }
    RANGE.as_ref().is_some_and(|r| r.is_match(&text))
}

/// Reads a printed number; none where the text is no number.
pub fn number(text: &str, decimal: Decimal) -> Option<PrintedNumber> {
    let text = folded(text);
    // Most texts are words or bare numbers: they need no closer look.
    if !text.contains(|c: char| c.is_ascii_digit()) || text.contains(FOREIGN) {
        return None;
    }
    if let Some(found) = bare(&text, decimal) {
        return Some(found);
    }
    if !may_open_a_number(&text) {
        return None;
    }
    if let Some(found) = plain(&text, decimal) {
        return Some(found);
    }
    let with_rating = |regex: &LazyLock<Option<Regex>>, group: &str| -> Option<PrintedNumber> {
        let captures = regex.as_ref()?.captures(&text)?;
        let mut found = plain(captures.name("n")?.as_str().trim(), decimal)?;
        found.rating = captures.name(group).map(|m| m.as_str().to_owned());
        Some(found)
    };
    with_rating(&RATED, "b").or_else(|| with_rating(&RATED_BEFORE, "a")).or_else(|| {
        let mut found = with_rating(&GLUED, "b")?;
        found.odd = Some("a letter is glued to the number");
        Some(found)
    })
}

/// Letters of the longest short rating: `Opt`.
const LONGEST_RATING: usize = 3;

/// True for a text that opens with a figure or a sign of one, or with a word no longer than a rating: the patterns of
/// numbers, which are dearer, take no other.
fn may_open_a_number(text: &str) -> bool {
    match text.bytes().next() {
        Some(first) if first.is_ascii_alphabetic() => text.find(' ').is_some_and(|end| end <= LONGEST_RATING),
        _ => true,
    }
}

/// `6.3 / 6.1`: the first of several numbers with slashes between, which is in doubt; none for any other text.
pub fn first_of_several(text: &str, decimal: Decimal) -> Option<PrintedNumber> {
    let mut parts = text.contains('/').then_some(text)?.split('/').map(|part| number(part.trim(), decimal));
    let first = parts.next()??;
    parts.all(|part| part.is_some()).then_some(PrintedNumber { odd: Some(SEVERAL), rating: None, ..first })
}

/// Signs that stand in no number, whatever stands beside it.
const FOREIGN: [char; 7] = ['/', ':', '(', ')', '%', ';', '#'];

/// Figures with one point at most, in a document that writes decimals so: what [`plain`] says of them, without its
/// pattern.
fn bare(text: &str, decimal: Decimal) -> Option<PrintedNumber> {
    let (whole, fraction) = text.split_once('.').unwrap_or((text, ""));
    let figures = |part: &str| part.bytes().all(|b| b.is_ascii_digit());
    if decimal != Decimal::Point || !figures(whole) || !figures(fraction) {
        return None;
    }
    let value: f64 = text.parse().ok()?;
    let decimals = fraction.len();
    value.is_finite().then_some(PrintedNumber { value, qualifier: None, decimals, rating: None, odd: None })
}

fn plain(text: &str, decimal: Decimal) -> Option<PrintedNumber> {
    let captures = PLAIN.as_ref()?.captures(text)?;
    let digits = captures.name("n")?.as_str();
    let mut odd = captures.name("star").map(|_| MARK);
    let (value, decimals) = digits_to_number(digits, decimal, &mut odd)?;
    let exponent: i32 = match captures.name("e") {
        Some(e) => e.as_str().get(1..)?.parse().ok()?,
        None => 0,
    };
    let value = value * 10f64.powi(exponent);
    let qualifier = match captures.name("q").map(|m| m.as_str()) {
        Some("<" | "≤" | "<=") => Some(Qualifier::Below),
        Some(_) => Some(Qualifier::Above),
        None if captures.name("plus").is_some() => Some(Qualifier::Above),
        None => None,
    };
    value.is_finite().then_some(PrintedNumber { value, qualifier, decimals, rating: None, odd })
}

fn digits_to_number(digits: &str, decimal: Decimal, odd: &mut Option<&'static str>) -> Option<(f64, usize)> {
    let marks: Vec<char> = digits.chars().filter(|c| !c.is_ascii_digit()).collect();
    let (point, thousands) = match decimal {
        Decimal::Point => ('.', ','),
        Decimal::Comma => (',', '.'),
        Decimal::Unclear => {
            if marks.iter().any(|c| matches!(c, '.' | ',')) {
                *odd = Some("the decimal mark of this document is not clear");
            }
            // No thousands end in one or two digits.
            let decimal = digits.split_once(',').is_some_and(|(_, rest)| rest.len() != 3 && marks.len() == 1);
            if decimal { (',', '.') } else { ('.', ',') }
        }
    };
    let points = marks.iter().filter(|c| **c == point).count();
    if points > 1 {
        return None;
    }
    let (whole, fraction) = match digits.split_once(point) {
        Some((whole, fraction)) => (whole, fraction),
        None => (digits, ""),
    };
    if fraction.chars().any(|c| !c.is_ascii_digit()) {
        return None;
    }
    if whole.contains(thousands) || whole.contains(' ') {
        let mut groups = whole.split([thousands, ' ']);
        let first = groups.next()?;
        if first.is_empty() || first.len() > 3 || groups.any(|g| g.len() != 3) {
            return None;
        }
    }
    let clean: String = whole.chars().filter(char::is_ascii_digit).collect();
    let number = format!(
        "{}.{}",
        if clean.is_empty() { "0" } else { &clean },
        if fraction.is_empty() { "0" } else { fraction }
    );
    Some((number.parse().ok()?, fraction.len()))
}

/// Decides how a document writes decimals from all its number-like texts: those that stand by themselves first, and
/// only where these tell nothing those within sentences, which may be quoted from elsewhere.
pub fn decide_decimal<'a>(
    alone: impl Iterator<Item = &'a str>,
    talk: impl Iterator<Item = &'a str>,
) -> Decimal {
    match evidence(alone) {
        (0, 0) => decide(evidence(talk)),
        told => decide(told),
    }
}

/// So many figures behind a mark tell a place on the globe, and no result: programs write these with a point whatever
/// the language.
const COORDINATE: usize = 5;

/// How many texts write decimals with a comma, and how many with a point.
///
/// A comma document shows commas with other than three digits behind them (or points with three) and never a
/// point followed by one or two digits; where both marks look like decimals, or nothing tells, see [`Decimal`].
fn evidence<'a>(texts: impl Iterator<Item = &'a str>) -> (usize, usize) {
    let (mut comma, mut point) = (0usize, 0usize);
    for text in texts {
        let text = text.trim_start_matches(['<', '>', '≤', '≥', ' ']).trim_end_matches([',', '.', ';']);
        if text.is_empty() || !text.chars().all(|c| c.is_ascii_digit() || matches!(c, '.' | ',')) {
            continue;
        }
        let single = |mark: char| {
            text.split_once(mark).is_some_and(|(a, b)| {
                !b.is_empty()
                    && b.len() != 3
                    && b.len() < COORDINATE
                    && a.len() <= 6
                    && b.chars().all(|c| c.is_ascii_digit())
                    && !a.contains(mark)
            })
        };
        let (has_comma, has_point) = (text.contains(','), text.contains('.'));
        match (has_comma, has_point) {
            (true, true) => {
                if text.rfind(',') > text.rfind('.') {
                    comma += 1;
                } else {
                    point += 1;
                }
            }
            (true, false) if single(',') => comma += 1,
            (false, true) if single('.') => point += 1,
            // A zero before the mark cannot be thousands.
            (true, false) if text.starts_with("0,") => comma += 1,
            (false, true) if text.starts_with("0.") => point += 1,
            _ => {}
        }
    }
    (comma, point)
}

fn decide(told: (usize, usize)) -> Decimal {
    match told {
        (0, _) => Decimal::Point,
        (_, 0) => Decimal::Comma,
        // A stray list such as `1,2` among many decimals does not turn a document over.
        (c, p) if p >= 8 * c => Decimal::Point,
        (c, p) if c >= 8 * p => Decimal::Comma,
        _ => Decimal::Unclear,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn value(text: &str) -> Option<(f64, Option<Qualifier>)> {
        number(text, Decimal::Point).map(|n| (n.value, n.qualifier))
    }

    #[test]
    fn plain_numbers_thousands_and_limits() {
        assert_eq!(value("6.5"), Some((6.5, None)));
        assert_eq!(value(".4"), Some((0.4, None)));
        assert_eq!(value("7."), Some((7.0, None)));
        assert_eq!(value("1,773"), Some((1773.0, None)));
        assert_eq!(value("1 234"), Some((1234.0, None)));
        assert_eq!(value("< 0.5"), Some((0.5, Some(Qualifier::Below))));
        assert_eq!(value("100+"), Some((100.0, Some(Qualifier::Above))));
        assert_eq!(value("1.2E+3"), Some((1200.0, None)));
    }

    #[test]
    fn bare_figures_are_what_the_pattern_makes_of_them() {
        for text in ["6", "6.5", ".4", "7.", "0012", "1.234", "100000", "1.2.3", ".", "6,5", "1e5"] {
            let short = bare(text, Decimal::Point);
            if let Some(found) = &short {
                assert_eq!(Some(found), plain(text, Decimal::Point).as_ref(), "{text}");
            }
            assert_eq!(short.is_some(), !matches!(text, "1.2.3" | "." | "6,5" | "1e5"), "{text}");
            assert_eq!(bare(text, Decimal::Comma), None);
        }
    }

    #[test]
    fn no_pattern_takes_what_is_passed_over() {
        let parts =
            ["VH", "Opt", "EH", "Low", "x", "12", "6.5", "<", "≥", " ", "*", "e", "1,234", "-", "Very Low"];
        let patterns = [&PLAIN, &RATED, &RATED_BEFORE, &GLUED];
        let mut passed = 0;
        for text in parts
            .iter()
            .flat_map(|a| parts.iter().map(move |b| [*a, *b]))
            .flat_map(|[a, b]| parts.iter().flat_map(move |c| [format!("{a}{b}{c}"), format!("{a} {b} {c}")]))
        {
            let text = folded(&text).into_owned();
            if !may_open_a_number(&text) {
                passed += 1;
                assert!(!patterns.iter().any(|p| p.as_ref().unwrap().is_match(&text)), "{text}");
            }
        }
        assert!(passed > 500, "{passed}");
    }

    #[test]
    fn what_is_no_number_is_none() {
        for text in [
            "",
            "-",
            "--",
            "ND",
            "6.0 - 7.0",
            "1,23",
            "12,34,567",
            "1.2.3",
            "n/a",
            "(12)",
            "3-4",
            "P1",
            "\u{663}",
            "1\u{663}",
        ] {
            assert_eq!(value(text), None, "{text}");
        }
        assert!(is_range("6.2 – 7"));
        assert!(is_range("1-8"));
    }

    #[test]
    fn ratings_beside_a_number_are_stripped_and_glued_ones_are_odd() {
        assert_eq!(number("VH 112", Decimal::Point).unwrap().value, 112.0);
        assert_eq!(number("12 M", Decimal::Point).unwrap().rating.as_deref(), Some("M"));
        assert!(number("12M", Decimal::Point).unwrap().odd.is_some());
        assert!(number("12*", Decimal::Point).unwrap().odd.is_some());
    }

    #[test]
    fn of_several_numbers_the_first_is_odd() {
        let first =
            |text| first_of_several(text, Decimal::Point).map(|n| (n.value, n.odd.is_some(), n.rating));
        assert_eq!(first("6.3 / 6.1"), Some((6.3, true, None)));
        assert_eq!(first("17 M/<10 L"), Some((17.0, true, None)));
        for text in ["6.3", "6.3 /", "/ 6.1", "mg / 5", "12 mg/kg"] {
            assert_eq!(first(text), None, "{text}");
        }
    }

    #[test]
    fn the_decimal_mark_is_decided_per_document() {
        assert_eq!(decide_decimal(["6,3", "1.234", "0,5"].into_iter(), [].into_iter()), Decimal::Comma);
        assert_eq!(decide_decimal(["6.3", "1,234"].into_iter(), [].into_iter()), Decimal::Point);
        assert_eq!(number("1.234", Decimal::Comma).unwrap().value, 1234.0);
        assert_eq!(number("6,3", Decimal::Comma).unwrap().value, 6.3);
        assert_eq!(decide_decimal(["6,3", "6.3"].into_iter(), [].into_iter()), Decimal::Unclear);
        assert_eq!(decide_decimal(["6,3"].into_iter(), ["43.56"].into_iter()), Decimal::Comma);
        assert_eq!(decide_decimal(["6,3", "58.33090"].into_iter(), [].into_iter()), Decimal::Comma);
        assert_eq!(decide_decimal(["12"].into_iter(), ["6,3"].into_iter()), Decimal::Comma);
        assert_eq!(number("7,9", Decimal::Unclear).map(|n| (n.value, n.odd.is_some())), Some((7.9, true)));
    }
}
