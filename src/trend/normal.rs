//! The standard normal distribution: upper tail and quantile.

/// P(Z >= z). Series near the middle, continued fraction in the tail (Abramowitz and Stegun 26.2.11, 26.2.14;
/// from memory, held to published quantiles in the tests).
pub fn upper_tail(z: f64) -> f64 {
    if z < 0.0 {
        return 1.0 - upper_tail(-z);
    }
    let density = (-0.5 * z * z).exp() / std::f64::consts::TAU.sqrt();
    if z < 3.0 {
        let (mut term, mut sum, mut odd) = (z, z, 1.0);
        while term > 1e-18 {
            odd += 2.0;
            term *= z * z / odd;
            sum += term;
        }
        0.5 - density * sum
    } else {
        let fraction = (1..=60).rev().fold(z, |below, k| z + f64::from(k) / below);
        density / fraction
    }
}

/// The z with P(Z >= z) = `tail`, for a tail between 0 and 1; infinite outside.
pub fn quantile_of_upper_tail(tail: f64) -> f64 {
    if tail <= 0.0 {
        return f64::INFINITY;
    }
    if tail >= 1.0 {
        return f64::NEG_INFINITY;
    }
    // Bisection: 80 halvings of +-40 leave nothing of the interval, and this runs once a series.
    let (mut low, mut high) = (-40.0, 40.0);
    for _ in 0..80 {
        let middle = 0.5 * (low + high);
        if upper_tail(middle) > tail { low = middle } else { high = middle }
    }
    0.5 * (low + high)
}

#[cfg(test)]
mod tests {
    use super::{quantile_of_upper_tail, upper_tail};

    #[test]
    fn the_usual_quantiles_come_out() {
        for (tail, z) in [(0.025, 1.959_963_985), (0.05, 1.644_853_627), (0.005, 2.575_829_304)] {
            assert!((quantile_of_upper_tail(tail) - z).abs() < 1e-8, "{tail}");
            assert!((upper_tail(z) - tail).abs() < 1e-9, "{z}");
            assert!((upper_tail(-z) - (1.0 - tail)).abs() < 1e-9, "{z}");
        }
    }

    #[test]
    fn series_and_fraction_meet() {
        assert!((upper_tail(2.999_999) - upper_tail(3.000_001)).abs() < 1e-7);
        // 3.1671e-5 at 4: standard tables.
        assert!((upper_tail(4.0) - 3.1671e-5).abs() < 1e-8);
    }
}
