//! ODS: the sheets of an OpenDocument spreadsheet, read as a stream.

mod value;

use super::super::markup::{Markup, Node, Tag};
use super::super::packed::Packed;
use super::super::{Cell, Document, Format, Limits, Refusal, wording};
use super::grid::{Budget, Grid};
use super::{damaged, locked, part, xlsx};
use std::collections::BTreeSet;
use value::Value;

/// Reads a workbook.
pub(super) fn open(packed: &mut Packed<'_>, limits: &Limits) -> Result<Document, Refusal> {
    if part(packed, "META-INF/manifest.xml")?.is_some_and(|xml| xml.contains("encryption-data")) {
        return Err(locked());
    }
    let xml = part(packed, "content.xml")?.ok_or_else(damaged)?;
    let mut walk = Walk::new(limits);
    let mut markup = Markup::new(&xml, Format::Xlsx);
    while let Some(node) = markup.next()? {
        walk.take(&node)?;
    }
    walk.notes.extend(xlsx::hidden_note(&walk.hidden_sheets));
    Ok(Document { format: Format::Xlsx, pages: walk.pages, members: Vec::new(), notes: walk.notes })
}

/// A cell on the way, with how often it repeats.
struct Open {
    value: Value,
    columns: u32,
    rows: u32,
    repeat: u32,
}

struct Walk<'l> {
    limits: &'l Limits,
    budget: Budget<'l>,
    pages: Vec<super::super::Page>,
    notes: Vec<String>,
    hidden_sheets: Vec<String>,
    /// Styles of sheets that are not shown.
    hidden_styles: BTreeSet<String>,
    style: String,
    sheets: u32,
    name: String,
    sheet_hidden: bool,
    grid: Grid,
    /// Tables inside a cell are no sheets.
    depth: usize,
    columns: Vec<(u32, u32)>,
    column: u32,
    row: u32,
    row_repeat: u32,
    row_hidden: bool,
    row_cells: Vec<(u32, Open)>,
    cell: Option<Open>,
    /// Comments and drawings inside a cell.
    aside: usize,
}

impl<'l> Walk<'l> {
    fn new(limits: &'l Limits) -> Self {
        Self {
            limits,
            budget: Budget::new(limits),
            pages: Vec::new(),
            notes: Vec::new(),
            hidden_sheets: Vec::new(),
            hidden_styles: BTreeSet::new(),
            style: String::new(),
            sheets: 0,
            name: String::new(),
            sheet_hidden: false,
            grid: Grid::default(),
            depth: 0,
            columns: Vec::new(),
            column: 0,
            row: 0,
            row_repeat: 1,
            row_hidden: false,
            row_cells: Vec::new(),
            cell: None,
            aside: 0,
        }
    }

    fn take(&mut self, node: &Node<'_>) -> Result<(), Refusal> {
        match node {
            Node::Open(tag) => self.open(tag),
            Node::Text(text) => {
                if let (Some(cell), 0, 1) = (&mut self.cell, self.aside, self.depth) {
                    cell.value.text(text);
                }
                Ok(())
            }
            Node::Close(name) => self.close(name),
        }
    }

    fn open(&mut self, tag: &Tag<'_>) -> Result<(), Refusal> {
        let repeat = |name: &str| tag.number::<u32>(name).unwrap_or(1).max(1);
        match tag.name() {
            "style" => self.style = tag.attribute("name").unwrap_or_default(),
            "table-properties" if tag.attribute("display").as_deref() == Some("false") => {
                self.hidden_styles.insert(self.style.clone());
            }
            "annotation" | "shapes" | "frame" | "custom-shape" => self.aside += 1,
            "table" => {
                self.depth += 1;
                if self.depth == 1 {
                    self.begin_sheet(tag);
                }
            }
            _ if self.depth != 1 || self.aside > 0 => {}
            "table-column" => {
                let (from, count) = (self.column + 1, repeat("number-columns-repeated"));
                self.column = self.column.saturating_add(count);
                if shut(tag) && self.columns.len() < 1024 {
                    self.columns.push((from, self.column));
                }
            }
            "table-row" => {
                self.column = 0;
                self.row_repeat = repeat("number-rows-repeated");
                self.row_hidden = shut(tag);
                self.row_cells.clear();
            }
            "table-cell" | "covered-table-cell" => {
                self.cell = Some(Open {
                    value: Value::new(tag),
                    columns: repeat("number-columns-spanned"),
                    rows: repeat("number-rows-spanned"),
                    repeat: repeat("number-columns-repeated"),
                });
            }
            "p" | "line-break" | "tab" | "s" => {
                if let Some(cell) = &mut self.cell {
                    cell.value.text(" ");
                }
            }
            _ => {}
        }
        Ok(())
    }

