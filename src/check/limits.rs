//! The limits of the checks that are no property of soil: factors of slips and widths, from `limits.csv`.

use crate::soil::Analyte;
use crate::soil::table::{TableError, rows};
use serde::Deserialize;
use std::sync::LazyLock;

/// A line of the table.
#[derive(Debug, Clone, PartialEq, Deserialize)]
pub struct Line {
    limit: String,
    analyte: String,
    /// The number.
    pub value: f64,
    /// What a slip is called.
    pub words: String,
    source: String,
}

static LINES: LazyLock<Vec<Line>> = LazyLock::new(|| load().unwrap_or_default());

fn load() -> Result<Vec<Line>, TableError> {
    const TABLE: &str = "check/limits.csv";
    let lines: Vec<Line> = rows(TABLE, include_str!("limits.csv"))?;
    for (row, line) in (1..).zip(&lines) {
        let known = line.analyte.is_empty() || Analyte::from_id(&line.analyte).is_some();
        if !(line.value > 0.0 && line.value.is_finite()) || line.source.is_empty() || !known {
            return Err(TableError::new(
                TABLE,
                row,
                "needs a number above 0, a known analyte or none, a source",
            ));
        }
    }
    Ok(lines)
}

/// A limit by its name. Not a number, which makes every comparison false, where the table lacks it.
pub fn limit(name: &str) -> f64 {
    lines(name).next().map_or(f64::NAN, |l| l.value)
}

/// All lines of a name.
pub fn lines(name: &str) -> impl Iterator<Item = &'static Line> {
    LINES.iter().filter(move |l| l.limit == name)
}

/// The limit of this name for an analyte, if there is one.
pub fn of(name: &str, analyte: Analyte) -> Option<f64> {
    lines(name).find(|l| l.analyte == analyte.id()).map(|l| l.value)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_table_loads_and_has_what_the_checks_ask() {
        load().unwrap();
        for name in [
            "slip-width",
            "oxide-width",
            "slip-fewest",
            "slip-phosphorus",
            "slip-potassium",
            "steady-from",
            "steady-to",
            "pounds-ratio-from",
            "pounds-ratio-to",
            "implied-fewest",
            "explained-shares",
        ] {
            assert!(limit(name).is_finite(), "{name}");
        }
        assert!(lines("slip").count() >= 2 && of("change-ratio", Analyte::Phosphorus).is_some());
    }
}
