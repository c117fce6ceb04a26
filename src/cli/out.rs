//! A table on its way to a file or standard output, written lot by lot while it is made.

use super::say::Say;
use crate::export::{Column, Format, Growing, LOT, Table, Whole};
use anyhow::Context as _;
use std::path::Path;

/// A table being written. A file gets its name at the end alone; what went to standard output is out.
pub(super) struct Out<'a> {
    growing: Growing,
    to: To<'a>,
}

enum To<'a> {
    File(Box<Whole>),
    Screen(&'a mut Say),
}

impl<'a> Out<'a> {
    /// Begins a table with these columns; `exact` leaves text of a CSV as it is.
    ///
    /// # Errors
    /// That no file can be made there.
    pub(super) fn begin(
        columns: Vec<Column>,
        format: Format,
        exact: bool,
        path: Option<&Path>,
        say: &'a mut Say,
    ) -> anyhow::Result<Self> {
        let growing = Growing::begin(columns, format, exact, LOT)?;
        let to = match path {
            Some(path) => To::File(Box::new(Whole::begin(path)?)),
            None => To::Screen(say),
        };
        Ok(Self { growing, to })
    }

    /// Adds the rows of a table with the same columns.
    ///
    /// # Errors
    /// What the output says.
    pub(super) fn add(&mut self, rows: Table) -> anyhow::Result<()> {
        self.to.put(self.growing.add(rows)?)
    }

    /// Ends the table.
    ///
    /// # Errors
    /// What the output says; then what stood in the place of a file still stands there.
    pub(super) fn end(mut self) -> anyhow::Result<()> {
        self.to.put(&self.growing.end()?)?;
        if let To::File(file) = self.to {
            file.end()?;
        }
        Ok(())
    }
}

impl To<'_> {
    fn put(&mut self, bytes: &[u8]) -> anyhow::Result<()> {
        match self {
            To::File(file) => file.write(bytes)?,
            To::Screen(say) => say.raw(bytes).context(
                "standard output does not take the table; free some space or name a file with --output",
            )?,
        }
        Ok(())
    }
}
