//! Methods in a column of their own that are broken over lines: what stands there beside no row is of the row next to it.

use super::super::atom::Kind;
use super::super::layout::Layout;
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
        let words: Vec<String> = columns
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
            row.label.unknown.extend(words);
        }
    }
    out
}
