//! Letters over columns of results, or before its rows, and the key elsewhere in the document that gives each its name:
//! `A   B   C` over numbers, and below `Key to samples   Your name`, `A   Cricket square`.

use super::super::across::may_name;
use super::super::label::label;
use super::super::layout::{Layout, Line, Phrase};
use super::super::vocabulary::{Context, Field};
use super::super::words::List;
use std::collections::{HashMap, HashSet};
use std::ops::Range;

/// Fewer entries are no key.
const ENTRIES: usize = 2;
/// More letters and figures are a name by themselves.
const LONGEST: usize = 3;

const PLAIN: Context = Context { symbols: false, capitals: false };

/// A key: where it stands, and which name each code has.
struct Key {
    page: usize,
    lines: Range<usize>,
    names: HashMap<String, String>,
}

/// The pages with every code that a key names in the words of the key, and without the keys.
pub(super) fn written_out(mut pages: Vec<Layout>) -> Vec<Layout> {
    let keys: Vec<Key> =
        (0..pages.len()).filter_map(|at| pages.get(at).map(|page| keys(at, page))).flatten().collect();
    // Of two keys in one document nobody knows which table each is for.
    let [key] = keys.as_slice() else { return pages };
    let own = |page: usize, line: usize| page == key.page && key.lines.contains(&line);
    let rows: Vec<(usize, usize)> = places(&pages, |line| row(line, key).is_some(), &own);
    let rows = if each_alike(&pages, &rows, key) { rows } else { Vec::new() };
    let heads = places(&pages, |line| over_columns(line, key), &own);
    if rows.is_empty() && heads.is_empty() {
        return pages;
    }
    for (page, line) in heads {
        let phrases = pages.get_mut(page).and_then(|p| p.lines.get_mut(line)).map(|l| &mut l.phrases);
        for phrase in phrases.into_iter().flatten() {
            spell(phrase, key);
        }
    }
    for (page, line) in rows {
        let first =
            pages.get_mut(page).and_then(|p| p.lines.get_mut(line)).and_then(|l| l.phrases.first_mut());
        first.into_iter().for_each(|phrase| spell(phrase, key));
    }
    if let Some(page) = pages.get_mut(key.page) {
        let mut at = 0..;
        page.lines.retain(|_| at.next().is_none_or(|i| !key.lines.contains(&i)));
    }
    pages
}

fn spell(phrase: &mut Phrase, key: &Key) {
    let Some(name) = key.names.get(phrase.text()) else { return };
    phrase.tokens.truncate(1);
    if let Some(token) = phrase.tokens.first_mut() {
        token.text = name.into();
    }
}

fn places(
    pages: &[Layout],
    is: impl Fn(&Line) -> bool,
    own: &impl Fn(usize, usize) -> bool,
) -> Vec<(usize, usize)> {
    let lines = pages
        .iter()
        .enumerate()
        .flat_map(|(p, page)| page.lines.iter().enumerate().map(move |(l, line)| (p, l, line)));
    lines.filter(|(p, l, line)| !own(*p, *l) && is(line)).map(|(p, l, _)| (p, l)).collect()
}

/// A line of codes, each once, behind words of the heading; what looks like a code and is in no key spoils it.
fn over_columns(line: &Line, key: &Key) -> bool {
    let texts: Vec<&str> = line.phrases.iter().map(Phrase::text).collect();
    let known = |t: &&&str| key.names.contains_key(**t);
    let codes: HashSet<&&str> = texts.iter().filter(known).collect();
    let others: Vec<&&str> = texts.iter().filter(|t| !known(t)).collect();
    codes.len() >= ENTRIES && codes.len() + others.len() == texts.len() && !others.iter().any(|t| is_code(t))
}

/// The code before a row of two results or more.
fn row<'a>(line: &Line, key: &'a Key) -> Option<&'a String> {
    let (first, rest) = line.phrases.split_first()?;
    let figure = |p: &&Phrase| p.text().trim_start_matches('<').starts_with(|c: char| c.is_ascii_digit());
    let (code, _) = key.names.get_key_value(first.text())?;
    (rest.iter().filter(figure).count() > 1).then_some(code)
}

