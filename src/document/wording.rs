//! The refusals that several decoders share, each naming the limit it stands for.

use super::{Cause, FORMATS_READ, Format, Limits, Refusal};

/// Digits in groups of three, as people read them: `200 000`.
pub(super) fn grouped(number: u64) -> String {
    let digits = number.to_string();
    let mut out = String::with_capacity(digits.len() + digits.len() / 3);
    for (index, digit) in digits.chars().enumerate() {
        if index > 0 && (digits.len() - index).is_multiple_of(3) {
            out.push(' ');
        }
        out.push(digit);
    }
    out
}

/// A size in whole megabytes, at least 1.
pub(super) fn megabytes(bytes: u64) -> String {
    format!("{} MB", grouped((bytes >> 20).max(1)))
}

/// A name from a document made fit for a sentence: no control characters, at most 80 letters.
pub(super) fn quoted(name: &str) -> String {
    let clean: String = name.chars().filter(|c| !c.is_control()).take(80).collect();
    format!("'{}'", clean.trim())
}

pub(super) fn too_many_bytes(bytes: u64, limits: &Limits) -> Refusal {
    Refusal::new(
        Cause::TooLarge,
        Format::Unknown,
        format!(
            "The file has {}; reports up to {} are read.",
            megabytes(bytes),
            megabytes(limits.file_bytes)
        ),
        "Split it, or raise the limit in the settings.",
    )
}

pub(super) fn unpacks_too_far(format: Format, bytes: u64) -> Refusal {
    Refusal::new(
        Cause::TooLarge,
        format,
        format!("The file unpacks to more than {} and was not opened further.", megabytes(bytes)),
        "Send the pages or sheets with the results alone.",
    )
}

pub(super) fn swells(format: Format, times: u64) -> Refusal {
    Refusal::new(
        Cause::TooLarge,
        format,
        format!("A part of the file unpacks to more than {times} times its size and was not opened further."),
        "Open the file, save it anew, and drop that.",
    )
}

pub(super) fn too_many_rows(format: Format, limits: &Limits) -> Refusal {
    let what = format!("The table has more than {} rows.", grouped(limits.rows.into()));
    Refusal::new(Cause::Limit, format, what, "Split it, and drop the parts.")
}

pub(super) fn too_many_columns(format: Format, limits: &Limits) -> Refusal {
    let what = format!("The table has more than {} columns.", grouped(limits.columns.into()));
    Refusal::new(Cause::Limit, format, what, "Send the columns with the results alone.")
}

pub(super) fn too_many_cells(format: Format, limits: &Limits) -> Refusal {
    let what = format!("The table has more than {} cells.", grouped(limits.cells as u64));
    Refusal::new(Cause::Limit, format, what, "Split it, and drop the parts.")
}

pub(super) fn cell_too_long(format: Format, limits: &Limits) -> Refusal {
    let what = format!(
        "A cell or line holds more than {} kB of text, which no report does.",
        grouped((limits.cell_bytes >> 10).max(1) as u64)
    );
    Refusal::new(Cause::Limit, format, what, "Open the file, save it anew, and drop that.")
}

pub(super) fn too_deep(format: Format, depth: usize) -> Refusal {
    let what = format!("The file is nested more than {depth} deep and cannot be a plain report.");
    Refusal::new(Cause::TooDeep, format, what, "Open it, save it anew, and drop that.")
}

pub(super) fn damaged(format: Format, what: impl Into<String>) -> Refusal {
    Refusal::new(Cause::Damaged, format, what, "Ask for it again, or open it, save it anew, and drop that.")
}

pub(super) fn not_read(what: impl Into<String>, remedy: &str) -> Refusal {
    let sep = if remedy.is_empty() { "" } else { " " };
    Refusal::new(
        Cause::UnknownFormat,
        Format::Unknown,
        what,
        format!("{remedy}{sep}These are read: {FORMATS_READ}."),
    )
}

pub(super) fn not_text(format: Format) -> Refusal {
    Refusal::new(
        Cause::UnknownFormat,
        format,
        "This is no readable text.",
        format!("These are read: {FORMATS_READ}."),
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_are_grouped_by_threes() {
        assert_eq!(grouped(7), "7");
        assert_eq!(grouped(2_000), "2 000");
        assert_eq!(grouped(3_600_000), "3 600 000");
    }

    #[test]
    fn a_name_in_a_sentence_holds_no_control_characters() {
        assert_eq!(quoted("She\u{1b}[31met\n1"), "'She[31met1'");
    }
}
