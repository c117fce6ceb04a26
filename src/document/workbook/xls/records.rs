//! The records of an XLS stream ([MS-XLS] 2.4, from memory) that say what cells look like and how far they reach.

use super::super::super::{Format, Limits, Refusal, decode, wording};
use super::super::number::NumberFormat;
use super::super::{damaged, locked};
use super::compound::{u16_at, u32_at};
use encoding_rs::WINDOWS_1252;
use std::collections::{BTreeMap, BTreeSet};

const BOF: u16 = 0x0809;
const EOF: u16 = 0x000a;

/// What the records say of the workbook.
#[derive(Default)]
pub(super) struct Book {
    /// Formats by style.
    pub(super) formats: Vec<NumberFormat>,
    /// Days count from 1904.
    pub(super) epoch_1904: bool,
    /// Sheets in the order they are listed.
    pub(super) sheets: Vec<Sheet>,
}

/// What the records say of a sheet; rows and columns count from 0.
#[derive(Default)]
pub(super) struct Sheet {
    /// Style by row and column.
    pub(super) styles: BTreeMap<(u32, u32), u16>,
    hidden_rows: BTreeSet<u32>,
    hidden_columns: Vec<(u32, u32)>,
}

impl Sheet {
    pub(super) fn hides_row(&self, row: u32) -> bool {
        self.hidden_rows.contains(&row)
    }

    pub(super) fn hides_column(&self, column: u32) -> bool {
        self.hidden_columns.iter().any(|(from, to)| (*from..=*to).contains(&column))
    }
}

struct Records<'a> {
    stream: &'a [u8],
    at: usize,
}

