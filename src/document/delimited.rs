//! Comma, semicolon or tab separated tables in UTF-8, UTF-16 or Windows-1252.

use super::sniff::separator::{self, Layout};
use super::{Cell, Content, Document, Format, Limits, Page, Refusal, decode, wording};

/// Lays the document out: one sheet, a record a row, counted from 1 as a spreadsheet shows it; empty cells are
/// left out and every cell is text.
///
/// # Errors
/// A [`Refusal`] where the bytes are no text or the table passes a limit.
pub fn open(bytes: &[u8], limits: &Limits) -> Result<Document, Refusal> {
    let text = decode::text(bytes).ok_or_else(|| wording::not_text(Format::Csv))?;
    let layout = separator::decide(&text).unwrap_or(Layout { separator: b',', quoted: true, preamble: 0 });
    let cells = cells(text.get(layout.preamble..).unwrap_or_default(), layout, limits)?;
    let page = Page { number: 1, width: 0.0, height: 0.0, name: None, content: Content::Cells(cells) };
    Ok(Document { format: Format::Csv, pages: vec![page], members: Vec::new(), notes: Vec::new() })
}

fn cells(text: &str, layout: Layout, limits: &Limits) -> Result<Vec<Cell>, Refusal> {
    let mut reader = csv::ReaderBuilder::new()
        .has_headers(false)
        .flexible(true)
        .delimiter(layout.separator)
        .quoting(layout.quoted)
        .from_reader(text.as_bytes());
    let mut record = csv::ByteRecord::new();
    let mut cells = Vec::new();
    let mut row = 0u32;
    loop {
        let read = reader
            .read_byte_record(&mut record)
            .map_err(|_| wording::damaged(Format::Csv, "The table cannot be read."))?;
        if !read {
            return Ok(cells);
        }
        row = row.saturating_add(1 + blank_lines(text, &record));
        if row > limits.rows {
            return Err(wording::too_many_rows(Format::Csv, limits));
        }
        for (index, field) in record.iter().enumerate() {
            if field.len() > limits.cell_bytes {
                return Err(wording::cell_too_long(Format::Csv, limits));
            }
            let text = plain(&String::from_utf8_lossy(field));
            if text.is_empty() {
                continue;
            }
            let column = u32::try_from(index + 1).unwrap_or(u32::MAX);
            if column > limits.columns {
                return Err(wording::too_many_columns(Format::Csv, limits));
            }
            if cells.len() >= limits.cells {
                return Err(wording::too_many_cells(Format::Csv, limits));
            }
            cells.push(Cell { row, column, columns: 1, rows: 1, text, numeric: false });
        }
    }
}

/// Blank lines before the record, which the reader passes over and a spreadsheet shows.
fn blank_lines(text: &str, record: &csv::ByteRecord) -> u32 {
    let start = record.position().and_then(|p| usize::try_from(p.byte()).ok()).unwrap_or(0);
    let before = text.as_bytes().get(start..).unwrap_or_default();
    u32::try_from(before.iter().take_while(|b| **b == b'\n').count()).unwrap_or(u32::MAX)
}

/// One line of text; `="0012"`, a spreadsheet's way to keep an id as text, is the id.
fn plain(field: &str) -> String {
    let text = decode::squeezed(field);
    match text.strip_prefix("=\"").and_then(|t| t.strip_suffix('"')) {
        Some(inner) => inner.trim().to_owned(),
        None => text,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::document::Cause;

    fn read(bytes: &[u8]) -> Vec<(u32, u32, String)> {
        let document = open(bytes, &Limits::default()).unwrap();
        let Content::Cells(cells) = document.pages.into_iter().next().unwrap().content else { panic!() };
        assert!(cells.iter().all(|c| !c.numeric));
        cells.into_iter().map(|c| (c.row, c.column, c.text)).collect()
    }

    fn texts(bytes: &[u8]) -> Vec<String> {
        read(bytes).into_iter().map(|(_, _, t)| t).collect()
    }

    #[test]
    fn empty_cells_are_left_out_and_the_others_keep_their_column() {
        let cells = read(b"a,b,c\r\n1,,3\r\n");
        assert_eq!(cells.last().unwrap(), &(2, 3, "3".to_owned()));
        assert_eq!(cells.len(), 5);
    }

    #[test]
    fn rows_count_as_a_spreadsheet_shows_them_with_blank_lines() {
        let rows: Vec<u32> = read(b"t,x,y\n\n\na,b,c\nd,e,f\n").into_iter().map(|(r, _, _)| r).collect();
        assert_eq!(rows, [1, 1, 1, 4, 4, 4, 5, 5, 5]);
    }

    #[test]
    fn quoted_line_breaks_separators_and_quotes_stay_inside_the_cell() {
        let cells = texts(b"Sample,\"Organic\nMatter\",pH\n\"North, upper\",\"6\"\" core\",6.4\n");
        assert_eq!(cells, ["Sample", "Organic Matter", "pH", "North, upper", "6\" core", "6.4"]);
    }

    #[test]
    fn decimal_commas_and_leading_zeros_stay_as_written() {
        assert_eq!(texts(b"Probe;pH;Nr\nA;6,40;007\nB;6,10;008\n")[3..6], ["A", "6,40", "007"]);
        assert_eq!(texts(b"id,ph,p\n=\"0012\",6.4,22\n")[3], "0012");
    }

    #[test]
    fn utf16_and_windows_1252_tables_read_alike() {
        let text = "Plot;pH;µS/cm\nÅker;6,4;120\n";
        let mut utf16 = vec![0xff, 0xfe];
        utf16.extend(text.encode_utf16().flat_map(u16::to_le_bytes));
        assert_eq!(texts(&utf16), texts(text.as_bytes()));
        assert_eq!(texts(b"Plot;pH;\xb5S/cm\n\xc5ker;6,4;120\n"), texts(text.as_bytes()));
    }

    #[test]
    fn ragged_records_are_read_as_they_are() {
        assert_eq!(read(b"Lab Foxgrove\nSample,pH,P\nA,6.4,22\nB,6.1,30\nlegend\n").len(), 11);
    }

    #[test]
    fn rows_columns_cells_and_lengths_are_bounded() {
        let small = Limits { rows: 3, columns: 4, cells: 6, cell_bytes: 10, ..Limits::default() };
        let cause = |bytes: &[u8]| open(bytes, &small).unwrap_err();
        assert_eq!(cause(b"a,b\n1,\n2,\n3,\n4,\n").what, "The table has more than 3 rows.");
        assert!(cause(b"a,b,c,d,e\n1,2,3,4,5\n").what.contains("4 columns"));
        assert!(cause(b"a,b,c\n1,2,3\n4,5,6\n").what.contains("6 cells"));
        assert_eq!(cause(b"a,b,c\n12345678901,2,3\n").cause, Cause::Limit);
    }
}
