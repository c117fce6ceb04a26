//! Which lines make a heading: one that names measurements, and those close above and below that go on with it.

use super::super::atom::{Atom, Kind, is_blank, phrase_atoms};
use super::super::below::limit_of;
use super::super::cut::cut;
use super::super::down::is_rating_letter;
use super::super::former::earlier;
use super::super::label::label;
use super::super::layout::{Layout, Line, Phrase, Token};
use super::super::number::Decimal;
use super::super::vocabulary::{Context, Field, Hit, Role, hits};
use super::apart::{Part, split};
use super::days::tells_days;
use super::titled::is_title_of_a_table;
use super::{Band, is_caption, whole};
use crate::place::Rect;
use crate::soil::Analyte;

pub fn numbers(line: &Line, decimal: Decimal) -> usize {
    let procedure = |p: &&Phrase| {
        // `0.01 M CaCl2` and `1:1 water` are procedures, whatever figures they begin with.
        let text = p.text();
        text.contains(char::is_alphabetic)
            && !label(text, Context { symbols: false, capitals: false }).methods.is_empty()
    };
    line.phrases
        .iter()
        .filter(|p| !procedure(p))
        .flat_map(|p| phrase_atoms(p, decimal))
        .filter(|a| matches!(a.kind, Kind::Number(_)) && !is_year(&a.text))
        .count()
}

/// `2023` under a name is a former season of it.
fn is_year(text: &str) -> bool {
    text.len() == 4 && text.parse::<u16>().is_ok_and(|y| (1950..2100).contains(&y))
}

/// A heading names at least two measurements (or the columns of a long table) and holds no numbers.
pub fn is_seed(page: &Layout, lines: &[Vec<Part>], at: usize, decimal: Decimal) -> bool {
    let (Some(line), Some(parts)) = (page.lines.get(at), lines.get(at)) else { return false };
    let short = |p: &&Part| p.phrase.tokens.iter().map(|t| t.text.split(' ').count()).sum::<usize>() <= 7;
    let names = |p: &&Part| {
        (p.label.analyte.is_some() || p.label.other) && !p.label.several && p.label.unknown.is_empty()
    };
    let named = parts
        .iter()
        .enumerate()
        .filter(|(_, p)| short(p) && names(p))
        .filter(|(i, p)| {
            !i.checked_sub(1).and_then(|i| parts.get(i)).is_some_and(|name| is_method_of(name, p))
        })
        .filter(|(_, p)| !rates(page, at, p))
        .count();
    let has = |role| {
        let of = |p: &Part| p.label.role == Some(role) && p.label.analyte.is_none();
        parts.iter().any(|p| of(p) && !earlier(p.phrase.text()))
    };
    let long = has(Role::Analyte) && has(Role::Result);
    // `Potassium, ppm   10-14   Nitrate, ppm   10-19`: a row whose values are blank.
    let range = |p: &&Phrase| {
        let atoms = phrase_atoms(p, decimal);
        !atoms.is_empty() && atoms.iter().all(|a| matches!(a.kind, Kind::Range))
    };
    if !long && (named < 2 || is_one_mark(parts) || is_row_of_classes(parts))
        || is_sentence(line)
        || is_title_of_a_table(line)
        || !long && is_blank_row(page, at, parts, decimal)
        || line.phrases.iter().filter(range).count() * 2 > named
    {
        return false;
    }
    // The `3` of `Mehlich` over `3 Ca` speaks for no row of values.
    let few = |numbers: usize| (named >= 2 && numbers * 3 <= named) || (long && numbers == 0);
    few(numbers(line, decimal)) || few(figures(page, &(at..at + 1), at, decimal))
}

/// So many columns of one word are no heading.
const ONE_MARK: usize = 3;

/// `BD   BD   BD`: a mark in a row of results, however much it is the name of a measurement too.
fn is_one_mark(parts: &[Part]) -> bool {
    let named =
        || parts.iter().filter(|p| p.label.analyte.is_some() || p.label.other).map(|p| p.phrase.text());
    let first = named().next();
    named().count() >= ONE_MARK && named().all(|text| Some(text) == first)
}

/// So many letters side by side are classes of results.
const CLASSES: usize = 4;

