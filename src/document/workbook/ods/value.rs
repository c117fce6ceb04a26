//! The value of an ODS cell: what the file says it is beside what it shows.

use super::super::super::decode;
use super::super::super::markup::Tag;
use super::super::decimal::Decimal;

/// Most decimals looked for in a shown number.
const DECIMALS: usize = 15;

/// A value on the way.
pub(super) struct Value {
    kind: String,
    exact: String,
    shown: String,
}

impl Value {
    /// The value an opening tag announces.
    pub(super) fn new(tag: &Tag<'_>) -> Self {
        let kind = tag.attribute("value-type").unwrap_or_default();
        let exact = match kind.as_str() {
            "date" => tag.attribute("date-value"),
            "boolean" => tag.attribute("boolean-value"),
            "float" | "percentage" | "currency" => tag.attribute("value"),
            _ => None,
        };
        Self { kind, exact: exact.unwrap_or_default(), shown: String::new() }
    }

    /// Adds shown text.
    pub(super) fn text(&mut self, text: &str) {
        self.shown.push_str(text);
    }

    /// True where there is something to see.
    pub(super) fn is_filled(&self) -> bool {
        !self.shown.trim().is_empty()
    }

    /// The text, and whether the file itself says it is a number.
    ///
    /// A number is shown with the separators of its country; where the shown digits are those of the exact value, it
    /// is written with a decimal point, else as shown.
    pub(super) fn shown(&self) -> (String, bool) {
        let shown = decode::squeezed(&self.shown);
        match self.kind.as_str() {
            "date" if !self.exact.is_empty() => {
                (self.exact.split('T').next().unwrap_or_default().to_owned(), false)
            }
            "boolean" => (self.exact.to_uppercase(), false),
            "float" => (plain(&shown, &self.exact).unwrap_or(shown), true),
            "percentage" | "currency" => (shown, true),
            _ => (shown, false),
        }
    }
}

/// The exact value with the decimals that are shown, where its digits are the shown ones and nothing else is shown.
fn plain(shown: &str, exact: &str) -> Option<String> {
    let separator = |c: char| matches!(c, '.' | ',' | '\'' | '’' | '-' | '−') || c.is_whitespace();
    if !shown.chars().all(|c| c.is_ascii_digit() || separator(c)) {
        return None;
    }
    let digits: String = shown.chars().filter(char::is_ascii_digit).collect();
    let exact = Decimal::new(exact.trim().parse().ok()?)?;
    let places = shown.chars().take_while(|c| !matches!(c, '.' | ',')).filter(char::is_ascii_digit).count();
    (0..=DECIMALS.min(digits.len())).find_map(|decimals| {
        let text = exact.clone().rounded(decimals).text(places.min(1), decimals);
        let same = text.chars().filter(char::is_ascii_digit).eq(digits.chars());
        same.then_some(text)
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_shown_digits_are_written_with_a_point_whatever_the_country() {
        assert_eq!(plain("6,80", "6.8").unwrap(), "6.80");
        assert_eq!(plain("1.234", "1234").unwrap(), "1234");
        assert_eq!(plain("1,234.5", "1234.5").unwrap(), "1234.5");
        assert_eq!(plain("73.1", "73.09999999999999").unwrap(), "73.1");
        assert_eq!(plain("0", "0").unwrap(), "0");
        assert_eq!(plain("<0,1", "0.05"), None);
        assert_eq!(plain("7", "6.4"), None);
    }
}
