//! The few settings of series and trends that are a choice, from `rules.csv`.

use crate::soil::ids::contract_ids;
use crate::soil::table::{TableError, rows};
use serde::Deserialize;
use std::sync::LazyLock;

contract_ids! {
    /// Name of a rule.
    Rule {
        SameLayerWithin = "same-layer-within", SeasonsForAClaim = "seasons-for-a-claim", Horizon = "horizon",
    }
}

/// A setting with its source.
#[derive(Debug, Clone, PartialEq, Deserialize)]
pub struct RuleRow {
    /// Its name.
    pub rule: Rule,
    /// The figure, in `unit`.
    pub value: f64,
    /// Unit as written in the table.
    pub unit: String,
    /// Where it comes from.
    pub source: String,
}

static ROWS: LazyLock<Result<Vec<RuleRow>, TableError>> =
    LazyLock::new(|| rows("rules.csv", include_str!("rules.csv")));

/// A setting with its source.
///
/// # Errors
/// The built-in table is damaged.
pub fn rule(name: Rule) -> Result<&'static RuleRow, TableError> {
    let all = ROWS.as_ref().map_err(Clone::clone)?;
    let missing = || TableError::new("rules.csv", 0, format!("no row for {name}"));
    all.iter().find(|row| row.rule == name).ok_or_else(missing)
}

/// The settings of series and trends.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TrendRules {
    /// Sampled layers whose edges differ by no more than this are the same layer, cm.
    pub same_layer_within_cm: f64,
    /// Seasons below which no trend is claimed.
    pub seasons_for_a_claim: usize,
    /// How far ahead a line is followed, years.
    pub horizon_years: f64,
}

static BUILT_IN: LazyLock<Result<TrendRules, TableError>> =
    LazyLock::new(|| TrendRules::load(include_str!("rules.csv")));

impl TrendRules {
    /// The built-in settings.
    ///
    /// # Errors
    /// The built-in table is damaged.
    pub fn built_in() -> Result<Self, TableError> {
        BUILT_IN.clone()
    }

    fn load(text: &str) -> Result<Self, TableError> {
        const TABLE: &str = "rules.csv";
        let rows: Vec<RuleRow> = rows(TABLE, text)?;
        let value = |rule: Rule| {
            let mut found = rows.iter().filter(|row| row.rule == rule);
            match (found.next(), found.next()) {
                (Some(row), None) if row.value > 0.0 && !row.source.is_empty() => Ok(row.value),
                _ => Err(TableError::new(
                    TABLE,
                    0,
                    format!("needs one row for {rule}, above 0, with a source"),
                )),
            }
        };
        Ok(Self {
            same_layer_within_cm: value(Rule::SameLayerWithin)?,
            seasons_for_a_claim: value(Rule::SeasonsForAClaim)? as usize,
            horizon_years: value(Rule::Horizon)?,
        })
    }
}

#[cfg(test)]
mod tests {
    use super::TrendRules;

    #[test]
    fn the_built_in_rules_are_sound_and_a_missing_one_is_noticed() {
        assert!(TrendRules::built_in().is_ok());
        assert!(TrendRules::load("rule,value,unit,source\nhorizon,25,years,x\n").is_err());
    }
}
