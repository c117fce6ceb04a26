//! The sources behind the guides by key: what was published, and what of it was read.

use crate::soil::table::{TableError, rows};
use serde::{Deserialize, Serialize};
use std::sync::LazyLock;

/// One source.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Source {
    /// Key used in the tables.
    pub key: String,
    /// Who, when, what.
    pub citation: String,
    /// What of it was read, or that a figure is from memory.
    pub read: String,
}

static SOURCES: LazyLock<Result<Vec<Source>, TableError>> =
    LazyLock::new(|| load(include_str!("sources.csv")));

fn load(text: &str) -> Result<Vec<Source>, TableError> {
    const TABLE: &str = "sources.csv";
    let sources: Vec<Source> = rows(TABLE, text)?;
    for (row, source) in (1..).zip(&sources) {
        if source.citation.is_empty() || source.read.is_empty() {
            return Err(TableError::new(TABLE, row, "needs a citation and what was read"));
        }
        if sources.iter().filter(|other| other.key == source.key).count() > 1 {
            return Err(TableError::new(TABLE, row, "the key stands twice"));
        }
    }
    Ok(sources)
}

/// All sources.
///
/// # Errors
/// The built-in table is damaged.
pub fn sources() -> Result<&'static [Source], TableError> {
    SOURCES.as_deref().map_err(Clone::clone)
}

/// The source with this key.
///
/// # Errors
/// The built-in table is damaged.
pub fn source(key: &str) -> Result<Option<&'static Source>, TableError> {
    Ok(sources()?.iter().find(|source| source.key == key))
}

/// An error unless the key is listed.
pub(super) fn known(table: &'static str, row: usize, key: &str) -> Result<(), TableError> {
    match source(key)? {
        Some(_) => Ok(()),
        None => Err(TableError::new(table, row, format!("the source {key} is not listed"))),
    }
}

/// Whether a `checked` cell says that the figure was read.
pub(super) fn was_read(table: &'static str, row: usize, checked: &str) -> Result<bool, TableError> {
    match checked {
        "READ" => Ok(true),
        "MEMORY" => Ok(false),
        _ => Err(TableError::new(table, row, "checked is READ or MEMORY")),
    }
}

/// The items of a cell separated by `;`.
pub(super) fn items(cell: &str) -> Vec<String> {
    cell.split(';').map(str::trim).filter(|item| !item.is_empty()).map(str::to_owned).collect()
}
