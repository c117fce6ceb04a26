//! A table that is written while its rows are still coming: what is in memory is the lot at hand.

use super::{Column, Error, Format, Table, csv, json, parquet};

/// Rows in memory at once, and in a row group of a Parquet file.
pub const LOT: usize = 8_192;

/// A table on its way to bytes, lot by lot. The bytes of all lots, one after the other, are those that
/// [`Table::write`] gives of the whole; a Parquet file has a row group for each lot.
pub struct Growing {
    form: Form,
    lot: Table,
    size: usize,
    bytes: Vec<u8>,
}

impl Growing {
    /// Begins a table with these columns, taken in lots of so many rows. `exact` is that of [`Table::write`].
    ///
    /// # Errors
    /// [`Error::Writer`], which is a fault of the program.
    pub fn begin(columns: Vec<Column>, format: Format, exact: bool, size: usize) -> Result<Self, Error> {
        let lot = Table { columns, rows: Vec::new() };
        Ok(Self { form: Form::begin(&lot, format, exact)?, lot, size, bytes: Vec::new() })
    }

    /// Takes the rows of a table with the same columns. Gives the bytes that are ready, to be written before any others.
    ///
    /// # Errors
    /// As [`Growing::begin`].
    pub fn add(&mut self, rows: Table) -> Result<&[u8], Error> {
        self.bytes.clear();
        for row in rows.rows {
            self.lot.rows.push(row);
            if self.lot.rows.len() >= self.size {
                self.form.put(&self.lot, &mut self.bytes)?;
                self.lot.rows.clear();
            }
        }
        Ok(&self.bytes)
    }

    /// The last bytes.
    ///
    /// # Errors
    /// As [`Growing::begin`].
    pub fn end(mut self) -> Result<Vec<u8>, Error> {
        self.bytes.clear();
        // Also without a row: the head of a CSV goes with the first lot.
        self.form.put(&self.lot, &mut self.bytes)?;
        self.form.end(&mut self.bytes)?;
        Ok(self.bytes)
    }
}

/// How lots become bytes, and what has to be remembered between two of them.
pub(super) enum Form {
    Csv(csv::Form),
    Json(json::Form),
    Lines,
    Parquet(Box<parquet::Form>),
}

impl Form {
    /// Begins a table with these columns.
    pub(super) fn begin(columns: &Table, format: Format, exact: bool) -> Result<Self, Error> {
        Ok(match format {
            Format::Csv => Self::Csv(csv::Form::begin(exact)),
            Format::Json => Self::Json(json::Form::default()),
            Format::Jsonl => Self::Lines,
            Format::Parquet => Self::Parquet(Box::new(parquet::Form::begin(columns)?)),
        })
    }

    /// The bytes of a lot, after those of the lots before it.
    pub(super) fn put(&mut self, lot: &Table, bytes: &mut Vec<u8>) -> Result<(), Error> {
        match self {
            Self::Csv(form) => form.put(lot, bytes),
            Self::Json(form) => form.put(lot, bytes),
            Self::Lines => json::put_lines(lot, bytes),
            Self::Parquet(form) => form.put(lot, bytes),
        }
    }

    /// The bytes that stand at the end.
    pub(super) fn end(self, bytes: &mut Vec<u8>) -> Result<(), Error> {
        match self {
            Self::Csv(_) | Self::Lines => {}
            Self::Json(form) => form.end(bytes),
            Self::Parquet(form) => form.end(bytes)?,
        }
        Ok(())
    }
}
