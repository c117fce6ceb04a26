//! A table as comma-separated values (RFC 4180), UTF-8, with a head line; nothing is an empty field.

use super::{Cell, Error, Table, box_text};

/// What is remembered between two lots.
pub(super) struct Form {
    exact: bool,
    begun: bool,
}

impl Form {
    pub(super) fn begin(exact: bool) -> Self {
        Self { exact, begun: false }
    }

    /// Adds a lot; before the first goes the head.
    pub(super) fn put(&mut self, lot: &Table, bytes: &mut Vec<u8>) -> Result<(), Error> {
        let failed = |error: csv::Error| Error::Writer(error.to_string());
        let mut writer = csv::Writer::from_writer(bytes);
        if !std::mem::replace(&mut self.begun, true) {
            writer.write_record(lot.columns.iter().map(|column| column.name)).map_err(failed)?;
        }
        for row in &lot.rows {
            writer.write_record(row.iter().map(|cell| field(cell, self.exact))).map_err(failed)?;
        }
        writer.flush().map_err(|error| Error::Writer(error.to_string()))
    }
}

fn field(cell: &Cell, exact: bool) -> String {
    match cell {
        Cell::None => String::new(),
        Cell::Text(text) if !exact && runs(text) => format!("'{text}"),
        Cell::Text(text) => text.clone(),
        // The shortest digits that come back equal.
        Cell::Number(number) => number.to_string(),
        Cell::Integer(number) => number.to_string(),
        Cell::Date(day) => day.to_string(),
        Cell::Box(place) => box_text(place),
    }
}

/// True for text that a spreadsheet would run as a formula: it starts with a formula's sign and is no plain number.
///
/// Source: OWASP ASVS 5.0, V1.2.10.
fn runs(text: &str) -> bool {
    text.starts_with(['=', '+', '-', '@', '\t', '\r', '\n']) && !plain_number(text)
}

fn plain_number(text: &str) -> bool {
    let digits = text.strip_prefix(['+', '-']).unwrap_or(text);
    let (before, after) = digits.split_once(['.', ',']).unwrap_or((digits, "0"));
    let all_digits = |part: &str| part.bytes().all(|byte| byte.is_ascii_digit());
    let any = digits.bytes().any(|byte| byte.is_ascii_digit());
    any && all_digits(before) && all_digits(after)
}

#[cfg(test)]
mod tests {
    use super::runs;

    #[test]
    fn text_that_would_run_is_told_from_plain_numbers() {
        for text in
            ["=1+1", "+A1", "-A1", "@SUM(A1)", "\t=1", "\r=1", "-1+cmd", "+", "-.", "-1,2,3", "--1", "-1e5"]
        {
            assert!(runs(text), "{text:?}");
        }
        for text in ["", "-1", "+3.5", "-0,25", "-.5", "<0.1", "Front lawn", "a=b", "'=1", " =1"] {
            assert!(!runs(text), "{text:?}");
        }
    }
}
