//! Values below or above a laboratory's range in a series.
//!
//! D. R. Helsel and others, Statistical Methods in Water Resources, USGS Techniques and Methods 4-A3 (2020), from
//! memory: for S, everything below the highest limit is tied and lower than the rest; the slope takes half the limit,
//! and there is none when over half the seasons are below. Values above the range are treated as the mirror image,
//! the slope taking the limit itself (own choice: no upper half exists).

use super::SeasonValue;
use crate::soil::Qualifier;

/// What stands in for a value below the limit when a slope is drawn.
const SHARE_OF_LIMIT: f64 = 0.5;

/// The number that stands in for a reading in sums: half of a lower limit, else the number itself.
pub fn stand_in(value: f64, qualifier: Option<Qualifier>) -> f64 {
    if qualifier == Some(Qualifier::Below) { SHARE_OF_LIMIT * value } else { value }
}

/// Values for S, in the order given: below the highest lower limit all are equal and lowest, above the lowest upper
/// limit all are equal and highest.
pub fn ranked(values: &[SeasonValue]) -> Vec<f64> {
    let limits = |which| values.iter().filter(move |v| v.qualifier == Some(which)).map(|v| v.value);
    let floor = limits(Qualifier::Below).fold(f64::NEG_INFINITY, f64::max);
    let roof = limits(Qualifier::Above).fold(f64::INFINITY, f64::min);
    values
        .iter()
        .map(|v| match v.qualifier {
            Some(Qualifier::Below) => f64::NEG_INFINITY,
            Some(Qualifier::Above) => f64::INFINITY,
            None if v.value < floor => f64::NEG_INFINITY,
            None if v.value > roof => f64::INFINITY,
            None => v.value,
        })
        .collect()
}

/// Points for the slope (season, value); none when over half the seasons lie outside the range.
pub fn points(values: &[SeasonValue]) -> Option<Vec<(f64, f64)>> {
    let outside = values.iter().filter(|v| v.qualifier.is_some()).count();
    let point = |v: &SeasonValue| (f64::from(v.season), stand_in(v.value, v.qualifier));
    (2 * outside <= values.len()).then(|| values.iter().map(point).collect())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn values(given: &[(f64, Option<Qualifier>)]) -> Vec<SeasonValue> {
        (2018..)
            .zip(given)
            .map(|(season, &(value, qualifier))| SeasonValue {
                season,
                value,
                qualifier,
                labs: vec![],
                readings: vec![],
            })
            .collect()
    }

    #[test]
    fn a_measured_value_below_another_years_limit_is_tied_with_it() {
        let ranked = ranked(&values(&[(5.0, Some(Qualifier::Below)), (3.0, None), (5.0, None), (9.0, None)]));
        assert_eq!(ranked, [f64::NEG_INFINITY, f64::NEG_INFINITY, 5.0, 9.0]);
    }

    #[test]
    fn above_the_range_is_the_mirror_image() {
        let ranked = ranked(&values(&[(100.0, Some(Qualifier::Above)), (120.0, None), (80.0, None)]));
        assert_eq!(ranked, [f64::INFINITY, f64::INFINITY, 80.0]);
    }

    #[test]
    fn over_half_below_the_range_has_no_points() {
        let below = (2.0, Some(Qualifier::Below));
        assert_eq!(points(&values(&[below, below, (4.0, None)])), None);
        assert_eq!(points(&values(&[below, (4.0, None)])), Some(vec![(2018.0, 1.0), (2019.0, 4.0)]));
    }
}
