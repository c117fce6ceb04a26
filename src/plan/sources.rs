//! The sources behind the plan's own tables by key, beside those of the guides.

use crate::guide;
use crate::soil::table::{TableError, rows};
use serde::Deserialize;
use std::sync::LazyLock;

/// One source of the plan.
#[derive(Debug, Clone, PartialEq, Eq, Deserialize)]
pub struct Source {
    /// Key used in the tables.
    pub key: String,
    /// The region it was made for; empty where it is bound to none.
    pub region: String,
    /// Who, when, what.
    pub citation: String,
    /// What of it was read, or that it is from memory.
    pub read: String,
}

static SOURCES: LazyLock<Result<Vec<Source>, TableError>> =
    LazyLock::new(|| load(include_str!("sources.csv")));

fn load(text: &str) -> Result<Vec<Source>, TableError> {
    const TABLE: &str = "sources.csv";
    let sources: Vec<Source> = rows(TABLE, text)?;
    for (row, source) in (1..).zip(&sources) {
        let twice = sources.iter().filter(|other| other.key == source.key).count() > 1;
        if twice || source.citation.is_empty() || source.read.is_empty() {
            return Err(TableError::new(TABLE, row, "needs a key of its own, a citation and what was read"));
        }
    }
    Ok(sources)
}

/// What a key stands for, in words; none for one that is listed nowhere.
///
/// # Errors
/// A built-in table is damaged.
pub fn citation(key: &str) -> Result<Option<&'static str>, TableError> {
    let own = SOURCES.as_ref().map_err(Clone::clone)?.iter().find(|source| source.key == key);
    Ok(match own {
        Some(source) => Some(source.citation.as_str()),
        None => guide::source::source(key)?.map(|source| source.citation.as_str()),
    })
}

/// The region a source was made for; empty where it is bound to none or not the plan's own.
pub(super) fn region_of(key: &str) -> Result<&'static str, TableError> {
    let all = SOURCES.as_ref().map_err(Clone::clone)?;
    Ok(all.iter().find(|source| source.key == key).map_or("", |source| source.region.as_str()))
}

/// An error unless the key is listed.
pub(super) fn known(table: &'static str, row: usize, key: &str) -> Result<(), TableError> {
    match citation(key)? {
        Some(_) => Ok(()),
        None => Err(TableError::new(table, row, format!("the source {key} is not listed"))),
    }
}

/// Whether a `checked` cell says that the figure was read or computed from figures that were.
pub(super) fn was_read(table: &'static str, row: usize, checked: &str) -> Result<bool, TableError> {
    match checked {
        "READ" | "COMPUTED" => Ok(true),
        "MEMORY" => Ok(false),
        _ => Err(TableError::new(table, row, "checked is READ, COMPUTED or MEMORY")),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn keys_of_the_plan_and_of_the_guides_are_known_and_others_are_not() {
        assert!(citation("psu-turf-lime").unwrap().is_some_and(|text| text.contains("Penn State")));
        assert!(citation("mn-18c60").unwrap().is_some());
        assert!(known("t.csv", 1, "nobody").is_err());
        assert!(load("key,region,citation,read\na,,b,READ\na,,c,READ\n").is_err());
    }
}
