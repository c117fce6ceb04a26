//! What a laboratory recommends to put down, as printed on its report: never a measurement.

use super::convert::{
    kg_per_ha_to_lb_per_acre, lb_per_1000_ft2_to_lb_per_acre, lb_per_acre_to_lb_per_1000_ft2,
};
use super::ids::contract_ids;
use super::{Doubt, Printed};
use crate::place::Place;
use regex::Regex;
use serde::{Deserialize, Serialize};
use std::sync::LazyLock;

contract_ids! {
    /// Mass of a nutrient for an area.
    RateUnit {
        LbPerAcre = "lb/acre",
        LbPer1000Ft2 = "lb/1000 ft2",
        LbPer100Ft2 = "lb/100 ft2",
        KgPerHa = "kg/ha",
        GPerM2 = "g/m2",
    }
}

/// Square metres in a hectare over grams in a kilogram: 1 g/m2 is 10 kg/ha (definition).
const KG_PER_HA_IN_G_PER_M2: f64 = 10.0;

// The mass, a nutrient's name perhaps, then the area. `100` is asked after `1000`, so that neither is the other.
const MASS: &str = r"(?:actual\s+|available\s+)?(?:(?:of\s+)?(?:actual\s+)?(?:nitrogen|n)\s*[,)]?\s*)?";
const FOR: &str = r"(?:/|per\b|for\s+each\b|for\s+every\b|for\b|on\s+each\b|to\s+the\b|to\s+each\b|each\b|an?\b|pro\b|je\b|par\b|por\b)";
const FT2: &str = r"(?:sq(?:uare)?\.?\s*-?\s*(?:ft|feet|foot)\b\.?|ft\s*(?:2|\^2)|s\.?f\.?\b)";

/// `also` holds areas too short to follow every word: `lb/A`, while `pounds for a lawn` names none.
fn pattern(mass: &str, area: &str, also: &str) -> Option<Regex> {
    Regex::new(&format!(
        r"(?i)(?:^|[^\p{{L}}])(?P<u>{mass}\s*{MASS}(?:{FOR}\s*(?:{area})|(?:/|per\b)\s*(?:{also})))"
    ))
    .ok()
}

static PATTERNS: LazyLock<Vec<(RateUnit, Option<Regex>)>> = LazyLock::new(|| {
    let lb = r"(?:lbs?\b\.?|pounds?\b|#)";
    let of = |digits: &str| format!(r"(?:{digits})\s*{FT2}");
    let m2 = r"m\s*(?:2|\^2)|sq(?:uare)?\.?\s*(?:m\b|met(?:er|re)s?\b)";
    vec![
        (
            RateUnit::LbPer1000Ft2,
            pattern(lb, &of(r"1,?000|1\s000|thousand"), &format!(r"[mk]\s*{FT2}|msf\b")),
        ),
        (RateUnit::LbPer100Ft2, pattern(lb, &of("100|hundred"), "csf\\b")),
        (RateUnit::LbPerAcre, pattern(lb, r"acres?\b|ac\b\.?", r"a\b")),
        (RateUnit::KgPerHa, pattern(r"(?:kgs?\b|kilograms?\b|kilos?\b)", r"hectares?\b|ha\b", r"ha\b")),
        (RateUnit::GPerM2, pattern(r"(?:g\b|grams?\b)", m2, m2)),
    ]
});

impl RateUnit {
    /// Every rate unit named in a text, with the bytes it takes, in the order of the text.
    pub fn all_in(text: &str) -> Vec<(Self, std::ops::Range<usize>)> {
        let mut found: Vec<(Self, std::ops::Range<usize>)> = Vec::new();
        for (unit, regex) in PATTERNS.iter() {
            let Some(regex) = regex else { continue };
            found.extend(regex.captures_iter(text).filter_map(|c| Some((*unit, c.name("u")?.range()))));
        }
        found.sort_by_key(|(_, range)| range.start);
        found
    }

    /// The unit a text is, and nothing else; none where it says more, or another thing.
    pub fn from_printed(text: &str) -> Option<Self> {
        let text = text.trim();
        match Self::all_in(text).as_slice() {
            [(unit, range)] if range.start == 0 && range.end == text.len() => Some(*unit),
            _ => None,
        }
    }

