//! Titles that open with the number of a table: `Table B. Modified Morgan, all in ppm`.

use super::super::layout::{Line, Phrase};
use super::super::words::List;

/// `Table 2. Extractant: Mehlich 3`: a line that opens with the number of a table and says something behind it.
pub(super) fn is_title_of_a_table(line: &Line) -> bool {
    let opens = |p: &Phrase| behind_number(p.text()).is_some_and(|rest| rest.contains(char::is_alphabetic));
    line.phrases.first().is_some_and(opens)
}

/// What a caption says behind the number of its table: `Table B. Modified Morgan` says nothing of boron. None for a text
/// that opens with no such number.
pub fn behind_number(text: &str) -> Option<&str> {
    let (word, rest) = text.split_once(' ')?;
    let (number, rest) = rest.split_once(' ').unwrap_or((rest, ""));
    let bare = number.trim_end_matches(['.', ':', ')', ',']);
    let short = (1..=MOST_OF_A_NUMBER).contains(&bare.chars().count());
    let numbered = short && bare.chars().all(|c| c.is_ascii_digit() || c.is_ascii_uppercase());
    (List::Table.has(&word.to_lowercase()) && numbered)
        .then(|| rest.trim_start_matches(['-', '\u{2013}', ' ']))
}

/// Signs of the longest number of a table.
const MOST_OF_A_NUMBER: usize = 3;