/// `Class   B   D   D   C   B` or `L   H   M   M   H`: letters of classes below results, half of which or more repeat another.
/// No heading names its columns so.
fn is_row_of_classes(parts: &[Part]) -> bool {
    let class = |p: &&Part| {
        let text = p.phrase.text();
        is_rating_letter(text) || matches!(text, "A" | "B" | "C" | "E")
    };
    let first = usize::from(parts.first().is_some_and(|p| !class(&p)));
    let letters: Vec<&str> = parts.iter().skip(first).filter(class).map(|p| p.phrase.text()).collect();
    let mut kinds = letters.clone();
    kinds.sort_unstable();
    kinds.dedup();
    letters.len() >= CLASSES && letters.len() + first == parts.len() && kinds.len() * 2 <= letters.len()
}

/// `Available P   Boron` where the line right above or below has another name and its value in each of these columns: a row
/// whose values are blank.
fn is_blank_row(page: &Layout, at: usize, parts: &[Part], decimal: Decimal) -> bool {
    let named: Vec<Rect> =
        parts.iter().filter(|p| p.label.analyte.is_some() || p.label.other).map(|p| p.phrase.area).collect();
    let row = |line: &Line| {
        named.iter().enumerate().all(|(i, own)| {
            let end = named.get(i + 1).map_or(f32::INFINITY, |next| next.x0);
            let at = line.phrases.iter().position(|p| (p.area.x0 - own.x0).abs() < 1.0);
            let Some((name, behind)) = at.and_then(|at| line.phrases.get(at..)?.split_first()) else {
                return false;
            };
            let said = name.label(Context { symbols: true, capitals: false });
            let first = behind.iter().find(|p| p.area.x0 < end - 1.0);
            let value = |p: &Phrase| {
                phrase_atoms(p, decimal).first().is_some_and(|a| matches!(a.kind, Kind::Number(_)))
            };
            said.analyte.is_some() && said.unknown.is_empty() && first.is_some_and(value)
        })
    };
    let beside = [at.checked_sub(1), at.checked_add(1)].into_iter().flatten();
    !named.is_empty() && beside.filter_map(|i| page.lines.get(i)).any(row)
}

/// `Buffer pH   SMP buffer`, `Organic matter   Loss on ignition`: a name and behind it how it was measured, in a row without
/// a value.
fn is_method_of(name: &Part, behind: &Part) -> bool {
    let said = &behind.label;
    name.label.analyte == said.analyte && name.label.methods.is_empty() && said.method().is_some()
}

/// `H` in a column of `High`, `Medium` and `VL` rates what stands before it.
fn rates(page: &Layout, at: usize, part: &Part) -> bool {
    let rating = |p: &&Phrase| {
        let said = p.label(Context { symbols: false, capitals: false });
        said.only_rates() && said.analyte.is_none()
    };
    let others = page.lines.iter().enumerate().filter(|(i, _)| *i != at).flat_map(|(_, l)| &l.phrases);
    let mut over =
        others.filter(|p| p.area.overlap_x(&part.phrase.area) > 0.0 && p.text() != part.phrase.text());
    is_rating_letter(part.phrase.text()) && over.any(|p| rating(&p))
}

/// A note of procedures names many measurements, and is a sentence all the same.
pub fn is_sentence(line: &Line) -> bool {
    // `Extractant: Mehlich-1.   Buffer: Sikora.`: short ones side by side.
    let stops = || line.phrases.iter().all(|p| p.text().ends_with('.'));
    let says = || line.phrases.iter().any(|p| p.text().contains(": "));
    line.phrases.len() > 1 && stops() && says()
        || line.phrases.iter().any(|p| {
            let text = p.text();
            let words = text.split(' ').count();
            words > 5 && text.contains(';') || words > 8 && (text.contains(": ") || text.ends_with('.'))
        })
}

/// Lines close above and below a seed whose words are heading words join the band.
pub fn grow(
    page: &Layout,
    lines: &[Vec<Part>],
    seed: usize,
    floor: usize,
    context: Context,
    decimal: Decimal,
) -> Band {
    let (mut first, mut end) = (seed, seed + 1);
    let near = |a: usize, b: usize| match (page.lines.get(a), page.lines.get(b)) {
        (Some(a), Some(b)) if page.cells => b.area.y0 - a.area.y0 < 21.0,
        (Some(a), Some(b)) => b.area.y0 - a.area.y1 < NEAR * page.em,
        _ => false,
    };
    while end < lines.len()
        && near(end - 1, end)
        && (heading_like(page, lines, end, first..end, context, decimal)
            || is_row_of_limits(page, end) && heads_below(page, lines, end + 1, first..end, context, decimal))
    {
        end += 1;
    }
    while first > floor
        && near(first - 1, first)
        && (heading_like(page, lines, first - 1, first..end, context, decimal)
            || asks_beside(page, lines, first - 1, first..end, decimal))
        && !is_caption(page, first - 1, first..end)
    {
        first -= 1;
    }
    whole(page, lines, first, end, seed, context)
}

