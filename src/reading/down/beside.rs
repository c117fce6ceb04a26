//! A paragraph beside a table, whose lines stand on those of its rows and are none of their cells.

use super::super::atom::{Atom, Kind};
use super::super::vocabulary::Context;
use super::row::Row;

/// Fewer words make a heading, more a line of a sentence.
const SENTENCE: usize = 5;

/// Fewer words may be the cell of a column of words.
const LINE: usize = 3;

/// How far behind the last column of numbers, in ems, a paragraph begins.
const APART: f32 = 2.0;

/// `Magnesium   10.6   10-18        dressings of gypsum, after`: the rows without the lines of a paragraph, where a line
/// of it stands tight above the first of them. What names a method may be a column of the table after all.
pub fn without_prose(atoms: &[Vec<Atom>], table: Vec<Row>, em: f32, context: Context) -> Vec<Row> {
    let text = |a: &Atom| matches!(a.kind, Kind::Text);
    let cells = || table.iter().flat_map(|r| &r.cells);
    let values = cells().filter(|c| !text(c)).map(|c| c.area.x1).fold(0.0, f32::max);
    let behind = |a: &Atom| text(a) && a.area.x0 > values + APART * em;
    let beside: Vec<&Atom> = cells().filter(|c| behind(c)).collect();
    let (Some(first), Some(one)) = (table.first(), beside.first()) else { return table };
    let words = |a: &Atom| a.text.split(' ').count();
    let at_edge = |a: &Atom| (a.area.x0 - one.area.x0).abs() < 0.5 * em;
    let opens = |a: &Atom| {
        text(a)
            && at_edge(a)
            && words(a) >= SENTENCE
            && a.area.y0 < one.area.y0
            && one.area.y0 - a.area.y1 < em
    };
    let prose = |a: &Atom| {
        let said = a.label(Context { symbols: false, ..context });
        words(a) >= LINE && said.methods.is_empty() && !said.unknown.is_empty()
    };
    let opened = atoms.iter().take(first.line).flatten().any(opens);
    if !opened || !beside.iter().all(|c| at_edge(c) && prose(c)) {
        return table;
    }
    let mut out = table.clone();
    for row in &mut out {
        row.cells.retain(|c| !behind(c));
    }
    out
}