    fn close(&mut self, name: &str) -> Result<(), Refusal> {
        match name {
            "annotation" | "shapes" | "frame" | "custom-shape" => self.aside = self.aside.saturating_sub(1),
            "table" => {
                self.depth = self.depth.saturating_sub(1);
                if self.depth == 0 {
                    self.end_sheet()?;
                }
            }
            _ if self.depth != 1 || self.aside > 0 => {}
            "table-cell" | "covered-table-cell" => {
                if let Some(cell) = self.cell.take() {
                    let from = self.column.saturating_add(1);
                    self.column = self.column.saturating_add(cell.repeat);
                    // What a merged cell covers is not seen.
                    if cell.value.is_filled() && name == "table-cell" {
                        self.row_cells.push((from, cell));
                    }
                }
            }
            "table-row" => self.end_row()?,
            _ => {}
        }
        Ok(())
    }

    fn begin_sheet(&mut self, tag: &Tag<'_>) {
        self.sheets = self.sheets.saturating_add(1);
        self.name = tag.attribute("name").unwrap_or_default();
        self.sheet_hidden = tag.attribute("style-name").is_some_and(|s| self.hidden_styles.contains(&s));
        self.grid = Grid::default();
        self.columns.clear();
        (self.column, self.row) = (0, 0);
    }

    fn end_sheet(&mut self) -> Result<(), Refusal> {
        if self.sheet_hidden {
            self.hidden_sheets.push(wording::quoted(&self.name));
            return Ok(());
        }
        let (page, notes) = std::mem::take(&mut self.grid).finish(self.sheets, &self.name, self.limits)?;
        self.pages.push(page);
        self.notes.extend(notes);
        Ok(())
    }

    /// Sets the cells of a row as often as the row repeats.
    fn end_row(&mut self) -> Result<(), Refusal> {
        let first = self.row.saturating_add(1);
        self.row = self.row.saturating_add(self.row_repeat);
        if self.sheet_hidden {
            return Ok(());
        }
        let cells = std::mem::take(&mut self.row_cells);
        if cells.is_empty() {
            return Ok(());
        }
        for row in first..=self.row {
            if row > self.limits.rows {
                return Err(wording::too_many_rows(Format::Xlsx, self.limits));
            }
            for (from, cell) in &cells {
                self.set(row, *from, cell)?;
            }
        }
        Ok(())
    }

    fn set(&mut self, row: u32, from: u32, cell: &Open) -> Result<(), Refusal> {
        let (text, numeric) = cell.value.shown();
        for column in from..=from.saturating_add(cell.repeat - 1) {
            if column > self.limits.columns {
                return Err(wording::too_many_columns(Format::Xlsx, self.limits));
            }
            let column_hidden = self.columns.iter().any(|(a, b)| (*a..=*b).contains(&column));
            if self.row_hidden || column_hidden {
                let column = (column_hidden && !self.row_hidden).then_some(column);
                self.grid.pass_over(self.row_hidden.then_some(row), column);
                continue;
            }
            let columns = cell.columns.min(self.limits.columns);
            let rows = cell.rows.min(self.limits.rows);
            self.grid
                .set(&mut self.budget, Cell { row, column, columns, rows, text: text.clone(), numeric })?;
        }
        Ok(())
    }
}

/// True for a row or column that is hidden or filtered away.
fn shut(tag: &Tag<'_>) -> bool {
    tag.attribute("visibility").is_some_and(|v| v == "collapse" || v == "filter")
}

#[cfg(test)]
mod tests {
    use crate::document::packed::build;
    use crate::document::workbook::open;
    use crate::document::{Cause, Content, Document, Limits, Refusal};

    fn read(tables: &str) -> Result<Document, Refusal> {
        let xml = format!(
            "<office:document-content><office:automatic-styles><style:style style:name='off'>\
             <style:table-properties table:display='false'/></style:style></office:automatic-styles>\
             <office:body><office:spreadsheet>{tables}</office:spreadsheet></office:body></office:document-content>"
        );
        open(&build::zip(&[("content.xml", xml.as_bytes())]), &Limits::default())
    }

