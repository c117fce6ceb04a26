//! Finds the heading bands of tables and makes one leaf a column out of stacked, spanned or turned words.

use super::atom::{Atom, Kind, phrase_atoms};
use super::cut::cut;
use super::label::{Label, label};
use super::layout::{Layout, Line, Phrase, Token};
use super::number::Decimal;
use super::span;
use super::vocabulary::{Context, Meaning, Role, hits};
use crate::place::Rect;
use crate::soil::{Analyte, Method, Unit};

/// One column of a heading.
#[derive(Debug, Clone, PartialEq)]
pub struct Leaf {
    /// The box around its words.
    pub area: Rect,
    /// Its own words, top to bottom.
    pub text: String,
    /// What they say, group headings included.
    pub label: Label,
    /// Footnote marks beside them or their group.
    pub marks: Vec<String>,
}

/// A heading band over a table whose rows are samples (or results, for a long table).
#[derive(Debug, Clone, PartialEq)]
pub struct Band {
    /// First line of the band.
    pub first: usize,
    /// One past its last line.
    pub end: usize,
    /// Columns from left to right.
    pub leaves: Vec<Leaf>,
    /// A method that a caption right above names for the table.
    pub caption: Option<Method>,
}

impl Band {
    /// Columns that name a measurement.
    pub fn results(&self) -> usize {
        self.leaves.iter().filter(|l| l.label.is_result()).count()
    }

    /// True where a line of several phrases right above its first line stands over its columns and is no part of it.
    pub fn unread_above(&self, page: &Layout, decimal: Decimal) -> bool {
        let Some(at) = self.first.checked_sub(1).filter(|_| !page.cells) else { return false };
        let (Some(line), Some(own)) = (page.lines.get(at), page.lines.get(self.first)) else { return false };
        let tight = own.area.y0 - line.area.y1 < TIGHT * page.em;
        let field = line.phrases.iter().any(|p| p.text().contains(':'));
        let over = |p: &Phrase| self.leaves.iter().any(|l| !l.label.decoy && l.area.overlap_x(&p.area) > 0.0);
        // A lone phrase counts where it is a group of shares or units; else it is a title.
        let group = |p: &Phrase| {
            let said = label(&p.text(), Context { symbols: false, capitals: false });
            said.saturation || said.unit.is_some() && said.unknown.is_empty()
        };
        let heading = line.phrases.len() > 1 || line.phrases.iter().any(group);
        tight
            && !field
            && heading
            && line.phrases.iter().any(over)
            && figures(page, &(self.first..self.end), at, decimal) * 3 <= line.phrases.len()
    }

    /// True for a table of one result a row: a column of names and a column of results.
    pub fn long(&self) -> bool {
        let has = |role| self.leaves.iter().any(|l| l.label.role == Some(role) && l.label.analyte.is_none());
        has(Role::Analyte) && has(Role::Result)
    }
}

struct Part {
    phrase: Phrase,
    label: Label,
}

/// The bands of a page, top to bottom.
pub fn bands(page: &Layout, context: Context, decimal: Decimal) -> Vec<Band> {
    let space = if page.cells { f32::INFINITY } else { word_space(page) };
    let lines: Vec<Vec<Part>> =
        page.lines.iter().enumerate().map(|(i, l)| parts(l, &goes_on(page, i), space, context)).collect();
    let mut out: Vec<Band> = Vec::new();
    let mut at = 0;
    while at < lines.len() {
        if is_seed(page, &lines, at, decimal) {
            let first = out.last().map_or(0, |b| b.end);
            let mut band = grow(page, &lines, at, first, context, decimal);
            if let Some(upper) = out.pop_if(|upper| one_heading(page, upper, &band)) {
                band = whole(page, &lines, upper.first, band.end, band.first, context);
            }
            at = band.end;
            out.push(band);
        } else {
            at += 1;
        }
    }
    out.extend(turned_band(page, context, decimal, &out));
    out.sort_by_key(|b| b.first);
    out
}

/// The usual gap between the words of a page, points.
fn word_space(page: &Layout) -> f32 {
    let mut gaps: Vec<f32> = page
        .lines
        .iter()
        .flat_map(|l| &l.phrases)
        .flat_map(|p| p.tokens.windows(2))
        .filter_map(|w| if let [a, b] = w { Some(b.area.x0 - a.area.x1) } else { None })
        .collect();
    gaps.sort_by(f32::total_cmp);
    gaps.get(gaps.len() / 2).copied().unwrap_or(f32::INFINITY)
}

/// Headings of columns set close together stand further apart than the words of each.
fn wide_apart(phrase: &Phrase, space: f32) -> Vec<Phrase> {
    let mut out = Vec::new();
    let mut from = 0;
    for (i, pair) in phrase.tokens.windows(2).enumerate() {
        if let [a, b] = pair
            && b.area.x0 - a.area.x1 > (WIDE * space).max(0.5 * a.size)
        {
            out.extend(phrase.part(from, i + 1));
            from = i + 1;
        }
    }
    if from == 0 {
        return vec![phrase.clone()];
    }
    out.extend(phrase.part(from, phrase.tokens.len()));
    if let Some(last) = out.last_mut() {
        last.marks.clone_from(&phrase.marks);
    }
    out
}

/// How many times the usual gap between words parts two headings.
const WIDE: f32 = 1.7;

/// The line tight below one of print, in which its headings may go on.
fn goes_on(page: &Layout, at: usize) -> Vec<Phrase> {
    let (Some(line), Some(below)) = (page.lines.get(at), page.lines.get(at + 1)) else { return Vec::new() };
    let tight = !page.cells && below.area.y0 - line.area.y1 < TIGHT * page.em;
    if tight { below.phrases.clone() } else { Vec::new() }
}

