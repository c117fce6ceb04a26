//! A sheet that lists the samples under codes, and sheets of results under these codes alone: `Code | Paddock | Depth`, and
//! elsewhere `Code | pH | EC`.

use super::super::layout::{Layout, Line, Phrase, Token};
use super::super::vocabulary::{Context, Field};
use super::super::words::List;
use super::shift::{COLUMN, set, shift};
use std::collections::HashMap;

const CONTEXT: Context = Context { symbols: true, capitals: false };

/// Fewer rows are no list.
const FEW: usize = 2;

/// Where a sheet's columns begin, in points.
const FIRST: f32 = 102.0;

/// A list of samples.
struct Register {
    page: usize,
    /// What asks for the codes.
    code: String,
    /// The headings of what it tells of each.
    headings: Vec<Token>,
    /// What it tells of each code, a cell a heading.
    rows: HashMap<String, Vec<Option<Token>>>,
}

/// The pages, each table of results under codes alone with the names, layers and days that the one list of the document
/// gives them.
pub(super) fn named(mut pages: Vec<Layout>) -> Vec<Layout> {
    let mut found: Vec<Register> = pages
        .iter()
        .enumerate()
        .filter(|(_, p)| p.cells)
        .flat_map(|(number, page)| (0..page.lines.len()).filter_map(move |at| register(number, page, at)))
        .collect();
    // Of two lists nobody knows which holds.
    let (Some(list), None) = (found.pop(), found.pop()) else { return pages };
    for (_, page) in pages.iter_mut().enumerate().filter(|(i, p)| p.cells && *i != list.page) {
        name(page, &list);
    }
    pages
}

fn field(phrase: &Phrase) -> Option<Field> {
    let said = phrase.label(CONTEXT);
    said.field.filter(|_| said.analyte.is_none())
}

/// True for `Code`, `Lab no.`: what asks for a code or the laboratory's number.
fn asks(phrase: &Phrase) -> bool {
    field(phrase) == Some(Field::LabSample) || List::AsksCode.has(&phrase.text().to_lowercase())
}

fn cell(line: &Line, x: f32) -> Option<&Token> {
    let phrase = line.phrases.iter().find(|p| (p.area.x0 - x).abs() < 1.0)?;
    phrase.tokens.first()
}

fn is_code(text: &str) -> bool {
    text.contains(|c: char| c.is_ascii_digit()) && !text.contains(' ')
}

fn register(number: usize, page: &Layout, at: usize) -> Option<Register> {
    let line = page.lines.get(at)?;
    let code = line.phrases.iter().find(|p| asks(p))?;
    let tells = |p: &&Phrase| {
        matches!(field(p), Some(Field::SampleLabel | Field::DepthTop | Field::DepthBottom | Field::SampledOn))
            && !asks(p)
    };
    let told: Vec<&Phrase> = line.phrases.iter().filter(tells).collect();
    let names = told.iter().filter(|p| field(p) == Some(Field::SampleLabel)).count();
    if names != 1 || line.phrases.iter().any(|p| p.label(CONTEXT).is_result()) {
        return None;
    }
    let mut rows = HashMap::new();
    for line in page.lines.get(at + 1..).unwrap_or_default() {
        let Some(own) = cell(line, code.area.x0).filter(|t| is_code(&t.text)) else { break };
        let cells = told.iter().map(|p| cell(line, p.area.x0).cloned()).collect();
        // A code that stands twice tells of none.
        if rows.insert(own.text.to_string(), cells).is_some() {
            return None;
        }
    }
    let headings = told.iter().filter_map(|p| p.tokens.first().cloned()).collect::<Vec<_>>();
    (rows.len() >= FEW && headings.len() == told.len()).then(|| Register {
        page: number,
        code: code.text().to_lowercase(),
        headings,
        rows,
    })
}

/// Writes the names into a table of results that asks for none, where every row under its codes has one.
fn name(page: &mut Layout, list: &Register) {
    let heads = |line: &Line| {
        let code = line.phrases.iter().find(|p| p.text().to_lowercase() == list.code)?;
        let named = line.phrases.iter().any(|p| field(p) == Some(Field::SampleLabel) && !asks(p));
        let measures = line.phrases.iter().any(|p| p.label(CONTEXT).is_result());
        (measures && !named).then_some(code.area.x0)
    };
    let found: Vec<(usize, f32)> =
        page.lines.iter().enumerate().filter_map(|(at, line)| Some((at, heads(line)?))).collect();
    let [(heading, x)] = found.as_slice() else { return };
    let codes: Vec<(usize, compact_str::CompactString)> = page
        .lines
        .iter()
        .enumerate()
        .skip(heading + 1)
        .filter_map(|(at, line)| Some((at, cell(line, *x)?.text.clone())))
        .filter(|(_, text)| is_code(text))
        .collect();
    if codes.is_empty() || !codes.iter().all(|(_, code)| list.rows.contains_key(code.as_str())) {
        return;
    }
    shift(page, 0.0, list.headings.len());
    #[allow(clippy::cast_precision_loss)]
    let place = |i: usize| FIRST + i as f32 * COLUMN;
    let code = x + place(list.headings.len()) - FIRST;
    if let Some(line) = page.lines.get_mut(*heading) {
        let phrase = line.phrases.iter_mut().find(|p| (p.area.x0 - code).abs() < 1.0);
        if let Some(phrase) = phrase.filter(|p| field(p) != Some(Field::LabSample))
            && let Some(token) = phrase.tokens.first_mut()
        {
            token.text = "Lab no.".into();
        }
        for (i, token) in list.headings.iter().enumerate() {
            set(line, place(i), token, token.text.to_string());
        }
    }
    for (at, code) in codes {
        let (Some(line), Some(cells)) = (page.lines.get_mut(at), list.rows.get(code.as_str())) else {
            continue;
        };
        for (i, token) in cells.iter().enumerate() {
            if let Some(token) = token {
                set(line, place(i), token, token.text.to_string());
            }
        }
    }
}
