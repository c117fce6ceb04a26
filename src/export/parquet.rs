//! A table as Parquet: numbers as doubles and 64-bit integers, days as dates, boxes as text like in a CSV.

use super::{Cell, Column, Error, Kind, Table, box_text};
use jiff::civil::Date;
use polars::prelude::{Column as Series, DataFrame, DataType};
use polars_io::prelude::{ParquetCompression, ParquetWriter};

pub(super) fn write(table: &Table) -> Result<Vec<u8>, Error> {
    let failed = |error: polars::error::PolarsError| Error::Writer(error.to_string());
    let columns = table.columns.iter().enumerate().map(|(at, column)| {
        let cells = table.rows.iter().map(|row| row.get(at).unwrap_or(&Cell::None));
        series(column, cells)
    });
    let columns = columns.collect::<Result<Vec<_>, _>>().map_err(failed)?;
    let mut frame = DataFrame::new(table.rows.len(), columns).map_err(failed)?;
    let mut bytes = Vec::new();
    ParquetWriter::new(&mut bytes)
        .with_compression(ParquetCompression::Zstd(None))
        .set_parallel(false)
        .finish(&mut frame)
        .map_err(failed)?;
    Ok(bytes)
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