/// True where every code of the key opens as many rows as the next.
fn each_alike(pages: &[Layout], rows: &[(usize, usize)], key: &Key) -> bool {
    let mut counts: HashMap<&String, usize> = key.names.keys().map(|code| (code, 0)).collect();
    for (page, line) in rows {
        let line = pages.get(*page).and_then(|p| p.lines.get(*line));
        if let Some(count) = line.and_then(|l| row(l, key)).and_then(|code| counts.get_mut(code)) {
            *count += 1;
        }
    }
    let mut counts: Vec<usize> = counts.into_values().collect();
    counts.sort_unstable();
    counts.dedup();
    matches!(counts.as_slice(), [count] if *count > 0)
}

/// True for `Key to samples`, `Your name for it`, `Field`.
fn asks(phrase: &Phrase) -> bool {
    let text = phrase.text().to_lowercase();
    let named = label(&text, PLAIN).field == Some(Field::SampleLabel);
    let word = |w: &str| {
        let w = w.trim_matches(|c: char| !c.is_alphanumeric());
        let one = w.strip_suffix('s').unwrap_or(w);
        List::AsksLabel.has(w) || List::AsksLabel.has(one)
    };
    named || text.split(' ').count() <= 5 && text.split(' ').any(word)
}

fn is_code(text: &str) -> bool {
    text.chars().count() <= LONGEST && text.chars().all(|c| c.is_ascii_alphanumeric())
}

fn entry(line: &Line) -> Option<(String, String)> {
    let [code, name] = line.phrases.as_slice() else { return None };
    let (code, name) = (code.text(), name.text());
    let code = code.trim_end_matches(['.', ':', ')', '=']).trim().to_owned();
    let said = label(name, PLAIN);
    let spoken = name.contains(char::is_alphabetic) && !name.ends_with('.') && may_name(name);
    (is_code(&code) && spoken && !said.is_result() && !is_code(name)).then(|| (code, name.to_owned()))
}

/// The keys of a page: each the lines of one code and one name below a line that asks for names.
fn keys(number: usize, page: &Layout) -> Vec<Key> {
    let mut out: Vec<Key> = Vec::new();
    for (at, line) in page.lines.iter().enumerate() {
        if line.phrases.len() > 2 || !line.phrases.iter().any(asks) || entry(line).is_some() {
            continue;
        }
        let below = page.lines.get(at + 1..).unwrap_or_default();
        let entries: Vec<(String, String)> = below.iter().map_while(entry).collect();
        let codes: HashSet<&String> = entries.iter().map(|(code, _)| code).collect();
        let names: HashSet<String> = entries.iter().map(|(_, name)| name.to_lowercase()).collect();
        let all = entries.len();
        if all >= ENTRIES && codes.len() == all && names.len() == all {
            out.push(Key { page: number, lines: at..at + 1 + all, names: entries.into_iter().collect() });
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::super::super::layout::{layout, tests::typed};
    use super::*;

    fn first(lines: &[&str]) -> Vec<String> {
        let pages = written_out(vec![layout(&typed(lines))]);
        pages[0]
            .lines
            .iter()
            .map(|l| l.phrases.iter().map(Phrase::text).collect::<Vec<_>>().join("|"))
            .collect()
    }

    #[test]
    fn a_key_gives_columns_and_rows_their_names() {
        let key = [
            "",
            "Key to samples   Your name for it",
            "A                Cricket square",
            "B                Far green",
        ];
        let over = first(&[&["Test      A      B", "pH        6.1    6.4"][..], &key].concat());
        assert_eq!(over, ["Test|Cricket square|Far green", "pH|6.1|6.4"]);
        let rows = first(
            &[&["Sample    pH     K", "A         6.1    64", "B         6.3    70"][..], &key].concat(),
        );
        assert_eq!(rows, ["Sample|pH|K", "Cricket square|6.1|64", "Far green|6.3|70"]);
    }

    #[test]
    fn what_is_no_key_of_these_samples_names_none() {
        for key in [
            ["Ratings          What they say", "A                Very low", "B                High"],
            ["Key to samples   Your name", "A                Far green", "B                Far green"],
            ["Key to samples   Your name", "A                6.1", "B                6.2"],
        ] {
            let lines = [&["Test      A      B", "pH        6.1    6.4", ""][..], &key].concat();
            assert_eq!(first(&lines)[0], "Test|A|B", "{key:?}");
        }
        let rest = first(&[
            "Test      A      B     C",
            "pH        6.1    6.4   6.2",
            "",
            "Key to samples   Your name",
            "A                Far green",
            "B                Near green",
        ]);
        assert_eq!(rest[0], "Test|A|B|C");
    }
}