/// `Lab no.   Sample   Reaction   Available` over `pH   P` in a table file: cells merged down ask for the names of the rows in
/// columns that no line below heads, whatever the groups beside them are called.
fn asks_beside(
    page: &Layout,
    lines: &[Vec<Part>],
    at: usize,
    band: std::ops::Range<usize>,
    decimal: Decimal,
) -> bool {
    let (Some(line), Some(parts)) = (page.lines.get(at).filter(|_| page.cells), lines.get(at)) else {
        return false;
    };
    let taken = || page.lines.get(band.clone()).unwrap_or_default().iter().flat_map(|l| &l.phrases);
    let alone = |p: &Part| taken().all(|t| t.area.overlap_x(&p.phrase.area) <= 0.0);
    let asks = |p: &Part| {
        matches!(p.label.field, Some(Field::SampleLabel | Field::LabSample))
            && p.label.unknown.is_empty()
            && p.label.analyte.is_none()
            && !p.phrase.text().ends_with(':')
    };
    let field = |p: &Part| p.label.field.is_some();
    parts.len() > 2
        && numbers(line, decimal) == 0
        && parts.iter().any(|p| asks(p) && alone(p))
        && parts.iter().all(|p| field(p) == alone(p))
}

/// `Reporting limit   0.1   1.0   2`: a row of a heading whose figures are no values.
pub fn is_row_of_limits(page: &Layout, at: usize) -> bool {
    let Some(line) = page.lines.get(at).filter(|_| page.cells) else { return false };
    let Some((first, rest)) = line.phrases.split_first() else { return false };
    rest.len() > 1 && limit_of(first.text()).is_some()
}

/// True where the line below asks for names: only then a row of limits is part of a heading, and not a row below it.
fn heads_below(
    page: &Layout,
    lines: &[Vec<Part>],
    at: usize,
    band: std::ops::Range<usize>,
    context: Context,
    decimal: Decimal,
) -> bool {
    let asks = |p: &Part| matches!(p.label.field, Some(Field::SampleLabel | Field::LabSample));
    is_row_of_limits(page, at) && heads_below(page, lines, at + 1, band.clone(), context, decimal)
        || lines.get(at).is_some_and(|parts| parts.iter().any(asks))
            && heading_like(page, lines, at, band, context, decimal)
}

/// Two headings close over each other, with at most one line that was not understood between, are one: there is no row
/// of the upper one.
pub fn one_heading(page: &Layout, upper: &Band, lower: &Band) -> bool {
    let close = |at: usize| match (page.lines.get(at), page.lines.get(at + 1)) {
        (Some(a), Some(b)) => b.area.y0 - a.area.y1 < TIGHT * page.em,
        _ => false,
    };
    // In a table file a heading right below another is its next line where each of its cells stands under one above.
    let under = |leaf: &super::Leaf| upper.leaves.iter().any(|l| l.area.overlap_x(&leaf.area) > 0.0);
    let next = if page.cells {
        lower.first == upper.end && lower.leaves.iter().all(under) && lower.leaves.len() < upper.leaves.len()
    } else {
        lower.first <= upper.end + 1 && (upper.first..lower.end.saturating_sub(1)).all(close)
    };
    !upper.long() && !lower.long() && next
}

/// The words of these lines that stand over and under a piece of a heading, from the top.
pub fn column_words(page: &Layout, lines: std::ops::Range<usize>, area: &Rect) -> Vec<Token> {
    let over = |p: &Phrase| p.area.overlap_x(area) > 0.25 * p.area.width().min(area.width());
    let context = Context { symbols: true, capitals: false };
    let lines = page.lines.get(lines).unwrap_or_default().iter();
    // `pH Organic Matter` stands over two columns.
    let phrases = lines.flat_map(|l| l.phrases.iter().filter(|p| over(p)).flat_map(|p| split(p, context)));
    phrases.filter(over).flat_map(|p| p.tokens).collect()
}

