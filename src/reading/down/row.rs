//! Rows of analytes: a line cut at every name of a measurement, with what stands to the right of each.

use super::super::atom::{Atom, Kind, is_signed};
use super::super::cut::cut;
use super::super::fold::pieces;
use super::super::header::leading_field;
use super::super::label::{Label, buffered, label};
use super::super::layout::Token;
use super::super::notes::{method_in, opens_with_a_factor};
use super::super::number::{Decimal, number};
use super::super::units::{Rule, conversion};
use super::super::vocabulary::{Context, Field, Meaning, Role, hits, leading_hit};
use super::super::words::List;
use crate::place::Rect;
use crate::soil::Analyte;
use std::collections::HashSet;

/// A row: its name, and what stands to the right of it up to the next name.
#[derive(Debug, Clone)]
pub struct Row {
    /// Its line on the page.
    pub line: usize,
    /// The name.
    pub name: Atom,
    /// What the name says.
    pub label: Label,
    /// What stands to the right of the name.
    pub cells: Vec<Atom>,
}

/// So many sizes side by side head columns.
const SIEVES: usize = 3;

/// True where every figure of a line is a size, and there are several.
fn heads_sieves(atoms: &[Atom]) -> bool {
    let words: Vec<&str> = atoms.iter().flat_map(|a| a.text.split(' ')).collect();
    let figure = |w: &str| w.replace(',', ".").parse::<f32>().is_ok();
    let unit = |w: &str| matches!(w, "mm" | "µm" | "μm" | "um");
    let sized = words.windows(2).filter(|w| matches!(w, [a, b] if figure(a) && unit(b))).count();
    sized >= SIEVES && sized == words.iter().filter(|w| figure(w)).count()
}

