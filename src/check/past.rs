//! This site's past as one more witness: a whole sheet that moved by a unit's factor is a slip until shown otherwise.

use super::{Before, hold, only, witness};
use crate::soil::{Analyte, Sample};

/// Ratios to a former season that point to a unit or an oxide: pounds per acre, oxides, both, tenfold.
/// Products of the unit factors in `soil/units.csv` and the oxide factors.
const SLIPS: [(f64, &str); 4] = [
    (2.0, "pounds per acre for mg/kg"),
    (2.2914, "P2O5 for P"),
    (1.2046, "K2O for K"),
    (10.0, "a lost decimal mark"),
];
const WATCHED: [Analyte; 4] = [Analyte::Phosphorus, Analyte::Potassium, Analyte::Calcium, Analyte::Magnesium];
/// How near a ratio must be to a slip's.
const NEAR: f64 = 0.03;

/// Compares with the latest value of the same site, analyte and method that counts.
pub fn check(sample: &mut Sample, before: &[Before]) {
    let ratios: Vec<(Analyte, f64)> = WATCHED
        .into_iter()
        .filter_map(|analyte| {
            let reading = only(sample, analyte)?;
            let before = before.iter().find(|b| b.analyte == analyte && b.method == reading.method)?;
            (before.value > 0.0).then(|| (analyte, reading.quantity.value / before.value))
        })
        .collect();
    if ratios.len() < 3 {
        return;
    }
    for (factor, words) in SLIPS {
        for (target, sense) in [(factor, "larger"), (1.0 / factor, "smaller")] {
            let hits: Vec<Analyte> =
                ratios.iter().filter(|(_, r)| (r / target - 1.0).abs() < NEAR).map(|(a, _)| *a).collect();
            if hits.len() >= 3 && hits.len() == ratios.len() {
                let sentence = format!(
                    "All of these are {factor:.3} times {sense} than this site's last results: {words}?"
                );
                hold(sample, &hits, "unit-slip", &sentence, &[]);
            }
        }
    }
    let steady: Vec<Analyte> =
        ratios.iter().filter(|(_, r)| (0.7..1.4).contains(r)).map(|(a, _)| *a).collect();
    witness(sample, &steady, "near this site's last result");
}
