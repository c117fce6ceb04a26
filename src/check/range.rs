//! Plausible and typical ranges by analyte and method, from `ranges.csv` and `ranges_by_method.csv`.

use crate::soil::{Analyte, Doubt, Method, Sample, Unit};
use std::sync::LazyLock;

/// The range of an analyte, perhaps by one method, in the canonical unit.
#[derive(Debug, Clone, PartialEq)]
pub struct Range {
    /// What.
    pub analyte: Analyte,
    /// By which method; none for any.
    pub method: Option<Method>,
    /// Outside this a value is held.
    pub plausible: (f64, f64),
    /// Outside this a value is looked at again.
    pub typical: (f64, f64),
    /// Decimals usually printed.
    pub decimals: u8,
}

static RANGES: LazyLock<Vec<Range>> = LazyLock::new(|| {
    let mut all = parse(include_str!("ranges_by_method.csv"), true);
    all.extend(parse(include_str!("ranges.csv"), false));
    all
});

fn parse(text: &str, by_method: bool) -> Vec<Range> {
    let mut reader = csv::Reader::from_reader(text.as_bytes());
    let mut out = Vec::new();
    for record in reader.records().flatten() {
        let shift = usize::from(by_method);
        let number = |i: usize| record.get(i + shift).and_then(|t| t.trim().parse::<f64>().ok());
        let analyte = record.get(0).and_then(Analyte::from_id);
        let method = if by_method { record.get(1).and_then(Method::from_id) } else { None };
        let unit = record.get(1 + shift).and_then(Unit::from_id);
        let (Some(analyte), Some(_), Some(a), Some(b), Some(c), Some(d)) =
            (analyte, unit, number(2), number(3), number(4), number(5))
        else {
            continue;
        };
        if by_method && method.is_none() {
            continue;
        }
        let decimals = record.get(6 + shift).and_then(|t| t.trim().parse().ok()).unwrap_or(0);
        out.push(Range { analyte, method, plausible: (a, b), typical: (c, d), decimals });
    }
    out
}

/// The range for an analyte by a method, else for the analyte.
pub fn range(analyte: Analyte, method: Method) -> Option<&'static Range> {
    RANGES
        .iter()
        .find(|r| r.analyte == analyte && r.method == Some(method))
        .or_else(|| RANGES.iter().find(|r| r.analyte == analyte && r.method.is_none()))
}

/// Holds what cannot be, and what a picture shows without the decimals it should have.
pub fn check(sample: &mut Sample) {
    for reading in &mut sample.readings {
        let Some(range) = range(reading.analyte, reading.method) else { continue };
        let value = reading.quantity.value;
        let inside = |(low, high): (f64, f64)| value >= low && value <= high;
        if !value.is_finite() || !inside(range.plausible) {
            reading.doubts.push(Doubt::new(
                "out-of-range",
                format!(
                    "{} {} is outside what a soil can show ({} to {} {}).",
                    reading.analyte.name(),
                    reading.printed.value,
                    range.plausible.0,
                    range.plausible.1,
                    reading.analyte.unit().suffix()
                )
                .replace(" )", ")"),
            ));
            continue;
        }
        // Of the numbers that recognition took a print for, the one the sums bear out.
        if reading.witnesses.iter().any(|w| w.contains("CEC") || w.contains("saturation")) {
            reading.doubts.retain(|d| d.reason != "recognition-divided");
        }
        let recognised = reading.witnesses.iter().any(|w| w == "two recognitions agree");
        let confirmed = reading.witnesses.iter().any(|w| w.contains("CEC") || w.contains("hundred"));
        if recognised && !confirmed {
            let decimals = reading.printed.value.rsplit_once(['.', ',']).map_or(0, |(_, f)| f.len());
            // A lost decimal point keeps high confidence; only place and range can show it.
            if range.decimals > 0 && decimals == 0 || !inside(range.typical) {
                reading.doubts.push(Doubt::new(
                    "recognition-unusual",
                    format!(
                        "`{}` was read from a picture and is unusual for {}; a decimal point may be lost.",
                        reading.printed.value,
                        reading.analyte.name()
                    ),
                ));
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::super::tests::{doubted, sample};
    use super::*;

    #[test]
    fn every_analyte_has_a_range_and_every_line_is_understood() {
        for analyte in Analyte::ALL {
            assert!(range(*analyte, Method::Unstated).is_some(), "{analyte}");
        }
        let lines = include_str!("ranges.csv").lines().count()
            + include_str!("ranges_by_method.csv").lines().count()
            - 2;
        assert_eq!(RANGES.len(), lines);
        for r in RANGES.iter() {
            assert!(
                r.plausible.0 <= r.typical.0 && r.typical.1 <= r.plausible.1,
                "{} {:?}",
                r.analyte,
                r.method
            );
        }
    }

    #[test]
    fn what_cannot_be_is_held() {
        let mut s = sample(&[(Analyte::Ph, "64"), (Analyte::OrganicMatter, "3.2"), (Analyte::SatCa, "140")]);
        check(&mut s);
        assert_eq!(doubted(&s), [Analyte::Ph, Analyte::SatCa]);
    }
}
