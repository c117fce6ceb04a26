//! XLS: values by calamine; what it does not tell (digits shown, hidden rows and columns, how far the cells reach) by
//! a walk over the same records, made first so that no claimed size is believed.

mod compound;

mod records;

use super::super::{Cause, Cell, Document, Format, Limits, Refusal, decode, wording};
use super::decimal::Decimal;
use super::grid::{Budget, Grid, Span};
use super::{damaged, locked, xlsx};
use calamine::{Data, Reader, SheetType, SheetVisible, Xls, XlsError};
use records::{Book, Sheet};
use std::io::Cursor;

/// Reads a workbook.
pub(super) fn open(bytes: &[u8], limits: &Limits) -> Result<Document, Refusal> {
    let stream = compound::stream(bytes, &["Workbook", "Book"]).ok_or_else(damaged)?;
    let book = records::walk(&stream, limits)?;
    // The library gives up on some broken records with a panic: that is damage too.
    let opened = std::panic::catch_unwind(|| Xls::new(Cursor::new(bytes))).map_err(|_| damaged())?;
    let mut values: Xls<_> = opened.map_err(|error| match error {
        XlsError::Password => locked(),
        _ => damaged(),
    })?;
    let listed = values.sheets_metadata().to_vec();
    let mut budget = Budget::new(limits);
    let (mut pages, mut notes, mut hidden) = (Vec::new(), Vec::new(), Vec::new());
    for (index, sheet) in listed.iter().enumerate() {
        if sheet.typ != SheetType::WorkSheet {
            continue;
        }
        if sheet.visible != SheetVisible::Visible {
            hidden.push(wording::quoted(&sheet.name));
            continue;
        }
        let looks = book.sheets.get(index).ok_or_else(damaged)?;
        let range = values.worksheet_range(&sheet.name).map_err(|_| damaged())?;
        let mut grid = Grid::default();
        let (top, left) = range.start().unwrap_or_default();
        for (row, column, value) in range.used_cells() {
            let row = top.saturating_add(u32::try_from(row).unwrap_or(u32::MAX));
            let column = left.saturating_add(u32::try_from(column).unwrap_or(u32::MAX));
            set(&mut grid, &mut budget, (row, column), value, &book, looks)?;
        }
        for merged in values.merge_cells_by_sheet_name(&sheet.name).unwrap_or_default() {
            let ((top, left), (bottom, right)) = (merged.start, merged.end);
            grid.merge(Span { top: top + 1, left: left + 1, bottom: bottom + 1, right: right + 1 })?;
        }
        let number = u32::try_from(index + 1).unwrap_or(u32::MAX);
        let (page, more) = grid.finish(number, &sheet.name, limits)?;
        pages.push(page);
        notes.extend(more);
    }
    notes.extend(xlsx::hidden_note(&hidden));
    Ok(Document { format: Format::Xlsx, pages, members: Vec::new(), notes })
}

/// Sets a cell; its place counts from 0 here.
fn set(
    grid: &mut Grid,
    budget: &mut Budget<'_>,
    (row, column): (u32, u32),
    value: &Data,
    book: &Book,
    looks: &Sheet,
) -> Result<(), Refusal> {
    let number = match value {
        Data::Float(number) => Some(*number),
        Data::Int(number) => Some(*number as f64),
        Data::DateTime(date) => Some(date.as_f64()),
        _ => None,
    };
    let format = looks.styles.get(&(row, column)).and_then(|style| book.formats.get(usize::from(*style)));
    let (text, numeric, coarse) = match (number, format) {
        (Some(number), Some(format)) => match format.show(number, book.epoch_1904) {
            Some(shown) => (shown.text, shown.numeric, shown.coarse),
            None => return Ok(()),
        },
        (Some(number), None) => match Decimal::new(number) {
            Some(decimal) => (decimal.general(), true, false),
            None => return Ok(()),
        },
        (None, _) => (words(value), false, false),
    };
    if text.is_empty() {
        return Ok(());
    }
    let (row_hidden, column_hidden) = (looks.hides_row(row), looks.hides_column(column));
    let (row, column) = (row.saturating_add(1), column.saturating_add(1));
    if row_hidden || column_hidden {
        grid.pass_over(row_hidden.then_some(row), (column_hidden && !row_hidden).then_some(column));
        return Ok(());
    }
    if coarse {
        grid.count_coarse();
    }
    grid.set(budget, Cell { row, column, columns: 1, rows: 1, text, numeric })
}

fn words(value: &Data) -> String {
    match value {
        Data::String(text) => decode::squeezed(text),
        Data::Bool(true) => "TRUE".to_owned(),
        Data::Bool(false) => "FALSE".to_owned(),
        Data::Error(error) => error.to_string(),
        Data::DateTimeIso(text) | Data::DurationIso(text) => text.clone(),
        _ => String::new(),
    }
}

/// The refusal of a sheet whose cells lie so far apart that the table between them would not fit.
fn too_far(limits: &Limits) -> Refusal {
    let what = format!("The table reaches over more than {} cells.", wording::grouped(limits.cells as u64));
    Refusal::new(Cause::Limit, Format::Xlsx, what, "Save it as XLSX or CSV and drop that.")
}

#[cfg(test)]
mod tests;
