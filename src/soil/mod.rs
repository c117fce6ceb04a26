//! The trade's words: Report > Sample > Reading, what is measured, how, in what unit, on whose soil.

pub(crate) mod ids;

pub mod table;

pub mod analyte;

pub mod method;

pub mod unit;

pub mod value;

pub mod site;

pub mod alike;

pub mod bag_code;

pub mod season;

pub mod record;

pub mod convert;

pub mod chemistry;

pub mod closure;

pub mod recommendation;

pub use analyte::Analyte;
pub use method::Method;
pub use recommendation::{RateUnit, Recommendation};
pub use record::{Outcome, ReadingRow, Status};
pub use site::{Depth, Site};
pub use unit::{Basis, Unit};
pub use value::{Printed, Qualifier, Quantity};

use crate::place::Place;
use jiff::civil::Date;
use serde::{Deserialize, Serialize};

/// One report of one laboratory to one client, as read from a document.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
pub struct Report {
    /// The laboratory's name as printed.
    pub lab: Option<String>,
    /// Whose soil, as printed.
    pub client: Option<String>,
    /// The laboratory's report number.
    pub number: Option<String>,
    /// Day of receipt.
    pub received_on: Option<Date>,
    /// Day of the report.
    pub reported_on: Option<Date>,
    /// A word on the report says that it replaces an earlier one (revised, corrected, amended).
    pub revised: bool,
    /// Samples in printed order.
    pub samples: Vec<Sample>,
    /// Doubts about the whole report.
    pub doubts: Vec<Doubt>,
    /// Features of the form it is printed on, sorted: headings and field names, never values. What a person teaches
    /// holds for reports whose form has them too.
    pub layout: Vec<String>,
}

/// One sample of a report: a bag of soil with a name on it.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
pub struct Sample {
    /// The client's own name for it, as printed; empty where none is.
    pub label: String,
    /// The laboratory's number for it.
    pub lab_number: Option<String>,
    /// Day of sampling.
    pub sampled_on: Option<Date>,
    /// The year the printed dates agree on, also where day and month could be either.
    pub year: Option<i16>,
    /// How deep.
    pub depth: Option<Depth>,
    /// What was measured, in printed order.
    pub readings: Vec<Reading>,
    /// Measurements outside the contract (molybdenum, lime buffer capacity ...): kept and shown, no readings.
    pub others: Vec<OtherMeasurement>,
    /// Nitrogen the laboratory recommends for it, as printed: no readings.
    pub nitrogen: Vec<Recommendation>,
    /// Doubts about the sample as a whole (its name, its depth): they hold all its readings.
    pub doubts: Vec<Doubt>,
}

/// One measured value.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Reading {
    /// What.
    pub analyte: Analyte,
    /// How.
    pub method: Method,
    /// How much, in the canonical unit.
    pub quantity: Quantity,
    /// The paper's own letters.
    pub printed: Printed,
    /// Where on the original.
    pub place: Place,
    /// What confirms it: `unit stated`, `cations close on CEC` ...
    pub witnesses: Vec<String>,
    /// Why it waits for a person; empty when nothing speaks against it.
    pub doubts: Vec<Doubt>,
}

/// Something measured that the contract has no id for.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct OtherMeasurement {
    /// The name as printed.
    pub name: String,
    /// Value and unit as printed.
    pub printed: Printed,
    /// Where.
    pub place: Place,
}

/// Why a value is not taken without a person.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Doubt {
    /// Short fixed name of the reason, for counting and for tests: `unit-missing`, `cec-closure` ...
    pub reason: String,
    /// One sentence a person understands.
    pub sentence: String,
    /// Competing readings, in words (`61 ppm if mg/kg, 30.5 if lb/acre`), where there are any.
    pub alternatives: Vec<String>,
}

impl Doubt {
    /// A doubt without competing readings.
    pub fn new(reason: &str, sentence: impl Into<String>) -> Self {
        Self { reason: reason.to_owned(), sentence: sentence.into(), alternatives: Vec::new() }
    }
}
