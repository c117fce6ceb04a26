//! A table as a JSON array of objects, or one object a line; nothing is null, a box is four numbers.

use super::{Cell, Error, Table};
use crate::place::Place;
use serde::ser::{Serialize, SerializeMap, Serializer};

/// What is remembered between two lots of an array.
#[derive(Default)]
pub(super) struct Form {
    any: bool,
}

impl Form {
    /// Adds a lot to the array; nothing stands between it and the lot before but a comma.
    pub(super) fn put(&mut self, lot: &Table, bytes: &mut Vec<u8>) -> Result<(), Error> {
        // One row a line: as readable as JSON Lines, and two exports compare line by line.
        for row in rows(lot) {
            let before: &[u8] = if std::mem::replace(&mut self.any, true) { b",\n" } else { b"[\n" };
            bytes.extend(before);
            put(bytes, &row)?;
        }
        Ok(())
    }

    /// Ends the array, also one without a row.
    pub(super) fn end(&self, bytes: &mut Vec<u8>) {
        let last: &[u8] = if self.any { b"\n]\n" } else { b"[]\n" };
        bytes.extend(last);
    }
}

/// Adds a lot, a row a line.
pub(super) fn put_lines(lot: &Table, bytes: &mut Vec<u8>) -> Result<(), Error> {
    for row in rows(lot) {
        put(bytes, &row)?;
        bytes.push(b'\n');
    }
    Ok(())
}

fn put(bytes: &mut Vec<u8>, row: &Row<'_>) -> Result<(), Error> {
    serde_json::to_writer(bytes, row).map_err(|error| Error::Writer(error.to_string()))
}

fn rows(table: &Table) -> impl Iterator<Item = Row<'_>> {
    table.rows.iter().map(|cells| Row { table, cells })
}

struct Row<'a> {
    table: &'a Table,
    cells: &'a [Cell],
}

impl Serialize for Row<'_> {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        let mut map = serializer.serialize_map(Some(self.cells.len()))?;
        for (column, cell) in self.table.columns.iter().zip(self.cells) {
            map.serialize_entry(column.name, cell)?;
        }
        map.end()
    }
}

impl Serialize for Cell {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        match self {
            Self::None => serializer.serialize_none(),
            Self::Text(text) => serializer.serialize_str(text),
            Self::Number(number) => serializer.serialize_f64(*number),
            Self::Integer(number) => serializer.serialize_i64(*number),
            Self::Date(day) => serializer.collect_str(day),
            Self::Box(Place::Page { area, .. }) => [area.x0, area.y0, area.x1, area.y1].serialize(serializer),
            Self::Box(place @ Place::Cell { .. }) => serializer.serialize_some(&place.cell_address()),
        }
    }
}
