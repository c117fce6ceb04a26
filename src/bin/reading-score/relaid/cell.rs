//! The printed cell of a measurement, and the value that a careful reader takes from it.

use super::column::{Column, Verdict};
use super::rng::Rng;
use loamline::soil::Analyte;

/// How a variant prints numbers.
#[derive(Debug, Clone, Copy)]
pub struct Print {
    /// `6,3` instead of `6.3`.
    pub comma: bool,
    /// `1,234` instead of `1234`.
    pub thousands: bool,
    /// `112 H`, `VH 4.1`: rating letters beside some numbers.
    pub letters: bool,
    /// Some numbers below or above a limit.
    pub limits: bool,
    /// Share of blanks.
    pub blanks: f64,
    /// What a blank is.
    pub blank: &'static str,
}

impl Print {
    /// A way by chance.
    pub fn draw(rng: &mut Rng) -> Self {
        let comma = rng.chance(0.12);
        Self {
            comma,
            thousands: !comma && rng.chance(0.15),
            letters: rng.chance(0.1),
            limits: rng.chance(0.25),
            blanks: if rng.chance(0.35) { rng.between(0.02, 0.2) } else { 0.0 },
            blank: rng.word(&["", "", "-", "--", "n/a", "NT", "N/A", "*"]),
        }
    }

    fn number(self, value: f64, decimals: usize) -> String {
        let plain = format!("{value:.decimals$}");
        let (whole, rest) = plain.split_once('.').map_or((plain.as_str(), None), |(w, r)| (w, Some(r)));
        let mut text = String::new();
        for (i, c) in whole.chars().enumerate() {
            if self.thousands && i > 0 && (whole.len() - i).is_multiple_of(3) {
                text.push(',');
            }
            text.push(c);
        }
        if let Some(rest) = rest {
            text.push(if self.comma { ',' } else { '.' });
            text.push_str(rest);
        }
        text
    }
}

/// A printed cell and its truth.
#[derive(Debug, Clone)]
pub struct Cell {
    /// As printed.
    pub text: String,
    /// The number alone.
    pub number: String,
    /// In the canonical unit.
    pub value: f64,
    /// `<`, `>` or nothing.
    pub qualifier: &'static str,
    /// What a careful reader does.
    pub verdict: Verdict,
}

fn may_be_below(analyte: Analyte) -> bool {
    use Analyte::*;
    matches!(
        analyte,
        Phosphorus | Sulfur | Zinc | Copper | Boron | Manganese | NitrateN | AmmoniumN | Chloride
    )
}

/// Prints a measured value; none is a blank.
pub fn cell(rng: &mut Rng, print: Print, column: &Column, measured: f64) -> Option<Cell> {
    if rng.chance(print.blanks) && column.analyte != Analyte::Ph {
        return None;
    }
    let scale = 10f64.powi(i32::try_from(column.decimals).unwrap_or(0));
    let mut rounded = (measured / column.factor * scale).round() / scale;
    let mut qualifier = "";
    let mut verdict = column.verdict;
    if rounded <= 0.0 {
        if !may_be_below(column.analyte) {
            // A nought of acidity is a result; a nought of anything else is not tested.
            return matches!(column.analyte, Analyte::Acidity | Analyte::SatH).then(|| Cell {
                text: "0".to_owned(),
                number: "0".to_owned(),
                value: 0.0,
                qualifier,
                verdict,
            });
        }
        rounded = 1.0 / scale;
        qualifier = "<";
    } else if print.limits && may_be_below(column.analyte) && rng.chance(0.08) {
        qualifier = if rng.chance(0.8) { "<" } else { ">" };
    }
    let number = print.number(rounded, column.decimals);
    let space = if rng.chance(0.3) { " " } else { "" };
    let mut text = match qualifier {
        "" => number.clone(),
        sign => format!("{sign}{space}{number}"),
    };
    if print.letters && qualifier.is_empty() && rng.chance(0.5) {
        text = format!("{text} {}", rng.word(&["L", "M", "H", "VH", "VL"]));
    }
    // `1,234` may be a decimal comma where nothing else in the report tells.
    if print.thousands && number.contains(',') {
        verdict = verdict.and(Verdict::Free);
    }
    Some(Cell { text, number, value: rounded * column.factor, qualifier, verdict })
}
