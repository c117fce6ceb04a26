//! Loads the file for the gate, and the sentences for files that cannot be loaded.

use crate::document::{Cause, Format, Limits, Refusal};
use lopdf::{DecompressError, Document, Error, LoadOptions};

/// Loads the file without a password, unpacking no stream beyond the limit.
///
/// # Errors
/// A [`Refusal`]: locked, damaged, unpacking beyond the limit.
pub(super) fn load(bytes: &[u8], limits: &Limits) -> Result<Document, Refusal> {
    let most = usize::try_from(limits.stream_bytes).unwrap_or(usize::MAX);
    let options = LoadOptions { max_decompressed_size: Some(most), ..LoadOptions::default() };
    let document = Document::load_mem_with_options(bytes, options).map_err(|error| match error {
        Error::Decompress(
            DecompressError::MemoryLimitExceeded { .. } | DecompressError::TooManyFilters { .. },
        ) => unpacks_too_far(limits.stream_bytes),
        Error::InvalidPassword => locked(),
        Error::Decryption(_) | Error::UnsupportedSecurityHandler(_) => unknown_lock(),
        Error::ReferenceLimit | Error::RecursionLimit | Error::ReferenceCycle(_) => too_deep(),
        _ => damaged("It is cut off, or it is not a PDF inside."),
    })?;
    if document.is_encrypted() {
        return Err(locked());
    }
    Ok(document)
}

/// A password is needed.
pub(super) fn locked() -> Refusal {
    Refusal::new(
        Cause::Locked,
        Format::Pdf,
        "The PDF is locked with a password.",
        "Save a copy without one and drop that.",
    )
}

/// Locked by means that are not known here.
pub(super) fn unknown_lock() -> Refusal {
    Refusal::new(
        Cause::Locked,
        Format::Pdf,
        "The PDF is locked in a way that cannot be opened here.",
        "Save a copy without protection, or print it to a new PDF, and drop that.",
    )
}

/// The file is not whole; `how` is a sentence.
pub(super) fn damaged(how: &str) -> Refusal {
    Refusal::new(
        Cause::Damaged,
        Format::Pdf,
        format!("The PDF is damaged. {how}"),
        "Fetch it anew from where it came, or print it to a new PDF, and drop that.",
    )
}

/// Unpacks beyond a limit in bytes.
pub(super) fn unpacks_too_far(most: u64) -> Refusal {
    Refusal::new(
        Cause::Limit,
        Format::Pdf,
        format!("The file unpacks to more than {} MB and was not opened further.", most >> 20),
        "Print it to a new PDF and drop that.",
    )
}

/// Parts inside parts without end.
pub(super) fn too_deep() -> Refusal {
    Refusal::new(
        Cause::TooDeep,
        Format::Pdf,
        format!("The file is nested more than {DEEPEST} deep and cannot be a plain report."),
        "Print it to a new PDF and drop that.",
    )
}

/// Objects inside objects, and drawings inside drawings.
pub(super) const DEEPEST: usize = 64;
