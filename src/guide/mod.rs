//! Published tables of classes, and whether a table may speak of a reading at all.

pub mod source;

pub mod limits;

pub mod standing;

pub mod condition;

pub mod uses;

pub mod region;

pub mod scale;

pub mod moving;

pub mod depth;

pub mod catalog;

pub mod eligible;

pub mod interpret;

pub mod choose;

pub mod own;

pub mod tolerance;

#[cfg(test)]
mod worked;

pub use catalog::{Guide, guide, guides};
pub use choose::{also, choose, scale_of};
pub use eligible::calcareous;
pub use interpret::interpret;
pub use limits::{Limit, limit};
pub use own::{OwnEdge, OwnEdgeSetting, own_level};
pub use standing::Alert;
pub use tolerance::{Tolerance, tolerance};
pub use uses::{Use, use_of, uses};

use crate::soil::{Analyte, Basis, Method, Qualifier, ReadingRow};
use serde::{Deserialize, Serialize};

/// What a guide is asked about: one value in the canonical unit of its analyte.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Measured {
    /// What.
    pub analyte: Analyte,
    /// How.
    pub method: Method,
    /// How much, canonical unit.
    pub value: f64,
    /// Below or above the laboratory's range.
    pub qualifier: Option<Qualifier>,
    /// Mass or volume of soil.
    pub basis: Option<Basis>,
    /// Sampled layer in whole centimetres (top, bottom), none where not stated.
    pub depth_cm: Option<(i32, i32)>,
}

impl From<&ReadingRow> for Measured {
    fn from(row: &ReadingRow) -> Self {
        Self {
            analyte: row.analyte,
            method: row.method,
            value: row.value,
            qualifier: row.qualifier,
            basis: row.basis,
            depth_cm: row
                .depth_bottom_cm
                .map(|bottom| (row.depth_top_cm.unwrap_or_default().round() as i32, bottom.round() as i32)),
        }
    }
}

/// What else is known of the same soil, which some tests and scales hang on.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize, Deserialize)]
pub struct Context {
    /// pH in water, never a salt pH.
    pub water_ph: Option<f64>,
    /// pH by a method that is not stated or in salt: pH in water is no lower (rule 35: salt pH runs about 0.5 lower).
    pub ph_at_least: Option<f64>,
    /// CEC, cmol(+)/kg.
    pub cec: Option<f64>,
    /// Some measure of the salt content is known (sodium without it is half a picture).
    pub salts_known: bool,
}

impl Context {
    /// Whether pH in water lies above a limit, as far as that is known.
    pub fn ph_above(&self, limit: f64) -> Option<bool> {
        self.water_ph.map(|ph| ph > limit).or(self.ph_at_least.filter(|ph| *ph > limit).map(|_| true))
    }

    /// The highest pH that is known of, for a sentence.
    pub fn any_ph(&self) -> Option<f64> {
        self.water_ph.or(self.ph_at_least)
    }
}

/// What a guide says of a value.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Level {
    /// The guide's id.
    pub guide: String,
    /// The guide's name for a person.
    pub title: String,
    /// The guide's own class name.
    pub class: String,
    /// Lower edge of the class in the canonical unit, none when open.
    pub from: Option<f64>,
    /// Upper edge, exclusive, none when open.
    pub to: Option<f64>,
    /// The class as the guide prints it, in the guide's unit.
    pub as_printed: String,
    /// Lower edge of sufficiency for this analyte and method in this guide, canonical unit.
    pub sufficient_from: Option<f64>,
    /// Upper edge of what is wanted, above which the guide calls it more than needed.
    pub sufficient_to: Option<f64>,
    /// Where the class stands to sufficiency.
    pub standing: Standing,
    /// How loud the class is; none raises no flag.
    pub alert: Option<Alert>,
    /// How loud the class right below the edge of sufficiency is.
    pub alert_below: Option<Alert>,
    /// True where every edge used was read in a copy of the source; a memory row never raises `act`.
    pub read: bool,
    /// True where the lower edge of sufficiency was read, or there is none.
    pub edge_read: bool,
    /// The guide was made for another region, or the site's is not known.
    pub outside_region: bool,
    /// The sample went to another depth than the one the guide speaks of.
    pub other_depth: bool,
    /// Source key in `guide/sources.csv`.
    pub source: String,
    /// Our own short gloss of the class.
    pub meaning: String,
    /// What to bear in mind, a phrase each.
    pub cautions: Vec<String>,
}

/// Where a class stands to the guide's sufficiency.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Standing {
    /// Below the sufficiency edge.
    Below,
    /// Within what the guide wants.
    Within,
    /// More than the guide wants.
    Above,
    /// The guide only informs (base saturations) or rates a hazard.
    Information,
}

/// Why a guide says nothing of a value.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct NoLevel {
    /// The guide's id; empty where no guide at all speaks for the use.
    pub guide: String,
    /// What kind of reason.
    pub silence: Silence,
    /// One sentence.
    pub reason: String,
}

/// The kinds of reason why a guide says nothing, in the order the tests are made.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Silence {
    /// It has no scale for the analyte.
    NoScale,
    /// It has none for what grows here.
    Crop,
    /// The extractant, the detection or the kind of pH differs or is not stated.
    Method,
    /// Mass against volume, or an index.
    Basis,
    /// The sample was taken below the layer the guide speaks of.
    Depth,
    /// The soil spoils the test.
    Soil,
    /// A condition is not known to hold.
    Condition,
    /// The number could lie in more than one class, or outside those printed.
    Range,
}
