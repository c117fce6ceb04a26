//! Published tables of classes, and whether a table may speak of a reading at all.

use serde::{Deserialize, Serialize};

/// What a guide says of a value, or why it says nothing.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Level {
    /// The guide's id.
    pub guide: String,
    /// The guide's own class name.
    pub class: String,
    /// Lower edge of the class in the canonical unit, none when open.
    pub from: Option<f64>,
    /// Upper edge, exclusive, none when open.
    pub to: Option<f64>,
    /// Lower edge of sufficiency for this analyte and method in this guide, canonical unit.
    pub sufficient_from: Option<f64>,
    /// Upper edge of what is wanted, above which the guide calls it more than needed.
    pub sufficient_to: Option<f64>,
    /// Where the class stands to sufficiency.
    pub standing: Standing,
    /// True where every edge used was read in a copy of the source; a memory row never raises `act`.
    pub read: bool,
    /// Source key in `guide/sources.csv`.
    pub source: String,
    /// Our own short gloss of the class.
    pub meaning: String,
}

/// Where a class stands to the guide's sufficiency.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
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
