//! Is there a trend at all: Mann-Kendall S and its probability where there is none.
//!
//! Variance with ties and continuity correction as in R package trend, `mk.test`. Exact distribution: every order of
//! the values is equally likely, S falls by 2 with every inversion; the inversions are counted as integers and
//! divided last. The count with ties is the Gaussian multinomial coefficient, which is what a full permutation gives.

use super::normal;
use std::borrow::Cow;
use std::cmp::Ordering;
use std::sync::OnceLock;

/// Largest n whose n! fits the integers in which orders are counted.
pub const EXACT_UP_TO: usize = 33;
/// Largest n for which a series with ties is permuted; the normal form serves beyond.
pub const PERMUTE_UP_TO: usize = 9;

/// The test statistic of a series and what is needed for its probability.
#[derive(Debug, Clone, PartialEq)]
pub struct MannKendall {
    /// Values.
    pub n: usize,
    /// Sum of the signs of all later-minus-earlier differences.
    pub s: i64,
    /// Variance of S without trend, ties allowed for.
    pub variance: f64,
    /// Sizes of the groups of equal values (size 1 included).
    groups: Vec<usize>,
}

/// Sizes of the groups of equal values.
pub fn tie_groups(values: &[f64]) -> Vec<usize> {
    let mut sorted = values.to_vec();
    sorted.sort_by(f64::total_cmp);
    sorted.chunk_by(|a, b| a == b).map(<[f64]>::len).collect()
}

/// n(n-1)(2n+5), the building stone of the variance.
pub fn variance_term(n: usize) -> f64 {
    let n = n as f64;
    n * (n - 1.0) * (2.0 * n + 5.0)
}

/// S of values in the order of time.
pub fn test(values: &[f64]) -> MannKendall {
    let s = values
        .iter()
        .enumerate()
        .flat_map(|(i, early)| values.iter().skip(i + 1).map(move |late| late.partial_cmp(early)))
        .map(|order| match order {
            Some(Ordering::Greater) => 1,
            Some(Ordering::Less) => -1,
            _ => 0,
        })
        .sum();
    let groups = tie_groups(values);
    let tied: f64 = groups.iter().map(|&t| variance_term(t)).sum();
    let variance = ((variance_term(values.len()) - tied) / 18.0).max(0.0);
    MannKendall { n: values.len(), s, variance, groups }
}

impl MannKendall {
    /// Some values are equal.
    pub fn tied(&self) -> bool {
        self.groups.iter().any(|&size| size > 1)
    }

    /// Two-sided probability of an S at least as far from 0 in a series without trend; none for fewer than two
    /// values. Exact without ties; by all orders with ties up to 9 values; else the normal form.
    pub fn p(&self) -> Option<f64> {
        match self.n {
            0 | 1 => None,
            n if (!self.tied() && n <= EXACT_UP_TO) || n <= PERMUTE_UP_TO => self.p_of_all_orders(),
            _ => Some(self.p_normal()),
        }
    }

    /// Two-sided probability from all orders of the values; none where they cannot be counted.
    pub fn p_of_all_orders(&self) -> Option<f64> {
        Some((2.0 * tail(&self.groups, self.s.abs())?).min(1.0))
    }

    /// z with continuity correction; 0 where all values are equal.
    pub fn z(&self) -> f64 {
        if self.variance > 0.0 { (self.s - self.s.signum()) as f64 / self.variance.sqrt() } else { 0.0 }
    }

    /// Two-sided probability by the normal form with continuity correction and tie variance.
    pub fn p_normal(&self) -> f64 {
        (2.0 * normal::upper_tail(self.z().abs())).min(1.0)
    }

    /// The normal form without continuity correction, as SciPy's `kendalltau` has it with ties: for comparison only.
    pub fn p_normal_without_continuity(&self) -> f64 {
        if self.variance > 0.0 {
            (2.0 * normal::upper_tail(self.s.abs() as f64 / self.variance.sqrt())).min(1.0)
        } else {
            1.0
        }
    }

    /// Kendall's tau, ties not allowed for; none for fewer than two values.
    pub fn tau(&self) -> Option<f64> {
        (self.n > 1).then(|| self.s as f64 / pairs(self.n) as f64)
    }

    /// Kendall's tau-b, ties in the values allowed for; none where all are equal.
    pub fn tau_b(&self) -> Option<f64> {
        let untied = untied_pairs(&self.groups);
        (untied > 0).then(|| self.s as f64 / (pairs(self.n) as f64 * untied as f64).sqrt())
    }
}

/// Number of pairs among n.
pub fn pairs(n: usize) -> usize {
    n * n.saturating_sub(1) / 2
}

fn untied_pairs(groups: &[usize]) -> usize {
    pairs(groups.iter().sum()) - groups.iter().map(|&t| pairs(t)).sum::<usize>()
}

/// P(S >= s) in a series of n different values without trend; none where n is too large to count.
pub fn upper_tail(n: usize, s: i64) -> Option<f64> {
    tail(&vec![1; n], s)
}

/// Every value S can take in a series of n different values, from the highest down, each with P(S >= s).
pub fn upper_tails(n: usize) -> Option<impl Iterator<Item = (i64, f64)>> {
    let counts = orders(&vec![1; n])?;
    let most = i64::try_from(pairs(n)).ok()?;
    let total = counts.iter().sum::<u128>() as f64;
    Some((0..).zip(0..counts.len()).scan(0u128, move |reached, (k, at)| {
        *reached += counts.get(at)?;
        Some((most - 2 * k, *reached as f64 / total))
    }))
}

