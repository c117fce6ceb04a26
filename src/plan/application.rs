//! What went down: the inputs as they were given, and the nutrients they supplied.

use super::fertiliser::{FL_OZ_PER_GAL, L_PER_GAL, OZ_PER_LB, supplied_by};
use super::nutrients::{Nutrient, Nutrients};
use super::product::Product;
use crate::soil::convert::{
    KG_PER_LB, kg_per_ha_to_lb_per_acre, lb_per_1000_ft2_to_lb_per_acre, lb_per_acre_to_kg_per_ha,
    lb_per_acre_to_lb_per_1000_ft2,
};
use crate::soil::ids::contract_ids;
use crate::soil::value::rounded;
use jiff::civil::Date;
use serde::{Deserialize, Serialize};

contract_ids! {
    /// How an amount was measured: in all, or for an area.
    AmountUnit {
        Lb = "lb", Oz = "oz", Kg = "kg", G = "g", Gal = "gal", FlOz = "fl oz", L = "l", Ml = "ml",
        LbPer1000Ft2 = "lb/1000ft2", OzPer1000Ft2 = "oz/1000ft2", LbPerAcre = "lb/acre", KgPerHa = "kg/ha",
        GalPer1000Ft2 = "gal/1000ft2", FlOzPer1000Ft2 = "fl oz/1000ft2", GalPerAcre = "gal/acre", LPerHa = "l/ha",
    }
}

/// What somebody says went down.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Put {
    /// Site id.
    pub site: String,
    /// Zone; `whole` stands for all zones.
    pub zone: String,
    /// The day.
    pub on: Date,
    /// The product's name, where one was named.
    pub product: Option<String>,
    /// What the product held, percent by weight.
    pub percent: Nutrients,
    /// Share of its nitrogen released slowly, 0 to 1.
    pub slow_share: f64,
    /// Density of a liquid, lb/gal.
    pub density_lb_per_gal: Option<f64>,
    /// How much, in `unit`.
    pub amount: f64,
    /// How it was measured.
    pub unit: AmountUnit,
    /// The area it went on, ft2.
    pub area_ft2: Option<f64>,
    /// Who did it.
    pub who: Option<String>,
    /// A note.
    pub note: Option<String>,
}

/// One application as it is kept: the inputs, and what they came to.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Application {
    /// Key in the store.
    pub id: i64,
    /// The inputs.
    #[serde(flatten)]
    pub put: Put,
    /// Product, lb/1000 ft2.
    pub product_lb_per_1000_ft2: f64,
    /// Nutrients supplied, lb/1000 ft2.
    pub supplied_lb_per_1000_ft2: Nutrients,
}

/// Why an application cannot be worked out; one sentence for a person.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum ApplicationError {
    /// An amount in all needs the area.
    #[error(
        "The amount is for the whole area and the area is not known: give --area-ft2, or set area_ft2 of the site."
    )]
    NoArea,
    /// A volume needs the density.
    #[error(
        "The amount is a volume and the density of the product is not known: give it in the products file."
    )]
    NoDensity,
    /// Not an amount.
    #[error("The amount must be above 0.")]
    NoAmount,
    /// The percentages are not known.
    #[error(
        "What the product holds is not known: give --analysis N-P2O5-K2O, or put it in the products file."
    )]
    NoAnalysis,
}

impl Put {
    /// With the nutrients worked out.
    ///
    /// # Errors
    /// [`ApplicationError`] where something needed is not known.
    pub fn worked_out(self, id: i64) -> Result<Application, ApplicationError> {
        if self.percent.is_empty() {
            return Err(ApplicationError::NoAnalysis);
        }
        let rate = lb_per_1000_ft2(self.amount, self.unit, self.area_ft2, self.density_lb_per_gal)?;
        let supplied = supplied_by(rate, &self.percent);
        Ok(Application { id, put: self, product_lb_per_1000_ft2: rate, supplied_lb_per_1000_ft2: supplied })
    }

    /// With what a product of the user's file holds.
    #[must_use]
    pub fn of(mut self, product: &Product) -> Self {
        self.product = Some(product.name.clone());
        self.percent = product.percent.clone();
        self.slow_share = product.slow_share;
        self.density_lb_per_gal = product.density_lb_per_gal;
        self
    }
}

impl Application {
    /// The product, or its grade as on a label: N-P2O5-K2O.
    pub fn what(&self) -> String {
        self.put.product.clone().unwrap_or_else(|| {
            [Nutrient::N, Nutrient::P2o5, Nutrient::K2o]
                .map(|nutrient| rounded(self.put.percent.get(nutrient)).to_string())
                .join("-")
        })
    }

    /// Nutrients supplied, lb/acre.
    pub fn supplied_lb_per_acre(&self) -> Nutrients {
        self.supplied_lb_per_1000_ft2.times(lb_per_1000_ft2_to_lb_per_acre(1.0))
    }

    /// Nutrients supplied, kg/ha.
    pub fn supplied_kg_per_ha(&self) -> Nutrients {
        self.supplied_lb_per_acre().times(lb_per_acre_to_kg_per_ha(1.0))
    }

