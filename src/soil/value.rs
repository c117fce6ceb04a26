//! A number with its unit, its qualifier and the text as printed beside it. No bare float crosses a border.

use super::ids::contract_ids;
use super::unit::{Basis, Unit};
use serde::{Deserialize, Serialize};

contract_ids! {
    /// Said by the laboratory of a number outside its range; the number is then the printed limit.
    Qualifier { Below = "<", Above = ">" }
}

/// A measured quantity in its canonical unit.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Quantity {
    /// The number, in `unit`.
    pub value: f64,
    /// Canonical unit.
    pub unit: Unit,
    /// Below or above the laboratory's range.
    pub qualifier: Option<Qualifier>,
    /// Mass or volume of soil; none where the question does not arise (pH, saturations).
    pub basis: Option<Basis>,
}

/// What the paper says, letter by letter.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize, Deserialize)]
pub struct Printed {
    /// The value as printed, qualifier included.
    pub value: String,
    /// The unit as printed; empty where none is.
    pub unit: String,
}

/// At most three digits after the point, without trailing zeros: as much as reports print.
pub fn rounded(value: f64) -> String {
    let text = if value.abs() >= 100.0 { format!("{value:.0}") } else { format!("{value:.2}") };
    if text.contains('.') { text.trim_end_matches('0').trim_end_matches('.').to_owned() } else { text }
}

#[cfg(test)]
mod tests {
    use super::rounded;

    #[test]
    fn numbers_are_as_short_as_reports_print_them() {
        assert_eq!(
            (rounded(6.10), rounded(31.0), rounded(1234.4), rounded(0.05)),
            ("6.1".into(), "31".into(), "1234".into(), "0.05".into())
        );
    }
}
