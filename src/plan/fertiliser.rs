//! Fertiliser arithmetic: product for a nutrient, nutrients of a product, liquids, area, bags, splits, credit.
//!
//! Worked cases: University of Georgia "Fertilizer Calculations for Attractive, Healthy Lawns"; Turfgrass Mathematics
//! Review (certified turfgrass professional); J. Camberato, Purdue Extension (liquids); they run as tests.

use super::nutrients::Nutrients;
use crate::soil::convert::{FT2_PER_ACRE, KG_PER_LB};

/// Fluid ounces in a US gallon, exact.
pub const FL_OZ_PER_GAL: f64 = 128.0;
/// Ounces in a pound, exact.
pub const OZ_PER_LB: f64 = 16.0;
/// Litres in a US gallon of 231 cubic inches, exact.
pub const L_PER_GAL: f64 = 3.785_411_784;

/// Product that supplies an amount of a nutrient, in the unit of the amount; none for a product without it.
pub fn product_for(nutrient_amount: f64, nutrient_percent: f64) -> Option<f64> {
    (nutrient_percent > 0.0 && nutrient_amount >= 0.0).then(|| nutrient_amount / (nutrient_percent / 100.0))
}

/// Nutrients in an amount of product, in the unit of the amount.
pub fn supplied_by(product_amount: f64, percent: &Nutrients) -> Nutrients {
    percent.times(product_amount / 100.0)
}

/// lb of a nutrient in a gallon.
pub fn lb_nutrient_per_gal(nutrient_percent: f64, lb_per_gal: f64) -> f64 {
    nutrient_percent * lb_per_gal / 100.0
}

/// Gallons of a liquid that weigh so much; none for a liquid without a density.
pub fn gal_of_lb(lb: f64, lb_per_gal: f64) -> Option<f64> {
    (lb_per_gal > 0.0).then(|| lb / lb_per_gal)
}

/// Density in lb/gal of a liquid of so many kg/l.
pub fn kg_per_l_to_lb_per_gal(kg_per_l: f64) -> f64 {
    kg_per_l * L_PER_GAL / KG_PER_LB
}

/// Amount for an area from a rate per 1000 ft2.
pub fn for_area(rate_per_1000_ft2: f64, area_ft2: f64) -> f64 {
    rate_per_1000_ft2 * area_ft2 / 1_000.0
}

/// Square feet in acres.
pub fn acres_to_ft2(acres: f64) -> f64 {
    acres * FT2_PER_ACRE
}

/// Whole packages for an amount in the unit of the package; none for a package that holds nothing.
pub fn packages(amount: f64, package: f64) -> Option<u64> {
    // A package and a millionth is one package: the last digits of a product of floats are no need.
    (package > 0.0 && amount >= 0.0).then(|| (amount / package - 1e-6).ceil().max(0.0) as u64)
}

/// Equal parts of an amount.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Splits {
    /// How many.
    pub applications: u32,
    /// How much each, in the unit of the amount.
    pub each: f64,
}

/// The fewest equal parts none of which passes the limit; none for a limit that is not above 0.
pub fn splits(amount: f64, max_single: f64) -> Option<Splits> {
    if !(max_single > 0.0 && amount.is_finite()) {
        return None;
    }
    if amount <= 0.0 {
        return Some(Splits { applications: 0, each: 0.0 });
    }
    // 1.8 in parts of 0.9 are two, whatever the last binary digit says.
    let applications = (amount / max_single - 1e-9).ceil().clamp(1.0, f64::from(u32::MAX)) as u32;
    Some(Splits { applications, each: amount / f64::from(applications) })
}

/// What is left of a season's amount after what is already down.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Remaining {
    /// Still to put down, never negative.
    pub amount: f64,
    /// By how much the season is over; 0 while it is not.
    pub over_by: f64,
}

/// What is left after what is already down, and by how much it is over.
pub fn remaining(season_amount: f64, already_down: f64) -> Remaining {
    let left = season_amount - already_down;
    Remaining { amount: left.max(0.0), over_by: (-left).max(0.0) }
}

/// Share of the nitrogen that is released slowly, 0 to 1; none for a product without nitrogen.
pub fn slow_share(n_percent: f64, slow_n_percent: f64) -> Option<f64> {
    (n_percent > 0.0).then(|| (slow_n_percent / n_percent).clamp(0.0, 1.0))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::soil::convert::lb_per_acre_to_lb_per_1000_ft2;
    use proptest::prelude::*;

    #[test]
    fn a_hundred_pounds_an_acre_in_four_parts_is_0_574_each_and_one_down_leaves_1_296() {
        // Trade check, common practice, no source.
        let season = lb_per_acre_to_lb_per_1000_ft2(100.0);
        assert!((season - 2.296).abs() < 5e-4, "{season}");
        assert!((season / 4.0 - 0.574).abs() < 5e-4);
        assert!((remaining(season, 1.0).amount - 1.296).abs() < 5e-4);
        assert_eq!(splits(season, 0.6).map(|parts| parts.applications), Some(4));
    }

    #[test]
    fn nothing_is_asked_of_a_product_without_the_nutrient() {
        assert_eq!(product_for(1.0, 0.0), None);
        assert_eq!(gal_of_lb(1.0, 0.0), None);
        assert_eq!(packages(10.0, 0.0), None);
        assert_eq!(packages(100.0, 50.0), Some(2));
        assert_eq!(packages(100.1, 50.0), Some(3));
        assert_eq!(splits(1.0, 0.0), None);
    }

    proptest! {
        #[test]
        fn the_sum_of_the_parts_is_the_whole_and_no_part_passes_the_limit(
            amount in 0.0..500.0_f64, limit in 0.05..100.0_f64
        ) {
            let parts = splits(amount, limit).unwrap();
            prop_assert!((f64::from(parts.applications) * parts.each - amount).abs() < 1e-9);
            prop_assert!(parts.each <= limit * (1.0 + 1e-8));
            // One part fewer would not do.
            if parts.applications > 1 {
                prop_assert!(amount / f64::from(parts.applications - 1) > limit);
            }
        }

        #[test]
        fn amounts_scale_with_the_area(rate in 0.0..50.0_f64, area in 1.0..1e7_f64, k in 0.1..20.0_f64) {
            let (one, more) = (for_area(rate, area), for_area(rate, area * k));
            prop_assert!((more - one * k).abs() <= 1e-9 * more.abs().max(1.0));
        }

        #[test]
        fn what_is_left_is_never_negative_and_adds_up(season in 0.0..10.0_f64, down in 0.0..10.0_f64) {
            let left = remaining(season, down);
            prop_assert!(left.amount >= 0.0 && left.over_by >= 0.0);
            prop_assert!((left.amount - left.over_by - (season - down)).abs() < 1e-12);
        }
    }
}
