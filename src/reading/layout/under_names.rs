//! `Long field` over `AL-31` in one cell: the laboratory's number in the last line of the cells that name samples.

use super::super::numbered::figures;
use crate::document::Cell;
use std::collections::BTreeMap;

/// So many numbers that count on from cell to cell are no chance.
const RUN: usize = 3;

/// More letters make a word, fewer figures count the parts of a name.
const MOST_LETTERS: usize = 5;
const FIGURES: usize = 2;

/// A cell whose last line is a number: the lines over it, the letters and figures that the number begins with, its count.
struct Numbered<'a> {
    at: usize,
    name: String,
    number: &'a str,
    stem: &'a str,
    count: u64,
}

fn numbered(at: usize, text: &str) -> Option<Numbered<'_>> {
    let lines: Vec<&str> = text.split('\n').map(str::trim).filter(|l| !l.is_empty()).collect();
    let (number, over) = lines.split_last()?;
    let name = over.join(" ");
    let from = number.rfind(|c: char| !c.is_ascii_digit()).map(|i| i + 1)?;
    let (stem, count) = number.split_at_checked(from)?;
    let letters = stem.chars().filter(char::is_ascii_uppercase).count();
    let sign = |c: char| matches!(c, '-' | '/' | '.');
    let plain = stem.chars().all(|c| c.is_ascii_uppercase() || c.is_ascii_digit() || sign(c));
    // `0-20`, `12.03` are layers and days.
    let told = (1..=MOST_LETTERS).contains(&letters) && figures(number) >= FIGURES;
    let worded = name.contains(char::is_alphabetic) && !name.contains(':');
    (plain && told && worded).then_some(Numbered { at, name, number, stem, count: count.parse().ok()? })
}

/// What becomes of a cell.
#[derive(Debug, PartialEq)]
pub(super) enum Under {
    /// Its number stands in a line of its own under the names of the row.
    Own {
        /// The name.
        name: String,
        /// The number.
        number: String,
    },
    /// In the line of the numbers this stands under the first cell of the row.
    Asks(&'static str),
}

/// What asks for the number of a sample.
const ASKS: &str = "Lab no.";

/// The cells in one row that name samples and have a number in the last line that counts on from that of the cell before.
pub(super) fn under_names(cells: &[Cell]) -> BTreeMap<usize, Under> {
    let found: Vec<Numbered<'_>> = cells
        .iter()
        .enumerate()
        .filter(|(_, cell)| cell.text.contains('\n'))
        .filter_map(|(at, cell)| numbered(at, &cell.text))
        .collect();
    let mut rows: BTreeMap<u32, Vec<&Numbered<'_>>> = BTreeMap::new();
    for (one, cell) in found.iter().filter_map(|one| Some((one, cells.get(one.at)?))) {
        rows.entry(cell.row).or_default().push(one);
    }
    let mut out = BTreeMap::new();
    for (row, group) in rows.iter().filter(|(_, g)| counts_on(g)) {
        let first = cells.iter().position(|c| c.row == *row && !c.text.trim().is_empty());
        let Some(first) = first.filter(|at| group.iter().all(|one| one.at != *at)) else { continue };
        out.insert(first, Under::Asks(ASKS));
        for one in group {
            out.insert(one.at, Under::Own { name: one.name.clone(), number: one.number.to_owned() });
        }
    }
    out
}

/// True where there are enough, each number is one more than the one before, and no name stands twice.
fn counts_on(group: &[&Numbered<'_>]) -> bool {
    let next = |w: &[&Numbered<'_>]| matches!(w, [a, b] if a.stem == b.stem && a.count.checked_add(1) == Some(b.count));
    let mut names: Vec<&String> = group.iter().map(|one| &one.name).collect();
    names.sort_unstable();
    let unlike = names.windows(2).all(|w| w.first() != w.last());
    group.len() >= RUN && group.windows(2).all(next) && unlike
}

#[cfg(test)]
mod tests {
    use super::*;

    fn of(rows: &[&[&str]]) -> Vec<Under> {
        let cell = |row: u32, column: u32, text: &str| Cell {
            row,
            column,
            columns: 1,
            rows: 1,
            numeric: false,
            text: text.to_owned(),
        };
        let row = |(row, texts): (u32, &&[&str])| {
            let own = texts.iter().copied().zip(1..);
            own.map(move |(text, column)| cell(row, column, text)).collect::<Vec<_>>()
        };
        let cells: Vec<Cell> = (1..).zip(rows).flat_map(row).collect();
        under_names(&cells).into_values().collect()
    }

    #[test]
    fn numbers_that_count_on_in_the_last_lines_of_names_are_apart() {
        let own = |name: &str, number: &str| Under::Own { name: name.to_owned(), number: number.to_owned() };
        let found = of(&[&["Test", "Hob\nfield\nAL-31", "Rank", "Moss\nAL-32", "Rank", "Fern\nAL-33"]]);
        let expected =
            [Under::Asks(ASKS), own("Hob field", "AL-31"), own("Moss", "AL-32"), own("Fern", "AL-33")];
        assert_eq!(found, expected);
    }

    #[test]
    fn what_stands_under_names_and_counts_no_samples_is_left() {
        for texts in [
            ["Hob\nAL-31", "Moss\nAL-32", "Fern\nAL-34"],
            ["Hob\nAL-31", "Moss\nAL-32", "Fern"],
            ["Hob\nBL-31", "Moss\nAL-32", "Fern\nAL-33"],
            ["Plot\nAL-31", "Plot\nAL-32", "Plot\nAL-33"],
            ["Hob\n0-20", "Moss\n0-21", "Fern\n0-22"],
            ["P\nM1", "K\nM2", "Mg\nM3"],
            ["Hob\n2021", "Moss\n2022", "Fern\n2023"],
        ] {
            assert_eq!(of(&[&["Test", texts[0], texts[1], texts[2]]]), [], "{texts:?}");
        }
    }
}
