//! A row of a table: its pieces, each under the heading it stands in.

use super::super::align::inside;
use super::super::atom::{Atom, Kind};
use super::super::band::Band;
use super::super::vocabulary::{Context, Field};

/// A row of a table: its pieces by heading.
pub(super) struct Row<'a> {
    pub(super) y: f32,
    pub(super) cells: Vec<(usize, Vec<&'a Atom>, bool)>,
    pub(super) loose: Vec<&'a Atom>,
}

pub(super) fn value_count(row: &[Atom]) -> usize {
    row.iter().filter(|a| matches!(a.kind, Kind::Number(_))).count()
}

/// Numbers go to their column's heading; words go to the heading they stand under, or that starts before them.
pub(super) fn place_row<'a>(
    atoms: &'a [Atom],
    columns: &[super::super::align::Column],
    band: &Band,
    edges: &[Edge],
) -> Row<'a> {
    let mut row = Row { y: atoms.first().map_or(0.0, |a| a.area.y0), cells: Vec::new(), loose: Vec::new() };
    for atom in atoms {
        let (heading, sure) = match atom.kind {
            Kind::Text => (
                under(atom, band)
                    .or_else(|| at_edge(atom, edges))
                    .or_else(|| right_of(atom, band))
                    .or_else(|| unit_of_last(&row, atom)),
                true,
            ),
            _ => match columns.iter().find(|c| inside(&c.area, &atom.area)) {
                Some(column) => (column.heading, column.sure),
                None => (None, false),
            },
        };
        match heading {
            Some(h) => match row.cells.iter_mut().find(|(i, ..)| *i == h) {
                Some((_, list, all_sure)) => {
                    list.push(atom);
                    *all_sure &= sure;
                }
                None => row.cells.push((h, vec![atom], sure)),
            },
            None => row.loose.push(atom),
        }
    }
    row
}

/// A unit set right behind a number goes with it, also where it reaches beyond the number's heading.
fn unit_of_last(row: &Row<'_>, atom: &Atom) -> Option<usize> {
    let (heading, atoms, _) = row.cells.last()?;
    let last = atoms.last().filter(|a| a.number().is_some())?;
    let size = last.tokens.first().map_or(10.0, |t| t.size);
    let said = atom.label(Context { symbols: false, capitals: false });
    let unit = said.unit.is_some() && said.unknown.is_empty() && said.analyte.is_none();
    (unit && (0.0..0.6 * size).contains(&(atom.area.x0 - last.area.x1))).then_some(*heading)
}

pub(super) fn text_heading(atom: &Atom, band: &Band) -> Option<usize> {
    under(atom, band).or_else(|| right_of(atom, band))
}

/// The heading that most of the words stand under.
fn under(atom: &Atom, band: &Band) -> Option<usize> {
    let shared = band.leaves.iter().map(|l| l.area.overlap_x(&atom.area)).enumerate();
    shared.filter(|(_, shared)| *shared > 0.0).max_by(|a, b| a.1.total_cmp(&b.1)).map(|(i, _)| i)
}

/// Left-aligned words under a heading that ends before them.
fn right_of(atom: &Atom, band: &Band) -> Option<usize> {
    let before = band.leaves.iter().enumerate().rev().find(|(_, l)| l.area.x0 <= atom.area.x0)?;
    let next = band.leaves.get(before.0 + 1).is_none_or(|n| atom.area.x1 <= n.area.x0);
    (next && before.1.label.analyte.is_none()).then_some(before.0)
}

/// A left edge that words of several rows share, and the one heading that they stand under.
pub(super) struct Edge {
    x: f32,
    heading: usize,
}

/// So many rows with words at one edge make it that of a column.
const ROWS: usize = 3;

/// How near, in points, two left edges of one column lie.
const SAME_EDGE: f32 = 1.0;

/// The left edges of columns of words: a short name may end before the middle of the column, where its heading begins.
pub(super) fn edges(rows: &[Vec<Atom>], band: &Band) -> Vec<Edge> {
    let words = || rows.iter().flatten().filter(|a| matches!(a.kind, Kind::Text));
    let mut out: Vec<Edge> = Vec::new();
    for atom in words() {
        let x = atom.area.x0;
        if out.iter().any(|e| near(e.x, x)) {
            continue;
        }
        let mut own: Vec<usize> =
            words().filter(|a| near(a.area.x0, x)).filter_map(|a| under(a, band)).collect();
        let all = own.len();
        own.sort_unstable();
        own.dedup();
        match own.as_slice() {
            [heading] if all >= ROWS => out.push(Edge { x, heading: *heading }),
            [] | [_] => out.extend(next_to_a_full_one(rows, band, x).map(|heading| Edge { x, heading })),
            _ => {}
        }
    }
    out
}

/// The heading of names at an edge that ends before it, as headings in the middle of wide columns and names at their left
/// edges stand: in each row another piece fills the column before, and nothing but these names stands near the next, which
/// asks for a name.
fn next_to_a_full_one(rows: &[Vec<Atom>], band: &Band, x: f32) -> Option<usize> {
    let names: Vec<(&Vec<Atom>, &Atom)> = rows
        .iter()
        .filter_map(|row| {
            Some((row, row.iter().find(|a| matches!(a.kind, Kind::Text) && near(a.area.x0, x))?))
        })
        .collect();
    let before = band.leaves.iter().rposition(|l| l.area.x1 <= x)?;
    let own = band.leaves.get(before + 1)?;
    let asks = own.label.field == Some(Field::SampleLabel) && own.label.analyte.is_none();
    let full = |(row, name): &(&Vec<Atom>, &Atom)| {
        let leaf = band.leaves.get(before);
        leaf.is_some_and(|l| row.iter().any(|a| a.area.x1 <= name.area.x0 && l.area.overlap_x(&a.area) > 0.0))
    };
    let free = |(row, name): &(&Vec<Atom>, &Atom)| {
        row.iter().all(|a| near(a.area.x0, name.area.x0) || a.area.overlap_x(&own.area) <= 0.0)
    };
    let next = band.leaves.get(before + 2).map_or(f32::INFINITY, |l| l.area.x0);
    (asks && names.len() >= ROWS && names.iter().all(|n| full(n) && free(n) && n.1.area.x1 < next))
        .then_some(before + 1)
}

fn near(a: f32, b: f32) -> bool {
    (a - b).abs() < SAME_EDGE
}

/// The heading of the column at whose left edge words stand.
fn at_edge(atom: &Atom, edges: &[Edge]) -> Option<usize> {
    edges.iter().find(|e| near(e.x, atom.area.x0)).map(|e| e.heading)
}

pub(super) fn text_of(atoms: &[&Atom]) -> String {
    atoms.iter().map(|a| a.text.as_str()).collect::<Vec<_>>().join(" ")
}
