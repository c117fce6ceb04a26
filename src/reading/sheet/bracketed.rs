//! `7 Green (front) [QT-40119]` under `Sample (our number)`: a name and the laboratory's number in one cell.

use super::super::across::asks_for_several;
use super::super::across::names_a_number;
use super::super::layout::{Layout, Line};
use super::shift::{COLUMN, set, shift};
use regex::Regex;
use std::sync::LazyLock;

static NUMBERED: LazyLock<Option<Regex>> =
    LazyLock::new(|| Regex::new(r"^(\S.*?) ?[\[(]([A-Z]{0,6}[-/. ]?[0-9][\w/.-]*)[\])]$").ok());

/// Fewer rows are no table, fewer letters and figures count the parts of a name.
const FEW: usize = 2;
const NUMBER: usize = 3;

/// The sheets, each column of names with numbers in brackets parted in two where its heading asks for both.
pub(super) fn apart(mut pages: Vec<Layout>) -> Vec<Layout> {
    for page in pages.iter_mut().filter(|p| p.cells) {
        if let Some((at, x)) = (0..page.lines.len()).find_map(|at| Some((at, heading(page, at)?))) {
            part(page, at, x);
        }
    }
    pages
}

/// The left edge of a cell that asks for a name and the laboratory's number, beside others.
fn heading(page: &Layout, at: usize) -> Option<f32> {
    let line = page.lines.get(at).filter(|l| l.phrases.len() > 1)?;
    let asks = |text: &str| asks_for_several(text) && names_a_number(text) && !text.contains(':');
    line.phrases.iter().find(|p| asks(p.text())).map(|p| p.area.x0)
}

fn cell(line: &Line, x: f32) -> Option<usize> {
    line.phrases.iter().position(|p| (p.area.x0 - x).abs() < 1.0 && p.area.width() < COLUMN)
}

fn parted(text: &str) -> Option<(String, String)> {
    let found = NUMBERED.as_ref()?.captures(text)?;
    let (name, number) = (found.get(1)?.as_str(), found.get(2)?.as_str());
    let numbered = number.chars().filter(|c| c.is_alphanumeric()).count() >= NUMBER;
    (numbered && name.contains(char::is_alphanumeric)).then(|| (name.to_owned(), number.to_owned()))
}

/// Parts the column, where rows enough have both and no number stands twice.
fn part(page: &mut Layout, at: usize, x: f32) {
    let found: Vec<(usize, String, String)> = page
        .lines
        .iter()
        .enumerate()
        .skip(at + 1)
        .filter_map(|(i, line)| {
            let text = line.phrases.get(cell(line, x)?).filter(|_| line.phrases.len() > 1)?.text();
            let (name, number) = parted(text)?;
            Some((i, name, number))
        })
        .collect();
    let mut numbers: Vec<&String> = found.iter().map(|f| &f.2).collect();
    numbers.sort_unstable();
    numbers.dedup();
    if found.len() < FEW || numbers.len() != found.len() {
        return;
    }
    shift(page, x + COLUMN - 4.0, 1);
    for (i, name, number) in found {
        write(page, i, x, name, number);
    }
    write(page, at, x, "Sample".to_owned(), "Lab no.".to_owned());
}

fn write(page: &mut Layout, at: usize, x: f32, name: String, number: String) {
    let Some(line) = page.lines.get_mut(at) else { return };
    let Some(phrase) =
        line.phrases.iter().position(|p| (p.area.x0 - x).abs() < 1.0).and_then(|i| line.phrases.get_mut(i))
    else {
        return;
    };
    phrase.tokens.truncate(1);
    let Some(token) = phrase.tokens.first_mut() else { return };
    token.text = name.into();
    token.area.x1 = x + COLUMN - 4.0;
    phrase.area = token.area;
    let token = token.clone();
    set(line, x + COLUMN, &token, number);
}
