//! A row of a table: its pieces, each under the heading it stands in.

use super::super::align::inside;
use super::super::atom::{Atom, Kind};
use super::super::band::Band;
use super::super::label::label;
use super::super::vocabulary::Context;

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
) -> Row<'a> {
    let mut row = Row { y: atoms.first().map_or(0.0, |a| a.area.y0), cells: Vec::new(), loose: Vec::new() };
    for atom in atoms {
        let (heading, sure) = match atom.kind {
            Kind::Text => (text_heading(atom, band).or_else(|| unit_of_last(&row, atom)), true),
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
    let said = label(&atom.text, Context { symbols: false, capitals: false });
    let unit = said.unit.is_some() && said.unknown.is_empty() && said.analyte.is_none();
    (unit && (0.0..0.6 * size).contains(&(atom.area.x0 - last.area.x1))).then_some(*heading)
}

pub(super) fn text_heading(atom: &Atom, band: &Band) -> Option<usize> {
    let under = band
        .leaves
        .iter()
        .enumerate()
        .map(|(i, l)| (i, l.area.overlap_x(&atom.area)))
        .filter(|(_, shared)| *shared > 0.0)
        .max_by(|a, b| a.1.total_cmp(&b.1));
    if let Some((i, _)) = under {
        return Some(i);
    }
    // Left-aligned words under a heading that ends before them.
    let before = band.leaves.iter().enumerate().rev().find(|(_, l)| l.area.x0 <= atom.area.x0)?;
    let next = band.leaves.get(before.0 + 1).is_none_or(|n| atom.area.x1 <= n.area.x0);
    (next && before.1.label.analyte.is_none()).then_some(before.0)
}

pub(super) fn text_of(atoms: &[&Atom]) -> String {
    atoms.iter().map(|a| a.text.as_str()).collect::<Vec<_>>().join(" ")
}