/// Cuts a line at every name of a measurement; `rates` knows the letters that rate a result.
pub fn line_rows(
    line: usize,
    atoms: &[Atom],
    context: Context,
    decimal: Decimal,
    rates: &dyn Fn(&Atom) -> bool,
) -> Vec<Row> {
    let mut rows: Vec<Row> = Vec::new();
    // `Analysis   Unit   K 1   Range` is a heading, whatever its names look like.
    let said = |a: &Atom| a.label(Context { symbols: false, ..context });
    let column = |a: &&Atom| {
        let said = said(a);
        said.analyte.is_none() && matches!(said.role, Some(Role::Analyte | Role::Result | Role::Unit))
    };
    let opens = atoms.first().is_some_and(|a| said(a).role == Some(Role::Analyte) && column(&a));
    // `Units   Method   B 1` over names that stand on a line below.
    let units = atoms.first().is_some_and(|a| said(a).role == Some(Role::Unit) && column(&a));
    let limits = |a: &&Atom| matches!(a.kind, Kind::Text) && said(a).decoy;
    let method = |a: &Atom| said(a).role == Some(Role::Method) && said(a).analyte.is_none();
    let others = opens && atoms.iter().skip(1).any(|a| limits(&a) || method(a));
    let beside = units && atoms.iter().skip(1).any(method);
    if atoms.iter().filter(column).count() >= 2 || others || beside {
        return rows;
    }
    // `Recommendation: N 120   P2O5 40   K2O 60 lb/acre` is advice, in however many cells.
    if atoms.first().is_some_and(|a| a.text.contains(':') && said(a).decoy) {
        return rows;
    }
    // `1 ppm = 2.24 kg/ha. Dose: 10 kg N, 20 kg P2O5` tells how results are reckoned, and holds none.
    let text = || atoms.iter().map(|a| a.text.as_str()).collect::<Vec<_>>().join(" ");
    if atoms.first().is_some_and(|a| a.text.starts_with('1')) && opens_with_a_factor(&text()) {
        return rows;
    }
    // `2.0 mm (gravel)   1.0 mm   0.5 mm   0.25 mm`: sieves over what they keep.
    if heads_sieves(atoms) {
        return rows;
    }
    let lead = atoms.first().map(said).filter(|l| atoms.len() > 2 && l.analyte.is_none() && !l.other);
    // `MAF Units   K 7   Ca 13`: figures on a scale of the form's own.
    if lead.as_ref().is_some_and(|l| l.decoy && l.field.is_none() && l.role.is_none() && l.unknown.is_empty())
    {
        return rows;
    }
    let first = atoms.first();
    let parts: Vec<Atom> = atoms.iter().flat_map(|a| name_and_value(a, decimal, context)).collect();
    let parts = without_strengths(parts, context);
    if names_samples(&parts, opens, context) {
        return rows;
    }
    for mut atom in parts {
        // `Ca : Mg   Calc.   5.4`: behind a name it says how the figure was come by, as in small letters anywhere.
        let reckoned = first != Some(&atom) && matches!(atom.text.as_str(), "Calc" | "Calc.");
        if first == Some(&atom) && acidity_of(&atom, atoms, context) {
            atom.kind = Kind::Text;
        }
        if matches!(atom.kind, Kind::Text)
            && !rates(&atom)
            && !reckoned
            && let Some(found) = name_label(&atom, context)
            && !rows.last().is_some_and(|r| {
                repeats(r, &found, &atom.text, context)
                    || computed(r, &atom, context)
                    || unit_of(r, &atom, context)
            })
        {
            // A unit or method beside a row is no new row; a name that has its own cells is. Of a lone `H` or `M` behind
            // a name without a value nobody knows whether it rates that name or is one.
            let mut found = found;
            if is_rating_letter(&atom.text) && rows.last().is_some_and(|r| r.cells.is_empty()) {
                found.unknown.push("a rating or a name".to_owned());
            }
            rows.push(Row { line, name: atom, label: found, cells: Vec::new() });
        } else if let Some(row) = rows.last_mut() {
            row.cells.push(atom);
        }
    }
    // `Base Saturation %   K 2.2   Ca 68.1`: the line says what all its figures are.
    if let Some(lead) = lead.filter(|l| l.saturation) {
        for row in &mut rows {
            row.label = row.label.clone().under(&lead);
        }
    }
    foreign(&mut rows, first, &said, context);
    // Many names and hardly a value is the line of a heading, `Mehlich 3   M3-Mg   OM   3 ICP`.
    let valued = rows.iter().filter(|r| r.cells.iter().any(|c| !matches!(c.kind, Kind::Text))).count();
    if rows.len() >= FEW && valued * 2 <= rows.len() {
        return Vec::new();
    }
    // A row with a range alone holds no value, and is a row of its table all the same.
    rows.retain(|r| r.cells.iter().any(|c| !matches!(c.kind, Kind::Text)));
    if counted(&rows) { Vec::new() } else { rows }
}

/// `Irrigation water   pH 7.8   Na 44 ppm`: of names and values in a line that words open which nothing explains nobody
/// knows of what they tell.
fn foreign(rows: &mut [Row], first: Option<&Atom>, said: &dyn Fn(&Atom) -> Label, context: Context) {
    let Some(opening) = first.filter(|a| matches!(a.kind, Kind::Text)) else { return };
    let several = rows.len() > 1 && rows.iter().all(|r| r.name.area.x0 >= opening.area.x1);
    let words = said(opening);
    let asks = words.field.is_some() && leading_field(&opening.text, context).is_some();
    let strange = !words.unknown.is_empty() && !asks && !words.saturation;
    if several && strange {
        for row in rows {
            row.label.unknown.push(format!("`{}` before it", opening.text));
        }
    }
}

/// `0.02M potassium phosphate extraction`: a strength before what was dissolved is no value with a letter behind it.
fn without_strengths(parts: Vec<Atom>, context: Context) -> Vec<Atom> {
    let strength = |i: usize| {
        let (Some(a), Some(next)) = (parts.get(i), parts.get(i + 1)) else { return false };
        let size = a.tokens.first().map_or(10.0, |t| t.size);
        let said = next.label(Context { symbols: false, ..context });
        let rates = said.rating || said.decoy || said.unit.is_some() || is_rating_letter(&next.text);
        a.number().is_some()
            && a.text.ends_with(['M', 'N'])
            && !a.text.contains(' ')
            && next.area.x0 - a.area.x1 < WORD_SPACE * size
            && matches!(next.kind, Kind::Text)
            && next.text.starts_with(char::is_alphabetic)
            && !rates
    };
    let strengths: Vec<bool> = (0..parts.len()).map(strength).collect();
    let text = |(a, is): (&Atom, bool)| if is { Atom { kind: Kind::Text, ..a.clone() } } else { a.clone() };
    parts.iter().zip(strengths).map(text).collect()
}