    /// An amount in this unit as lb/1000 ft2.
    pub fn lb_per_1000_ft2(self, amount: f64) -> f64 {
        match self {
            Self::LbPerAcre => lb_per_acre_to_lb_per_1000_ft2(amount),
            Self::LbPer1000Ft2 => amount,
            Self::LbPer100Ft2 => amount * 10.0,
            Self::KgPerHa => lb_per_acre_to_lb_per_1000_ft2(kg_per_ha_to_lb_per_acre(amount)),
            Self::GPerM2 => {
                lb_per_acre_to_lb_per_1000_ft2(kg_per_ha_to_lb_per_acre(amount * KG_PER_HA_IN_G_PER_M2))
            }
        }
    }

    /// An amount in this unit as lb/acre.
    pub fn lb_per_acre(self, amount: f64) -> f64 {
        lb_per_1000_ft2_to_lb_per_acre(self.lb_per_1000_ft2(amount))
    }
}

/// Nitrogen that a laboratory recommends for a sample.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Recommendation {
    /// For what, as printed; empty where the report does not say.
    pub crop: String,
    /// Amount and unit as printed.
    pub printed: Printed,
    /// The amount, where it is one number.
    pub amount: Option<f64>,
    /// Its unit, where one is stated.
    pub unit: Option<RateUnit>,
    /// Where on the original.
    pub place: Place,
    /// Why it must not be reckoned with before a person said what is meant; empty when nothing speaks against it.
    pub doubts: Vec<Doubt>,
}

impl Recommendation {
    /// lb/1000 ft2 for the season; none where any doubt stands against it.
    pub fn lb_per_1000_ft2(&self) -> Option<f64> {
        let sure = self.doubts.is_empty();
        self.amount.zip(self.unit).filter(|_| sure).map(|(amount, unit)| unit.lb_per_1000_ft2(amount))
    }

    /// As printed, with the crop where one is named: `130 lb/acre (Corn)`.
    pub fn said(&self) -> String {
        let unit =
            if self.printed.unit.is_empty() { String::new() } else { format!(" {}", self.printed.unit) };
        let crop = if self.crop.is_empty() { String::new() } else { format!(" ({})", self.crop) };
        format!("{}{unit}{crop}", self.printed.value)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn rate_units_are_told_apart_however_they_are_written() {
        for (text, unit) in [
            ("lb/acre", RateUnit::LbPerAcre),
            ("lbs/A", RateUnit::LbPerAcre),
            ("lb N/acre", RateUnit::LbPerAcre),
            ("pounds an acre", RateUnit::LbPerAcre),
            ("pounds per acre", RateUnit::LbPerAcre),
            ("pounds of nitrogen to the acre", RateUnit::LbPerAcre),
            ("lb/1000 ft2", RateUnit::LbPer1000Ft2),
            ("lb per 1,000 sq ft", RateUnit::LbPer1000Ft2),
            ("lbs/1000 sq. ft.", RateUnit::LbPer1000Ft2),
            ("pounds of nitrogen for each 1000 square feet", RateUnit::LbPer1000Ft2),
            ("lb N per 1000 sq ft", RateUnit::LbPer1000Ft2),
            ("lb/M sq ft", RateUnit::LbPer1000Ft2),
            ("lb/100 sq ft", RateUnit::LbPer100Ft2),
            ("kg/ha", RateUnit::KgPerHa),
            ("kg N per hectare", RateUnit::KgPerHa),
            ("g/m2", RateUnit::GPerM2),
            ("grams per square metre", RateUnit::GPerM2),
        ] {
            assert_eq!(RateUnit::from_printed(text), Some(unit), "{text}");
        }
        for text in [
            "ppm",
            "mg/kg",
            "g/kg",
            "tons/acre",
            "kg/m3",
            "lb",
            "lb/bag",
            "pounds for a lawn",
            "lb/acre or so",
            "",
            "meq/100 g",
        ] {
            assert_eq!(RateUnit::from_printed(text), None, "{text}");
        }
    }

    #[test]
    fn rates_are_converted_by_definitions() {
        // 43,560 ft2 an acre; 1 kg/ha is 0.8922 lb/acre (NIST SP 811, by definition of pound, foot and hectare).
        assert!((RateUnit::LbPerAcre.lb_per_1000_ft2(130.0) - 2.98439).abs() < 1e-5);
        assert!((RateUnit::KgPerHa.lb_per_acre(1.0) - 0.892179).abs() < 1e-6);
        assert!((RateUnit::GPerM2.lb_per_1000_ft2(1.0) - 0.204816).abs() < 1e-6);
        assert!((RateUnit::LbPer100Ft2.lb_per_1000_ft2(0.3) - 3.0).abs() < 1e-12);
    }
}
