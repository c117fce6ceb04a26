//! What grows at a site and which crops and guides speak for it, from `uses.csv`.

use super::condition::word;
use super::limits::Limit;
use super::source::items;
use crate::soil::Site;
use crate::soil::table::{TableError, rows};
use serde::Deserialize;
use std::sync::LazyLock;

/// The use of a site that names none: the program was made for turf.
pub const DEFAULT_USE: &str = "turf";

/// One use.
#[derive(Debug, Clone, PartialEq)]
pub struct Use {
    /// Its word.
    pub id: String,
    /// Crops of the guides that serve it, the most particular first.
    pub crops: Vec<String>,
    /// Guides in their default order.
    pub guides: Vec<String>,
    /// Guides asked as well, for excess and hazards.
    pub also: Vec<String>,
    /// How often it is tested.
    pub retest: Limit,
}

#[derive(Debug, Deserialize)]
struct Row {
    #[serde(rename = "use")]
    id: String,
    crops: String,
    guides: String,
    also: String,
    retest: Limit,
}

static USES: LazyLock<Result<Vec<Use>, TableError>> = LazyLock::new(|| load(include_str!("uses.csv")));

fn load(text: &str) -> Result<Vec<Use>, TableError> {
    const TABLE: &str = "uses.csv";
    let uses: Vec<Use> = rows::<Row>(TABLE, text)?
        .into_iter()
        .map(|row| Use {
            id: row.id,
            crops: items(&row.crops),
            guides: items(&row.guides),
            also: items(&row.also),
            retest: row.retest,
        })
        .collect();
    match uses.iter().position(|one| one.crops.is_empty() || one.guides.is_empty()) {
        Some(place) => Err(TableError::new(TABLE, place + 1, "needs crops and guides")),
        None if uses.iter().all(|one| one.id != DEFAULT_USE) => {
            Err(TableError::new(TABLE, 0, "the default use is missing"))
        }
        None => Ok(uses),
    }
}

/// All uses.
///
/// # Errors
/// The built-in table is damaged.
pub fn uses() -> Result<&'static [Use], TableError> {
    USES.as_deref().map_err(Clone::clone)
}

/// The use of a site; none where its word is not one of the table, so that no guide speaks for it.
///
/// # Errors
/// The built-in table is damaged.
pub fn use_of(site: &Site) -> Result<Option<&'static Use>, TableError> {
    let named = site.use_.as_deref().map(word).filter(|word| !word.is_empty());
    let id = named.as_deref().unwrap_or(DEFAULT_USE);
    Ok(uses()?.iter().find(|one| one.id == id))
}

impl Use {
    /// True where turf is what grows.
    pub fn is_turf(&self) -> bool {
        self.crops.iter().any(|crop| crop == DEFAULT_USE)
    }

    /// Crops that serve a site of this use, the species first.
    pub fn crops_of<'a>(&'a self, species: Option<&'a str>) -> impl Iterator<Item = &'a str> {
        species.into_iter().chain(self.crops.iter().map(String::as_str))
    }
}
