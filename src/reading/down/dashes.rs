//! `pH   -   6.8` among `Zinc   mg/kg   3.9`: a dash in a column of units says that there is none, and is no blank result.

use super::super::atom::{Atom, Kind};
use super::super::vocabulary::Context;
use super::row::Row;

/// How near, in points, left edges of one column lie.
const SAME_EDGE: f32 = 1.5;

/// Fewer units at one edge are no column.
const UNITS: usize = 2;

/// The rows without the dashes that stand at the left edge of a column of units and of no number.
pub(super) fn without_dashes_for_units(table: &[Row], context: Context) -> Vec<Row> {
    let cells = || table.iter().flat_map(|r| &r.cells);
    let unit = |c: &Atom| c.is_unit(context);
    let of_units = |dash: &Atom| {
        let here = |c: &&Atom| (c.area.x0 - dash.area.x0).abs() < SAME_EDGE;
        let number = |c: &Atom| c.number().is_some() && c.area.overlap_x(&dash.area) > 0.0;
        cells().filter(here).filter(|c| unit(c)).count() >= UNITS && !cells().any(number)
    };
    let keep = |c: &Atom| !matches!(c.kind, Kind::Blank) || !of_units(c);
    table
        .iter()
        .map(|r| Row { cells: r.cells.iter().filter(|c| keep(c)).cloned().collect(), ..r.clone() })
        .collect()
}
