//! The contract's tables, each column named once.
//!
//! A table is made from the history's and the assessment's rows and written in one of four formats. Nothing here
//! reads a clock: the same rows give the same bytes.

mod tables;

mod csv;

mod json;

mod parquet;

mod growing;

mod whole;

mod partition;

pub use growing::{Growing, LOT};

pub use whole::{Whole, write_whole};

pub use partition::{Partitioned, Written};

pub use tables::{documents, flags, readings, sites, trends};

use crate::place::Place;
use crate::soil::ids::contract_ids;
use jiff::civil::Date;
use std::path::PathBuf;

contract_ids! {
    /// How a table is written.
    Format { Csv = "csv", Json = "json", Jsonl = "jsonl", Parquet = "parquet" }
}

/// What a column holds.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Kind {
    /// Text.
    Text,
    /// A number.
    Number,
    /// A whole number.
    Integer,
    /// A calendar day.
    Date,
    /// A box on a page or the address of a cell.
    Box,
}

/// A column: its name in the contract and what it holds.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Column {
    /// The contract's name.
    pub name: &'static str,
    /// What it holds.
    pub kind: Kind,
}

/// A value of a table; its kind is that of its column, or it is none.
#[derive(Debug, Clone, PartialEq)]
pub enum Cell {
    /// Nothing.
    None,
    /// Text.
    Text(String),
    /// A number.
    Number(f64),
    /// A whole number.
    Integer(i64),
    /// A calendar day.
    Date(Date),
    /// A box on a page or the address of a cell.
    Box(Place),
}

/// A table of the contract.
#[derive(Debug, Clone, PartialEq)]
pub struct Table {
    /// Columns in the contract's order.
    pub columns: Vec<Column>,
    /// Rows, each as long as the columns.
    pub rows: Vec<Vec<Cell>>,
}

/// Why an export did not come about.
#[derive(Debug, thiserror::Error)]
pub enum Error {
    /// The file cannot be written.
    #[error("{} cannot be written ({source}); name another place or free some space", .path.display())]
    File {
        /// Which.
        path: PathBuf,
        /// Why.
        #[source]
        source: std::io::Error,
    },
    /// The folder of a data set holds other things.
    #[error("{} holds {found}, which no data set of this program has, so it is not replaced; name a new or an empty folder", .path.display())]
    Taken {
        /// Which.
        path: PathBuf,
        /// The first thing that is none of ours.
        found: String,
    },
    /// A client's name is too long for a folder.
    #[error(
        "the client `{0}` has too long a name for a folder; give the site a shorter one with `loamline sites set SITE client=NAME`"
    )]
    LongName(String),
    /// A writer failed.
    #[error("the export could not be put together ({0}); please report this")]
    Writer(String),
}

impl Table {
    /// The table as bytes of a file. `exact` leaves text of a CSV as it is; the other formats always do.
    ///
    /// # Errors
    /// [`Error::Writer`], which is a fault of the program.
    pub fn write(&self, format: Format, exact: bool) -> Result<Vec<u8>, Error> {
        let mut bytes = Vec::new();
        let mut form = growing::Form::begin(self, format, exact)?;
        form.put(self, &mut bytes)?;
        form.end(&mut bytes)?;
        Ok(bytes)
    }
}

/// A box or cell address as one text: `10 20 30 32.5` in points, or `B7`.
fn box_text(place: &Place) -> String {
    match place {
        Place::Page { area, .. } => format!("{} {} {} {}", area.x0, area.y0, area.x1, area.y1),
        Place::Cell { .. } => place.cell_address().unwrap_or_default(),
    }
}

#[cfg(test)]
mod tests;
