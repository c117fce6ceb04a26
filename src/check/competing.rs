//! Competing ways to read the cations of a sheet, weighed by what must add up: units, oxides, charges, exchanged
//! columns. Exactly one that closes explains a failure; several leave it open, and all are named.

use super::limits::limit;
use super::{only, value};
use crate::soil::chemistry::saturation_percent;
use crate::soil::closure::Tolerances;
use crate::soil::convert::{cao_to_ca, k2o_to_k, mgo_to_mg};
use crate::soil::{Analyte, Sample};

/// Potassium, calcium, magnesium and sodium of a sheet in mg/kg as read; sodium 0 where it is not printed.
pub type Cations = [f64; 4];

/// The cations in the order of [`Cations`].
pub const ORDER: [Analyte; 4] = [Analyte::Potassium, Analyte::Calcium, Analyte::Magnesium, Analyte::Sodium];

/// Another way to read the printed cations.
#[derive(Debug, Clone, Copy)]
pub struct Reading {
    /// Completes "the figures agree if ...".
    pub words: &'static str,
    /// From the numbers as read to what they would be, mg/kg.
    pub change: fn(Cations) -> Cations,
}

fn charges([k, ca, mg, na]: Cations) -> Cations {
    let weight = |a: Analyte| a.mg_per_cmol().unwrap_or(f64::NAN);
    let [a, b, c, d] = ORDER.map(weight);
    [k * a, ca * b, mg * c, na * d]
}

/// The ways that are weighed against the one as read.
pub const OTHERS: [Reading; 8] = [
    Reading { words: "pounds per acre were printed as mg/kg", change: |c| c.map(|v| v / 2.0) },
    Reading { words: "mg/kg were printed as pounds per acre", change: |c| c.map(|v| v * 2.0) },
    Reading { words: "the cations were printed in meq/100 g", change: charges },
    Reading {
        words: "the cations were printed as oxides",
        change: |[k, ca, mg, na]| [k2o_to_k(k), cao_to_ca(ca), mgo_to_mg(mg), na],
    },
    Reading { words: "potassium was printed as K2O", change: |[k, ca, mg, na]| [k2o_to_k(k), ca, mg, na] },
    Reading {
        words: "calcium and magnesium stand in each other's column",
        change: |[k, ca, mg, na]| [k, mg, ca, na],
    },
    Reading {
        words: "potassium and magnesium stand in each other's column",
        change: |[k, ca, mg, na]| [mg, ca, k, na],
    },
    Reading {
        words: "potassium and calcium stand in each other's column",
        change: |[k, ca, mg, na]| [ca, k, mg, na],
    },
];

/// The cations of a sample, where K, Ca and Mg are each there once.
pub fn cations(sample: &Sample) -> Option<Cations> {
    let get = |a| value(sample, a);
    Some([
        get(Analyte::Potassium)?,
        get(Analyte::Calcium)?,
        get(Analyte::Magnesium)?,
        get(Analyte::Sodium).unwrap_or(0.0),
    ])
}

/// Charge of cations, cmol(+)/kg.
pub fn charge(cations: Cations) -> f64 {
    cations.iter().zip(ORDER).map(|(v, a)| v / a.mg_per_cmol().unwrap_or(f64::NAN)).sum()
}

/// True where cations read so, with this acidity, sum to the printed CEC, and the printed shares (two or more)
/// agree with them as well.
fn closes(sample: &Sample, tolerances: &Tolerances, cations: Cations, acidity: f64, cec: f64) -> bool {
    if !tolerances.cec_closure(charge(cations) + acidity, cec).closes {
        return false;
    }
    let mut agreed = 0u32;
    let mut printed = 0u32;
    for (analyte, amount) in ORDER.into_iter().zip(cations) {
        let Some(share) = analyte.saturation().and_then(|s| only(sample, s)) else { continue };
        let weight = analyte.mg_per_cmol().unwrap_or(f64::NAN);
        let Some(calculated) = saturation_percent(amount / weight, cec) else { continue };
        printed += 1;
        let decimals = super::printed_decimals(share);
        agreed += u32::from(tolerances.saturation_of(calculated, share.quantity.value, decimals).closes);
    }
    printed == 0 || f64::from(agreed) >= limit("explained-shares").min(f64::from(printed))
}