/// `P Bray nr. 2`: behind such a word stands the number of an extract, and no result.
fn asks_number(word: &str) -> bool {
    List::Number.has(word.to_lowercase().trim_end_matches('.'))
}

/// So many rows at one edge are a table.
const ROWS: usize = 3;

/// `Zinc   2.9   mg/kg      Infiltration   18`: words at the edge where the names of the table beside stand are a name of
/// that table, known or not, and what follows is none of this row's, also where its own value is blank and only its unit
/// stands before them.
pub fn end_at_neighbours(rows: &mut [Row], em: f32, context: Context) {
    let edges: Vec<f32> = rows.iter().map(|r| r.name.area.x0).collect();
    let near = |a: f32, b: f32| (a - b).abs() < 0.5 * em;
    let named = |x: f32| edges.iter().filter(|e| near(**e, x)).count() >= ROWS;
    for row in rows.iter_mut() {
        let (left, right) = (row.name.area.x0, row.name.area.x1);
        let begins = |(i, c): (usize, &Atom)| {
            matches!(c.kind, Kind::Text)
                && row.cells.iter().take(i).any(|c| c.number().is_some() || c.is_unit(context))
                && c.area.x0 > right + em
                && !near(c.area.x0, left)
                && named(c.area.x0)
        };
        if let Some(end) = row.cells.iter().enumerate().position(begins) {
            row.cells.truncate(end);
        }
    }
}

/// `Sample   Unit   K 1` or `Parameter   K 1   K 2`: behind what asks for names, a name and a figure set as close as two
/// words are the name of a sample, and no result.
fn names_samples(atoms: &[Atom], opens: bool, context: Context) -> bool {
    let asks = |a: &Atom| {
        let said = a.label(Context { symbols: false, ..context });
        said.field == Some(Field::SampleLabel) && said.unknown.is_empty() && !a.text.ends_with(':')
    };
    let close = |pair: &[Atom]| {
        let [name, figure] = pair else { return false };
        let size = figure.tokens.first().map_or(10.0, |t| t.size);
        matches!(name.kind, Kind::Text)
            && figure.number().is_some_and(|n| n.decimals == 0)
            && figure.area.x0 - name.area.x1 < WORD_SPACE * size
    };
    let figures = atoms.iter().filter(|a| a.number().is_some()).count();
    let named = atoms.windows(2).filter(|pair| close(pair)).count();
    (opens || atoms.first().is_some_and(asks)) && named > 0 && named == figures
}

/// So many names side by side are no results of one line unless most have a value.
const FEW: usize = 5;

/// The widest space between two words, in their size.
const WORD_SPACE: f32 = 0.7;

/// Where a page prints ratings: each word once for each place across the page, so that a long column costs no more
/// than a short one.
pub fn ratings(atoms: &[Vec<Atom>], context: Context) -> Vec<(String, Rect)> {
    let mut seen = HashSet::new();
    atoms
        .iter()
        .flatten()
        .filter(|a| matches!(a.kind, Kind::Text))
        .filter(|a| seen.insert((a.text.as_str(), a.area.x0.to_bits(), a.area.x1.to_bits())))
        .filter(|a| {
            let said = a.label(Context { symbols: false, ..context });
            said.rating && said.analyte.is_none() && said.unknown.is_empty()
        })
        .map(|a| (a.text.clone(), a.area))
        .collect()
}

/// `H` in a column of `High`, `Medium` and `VL` rates the name before it, and opens no row of its own.
pub fn rates(atom: &Atom, ratings: &[(String, Rect)]) -> bool {
    is_rating_letter(&atom.text)
        && ratings.iter().any(|(text, area)| *text != atom.text && area.overlap_x(&atom.area) > 0.0)
}

