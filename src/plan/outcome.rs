//! What a plan says: applications with dates, what is left alone, questions, the next sample, cautions.

use super::cautions::Caution;
use super::fertiliser::{FL_OZ_PER_GAL, L_PER_GAL, OZ_PER_LB};
use super::ledger::{LedgerRow, OwnBuffering};
use super::nitrogen::Account;
use super::nutrients::{Nutrient, Nutrients};
use crate::soil::convert::KG_PER_LB;
use jiff::civil::Date;
use serde::{Deserialize, Serialize};

/// An amount by weight, and by volume where it is a liquid.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Amount {
    /// Pounds.
    pub lb: f64,
    /// Kilograms.
    pub kg: f64,
    /// US gallons of a liquid.
    pub gal: Option<f64>,
    /// Litres of a liquid.
    pub l: Option<f64>,
}

impl Amount {
    /// From pounds, and the density of a liquid in lb/gal.
    pub fn new(lb: f64, density_lb_per_gal: Option<f64>) -> Self {
        let gal = density_lb_per_gal.filter(|density| *density > 0.0).map(|density| lb / density);
        Self { lb, kg: lb * KG_PER_LB, gal, l: gal.map(|gal| gal * L_PER_GAL) }
    }

    /// As it is measured out: gal or fl oz with litres, lb or oz with kilograms.
    pub fn said(&self) -> String {
        let metric = |large: f64, name: &str, small: &str| {
            if large < 1.0 {
                format!("{:.0} {small}", large * 1_000.0)
            } else {
                format!("{} {name}", short(large))
            }
        };
        match (self.gal, self.l) {
            (Some(gal), Some(l)) if gal < 1.0 => {
                format!("{} fl oz ({})", short(gal * FL_OZ_PER_GAL), metric(l, "L", "mL"))
            }
            (Some(gal), Some(l)) => format!("{} gal ({})", short(gal), metric(l, "L", "mL")),
            _ if self.lb < 1.0 => {
                format!("{} oz ({})", short(self.lb * OZ_PER_LB), metric(self.kg, "kg", "g"))
            }
            _ => format!("{} lb ({})", short(self.lb), metric(self.kg, "kg", "g")),
        }
    }
}

/// Three figures that count, as a spring scale or a jug shows them.
pub fn short(value: f64) -> String {
    match value.abs() {
        v if v >= 99.95 => format!("{value:.0}"),
        v if v >= 9.995 => format!("{value:.1}"),
        _ => format!("{value:.2}"),
    }
}

/// One application of the plan.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Planned {
    /// The day.
    pub on: Date,
    /// Zone.
    pub zone: String,
    /// What it is for.
    pub nutrient: Nutrient,
    /// The user's product; none where none of them fits, and then the amounts are of the nutrient itself.
    pub product: Option<String>,
    /// For 1000 ft2.
    pub per_1000_ft2: Amount,
    /// Area, ft2.
    pub area_ft2: Option<f64>,
    /// For the whole area.
    pub total: Option<Amount>,
    /// Spreader or sprayer passes.
    pub passes: u32,
    /// For 1000 ft2 in one pass.
    pub per_pass: Amount,
    /// What it supplies, lb/1000 ft2.
    pub supplies_lb_per_1000_ft2: Nutrients,
    /// Why, in a sentence.
    pub reason: String,
    /// Source key, `keeper` or `laboratory`.
    pub source: String,
    /// The number it rests on.
    pub rests_on: String,
}

impl Planned {
    /// What goes down, in words.
    pub fn what(&self) -> &str {
        self.product.as_deref().unwrap_or_else(|| self.nutrient.name())
    }
}

/// Something to leave alone.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Left {
    /// Zone.
    pub zone: String,
    /// One sentence.
    pub reason: String,
    /// The same in plain words for a client, where the sentence is not plain already.
    pub plain: Option<String>,
    /// Source key.
    pub source: String,
}

/// Something to settle before anything is done.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Question {
    /// Zone.
    pub zone: String,
    /// One sentence.
    pub question: String,
    /// The same in plain words for a client, where the sentence is not plain already.
    pub plain: Option<String>,
    /// Where to ask.
    pub ask: String,
    /// Source key.
    pub source: String,
}

/// The next sample.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Retest {
    /// Zone.
    pub zone: String,
    /// The day.
    pub on: Date,
    /// How deep, in words.
    pub depth: String,
    /// At least so many cores.
    pub cores: u32,
    /// Why then.
    pub reason: String,
    /// Source key.
    pub source: String,
}

/// The nitrogen of a zone.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct ZoneNitrogen {
    /// Zone.
    pub zone: String,
    /// Its account.
    #[serde(flatten)]
    pub account: Account,
    /// What found no day, lb/1000 ft2.
    pub unplaced: f64,
}

/// The plan of one site for one season.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Plan {
    /// Site id.
    pub site: String,
    /// The name a person reads.
    pub name: String,
    /// Whose site.
    pub client: Option<String>,
    /// The season.
    pub season: i16,
    /// The day it was made.
    pub made_on: Date,
    /// Applications in order of the days.
    pub applications: Vec<Planned>,
    /// What to leave alone.
    pub leave_alone: Vec<Left>,
    /// What to settle.
    pub questions: Vec<Question>,
    /// Nitrogen by zone.
    pub nitrogen: Vec<ZoneNitrogen>,
    /// When to sample again.
    pub retests: Vec<Retest>,
    /// Put down, carried off, and what the test did.
    pub ledger: Vec<LedgerRow>,
    /// The site's own buffering.
    pub own_buffering: Vec<OwnBuffering>,
    /// What to bear in mind.
    pub cautions: Vec<Caution>,
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn amounts_are_said_as_they_are_measured_out() {
        for (lb, density, said) in [
            (37.5, None, "37.5 lb (17.0 kg)"),
            (0.25, None, "4.00 oz (113 g)"),
            (250.0, None, "250 lb (113 kg)"),
            (21.2, Some(10.6), "2.00 gal (7.57 L)"),
            (2.65, Some(10.6), "32.0 fl oz (946 mL)"),
        ] {
            assert_eq!(Amount::new(lb, density).said(), said);
        }
    }
}
