//! How a document writes: decimals, years, capitals, made-up examples.

use super::super::date::DayOrder;
use super::super::header::day;
use super::super::layout::Layout;
use super::super::number::{Decimal, decide_decimal};
use super::super::vocabulary::{Context, symbol_in_capitals};

/// More words are a sentence.
const MOST_WORDS_OF_A_CELL: usize = 4;

/// More words than a result has with what stands before and behind it.
const MOST_WORDS_OF_A_RESULT: usize = 2;

/// How the document writes decimals.
pub(super) fn decimal(pages: &[Layout]) -> Decimal {
    let texts = pages.iter().flat_map(|p| &p.lines).flat_map(|l| &l.phrases).map(|p| p.text());
    let (alone, talk): (Vec<&str>, Vec<&str>) =
        texts.partition(|t| t.split(' ').count() <= MOST_WORDS_OF_A_CELL);
    let told =
        decide_decimal(alone.iter().flat_map(|t| t.split(' ')), talk.iter().flat_map(|t| t.split(' ')));
    if told == Decimal::Unclear && pages.iter().all(|p| p.cells) { of_results(pages) } else { told }
}

/// How the cells of a table file write decimals that stand beside what is wanted, which a laboratory types as its language
/// does, `5,2 - 5,8`, while the program writes the results with a point. A comma in any other number leaves it unclear.
fn of_results(pages: &[Layout]) -> Decimal {
    let context = Context { symbols: true, capitals: false };
    let mut own: Vec<&str> = Vec::new();
    for page in pages {
        let mut wished: Vec<f32> = Vec::new();
        for line in page.lines.iter().filter(|l| l.phrases.len() > 1) {
            for phrase in &line.phrases {
                let said = phrase.label(context);
                if said.decoy && said.analyte.is_none() && said.unknown.is_empty() {
                    wished.push(phrase.area.x0);
                } else if !wished.iter().any(|x| (x - phrase.area.x0).abs() < 1.0) {
                    own.push(phrase.text());
                }
            }
        }
    }
    // `0,01 M CaCl2` is a procedure, `12,5 H` or `12,5 ppm` a result.
    let comma = |text: &&str| {
        let words: Vec<&str> = text.split(' ').collect();
        let figures = |w: &&str| w.contains(',') && !w.contains(char::is_alphabetic);
        words.len() <= MOST_WORDS_OF_A_RESULT && words.iter().any(figures)
    };
    // `1.160` may be thousands of a language that writes decimals with a comma.
    let thousands = |text: &&str| {
        text.split(' ').any(|w| {
            w.rsplit_once('.').is_some_and(|(whole, rest)| {
                rest.len() == 3 && rest.parse::<u16>().is_ok() && whole.parse::<u32>().is_ok_and(|n| n > 0)
            })
        })
    };
    if own.iter().any(comma) || own.iter().any(thousands) {
        return Decimal::Unclear;
    }
    decide_decimal(own.into_iter(), [].into_iter())
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
