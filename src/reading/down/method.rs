//! Methods in a column of their own: those that nobody knows, and those broken over lines, of which what stands beside
//! no row is of the row next to it.

use super::super::atom::Kind;
use super::super::layout::Layout;
use super::super::notes::{has_methods, method_told, strange_words};
use super::super::vocabulary::Context;
use super::row::Row;
use crate::place::Rect;

/// How far over or under its row, in ems, a piece of its method stands.
const NEAR: f32 = 1.3;

/// The rows, where those without a method of their own hold the words of the column that stand right over or under them
/// as words that nothing explains: their method was not read.
pub fn unread(page: &Layout, table: &[Row], row_lines: &[usize], columns: &[Rect]) -> Vec<Row> {
    let mut out = table.to_vec();
    if page.cells {
        return out;
    }
    for row in &mut out {
        let own = |column: &Rect| {
            row.cells.iter().any(|c| matches!(c.kind, Kind::Text) && c.area.overlap_x(column) > 0.0)
        };
        let y = row.name.area.mid_y();
        let words: Vec<&str> = columns
            .iter()
            .filter(|column| !own(column))
            .flat_map(|column| {
                let near = page.lines.iter().enumerate().filter(|(i, line)| {
                    !row_lines.contains(i)
                        && (line.area.mid_y() - y).abs() < NEAR * page.em
                        && line.phrases.len() == 1
                });
                near.flat_map(|(_, line)| &line.phrases).filter(|p| p.area.overlap_x(column) > 0.0)
            })
            .map(|p| p.text())
            .collect();
        // One piece may be the end of the method of the row before; those over and under a row are its own.
        if words.len() > 1 {
            row.label.unknown.extend(words.into_iter().map(str::to_owned));
        }
    }
    out
}

/// The rows, where those whose method stands in a column of methods and is not known hold its words as words that nothing
/// explains: whatever a note says of the others, this result was had in some other way. How an extract was measured
/// (`ICP-OES`), that it was reckoned, or the laboratory's own number for its procedure (`SOP-15`) names no method, and
/// leaves the row as it is.
pub fn unknown(mut table: Vec<Row>, columns: &[Rect], context: Context) -> Vec<Row> {
    for row in &mut table {
        let Some(analyte) = row.label.analyte.filter(|a| has_methods(*a)) else { continue };
        if !row.label.methods.is_empty() {
            continue;
        }
        let strange: Vec<String> = row
            .cells
            .iter()
            .filter(|c| matches!(c.kind, Kind::Text) && columns.iter().any(|m| c.area.overlap_x(m) > 0.0))
            .filter(|c| method_told(&c.text, analyte, context).is_empty())
            .flat_map(|c| strange_words(&c.text, context))
            .collect();
        if !strange.is_empty() {
            row.label.methods.push(None);
            row.label.unknown.push(format!("method {}", strange.join(" ")));
        }
    }
    table
}
