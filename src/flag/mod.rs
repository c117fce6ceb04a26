//! What needs a person's eye, with the sentence, the edge and the table that say so.

use crate::soil::ids::contract_ids;
use crate::soil::{Analyte, Unit};
use serde::{Deserialize, Serialize};

contract_ids! {
    /// The flags of the contract.
    FlagKind {
        BelowSufficiency = "below-sufficiency", DrawingDown = "drawing-down", Excessive = "excessive",
        Hazard = "hazard", RetestDue = "retest-due", MethodChanged = "method-changed",
        BeyondLabNoise = "beyond-lab-noise",
    }
}

contract_ids! {
    /// How urgent.
    Severity { Act = "act", Watch = "watch" }
}

/// One flag.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Flag {
    /// Site id.
    pub site: String,
    /// Zone.
    pub zone: String,
    /// The season it speaks of.
    pub season: i16,
    /// About what; none for a flag on the whole site (`retest-due`).
    pub analyte: Option<Analyte>,
    /// Which flag.
    pub flag: FlagKind,
    /// How urgent.
    pub severity: Severity,
    /// The value that raised it, canonical unit.
    pub value: Option<f64>,
    /// The edge it was held against.
    pub edge: Option<f64>,
    /// Unit of both.
    pub unit: Option<Unit>,
    /// The guide, where one speaks.
    pub guide: Option<String>,
    /// One sentence.
    pub reason: String,
}
