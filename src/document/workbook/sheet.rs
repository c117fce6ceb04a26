//! One sheet of an XLSX workbook, read as a stream: only cells that hold something are kept.

use super::super::markup::{Markup, Node, Tag};
use super::super::{Cell, Format, Refusal};
use super::grid::{Budget, Grid, Span};
use super::number::NumberFormat;
use super::strings::{self, RichText};

/// What the sheets of a workbook share.
#[derive(Default)]
pub(super) struct Shared {
    pub(super) strings: Vec<String>,
    pub(super) formats: Vec<NumberFormat>,
    pub(super) epoch_1904: bool,
}

/// A cell on the way.
#[derive(Default)]
struct Open {
    row: u32,
    column: u32,
    kind: String,
    style: usize,
    value: String,
    rich: Option<RichText>,
}

#[derive(Default)]
struct Walk {
    row: u32,
    column: u32,
    row_hidden: bool,
    hidden_columns: Vec<(u32, u32)>,
    cell: Option<Open>,
    in_value: bool,
    in_rich: bool,
}

/// Reads a sheet.
///
/// # Errors
/// A refusal where the XML is broken or a limit is passed.
pub(super) fn read(xml: &str, shared: &Shared, budget: &mut Budget<'_>) -> Result<Grid, Refusal> {
    let mut markup = Markup::new(xml, Format::Xlsx);
    let (mut grid, mut walk) = (Grid::default(), Walk::default());
    while let Some(node) = markup.next()? {
        if walk.in_rich && !matches!(&node, Node::Close(name) if name == "is") {
            if let Some(rich) = walk.cell.as_mut().and_then(|c| c.rich.as_mut()) {
                rich.take(&node);
            }
            continue;
        }
        match node {
            Node::Open(tag) => walk.open(&tag, &mut grid)?,
            Node::Text(text) if walk.in_value => {
                if let Some(cell) = &mut walk.cell {
                    cell.value.push_str(&text);
                }
            }
            Node::Text(_) => {}
            Node::Close(name) => match name.as_str() {
                "is" => walk.in_rich = false,
                "v" => walk.in_value = false,
                "c" => walk.close(&mut grid, shared, budget)?,
                _ => {}
            },
        }
    }
    Ok(grid)
}

impl Walk {
    fn open(&mut self, tag: &Tag<'_>, grid: &mut Grid) -> Result<(), Refusal> {
        match tag.name() {
            "col" if tag.flag("hidden") || tag.number::<f64>("width") == Some(0.0) => {
                if let (Some(from), Some(to), 0..1024) =
                    (tag.number("min"), tag.number("max"), self.hidden_columns.len())
                {
                    self.hidden_columns.push((from, to));
                }
            }
            "row" => {
                let said = tag.number("r").filter(|row| *row > 0);
                self.row = said.unwrap_or(self.row.saturating_add(1));
                self.column = 0;
                self.row_hidden = tag.flag("hidden") || tag.number::<f64>("ht") == Some(0.0);
            }
            "c" => {
                let place = tag.attribute("r").and_then(|r| address(&r));
                let (row, column) = place.unwrap_or((self.row.max(1), self.column.saturating_add(1)));
                self.column = column;
                self.cell = Some(Open {
                    row,
                    column,
                    kind: tag.attribute("t").unwrap_or_default(),
                    style: tag.number("s").unwrap_or(0),
                    ..Open::default()
                });
            }
            "v" => self.in_value = self.cell.is_some(),
            "is" => {
                self.in_rich = self.cell.is_some();
                if let Some(cell) = &mut self.cell {
                    cell.rich = Some(RichText::default());
                }
            }
            "mergeCell" => {
                if let Some(span) = tag.attribute("ref").and_then(|r| span(&r)) {
                    grid.merge(span)?;
                }
            }
            _ => {}
        }
        Ok(())
    }

    fn close(&mut self, grid: &mut Grid, shared: &Shared, budget: &mut Budget<'_>) -> Result<(), Refusal> {
        let Some(cell) = self.cell.take() else { return Ok(()) };
        let (row, column) = (cell.row, cell.column);
        let (text, numeric, coarse) = cell.shown(shared)?;
        if text.is_empty() {
            return Ok(());
        }
        let column_hidden = self.hidden_columns.iter().any(|(from, to)| (*from..=*to).contains(&column));
        if self.row_hidden || column_hidden {
            grid.pass_over(
                self.row_hidden.then_some(row),
                (column_hidden && !self.row_hidden).then_some(column),
            );
            return Ok(());
        }
        if coarse {
            grid.count_coarse();
        }
        grid.set(budget, Cell { row, column, columns: 1, rows: 1, text, numeric })
    }
}

impl Open {
    /// Text, whether it is a number, whether its shown digits are far fewer than it holds.
    fn shown(self, shared: &Shared) -> Result<(String, bool, bool), Refusal> {
        let value = self.value.trim();
        let words = |text: String| Ok((text, false, false));
        match self.kind.as_str() {
            "s" => match value.parse::<usize>().ok().and_then(|i| shared.strings.get(i)) {
                Some(text) => words(text.clone()),
                None if value.is_empty() => words(String::new()),
                None => Err(super::damaged()),
            },
            "inlineStr" => words(self.rich.map(RichText::finish).unwrap_or_default()),
            "b" => words(match value {
                "1" | "true" => "TRUE".to_owned(),
                "" => String::new(),
                _ => "FALSE".to_owned(),
            }),
            "str" | "e" => words(strings::one_line(&self.value)),
            "d" => words(value.split('T').next().unwrap_or_default().to_owned()),
            _ => match value.parse::<f64>() {
                Ok(number) => {
                    let general = NumberFormat::default();
                    let format = shared.formats.get(self.style).unwrap_or(&general);
                    let shown = format.show(number, shared.epoch_1904);
                    Ok(shown.map_or((String::new(), false, false), |s| (s.text, s.numeric, s.coarse)))
                }
                Err(_) => words(strings::one_line(value)),
            },
        }
    }
}

/// Row and column of an address like `B7`.
pub(super) fn address(text: &str) -> Option<(u32, u32)> {
    let text = text.trim();
    let letters = text.bytes().take_while(u8::is_ascii_alphabetic).count();
    let (column, row) = text.split_at_checked(letters)?;
    if column.is_empty() || column.len() > 3 {
        return None;
    }
    let column = column.bytes().fold(0u32, |sum, b| {
        sum.saturating_mul(26).saturating_add(u32::from(b.to_ascii_uppercase() - b'A') + 1)
    });
    row.parse().ok().filter(|row| *row > 0).map(|row| (row, column))
}

/// A span like `A8:B8`.
fn span(text: &str) -> Option<Span> {
    let (from, to) = text.split_once(':').unwrap_or((text, text));
    let ((top, left), (bottom, right)) = (address(from)?, address(to)?);
    Some(Span { top, left, bottom, right })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn addresses_follow_the_spreadsheet_alphabet() {
        assert_eq!(address("B7"), Some((7, 2)));
        assert_eq!(address("XFD1048576"), Some((1_048_576, 16_384)));
        assert_eq!(address("7"), None);
        assert_eq!(address("A0"), None);
        assert_eq!(address("AAAA1"), None);
        assert_eq!(span("A8:B9"), Some(Span { top: 8, left: 1, bottom: 9, right: 2 }));
    }
}
