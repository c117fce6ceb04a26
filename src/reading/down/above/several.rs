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

/// `Pitch - goal mouth   Pitch - centre` set close together: a phrase over several columns of numbers is cut where its words
/// stand much further apart than all the others, where that makes one part for each column, each of which begins as far
/// from the left edge of its column as the first.
pub(super) fn names_apart(atoms: Vec<Atom>, values: &[Rect]) -> Vec<Atom> {
    atoms.into_iter().flat_map(|atom| names_of_columns(&atom, values).unwrap_or_else(|| vec![atom])).collect()
}

fn names_of_columns(atom: &Atom, values: &[Rect]) -> Option<Vec<Atom>> {
    let tokens = &atom.tokens;
    let under: Vec<&Rect> = values.iter().filter(|v| v.overlap_x(&atom.area) > 0.0).collect();
    if under.len() < 2 || !matches!(atom.kind, Kind::Text) || tokens.len() <= under.len() {
        return None;
    }
    let mut gaps: Vec<(f32, usize)> = tokens
        .windows(2)
        .zip(1..)
        .filter_map(|(pair, at)| Some((pair.get(1)?.area.x0 - pair.first()?.area.x1, at)))
        .collect();
    gaps.sort_by(|a, b| b.0.total_cmp(&a.0));
    let (wide, rest) = gaps.split_at_checked(under.len() - 1)?;
    let widest = rest.first().map_or(0.0, |g| g.0).max(0.1);
    if wide.iter().any(|g| g.0 < MUCH_FURTHER * widest) {
        return None;
    }
    let mut cuts: Vec<usize> = wide.iter().map(|g| g.1).collect();
    cuts.sort_unstable();
    let phrase = Phrase { tokens: tokens.clone(), area: atom.area, marks: atom.marks.clone() };
    let part = |p: Phrase| Some(Atom { marks: p.marks, ..Atom::new(Kind::Text, p.tokens)? });
    let parts: Vec<Atom> = phrase.parted(&cuts).into_iter().map(part).collect::<Option<_>>()?;
    let from = |(part, column): (&Atom, &&Rect)| part.area.x0 - column.x0;
    let first = parts.iter().zip(&under).map(from).next()?;
    let aligned =
        parts.iter().zip(&under).map(from).all(|x| (x - first).abs() < EDGE && x.abs() < MOST_APART * EDGE);
    let alone = parts.iter().all(|p| values.iter().filter(|v| v.overlap_x(&p.area) > 0.0).count() == 1);
    let worded = parts.iter().all(|p| p.text.chars().filter(|c| c.is_alphabetic()).count() > 2);
    (parts.len() == under.len() && aligned && alone && worded).then_some(parts)
}

/// How much further apart than all other words the names of two columns stand.
const MUCH_FURTHER: f32 = 2.0;

/// How many times the nearness of an edge a name may begin beside the numbers below it.
const MOST_APART: f32 = 6.0;

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

#[cfg(test)]
mod tests {
    use super::super::examples::name;
    use super::*;

    /// Words from their left edges, as one phrase.
    fn phrase(words: &[(&str, f32, f32)]) -> Atom {
        let one = |(text, x0, x1): &(&str, f32, f32)| name(text, *x0, *x1, None).tokens.to_vec();
        Atom::new(Kind::Text, words.iter().flat_map(one).collect::<Vec<_>>()).unwrap()
    }

    #[test]
    fn names_close_over_their_columns_come_apart_where_they_begin_with_these() {
        let columns = [Rect::new(102.0, 20.0, 116.0, 90.0), Rect::new(182.0, 20.0, 196.0, 90.0)];
        let apart = |words: &[(&str, f32, f32)]| {
            let parts = names_apart(vec![phrase(words)], &columns);
            parts.into_iter().map(|a| a.text).collect::<Vec<_>>()
        };
        let [goal, mouth] = [("Goal", 100.0, 130.0), ("mouth", 132.0, 170.0)];
        assert_eq!(
            apart(&[goal, mouth, ("Pitch", 180.0, 200.0), ("centre", 202.0, 230.0)]),
            ["Goal mouth", "Pitch centre"]
        );
        // Words as far apart as all others, and a part that begins elsewhere over its column.
        for words in [
            [goal, ("mouth", 134.0, 176.0), ("Pitch", 180.0, 200.0), ("centre", 204.0, 230.0)],
            [goal, mouth, ("Pitch", 176.0, 200.0), ("centre", 202.0, 230.0)],
        ] {
            assert_eq!(apart(&words).len(), 1, "{words:?}");
        }
    }
}
