//! The figures the plan's rules rest on, from `limits.csv`: none stands in code.

use super::sources::{known, was_read};
use crate::soil::ids::contract_ids;
use crate::soil::table::{TableError, rows};
use serde::Deserialize;
use std::sync::LazyLock;

contract_ids! {
    /// Name of a figure.
    PlanLimit {
        LimeSingleTurf = "lime-single-turf", LimeSingleGreens = "lime-single-greens",
        LimeMonthsApart = "lime-months-apart", LimeBelowTargetBy = "lime-below-target-by",
        LimeStoichiometryMost = "lime-stoichiometry-most",
        GypsumFactor = "gypsum-factor", GypsumSarFrom = "gypsum-sar-from", GypsumPurity = "gypsum-purity",
        GypsumBulkDensity = "gypsum-bulk-density",
        ClippingsCredit = "clippings-credit", ClippingsN = "clippings-n", ClippingsP2o5 = "clippings-p2o5",
        ClippingsK2o = "clippings-k2o", BuildUpYears = "build-up-years", NDaysApart = "n-days-apart", LawnPTestMonths = "lawn-p-test-months", WaitAfterFertiliser = "wait-after-fertiliser",
        CoresLeast = "cores-least", DepthTurf = "depth-turf", DepthCrops = "depth-crops",
        SpreaderPasses = "spreader-passes", SmallestRate = "smallest-rate",
        OwnBufferingIntervals = "own-buffering-intervals", K2oSingle = "k2o-single",
        LimeNDaysApart = "lime-n-days-apart",
    }
}

/// One figure with its source.
#[derive(Debug, Clone, PartialEq)]
pub struct Figure {
    /// The figure, in `unit`.
    pub value: f64,
    /// Unit as written in the table.
    pub unit: String,
    /// Source key.
    pub source: String,
    /// The figure was read in a copy of the source, or computed.
    pub read: bool,
}

#[derive(Debug, Deserialize)]
struct Row {
    limit: PlanLimit,
    value: f64,
    unit: String,
    source: String,
    checked: String,
    #[serde(rename = "note")]
    _note: String,
}

static FIGURES: LazyLock<Result<Vec<(PlanLimit, Figure)>, TableError>> =
    LazyLock::new(|| load(include_str!("limits.csv")));

const TABLE: &str = "limits.csv";

fn load(text: &str) -> Result<Vec<(PlanLimit, Figure)>, TableError> {
    let mut figures = Vec::new();
    for (number, row) in (1..).zip(rows::<Row>(TABLE, text)?) {
        known(TABLE, number, &row.source)?;
        let read = was_read(TABLE, number, &row.checked)?;
        if !(row.value.is_finite() && row.value > 0.0) {
            return Err(TableError::new(TABLE, number, "needs a figure above 0"));
        }
        figures.push((row.limit, Figure { value: row.value, unit: row.unit, source: row.source, read }));
    }
    match PlanLimit::ALL.iter().find(|limit| figures.iter().filter(|(found, _)| found == *limit).count() != 1)
    {
        Some(limit) => Err(TableError::new(TABLE, 0, format!("needs one row for {limit}"))),
        None => Ok(figures),
    }
}

/// A figure.
///
/// # Errors
/// The built-in table is damaged.
pub fn figure(limit: PlanLimit) -> Result<&'static Figure, TableError> {
    FIGURES
        .as_ref()
        .map_err(Clone::clone)?
        .iter()
        .find_map(|(found, figure)| (*found == limit).then_some(figure))
        .ok_or_else(|| TableError::new(TABLE, 0, format!("no row for {limit}")))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_figure_stands_once_with_a_listed_source() {
        assert!(PlanLimit::ALL.iter().all(|limit| figure(*limit).is_ok()));
        assert!(load("limit,value,unit,source,checked,note\nclippings-n,1,%,nobody,READ,\n").is_err());
        assert!(load("limit,value,unit,source,checked,note\nclippings-n,1,%,calc,READ,\n").is_err());
    }
}
