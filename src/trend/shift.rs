//! Has the level shifted: before and after a change of laboratory, and at an unknown season.
//!
//! A declared change of method needs no test: it starts another series. Under 4 + 4 seasons the smallest possible
//! probability of the rank test is above 0.02 and only the critical difference between laboratories can speak.

use super::theil_sen::median;
use super::{SeasonValue, Series};
use serde::{Deserialize, Serialize};

/// The level before and after a change of laboratory.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct LabShift {
    /// First season of the new laboratory.
    pub season: i16,
    /// Laboratories before.
    pub before: Vec<String>,
    /// Laboratories after.
    pub after: Vec<String>,
    /// Hodges-Lehmann shift (after minus before), canonical unit.
    pub shift: f64,
    /// Mann-Whitney probability, two-sided, exact.
    pub p: f64,
    /// The smallest probability so few seasons could show.
    pub smallest_p: f64,
}

/// The changes of laboratory within a series. Each compares the run of seasons before it with the run after it;
/// seasons without a named laboratory, or outside the range, are left out.
pub fn lab_shifts(series: &Series) -> Vec<LabShift> {
    let known: Vec<&SeasonValue> =
        series.values.iter().filter(|v| !v.labs.is_empty() && v.qualifier.is_none()).collect();
    let runs: Vec<&[&SeasonValue]> = known.chunk_by(|a, b| same_labs(a, b)).collect();
    runs.iter()
        .zip(runs.iter().skip(1))
        .filter_map(|(before, after)| {
            let values = |run: &[&SeasonValue]| run.iter().map(|v| v.value).collect::<Vec<_>>();
            let (old, new) = (values(before), values(after));
            Some(LabShift {
                season: after.first()?.season,
                before: before.first()?.labs.clone(),
                after: after.first()?.labs.clone(),
                shift: hodges_lehmann(&old, &new)?,
                p: mann_whitney_p(&old, &new)?,
                smallest_p: smallest_mann_whitney_p(old.len(), new.len())?,
            })
        })
        .collect()
}

/// Both seasons come from the same named laboratories, upper and lower case apart.
pub fn same_labs(a: &SeasonValue, b: &SeasonValue) -> bool {
    let folded = |v: &SeasonValue| v.labs.iter().map(|lab| lab.to_lowercase()).collect::<Vec<_>>();
    !a.labs.is_empty() && folded(a) == folded(b)
}

/// Median of all differences after minus before; none where a side is empty.
pub fn hodges_lehmann(before: &[f64], after: &[f64]) -> Option<f64> {
    median(&after.iter().flat_map(|a| before.iter().map(move |b| a - b)).collect::<Vec<_>>())
}

/// Two-sided probability of a rank sum at least as far from the middle, counted over all ways to deal the ranks to
/// the two sides (mid-ranks where values are equal); none where a side is empty.
pub fn mann_whitney_p(before: &[f64], after: &[f64]) -> Option<f64> {
    let all: Vec<f64> = before.iter().chain(after).copied().collect();
    // Twice the mid-rank, so that it is a whole number: values below and equal or below, counted.
    let rank = |value: f64| {
        let below = all.iter().filter(|v| **v < value).count();
        let equal = all.iter().filter(|v| **v == value).count();
        2 * below + equal + 1
    };
    let ranks: Vec<usize> = all.iter().map(|v| rank(*v)).collect();
    let observed: usize = ranks.iter().skip(before.len()).sum();
    p_of_rank_sum(&ranks, after.len(), observed)
}

/// The smallest two-sided probability sides of these sizes can show; none where a side is empty.
pub fn smallest_mann_whitney_p(before: usize, after: usize) -> Option<f64> {
    let ranks: Vec<usize> = (1..=before + after).map(|rank| 2 * rank).collect();
    p_of_rank_sum(&ranks, after, ranks.iter().take(after).sum())
}

fn p_of_rank_sum(ranks: &[usize], size: usize, observed: usize) -> Option<f64> {
    if size == 0 || size >= ranks.len() {
        return None;
    }
    let most: usize = ranks.iter().sum();
    // ways[s][r]: subsets of size s with (doubled) rank sum r.
    let mut ways = vec![vec![0.0f64; most + 1]; size + 1];
    *ways.first_mut()?.first_mut()? = 1.0;
    for &rank in ranks {
        for s in (1..=size).rev() {
            let smaller = ways.get(s - 1)?.clone();
            ways.get_mut(s)?.iter_mut().skip(rank).zip(smaller).for_each(|(w, more)| *w += more);
        }
    }
    let of_size = ways.get(size)?;
    // Middle of the rank sum is size/(all) of the whole; compared in whole numbers.
    let distance = |sum: usize| (sum * ranks.len()).abs_diff(size * most);
    let far: f64 = of_size
        .iter()
        .enumerate()
        .filter(|(sum, _)| distance(*sum) >= distance(observed))
        .map(|(_, w)| w)
        .sum();
    Some(far / of_size.iter().sum::<f64>())
}

/// A change point of unknown season, for display only: poor below a dozen seasons.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Pettitt {
    /// Largest |U|.
    pub k: i64,
    /// Values before the change.
    pub before: usize,
    /// Approximate two-sided probability.
    pub p: f64,
}

/// Pettitt's test (Applied Statistics 28, 1979, 126-135; approximation from memory); none for fewer than 2 values.
pub fn pettitt(values: &[f64]) -> Option<Pettitt> {
    let n = values.len();
    let u = |t: usize| -> i64 {
        let sign = |a: f64, b: f64| i64::from(a > b) - i64::from(a < b);
        values.iter().take(t).map(|a| values.iter().skip(t).map(|b| sign(*a, *b)).sum::<i64>()).sum()
    };
    let (k, before) = (1..n).map(|t| (u(t).abs(), t)).max_by_key(|(k, t)| (*k, std::cmp::Reverse(*t)))?;
    let (size, at) = (n as f64, k as f64);
    Some(Pettitt { k, before, p: (2.0 * (-6.0 * at * at / (size.powi(3) + size.powi(2))).exp()).min(1.0) })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn series(given: &[(f64, &str)]) -> Series {
        let key = super::super::sample_key();
        let values = (2014..)
            .zip(given)
            .map(|(season, (value, lab))| SeasonValue {
                season,
                value: *value,
                qualifier: None,
                labs: if lab.is_empty() { vec![] } else { vec![(*lab).to_owned()] },
                readings: vec![],
            })
            .collect();
        Series { key, values }
    }

    #[test]
    fn a_new_laboratory_is_compared_with_the_one_before() {
        let shifts = lab_shifts(&series(&[(30.0, "A"), (31.0, "a"), (99.0, ""), (41.0, "B"), (40.0, "B")]));
        assert_eq!(shifts.len(), 1);
        let shift = shifts.first().unwrap();
        assert_eq!((shift.season, shift.shift), (2017, 10.0));
        assert!((shift.p - 1.0 / 3.0).abs() < 1e-12 && (shift.smallest_p - 1.0 / 3.0).abs() < 1e-12);
    }

    #[test]
    fn one_laboratory_has_no_shift() {
        assert_eq!(lab_shifts(&series(&[(30.0, "A"), (31.0, "A")])), []);
    }

    #[test]
    fn equal_values_on_both_sides_are_no_shift() {
        assert_eq!(mann_whitney_p(&[5.0, 5.0], &[5.0, 5.0]), Some(1.0));
        assert_eq!(mann_whitney_p(&[], &[5.0]), None);
        assert_eq!(pettitt(&[1.0]), None);
    }
}