fn tail(groups: &[usize], s: i64) -> Option<f64> {
    let counts = orders(groups)?;
    let most = i64::try_from(untied_pairs(groups)).ok()?;
    let total: u128 = counts.iter().sum();
    let reaching: u128 =
        (0..).zip(counts.iter()).filter(|(k, _)| most - 2 * k >= s).map(|(_, count)| count).sum();
    Some(reaching as f64 / total as f64)
}

/// [`orders_by_inversions`], kept for series without ties: thousands of series ask for the same few.
fn orders(groups: &[usize]) -> Option<Cow<'static, [u128]>> {
    static UNTIED: [OnceLock<Option<Vec<u128>>>; EXACT_UP_TO + 1] =
        [const { OnceLock::new() }; EXACT_UP_TO + 1];
    match UNTIED.get(groups.len()) {
        Some(kept) if groups.iter().all(|&size| size == 1) => {
            kept.get_or_init(|| orders_by_inversions(groups)).as_deref().map(Cow::Borrowed)
        }
        _ => orders_by_inversions(groups).map(Cow::Owned),
    }
}

/// How many orders of the values have 0, 1, 2 ... inversions; none for more values than can be counted.
///
/// The product of (1 - q^i) for i = 1..n over the same product for every group of equal values, as a power series.
/// Sums wrap in between, which integers modulo 2^128 allow: the result itself is below n!.
fn orders_by_inversions(groups: &[usize]) -> Option<Vec<u128>> {
    let n: usize = groups.iter().sum();
    if n > EXACT_UP_TO {
        return None;
    }
    let mut counts = vec![0u128; untied_pairs(groups) + 1];
    *counts.first_mut()? = 1;
    for power in 1..=n {
        let before = counts.clone();
        counts.iter_mut().skip(power).zip(before).for_each(|(c, b)| *c = c.wrapping_sub(b));
    }
    for power in groups.iter().flat_map(|&size| 1..=size) {
        let mut divided: Vec<u128> = Vec::with_capacity(counts.len());
        for (k, count) in counts.iter().enumerate() {
            let earlier = k.checked_sub(power).and_then(|k| divided.get(k)).copied().unwrap_or(0);
            divided.push(count.wrapping_add(earlier));
        }
        counts = divided;
    }
    Some(counts)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn orders_are_counted_as_whole_numbers() {
        // Inversions of the orders of 5 values (Kendall): 1 4 9 15 20 22 20 15 9 4 1 of 120.
        assert_eq!(orders_by_inversions(&[1; 5]), Some(vec![1, 4, 9, 15, 20, 22, 20, 15, 9, 4, 1]));
        let all: u128 = orders_by_inversions(&[1; EXACT_UP_TO]).unwrap().iter().sum();
        assert_eq!(all, (1..=EXACT_UP_TO as u128).product::<u128>());
        assert_eq!(orders_by_inversions(&[1; EXACT_UP_TO + 1]), None);
    }

    #[test]
    fn the_tails_walked_down_are_the_tails_asked_one_by_one() {
        for (s, tail) in upper_tails(6).unwrap() {
            assert_eq!(upper_tail(6, s), Some(tail), "{s}");
        }
        assert_eq!(upper_tails(6).unwrap().count(), pairs(6) + 1);
    }

    #[test]
    fn ties_count_as_a_walk_through_all_orders_does() {
        let values = [3.0, 1.0, 3.0, 2.0, 1.0];
        let mut seen = std::collections::BTreeMap::new();
        permute(&mut values.to_vec(), 0, &mut |order| *seen.entry(test(order).s).or_insert(0u32) += 1);
        let total: u32 = seen.values().sum();
        for &s in seen.keys() {
            let walked = seen.range(s..).map(|(_, c)| c).sum::<u32>();
            let counted = tail(&tie_groups(&values), s).unwrap();
            assert!((counted - f64::from(walked) / f64::from(total)).abs() < 1e-12, "{s}");
        }
    }

    fn permute(values: &mut Vec<f64>, from: usize, see: &mut impl FnMut(&[f64])) {
        if from == values.len() {
            return see(values);
        }
        for i in from..values.len() {
            values.swap(from, i);
            permute(values, from + 1, see);
            values.swap(from, i);
        }
    }

    #[test]
    fn equal_values_speak_of_no_trend() {
        let test = test(&[15.0; 5]);
        assert_eq!((test.s, test.variance, test.p(), test.tau_b()), (0, 0.0, Some(1.0), None));
    }

    #[test]
    fn a_lone_value_has_no_probability() {
        assert_eq!(test(&[4.0]).p(), None);
        assert_eq!(test(&[4.0, 5.0]).p(), Some(1.0));
    }

    proptest! {
        #[test]
        fn time_run_backwards_turns_s_and_keeps_p(values in prop::collection::vec(0i32..40, 2..15), c in -9i32..9) {
            let values: Vec<f64> = values.into_iter().map(f64::from).collect();
            let forward = test(&values);
            let back = test(&values.iter().rev().copied().collect::<Vec<_>>());
            prop_assert_eq!(back.s, -forward.s);
            prop_assert_eq!(back.p(), forward.p());
            let moved = test(&values.iter().map(|v| 3.0 * v + f64::from(c)).collect::<Vec<_>>());
            prop_assert_eq!(moved.s, forward.s);
            prop_assert!(forward.p().is_some_and(|p| (0.0..=1.0).contains(&p)));
        }
    }
}