/// True for a letter or two that rate a result.
pub fn is_rating_letter(text: &str) -> bool {
    matches!(text, "H" | "M" | "L" | "VH" | "VL" | "O" | "S" | "N" | "D")
}

/// `K 1   K 2   K 3`: one name counted up is the end of samples' names.
fn counted(rows: &[Row]) -> bool {
    let of = |r: &Row| {
        let [cell] = r.cells.as_slice() else { return None };
        cell.number().filter(|n| n.decimals == 0).map(|n| n.value)
    };
    rows.len() > 1
        && rows.windows(2).all(|w| {
            let [a, b] = w else { return false };
            a.name.text == b.name.text && of(a).zip(of(b)).is_some_and(|(a, b)| a + 1.0 == b)
        })
}

/// Names that this many values follow on lines of their own make a list, and no accident.
const STACKED: usize = 3;

/// A list of names with the value of each on the line below: `Soil pH` over `6.2 slightly acid`.
pub fn stacked_rows(atoms: &[Vec<Atom>], free: &[bool], context: Context) -> Vec<Row> {
    let mut rows: Vec<Row> = Vec::new();
    for (i, pair) in atoms.windows(2).enumerate() {
        let [above, below] = pair else { continue };
        let ([name], Some(value)) = (above.as_slice(), below.first()) else { continue };
        let open = free.get(i).copied().unwrap_or(false) && free.get(i + 1).copied().unwrap_or(false);
        let one_number = below.iter().filter(|a| a.number().is_some()).count() == 1;
        let under = (name.area.x0 - value.area.x0).abs() < 2.0 * name.area.height();
        if let Some(found) = name_label(name, context).filter(|l| l.unknown.is_empty())
            && open
            && under
            && one_number
            && value.number().is_some()
            && matches!(name.kind, Kind::Text)
        {
            rows.push(Row { line: i, name: name.clone(), label: found, cells: below.clone() });
        }
    }
    if rows.len() < STACKED { Vec::new() } else { rows }
}

/// `N.A.  4.0  meq/100g` is neutralizable acidity: a blank mark never opens a row that counts charges.
fn acidity_of(atom: &Atom, line: &[Atom], context: Context) -> bool {
    let charge = |a: &Atom| {
        a.label(Context { symbols: false, ..context }).unit.as_ref().is_some_and(|u| {
            conversion(u.0, Analyte::Acidity.unit()).is_some_and(|c| matches!(c.rule, Rule::Plain))
        })
    };
    atom.text == "N.A."
        && line.get(1).is_some_and(|a| a.number().is_some())
        && line.iter().skip(2).any(|a| matches!(a.kind, Kind::Text) && charge(a))
}

/// `Loss on ignition` beside `Organic matter`, before its value or behind it, is the method of that row and no row of
/// its own.
fn repeats(row: &Row, beside: &Label, text: &str, context: Context) -> bool {
    let Some(analyte) = row.label.analyte else { return false };
    // `Potassium (Morgan)   182   Potassium (Morgan)   245`: the same name behind a value is that of the table beside.
    if row.name.text == text && row.cells.iter().any(|c| c.number().is_some()) {
        return false;
    }
    // `one part soil to one part water H`: a rating set close behind the method.
    if let Some((method, letter)) = text.rsplit_once(' ')
        && is_rating_letter(letter)
        && label(method, Context { symbols: true, ..context }).analyte.is_none()
        && method_in(method, analyte, context).iter().any(Option::is_some)
    {
        return true;
    }
    beside.analyte == Some(analyte) && beside.method().is_some()
        || beside.analyte.is_none() && method_in(text, analyte, context).iter().any(Option::is_some)
}

/// `calc.` beside the CEC is how it was come by, also where its unit is set close before.
pub fn computed(row: &Row, atom: &Atom, context: Context) -> bool {
    let text = atom.text.to_lowercase();
    let calc = text.trim_end_matches('.').rsplit(' ').next() == Some("calc");
    row.label.analyte == Some(Analyte::Cec)
        && calc
        && (!text.contains(' ') || begins_with_unit(&atom.text, context))
}

