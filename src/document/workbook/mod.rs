//! XLSX, XLS and ODS workbooks.

use super::{Cause, Document, Format, Limits, Refusal};

/// Lays the document out.
///
/// # Errors
/// A [`Refusal`] where it cannot.
pub fn open(_bytes: &[u8], _limits: &Limits) -> Result<Document, Refusal> {
    Err(Refusal::new(Cause::UnknownFormat, Format::Unknown, "Not read yet.", ""))
}
