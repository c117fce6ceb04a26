//! The cells of a table file as lines of phrases.

use super::super::fold::fold;
use super::super::raised;
use super::super::sheet::spelled;
use super::under_names::{Under, under_names};
use super::{Layout, Line, Phrase, Token};
use crate::document::Cell;
use crate::place::{Place, Rect};
use std::borrow::Cow;

/// `Report HM-66 · Client Moss Farms · Received 3 May`: several points between words part pairs, as strokes do. One alone may be
/// of a unit, `cmol · kg`.
fn parted_by_points(text: &str) -> Cow<'_, str> {
    if text.matches(" · ").count() > 1 {
        Cow::Owned(text.replace(" · ", " | "))
    } else {
        Cow::Borrowed(text)
    }
}

/// How far below the top of its row a second line of cells stands, and how high it is.
const UNDER: f32 = 13.0;
const LOW: f32 = 5.0;

pub(super) fn cells_layout(number: u32, cells: &[Cell]) -> Layout {
    let mut rows: std::collections::BTreeMap<(u32, u32), Vec<Phrase>> = std::collections::BTreeMap::new();
    let mut footnotes: Vec<u32> = Vec::new();
    let under = under_names(cells);
    let lines = cells.iter().enumerate().flat_map(|(at, cell)| match under.get(&at) {
        Some(Under::Own { name, number }) => {
            vec![(cell, 0, Cow::Borrowed(name)), (cell, 1, Cow::Borrowed(number))]
        }
        Some(Under::Asks(what)) => {
            vec![(cell, 0, Cow::Borrowed(&cell.text)), (cell, 1, Cow::Owned((*what).to_owned()))]
        }
        None => vec![(cell, 0, Cow::Borrowed(&cell.text))],
    });
    for (cell, line, text) in lines {
        // The lines of a cell are one text.
        let text = text.replace('\n', " ");
        if raised::opens(&text) {
            footnotes.push(cell.row);
        }
        let (words, marks) = raised::apart(&text);
        let text = fold(&spelled(&parted_by_points(&words)));
        if text.is_empty() {
            continue;
        }
        #[allow(clippy::cast_precision_loss)]
        let (x, y) = (cell.column as f32 * 100.0, cell.row as f32 * 20.0 + line as f32 * UNDER);
        #[allow(clippy::cast_precision_loss)]
        let area = Rect::new(
            x + 2.0,
            y,
            x + cell.columns.max(1) as f32 * 100.0 - 2.0,
            y + if line > 0 { LOW } else { cell.rows.max(1) as f32 * 20.0 - 8.0 },
        );
        let token = Token {
            text: text.into(),
            area,
            place: Place::Cell { sheet: number, row: cell.row, column: cell.column },
            size: 10.0,
            confidence: None,
        };
        if let Some(phrase) = Phrase::new(vec![token]) {
            rows.entry((cell.row, line)).or_default().push(Phrase { marks, ..phrase });
        }
    }
    let lines = rows
        .into_iter()
        .filter_map(|((row, _), mut phrases)| {
            phrases.sort_by(|a, b| a.area.x0.total_cmp(&b.area.x0));
            let area = phrases.iter().map(|p| p.area).reduce(|a, b| a.union(&b))?;
            let footnote = phrases.len() == 1 && footnotes.contains(&row);
            Some(Line { phrases, area, footnote })
        })
        .collect();
    Layout { number, lines, turned: Vec::new(), em: 10.0, cells: true }
}