fn parts(line: &Line, below: &[Phrase], space: f32, context: Context) -> Vec<Part> {
    let context = shouted(line, context);
    // `P Sodium` over `bicarbonate` is phosphorus in an extract of that name, and no sodium.
    let one = |p: &Phrase| {
        below.iter().filter(|b| b.area.overlap_x(&p.area) > 0.5 * b.area.width().min(p.area.width())).any(
            |b| {
                let whole = label(&format!("{} {}", p.text(), b.text()), context);
                whole.analyte.is_some() && !whole.several && whole.unknown.is_empty()
            },
        )
    };
    line.phrases
        .iter()
        .flat_map(|p| wide_apart(p, space))
        .flat_map(|p| units_apart(&p))
        .flat_map(|p| if one(&p) { vec![p] } else { split(&p, context) })
        .map(|phrase| Part { label: label(&phrase.text(), context), phrase })
        .collect()
}

/// A heading in capitals alone prints `CA` for calcium, whatever the rest of the document does.
fn shouted(line: &Line, context: Context) -> Context {
    let text: String = line.phrases.iter().map(Phrase::text).collect();
    let capitals = line.phrases.len() > 4
        && text.chars().any(char::is_uppercase)
        && !text.chars().any(char::is_lowercase);
    Context { capitals: context.capitals || capitals, ..context }
}

/// Words of the longest printed unit: `lb per 1000 sq ft`, with room.
const UNIT_WORDS: usize = 8;

/// `ppm meq/100 g`: a phrase of units alone is the units of neighbouring columns.
fn units_apart(phrase: &Phrase) -> Vec<Phrase> {
    let context = Context { symbols: false, capitals: false };
    let unit = |part: &Phrase| {
        let words = super::fold::pieces(&part.text());
        let hits = super::vocabulary::hits_where(&words, context, &|m| matches!(m, Meaning::Unit(_)));
        matches!(hits.as_slice(), [hit] if hit.start == 0 && hit.end == words.len())
    };
    let mut units = Vec::new();
    let mut at = 0;
    while at < phrase.tokens.len() {
        let ends = (at + 1..=phrase.tokens.len().min(at + UNIT_WORDS)).rev();
        let Some((part, end)) =
            ends.filter_map(|end| Some((phrase.part(at, end)?, end))).find(|(p, _)| unit(p))
        else {
            return vec![phrase.clone()];
        };
        units.push(part);
        at = end;
    }
    // What stands alone keeps its marks.
    if units.len() > 1 { units } else { vec![phrase.clone()] }
}

/// A phrase that names several measurements side by side is several headings set close together.
fn split(phrase: &Phrase, context: Context) -> Vec<Phrase> {
    if phrase.tokens.len() < 2 || !label(&phrase.text(), context).several {
        return vec![phrase.clone()];
    }
    let cut = cut(&phrase.tokens);
    let starts: Vec<usize> = hits(&cut.pieces, context)
        .into_iter()
        .filter(|h| matches!(h.meaning, Meaning::Analyte(..) | Meaning::Other))
        .filter_map(|h| cut.owner(h.start))
        .collect();
    let mut cuts: Vec<usize> = starts.into_iter().skip(1).filter(|s| *s > 0).collect();
    cuts.dedup();
    let mut out = Vec::new();
    let mut from = 0;
    for cut in cuts.into_iter().chain([phrase.tokens.len()]) {
        out.extend(phrase.part(from, cut));
        from = cut;
    }
    out
}

fn numbers(line: &Line, decimal: Decimal) -> usize {
    let procedure = |p: &&Phrase| {
        // `0.01 M CaCl2` and `1:1 water` are procedures, whatever figures they begin with.
        let text = p.text();
        text.contains(char::is_alphabetic)
            && !label(&text, Context { symbols: false, capitals: false }).methods.is_empty()
    };
    line.phrases
        .iter()
        .filter(|p| !procedure(p))
        .flat_map(|p| phrase_atoms(p, decimal))
        .filter(|a| matches!(a.kind, Kind::Number(_)))
        .count()
}

/// A heading names at least two measurements (or the columns of a long table) and holds no numbers.
fn is_seed(page: &Layout, lines: &[Vec<Part>], at: usize, decimal: Decimal) -> bool {
    let (Some(line), Some(parts)) = (page.lines.get(at), lines.get(at)) else { return false };
    let short = |p: &&Part| p.phrase.tokens.iter().map(|t| t.text.split(' ').count()).sum::<usize>() <= 7;
    let named = parts
        .iter()
        .filter(short)
        .filter(|p| {
            (p.label.analyte.is_some() || p.label.other) && !p.label.several && p.label.unknown.is_empty()
        })
        .count();
    let numbers = numbers(line, decimal);
    let has = |role| parts.iter().any(|p| p.label.role == Some(role) && p.label.analyte.is_none());
    let long = has(Role::Analyte) && has(Role::Result);
    if is_sentence(line) {
        return false;
    }
    (named >= 2 && numbers * 3 <= named) || (long && numbers == 0)
}

/// A note of procedures names many measurements, and is a sentence all the same.
fn is_sentence(line: &Line) -> bool {
    line.phrases.iter().any(|p| {
        let text = p.text();
        let words = text.split(' ').count();
        words > 5 && text.contains(';') || words > 8 && (text.contains(": ") || text.ends_with('.'))
    })
}

