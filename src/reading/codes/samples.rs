//! Letters over columns of results, or before its rows, and the key elsewhere in the document that gives each its name:
//! `A   B   C` over numbers, and below `Key to samples   Your name`, `A   Cricket square`.

use super::super::across::may_name;
use super::super::header::leading_field;
use super::super::label::label;
use super::super::layout::{Layout, Line, Phrase};
use super::super::vocabulary::{Context, Field};
use super::super::words::List;
use crate::place::Rect;
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
    /// What else it tells of each code: the laboratory's number, the layer.
    more: Vec<(&'static str, HashMap<String, String>)>,
}

/// The pages with every code that a key names in the words of the key, and without the keys.
pub(super) fn written_out(mut pages: Vec<Layout>) -> Vec<Layout> {
    let keys: Vec<Key> =
        (0..pages.len()).filter_map(|at| pages.get(at).map(|page| keys(at, page))).flatten().collect();
    // Of two keys in one document nobody knows which table each is for.
    let [key] = keys.as_slice() else { return pages };
    let own = |page: usize, line: usize| page == key.page && key.lines.contains(&line);
    let rows: Vec<(usize, usize)> = places(&pages, |line| row(line, key).is_some(), &own);
    // Before rows there is no room for layers and numbers.
    let rows = if key.more.is_empty() && each_alike(&pages, &rows, key) { rows } else { Vec::new() };
    let heads = places(&pages, |line| over_columns(line, key), &own);
    if rows.is_empty() && heads.is_empty() {
        return pages;
    }
    let mut told: Vec<(usize, usize, Vec<Line>)> = Vec::new();
    for (page, line) in heads {
        let Some(own) = pages.get_mut(page) else { continue };
        let left = own.lines.get(line + 1).and_then(|l| l.phrases.first()).map(|p| p.area.x0);
        let Some(head) = own.lines.get_mut(line) else { continue };
        told.push((page, line, left.map_or_else(Vec::new, |left| below(head, left, key))));
        for phrase in &mut head.phrases {
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
        for line in &mut page.lines {
            if at.next().is_some_and(|i| key.lines.contains(&i)) {
                line.phrases.clear();
            }
        }
    }
    for (page, line, more) in told.into_iter().rev() {
        if let Some(page) = pages.get_mut(page) {
            page.lines.splice(line + 1..line + 1, more);
        }
    }
    for page in &mut pages {
        page.lines.retain(|line| !line.phrases.is_empty());
    }
    pages
}

/// The lines under a heading of codes with what the key tells of each besides its name, as a table would have them; `left`
/// is where the names of its rows begin.
fn below(head: &Line, left: f32, key: &Key) -> Vec<Line> {
    let line = |(asks, told): &(&'static str, HashMap<String, String>)| {
        let asking = head.phrases.first().map(|p| written(p, asks))?;
        let width = asking.area.x1 - asking.area.x0;
        let moved = |area: Rect| Rect::new(left, area.y0, left + width, area.y1);
        let mut asking = asking;
        asking.area = moved(asking.area);
        asking.tokens.iter_mut().for_each(|t| t.area = moved(t.area));
        let codes = head.phrases.iter().filter_map(|p| Some(written(p, told.get(p.text())?)));
        Some(Line { phrases: std::iter::once(asking).chain(codes).collect(), ..head.clone() })
    };
    key.more.iter().filter_map(line).collect()
}

fn written(phrase: &Phrase, text: &str) -> Phrase {
    let mut phrase = phrase.clone();
    phrase.tokens.truncate(1);
    if let Some(token) = phrase.tokens.first_mut() {
        token.text = text.into();
    }
    phrase
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
    asks_for_names(phrase.text())
}

fn asks_for_names(text: &str) -> bool {
    let text = text.to_lowercase();
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
    let (code, name) = (plain(code.text()), name.text());
    (is_code(&code) && is_spoken(name)).then(|| (code, name.to_owned()))
}

/// A code without the sign behind it.
fn plain(code: &str) -> String {
    code.trim_end_matches(['.', ':', ')', '=']).trim().to_owned()
}

/// True for words that may be a name, and are no code themselves.
fn is_spoken(name: &str) -> bool {
    let spoken = name.contains(char::is_alphabetic) && !name.ends_with('.') && may_name(name);
    spoken && !label(name, PLAIN).is_result() && !is_code(name)
}

/// The columns of `Letter   Our number   Your name   Depth`.
struct Columns {
    name: usize,
    number: Option<usize>,
    layer: Option<usize>,
    all: usize,
}

/// What a heading of three columns and more says of each; none unless one of them, and one alone, asks for names.
fn columns(heading: &Line) -> Option<Columns> {
    let behind = || heading.phrases.iter().enumerate().skip(1);
    let field = |p: &Phrase| match label(p.text(), PLAIN) {
        said if said.analyte.is_some() || said.unit.is_some() => Some(Field::Ignored),
        said => said.field.or_else(|| leading_field(p.text(), PLAIN).map(|(field, ..)| field)),
    };
    let one = |wanted: &dyn Fn(&Phrase) -> bool| {
        let mut found = behind().filter(|(_, p)| wanted(p)).map(|(i, _)| i);
        found.next().filter(|_| found.next().is_none())
    };
    let own = |p: &Phrase| matches!(field(p), None | Some(Field::SampleLabel)) && asks(p);
    let all = heading.phrases.len();
    Some(Columns {
        name: one(&own)?,
        number: one(&|p| field(p) == Some(Field::LabSample)),
        layer: one(&|p| field(p) == Some(Field::DepthTop)),
        all,
    })
    .filter(|_| all > 2)
}

/// A row of such a key: the code, its name, and the laboratory's number and the layer where there are columns of these.
fn wide_entry(line: &Line, columns: &Columns) -> Option<Entry> {
    let text = |i: usize| line.phrases.get(i).map(Phrase::text);
    let (code, name) = (plain(text(0)?), text(columns.name)?);
    let of = |column: Option<usize>| column.and_then(text).map(str::to_owned);
    let whole = line.phrases.len() == columns.all && is_code(&code) && is_spoken(name);
    whole.then(|| Entry { code, name: name.to_owned(), number: of(columns.number), layer: of(columns.layer) })
}

/// A row of a key.
struct Entry {
    code: String,
    name: String,
    number: Option<String>,
    layer: Option<String>,
}

/// The keys of a page: each the lines of one code and one name below a line that asks for names.
fn keys(number_of_page: usize, page: &Layout) -> Vec<Key> {
    let mut out: Vec<Key> = Vec::new();
    for (at, line) in page.lines.iter().enumerate() {
        // `A   M-301   Pinot block 2   0-15 cm` heads no key of its own, though a block is asked for elsewhere.
        if out.last().is_some_and(|key| key.lines.contains(&at)) {
            continue;
        }
        let wide = columns(line);
        if line.phrases.len() > 2 && wide.is_none() || !line.phrases.iter().any(asks) || entry(line).is_some()
        {
            continue;
        }
        let below = page.lines.get(at + 1..).unwrap_or_default();
        let short = |(code, name)| Entry { code, name, number: None, layer: None };
        let entries: Vec<Entry> = match &wide {
            Some(columns) => below.iter().map_while(|line| wide_entry(line, columns)).collect(),
            None => below.iter().map_while(|line| entry(line).map(short)).collect(),
        };
        let codes: HashSet<&String> = entries.iter().map(|e| &e.code).collect();
        let names: HashSet<(String, &Option<String>)> =
            entries.iter().map(|e| (e.name.to_lowercase(), &e.layer)).collect();
        let all = entries.len();
        if all >= ENTRIES && codes.len() == all && names.len() == all {
            let of = |asks, told: &dyn Fn(&Entry) -> Option<String>| {
                let told = entries.iter().filter_map(|e| Some((e.code.clone(), told(e)?))).collect();
                Some((asks, told)).filter(|(_, told): &(_, HashMap<_, _>)| told.len() == all)
            };
            let number = of("Lab number", &|e| e.number.clone());
            let layer = of("Depth", &|e| e.layer.clone());
            let more = number.into_iter().chain(layer).collect();
            let lines = at..at + 1 + all;
            let names = entries.iter().map(|e| (e.code.clone(), e.name.clone())).collect();
            out.push(Key { page: number_of_page, lines, names, more });
        }
    }
    out
}

/// More numbers on a line are results.
const NUMBERS: usize = 2;

/// The codes that a text, a line each with two spaces between its phrases, explains by words somewhere: `A  M-301  Pinot
/// block`, below each other. Letters alone, and figures where the line above asks for names.
pub fn explained(text: &str) -> HashSet<String> {
    let worded = |part: &&str| {
        let said = label(part, PLAIN);
        is_spoken(part)
            && !said.rating
            && said.role.is_none()
            && !said.decoy
            && said.unit.is_none()
            && may_be_read(part)
    };
    let opens = |line: &str| {
        let (code, rest) = line.split_once("  ")?;
        let code = plain(code);
        let parts: Vec<&str> = rest.split("  ").collect();
        let figures = |p: &&&str| !p.contains(char::is_alphabetic);
        let told = parts.iter().filter(figures).count() <= NUMBERS && parts.iter().any(worded);
        (is_code(&code) && told).then_some(code)
    };
    let mut out = HashSet::new();
    let mut asked = false;
    let mut open: Vec<String> = Vec::new();
    for line in text.lines().chain([""]) {
        if let Some(code) = opens(line) {
            open.push(code);
            continue;
        }
        let run: HashSet<String> = open.drain(..).collect();
        if run.len() >= ENTRIES {
            out.extend(run.into_iter().filter(|code| asked || code.contains(char::is_alphabetic)));
        }
        asked = line.split("  ").any(asks_for_names);
    }
    out
}

/// Words of more letters than symbols and codes have.
fn may_be_read(text: &str) -> bool {
    text.split(|c: char| !c.is_alphabetic()).any(|word| word.chars().count() > LONGEST)
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
    fn a_key_of_several_columns_gives_the_name_with_its_layer_and_number() {
        let head = ["Test      A      B", "pH        6.1    6.4", ""];
        let key = |second: &'static str| {
            [
                "Key to samples, job 61409",
                "Letter   Lab number   Your name      Depth",
                "A        M-301        Pinot block    0-15 cm",
                second,
            ]
        };
        let lines = [&head[..], &key("B        M-302        Pinot block    15-30 cm")].concat();
        assert_eq!(
            first(&lines)[..3],
            ["Test|Pinot block|Pinot block", "Lab number|M-301|M-302", "Depth|0-15 cm|15-30 cm"]
        );
        // Of a row that lacks one of them nobody knows which.
        let lines = [&head[..], &key("B        Pinot block    15-30 cm")].concat();
        assert_eq!(first(&lines)[0], "Test|A|B");
        let two = [
            "Letter   Sample   Your name      Depth",
            "A        9        Pinot block    0-15 cm",
            "B        8        Hob block      0-15 cm",
        ];
        let lines = [&head[..], &two].concat();
        assert_eq!(first(&lines)[0], "Test|A|B");
    }

    #[test]
    fn a_text_explains_codes_by_words_below_each_other() {
        let codes = |text: &str| {
            let mut codes: Vec<String> = explained(text).into_iter().collect();
            codes.sort();
            codes
        };
        assert_eq!(codes("Letters\nA  Pinot block  0-15 cm\nB  Syrah terrace  0-15 cm\nend"), ["A", "B"]);
        assert_eq!(codes("Samples  Name\n1  Pinot block\n2  Syrah terrace"), ["1", "2"]);
        for text in [
            "A  6.1  64  12  Pinot block\nB  6.3  70  11  Syrah terrace",
            "A  Pinot block\n\nof May",
            "1  Pinot block\n2  Syrah terrace",
            "A  Very low\nB  High",
        ] {
            assert!(codes(text).is_empty(), "{text}");
        }
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
