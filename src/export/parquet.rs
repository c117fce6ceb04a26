//! A table as Parquet: numbers as doubles and 64-bit integers, days as dates, boxes as text like in a CSV.

use super::{Cell, Column, Error, Kind, Table, box_text};
use jiff::civil::Date;
use polars::prelude::{Column as Series, DataFrame, DataType};
use polars_io::parquet::write::BatchedWriter;
use polars_io::prelude::{ParquetCompression, ParquetWriter};
use std::fs::File;
use std::io::Write;

pub(super) fn write(table: &Table) -> Result<Vec<u8>, Error> {
    let mut bytes = Vec::new();
    writer(&mut bytes).finish(&mut frame(table)?).map_err(failed)?;
    Ok(bytes)
}

/// A file that grows by whole lots of rows: what is in memory is the lot at hand.
pub(super) struct Lots {
    writer: BatchedWriter<File>,
}

impl Lots {
    /// Begins the file with the first lot, which tells the columns.
    pub(super) fn begin(file: File, first: &Table) -> Result<Self, Error> {
        let frame = frame(first)?;
        let mut writer = writer(file).batched(frame.schema()).map_err(failed)?;
        writer.write_batch(&frame).map_err(failed)?;
        Ok(Self { writer })
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
