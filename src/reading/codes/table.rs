//! Columns under codes that the laboratory explains elsewhere in the file: `A02` over the numbers, and on a sheet of its own
//! `Code | Meaning | Method | Unit`, `A02 | Phosphorus | Bray P1 | ppm`.

use super::super::label::label;
use super::super::layout::{Layout, Line, Phrase};
use super::super::notes::has_methods;
use super::super::vocabulary::{Context, Role};
use super::super::words::List;
use std::collections::HashMap;
use std::ops::Range;

/// So many codes side by side are a heading.
const CODES: usize = 3;
/// So many of them measure something.
const MEASURED: usize = 2;

/// Letters of the longest code in a list without a heading.
const LONGEST_CODE: usize = 5;

const CONTEXT: Context = Context { symbols: true, capitals: false };

/// A table that explains codes: where it stands, and what each code means (`None` where two rows do not agree).
struct Key {
    page: usize,
    lines: Range<usize>,
    meanings: HashMap<String, Option<String>>,
}

/// The pages with every heading of codes written out, and without the tables that explained them.
pub(super) fn written_out(mut pages: Vec<Layout>) -> Vec<Layout> {
    for key in keys(&pages) {
        let mut used = false;
        for (number, page) in pages.iter_mut().enumerate().filter(|(_, p)| p.cells) {
            for (at, line) in page.lines.iter_mut().enumerate() {
                if number == key.page && key.lines.contains(&at) {
                    continue;
                }
                if is_heading(line, &key) {
                    write_out(line, &key);
                    used = true;
                }
            }
        }
        if let Some(page) = pages.get_mut(key.page).filter(|_| used) {
            let lines = std::mem::take(&mut page.lines);
            // A line is emptied and not taken out: other keys of this page count on its place.
            page.lines = lines
                .into_iter()
                .enumerate()
                .map(|(at, line)| if key.lines.contains(&at) { emptied(line) } else { line })
                .collect();
        }
    }
    for page in &mut pages {
        page.lines.retain(|line| !line.phrases.is_empty());
    }
    pages
}

fn emptied(line: Line) -> Line {
    Line { phrases: Vec::new(), ..line }
}

/// True for words that all ask for a code, or all for its meaning.
fn asks(phrase: &Phrase, list: List) -> bool {
    let text = phrase.text().to_lowercase();
    let mut words = text.split([' ', '/', '-']).filter(|w| !w.is_empty()).peekable();
    words.peek().is_some() && words.all(|w| list.has(w.trim_end_matches([':', '.'])))
}

fn keys(pages: &[Layout]) -> Vec<Key> {
    let mut out = Vec::new();
    for (number, page) in pages.iter().enumerate().filter(|(_, p)| p.cells) {
        for (at, line) in page.lines.iter().enumerate() {
            out.extend(key(number, page, at, line));
            out.extend(pairs(number, page, at));
        }
    }
    out
}

/// True for `F1`, `P-2`: one short word with a letter and a figure.
fn is_code(text: &str) -> bool {
    text.len() <= LONGEST_CODE
        && text.starts_with(|c: char| c.is_ascii_alphabetic())
        && text.contains(|c: char| c.is_ascii_digit())
        && text.chars().all(|c| c.is_ascii_alphanumeric() || c == '-')
}

/// A list without a heading, a code and its meaning on each line: `F1 | pH in water`, `F2 | phosphorus, Olsen, mg/kg`.
fn pairs(number: usize, page: &Layout, at: usize) -> Option<Key> {
    let pair = |line: &Line| match line.phrases.as_slice() {
        [code, meaning] if is_code(code.text()) && !label(code.text(), CONTEXT).is_result() => {
            Some((code.text().to_owned(), meaning.text().to_owned()))
        }
        _ => None,
    };
    let before = at.checked_sub(1).and_then(|at| page.lines.get(at));
    if before.is_some_and(|line| pair(line).is_some()) {
        return None;
    }
    let found: Vec<(String, String)> = page.lines.get(at..)?.iter().map_while(pair).collect();
    let mut meanings: HashMap<String, Option<String>> = HashMap::new();
    for (code, meaning) in &found {
        let said = in_words(code, meaning, true);
        meanings.entry(code.clone()).and_modify(|kept| *kept = None).or_insert(said);
    }
    (meanings.len() >= CODES).then_some(Key { page: number, lines: at..at + found.len(), meanings })
}

