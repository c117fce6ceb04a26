//! Titles over rows of analytes, and between them: `Nutrients, Mehlich-3` gives its rows their method,
//! `Exchangeable cations, meq/100 g` their unit.

use super::super::across::{is_title_of_controls, opens_or_ends_with_a_mean};
use super::super::atom::{Atom, Kind};
use super::super::fold::{is_punctuation, pieces};
use super::super::label::label;
use super::super::layout::Layout;
use super::super::vocabulary::{Context, Form, Meaning, hits_where};
use super::super::words::List;
use super::row::Row;
use crate::place::Rect;
use crate::soil::{Analyte, Method};
use compact_str::CompactString;

/// More words make a sentence.
const MOST_WORDS: usize = 10;

/// What the title nearest above a row says of it.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Title {
    /// The method it names.
    pub method: Option<Method>,
    /// The unit it names, as a unit and as printed.
    pub unit: Option<(&'static str, String)>,
    /// Its line, where it names a unit.
    pub line: Option<usize>,
    /// It names something else than results: `Recommended, lb/acre`.
    pub aside: bool,
    /// A method that a line between the rows names beside a measurement: perhaps that of the rows below.
    pub unclear: Option<Method>,
    /// The measurements that it names, where it speaks of these alone.
    pub of: Vec<Analyte>,
    /// Footnote marks behind it: what their notes say is said of its rows.
    pub marks: Vec<String>,
}

/// What the head of the names says of the rows that say nothing of it: `Trace elements, ppm`, also where it is broken over
/// two lines, the unit of every row that can be counted in it, `Test (Mehlich 3)` the method. `results` are the columns of numbers, `lines` those of the headings.
pub fn of_head(
    atoms: &[Vec<Atom>],
    lines: &[usize],
    table: &[Row],
    results: &[Rect],
    context: Context,
) -> Title {
    let left = table.iter().map(|r| r.name.area.x0).fold(f32::INFINITY, f32::min);
    let right = table.iter().map(|r| r.name.area.x1).fold(0.0, f32::max);
    let own = |a: &&Atom| {
        matches!(a.kind, Kind::Text)
            && a.area.x1 > left
            && a.area.x0 < right
            && results.iter().all(|r| r.overlap_x(&a.area) <= 0.0)
    };
    let mut lines = lines.to_vec();
    lines.sort_unstable();
    let words: Vec<&str> = lines
        .iter()
        .filter_map(|i| atoms.get(*i))
        .filter_map(|line| line.iter().find(own))
        .map(|a| a.text.as_str())
        .collect();
    let text = words.join(" ");
    let said = label(&text, Context { symbols: false, ..context });
    let names =
        said.analyte.is_none() && said.field.is_none() && !said.decoy && !said.saturation && !said.rating;
    if !names || text.split(' ').count() > MOST_WORDS {
        return Title::default();
    }
    Title { method: said.method(), unit: said.unit.clone().filter(|u| u.0 != "%"), ..Title::default() }
}

