//! A table as Parquet: numbers as doubles and 64-bit integers, days as dates, boxes as text like in a CSV.

use super::{Cell, Column, Error, Kind, Table, box_text};
use jiff::civil::Date;
use polars::prelude::{Column as Series, DataFrame, DataType};
use polars_io::parquet::write::BatchedWriter;
use polars_io::prelude::{ParquetCompression, ParquetWriter};
use std::cell::RefCell;
use std::io::{self, Write};
use std::rc::Rc;

/// A file that grows by whole lots of rows, a row group each: what is in memory is the lot at hand.
pub(super) struct Lots<W: Write> {
    writer: BatchedWriter<W>,
}

impl<W: Write> Lots<W> {
    /// Begins the file with the columns of this table.
    pub(super) fn begin(to: W, columns: &Table) -> Result<Self, Error> {
        let columns = Table { columns: columns.columns.clone(), rows: Vec::new() };
        Ok(Self { writer: writer(to).batched(frame(&columns)?.schema()).map_err(failed)? })
    }

    /// Adds a lot with the same columns.
    pub(super) fn add(&mut self, lot: &Table) -> Result<(), Error> {
        self.writer.write_batch(&frame(lot)?).map_err(failed)
    }

    /// Writes what stands at a Parquet file's end.
    pub(super) fn end(self) -> Result<(), Error> {
        self.writer.finish().map(|_| ()).map_err(failed)
    }
}

/// A growing file of which the bytes are taken away lot by lot.
pub(super) struct Form {
    lots: Lots<Shared>,
    written: Shared,
}

impl Form {
    pub(super) fn begin(columns: &Table) -> Result<Self, Error> {
        let written = Shared::default();
        Ok(Self { lots: Lots::begin(written.clone(), columns)?, written })
    }

    pub(super) fn put(&mut self, lot: &Table, bytes: &mut Vec<u8>) -> Result<(), Error> {
        self.lots.add(lot)?;
        self.written.take(bytes);
        Ok(())
    }

    pub(super) fn end(self, bytes: &mut Vec<u8>) -> Result<(), Error> {
        self.lots.end()?;
        self.written.take(bytes);
        Ok(())
    }
}

/// Where the library's writer, which is never given back, leaves its bytes.
#[derive(Clone, Default)]
struct Shared(Rc<RefCell<Vec<u8>>>);

impl Shared {
    fn take(&self, bytes: &mut Vec<u8>) {
        bytes.append(&mut self.0.borrow_mut());
    }
}

impl Write for Shared {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        self.0.borrow_mut().write(bytes)
    }

    fn flush(&mut self) -> io::Result<()> {
        Ok(())
    }
}

fn writer<W: Write>(to: W) -> ParquetWriter<W> {
    ParquetWriter::new(to).with_compression(ParquetCompression::Zstd(None)).set_parallel(false)
}

fn frame(table: &Table) -> Result<DataFrame, Error> {
    let columns = table.columns.iter().enumerate().map(|(at, column)| {
        let cells = table.rows.iter().map(|row| row.get(at).unwrap_or(&Cell::None));
        series(column, cells)
    });
    let columns = columns.collect::<Result<Vec<_>, _>>().map_err(failed)?;
    DataFrame::new(table.rows.len(), columns).map_err(failed)
}

fn failed(error: polars::error::PolarsError) -> Error {
    Error::Writer(error.to_string())
}

fn series<'a>(column: &Column, cells: impl Iterator<Item = &'a Cell>) -> polars::error::PolarsResult<Series> {
    let name = column.name.into();
    Ok(match column.kind {
        Kind::Text | Kind::Box => Series::new(name, cells.map(text).collect::<Vec<_>>()),
        Kind::Number => Series::new(name, cells.map(number).collect::<Vec<_>>()),
        Kind::Integer => Series::new(name, cells.map(whole).collect::<Vec<_>>()),
        Kind::Date => Series::new(name, cells.map(days).collect::<Vec<_>>()).cast(&DataType::Date)?,
    })
}

fn text(cell: &Cell) -> Option<String> {
    match cell {
        Cell::Text(text) => Some(text.clone()),
        Cell::Box(place) => Some(box_text(place)),
        _ => None,
    }
}

fn number(cell: &Cell) -> Option<f64> {
    if let Cell::Number(number) = cell { Some(*number) } else { None }
}

fn whole(cell: &Cell) -> Option<i64> {
    if let Cell::Integer(number) = cell { Some(*number) } else { None }
}

/// Days since 1970-01-01, counted on the calendar: no time of day, no zone.
fn days(cell: &Cell) -> Option<i32> {
    let Cell::Date(day) = cell else { return None };
    Some((*day - Date::constant(1970, 1, 1)).get_days())
}
