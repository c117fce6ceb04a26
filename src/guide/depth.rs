//! The layer a guide speaks of, from `depths.csv`; a guide that names none speaks of any.

use super::source::{known, was_read};
use crate::soil::table::{TableError, rows};
use crate::trend::rules::TrendRules;
use serde::Deserialize;
use std::sync::LazyLock;

/// The layer of a guide, from the surface down.
#[derive(Debug, Clone, PartialEq)]
pub struct Spoken {
    guide: String,
    crop: String,
    /// Lower edge, cm.
    pub bottom_cm: f64,
    /// Source key.
    pub source: String,
    within_cm: f64,
}

impl Spoken {
    /// Whether a layer (top, bottom, cm) is that of the guide, as near as one sampling habit is to itself.
    pub fn fits(&self, (top, bottom): (i32, i32)) -> bool {
        f64::from(top) <= self.within_cm && (f64::from(bottom) - self.bottom_cm).abs() <= self.within_cm
    }
}

#[derive(Debug, Deserialize)]
struct Row {
    guide: String,
    crop: String,
    bottom_cm: f64,
    source: String,
    checked: String,
}

static DEPTHS: LazyLock<Result<Vec<Spoken>, TableError>> = LazyLock::new(|| load(include_str!("depths.csv")));

fn load(text: &str) -> Result<Vec<Spoken>, TableError> {
    const TABLE: &str = "depths.csv";
    let within_cm = TrendRules::built_in()?.same_layer_within_cm;
    (1..)
        .zip(rows::<Row>(TABLE, text)?)
        .map(|(number, row)| {
            known(TABLE, number, &row.source)?;
            was_read(TABLE, number, &row.checked)?;
            if !(row.bottom_cm > 0.0 && row.bottom_cm < 100.0) {
                return Err(TableError::new(TABLE, number, "a layer ends between 0 and 100 cm"));
            }
            Ok(Spoken {
                guide: row.guide,
                crop: row.crop,
                bottom_cm: row.bottom_cm,
                source: row.source,
                within_cm,
            })
        })
        .collect()
}

/// The layer that a guide's scale of a crop speaks of.
///
/// # Errors
/// The built-in table is damaged.
pub fn depth_of(guide: &str, crop: &str) -> Result<Option<&'static Spoken>, TableError> {
    let all = DEPTHS.as_ref().map_err(Clone::clone)?;
    Ok(all.iter().find(|one| one.guide == guide && (one.crop == "*" || one.crop == crop)))
}

/// The sampled layer is known and not the one the guide speaks of.
pub(super) fn differs(guide: &str, crop: &str, sampled: Option<(i32, i32)>) -> Result<bool, TableError> {
    Ok(depth_of(guide, crop)?.zip(sampled).is_some_and(|(spoken, layer)| !spoken.fits(layer)))
}

#[cfg(test)]
mod tests {
    use super::super::guide;
    use super::*;

    #[test]
    fn every_row_names_a_guide_and_a_crop_of_it() {
        for one in DEPTHS.as_ref().unwrap() {
            let guide = guide(&one.guide).unwrap().unwrap_or_else(|| panic!("no guide {}", one.guide));
            assert!(one.crop == "*" || guide.scales.iter().any(|scale| scale.crop == one.crop), "{one:?}");
        }
    }

    #[test]
    fn four_inches_are_ten_centimetres_and_six_are_not() {
        let mlsn = depth_of("turf-mlsn", "turf").unwrap().unwrap();
        assert!(mlsn.fits((0, 10)) && mlsn.fits((0, 11)) && !mlsn.fits((0, 15)) && !mlsn.fits((10, 20)));
        assert!(!differs("turf-slan-2004", "turf", Some((0, 30))).unwrap(), "it names no depth");
        assert!(!differs("turf-mlsn", "turf", None).unwrap());
    }
}