/// So many methods at one edge, behind the names of rows, are a column of methods.
const METHODS: usize = 3;

/// Left edges of columns of methods: what stands there is how a row was measured, `SMP buffer` beside the acidity too.
pub fn method_edges(atoms: &[Vec<Atom>], context: Context) -> Vec<f32> {
    let method = |a: &&Atom| {
        let said = a.label(Context { symbols: false, ..context });
        let named = said.analyte.is_some() || said.other || said.field.is_some() || said.unit.is_some();
        matches!(a.kind, Kind::Text) && !said.methods.is_empty() && said.unknown.is_empty() && !named
    };
    let named = |line: &&Vec<Atom>| line.first().is_some_and(|a| name_label(a, context).is_some());
    let behind = |line: &Vec<Atom>| line.iter().skip(1).filter(method).map(|a| a.area.x0).collect::<Vec<_>>();
    let all: Vec<f32> = atoms.iter().filter(named).flat_map(behind).collect();
    let mut edges: Vec<f32> = Vec::new();
    for x in &all {
        let near = |other: &&f32| (**other - x).abs() < SAME_EDGE;
        if all.iter().filter(near).count() >= METHODS && !edges.iter().any(|e| near(&e)) {
            edges.push(*x);
        }
    }
    edges
}

/// How near, in points, words of one column begin.
const SAME_EDGE: f32 = 1.0;

/// True for words that begin at the edge of a column of methods, behind the first of their line.
pub fn in_column_of_methods(atom: &Atom, edges: &[f32]) -> bool {
    edges.iter().any(|e| (atom.area.x0 - e).abs() < SAME_EDGE)
}

/// `cmol/kg calc.` between a name and its value: what begins with a unit is a cell of that row, set close to the next.
fn unit_of(row: &Row, atom: &Atom, context: Context) -> bool {
    row.cells.iter().all(|c| matches!(c.kind, Kind::Text)) && begins_with_unit(&atom.text, context)
}

/// `%` opens the name of a share.
fn begins_with_unit(text: &str, context: Context) -> bool {
    let words = pieces(text);
    leading_hit(&words, Context { symbols: false, ..context }, &|m| matches!(m, Meaning::Unit(_)))
        .is_some_and(|hit| hit.meaning != Meaning::Unit("%"))
}

/// `Ph 07 5550 0123`, `Ph (08) 555-0100`: how somebody is called, and no pH. Its figures are whole, and too long or begin
/// with a nought.
fn is_telephone(text: &str) -> bool {
    let mut words =
        text.split(' ').skip_while(|w| !w.trim_end_matches(['.', ':']).eq_ignore_ascii_case("ph"));
    words.next();
    let group = |w: &str| {
        let figures = w.trim_matches(['(', ')', '+']).replace('-', "");
        (!figures.is_empty() && figures.bytes().all(|b| b.is_ascii_digit())).then_some(figures.len())
    };
    let Some((first, size)) = words.next().and_then(|w| Some((w, group(w)?))) else { return false };
    let opens = size > 2 || size > 1 && first.trim_start_matches(['(', '+']).starts_with('0');
    opens && (size > 6 || words.next().and_then(group).is_some_and(|next| next > 2))
}

/// A short text that names a measurement and little else; `calc` in small letters is how one was come by, and no calcium.
fn name_label(atom: &Atom, context: Context) -> Option<Label> {
    if matches!(atom.text.as_str(), "calc" | "calc.") {
        return None;
    }
    let words: usize = atom.tokens.iter().map(|t| t.text.split(' ').count()).sum();
    if words > 9 || atom.text.ends_with('.') && words > 4 || is_telephone(&atom.text) {
        return None;
    }
    let found = atom.label(Context { symbols: true, ..context });
    let named = found.analyte.is_some() || found.other;
    // A field (`Soil P` of a sample list ...) or a method beside the row is no name.
    (named && found.field.is_none() && !found.several).then_some(found)
}

