//! From words or cells to Report > Sample > Reading, by vocabulary and geometry.

pub mod fold;

pub mod number;

pub mod date;

pub mod units;

pub mod vocabulary;

pub mod label;

pub mod layout;

use crate::document::{Document, Refusal};
use crate::soil::Report;

/// Reads a laid-out document. Doubts travel with the values; only a document that is no soil report is an error.
///
/// # Errors
/// A [`Refusal`] with cause `not-a-report` or `wrong-matter` (water, tissue, invoice ...).
pub fn read(_document: &Document) -> Result<Vec<Report>, Refusal> {
    Ok(Vec::new())
}
