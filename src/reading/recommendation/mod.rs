//! Nitrogen as a laboratory recommends it, in tables, rows and sentences: kept apart from every measurement.
//!
//! A figure counts only where its unit, its sample and what it is for are certain; else it is kept as printed, with
//! what is unsure about it.

mod across;
mod attach;
mod caption;
mod down;
mod heading;
mod sentence;

use super::atom::{Atom, Kind};
use super::layout::Layout;
use super::number::Decimal;
use super::vocabulary::Context;
use crate::place::Place;
use crate::soil::{Doubt, Printed, RateUnit, Recommendation};
pub use attach::{Owner, attach};
pub use caption::recommends;

/// A recommendation as found on a page, before it is known whose it is.
#[derive(Debug, Clone, PartialEq)]
pub struct FoundNitrogen {
    /// Page or sheet.
    pub page: u32,
    /// Height on the page, points.
    pub y: f32,
    /// Name and laboratory number of a sample in its own row, as printed.
    pub names: Vec<String>,
    /// What is recommended.
    pub nitrogen: Recommendation,
}

/// Everything a page recommends; `rows` are the pieces of its lines.
pub fn find(page: &Layout, rows: &[Vec<Atom>], context: Context, decimal: Decimal) -> Vec<FoundNitrogen> {
    let mut found = across::read(page, rows, context);
    // What a table said is not said again by a row or a sentence of the same line.
    for one in down::read(page, rows).into_iter().chain(sentence::read(page, decimal)) {
        let said = |f: &FoundNitrogen| {
            (f.y - one.y).abs() < 0.5 * page.em && f.nitrogen.printed.value == one.nitrogen.printed.value
        };
        if !found.iter().any(said) {
            found.push(one);
        }
    }
    found.sort_by(|a, b| a.y.total_cmp(&b.y));
    found
}

/// No amount of any unit lies beyond: a number of another kind.
const MOST: f64 = 1e5;

/// What is known of a printed amount before whose it is.
struct Amount<'a> {
    printed: &'a str,
    number: Option<f64>,
    /// The unit as printed, where exactly one is stated.
    unit: Option<(RateUnit, String)>,
    crop: &'a str,
    place: Place,
    confidence: Option<f32>,
    doubts: Vec<Doubt>,
}

impl Amount<'_> {
    fn recommendation(self) -> Recommendation {
        let mut doubts = self.doubts;
        let number = self.number.filter(|n| (0.0..=MOST).contains(n));
        if number.is_none() {
            doubts.push(Doubt::new(
                "amount-unsure",
                format!("`{}` is not one number: which of it is meant?", self.printed),
            ));
        }
        if self.unit.is_none() {
            doubts.push(Doubt::new(
                "unit-missing",
                format!("No one unit is stated for the nitrogen of `{}`.", self.printed),
            ));
        }
        if self.confidence.is_some() {
            doubts.push(Doubt::new(
                "recognition-unsure",
                format!("`{}` was read from a picture; look at it.", self.printed),
            ));
        }
        Recommendation {
            crop: self.crop.to_owned(),
            printed: Printed {
                value: self.printed.to_owned(),
                unit: self.unit.as_ref().map(|(_, text)| text.clone()).unwrap_or_default(),
            },
            amount: number,
            unit: self.unit.map(|(unit, _)| unit),
            place: self.place,
            doubts,
        }
    }
}

/// The number of a piece, where it is a plain one.
fn plain(atom: &Atom) -> Option<f64> {
    atom.number().filter(|n| n.qualifier.is_none() && n.odd.is_none() && n.rating.is_none()).map(|n| n.value)
}

/// True for a piece that is an amount: one number or two.
fn is_amount(atom: &Atom) -> bool {
    matches!(atom.kind, Kind::Number(_) | Kind::Range)
}

#[cfg(test)]
mod tests;
