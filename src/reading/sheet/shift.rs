//! Room for further columns in a sheet.

use super::super::layout::{Layout, Line, Phrase, Token};
use crate::place::Rect;

/// From one column of a sheet to the next, in points.
pub(super) const COLUMN: f32 = 100.0;

fn moved(area: &mut Rect, from: f32, by: f32) {
    if area.x0 >= from {
        area.x0 += by;
    }
    if area.x1 >= from {
        area.x1 += by;
    }
}

/// Moves what stands at `from` or right of it `columns` further to the right; where it stands on the original stays.
pub(super) fn shift(page: &mut Layout, from: f32, columns: usize) {
    #[allow(clippy::cast_precision_loss)]
    let by = columns as f32 * COLUMN;
    for line in &mut page.lines {
        moved(&mut line.area, from, by);
        for phrase in &mut line.phrases {
            moved(&mut phrase.area, from, by);
            for token in &mut phrase.tokens {
                moved(&mut token.area, from, by);
            }
        }
    }
}

/// Sets a cell into a line, its left edge at `x`.
pub(super) fn set(line: &mut Line, x: f32, token: &Token, text: String) {
    let area = Rect::new(x, line.area.y0, x + COLUMN - 4.0, line.area.y0 + 12.0);
    let token = Token { text: text.into(), area, ..token.clone() };
    line.phrases.push(Phrase { tokens: vec![token].into(), area, marks: Vec::new() });
    line.phrases.sort_by(|a, b| a.area.x0.total_cmp(&b.area.x0));
    line.area = line.area.union(&area);
}