/// The title nearest above each row; a title that says nothing ends the part before it.
pub fn titles(page: &Layout, atoms: &[Vec<Atom>], table: &[Row], context: Context) -> Vec<Title> {
    let left = table.iter().map(|r| r.name.area.x0).fold(f32::INFINITY, f32::min);
    // What stands behind the results may be another table's.
    let result = |r: &Row| r.cells.iter().find(|c| !matches!(c.kind, Kind::Text)).map(|c| c.area.x1);
    let right = table.iter().filter_map(result).fold(left, f32::max);
    let within = Rect::new(left - 1.5 * page.em, 0.0, right, f32::INFINITY);
    let mut out: Vec<Title> = Vec::with_capacity(table.len());
    let mut from = table.first().map_or(0, |first| top(page, atoms, first.line, &within));
    let mut part_of: Option<Title> = None;
    for row in table {
        let own = |area: &Rect| area.overlap_x(&row.name.area) > 0.0 || area.x0 < row.name.area.x1;
        let mut title = out.last().cloned().unwrap_or_default();
        let mut told = false;
        for (at, line) in (from..).zip(atoms.get(from..row.line).unwrap_or_default()) {
            let here: Vec<&Atom> = line.iter().filter(|a| a.area.overlap_x(&within) > 0.0).collect();
            let [one] = here.as_slice() else { continue };
            if own(&one.area) && is_of_a_mean(one) {
                (told, part_of) = (false, None);
                title = Title { aside: true, ..Title::default() };
            } else if own(&one.area) && is_title(one, context) {
                let said = one.label(Context { symbols: false, ..context });
                let unit = said.unit.clone();
                // `Area (sq ft): 5200` over a table tells of the sample.
                let aside = said.decoy && unit.is_some() && !one.text.contains(':');
                let line = unit.as_ref().map(|_| at);
                let marks = one.marks.clone();
                let next = Title { method: said.method(), line, unit, aside, marks, ..Title::default() };
                // `Macronutrients` right under `Morgan extract, ppm` is a part of it, and so is `Micronutrients` further
                // down.
                let silent = next.method.is_none()
                    && next.unit.is_none()
                    && next.marks.is_empty()
                    && is_group(&one.text);
                match &part_of {
                    _ if silent && told && !title.aside => part_of = Some(title.clone()),
                    Some(whole) if silent => title = whole.clone(),
                    _ => {
                        told = next.method.is_some() || next.unit.is_some() || !next.marks.is_empty();
                        part_of = None;
                        title = next;
                    }
                }
            } else if own(&one.area)
                && let Some(method) = joint_title(one, context)
            {
                (told, part_of) = (true, None);
                title = Title { method: Some(method), marks: one.marks.clone(), ..Title::default() };
            } else if own(&one.area)
                && let Some((of, unit)) = counted_together(one, context)
            {
                (told, part_of) = (true, None);
                title = Title { unit: Some(unit), line: Some(at), of, ..Title::default() };
            } else if own(&one.area)
                && let Some(method) = half_title(one, context)
            {
                part_of = None;
                title = Title { unclear: Some(method), ..Title::default() };
            }
        }
        from = row.line + 1;
        out.push(title);
    }
    let silent = |title: &Title, row: &Row| {
        !title.of.is_empty() && !row.label.analyte.is_some_and(|a| title.of.contains(&a))
    };
    for (title, row) in out.iter_mut().zip(table) {
        if silent(title, row) {
            title.unit = None;
        }
    }
    out
}

