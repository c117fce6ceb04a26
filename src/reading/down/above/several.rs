//! Headings of several columns set close together: cut apart where words say what each holds.

use super::super::super::atom::{Atom, Kind};
use super::super::super::cut::cut;
use super::super::super::fold::pieces;
use super::super::super::layout::{Phrase, Token};
use super::super::super::vocabulary::{Context, Meaning, Role, hits_where};
use crate::place::Rect;

/// `Analysis  Test result  Unit` set close together: a phrase that says what several columns hold is cut where one of
/// these words stands further apart than others, or where it says one thing for each column of numbers under it.
pub(super) fn headings_apart(atoms: Vec<Atom>, values: &[Rect], context: Context) -> Vec<Atom> {
    atoms
        .into_iter()
        .flat_map(|atom| {
            let starts = if matches!(atom.kind, Kind::Text) {
                said_of_columns(&atom.tokens, context)
            } else {
                Vec::new()
            };
            let gap = |i: usize| {
                let pair = i.checked_sub(1).and_then(|k| atom.tokens.get(k)).zip(atom.tokens.get(i));
                pair.map_or(0.0, |(a, b)| b.area.x0 - a.area.x1)
            };
            let least = (1..atom.tokens.len()).map(gap).fold(f32::INFINITY, f32::min);
            let under = values.iter().filter(|v| v.overlap_x(&atom.area) > 0.0).count();
            // Each column of numbers under it begins or ends with a word of its own.
            let edge = |v: &Rect| {
                let at = |t: &Token| (t.area.x0 - v.x0).abs() < EDGE || (t.area.x1 - v.x1).abs() < EDGE;
                starts.iter().any(|i| atom.tokens.get(*i).is_some_and(&at))
            };
            let below = |v: &&Rect| v.overlap_x(&atom.area) > 0.0;
            let aligned = under > 1 && values.iter().filter(below).all(edge);
            let each = starts.first() == Some(&0) && (starts.len() == under || aligned);
            let cuts: Vec<usize> =
                starts.iter().copied().filter(|i| *i > 0 && (each || gap(*i) > FURTHER * least)).collect();
            if starts.len() < 2 || cuts.is_empty() {
                return vec![atom];
            }
            let phrase = Phrase { tokens: atom.tokens.clone(), area: atom.area, marks: atom.marks.clone() };
            let part = |p: Phrase| Some(Atom { marks: p.marks, ..Atom::new(Kind::Text, p.tokens)? });
            phrase.parted(&cuts).into_iter().filter_map(part).collect()
        })
        .collect()
}

/// How much further apart than the closest words of a phrase two columns stand.
const FURTHER: f32 = 1.25;

/// How near, in points, the edge of a heading lies to that of its column.
const EDGE: f32 = 1.0;

/// Where a phrase says what a column holds: the first word of each such name.
fn said_of_columns(tokens: &[Token], context: Context) -> Vec<usize> {
    let cut = cut(tokens);
    let says = |m: &Meaning| matches!(m, Meaning::Role(_) | Meaning::Decoy);
    let hits = hits_where(&cut.pieces, Context { symbols: false, ..context }, &says);
    let mut starts: Vec<usize> = hits.iter().filter_map(|h| cut.owner(h.start)).collect();
    starts.dedup();
    starts
}

/// True for a heading that says what several columns hold and was not cut.
pub fn says_several(text: &str, context: Context) -> bool {
    let words = pieces(text);
    let says =
        |m: &Meaning| matches!(m, Meaning::Role(Role::Analyte | Role::Result | Role::Unit) | Meaning::Decoy);
    hits_where(&words, Context { symbols: false, ..context }, &says).len() > 1
}
