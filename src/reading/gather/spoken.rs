//! How a document writes: decimals, years, capitals, made-up examples.

use super::super::date::DayOrder;
use super::super::header::day;
use super::super::layout::Layout;
use super::super::number::{Decimal, decide_decimal};
use super::super::vocabulary::symbol_in_capitals;

/// More words are a sentence.
const MOST_WORDS_OF_A_CELL: usize = 4;

/// How the document writes decimals.
pub(super) fn decimal(pages: &[Layout]) -> Decimal {
    let texts = pages.iter().flat_map(|p| &p.lines).flat_map(|l| &l.phrases).map(|p| p.text());
    let (alone, talk): (Vec<&str>, Vec<&str>) =
        texts.partition(|t| t.split(' ').count() <= MOST_WORDS_OF_A_CELL);
    decide_decimal(alone.iter().flat_map(|t| t.split(' ')), talk.iter().flat_map(|t| t.split(' ')))
}

/// The latest year among the dates of a line.
pub(super) fn latest_year(line: &str, order: DayOrder) -> Option<i16> {
    line.split("  ").filter_map(|part| day(part, order).1).max()
}

/// A page that explains the form with made-up numbers. `Lab sample   Report` are two headings, and a `Soil sample report`
/// is one on samples of soil.
pub(super) fn is_example(page: &Layout) -> bool {
    let says = |text: &str| {
        let phrases = [
            "how to read",
            "example report",
            "sample report",
            "specimen report",
            "example of a report",
            "understanding your",
        ];
        phrases.iter().any(|w| text.contains(w)) && !text.contains("soil sample report")
    };
    page.lines.iter().take(6).any(|l| {
        l.phrases.iter().any(|p| says(&p.text().to_lowercase()))
            || l.phrases.first().is_some_and(|p| p.text().to_lowercase().starts_with("example"))
    })
}

/// A document whose words are nearly all in capitals prints `CA` for calcium.
pub(super) fn shouting(text: &str) -> bool {
    let (mut upper, mut lower) = (0usize, 0usize);
    for c in text.chars() {
        upper += usize::from(c.is_uppercase());
        lower += usize::from(c.is_lowercase());
    }
    upper > 4 * lower
}

/// So many symbols in capitals are no state and no blank mark.
const SYMBOLS_IN_CAPITALS: usize = 3;

/// True where cells of a table name elements as `CA`, `MG` and `ZN`, and none as `Ca`.
pub(super) fn shouts_symbols(pages: &[Layout]) -> bool {
    let phrases =
        pages.iter().flat_map(|p| &p.lines).filter(|l| l.phrases.len() > 1).flat_map(|l| &l.phrases);
    let mut shouted: Vec<String> = Vec::new();
    for phrase in phrases {
        let Some(first) = phrase.tokens.first() else { continue };
        let symbol = first.text.split([' ', ',', '(']).next().unwrap_or_default();
        match symbol_in_capitals(symbol) {
            Some(true) if !shouted.iter().any(|s| s == symbol) => shouted.push(symbol.to_owned()),
            Some(false) => return false,
            _ => {}
        }
    }
    shouted.len() >= SYMBOLS_IN_CAPITALS
}