    /// Whether it went on this zone.
    pub fn on_zone(&self, zone: &str) -> bool {
        self.put.zone == zone || self.put.zone == crate::soil::site::WHOLE
    }
}

/// Product in lb/1000 ft2.
///
/// # Errors
/// [`ApplicationError`] where the area or the density is needed and not known.
pub fn lb_per_1000_ft2(
    amount: f64,
    unit: AmountUnit,
    area_ft2: Option<f64>,
    density_lb_per_gal: Option<f64>,
) -> Result<f64, ApplicationError> {
    use AmountUnit::*;
    if !(amount.is_finite() && amount > 0.0) {
        return Err(ApplicationError::NoAmount);
    }
    let density = || density_lb_per_gal.filter(|d| *d > 0.0).ok_or(ApplicationError::NoDensity);
    let over_area = |lb: f64| {
        let area = area_ft2.filter(|area| *area > 0.0).ok_or(ApplicationError::NoArea)?;
        Ok(lb * 1_000.0 / area)
    };
    let per_acre = lb_per_acre_to_lb_per_1000_ft2;
    match unit {
        Lb => over_area(amount),
        Oz => over_area(amount / OZ_PER_LB),
        Kg => over_area(amount / KG_PER_LB),
        G => over_area(amount / 1_000.0 / KG_PER_LB),
        Gal => over_area(amount * density()?),
        FlOz => over_area(amount / FL_OZ_PER_GAL * density()?),
        L => over_area(amount / L_PER_GAL * density()?),
        Ml => over_area(amount / 1_000.0 / L_PER_GAL * density()?),
        LbPer1000Ft2 => Ok(amount),
        OzPer1000Ft2 => Ok(amount / OZ_PER_LB),
        LbPerAcre => Ok(per_acre(amount)),
        KgPerHa => Ok(per_acre(kg_per_ha_to_lb_per_acre(amount))),
        GalPer1000Ft2 => Ok(amount * density()?),
        FlOzPer1000Ft2 => Ok(amount / FL_OZ_PER_GAL * density()?),
        GalPerAcre => Ok(per_acre(amount * density()?)),
        // A volume for a hectare as for an acre: by the ratio of the areas.
        LPerHa => Ok(per_acre(kg_per_ha_to_lb_per_acre(amount / L_PER_GAL * density()? * KG_PER_LB))),
    }
}

#[cfg(test)]
pub(crate) fn sample(on: Date, grade: (f64, f64, f64), lb_per_1000_ft2: f64) -> Application {
    Put {
        site: "north".into(),
        zone: "whole".into(),
        on,
        product: None,
        percent: Nutrients::grade(grade.0, grade.1, grade.2),
        slow_share: 0.0,
        density_lb_per_gal: None,
        amount: lb_per_1000_ft2,
        unit: AmountUnit::LbPer1000Ft2,
        area_ft2: None,
        who: None,
        note: None,
    }
    .worked_out(1)
    .unwrap()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::plan::nutrients::Nutrient;
    use jiff::civil::date;

    #[test]
    fn the_same_amount_said_in_other_units_is_the_same_rate() {
        // 5 lb/1000 ft2 on 8000 ft2 is 40 lb.
        let of = |amount, unit| lb_per_1000_ft2(amount, unit, Some(8000.0), Some(10.0)).unwrap();
        for (amount, unit) in [
            (40.0, AmountUnit::Lb),
            (640.0, AmountUnit::Oz),
            (18.143_694_8, AmountUnit::Kg),
            (4.0, AmountUnit::Gal),
            (512.0, AmountUnit::FlOz),
            (15.141_647_136, AmountUnit::L),
            (5.0, AmountUnit::LbPer1000Ft2),
            (217.8, AmountUnit::LbPerAcre),
            (244.121_3, AmountUnit::KgPerHa),
            (0.5, AmountUnit::GalPer1000Ft2),
            (21.78, AmountUnit::GalPerAcre),
            (203.725_1, AmountUnit::LPerHa),
        ] {
            assert!((of(amount, unit) - 5.0).abs() < 1e-4, "{amount} {unit}: {}", of(amount, unit));
        }
    }

    #[test]
    fn what_is_not_known_is_asked_for() {
        let of = |unit| lb_per_1000_ft2(1.0, unit, None, None);
        assert_eq!(of(AmountUnit::Lb), Err(ApplicationError::NoArea));
        assert_eq!(of(AmountUnit::GalPerAcre), Err(ApplicationError::NoDensity));
        assert_eq!(lb_per_1000_ft2(0.0, AmountUnit::LbPerAcre, None, None), Err(ApplicationError::NoAmount));
    }

    #[test]
    fn nutrients_are_counted_in_three_units() {
        let one = sample(date(2024, 5, 5), (16.0, 4.0, 8.0), 6.25);
        assert!((one.supplied_lb_per_1000_ft2.get(Nutrient::N) - 1.0).abs() < 1e-12);
        assert!((one.supplied_lb_per_acre().get(Nutrient::N) - 43.56).abs() < 1e-9);
        assert!((one.supplied_kg_per_ha().get(Nutrient::N) - 48.824).abs() < 1e-3);
    }
}