/// The table below a line that asks for codes and their meaning, up to the first row without either.
fn key(number: usize, page: &Layout, at: usize, heading: &Line) -> Option<Key> {
    let place = |list| heading.phrases.iter().find(|p| asks(p, list)).map(|p| p.area.x0);
    let role = |role| {
        let says = |p: &&Phrase| p.label(CONTEXT).role == Some(role);
        heading.phrases.iter().find(says).map(|p| p.area.x0)
    };
    // `Code | Determination | Unit`; beside results these are rows of a report, and explain nothing.
    let named = || role(Role::Analyte).filter(|_| role(Role::Result).is_none());
    let (code, meaning) = (place(List::AsksCode)?, place(List::AsksMeaning).or_else(named)?);
    let (method, unit) = (role(Role::Method), role(Role::Unit));
    let mut meanings: HashMap<String, Option<String>> = HashMap::new();
    let mut end = at + 1;
    for line in page.lines.get(at + 1..).unwrap_or_default() {
        let cell = |x: f32| line.phrases.iter().find(|p| (p.area.x0 - x).abs() < 1.0).map(Phrase::text);
        let (Some(code), Some(meaning)) = (cell(code), cell(meaning)) else { break };
        // `H saturation | calc.`: where there is but one way, the cell says nothing.
        let ways = label(meaning, CONTEXT).analyte.is_some_and(has_methods);
        let method = method.and_then(cell).filter(|_| ways);
        let method = method.map(|m| format!(" ({m})")).unwrap_or_default();
        let unit = unit.and_then(cell).map(|u| format!(", {u}")).unwrap_or_default();
        // `K, Ca, Mg`: several codes may be explained at once.
        let codes: Vec<&str> = code.split(", ").collect();
        for code in &codes {
            let said = in_words(code, meaning, codes.len() == 1).map(|said| format!("{said}{method}{unit}"));
            meanings
                .entry((*code).to_owned())
                .and_modify(|kept| *kept = kept.take().filter(|kept| Some(kept) == said.as_ref()))
                .or_insert(said);
        }
        end += 1;
    }
    (meanings.len() >= CODES).then_some(Key { page: number, lines: at..end, meanings })
}

/// A code in the words that explain it; where these tell of no measurement and the code is one by itself, its own name goes
/// before them: `P | Olsen, ppm`. None where a measurement is said to be that of several codes.
pub(super) fn in_words(code: &str, meaning: &str, alone: bool) -> Option<String> {
    let (own, told) = (label(code, CONTEXT), label(meaning, CONTEXT));
    if told.is_result() {
        return alone.then(|| meaning.to_owned());
    }
    let names = own.unknown.is_empty() && own.is_result();
    Some(match own.known() && own.unknown.is_empty() {
        true if names => format!("{code}, {meaning}"),
        // `Texture | by feel` measures nothing in either.
        true => code.to_owned(),
        false => meaning.to_owned(),
    })
}

/// True for a line of codes, each once, and of words, some of which measure something.
fn is_heading(line: &Line, key: &Key) -> bool {
    let texts: Vec<&str> = line.phrases.iter().map(Phrase::text).collect();
    let mut codes: Vec<&&str> = texts.iter().filter(|t| key.meanings.contains_key(**t)).collect();
    let measured = |code: &&&&str| {
        let said = key.meanings.get(***code).and_then(Option::as_deref).map(|text| label(text, CONTEXT));
        said.is_some_and(|said| said.is_result())
    };
    let measures = codes.iter().filter(measured).count();
    let all = codes.len();
    codes.sort_unstable();
    codes.dedup();
    let figure = |t: &str| t.chars().all(|c| c.is_ascii_digit() || matches!(c, '.' | ',' | '-' | '/'));
    all >= CODES
        && codes.len() == all
        && measures >= MEASURED
        && !texts.iter().any(|t| figure(t) && !key.meanings.contains_key(*t))
}

fn write_out(line: &mut Line, key: &Key) {
    for phrase in &mut line.phrases {
        let said = key.meanings.get(phrase.text());
        let Some(Some(said)) = said else { continue };
        phrase.tokens.truncate(1);
        if let Some(token) = phrase.tokens.first_mut() {
            token.text = said.into();
        }
    }
}