/// `pH: 6.3` or `Organic matter 4.5 %` set close together are a name and its value.
fn name_and_value(atom: &Atom, decimal: Decimal, context: Context) -> Vec<Atom> {
    if !matches!(atom.kind, Kind::Text) {
        return vec![atom.clone()];
    }
    let words: Vec<Token> = if atom.tokens.len() == 1 { cell_words(atom) } else { atom.tokens.to_vec() };
    if words.len() < 2 || words.len() > 8 {
        return vec![atom.clone()];
    }
    let value_at = words.iter().enumerate().skip(1).find(|(i, t)| {
        let glued = |count: usize| {
            words.get(*i..i + count).is_some_and(|w| {
                number(&w.iter().map(|t| t.text.as_str()).collect::<Vec<_>>().join(" "), decimal).is_some()
            })
        };
        (glued(1) || (matches!(t.text.as_str(), "<" | ">") && glued(2)))
            && words.get(i - 1).is_none_or(|last| !is_signed(&last.text) && !asks_number(&last.text))
            && words.get(..*i).is_some_and(|head| {
                let text = head.iter().map(|t| t.text.as_str()).collect::<Vec<_>>().join(" ");
                let l = label(&text, Context { symbols: true, ..context });
                // `1 M ammonium acetate pH 7`: how an extract is buffered, and no result of a name.
                let buffer = l.analyte == Some(Analyte::Ph) && buffered(&l.methods, Some(&t.text));
                l.is_result() && l.unknown.is_empty() && l.field.is_none() && !buffer
            })
    });
    let Some((at, _)) = value_at else { return vec![atom.clone()] };
    let (head, tail) = words.split_at(at);
    // `pH (KCl 1 M)`: a figure in a bracket of the name tells how it was measured.
    let count = |mark: char| head.iter().map(|t| t.text.matches(mark).count()).sum::<usize>();
    if count('(') > count(')') {
        return vec![atom.clone()];
    }
    // What follows the number must be a unit or nothing: `Bray P 1 extract` is a name.
    let text = |tokens: &[Token]| tokens.iter().map(|t| t.text.as_str()).collect::<Vec<_>>().join(" ");
    // `< 0.5` and `4.1 M` take two words.
    let pair = number(&text(tail.get(..2).unwrap_or_default()), decimal)
        .is_some_and(|n| tail.len() > 1 && (n.qualifier.is_some() || n.rating.is_some()));
    let taken = if pair { 2 } else { 1 };
    let rest = label(&text(tail.get(taken..).unwrap_or_default()), Context { symbols: false, ..context });
    let rest_is_unit = tail.len() == taken
        || (rest.unit.is_some() || rest.rating) && rest.unknown.is_empty() && rest.analyte.is_none();
    // Only a form's own punctuation, or a name that is complete without the number, makes this sure.
    let complete = text(head).ends_with(':') || !names_cover(&words, at, context);
    if !rest_is_unit || !complete {
        return vec![atom.clone()];
    }
    let piece = |tokens: &[Token], kind| {
        let area = tokens.iter().map(|t| t.area).reduce(|a, b| a.union(&b))?;
        Some(Atom {
            kind,
            text: text(tokens),
            tokens: tokens.to_vec().into(),
            area,
            marks: atom.marks.clone(),
        })
    };
    let (value, unit) = tail.split_at(taken.min(tail.len()));
    let kind = number(&text(value), decimal).map_or(Kind::Text, Kind::Number);
    [piece(head, Kind::Text), piece(value, kind), piece(unit, Kind::Text)].into_iter().flatten().collect()
}

/// True where a phrase of the vocabulary runs over the word at `at`: the `1` of `Bray P 1` is no value.
fn names_cover(words: &[Token], at: usize, context: Context) -> bool {
    let cut = cut(words);
    hits(&cut.pieces, Context { symbols: true, ..context })
        .iter()
        .any(|h| (h.start..h.end).any(|p| cut.owner(p) == Some(at)))
}

fn cell_words(atom: &Atom) -> Vec<Token> {
    atom.tokens
        .iter()
        .flat_map(|t| t.text.split(' ').map(move |w| Token { text: w.into(), ..t.clone() }))
        .collect()
}
