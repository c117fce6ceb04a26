//! The rule behind each kind of flag, from `rules.csv`.

use super::FlagKind;
use crate::soil::table::{TableError, rows};
use serde::Deserialize;
use std::sync::LazyLock;

/// What raises a flag.
#[derive(Debug, Clone, PartialEq, Eq, Deserialize)]
pub struct FlagRule {
    /// Which flag.
    pub flag: FlagKind,
    /// When it is raised.
    pub rule: String,
    /// Where that comes from.
    pub source: String,
}

static RULES: LazyLock<Result<Vec<FlagRule>, TableError>> =
    LazyLock::new(|| rows("rules.csv", include_str!("rules.csv")));

/// The rule behind a flag.
///
/// # Errors
/// The built-in table is damaged.
pub fn flag_rule(flag: FlagKind) -> Result<&'static FlagRule, TableError> {
    let all = RULES.as_ref().map_err(Clone::clone)?;
    let missing = || TableError::new("rules.csv", 0, format!("no row for {flag}"));
    all.iter().find(|row| row.flag == flag).ok_or_else(missing)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_flag_has_one_rule_with_a_source() {
        for flag in FlagKind::ALL {
            let rule = flag_rule(*flag).unwrap();
            assert!(!rule.rule.is_empty() && !rule.source.is_empty(), "{flag}");
        }
        assert_eq!(RULES.as_ref().unwrap().len(), FlagKind::ALL.len());
    }
}