/// The other ways to read the cations under which the sheet closes, in words.
pub fn explanations(sample: &Sample, tolerances: &Tolerances, acidity: f64) -> Vec<String> {
    let (Some(read), Some(cec)) = (cations(sample), value(sample, Analyte::Cec)) else { return Vec::new() };
    OTHERS
        .iter()
        .filter(|other| closes(sample, tolerances, (other.change)(read), acidity, cec))
        .map(|other| format!("the figures agree if {}", other.words))
        .collect()
}

/// Of the units in which cations are printed, those under which the sheet closes: the factor of each cation and the
/// words. The numbers stand as printed.
pub fn units_that_close(
    sample: &Sample,
    tolerances: &Tolerances,
    acidity: f64,
) -> Vec<(Cations, &'static str)> {
    let (Some(read), Some(cec)) = (cations(sample), value(sample, Analyte::Cec)) else { return Vec::new() };
    let as_read: Reading = Reading { words: "as mg/kg", change: |c| c };
    let pounds: Reading = Reading { words: "as pounds per acre", change: |c| c.map(|v| v / 2.0) };
    let charged: Reading = Reading { words: "as meq/100 g", change: charges };
    [as_read, pounds, charged]
        .into_iter()
        .filter(|way| closes(sample, tolerances, (way.change)(read), acidity, cec))
        .map(|way| ((way.change)([1.0; 4]), way.words))
        .collect()
}

#[cfg(test)]
mod tests {
    use super::super::tests::sample;
    use super::*;
    use crate::soil::Analyte::{Calcium, Cec, Magnesium, Ph, Potassium, Sodium};

    /// K 200, Ca 2400, Mg 360, Na 23 mg/kg: 0.51 + 11.98 + 2.96 + 0.10 = 15.55 cmol(+)/kg, by the equivalents of the
    /// handbooks (K 391, Ca 200.4, Mg 121.5, Na 229.9).
    fn sheet(k: &str, ca: &str, mg: &str, na: &str) -> Sample {
        sample(&[(Ph, "7.1"), (Potassium, k), (Calcium, ca), (Magnesium, mg), (Sodium, na), (Cec, "15.6")])
    }

    fn explained(s: &Sample) -> Vec<String> {
        explanations(s, Tolerances::built_in().unwrap(), 0.0)
    }

    #[test]
    fn each_way_is_found_by_what_adds_up() {
        for (s, words) in [
            (sheet("400", "4800", "720", "46"), "pounds per acre were printed"),
            (sheet("100", "1200", "180", "11.5"), "mg/kg were printed as pounds"),
            (sheet("0.51", "11.98", "2.96", "0.10"), "meq/100 g"),
            // K2O 241, CaO 3358, MgO 597: 200, 2400 and 360 as the elements.
            (sheet("241", "3358", "597", "23"), "as oxides"),
            (sheet("200", "360", "2400", "23"), "calcium and magnesium stand"),
            (sheet("2400", "200", "360", "23"), "potassium and calcium stand"),
        ] {
            let found = explained(&s);
            assert!(found.iter().any(|w| w.contains(words)), "{words}: {found:?}");
        }
    }

    #[test]
    fn a_sheet_that_nothing_explains_has_no_explanation() {
        assert_eq!(explained(&sheet("200", "4200", "360", "23")), Vec::<String>::new());
    }

    #[test]
    fn two_ways_that_close_are_both_named() {
        // Potassium is too small a part: whether it was K2O does not show beside a CEC of one decimal.
        let s = sheet("241", "2400", "360", "23");
        let found = explained(&s);
        assert!(found.iter().any(|w| w.contains("K2O")), "{found:?}");
    }
}
