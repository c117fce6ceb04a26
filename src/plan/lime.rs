//! Lime arithmetic: formulas of buffers, quality, depth, and the check by stoichiometry.
//!
//! Every rate belongs to a depth, a neutralising value and a target; the three go with it.

use super::fertiliser::{Splits, splits};
use crate::soil::chemistry::buffer;
use crate::soil::convert::{
    FURROW_SLICE_IN, FURROW_SLICE_LB_PER_ACRE, acidity_to_lb_caco3_per_acre, lb_per_acre_to_lb_per_1000_ft2,
};
use crate::soil::{Method, table::TableError};

/// Share of the acidity to neutralise on the way to a target: (target - pH)/(6.6 - pH), where 6.6 is the pH at which
/// the Mehlich buffer finds no acidity. NCDA Agronomic Division, "Lime factor table". None at that pH and above.
///
/// # Errors
/// The built-in table of buffers is damaged.
pub fn mehlich_factor(ph: f64, target_ph: f64) -> Result<Option<f64>, TableError> {
    let zero = buffer(Method::MehlichBuffer)?.and_then(|buffer| buffer.zero_acidity_ph);
    Ok(zero.filter(|zero| ph < *zero).map(|zero| ((target_ph - ph) / (zero - ph)).max(0.0)))
}

/// Lime of 100 % in ton/acre by the same page: acidity (meq/100 cm3) times the factor, less what earlier lime still
/// does; 0 where there is nothing to neutralise.
///
/// # Errors
/// The built-in table of buffers is damaged.
pub fn mehlich_ton_per_acre(
    acidity_meq_per_100_cm3: f64,
    ph: f64,
    target_ph: f64,
    residual_ton_per_acre: f64,
) -> Result<f64, TableError> {
    let factor = mehlich_factor(ph, target_ph)?.unwrap_or(0.0);
    Ok((acidity_meq_per_100_cm3 * factor - residual_ton_per_acre).max(0.0))
}

/// What the Adams-Evans equation gives.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct AdamsEvans {
    /// Share of hydrogen at the pH of the soil, 0 to 1.
    pub hydrogen_now: f64,
    /// Share of hydrogen at the target pH.
    pub hydrogen_at_target: f64,
    /// Pure calcium carbonate, lb/acre.
    pub lb_caco3_per_acre: f64,
}

/// Adams & Evans, SSSA Proc. 26 (1962) 355-357: the curve pH = 7.79 - 5.55 h + 2.27 h2 is from memory; the lime
/// equation was seen in G. Huluka's paper. None where the curve does not reach a pH or there is no acidity.
///
/// # Errors
/// The built-in table of buffers is damaged.
pub fn adams_evans(ph: f64, buffer_ph: f64, target_ph: f64) -> Result<Option<AdamsEvans>, TableError> {
    /// lb CaCO3/acre for one unit of buffer pH, by 8 meq/100 g times 1000 lb.
    const LB_PER_BUFFER_PH: f64 = 8000.0;
    /// Lime in the field does less than in the beaker.
    const FIELD: f64 = 1.5;
    let zero = buffer(Method::AdamsEvans)?.and_then(|buffer| buffer.zero_acidity_ph);
    let (Some(now), Some(then), Some(zero)) = (hydrogen(ph), hydrogen(target_ph), zero) else {
        return Ok(None);
    };
    let acidity = (zero - buffer_ph).max(0.0);
    Ok((now > 0.0).then(|| AdamsEvans {
        hydrogen_now: now,
        hydrogen_at_target: then,
        lb_caco3_per_acre: LB_PER_BUFFER_PH * acidity / now * (now - then).max(0.0) * FIELD,
    }))
}

fn hydrogen(ph: f64) -> Option<f64> {
    const CURVE: (f64, f64, f64) = (7.79, 5.55, 2.27);
    let (at_zero, linear, square) = CURVE;
    let under = linear * linear - 4.0 * square * (at_zero - ph);
    (ph <= at_zero && under >= 0.0).then(|| (linear - under.sqrt()) / (2.0 * square))
}

/// The same neutralising power from another lime: times `basis` over `cce`, both percent of calcium carbonate. None
/// for a lime that neutralises nothing.
pub fn for_quality(rate: f64, basis_cce_percent: f64, cce_percent: f64) -> Option<f64> {
    (cce_percent > 0.0).then(|| rate * basis_cce_percent / cce_percent)
}

/// A rate for another depth: linear.
pub fn for_depth(rate: f64, from_in: f64, to_in: f64) -> Option<f64> {
    (from_in > 0.0 && to_in > 0.0).then(|| rate * to_in / from_in)
}

/// tons/acre of a lime by its effective neutralising material (Missouri): required over what a ton holds.
pub fn by_effective_material(required: f64, per_ton: f64) -> Option<f64> {
    (per_ton > 0.0).then(|| required / per_ton)
}

/// tons/acre by effective neutralising power (Ohio): the tables assume 2000 lb a ton.
pub fn by_neutralising_power(ton_at_2000: f64, lb_enp_per_ton: f64) -> Option<f64> {
    const TABLE_LB_PER_TON: f64 = 2000.0;
    (lb_enp_per_ton > 0.0).then(|| ton_at_2000 * TABLE_LB_PER_TON / lb_enp_per_ton)
}

/// Fineness and effective neutralising value, percent, by sieves of 20, 60 and 100 mesh (Cornell University, course
/// for certified advisers, CA5-12): 0.40, 0.80 and 1.00 of what lies between.
pub fn fineness_and_env(passing_20: f64, passing_60: f64, passing_100: f64, cce_percent: f64) -> (f64, f64) {
    let fineness = 0.40 * (passing_20 - passing_60) + 0.80 * (passing_60 - passing_100) + passing_100;
    (fineness, cce_percent * fineness / 100.0)
}

/// Pure calcium carbonate that neutralises all of an acidity in a layer, lb/1000 ft2: 22.98 for 1 meq/100 g in the
/// furrow slice.
pub fn all_acidity_lb_per_1000_ft2(acidity_meq_per_100_g: f64, depth_in: f64) -> f64 {
    let soil = FURROW_SLICE_LB_PER_ACRE * depth_in / FURROW_SLICE_IN;
    lb_per_acre_to_lb_per_1000_ft2(acidity_to_lb_caco3_per_acre(acidity_meq_per_100_g, soil))
}

/// Equal parts of a lime rate within the site's limit for one application.
pub fn split(lb_per_1000_ft2: f64, max_single_lb_per_1000_ft2: f64) -> Option<Splits> {
    splits(lb_per_1000_ft2, max_single_lb_per_1000_ft2)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn nothing_is_limed_at_or_above_the_target() {
        assert_eq!(mehlich_factor(6.6, 6.8).unwrap(), None);
        assert_eq!(mehlich_ton_per_acre(1.2, 6.2, 6.0, 0.0).unwrap(), 0.0);
        assert_eq!(mehlich_ton_per_acre(1.2, 5.0, 6.0, 2.0).unwrap(), 0.0);
        assert!(adams_evans(6.6, 7.9, 6.5).unwrap().is_some_and(|found| found.lb_caco3_per_acre == 0.0));
        assert_eq!(adams_evans(7.9, 8.0, 6.5).unwrap(), None);
        assert_eq!(for_quality(50.0, 100.0, 0.0), None);
    }
}