impl<'a> Iterator for Records<'a> {
    type Item = (u16, &'a [u8]);

    fn next(&mut self) -> Option<Self::Item> {
        let (kind, length) = (u16_at(self.stream, self.at)?, u16_at(self.stream, self.at + 2)?);
        let data = self.stream.get(self.at + 4..self.at + 4 + usize::from(length))?;
        self.at += 4 + data.len();
        Some((kind, data))
    }
}

/// Walks over the workbook and all its sheets.
///
/// # Errors
/// A refusal where the workbook is locked, its records contradict each other, or a limit is passed.
pub(super) fn walk(stream: &[u8], limits: &Limits) -> Result<Book, Refusal> {
    let mut book = Book::default();
    let (mut written, mut styles, mut starts) = (BTreeMap::<u16, String>::new(), Vec::new(), Vec::new());
    let mut old = false;
    for (kind, data) in (Records { stream, at: 0 }) {
        match kind {
            BOF => old = u16_at(data, 0) != Some(0x0600),
            0x002f if u16_at(data, 0) != Some(0) || old => return Err(locked()),
            0x0022 => book.epoch_1904 = u16_at(data, 0) == Some(1),
            0x041e => {
                if let (Some(id), Some(code)) = (u16_at(data, 0), format_code(data, old)) {
                    written.insert(id, code);
                }
            }
            0x00e0 => styles.push(u16_at(data, 2).unwrap_or(0)),
            0x0085 => starts.push(u32_at(data, 0).ok_or_else(damaged)?),
            EOF => break,
            _ => {}
        }
    }
    let format = |id: &u16| match written.get(id) {
        Some(code) => NumberFormat::parse(code),
        None => NumberFormat::built_in(u32::from(*id)),
    };
    book.formats = styles.iter().map(format).collect();
    let mut seen = 0usize;
    for start in starts {
        let at = usize::try_from(start).ok().filter(|at| *at < stream.len()).ok_or_else(damaged)?;
        book.sheets.push(sheet(Records { stream, at }, limits, &mut seen)?);
    }
    Ok(book)
}

/// The text of a format: bytes in the old version; else letters of one or two bytes behind a count and a flag.
fn format_code(data: &[u8], old: bool) -> Option<String> {
    if old {
        let length = usize::from(*data.get(2)?);
        return Some(WINDOWS_1252.decode_without_bom_handling(data.get(3..3 + length)?).0.into_owned());
    }
    let (length, wide) = (usize::from(u16_at(data, 2)?), data.get(4)? & 1 == 1);
    let bytes = data.get(5..5 + length * if wide { 2 } else { 1 })?;
    let units: Vec<u16> = if wide {
        bytes.chunks_exact(2).filter_map(|b| b.try_into().ok().map(u16::from_le_bytes)).collect()
    } else {
        bytes.iter().map(|b| u16::from(*b)).collect()
    };
    Some(decode::squeezed(&String::from_utf16_lossy(&units)))
}

fn sheet(records: Records<'_>, limits: &Limits, seen: &mut usize) -> Result<Sheet, Refusal> {
    let mut sheet = Sheet::default();
    let (mut depth, mut reach) = (0usize, Reach::default());
    let mut cell = |sheet: &mut Sheet, row: u16, column: u16, style: u16| -> Result<(), Refusal> {
        *seen += 1;
        if *seen > limits.cells {
            return Err(wording::too_many_cells(Format::Xlsx, limits));
        }
        reach.take(row, column);
        if reach.cells() > limits.cells {
            return Err(super::too_far(limits));
        }
        sheet.styles.insert((u32::from(row), u32::from(column)), style);
        Ok(())
    };
    for (kind, data) in records {
        let (first, second, third) = (u16_at(data, 0), u16_at(data, 2), u16_at(data, 4));
        match (kind, first, second, third) {
            (BOF, ..) => depth += 1,
            (EOF, ..) => {
                depth = depth.saturating_sub(1);
                if depth == 0 {
                    break;
                }
            }
            // Charts inside the sheet have records of the same kinds.
            _ if depth > 1 => {}
            // Claimed reach: rows as 32 bits, columns as 16, the ends excluded.
            (0x0200, ..) if data.len() >= 12 => {
                let (rows, columns) =
                    (u32_at(data, 4).zip(u32_at(data, 0)), u16_at(data, 10).zip(u16_at(data, 8)));
                let fits = rows.is_some_and(|(to, from)| from <= to && to <= 65_536)
                    && columns.is_some_and(|(to, from)| from <= to && to <= 256);
                let size = rows.zip(columns).map_or(0, |((b, t), (r, l))| {
                    u64::from(b.saturating_sub(t)) * u64::from(r.saturating_sub(l))
                });
                if !fits {
                    return Err(damaged());
                }
                if size > limits.cells as u64 {
                    return Err(super::too_far(limits));
                }
            }
            // A row of no height, or marked hidden.
            (0x0208, Some(row), ..) => {
                let flags = u32_at(data, 12).unwrap_or(0);
                let height = u16_at(data, 6).unwrap_or(1) & 0x7fff;
                if flags & 0x20 != 0 || height == 0 {
                    sheet.hidden_rows.insert(u32::from(row));
                }
            }
            (0x007d, Some(from), Some(to), width) => {
                let hidden = u16_at(data, 8).is_some_and(|flags| flags & 1 == 1) || width == Some(0);
                if hidden && sheet.hidden_columns.len() < 1024 {
                    sheet.hidden_columns.push((u32::from(from), u32::from(to)));
                }
            }
            // Formula, blank is left out, number, label, truth or error, small number, rich and shared text.
            (
                0x0006 | 0x0203 | 0x0204 | 0x0205 | 0x027e | 0x00d6 | 0x00fd,
                Some(row),
                Some(column),
                Some(style),
            ) => {
                cell(&mut sheet, row, column, style)?;
            }
            // Several small numbers: six bytes each from the first column, then the last column.
            (0x00bd, Some(row), Some(column), _) => {
                let inner = data.get(4..data.len().saturating_sub(2)).unwrap_or_default();
                for (offset, one) in (0u16..).zip(inner.chunks_exact(6)) {
                    let column = column.checked_add(offset).ok_or_else(damaged)?;
                    cell(&mut sheet, row, column, u16_at(one, 0).unwrap_or(0))?;
                }
            }
            _ => {}
        }
    }
    Ok(sheet)
}

/// The rectangle around all cells.
#[derive(Default)]
struct Reach(Option<(u16, u16, u16, u16)>);

impl Reach {
    fn take(&mut self, row: u16, column: u16) {
        let (top, left, bottom, right) = self.0.unwrap_or((row, column, row, column));
        self.0 = Some((top.min(row), left.min(column), bottom.max(row), right.max(column)));
    }

    fn cells(&self) -> usize {
        self.0.map_or(0, |(t, l, b, r)| (usize::from(b - t) + 1) * (usize::from(r - l) + 1))
    }
}