/// Lines close above and below a seed whose words are heading words join the band.
fn grow(
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
        (Some(a), Some(b)) => b.area.y0 - a.area.y1 < 1.6 * page.em,
        _ => false,
    };
    while end < lines.len()
        && near(end - 1, end)
        && heading_like(page, lines, end, first..end, context, decimal)
    {
        end += 1;
    }
    while first > floor
        && near(first - 1, first)
        && heading_like(page, lines, first - 1, first..end, context, decimal)
        && !is_caption(page, first - 1, first..end)
    {
        first -= 1;
    }
    whole(page, lines, first, end, seed, context)
}

/// Two headings close over each other, with at most one line that was not understood between, are one: there is no row
/// of the upper one.
fn one_heading(page: &Layout, upper: &Band, lower: &Band) -> bool {
    let close = |at: usize| match (page.lines.get(at), page.lines.get(at + 1)) {
        (Some(a), Some(b)) => b.area.y0 - a.area.y1 < TIGHT * page.em,
        _ => false,
    };
    !page.cells
        && !upper.long()
        && !lower.long()
        && lower.first <= upper.end + 1
        && (upper.first..lower.end.saturating_sub(1)).all(close)
}

/// The band of these lines.
fn whole(
    page: &Layout,
    lines: &[Vec<Part>],
    first: usize,
    end: usize,
    seed: usize,
    context: Context,
) -> Band {
    let phrases: Vec<Phrase> =
        lines.get(first..end).unwrap_or_default().iter().flatten().map(|p| p.phrase.clone()).collect();
    let context = page.lines.get(seed).map_or(context, |l| shouted(l, context));
    let caption = caption(page, first, context);
    let mut leaves = leaves(phrases, page.cells, context);
    if let Some(unit) = caption.as_ref().and_then(|c| c.unit.clone()) {
        captioned(&mut leaves, &unit);
    }
    Band { first, end, leaves, caption: caption.and_then(|c| c.method()) }
}

/// A line of one phrase that starts at the left of the table is a caption, no upper line of the heading.
fn is_caption(page: &Layout, at: usize, band: std::ops::Range<usize>) -> bool {
    let heading = page.lines.get(band.clone()).unwrap_or_default();
    let (Some(line), Some(below), Some(own)) =
        (page.lines.get(at), heading.first(), heading.iter().map(|l| l.area).reduce(|a, b| a.union(&b)))
    else {
        return false;
    };
    let gap = below.area.y0 - line.area.y1;
    // The lines of one heading follow each other at one distance.
    let even = heading.get(1).is_some_and(|next| gap < 1.15 * (next.area.y0 - below.area.y1).max(0.0))
        && gap < TIGHT * page.em;
    // `Lab` set tight over `Sample ID` is the first word of a heading.
    let word = line.phrases.iter().all(|p| {
        let text = p.text();
        !text.contains(' ') && text.chars().count() <= 10
    }) && heading.iter().flat_map(|l| &l.phrases).any(|p| p.area.overlap_x(&line.area) > 0.0)
        && (gap < 0.6 * page.em || even);
    let wide = heading.iter().any(|l| l.phrases.len() > 3);
    line.phrases.len() == 1 && wide && line.area.x0 <= own.x0 + page.em && !word
}

/// `Routine tests (Mehlich 3)` right above a heading.
fn caption(page: &Layout, first: usize, context: Context) -> Option<Label> {
    let line = page.lines.get(first.checked_sub(1)?)?;
    let below = page.lines.get(first)?;
    let [phrase] = line.phrases.as_slice() else { return None };
    let text = phrase.text();
    let near = page.cells || below.area.y0 - line.area.y1 < 4.0 * page.em;
    (near && text.split(' ').count() <= 10 && !text.ends_with('.')).then(|| label(&text, context))
}

