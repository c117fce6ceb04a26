//! Known soils laid out anew, thousands of ways, with the truth known by construction: nothing may be wrong or invented.

mod arrange;
mod book;
mod cell;
mod column;
mod decoy;
mod flat;
mod notes;
mod paper;
mod pdf;
mod rng;
mod soil;
mod truth;
mod variant;
mod words;

use super::compare::{Score, compare};
use super::rows::read;
use serde_json::Value;
use std::collections::BTreeMap;

pub use rng::Rng;
pub use soil::{Soil, draw};
pub use variant::{Variant, variant};

/// Scores by form of these variants of a seed, and the notes of those that went wrong.
pub fn run(seed: u64, numbers: std::ops::Range<u64>) -> Outcome {
    let mut out = Outcome::default();
    for index in numbers {
        let made = variant(seed, index);
        let score = score(&made);
        out.all.add(&score);
        out.by_form.entry(made.form.clone()).or_default().add(&score);
        if score.bad() > 0 {
            out.bad.push((index, made.name.clone(), score.clone()));
        }
        out.every.push((index, made.form, score));
    }
    out
}

/// What came of a run.
#[derive(Debug, Default)]
pub struct Outcome {
    /// All variants.
    pub all: Score,
    /// By arrangement and format.
    pub by_form: BTreeMap<String, Score>,
    /// Variants with a wrong, rash or invented reading.
    pub bad: Vec<(u64, String, Score)>,
    /// Number, form and score of every variant.
    pub every: Vec<(u64, String, Score)>,
}

/// Reads a variant and compares it with its truth.
pub fn score(made: &Variant) -> Score {
    let mut lines = Vec::new();
    read(&made.name, &made.bytes, 0, false, &mut lines);
    let rows: Vec<Value> = lines.into_iter().filter(|l| l.get("status").is_some()).collect();
    compare(&rows, &made.truth)
}

/// Why readings were held or missing, most often first; with the first few variants.
pub fn reasons(outcome: &Outcome) -> Vec<(String, usize)> {
    let mut counts: BTreeMap<String, (usize, Vec<u64>)> = BTreeMap::new();
    for (index, _, score) in &outcome.every {
        for why in &score.whys {
            let entry = counts.entry(why.clone()).or_default();
            entry.0 += 1;
            if entry.1.last() != Some(index) && entry.1.len() < 8 {
                entry.1.push(*index);
            }
        }
    }
    let mut out: Vec<(String, usize)> =
        counts.into_iter().map(|(why, (n, at))| (format!("{why}  in {at:?} ..."), n)).collect();
    out.sort_by_key(|line| std::cmp::Reverse(line.1));
    out
}
