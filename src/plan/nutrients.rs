//! What fertilisers carry: amounts or shares by nutrient, oxides for P and K as labels print them.

use crate::soil::ids::contract_ids;
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

contract_ids! {
    /// A nutrient or amendment as a label names it. P and K are oxides, everything else is the element.
    Nutrient {
        N = "n", P2o5 = "p2o5", K2o = "k2o", Ca = "ca", Mg = "mg", S = "s", Fe = "fe", Mn = "mn", Zn = "zn",
        Cu = "cu", B = "b", LimeCce = "lime_cce", Gypsum = "gypsum",
    }
}

impl Nutrient {
    /// The name a person reads.
    pub const fn name(self) -> &'static str {
        match self {
            Self::N => "nitrogen (N)",
            Self::P2o5 => "phosphate (P2O5)",
            Self::K2o => "potash (K2O)",
            Self::Ca => "calcium (Ca)",
            Self::Mg => "magnesium (Mg)",
            Self::S => "sulfur (S)",
            Self::Fe => "iron (Fe)",
            Self::Mn => "manganese (Mn)",
            Self::Zn => "zinc (Zn)",
            Self::Cu => "copper (Cu)",
            Self::B => "boron (B)",
            Self::LimeCce => "lime (as pure calcium carbonate)",
            Self::Gypsum => "gypsum (pure)",
        }
    }
}

/// Amounts (the binding says in what unit) or percentages by nutrient; what is not there is 0.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
#[serde(transparent)]
pub struct Nutrients(BTreeMap<Nutrient, f64>);

impl Nutrients {
    /// N, P2O5 and K2O as a label prints them.
    pub fn grade(n: f64, p2o5: f64, k2o: f64) -> Self {
        Self::default().with(Nutrient::N, n).with(Nutrient::P2o5, p2o5).with(Nutrient::K2o, k2o)
    }

    /// A grade as printed: `16-4-8`, or with more figures that are passed over; none where it is no grade.
    pub fn from_grade(text: &str) -> Option<Self> {
        let parts: Vec<f64> =
            text.trim().split('-').map(|part| part.trim().parse().ok()).collect::<Option<_>>()?;
        let sound =
            parts.iter().all(|part| (0.0..=100.0).contains(part)) && parts.iter().sum::<f64>() <= 100.0;
        match parts.as_slice() {
            [n, p2o5, k2o] if sound => Some(Self::grade(*n, *p2o5, *k2o)),
            _ => None,
        }
    }

    /// With an amount put in place of what was there; 0 takes it out.
    #[must_use]
    pub fn with(mut self, nutrient: Nutrient, amount: f64) -> Self {
        if amount == 0.0 {
            self.0.remove(&nutrient);
        } else {
            self.0.insert(nutrient, amount);
        }
        self
    }

    /// The amount of one.
    pub fn get(&self, nutrient: Nutrient) -> f64 {
        self.0.get(&nutrient).copied().unwrap_or(0.0)
    }

    /// What is there.
    pub fn iter(&self) -> impl Iterator<Item = (Nutrient, f64)> {
        self.0.iter().map(|(nutrient, amount)| (*nutrient, *amount))
    }

    /// Every amount times a factor.
    #[must_use]
    pub fn times(&self, factor: f64) -> Self {
        Self(self.0.iter().map(|(nutrient, amount)| (*nutrient, amount * factor)).collect())
    }

    /// The sum with another.
    #[must_use]
    pub fn plus(&self, other: &Self) -> Self {
        other.iter().fold(self.clone(), |all, (nutrient, amount)| {
            let sum = all.get(nutrient) + amount;
            all.with(nutrient, sum)
        })
    }

    /// True where nothing is there.
    pub fn is_empty(&self) -> bool {
        self.0.is_empty()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_grade_is_three_numbers_up_to_a_hundred() {
        assert_eq!(Nutrients::from_grade("16-4-8"), Some(Nutrients::grade(16.0, 4.0, 8.0)));
        assert_eq!(Nutrients::from_grade("46-0-0").map(|grade| grade.get(Nutrient::P2o5)), Some(0.0));
        for wrong in ["16-4", "16-4-8-2", "60-60-0", "a-b-c", "-1-0-0", ""] {
            assert_eq!(Nutrients::from_grade(wrong), None, "{wrong}");
        }
    }
}
