//! Codes in the column of a long table, explained line by line above it: `#CODE | S010 | pH in water 1:1 | -`, and below
//! `SAMPLE | CODE | VALUE`, `North | S010 | 6.3`. Marks before the words of such lines go.

use super::super::label::label;
use super::super::layout::{Layout, Line, Phrase};
use super::super::vocabulary::{Context, Role};
use super::super::words::List;
use std::collections::HashMap;

/// So many lines explain codes.
const CODES: usize = 3;
/// So many of them measure something.
const MEASURED: usize = 2;
/// So many lines begin with a mark.
const MARKED: usize = 2;

const CONTEXT: Context = Context { symbols: true, capitals: false };

/// The pages with every code of a long table in the words that explain it, and without the lines that do.
pub(super) fn written_out(mut pages: Vec<Layout>) -> Vec<Layout> {
    for page in pages.iter_mut().filter(|p| p.cells) {
        let meanings = explained(page);
        if let Some((heading, x)) = meanings.as_ref().and_then(|m| column_of_codes(page, m))
            && let Some(meanings) = meanings
        {
            spell(page, heading, x, &meanings);
        }
        without_marks(page);
    }
    pages
}

fn unmarked(phrase: &Phrase) -> String {
    phrase.text().trim_start_matches(['#', '*']).trim_end_matches(':').trim().to_lowercase()
}

fn asks_code(phrase: &Phrase) -> bool {
    let text = unmarked(phrase);
    List::AsksCode.has(&text) && label(&text, CONTEXT).field.is_none()
}

/// Code, and what it means with its unit.
fn entry(line: &Line) -> Option<(String, String, Option<String>)> {
    let [tag, code, meaning, unit @ ..] = line.phrases.as_slice() else { return None };
    let code = code.text();
    let coded = !code.contains(' ') && code.contains(|c: char| c.is_ascii_alphanumeric());
    (asks_code(tag) && coded && unit.len() < 2)
        .then(|| (code.to_owned(), meaning.text().to_owned(), unit.first().map(|p| p.text().to_owned())))
}

/// What the lines of a page that open with the word for a code say of each; none that is said to mean two things.
fn explained(page: &Layout) -> Option<HashMap<String, (String, Option<String>)>> {
    let mut out: HashMap<String, Option<(String, Option<String>)>> = HashMap::new();
    for (code, meaning, unit) in page.lines.iter().filter_map(entry) {
        let said = (meaning, unit);
        out.entry(code)
            .and_modify(|kept| *kept = kept.take().filter(|kept| *kept == said))
            .or_insert(Some(said));
    }
    let out: HashMap<_, _> = out.into_iter().filter_map(|(code, said)| Some((code, said?))).collect();
    let measured = out.values().filter(|(meaning, _)| label(meaning, CONTEXT).is_result()).count();
    (out.len() >= CODES && measured >= MEASURED).then_some(out)
}

/// The heading of a long table with a column of codes, and where that column stands: the word for a code beside that for a
/// result, and a known code under it in every row but those without any.
fn column_of_codes(
    page: &Layout,
    meanings: &HashMap<String, (String, Option<String>)>,
) -> Option<(usize, f32)> {
    let heads = |line: &Line| {
        let result = line.phrases.iter().any(|p| p.label(CONTEXT).role == Some(Role::Result));
        let mut codes = line.phrases.iter().filter(|p| asks_code(p));
        let code = codes.next().filter(|_| codes.next().is_none() && result && entry(line).is_none())?;
        Some(code.area.x0)
    };
    let (at, x) = page.lines.iter().enumerate().find_map(|(i, line)| Some((i, heads(line)?)))?;
    let below = page.lines.get(at + 1..).unwrap_or_default();
    let under: Vec<String> = below.iter().filter_map(|l| cell(l, x)).map(|p| p.text().to_owned()).collect();
    (under.len() >= CODES && under.iter().all(|code| meanings.contains_key(code))).then_some((at, x))
}

fn cell(line: &Line, x: f32) -> Option<&Phrase> {
    line.phrases.iter().find(|p| (p.area.x0 - x).abs() < 1.0)
}

fn set(phrase: &mut Phrase, text: &str) {
    phrase.tokens.truncate(1);
    if let Some(token) = phrase.tokens.first_mut() {
        token.text = text.into();
    }
}

fn spell(page: &mut Layout, heading: usize, x: f32, meanings: &HashMap<String, (String, Option<String>)>) {
    let units = page
        .lines
        .get(heading)
        .is_some_and(|l| l.phrases.iter().any(|p| p.label(CONTEXT).role == Some(Role::Unit)));
    let explains: Vec<bool> = page.lines.iter().map(|l| entry(l).is_some()).collect();
    for (i, line) in page.lines.iter_mut().enumerate().skip(heading) {
        let Some(phrase) = line.phrases.iter_mut().find(|p| (p.area.x0 - x).abs() < 1.0) else { continue };
        if i == heading {
            set(phrase, "Analyte");
        } else if let Some((meaning, unit)) = meanings.get(phrase.text()) {
            // A column of units says it itself.
            let unit =
                unit.as_deref().filter(|u| !units && u.contains(|c: char| c.is_alphanumeric() || c == '%'));
            set(phrase, &unit.map_or_else(|| meaning.clone(), |unit| format!("{meaning}, {unit}")));
        }
    }
    let mut explains = explains.into_iter();
    page.lines.retain(|_| !explains.next().unwrap_or(false));
}

/// `#CUSTOMER | Moss Trust`: where several lines open with a mark, it is no part of their words.
fn without_marks(page: &mut Layout) {
    let marked = |line: &Line| {
        line.phrases.len() > 1
            && line.phrases.first().is_some_and(|p| {
                let mut letters = p.tokens.first().map(|t| t.text.chars()).into_iter().flatten();
                letters.next() == Some('#') && letters.next().is_some_and(char::is_alphabetic)
            })
    };
    if page.lines.iter().filter(|l| marked(l)).count() < MARKED {
        return;
    }
    for line in page.lines.iter_mut().filter(|l| marked(l)) {
        if let Some(token) = line.phrases.first_mut().and_then(|p| p.tokens.first_mut()) {
            token.text = token.text.trim_start_matches('#').into();
        }
    }
}
