//! Gypsum for sodic soil: how much, and where it helps nothing.
//!
//! Amount: Oster and others (1999) as given by T. DeSutter, North Dakota State University, "Gypsum requirement".

use super::limits::{PlanLimit, figure};
use crate::guide::{Limit, limit};
use crate::soil::convert::{GYPSUM_G_PER_EQUIVALENT, tonne_per_ha_to_short_ton_per_acre};
use crate::soil::table::TableError;

/// What an amount of gypsum is worked out from.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Sodic {
    /// Allowance for exchange that stays incomplete, 1.1 to 1.3.
    pub factor: f64,
    /// Depth to treat, m.
    pub depth_m: f64,
    /// Bulk density, g/cm3.
    pub bulk_density_g_per_cm3: f64,
    /// CEC, cmol(+)/kg.
    pub cec_cmol: f64,
    /// Exchangeable sodium now, percent of CEC.
    pub esp_percent: f64,
    /// Exchangeable sodium wanted, percent of CEC.
    pub target_esp_percent: f64,
    /// Gypsum in the product, percent.
    pub purity_percent: f64,
}

/// Product in Mg/ha (metric tonnes a hectare); 0 where there is nothing to replace.
///
/// The constant the source prints as 8.6 is a tenth of the equivalent mass of gypsum.
pub fn tonne_per_ha(sodic: &Sodic) -> f64 {
    let excess = (sodic.esp_percent - sodic.target_esp_percent).max(0.0);
    if sodic.purity_percent <= 0.0 {
        return 0.0;
    }
    GYPSUM_G_PER_EQUIVALENT / 10.0
        * sodic.factor
        * sodic.depth_m
        * sodic.bulk_density_g_per_cm3
        * sodic.cec_cmol
        * excess
        / sodic.purity_percent
}

/// The same in short tons an acre.
pub fn ton_per_acre(sodic: &Sodic) -> f64 {
    tonne_per_ha_to_short_ton_per_acre(tonne_per_ha(sodic))
}

/// A wet product, as the source words it: times (1 + moisture).
pub fn moist(dry_amount: f64, moisture_percent: f64) -> f64 {
    dry_amount * (1.0 + moisture_percent / 100.0)
}

/// Whether clay is at risk of dispersion at this SAR.
///
/// # Errors
/// The built-in table is damaged.
pub fn dispersion_risk(sar: f64) -> Result<bool, TableError> {
    Ok(sar >= figure(PlanLimit::GypsumSarFrom)?.value)
}

/// What is known of a soil that may be sodic.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Sodium {
    /// Share of sodium in the CEC, percent.
    pub sat_na_percent: Option<f64>,
    /// SAR of the saturation extract.
    pub sar: Option<f64>,
    /// Some measure of the salts is known.
    pub salts_known: bool,
    /// The texture has clay to disperse.
    pub clay_bearing: Option<bool>,
    /// Water drains and there is enough of it to leach.
    pub drains: Option<bool>,
}

/// Whether gypsum helps here.
#[derive(Debug, Clone, PartialEq)]
pub enum Help {
    /// It may: exchangeable sodium in percent.
    Yes(f64),
    /// It does not, and why, with the source key.
    No(String, &'static str),
    /// Something must be settled first.
    Ask(String, &'static str),
}

/// Whether gypsum helps: only on sodic soil with clay, where water carries the sodium off.
///
/// # Errors
/// A built-in table is damaged.
pub fn helps(sodium: &Sodium) -> Result<Help, TableError> {
    let edge = limit(Limit::GypsumFromSatNa)?.value;
    let by_sar = sodium.sar.map(|sar| dispersion_risk(sar).map(|risk| (sar, risk))).transpose()?;
    let esp = match (sodium.sat_na_percent, by_sar) {
        (Some(esp), _) if esp >= edge => esp,
        (_, Some((sar, true))) => crate::soil::chemistry::esp_percent_from_sar(sar),
        (Some(esp), _) => {
            return Ok(Help::No(
                format!("sodium is {esp} % of the CEC, and gypsum helps from {edge} %"),
                "grdc2019",
            ));
        }
        (None, Some((sar, false))) => {
            return Ok(Help::No(
                format!("SAR is {sar}, below {}", figure(PlanLimit::GypsumSarFrom)?.value),
                "nrcs-sar",
            ));
        }
        (None, None) => {
            return Ok(Help::No(
                "no sodium test asks for it; gypsum is no lime, loosens no soil that is not sodic, and no Ca:Mg ratio needs it"
                    .to_owned(),
                "woods-sodium",
            ));
        }
    };
    Ok(match (sodium.clay_bearing, sodium.drains) {
        (Some(false), _) => {
            Help::No("there is no clay to disperse; sodium does little in sand".to_owned(), "woods-sodium")
        }
        (_, Some(false)) => Help::No(
            "without drainage and water to leach, the sodium that gypsum frees stays where it is".to_owned(),
            "grdc2019",
        ),
        _ if !sodium.salts_known => Help::Ask(
            "sodium without the salt content is half a picture: have the salts of a saturated paste measured"
                .to_owned(),
            "psu-water2015",
        ),
        (Some(true), Some(true)) => Help::Yes(esp),
        _ => Help::Ask(
            "sodium is high: find out whether the soil has clay, drains, and can be leached, before gypsum"
                .to_owned(),
            "grdc2019",
        ),
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    const SODIC: Sodium = Sodium {
        sat_na_percent: Some(18.0),
        sar: None,
        salts_known: true,
        clay_bearing: Some(true),
        drains: Some(true),
    };

    #[test]
    fn gypsum_is_for_sodic_clay_that_drains_and_for_nothing_else() {
        assert_eq!(helps(&SODIC).unwrap(), Help::Yes(18.0));
        for not in [
            Sodium { sat_na_percent: Some(4.0), ..SODIC },
            Sodium { clay_bearing: Some(false), ..SODIC },
            Sodium { drains: Some(false), ..SODIC },
            Sodium { sat_na_percent: None, ..SODIC },
            Sodium { sat_na_percent: None, sar: Some(5.0), ..SODIC },
        ] {
            assert!(matches!(helps(&not).unwrap(), Help::No(..)), "{not:?}");
        }
        for open in [Sodium { salts_known: false, ..SODIC }, Sodium { drains: None, ..SODIC }] {
            assert!(matches!(helps(&open).unwrap(), Help::Ask(..)), "{open:?}");
        }
    }

    #[test]
    fn a_product_without_gypsum_and_an_esp_below_the_target_ask_for_none() {
        let sodic = Sodic {
            factor: 1.1,
            depth_m: 0.15,
            bulk_density_g_per_cm3: 1.3,
            cec_cmol: 20.0,
            esp_percent: 4.0,
            target_esp_percent: 8.0,
            purity_percent: 90.0,
        };
        assert_eq!(tonne_per_ha(&sodic), 0.0);
        assert_eq!(tonne_per_ha(&Sodic { esp_percent: 18.0, purity_percent: 0.0, ..sodic }), 0.0);
        assert!(moist(1.0, 20.0) > 1.0);
    }
}
