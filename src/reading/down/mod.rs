//! Tables whose rows are analytes: one result a row, or one column a sample.

mod above;
mod advice;
mod around;
mod beside;
mod carried;
mod column;
mod crop;
mod dashes;
mod former_columns;
mod issues;
mod layers;
mod method;
mod methods_first;
mod results;
mod row;
mod shares;
mod stacked;
mod table;
mod tables;
mod title;

use super::across::doubt_all;
use super::atom::Atom;
use super::former;
use super::found::FoundSample;
use super::layout::Layout;
use crate::place::Rect;
pub use advice::is_title;
pub use around::Around;
pub use carried::Carried;
use column::Holds;
use methods_first::{behind_its_name, methods_first};
pub use row::is_rating_letter;
use row::{Row, line_rows, rates, ratings, stacked_rows};
use table::read_table;
use tables::tables;

/// Reads the tables of analytes of a page; `free` tells which lines no other table has taken, `carried` what the
/// page before left open.
pub fn read(
    page: &Layout,
    atoms: &[Vec<Atom>],
    free: &[bool],
    around: Around<'_>,
    carried: &mut Option<Carried>,
) -> (Vec<FoundSample>, Vec<usize>) {
    let mut rows: Vec<Row> = Vec::new();
    let ratings = ratings(atoms, around.context);
    let edges = if page.cells { Vec::new() } else { row::method_edges(atoms, around.context) };
    let before_names = methods_first(atoms, around.context);
    for (i, line) in atoms.iter().enumerate() {
        let turned = behind_its_name(i, line, &before_names);
        let methods: Vec<Rect> = turned.iter().map(|(_, area)| *area).collect();
        let line = turned.as_ref().map_or(line, |(line, _)| line);
        if free.get(i).copied().unwrap_or(false) {
            let method = |a: &Atom| row::in_column_of_methods(a, &edges) || methods.contains(&a.area);
            let rates = |a: &Atom| rates(a, &ratings) || method(a);
            let over = i.checked_sub(1).filter(|_| !page.cells).and_then(|i| atoms.get(i));
            let over = over.map(Vec::as_slice).unwrap_or_default();
            let parted = shares::apart(line, over, around.decimal, around.context);
            let line = parted.as_deref().unwrap_or(line);
            let found = line_rows(i, line, around.context, around.decimal, &rates);
            rows.extend(method::unknown(found, &methods, around.context));
        }
    }
    row::end_at_neighbours(&mut rows, page.em, around.context);
    if rows.is_empty() {
        rows = stacked_rows(atoms, free, around.context);
    }
    let mut samples = Vec::new();
    let mut taken: Vec<usize> = Vec::new();
    let mut before = carried.take();
    let row_lines: Vec<usize> = rows.iter().map(|r| r.line).collect();
    let mut above = 0;
    for table in tables(rows, page, around) {
        let table = beside::without_prose(atoms, table, page.em, around.context);
        if advice::is_advice(page, &table) || title::of_controls(page, &table) {
            taken.extend(table.iter().map(|r| r.line));
            continue;
        }
        let first = table.first().map_or(0, |r| r.line);
        // Only below other results is a table of a former season one to leave out.
        let former = former::over_rows(page, above, first, around.year).filter(|_| above > 0);
        above = table.last().map_or(above, |r| r.line + 1);
        // Results of last year may be all that a report of January holds: a former season repeats what stands above.
        let measured = |row: &Row| {
            let analyte = row.label.analyte;
            let mut above = samples.iter().flat_map(|s: &FoundSample| &s.readings);
            analyte.is_none() || above.any(|r| r.label.analyte == analyte)
        };
        if former.as_ref().is_some_and(|(before, _)| *before) && table.iter().all(measured) {
            taken.extend(table.iter().map(|r| r.line));
            continue;
        }
        let (mut found, lines, columns) = read_table(page, atoms, &table, &row_lines, around, before.take());
        doubt_all(&mut found, former.map(|(_, doubt)| doubt).as_ref());
        taken.extend(table.iter().map(|r| r.line));
        taken.extend(lines);
        let lone = table.iter().all(|row| page.lines.get(row.line).is_some_and(|l| l.phrases.len() == 1));
        samples.extend(found.into_iter().map(|sample| FoundSample { lone, ..sample }));
        if columns.columns.iter().any(|c| matches!(c.holds, Holds::Result | Holds::Sample(_))) {
            *carried = Some(columns);
        }
    }
    (samples, taken)
}

#[cfg(test)]
mod tests;
