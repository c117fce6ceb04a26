//! What the tables and sentences of a page give before it is normalised: samples with fields, and raw readings.

use super::label::Label;
use super::notes::adapt;
use super::number::{MARK, PrintedNumber};
use super::vocabulary::Field;
use crate::place::Place;
use crate::soil::{Doubt, Method, OtherMeasurement};

/// A sample as found, with the fields its row or column carries.
#[derive(Debug, Clone, Default)]
pub struct FoundSample {
    /// Page or sheet.
    pub page: u32,
    /// Height on the page where it starts, points.
    pub y: f32,
    /// Left edge of its table, to tell side by side forms apart.
    pub x: f32,
    /// Fields in its own row or column: name, laboratory number, depth, dates.
    pub fields: Vec<(Field, String)>,
    /// What was measured.
    pub readings: Vec<Found>,
    /// What was not detected, without a number until a sentence gives its limit.
    pub undetected: Vec<Found>,
    /// Measured, but outside the contract.
    pub others: Vec<OtherMeasurement>,
    /// True where a table row or column of its own names it; a form takes its name from the page.
    pub named_by_table: bool,
    /// True for lines in no columns, `Sodium: 70 ppm`: results in a list of results, remarks beside a table.
    pub lone: bool,
    /// True where words over its column are all that names it, and nothing says that names of samples stand there.
    pub headed: bool,
}

impl FoundSample {
    /// The text of a field, if the sample carries it.
    pub fn field(&self, field: Field) -> Option<&str> {
        self.fields.iter().find(|(f, _)| *f == field).map(|(_, text)| text.as_str())
    }
}

/// A raw reading.
#[derive(Debug, Clone)]
pub struct Found {
    /// Name, method, unit and form as its heading or row says.
    pub label: Label,
    /// The number.
    pub number: PrintedNumber,
    /// Value as printed.
    pub printed: String,
    /// Unit as printed beside it or in its heading.
    pub unit: Option<(&'static str, String)>,
    /// Where.
    pub place: Place,
    /// Confidence of text recognition.
    pub confidence: Option<f32>,
    /// Footnote marks beside its name or its value.
    pub marks: Vec<String>,
    /// A method named in a caption over its table.
    pub caption: Option<Method>,
    /// What speaks against it so far.
    pub doubts: Vec<Doubt>,
}

impl Found {
    /// The sign close behind its number, `170*`.
    pub fn sign(&self) -> Option<&str> {
        let own = self.printed.trim_end_matches(|c: char| !c.is_alphanumeric());
        self.printed.get(own.len()..).map(str::trim).filter(|_| self.number.odd == Some(MARK))
    }

    /// All marks beside its name or its value, with that sign.
    pub fn signs(&self) -> Vec<String> {
        self.marks.iter().cloned().chain(self.sign().map(str::to_owned)).collect()
    }

    /// True where this may be the method of it: it can measure what the name says, and the name tells of no other.
    pub fn may_be_by(&self, method: Method) -> bool {
        let own =
            |m: &Option<Method>| m.is_none_or(|m| self.label.analyte.is_some_and(|a| adapt(m, a).is_some()));
        self.label.analyte.is_some_and(|a| adapt(method, a).is_some()) && !self.label.methods.iter().any(own)
    }
}