/// `meq/` over `100 g`: a word that ends in a stroke goes on with the next one. The words, and of which each is made.
fn broken_words(words: &[Token]) -> (Vec<Token>, Vec<Vec<usize>>) {
    let mut out: Vec<Token> = Vec::new();
    let mut parts: Vec<Vec<usize>> = Vec::new();
    for (i, word) in words.iter().enumerate() {
        match (
            out.last_mut().filter(|last| last.text.len() > 1 && last.text.ends_with('/')),
            parts.last_mut(),
        ) {
            (Some(last), Some(own)) => {
                last.text.push_str(&word.text);
                last.area = last.area.union(&word.area);
                own.push(i);
            }
            _ => {
                out.push(word.clone());
                parts.push(vec![i]);
            }
        }
    }
    (out, parts)
}

/// The lines of a band with one more at its edge, and these with the next one beyond where that follows closely.
pub fn with_line(page: &Layout, band: &std::ops::Range<usize>, at: usize) -> [std::ops::Range<usize>; 2] {
    let own = at.min(band.start)..band.end.max(at + 1);
    let tight = |a: usize, b: usize| {
        let (Some(a), Some(b)) = (page.lines.get(a), page.lines.get(b)) else { return false };
        b.area.y0 - a.area.y1 < TIGHT * page.em
    };
    let above = own.start.checked_sub(1).filter(|a| at == own.start && tight(*a, own.start));
    let below = (at + 1 == own.end && tight(at, own.end)).then_some(own.end + 1);
    let wider = above.unwrap_or(own.start)..below.unwrap_or(own.end);
    [own, wider]
}

/// How far apart, in ems, lines of one heading stand at most.
pub const NEAR: f32 = 1.6;

/// How close, in ems, the lines of one heading follow each other.
pub const TIGHT: f32 = 0.85;

/// Numbers of a line that are no part of a name broken over lines: the `3` under `Mehlich` is, and the `100` of
/// `meq per` over `100 g`.
pub fn figures(page: &Layout, band: &std::ops::Range<usize>, at: usize, decimal: Decimal) -> usize {
    let Some(line) = page.lines.get(at) else { return 0 };
    let all = numbers(line, decimal);
    if all == 0 || page.cells {
        return all;
    }
    let [_, lines] = with_line(page, band, at);
    let named = |phrase: &Rect, atom: &Atom| {
        let words = column_words(page, lines.clone(), phrase);
        let own = |i: usize| words.get(i).is_some_and(|t| atom.tokens.contains(t));
        let (whole, parts) = broken_words(&words);
        let cut = cut(&whole);
        let of = |piece: usize| cut.owner(piece).and_then(|i| parts.get(i).cloned()).unwrap_or_default();
        let owners = |h: &Hit| (h.start..h.end).flat_map(of).collect::<Vec<_>>();
        let hits: Vec<Vec<usize>> =
            hits(&cut.pieces, Context { symbols: true, capitals: false }).iter().map(owners).collect();
        (0..words.len())
            .filter(|i| own(*i))
            .all(|i| hits.iter().any(|h| h.contains(&i) && h.iter().any(|k| !own(*k))))
    };
    // `1 1` under `pH` is one ratio: a phrase of figures alone is looked at whole.
    let free = line.phrases.iter().flat_map(|p| {
        let atoms = phrase_atoms(p, decimal);
        let figures = atoms.iter().all(|a| matches!(a.kind, Kind::Number(_)));
        atoms.into_iter().map(move |a| (if figures { p.area } else { a.area }, a))
    });
    free.filter(|(area, a)| matches!(a.kind, Kind::Number(_)) && !named(area, a)).count().min(all)
}

/// True where the words over and under a piece make it a whole that is understood.
pub fn completes(
    page: &Layout,
    band: &std::ops::Range<usize>,
    at: usize,
    part: &Part,
    context: Context,
) -> bool {
    with_line(page, band, at).into_iter().any(|lines| {
        let words = column_words(page, lines, &part.phrase.area);
        let (together, _) = broken_words(&words);
        let text = together.iter().map(|t| t.text.as_str()).collect::<Vec<_>>().join(" ");
        let whole = label(&text, context);
        // In a table file a cell is a whole: only what a soil was stirred into stands below its name.
        let cell = page.cells && !matches!(whole.analyte, Some(Analyte::Ph | Analyte::SolubleSalts));
        words.len() > part.phrase.tokens.len() && whole.known() && whole.unknown.is_empty() && !cell
    })
}

