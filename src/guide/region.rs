//! What a region makes sure: whether a pH without a method is water pH, and whether Olsen is used at any pH.

use super::condition::word;
use super::source::{known, was_read};
use crate::soil::ids::contract_ids;
use crate::soil::table::{TableError, rows};
use serde::Deserialize;
use std::sync::LazyLock;

contract_ids! {
    /// What the laboratories of a region report as pH.
    PhHabit { Water = "water", Salt = "salt" }
}

/// The habit of a region.
#[derive(Debug, Clone, PartialEq)]
pub struct Region {
    /// Its word.
    pub id: String,
    /// What pH means there, where that is known.
    pub ph: Option<PhHabit>,
    /// Olsen P is used there on acid soil as well.
    pub olsen_at_any_ph: bool,
    /// Whether that was read in a source.
    pub read: bool,
}

#[derive(Debug, Deserialize)]
struct Row {
    region: String,
    ph: Option<PhHabit>,
    olsen_at_any_ph: bool,
    source: String,
    checked: String,
}

static REGIONS: LazyLock<Result<Vec<Region>, TableError>> =
    LazyLock::new(|| load(include_str!("regions.csv")));

fn load(text: &str) -> Result<Vec<Region>, TableError> {
    const TABLE: &str = "regions.csv";
    (1..)
        .zip(rows::<Row>(TABLE, text)?)
        .map(|(number, row)| {
            known(TABLE, number, &row.source)?;
            let read = was_read(TABLE, number, &row.checked)?;
            Ok(Region { id: row.region, ph: row.ph, olsen_at_any_ph: row.olsen_at_any_ph, read })
        })
        .collect()
}

/// The habit of the region a site lies in; none where it is unknown.
///
/// # Errors
/// The built-in table is damaged.
pub fn region(name: Option<&str>) -> Result<Option<&'static Region>, TableError> {
    let regions = REGIONS.as_ref().map_err(Clone::clone)?;
    Ok(name.map(word).and_then(|word| regions.iter().find(|region| region.id == word)))
}
