//! The slope through a short series: the median of the slopes of all pairs.
//!
//! P. K. Sen, "Estimates of the regression coefficient based on Kendall's tau", JASA 63 (1968) 1379-1389. The line
//! goes through (median x, median y), the default of `scipy.stats.theilslopes`.

/// The middle of the values, the mean of the two middle ones of an even number; none for none.
pub fn median(values: &[f64]) -> Option<f64> {
    let mut sorted = values.to_vec();
    sorted.sort_by(f64::total_cmp);
    let upper = sorted.get(sorted.len() / 2).copied()?;
    if sorted.len() % 2 == 1 {
        return Some(upper);
    }
    let lower = sorted.get(sorted.len() / 2 - 1).copied()?;
    Some(0.5 * (lower + upper))
}

/// Slopes of all pairs of points with different x, ascending. The x are years, so a missing year is simply absent.
pub fn pair_slopes(points: &[(f64, f64)]) -> Vec<f64> {
    let mut slopes: Vec<f64> = points
        .iter()
        .enumerate()
        .flat_map(|(i, &(x0, y0))| {
            points
                .iter()
                .skip(i + 1)
                .filter(move |(x, _)| *x != x0)
                .map(move |&(x1, y1)| (y1 - y0) / (x1 - x0))
        })
        .collect();
    slopes.sort_by(f64::total_cmp);
    slopes
}

/// The Theil-Sen slope, in y a unit of x; none for fewer than two different x.
pub fn slope(points: &[(f64, f64)]) -> Option<f64> {
    median(&pair_slopes(points))
}

/// The point the line goes through: median x, median y.
pub fn pivot(points: &[(f64, f64)]) -> Option<(f64, f64)> {
    let (x, y): (Vec<f64>, Vec<f64>) = points.iter().copied().unzip();
    median(&x).zip(median(&y))
}

/// The other intercept in use (zyp, R `trend`): the median of y - slope x. For comparison; the line is not drawn so.
pub fn joint_intercept(points: &[(f64, f64)], slope: f64) -> Option<f64> {
    median(&points.iter().map(|(x, y)| y - slope * x).collect::<Vec<_>>())
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn series() -> impl Strategy<Value = Vec<(f64, f64)>> {
        prop::collection::vec(0.0..200.0f64, 2..12)
            .prop_map(|values| (2010..).map(f64::from).zip(values).collect())
    }

    #[test]
    fn a_missing_year_is_a_gap_and_not_a_step() {
        // Years 2016 and 2021 are missing; a slope by position would be -5.2.
        let years = [2014.0, 2015.0, 2017.0, 2018.0, 2019.0, 2020.0, 2022.0];
        let values = [182.0, 176.0, 176.0, 169.0, 160.0, 163.0, 150.0];
        let points: Vec<_> = years.into_iter().zip(values).collect();
        assert_eq!(slope(&points), Some(-4.0));
    }

    #[test]
    fn one_season_has_no_slope() {
        assert_eq!(slope(&[(2020.0, 5.0)]), None);
        assert_eq!(slope(&[]), None);
        assert_eq!(median(&[]), None);
    }

    proptest! {
        #[test]
        fn adding_a_constant_leaves_the_slope_and_a_factor_scales_it(p in series(), c in -50.0..50.0f64, f in 0.1..10.0f64) {
            let b = slope(&p).unwrap();
            let moved: Vec<_> = p.iter().map(|(x, y)| (x + 7.0, f * y + c)).collect();
            prop_assert!((slope(&moved).unwrap() - f * b).abs() < 1e-6);
        }

        #[test]
        fn time_run_backwards_turns_the_slope(p in series()) {
            let back: Vec<_> = p.iter().map(|(x, y)| (-x, *y)).collect();
            prop_assert!((slope(&back).unwrap() + slope(&p).unwrap()).abs() < 1e-9);
        }
    }
}