pub fn heading_like(
    page: &Layout,
    lines: &[Vec<Part>],
    at: usize,
    band: std::ops::Range<usize>,
    context: Context,
    decimal: Decimal,
) -> bool {
    let (Some(line), Some(parts)) = (page.lines.get(at), lines.get(at)) else { return false };
    let taken = page.lines.get(band.clone()).unwrap_or_default();
    let Some(own) = taken.iter().map(|l| l.area).reduce(|a, b| a.union(&b)) else { return false };
    if figures(page, &band, at, decimal) > 0 {
        return false;
    }
    // `2024   2021   2024   2021`: seasons side by side, wherever over them their names are set.
    let season = |p: &Part| p.label.year.is_some() && p.label.unknown.is_empty() && !p.label.known();
    let seasons = parts.iter().filter(|p| season(p)).count() > 1;
    let known = |p: &Part| p.label.known() || seasons && season(p) || completes(page, &band, at, p, context);
    // Names of the first columns, set in the middle of a two-line heading, stand beside its words.
    let beside = line.area.y0 - own.y1 < 0.4 * page.em && own.y0 - line.area.y1 < 0.4 * page.em;
    let over = beside || own.overlap_x(&line.area) > 0.0;
    let fits = |p: &Part| {
        let words = p.phrase.text();
        // `Client: Somebody` is a field with its value, a sentence is no heading.
        let field_with_value = words.contains(": ") || words.ends_with('.') && words.split(' ').count() > 4;
        !field_with_value
            && (words.split(' ').count() <= 8 || known(p) && p.label.unknown.is_empty())
            && (known(p) || (p.label.unknown.len() <= 1 && !words.chars().any(|c| c.is_ascii_digit())))
    };
    let understood = parts.iter().filter(|p| known(p)).count();
    !is_sentence(line)
        && (at >= band.start || !tells_days(line))
        && (page.cells || !parts.iter().any(asks_or_blank))
        && !is_dashed_row(parts)
        && over
        && parts.iter().all(fits)
        && (understood * 2 >= parts.len() || stacked(page, line, taken, &own) || runs_into(page, line, taken))
}

/// `Organic` half a line over `Phosphorus   Zinc`, and `matter` half a line under these: a line that runs into one of the
/// heading is of it, as cells set to the middle of their row are.
fn runs_into(page: &Layout, line: &Line, band: &[Line]) -> bool {
    !page.cells
        && band.iter().any(|b| b.area.overlap_y(&line.area) > 0.2 * line.area.height().min(b.area.height()))
}

/// `Location:` asks for the name of a form, and `NT` stands where a value is missing: neither is a word of a heading.
pub fn asks_or_blank(part: &Part) -> bool {
    let text = part.phrase.text();
    // `NA` and `N/A` may also be sodium and neutralizable acidity.
    let letters: String = text.chars().filter(|c| c.is_alphanumeric()).flat_map(char::to_lowercase).collect();
    part.label.field.is_some() && text.ends_with(':')
        || !letters.is_empty() && letters != "na" && is_blank(text)
}

/// `Buffer pH   --`: a row whose value is blank. Rules drawn with dashes under a heading have no name beside them.
fn is_dashed_row(parts: &[Part]) -> bool {
    let dashes = |p: &&Part| is_blank(p.phrase.text()) && !p.phrase.text().contains(char::is_alphanumeric);
    parts.first().is_some_and(|p| p.label.analyte.is_some()) && parts.iter().skip(1).any(|p| dashes(&p))
}

/// Words set tight over (or under) the words of the heading are its upper lines, known or not.
pub fn stacked(page: &Layout, line: &Line, band: &[Line], own: &Rect) -> bool {
    let gap = (own.y0 - line.area.y1).max(line.area.y0 - own.y1);
    gap < 0.8 * page.em
        && (line.phrases.len() >= 2
            || line.phrases.iter().all(|p| p.text().chars().count() <= 5 || of_one_column(p, band)))
        && line
            .phrases
            .iter()
            .all(|p| band.iter().flat_map(|l| &l.phrases).any(|s| s.area.overlap_x(&p.area) > 0.0))
}

/// `cations` over `and the` over `buffer`: a phrase that stands over (or under) one column of a heading and no other.
fn of_one_column(phrase: &Phrase, band: &[Line]) -> bool {
    let over: Vec<&Phrase> =
        band.iter().flat_map(|l| &l.phrases).filter(|p| p.area.overlap_x(&phrase.area) > 0.0).collect();
    over.iter().all(|a| over.iter().all(|b| a.area.overlap_x(&b.area) > 0.0))
        && over.iter().any(|a| a.area.width() * 2.0 > phrase.area.width())
}