/// `Micronutrients (DTPA), ppm`: the unit of a caption reaches the nutrients without one of their own, where no column
/// of the table is counted in another.
fn captioned(leaves: &mut [Leaf], unit: &(&'static str, String)) {
    let nutrient =
        |l: &Leaf| l.label.is_result() && l.label.analyte.is_some_and(|a| a.unit() == Unit::MgPerKg);
    let counted = super::units::conversion(unit.0, Unit::MgPerKg).is_some() && unit.0 != "%";
    if !counted || leaves.iter().any(|l| nutrient(l) && l.label.unit.is_some()) {
        return;
    }
    for leaf in leaves.iter_mut().filter(|l| nutrient(l)) {
        leaf.label.unit = Some(unit.clone());
    }
}

/// The words of these lines that stand over and under a piece of a heading, from the top.
fn column_words(page: &Layout, lines: std::ops::Range<usize>, area: &Rect) -> Vec<Token> {
    let over = |p: &Phrase| p.area.overlap_x(area) > 0.25 * p.area.width().min(area.width());
    let context = Context { symbols: true, capitals: false };
    let lines = page.lines.get(lines).unwrap_or_default().iter();
    // `pH Organic Matter` stands over two columns.
    let phrases = lines.flat_map(|l| l.phrases.iter().filter(|p| over(p)).flat_map(|p| split(p, context)));
    phrases.filter(over).flat_map(|p| p.tokens).collect()
}

/// The lines of a band with one more at its edge, and these with the next one beyond where that follows closely.
fn with_line(page: &Layout, band: &std::ops::Range<usize>, at: usize) -> [std::ops::Range<usize>; 2] {
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

/// How close, in ems, the lines of one heading follow each other.
const TIGHT: f32 = 0.85;

/// Numbers of a line that are no part of a name broken over lines: the `3` under `Mehlich` is, and the `100` of
/// `meq per` over `100 g`.
fn figures(page: &Layout, band: &std::ops::Range<usize>, at: usize, decimal: Decimal) -> usize {
    let Some(line) = page.lines.get(at) else { return 0 };
    let all = numbers(line, decimal);
    if all == 0 || page.cells {
        return all;
    }
    let [_, lines] = with_line(page, band, at);
    let named = |phrase: &Rect, atom: &Atom| {
        let words = column_words(page, lines.clone(), phrase);
        let own = |i: usize| words.get(i).is_some_and(|t| atom.tokens.contains(t));
        let cut = cut(&words);
        let owners =
            |h: &super::vocabulary::Hit| (h.start..h.end).filter_map(|p| cut.owner(p)).collect::<Vec<_>>();
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
fn completes(page: &Layout, band: &std::ops::Range<usize>, at: usize, part: &Part, context: Context) -> bool {
    !page.cells
        && with_line(page, band, at).into_iter().any(|lines| {
            let words = column_words(page, lines, &part.phrase.area);
            let text = words.iter().map(|t| t.text.as_str()).collect::<Vec<_>>().join(" ");
            let whole = label(&text, context);
            words.len() > part.phrase.tokens.len() && whole.known() && whole.unknown.is_empty()
        })
}

fn heading_like(
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
    let known = |p: &Part| p.label.known() || completes(page, &band, at, p, context);
    // Names of the first columns, set in the middle of a two-line heading, stand beside its words.
    let beside = line.area.y0 - own.y1 < 0.4 * page.em && own.y0 - line.area.y1 < 0.4 * page.em;
    let over = beside || own.overlap_x(&line.area) > 0.0;
    let fits = |p: &Part| {
        let words = p.phrase.text();
        // `Client: Somebody` is a field with its value, a sentence is no heading.
        let field_with_value = words.contains(": ") || words.ends_with('.') && words.split(' ').count() > 4;
        !field_with_value
            && words.split(' ').count() <= 8
            && (known(p) || (p.label.unknown.len() <= 1 && !words.chars().any(|c| c.is_ascii_digit())))
    };
    let understood = parts.iter().filter(|p| known(p)).count();
    !is_sentence(line)
        && (page.cells || !parts.iter().any(asks_or_blank))
        && over
        && parts.iter().all(fits)
        && (understood * 2 >= parts.len() || stacked(page, line, taken, &own))
}

/// `Location:` asks for the name of a form, and `NT` stands where a value is missing: neither is a word of a heading.
fn asks_or_blank(part: &Part) -> bool {
    let text = part.phrase.text();
    // `NA` and `N/A` may also be sodium and neutralizable acidity.
    let letters: String = text.chars().filter(|c| c.is_alphanumeric()).flat_map(char::to_lowercase).collect();
    part.label.field.is_some() && text.ends_with(':')
        || !letters.is_empty() && letters != "na" && super::atom::is_blank(&text)
}

/// Words set tight over (or under) the words of the heading are its upper lines, known or not.
fn stacked(page: &Layout, line: &Line, band: &[Line], own: &Rect) -> bool {
    let gap = (own.y0 - line.area.y1).max(line.area.y0 - own.y1);
    gap < 0.8 * page.em
        && (line.phrases.len() >= 2 || line.phrases.iter().all(|p| p.text().chars().count() <= 5))
        && line
            .phrases
            .iter()
            .all(|p| band.iter().flat_map(|l| &l.phrases).any(|s| s.area.overlap_x(&p.area) > 0.0))
}

/// Turned headings: at least three that end at the same height, with whatever upright words stand among them.
fn turned_band(page: &Layout, context: Context, decimal: Decimal, others: &[Band]) -> Option<Band> {
    let named = page.turned.iter().filter(|p| label(&p.text(), context).analyte.is_some()).count();
    if named < 3 {
        return None;
    }
    let area = page.turned.iter().map(|p| p.area).reduce(|a, b| a.union(&b))?;
    let inside = |l: &Line| l.area.mid_y() > area.y0 - page.em && l.area.mid_y() < area.y1 + 0.6 * page.em;
    let first = page
        .lines
        .iter()
        .position(inside)
        .or_else(|| page.lines.iter().position(|l| l.area.y0 >= area.y1))?;
    let mut end = page.lines.iter().rposition(inside).map_or(first, |i| i + 1);
    // Their units may stand upright on the line below, beside the names of the first columns.
    let units = |l: &Line| {
        let near = l.area.y0 >= area.y1 - page.em && l.area.y0 - area.y1 < 1.6 * page.em;
        let said = parts(l, &[], word_space(page), context);
        near && numbers(l, decimal) == 0
            && said.iter().all(|p| p.label.known() && p.label.analyte.is_none())
            && said.iter().filter(|p| p.label.unit.is_some()).count() >= 2
    };
    if page.lines.get(end).is_some_and(units) {
        end += 1;
    }
    if others.iter().any(|b| b.first < end.max(first + 1) && first < b.end) {
        return None;
    }
    let upright = page.lines.get(first..end).unwrap_or_default();
    if upright.iter().any(|l| numbers(l, decimal) > 0) {
        return None;
    }
    // Groups are set upright above the turned words, sometimes well above.
    let group = |l: &Line| {
        let near = l.area.y1 <= area.y0 + page.em && area.y0 - l.area.y1 < 5.0 * page.em;
        near && l.phrases.iter().all(|p| {
            let said = label(&p.text(), context);
            p.area.x0 >= area.x0 - page.em
                && p.area.x1 <= area.x1 + 4.0 * page.em
                && said.field.is_none()
                && (said.unit.is_some() || said.saturation || !said.methods.is_empty())
        })
    };
    let first =
        (0..first).rev().take_while(|i| page.lines.get(*i).is_some_and(group)).last().unwrap_or(first);
    let upright = page.lines.get(first..end).unwrap_or_default();
    let phrases = page.turned.iter().cloned().chain(upright.iter().flat_map(|l| l.phrases.clone())).collect();
    Some(Band {
        first,
        end,
        leaves: leaves(phrases, page.cells, context),
        caption: caption(page, first, context).and_then(|c| c.method()),
    })
}

/// Stacks words that stand over each other into columns; words over two or more columns are groups of these.
fn leaves(phrases: Vec<Phrase>, cells: bool, context: Context) -> Vec<Leaf> {
    let phrases = if cells { spread_shares(phrases, context) } else { phrases };
    let (mut phrases, spans) = span::set_apart(phrases, cells, context);
    phrases.sort_by(|a, b| a.area.width().total_cmp(&b.area.width()));
    let mut columns: Vec<(Rect, Vec<Phrase>)> = Vec::new();
    let mut groups: Vec<Phrase> = Vec::new();
    for phrase in phrases {
        let under: Vec<usize> = columns
            .iter()
            .enumerate()
            .filter(|(_, (area, _))| {
                area.overlap_x(&phrase.area) > 0.25 * area.width().min(phrase.area.width())
            })
            .map(|(i, _)| i)
            .collect();
        match under.as_slice() {
            [] => columns.push((phrase.area, vec![phrase])),
            [one] if !beside(columns.get(*one), &phrase) => {
                if let Some((area, stack)) = columns.get_mut(*one) {
                    *area = area.union(&phrase.area);
                    stack.push(phrase);
                }
            }
            _ => groups.push(phrase),
        }
    }
    columns.sort_by(|a, b| a.0.x0.total_cmp(&b.0.x0));
    for (_, stack) in &mut columns {
        stack.sort_by(|a, b| a.area.y0.total_cmp(&b.area.y0));
    }
    let stacks: Vec<Vec<String>> =
        columns.iter().map(|(_, stack)| stack.iter().map(Phrase::text).collect()).collect();
    let mut leaves: Vec<Leaf> = columns
        .into_iter()
        .map(|(area, stack)| {
            let text = stacked_text(&stack);
            let over: Vec<&Phrase> =
                groups.iter().filter(|g| g.area.overlap_x(&area) > 0.5 * area.width()).collect();
            let mut own = label(&text, context);
            if !own.known()
                || (own.analyte.is_none() && own.field.is_none() && own.role.is_none() && !own.other)
            {
                let joined =
                    over.iter().map(|g| g.text()).chain([text.clone()]).collect::<Vec<_>>().join(" ");
                let with_group = label(&joined, context);
                // `pH` over `Soil` and `Buffer`: the leaf alone names nothing, under its group a measurement.
                let completed = own.unit.is_none()
                    && with_group.unknown.is_empty()
                    && !with_group.several
                    && matches!(with_group.analyte, Some(Analyte::Ph | Analyte::BufferPh));
                if with_group.field.is_some() && with_group.analyte.is_none() || completed {
                    own = with_group;
                }
            }
            let mut marks: Vec<String> = stack.iter().flat_map(|p| p.marks.clone()).collect();
            for group in over {
                own = own.under(&label(&group.text(), context));
                marks.extend(group.marks.iter().cloned());
            }
            Leaf { area, text, label: own, marks }
        })
        .collect();
    spread_groups(&mut leaves, &stacks, &groups, context);
    span::apply(&mut leaves, &spans, cells, context);
    former_seasons(&mut leaves);
    ratings(&mut leaves);
    beside_shares(&mut leaves);
    lone_methods(&mut leaves);
    named_twice(&mut leaves);
    leaves
}

/// A method that stands over no column of its own is of the one on its left or its right.
fn lone_methods(leaves: &mut [Leaf]) {
    let lone: Vec<usize> = leaves
        .iter()
        .enumerate()
        .filter(|(_, l)| {
            let said = &l.label;
            let method = !said.methods.is_empty() && said.unit.is_none() && said.unknown.is_empty();
            method && said.analyte.is_none() && said.field.is_none() && said.role.is_none() && !said.decoy
        })
        .map(|(i, _)| i)
        .collect();
    for i in lone.iter().flat_map(|i| [i.checked_sub(1), i.checked_add(1)]).flatten() {
        if let Some(leaf) = leaves.get_mut(i).filter(|l| l.label.is_result() && l.label.methods.is_empty()) {
            leaf.label.unknown.push("a method beside it".to_owned());
        }
    }
}

/// Of two columns of one measurement the one without an extract of its own is not sure to be a second result: it may
/// be a share, a rate or a rating whose group heading was not seen.
fn named_twice(leaves: &mut [Leaf]) {
    let results: Vec<Analyte> =
        leaves.iter().filter(|l| l.label.is_result()).filter_map(|l| l.label.analyte).collect();
    for leaf in leaves.iter_mut().filter(|l| l.label.is_result() && l.label.methods.is_empty()) {
        let cation = leaf.label.analyte.is_some_and(|a| a.mg_per_cmol().is_some());
        if cation
            && leaf.marks.is_empty()
            && leaf.label.analyte.is_some_and(|a| results.iter().filter(|r| **r == a).count() > 1)
        {
            leaf.label.unknown.push(SECOND.to_owned());
        }
    }
    // A plain pH beside another pH may be another liquid's, or a buffer's.
    let plain = |l: &Leaf| {
        let said = &l.label;
        said.is_result()
            && said.analyte == Some(Analyte::Ph)
            && said.methods.is_empty()
            && said.liquid.is_none()
    };
    if results.iter().filter(|a| **a == Analyte::Ph).count() > 1 {
        for leaf in leaves.iter_mut().filter(|l| plain(l)) {
            leaf.label.unknown.push(SECOND.to_owned());
        }
    }
    // A share is printed once.
    let shares: Vec<Analyte> = results
        .iter()
        .copied()
        .filter(|a| {
            matches!(a, Analyte::SatK | Analyte::SatCa | Analyte::SatMg | Analyte::SatNa | Analyte::SatH)
        })
        .collect();
    for leaf in leaves.iter_mut().filter(|l| l.label.is_result()) {
        if leaf.label.analyte.is_some_and(|a| shares.iter().filter(|s| **s == a).count() > 1) {
            leaf.label.unknown.push(SECOND.to_owned());
        }
    }
    // What stands in a row with these may be of their kind.
    let bare = |l: &Leaf| {
        l.text.trim().chars().count() <= 2
            && l.label.unit.is_none()
            && l.label.methods.is_empty()
            && l.label.analyte.is_some_and(|a| a == Analyte::Acidity || a.mg_per_cmol().is_some())
    };
    for order in [(0..leaves.len()).collect::<Vec<_>>(), (0..leaves.len()).rev().collect()] {
        let mut run = false;
        for i in order {
            let Some(leaf) = leaves.get_mut(i) else { continue };
            let second = leaf.label.unknown.iter().any(|u| u == SECOND);
            if bare(leaf) && run && !second {
                leaf.label.unknown.push(SECOND.to_owned());
            }
            run = bare(leaf) && (second || run);
        }
    }
}

const SECOND: &str = "a second column of that name";

/// `pH Optimum` beside `pH` holds what is wished for; alone it waits for a person.
fn ratings(leaves: &mut [Leaf]) {
    let plain: Vec<Analyte> =
        leaves.iter().filter(|l| !l.label.rating).filter_map(|l| l.label.analyte).collect();
    for label in leaves.iter_mut().map(|l| &mut l.label).filter(|l| l.rating && l.is_result()) {
        if label.analyte.is_some_and(|a| plain.contains(&a)) {
            label.decoy = true;
        } else {
            label.unknown.push("a rating".to_owned());
        }
    }
}

/// A bare symbol of a cation right beside shares of the exchange complex may be one of them: the group's heading need
/// not reach over all its columns.
fn beside_shares(leaves: &mut [Leaf]) {
    use crate::soil::Analyte::{SatCa, SatH, SatK, SatMg, SatNa};
    let share: Vec<bool> =
        leaves.iter().map(|l| matches!(l.label.analyte, Some(SatCa | SatH | SatK | SatMg | SatNa))).collect();
    // Only a bare symbol's share comes of a heading over it.
    let bare = |l: &Leaf| l.text.trim().chars().count() <= 2;
    let grouped: Vec<bool> = leaves.iter().zip(&share).map(|(l, s)| *s && bare(l)).collect();
    for (i, leaf) in leaves.iter_mut().enumerate() {
        let next = [i.checked_sub(1), i.checked_add(1)].into_iter().flatten();
        let beside = next.filter_map(|n| grouped.get(n)).any(|s| *s);
        let cation = leaf.label.analyte.is_some_and(|a| a.mg_per_cmol().is_some());
        if beside && cation && bare(leaf) && leaf.label.unit.is_none() && leaf.label.methods.is_empty() {
            leaf.label.unknown.push("a share or an amount".to_owned());
        }
    }
}

/// `P` beside `P 2023`: the column with an older year is a former season's, also where the present cell is blank. A
/// year on one column alone is a doubt.
fn former_seasons(leaves: &mut [Leaf]) {
    let named: Vec<(Analyte, Option<i16>)> =
        leaves.iter().filter_map(|l| Some((l.label.analyte?, l.label.year))).collect();
    if named.iter().all(|(_, y)| y.is_none())
        || named.windows(2).all(|w| w.iter().all(|(_, y)| *y == named.first().and_then(|n| n.1)))
    {
        return;
    }
    for leaf in leaves.iter_mut() {
        let (Some(analyte), Some(year)) = (leaf.label.analyte, leaf.label.year) else { continue };
        let later = named.iter().any(|(a, y)| *a == analyte && y.is_none_or(|y| y > year));
        if later {
            leaf.label.decoy = true;
        } else if named.iter().filter(|(a, _)| *a == analyte).count() == 1 {
            leaf.label.unknown.push(year.to_string());
        }
    }
}

/// In a table file `% Base Saturation` (or `Recommendations`) stands in the first of its columns and the cells beside it are empty: it reaches
/// to the next words of its row.
fn spread_shares(mut phrases: Vec<Phrase>, context: Context) -> Vec<Phrase> {
    let right = phrases.iter().map(|p| p.area.x1).fold(0.0, f32::max);
    let all = phrases.clone();
    let places: Vec<Rect> = phrases.iter().map(|p| p.area).collect();
    for phrase in &mut phrases {
        let l = label(&phrase.text(), context);
        let row = |r: &&Rect| (r.y0 - phrase.area.y0).abs() < 1.0 && r.x0 > phrase.area.x0 + 1.0;
        let next = places.iter().filter(row).map(|r| r.x0).fold(f32::INFINITY, f32::min);
        // In the row of the names themselves the next name stands right beside it.
        if (l.saturation || l.decoy)
            && l.analyte.is_none()
            && phrase.area.width() < 100.0
            && next > phrase.area.x1 + 50.0
        {
            let shares = if l.saturation { shares_from(&all, phrase, next, context) } else { None };
            phrase.area.x1 = shares.unwrap_or((next - 4.0).min(right));
        }
    }
    phrases
}

/// The right edge of the columns under a heading of shares: cations side by side, each once, without an extract or a
/// unit of an amount.
fn shares_from(phrases: &[Phrase], group: &Phrase, next: f32, context: Context) -> Option<f32> {
    let mut columns: Vec<(Rect, String)> = Vec::new();
    let mut under: Vec<&Phrase> = phrases
        .iter()
        .filter(|p| p.area.y0 > group.area.y0 + 1.0 && p.area.x0 > group.area.x0 - 1.0 && p.area.x0 < next)
        .collect();
    under.sort_by(|a, b| a.area.x0.total_cmp(&b.area.x0).then(a.area.y0.total_cmp(&b.area.y0)));
    for p in under {
        match columns.last_mut() {
            Some((area, text)) if (area.x0 - p.area.x0).abs() < 1.0 => *text = format!("{text} {}", p.text()),
            _ => columns.push((p.area, p.text())),
        }
    }
    let mut seen: Vec<Analyte> = Vec::new();
    let mut edge = None;
    let mut at = group.area.x0;
    for (area, text) in columns {
        let said = label(&text, context);
        let Some(analyte) = said.analyte.filter(|_| (area.x0 - at).abs() < 1.0) else { break };
        let share =
            analyte == Analyte::Acidity || analyte.saturation().is_some() || analyte.id().starts_with("sat_");
        let amount = said.unit.as_ref().is_some_and(|u| u.0 != "%") || !said.methods.is_empty();
        if !share || amount || seen.contains(&analyte) {
            break;
        }
        seen.push(analyte);
        at = area.x0 + 100.0;
        edge = Some(area.x1);
    }
    edge
}

/// Words over each other with single spaces; `Phos-` over `phorus` is one word.
fn stacked_text(stack: &[Phrase]) -> String {
    let mut out = String::new();
    for phrase in stack {
        let text = phrase.text();
        let broken = out.ends_with('-')
            && out.chars().rev().nth(1).is_some_and(char::is_alphabetic)
            && text.starts_with(char::is_lowercase);
        // `mg/` over `dm3`, `P-` over `I`: the line was broken inside a word.
        let inside = out.ends_with('/')
            || out.ends_with('-') && text.chars().count() <= 2 && text.chars().all(char::is_uppercase);
        if broken {
            out.pop();
        } else if !out.is_empty() && !inside {
            out.push(' ');
        }
        out.push_str(&text);
    }
    out
}

/// `Extractable elements` set over the middle of its columns stacks on one of them alone; what it says holds for the
/// neighbours of the same kind that have no heading of their own above them.
fn spread_groups(leaves: &mut [Leaf], stacks: &[Vec<String>], groups: &[Phrase], context: Context) {
    const GROUPS: &[&str] = &[
        "elements",
        "nutrients",
        "extractable",
        "cations",
        "minerals",
        "macronutrients",
        "micronutrients",
        "available",
        "exchangeable",
    ];
    let names_a_group = |text: &str| {
        let lower = text.to_lowercase();
        lower.split(' ').any(|w| GROUPS.contains(&w))
    };
    let nutrient = |l: &Leaf| l.label.analyte.is_some_and(|a| a.unit() == Unit::MgPerKg);
    let bare = |l: &Leaf| nutrient(l) && !l.text.contains(' ') && l.marks.is_empty();
    let mut spread: Vec<(Vec<usize>, Vec<String>, String)> = Vec::new();
    for (i, (leaf, lines)) in leaves.iter().zip(stacks).enumerate().filter(|(_, (l, _))| nutrient(l)) {
        // What stands under the group's own words is said of this column alone.
        let names_none = |line: &str| label(line, context).analyte.is_none();
        if let Some(group) =
            lines.iter().find(|line| line.contains(' ') && names_a_group(line) && names_none(line))
        {
            spread.push((vec![i], leaf.marks.clone(), group.clone()));
        }
    }
    for group in groups.iter().filter(|g| names_a_group(&g.text())) {
        let under: Vec<usize> = leaves
            .iter()
            .enumerate()
            .filter(|(_, l)| nutrient(l) && group.area.overlap_x(&l.area) > 0.0)
            .map(|(i, _)| i)
            .collect();
        spread.push((under, group.marks.clone(), group.text()));
    }
    for (under, marks, text) in spread {
        let (Some(first), Some(last)) = (under.first().copied(), under.last().copied()) else { continue };
        let said = Label { methods: label(&text, context).methods, ..Label::default() };
        let mut run: Vec<usize> = (0..first).rev().take_while(|i| leaves.get(*i).is_some_and(bare)).collect();
        run.extend((last + 1..leaves.len()).take_while(|i| leaves.get(*i).is_some_and(bare)));
        run.extend(under);
        for i in run {
            if let Some(l) = leaves.get_mut(i) {
                if l.marks.is_empty() {
                    l.marks.clone_from(&marks);
                }
                l.label = l.label.clone().under(&said);
            }
        }
    }
}

/// Two phrases of the same line are never a stack.
fn beside(column: Option<&(Rect, Vec<Phrase>)>, phrase: &Phrase) -> bool {
    column.is_some_and(|(_, stack)| {
        stack.iter().any(|p| p.area.overlap_y(&phrase.area) > 0.5 * p.area.height().min(phrase.area.height()))
    })
}

#[cfg(test)]
mod tests {
    use super::super::layout::{layout, tests::typed};
    use super::*;
    use crate::soil::Analyte;

    const CONTEXT: Context = Context { symbols: true, capitals: false };

    #[test]
    fn units_set_close_together_are_those_of_their_columns() {
        let texts = |text: &str| {
            let page = layout(&typed(&[text]));
            let apart = page.lines.iter().flat_map(|l| &l.phrases).flat_map(units_apart);
            apart.map(|p| p.text()).collect::<Vec<_>>()
        };
        assert_eq!(texts("ppm meq/100 g"), ["ppm", "meq/100 g"]);
        assert_eq!(texts("ppm (mg/kg)"), ["ppm (mg/kg)"]);
        assert_eq!(texts("K ppm"), ["K ppm"]);
    }

    #[test]
    fn stacked_words_become_one_column_each() {
        let page = layout(&typed(&[
            "Report number 12",
            "",
            "Sample     Lab    Soil  Buffer  O.M.   P1    K    C.E.C.      %K",
            "ID         No.    pH    pH      %      ppm   ppm  meq/100g    sat.",
            "North 40   614    6.5   6.92    3.0    11    215  10.8        5.3",
        ]));
        let found = bands(&page, CONTEXT, Decimal::Point);
        assert_eq!(found.len(), 1);
        let names: Vec<_> = found[0].leaves.iter().filter_map(|l| l.label.analyte).collect();
        assert_eq!(
            names,
            [
                Analyte::Ph,
                Analyte::BufferPh,
                Analyte::OrganicMatter,
                Analyte::Phosphorus,
                Analyte::Potassium,
                Analyte::Cec,
                Analyte::SatK
            ]
        );
        assert_eq!(found[0].leaves[5].label.unit.as_ref().unwrap().0, "mg/kg");
    }

    #[test]
    fn figures_of_names_broken_over_lines_belong_to_the_heading() {
        let page = layout(&typed(&[
            "Report number 12",
            "",
            "Sample    pH         Mehlich    Zn       CEC",
            "ID        (calc.     3 Ca       (M3)     (milliequivalents",
            "          water)     ppm        ppm      per 100 grams)",
            "Tee 1     6.4        1200       3.1      12",
            "Tee 2     6.6        1300       3.3      13",
        ]));
        let found = bands(&page, CONTEXT, Decimal::Point);
        assert_eq!(found.len(), 1);
        assert_eq!((found[0].first, found[0].end), (1, 4), "{:?}", found[0]);
        assert_eq!(found[0].leaves[2].label.method(), Some(Method::Mehlich3));
    }

    #[test]
    fn a_line_of_the_heading_that_was_left_out_is_seen() {
        let page = layout(&typed(&[
            "Soil results",
            "",
            "          Frobnicated thing   Quibbled stuff here",
            "Sample    pH         K        Zn",
            "Tee 1     6.4        120      3.1",
        ]));
        let band = bands(&page, CONTEXT, Decimal::Point).remove(0);
        let cut = Band { first: 2, ..band };
        assert!(cut.unread_above(&page, Decimal::Point), "{cut:?}");
    }

    #[test]
    fn in_a_table_file_shares_reach_over_cations_side_by_side_and_no_further() {
        let phrase = |column: f32, y: f32, text: &str| {
            let page = layout(&typed(&[text]));
            let token = Token {
                text: text.to_owned(),
                area: Rect::new(column * 100.0 + 2.0, y, column * 100.0 + 98.0, y + 12.0),
                ..page.lines[0].phrases[0].tokens[0].clone()
            };
            Phrase { area: token.area, tokens: vec![token], marks: Vec::new() }
        };
        let phrases = vec![
            phrase(1.0, 0.0, "Base Saturation, %"),
            phrase(1.0, 20.0, "K"),
            phrase(2.0, 20.0, "Ca"),
            phrase(3.0, 20.0, "H"),
            phrase(4.0, 20.0, "pH"),
            phrase(5.0, 20.0, "K"),
        ];
        assert_eq!(spread_shares(phrases, CONTEXT)[0].area.x1, 398.0);
    }

    #[test]
    fn what_is_wished_for_and_what_may_be_a_share_are_no_sure_results() {
        let of = |lines: &[&str]| bands(&layout(&typed(lines)), CONTEXT, Decimal::Point).remove(0).leaves;
        let leaves = of(&["Bed    pH   pH Optimum    Zinc    Copper Optimum", "Moss   6.5  > 6.2    2    3"]);
        let at = |analyte| leaves.iter().filter(move |l| l.label.analyte == Some(analyte));
        assert_eq!(at(Analyte::Ph).map(|l| l.label.is_result()).collect::<Vec<_>>(), [true, false]);
        assert!(at(Analyte::Copper).all(|l| !l.label.unknown.is_empty() || !l.label.is_result()));

        let mut leaves = of(&["Bed    pH    K    Zinc", "Moss   6.5   4.4  2"]);
        let share = Leaf { text: "Ca".to_owned(), ..leaves[1].clone() };
        leaves
            .insert(3, Leaf { label: Label { analyte: Some(Analyte::SatCa), ..Label::default() }, ..share });
        beside_shares(&mut leaves);
        assert!(!leaves[2].label.unknown.is_empty(), "{leaves:?}");
    }

    #[test]
    fn units_of_close_columns_come_apart() {
        let page = layout(&typed(&["mg/100g mmolc/kg mg/100g"]));
        assert_eq!(units_apart(&page.lines[0].phrases[0]).len(), 3);
    }
}
