//! The few thresholds of the interpretation rules, from `limits.csv`: none stands in code.

use super::source::{known, was_read};
use crate::soil::ids::contract_ids;
use crate::soil::table::{TableError, rows};
use serde::Deserialize;
use std::sync::LazyLock;

contract_ids! {
    /// Name of a threshold.
    Limit {
        BrayUpToPh = "bray-up-to-ph", CalcareousAbovePh = "calcareous-above-ph", OlsenFromPh = "olsen-from-ph",
        CalciumNeedUpToPh = "calcium-need-up-to-ph", TurfPhAcceptableFrom = "turf-ph-acceptable-from",
        TurfPhAcceptableUpTo = "turf-ph-acceptable-up-to", ExtremePhBelow = "extreme-ph-below",
        ExtremePhAbove = "extreme-ph-above", GypsumFromSatNa = "gypsum-from-sat-na",
        RetestLawnYears = "retest-lawn-years", RetestCorrectingYears = "retest-correcting-years",
        RetestCropYears = "retest-crop-years", DrawingDownWithinYears = "drawing-down-within-years",
        DrawingDownWatchP = "drawing-down-watch-p",
        NoiseWithinYears = "noise-within-years", RemovalP2o5Turf = "removal-p2o5-turf", RemovalP2o5Crop = "removal-p2o5-crop",
        RemovalK2oTurf = "removal-k2o-turf",
        RemovalK2oCrop = "removal-k2o-crop", PasteTestAboveEc1to1 = "paste-test-above-ec-1to1",
    }
}

/// One threshold with its source.
#[derive(Debug, Clone, PartialEq)]
pub struct Threshold {
    /// The figure, in `unit`.
    pub value: f64,
    /// Unit as written in the table (`1`, `%`, `years`).
    pub unit: String,
    /// Source key.
    pub source: String,
    /// The figure was read in a copy of the source.
    pub read: bool,
}

#[derive(Debug, Deserialize)]
struct Row {
    limit: Limit,
    value: f64,
    unit: String,
    source: String,
    checked: String,
    #[serde(rename = "note")]
    _note: String,
}

/// All thresholds.
#[derive(Debug)]
pub struct Limits(Vec<(Limit, Threshold)>);

static LIMITS: LazyLock<Result<Limits, TableError>> = LazyLock::new(|| load(include_str!("limits.csv")));

fn load(text: &str) -> Result<Limits, TableError> {
    const TABLE: &str = "limits.csv";
    let rows: Vec<Row> = rows(TABLE, text)?;
    let mut limits = Vec::new();
    for (number, row) in (1..).zip(rows) {
        known(TABLE, number, &row.source)?;
        let read = was_read(TABLE, number, &row.checked)?;
        if !row.value.is_finite() {
            return Err(TableError::new(TABLE, number, "not a number"));
        }
        limits.push((row.limit, Threshold { value: row.value, unit: row.unit, source: row.source, read }));
    }
    match Limit::ALL.iter().find(|limit| limits.iter().filter(|(found, _)| found == *limit).count() != 1) {
        Some(limit) => Err(TableError::new(TABLE, 0, format!("needs one row for {limit}"))),
        None => Ok(Limits(limits)),
    }
}

/// A threshold.
///
/// # Errors
/// The built-in table is damaged.
pub fn limit(limit: Limit) -> Result<&'static Threshold, TableError> {
    let limits = LIMITS.as_ref().map_err(Clone::clone)?;
    limits
        .0
        .iter()
        .find_map(|(found, threshold)| (*found == limit).then_some(threshold))
        .ok_or_else(|| TableError::new("limits.csv", 0, format!("no row for {limit}")))
}

#[cfg(test)]
mod tests {
    use super::{Limit, limit, load};

    #[test]
    fn every_limit_has_one_row_with_a_listed_source() {
        for name in Limit::ALL {
            assert!(limit(*name).is_ok(), "{name}");
        }
    }

    #[test]
    fn a_missing_limit_and_an_unknown_source_are_noticed() {
        let header = "limit,value,unit,source,checked,note\n";
        assert!(load(&format!("{header}bray-up-to-ph,7.4,1,umn-p-tests,READ,\n")).is_err());
        assert!(load(&format!("{header}bray-up-to-ph,7.4,1,hearsay,READ,\n")).is_err());
    }
}
