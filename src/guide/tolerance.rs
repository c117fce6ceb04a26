//! How much salt a grass is expected to bear: a rating of the species, to hold a saturated paste against.

use super::catalog::guide;
use super::condition::word;
use crate::soil::table::TableError;

/// The guide that rates species.
pub(super) const GUIDE: &str = "salts-turf-tolerance";

/// The span of paste EC (dS/m) in which the limit of a species lies.
#[derive(Debug, Clone, PartialEq)]
pub struct Tolerance {
    /// The species.
    pub species: String,
    /// Lower edge, dS/m; none for the most sensitive.
    pub from: Option<f64>,
    /// Upper edge, dS/m; none for the most tolerant.
    pub to: Option<f64>,
    /// Id of the guide.
    pub guide: &'static str,
}

/// The tolerance of a species; none for one the source does not rate.
///
/// # Errors
/// A built-in table is damaged.
pub fn tolerance(species: &str) -> Result<Option<Tolerance>, TableError> {
    let species = word(species);
    let scales = guide(GUIDE)?.map(|guide| guide.scales.as_slice()).unwrap_or_default();
    Ok(scales.iter().find(|scale| scale.crop == species).and_then(|scale| {
        let class = scale.classes.first()?;
        Some(Tolerance { species, from: class.from, to: class.to, guide: GUIDE })
    }))
}
