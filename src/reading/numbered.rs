//! A text that is a number and a name, with a stroke between: `T552-1 - Vigna Alta`, `11842-2: Back lawn`.

use super::label::{label as understood, year_of};
use super::vocabulary::Context;
use super::words::List;

/// So many figures a number of the laboratory's has at least; fewer count the fields of a farm.
pub const FIGURES: usize = 3;

/// Nobody numbers the fields of a farm with so many figures.
pub const MANY_FIGURES: usize = 5;

/// What stands between a number and a name.
const STROKES: &[&str] = &["-", "|", ":", "/", ";", ","];

/// Number and name of a label.
#[derive(Debug)]
pub struct Parted {
    /// The number.
    pub number: String,
    /// The name.
    pub name: String,
    /// Whether the number stands first and a stroke behind it, so that it is surely set apart from the name.
    pub first: bool,
}

/// How many figures a word holds.
pub fn figures(word: &str) -> usize {
    word.chars().filter(char::is_ascii_digit).count()
}

/// One word of letters, figures and strokes with enough figures that is no year.
pub fn is_number(word: &str) -> bool {
    // `NE-14-27-3` is where a quarter of a section lies.
    let bearing = word.get(..2).is_some_and(|w| matches!(w, "NE" | "NW" | "SE" | "SW"));
    let lies = word.get(2..3).is_some_and(|c| c == "-" || c.starts_with(|c: char| c.is_ascii_digit()));
    !(bearing && lies)
        && figures(word) >= FIGURES
        && year_of(word).is_none()
        && word.starts_with(char::is_alphanumeric)
        && word.chars().all(|c| c.is_ascii_alphanumeric() || matches!(c, '/' | '-' | '.'))
}

/// Number and name, where a text is both.
pub fn parted(label: &str) -> Option<Parted> {
    let words: Vec<&str> = label.split(' ').collect();
    let stroke = |w: &&&str| STROKES.contains(*w);
    let of = |number: &str, name: &[&str], first: bool| {
        let name = name.join(" ");
        // `sandy loam` is what the soil is, and no name of it.
        let said = understood(&name, Context { symbols: false, capitals: false });
        let kind = said.other && said.unknown.is_empty();
        let worded =
            !kind && name.contains(char::is_alphabetic) && !name.starts_with(|c: char| !c.is_alphanumeric());
        (is_number(number) && worded).then(|| Parted { number: number.to_owned(), name, first })
    };
    if let [number, rest @ ..] = words.as_slice() {
        let bare = number.trim_end_matches([':', ';', ',']);
        let between = rest.first().filter(stroke).map_or(0, |_| 1);
        let told = between == 1 || bare.len() < number.len();
        if let Some(found) = told.then(|| of(bare, rest.get(between..)?, true)).flatten() {
            return Some(found);
        }
    }
    // `Main lawn (sample 7706/1)`.
    if let [name @ .., word, last] = words.as_slice()
        && let (Some(word), Some(number)) = (word.strip_prefix('('), last.strip_suffix(')'))
        && List::AsksSample.has(&word.to_lowercase())
    {
        return of(number, name, false);
    }
    let (last, rest) = words.split_last()?;
    // `Main lawn (7706-1)`.
    if let Some(number) = last.strip_prefix('(').and_then(|w| w.strip_suffix(')')) {
        return of(number, rest, false).filter(|_| number.contains(['/', '-', '.']) && !rest.is_empty());
    }
    let (end, name) = rest.split_last()?;
    if STROKES.contains(end) {
        return of(last, name, false);
    }
    // `Moss 7706/1`, `7706/1 Moss`: without a stroke between them, the number has one or is long.
    let told = |w: &str| w.contains(['/', '-', '.']) || figures(w) >= MANY_FIGURES;
    let (first, behind) = words.split_first()?;
    let led = of(first, behind, false).filter(|_| told(first));
    of(last, rest, false).filter(|_| told(last)).or(led)
}
