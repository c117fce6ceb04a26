//! A reading as the history keeps it and as everything downstream receives it.

use super::analyte::Analyte;
use super::ids::contract_ids;
use super::method::Method;
use super::unit::Basis;
use super::value::Qualifier;
use crate::place::Place;
use jiff::civil::Date;
use serde::{Deserialize, Serialize};

contract_ids! {
    /// Where a reading stands with the person who answers for the history.
    Status { Accepted = "accepted", Held = "held", Corrected = "corrected", Rejected = "rejected" }
}

impl Status {
    /// Only accepted and corrected readings count in history, charts and flags.
    pub const fn counts(self) -> bool {
        matches!(self, Self::Accepted | Self::Corrected)
    }
}

contract_ids! {
    /// What became of a document.
    Outcome { Filed = "filed", Held = "held", Refused = "refused", Duplicate = "duplicate" }
}

/// One row of the history: the columns of the contract's `export readings`, plus the keys of the store.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct ReadingRow {
    /// Key in the store.
    pub id: i64,
    /// Site id; empty while no site is assigned.
    pub site: String,
    /// Zone of the site.
    pub zone: String,
    /// Whose site, as printed or as the roster says.
    pub client: Option<String>,
    /// The client's own name for the sample, as printed.
    pub sample_label: String,
    /// The laboratory's number for it.
    pub lab_sample: Option<String>,
    /// The laboratory's report number.
    pub report: Option<String>,
    /// The laboratory as printed.
    pub lab: Option<String>,
    /// Day of sampling.
    pub sampled_on: Option<Date>,
    /// Day of receipt.
    pub received_on: Option<Date>,
    /// Day of the report.
    pub reported_on: Option<Date>,
    /// The year it counts for.
    pub season: Option<i16>,
    /// Upper edge of the sampled layer, cm.
    pub depth_top_cm: Option<f64>,
    /// Lower edge of the sampled layer, cm.
    pub depth_bottom_cm: Option<f64>,
    /// What was measured.
    pub analyte: Analyte,
    /// How.
    pub method: Method,
    /// The number in the analyte's canonical unit.
    pub value: f64,
    /// Mass or volume.
    pub basis: Option<Basis>,
    /// Below or above the laboratory's range.
    pub qualifier: Option<Qualifier>,
    /// Value as printed.
    pub raw_value: String,
    /// Unit as printed.
    pub raw_unit: String,
    /// Where it stands with the keeper.
    pub status: Status,
    /// Why it is held.
    pub doubt: Option<String>,
    /// Name of the original.
    pub source_file: String,
    /// SHA-256 of the original.
    pub source_sha256: String,
    /// Where on the original.
    pub place: Option<Place>,
}
