//! Does a sheet agree with itself: how far a printed number is from what its neighbours say, and how far it may be.

use super::chemistry::buffer;
use super::convert::lb_per_acre_to_mg_per_kg_by_convention;
use super::ids::contract_ids;
use super::method::Method;
use super::table::{TableError, rows};
use serde::Deserialize;
use std::sync::LazyLock;

contract_ids! {
    /// A sum or a product that a sheet must satisfy.
    Identity {
        CecClosure = "cec-closure", SaturationOf = "saturation-of", SaturationSum = "saturation-sum",
        TextureSum = "texture-sum", LimeIndex = "lime-index", Sar = "sar",
    }
}

contract_ids! {
    /// A bound that does not depend on how the number was printed.
    Limit {
        BufferExpectedUpToPh = "buffer-expected-up-to-ph", NoAcidityFromPh = "no-acidity-from-ph",
        SatHAtHighPh = "sat-h-at-high-ph", TotalPhosphorus = "total-phosphorus-lb-per-acre",
        TotalPotassium = "total-potassium-lb-per-acre",
        ExtractableShareOfTotalPotassium = "extractable-share-of-total-potassium",
        BufferBelowPh = "buffer-below-ph",
        PoundsConventionFromInches = "pounds-convention-from-inches",
        PoundsConventionToInches = "pounds-convention-to-inches",
        PoundsMobileToInches = "pounds-mobile-to-inches",
        OrganicMatterWithoutUnitBelow = "organic-matter-without-unit-below",
        CecFailureAbsolute = "cec-failure-absolute", CecFailureRelative = "cec-failure-relative",
    }
}

/// A printed number against the calculated one, both in the same unit.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Closure {
    /// From the neighbours.
    pub calculated: f64,
    /// As printed.
    pub printed: f64,
    /// Widest difference still put down to rounding.
    pub allowed: f64,
    /// The difference is within it.
    pub closes: bool,
}

impl Closure {
    fn new(calculated: f64, printed: f64, allowed: f64) -> Self {
        // A breath of room so that a difference of exactly the width is not lost to binary fractions.
        let closes = (calculated - printed).abs() <= allowed + 1e-9;
        Self { calculated, printed, allowed, closes }
    }

    /// Calculated over printed: near 2 when lb/acre was read as mg/kg, near 0.5 the other way round.
    pub fn ratio(&self) -> Option<f64> {
        (self.printed != 0.0).then(|| self.calculated / self.printed)
    }
}

#[derive(Debug, Clone, PartialEq, Deserialize)]
struct Tolerance {
    check: Identity,
    printed_decimals: Option<u8>,
    absolute: f64,
    relative: f64,
    source: String,
}

#[derive(Debug, Clone, PartialEq, Deserialize)]
struct LimitRow {
    limit: Limit,
    value: f64,
    #[serde(rename = "unit")]
    _unit: String,
    source: String,
}

/// The widths and limits of all checks, validated.
#[derive(Debug, Clone, PartialEq)]
pub struct Tolerances {
    widths: Vec<Tolerance>,
    limits: Vec<LimitRow>,
}

static BUILT_IN: LazyLock<Result<Tolerances, TableError>> =
    LazyLock::new(|| Tolerances::load(include_str!("tolerances.csv"), include_str!("limits.csv")));