/// `Phosphorus and sulphur, mg/kg` on a line without a value: the unit of the two that it names.
fn counted_together(atom: &Atom, context: Context) -> Option<(Vec<Analyte>, (&'static str, String))> {
    let said = atom.label(Context { symbols: false, ..context });
    let words = pieces(&atom.text);
    let named =
        hits_where(&words, Context { symbols: false, ..context }, &|m| matches!(m, Meaning::Analyte(..)));
    let of: Vec<Analyte> = named
        .iter()
        .filter_map(|h| if let Meaning::Analyte(a, None, Form::Plain) = h.meaning { Some(a) } else { None })
        .collect();
    let joins = |w: &CompactString| is_punctuation(w) || JOINTS.contains(&w.to_lowercase().as_str());
    let within = |at: usize| named.iter().any(|h| (h.start..h.end).contains(&at));
    // Names that words for `and` join, a comma, and behind them the unit.
    let end = named.last()?.end;
    let names = (0..end).all(|at| within(at) || words.get(at).is_some_and(joins));
    let unit = said.unit.clone().filter(|_| words.get(end).is_some_and(is_punctuation_of_cells))?;
    let plain = matches!(atom.kind, Kind::Text) && said.methods.is_empty() && !said.decoy;
    (plain && names && of.len() > 1 && of.len() == named.len()).then_some((of, unit))
}

/// What parts names from their unit.
fn is_punctuation_of_cells(word: &CompactString) -> bool {
    matches!(word.as_str(), "," | "(" | "[" | ":")
}

/// True for a table under a title of what the laboratory checks itself by: the nearest line of one phrase above it, over at
/// most a few lines of headings.
pub fn of_controls(page: &Layout, table: &[Row]) -> bool {
    let Some(first) = table.first() else { return false };
    let mut below = page.lines.get(first.line).map_or(0.0, |l| l.area.y0);
    for line in page.lines.get(..first.line).unwrap_or_default().iter().rev().take(MOST_LINES) {
        let far = below - line.area.y1 > if page.cells { 21.0 } else { 3.2 * page.em };
        if far {
            return false;
        }
        if let [phrase] = line.phrases.as_slice() {
            return is_title_of_controls(phrase.text());
        }
        below = line.area.y0;
    }
    false
}

/// More lines over a table are no heading of it.
const MOST_LINES: usize = 4;

/// `Macronutrients`, `Trace elements *`: a name for several nutrients, and nothing else.
fn is_group(text: &str) -> bool {
    let words = pieces(text);
    let word = |w: &CompactString| {
        let w = w.to_lowercase();
        is_punctuation(&w) || List::Group.has(&w) || List::Filler.has(&w) || List::Rank.has(&w)
    };
    words.iter().any(|w| List::Group.has(&w.to_lowercase())) && words.iter().all(word)
}

/// The first line over the table that may still hold its title: the lines between hold no numbers in its width and
/// stand close over each other.
fn top(page: &Layout, atoms: &[Vec<Atom>], first: usize, within: &Rect) -> usize {
    let mut from = first;
    let mut below = page.lines.get(first).map_or(0.0, |l| l.area.y0);
    for (i, line) in atoms.iter().enumerate().take(first).rev() {
        let here: Vec<&Atom> = line.iter().filter(|a| a.area.overlap_x(within) > 0.0).collect();
        let Some(area) = here.iter().map(|a| a.area).reduce(|a, b| a.union(&b)) else { continue };
        let far = below - area.y1 > if page.cells { 21.0 } else { 3.2 * page.em };
        if far || here.iter().any(|a| !matches!(a.kind, Kind::Text)) {
            break;
        }
        from = i;
        below = area.y0;
    }
    from
}

/// `Bases (extract at pH 8.2, ammonium acetate)`: an extract named beside a measurement, on a line without a value.
fn half_title(atom: &Atom, context: Context) -> Option<Method> {
    let said = atom.label(Context { symbols: false, ..context });
    let extracts = |m: &Method| m.measures(Analyte::Potassium) || m.measures(Analyte::Phosphorus);
    let few = matches!(atom.kind, Kind::Text) && atom.text.split(' ').count() <= MOST_WORDS;
    said.method()
        .filter(|m| few && extracts(m) && (said.several || said.analyte.is_some_and(|a| !m.measures(a))))
}

/// Words that join two names.
const JOINTS: [&str; 8] = ["and", "&", "et", "und", "y", "e", "en", "+"];

/// `Reaction and salts (saturated paste)`: what the soil was stirred into for several measurements, on a line without a value.
fn joint_title(atom: &Atom, context: Context) -> Option<Method> {
    let said = atom.label(Context { symbols: false, ..context });
    let stirred = |m: &Method| m.measures(Analyte::Ph) || m.measures(Analyte::SolubleSalts);
    let before = atom.text.split('(').next().unwrap_or_default();
    let joined = before.split(' ').any(|w| JOINTS.contains(&w.to_lowercase().as_str()));
    let several = said.several || said.analyte.is_some() && !said.unknown.is_empty();
    let few = matches!(atom.kind, Kind::Text) && atom.text.split(' ').count() <= MOST_WORDS;
    said.method().filter(|m| few && joined && several && stirred(m) && !atom.text.ends_with('.'))
}

/// `Average over all fields (0-15 cm)`: what is reckoned over several samples is of none of them.
fn is_of_a_mean(atom: &Atom) -> bool {
    matches!(atom.kind, Kind::Text)
        && atom.text.split(' ').count() <= MOST_WORDS
        && !atom.text.ends_with('.')
        && opens_or_ends_with_a_mean(&atom.text)
}

/// A few words that name no measurement of their own: `Phosphorus (Olsen)` without a value is a row.
fn is_title(atom: &Atom, context: Context) -> bool {
    let l = atom.label(Context { symbols: true, ..context.of(&atom.text) });
    matches!(atom.kind, Kind::Text)
        && atom.text.split(' ').count() <= MOST_WORDS
        && !atom.text.ends_with('.')
        && l.analyte.is_none()
        && !l.other
        && l.field.is_none()
}
