//! Printed units: which there are, and the factor and rule from each to an analyte's canonical unit.

use crate::soil::Unit;
use std::sync::LazyLock;

/// How a printed unit leads to the canonical one.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Rule {
    /// Times the factor.
    Plain,
    /// Possible, but rare enough to ask.
    Unusual,
    /// Mass per area: needs the depth rule.
    Area,
    /// Mass per area, metric: only with a factor that the report states.
    AreaMetric,
    /// Volume of soil: the number stays as printed, marked as volume basis.
    Volume,
    /// Charge: times the equivalent weight of the cation.
    Charge,
    /// Charge in a volume of soil: times the equivalent weight, marked as volume basis.
    ChargeVolume,
    /// In solution: never a soil concentration.
    Solution,
    /// Cannot be converted without a person.
    Hold,
    /// No soil result at all.
    Never,
}

/// One way from a printed unit to a canonical one.
#[derive(Debug, Clone, PartialEq)]
pub struct Conversion {
    /// Id of the printed unit.
    pub printed: &'static str,
    /// The canonical unit it leads to; none for units that are no soil results.
    pub canonical: Option<Unit>,
    /// Factor of the rule.
    pub factor: f64,
    /// The rule.
    pub rule: Rule,
    /// Where the factor comes from.
    pub source: &'static str,
}

static CONVERSIONS: LazyLock<Vec<Conversion>> = LazyLock::new(|| parse(include_str!("../soil/units.csv")));

fn parse(text: &'static str) -> Vec<Conversion> {
    let mut out = Vec::new();
    for line in text.lines().skip(1) {
        let mut parts = line.splitn(5, ',');
        let (Some(printed), Some(target), Some(factor), Some(rule), Some(source)) =
            (parts.next(), parts.next(), parts.next(), parts.next(), parts.next())
        else {
            continue;
        };
        let rule = match rule {
            "plain" => Rule::Plain,
            "unusual" => Rule::Unusual,
            "area" => Rule::Area,
            "area-metric" => Rule::AreaMetric,
            "volume" => Rule::Volume,
            "charge" => Rule::Charge,
            "charge-volume" => Rule::ChargeVolume,
            "solution" => Rule::Solution,
            "hold" => Rule::Hold,
            _ => Rule::Never,
        };
        let Ok(factor) = factor.parse() else { continue };
        out.push(Conversion {
            printed,
            canonical: Unit::from_id(target),
            factor,
            rule,
            source: source.trim_matches('"'),
        });
    }
    out
}

/// The id of a printed unit, if it is known.
pub fn printed_unit_id(id: &str) -> Option<&'static str> {
    CONVERSIONS.iter().find(|c| c.printed == id).map(|c| c.printed)
}

/// The way from a printed unit to a canonical unit.
pub fn conversion(printed: &str, canonical: Unit) -> Option<&'static Conversion> {
    CONVERSIONS
        .iter()
        .find(|c| c.printed == printed && (c.canonical == Some(canonical) || c.rule == Rule::Never))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_line_of_the_unit_table_is_understood() {
        let lines = include_str!("../soil/units.csv").lines().count() - 1;
        assert_eq!(CONVERSIONS.len(), lines);
        for c in CONVERSIONS.iter() {
            assert!(c.factor > 0.0 && !c.source.is_empty(), "{}", c.printed);
            assert!(c.canonical.is_some() || c.rule == Rule::Never, "{}", c.printed);
        }
    }
}