impl Tolerances {
    /// The built-in tables.
    ///
    /// # Errors
    /// A built-in table is damaged.
    pub fn built_in() -> Result<&'static Self, TableError> {
        BUILT_IN.as_ref().map_err(Clone::clone)
    }

    fn load(widths: &str, limits: &str) -> Result<Self, TableError> {
        const WIDTHS: &str = "tolerances.csv";
        const LIMITS: &str = "limits.csv";
        let tables = Self { widths: rows(WIDTHS, widths)?, limits: rows(LIMITS, limits)? };
        for (row, width) in (1..).zip(&tables.widths) {
            if !(width.absolute >= 0.0 && width.relative >= 0.0) || width.source.is_empty() {
                return Err(TableError::new(WIDTHS, row, "needs widths of 0 or more and a source"));
            }
        }
        for (row, limit) in (1..).zip(&tables.limits) {
            if !limit.value.is_finite() || limit.source.is_empty() {
                return Err(TableError::new(LIMITS, row, "needs a number and a source"));
            }
        }
        for &check in Identity::ALL {
            if !tables.widths.iter().any(|width| width.check == check) {
                return Err(TableError::new(WIDTHS, 0, format!("no row for {check}")));
            }
        }
        for &limit in Limit::ALL {
            if tables.limits.iter().filter(|row| row.limit == limit).count() != 1 {
                return Err(TableError::new(LIMITS, 0, format!("not exactly one row for {limit}")));
            }
        }
        Ok(tables)
    }

    /// Width for a number printed with so many decimals, around a reference value. More decimals than any row
    /// has are held to the row with the most.
    fn allowed(&self, check: Identity, printed_decimals: u8, reference: f64) -> f64 {
        self.widths
            .iter()
            .filter(|width| {
                width.check == check && width.printed_decimals.is_none_or(|d| d <= printed_decimals)
            })
            .max_by_key(|width| width.printed_decimals)
            .map_or(0.0, |width| width.absolute + width.relative * reference.abs())
    }

    /// A limit of the table.
    pub fn limit(&self, limit: Limit) -> f64 {
        // `load` has made sure of the row; not a number would make every comparison false.
        self.limits.iter().find(|row| row.limit == limit).map_or(f64::NAN, |row| row.value)
    }

    /// CEC from the cations against the printed CEC, cmol(+)/kg.
    pub fn cec_closure(&self, calculated_cmol: f64, printed_cmol: f64) -> Closure {
        Closure::new(calculated_cmol, printed_cmol, self.allowed(Identity::CecClosure, 0, printed_cmol))
    }

    /// True where the sum is so far from the printed CEC that one of the numbers must be wrong; between this and
    /// [`Self::cec_closure`] a sheet neither proves nor refutes itself.
    pub fn cec_fails(&self, calculated_cmol: f64, printed_cmol: f64) -> bool {
        let width = self
            .limit(Limit::CecFailureAbsolute)
            .max(self.limit(Limit::CecFailureRelative) * printed_cmol.abs());
        (calculated_cmol - printed_cmol).abs() > width + 1e-9
    }

    /// A printed saturation against the one recomputed, percent. `printed_decimals` of the printed saturation.
    pub fn saturation_of(&self, calculated: f64, printed: f64, printed_decimals: u8) -> Closure {
        Closure::new(calculated, printed, self.allowed(Identity::SaturationOf, printed_decimals, printed))
    }

    /// Printed saturations that must fill 100 percent. `printed_decimals` is the fewest among them. A sum that
    /// falls short by an unprinted sodium or acidity is the caller's to notice.
    pub fn saturation_sum(&self, saturations: &[f64], printed_decimals: u8) -> Closure {
        let allowed = self.allowed(Identity::SaturationSum, printed_decimals, 0.0);
        Closure::new(saturations.iter().sum(), 100.0, allowed)
    }

    /// Sand, silt and clay that must fill 100 percent.
    pub fn texture_sum(&self, sand: f64, silt: f64, clay: f64) -> Closure {
        Closure::new(sand + silt + clay, 100.0, self.allowed(Identity::TextureSum, 0, 0.0))
    }

    /// A printed lime index against ten times the printed buffer pH.
    pub fn lime_index(&self, buffer_ph: f64, printed: f64) -> Closure {
        Closure::new(10.0 * buffer_ph, printed, self.allowed(Identity::LimeIndex, 0, 0.0))
    }

    /// SAR from the cations of the saturation extract against the printed one. Never from extractable cations.
    pub fn sar(&self, calculated: f64, printed: f64) -> Closure {
        Closure::new(calculated, printed, self.allowed(Identity::Sar, 0, printed))
    }

    /// A buffer pH is expected beside this pH: laboratories read a buffer on acid soil only. Its absence says
    /// nothing; its presence on a soil that is not acid is a doubt.
    pub fn buffer_expected(&self, ph: f64) -> bool {
        ph <= self.limit(Limit::BufferExpectedUpToPh)
    }

    /// Acidity may be taken as 0 at this pH where no buffer was read.
    pub fn no_acidity(&self, ph: f64) -> bool {
        ph >= self.limit(Limit::NoAcidityFromPh)
    }

    /// H saturation at this pH is possible: at neutral or above there is next to none.
    pub fn sat_h_possible(&self, ph: f64, sat_h_percent: f64) -> bool {
        !self.no_acidity(ph) || sat_h_percent <= self.limit(Limit::SatHAtHighPh)
    }

    /// Extractable P cannot exceed the total P of soils, mg/kg.
    pub fn phosphorus_ceiling_mg_per_kg(&self) -> f64 {
        lb_per_acre_to_mg_per_kg_by_convention(self.limit(Limit::TotalPhosphorus))
    }

    /// Extractable K above this share of the total K of soils is doubtful, mg/kg.
    pub fn potassium_ceiling_mg_per_kg(&self) -> f64 {
        lb_per_acre_to_mg_per_kg_by_convention(self.limit(Limit::TotalPotassium))
            * self.limit(Limit::ExtractableShareOfTotalPotassium)
    }
}