    fn cells(document: &Document) -> Vec<(u32, u32, String, bool)> {
        let Content::Cells(cells) = &document.pages[0].content else { panic!() };
        cells.iter().map(|c| (c.row, c.column, c.text.clone(), c.numeric)).collect()
    }

    #[test]
    fn shown_digits_dates_comments_and_repeats_are_read_as_seen() {
        let document = read(
            "<table:table table:name='Results'><table:table-column table:number-columns-repeated='4'/>\
             <table:table-row table:number-rows-repeated='3'><table:table-cell table:number-columns-repeated='1024'/>\
             </table:table-row><table:table-row><table:table-cell office:value-type='string'><office:annotation>\
             <text:p>a comment</text:p></office:annotation><text:p>Plot</text:p><text:p>A</text:p></table:table-cell>\
             <table:table-cell office:value-type='float' office:value='6.8'><text:p>6,80</text:p></table:table-cell>\
             <table:table-cell office:value-type='date' office:date-value='2019-09-24'><text:p>24.09.19</text:p>\
             </table:table-cell><table:table-cell table:number-columns-repeated='2' office:value-type='float' \
             office:value='5'><text:p>5</text:p></table:table-cell></table:table-row></table:table>",
        )
        .unwrap();
        let expected = [
            (4, 1, "Plot A", false),
            (4, 2, "6.80", true),
            (4, 3, "2019-09-24", false),
            (4, 4, "5", true),
            (4, 5, "5", true),
        ];
        let expected: Vec<_> = expected.into_iter().map(|(r, c, t, n)| (r, c, t.to_owned(), n)).collect();
        assert_eq!(cells(&document), expected);
    }

    #[test]
    fn hidden_sheets_rows_and_columns_are_left_out_and_told() {
        let row = |extra: &str| {
            format!(
                "<table:table-row {extra}><table:table-cell><text:p>a</text:p></table:table-cell>\
                     <table:table-cell><text:p>b</text:p></table:table-cell></table:table-row>"
            )
        };
        let sheet = format!(
            "<table:table table:name='Old' table:style-name='off'>{}</table:table><table:table table:name='New'>\
             <table:table-column/><table:table-column table:visibility='collapse'/>{}{}</table:table>",
            row(""),
            row(""),
            row("table:visibility='filter'"),
        );
        let document = read(&sheet).unwrap();
        assert_eq!(cells(&document), [(1, 1, "a".to_owned(), false)]);
        assert_eq!(document.pages[0].number, 2);
        assert_eq!(document.notes.len(), 3);
    }

    #[test]
    fn merged_cells_span_and_what_they_cover_is_not_seen() {
        let document = read(
            "<table:table table:name='x'><table:table-row><table:table-cell table:number-columns-spanned='2' \
             table:number-rows-spanned='1'><text:p>Mehlich 3</text:p></table:table-cell><table:covered-table-cell>\
             <text:p>old</text:p></table:covered-table-cell><table:table-cell><text:p>c</text:p></table:table-cell>\
             </table:table-row></table:table>",
        )
        .unwrap();
        let Content::Cells(found) = &document.pages[0].content else { panic!() };
        assert_eq!((found[0].columns, found[0].rows), (2, 1));
        assert_eq!((found[1].column, found[1].text.as_str()), (3, "c"));
    }

    #[test]
    fn a_filled_cell_repeated_without_end_is_refused() {
        let bomb = "<table:table table:name='x'><table:table-row table:number-rows-repeated='1048576'>\
                    <table:table-cell table:number-columns-repeated='1024'><text:p>1</text:p></table:table-cell>\
                    </table:table-row></table:table>";
        assert_eq!(read(bomb).unwrap_err().cause, Cause::Limit);
    }

    #[test]
    fn an_encrypted_workbook_is_locked() {
        let manifest = b"<manifest:manifest><manifest:encryption-data/></manifest:manifest>";
        let bytes = build::zip(&[("content.xml", b"\x01\x02"), ("META-INF/manifest.xml", manifest)]);
        assert_eq!(open(&bytes, &Limits::default()).unwrap_err().cause, Cause::Locked);
    }
}
