//! How sure the slope is: three conventions for the confidence interval of a Theil-Sen slope.
//!
//! `exact` (Hollander and Wolfe) where no values are tied: true coverage is never below the nominal, and none exists
//! where the series is too short. `gilbert` (R. O. Gilbert, Statistical Methods for Environmental Pollution
//! Monitoring, 1987, ch. 16; from memory) with the tie variance otherwise: again none where a rank falls outside.
//! `scipy` (source of `scipy.stats.theilslopes` 1.17.1) clamps the ranks and so prints an interval even of three
//! seasons; it is kept for comparison and never used for a trend.

use super::mann_kendall::{EXACT_UP_TO, MannKendall, pairs, upper_tails};
use super::normal::quantile_of_upper_tail;
use std::sync::LazyLock;

/// An exact interval with its true coverage.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Exact {
    /// Lower bound.
    pub low: f64,
    /// Upper bound.
    pub high: f64,
    /// Probability that the interval covers the true slope, at least the nominal confidence.
    pub coverage: f64,
}

/// Exact interval from ascending slopes of all pairs of `n` untied values; none where none of that confidence exists.
pub fn exact(slopes: &[f64], n: usize, confidence: f64) -> Option<Exact> {
    let all = pairs(n);
    if slopes.len() != all {
        return None;
    }
    // A breath of room: a tail of exactly half of 1 - confidence must not be lost to binary fractions.
    let half = (1.0 - confidence) / 2.0 + 1e-12;
    // The highest S is the rarest; walk down while rare enough.
    let (k, tail) = upper_tails(n)?.take_while(|(_, tail)| *tail <= half).last()?;
    let k = usize::try_from(k).ok()?;
    // C = k - 2, M = (N' - C)/2; k has the parity of N'. k is never 0: its tail is above one half.
    let m = (all + 2 - k) / 2;
    Some(Exact { low: nth(slopes, m)?, high: nth(slopes, all + 1 - m)?, coverage: 1.0 - 2.0 * tail })
}

/// The z of the two usual confidences, found once: thousands of series ask for them.
static USUAL: LazyLock<[(f64, f64); 2]> =
    LazyLock::new(|| [0.95, 0.90].map(|c| (c, quantile_of_upper_tail((1.0 - c) / 2.0))));

/// The z that leaves half of the rest above it.
fn z_of(confidence: f64) -> f64 {
    let usual = USUAL.iter().find(|(known, _)| *known == confidence);
    usual.map_or_else(|| quantile_of_upper_tail((1.0 - confidence) / 2.0), |(_, z)| *z)
}

/// Gilbert's interval from ascending slopes and the variance of S: ranks interpolated, none outside the slopes.
pub fn gilbert(slopes: &[f64], variance_of_s: f64, confidence: f64) -> Option<(f64, f64)> {
    let c = z_of(confidence) * variance_of_s.sqrt();
    let all = slopes.len() as f64;
    between(slopes, (all - c) / 2.0).zip(between(slopes, (all + c) / 2.0 + 1.0))
}

/// SciPy's interval from ascending slopes and the variance of S: ranks rounded half to even and clamped.
pub fn scipy(slopes: &[f64], variance_of_s: f64, confidence: f64) -> Option<(f64, f64)> {
    let c = z_of(confidence) * variance_of_s.sqrt();
    let all = slopes.len() as f64;
    let low = (((all - c) / 2.0).round_ties_even() - 1.0).max(0.0);
    let high = ((all + c) / 2.0).round_ties_even().min(all - 1.0);
    // Counted from 0 here, from 1 in `nth`.
    nth(slopes, low as usize + 1).zip(nth(slopes, high as usize + 1))
}

/// The interval of the highest of these confidences for which one exists, with that confidence.
pub fn widest_claim(slopes: &[f64], test: &MannKendall, confidences: &[f64]) -> Option<(f64, (f64, f64))> {
    confidences.iter().find_map(|&confidence| {
        let bounds = if test.tied() || test.n > EXACT_UP_TO {
            gilbert(slopes, test.variance, confidence)
        } else {
            exact(slopes, test.n, confidence).map(|found| (found.low, found.high))
        };
        bounds.map(|bounds| (confidence, bounds))
    })
}

/// The value at a rank counted from 1.
fn nth(slopes: &[f64], rank: usize) -> Option<f64> {
    slopes.get(rank.checked_sub(1)?).copied()
}

/// The value at a broken rank counted from 1, interpolated; none outside 1 .. length.
fn between(slopes: &[f64], rank: f64) -> Option<f64> {
    if !(rank >= 1.0 && rank <= slopes.len() as f64) {
        return None;
    }
    let below = nth(slopes, rank.floor() as usize)?;
    let above = nth(slopes, rank.ceil() as usize)?;
    Some(below + (above - below) * rank.fract())
}

#[cfg(test)]
mod tests {
    use super::super::{mann_kendall, theil_sen};
    use super::*;
    use proptest::prelude::*;

    fn slopes(values: &[f64]) -> Vec<f64> {
        theil_sen::pair_slopes(&(2015..).map(f64::from).zip(values.iter().copied()).collect::<Vec<_>>())
    }

    #[test]
    fn three_seasons_have_no_interval_and_four_none_of_95_percent() {
        assert_eq!(exact(&slopes(&[6.4, 6.2, 6.1]), 3, 0.90), None);
        assert_eq!(exact(&slopes(&[31.0, 29.0, 26.0, 22.0]), 4, 0.95), None);
        let four = exact(&slopes(&[31.0, 29.0, 26.0, 22.0]), 4, 0.90).unwrap();
        assert_eq!((four.low, four.high), (-4.0, -2.0));
        assert!((four.coverage - 0.916_667).abs() < 1e-6);
        // The clamped convention would print one all the same.
        assert!(scipy(&slopes(&[6.4, 6.2, 6.1]), 11.0 / 3.0, 0.95).is_some());
    }

    proptest! {
        #[test]
        fn an_interval_holds_its_slope_and_more_confidence_is_never_narrower(values in prop::collection::vec(0i32..60, 3..13)) {
            let values: Vec<f64> = values.into_iter().map(f64::from).collect();
            let slopes = slopes(&values);
            let middle = theil_sen::median(&slopes).unwrap();
            let test = mann_kendall::test(&values);
            let found: Vec<_> = [0.95, 0.90].into_iter().map(|c| widest_claim(&slopes, &test, &[c])).collect();
            for (_, (low, high)) in found.iter().flatten() {
                prop_assert!(*low <= middle && middle <= *high);
            }
            if let [Some((_, wide)), Some((_, narrow))] = found.as_slice() {
                prop_assert!(wide.0 <= narrow.0 && narrow.1 <= wide.1);
            }
        }
    }
}