/// A buffer pH against the pH the buffer starts at: soil only lowers it. None for a buffer without figures.
/// `closes` is true below the start as well; `calculated` is the start.
///
/// # Errors
/// The built-in table is damaged.
pub fn buffer_start(method: Method, buffer_ph: f64) -> Result<Option<Closure>, TableError> {
    Ok(buffer(method)?.map(|buffer| Closure {
        calculated: buffer.start_ph,
        printed: buffer_ph,
        allowed: buffer.start_slack_ph,
        closes: buffer_ph <= buffer.start_ph + buffer.start_slack_ph + 1e-9,
    }))
}

/// Furthest a sum of so many rounded numbers can be from the sum of the exact ones.
pub fn widest_rounding_of_sum(parts: u32, printed_decimals: u8) -> f64 {
    f64::from(parts) * 0.5 * 10f64.powi(-i32::from(printed_decimals))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn tables() -> &'static Tolerances {
        Tolerances::built_in().unwrap()
    }

    #[test]
    fn pounds_an_acre_read_as_ppm_do_not_close_and_the_ratio_tells() {
        let closure = tables().cec_closure(31.1, 15.6);
        assert!(!closure.closes);
        assert!(closure.ratio().is_some_and(|ratio| (ratio - 2.0).abs() < 0.02));
        assert!(tables().cec_closure(15.55, 15.6).closes);
    }

    #[test]
    fn a_saturation_with_decimals_is_held_closer_than_a_whole_number() {
        assert!(tables().saturation_of(4.1, 3.3, 0).closes);
        assert!(!tables().saturation_of(4.1, 3.3, 1).closes);
        assert_eq!(tables().saturation_of(4.1, 3.3, 2).allowed, tables().saturation_of(4.1, 3.3, 1).allowed);
    }

    #[test]
    fn a_buffer_reading_above_its_own_start_is_another_buffer() {
        let closes = |method, ph| buffer_start(method, ph).map(|c| c.map(|c| c.closes));
        assert_eq!(closes(Method::MehlichBuffer, 7.0), Ok(Some(false)));
        assert_eq!(closes(Method::MehlichBuffer, 6.7), Ok(Some(true)));
        assert_eq!(closes(Method::AdamsEvans, 7.85), Ok(Some(true)));
        assert_eq!(closes(Method::MooreSikora, 9.0), Ok(None));
    }

    #[test]
    fn hydrogen_on_the_exchange_of_a_neutral_soil_is_a_doubt() {
        assert!(!tables().sat_h_possible(7.4, 12.0));
        assert!(tables().sat_h_possible(5.4, 40.0));
        assert!((tables().potassium_ceiling_mg_per_kg() - 2500.0).abs() < 1e-9);
    }

    #[test]
    fn a_table_with_a_missing_check_is_refused() {
        let limits = include_str!("limits.csv");
        assert!(
            Tolerances::load("check,printed_decimals,absolute,relative,source\nsar,,0.1,0,x\n", limits)
                .is_err()
        );
    }
}
