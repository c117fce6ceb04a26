//! Invented soils whose numbers agree with each other, so that no check holds them.
//!
//! A cmol of charge is 200 mg/kg of calcium, 120 of magnesium, 390 of potassium (equivalent weights); the CEC is the sum
//! of these and the acidity.

use loamline::soil::{Analyte, Method};

/// One value of a sample: what, how, and the number as printed.
pub type Value = (Analyte, Method, String);

/// A small generator with a seed (SplitMix64): no two machines differ.
pub struct Chance(u64);

impl Chance {
    pub fn new(seed: u64) -> Self {
        Self(seed.wrapping_mul(0x9E37_79B9_7F4A_7C15) ^ 0x5DEE_CE66)
    }

    /// From 0 to below 1.
    pub fn share(&mut self) -> f64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        ((z ^ (z >> 31)) >> 11) as f64 / (1_u64 << 53) as f64
    }

    fn between(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * self.share()
    }
}

/// The fourteen values of a site in a season. Every third site draws its phosphorus and potassium down.
pub fn values(site: usize, season: usize) -> Vec<Value> {
    let mut own = Chance::new(site as u64);
    let mut year = Chance::new(((site as u64) << 20) ^ (season as u64 + 1));
    let age = season as f64;
    let falling = if site.is_multiple_of(3) { age } else { 0.0 };
    let near = |value: f64, year: &mut Chance| value * year.between(0.97, 1.03);
    let ph = (own.between(5.6, 6.8) * 10.0).round() / 10.0;
    let acidity = ((7.0 - ph) * own.between(1.0, 1.6) * 100.0).round() / 100.0;
    let phosphorus = near(own.between(40.0, 80.0) - 2.0 * falling, &mut year).round();
    let potassium = near(own.between(120.0, 240.0) - 5.0 * falling, &mut year).round();
    let calcium = near(own.between(1_000.0, 2_400.0), &mut year).round();
    let magnesium = near(own.between(120.0, 320.0), &mut year).round();
    let (ca, mg, k) = (calcium / 200.0, magnesium / 120.0, potassium / 390.0);
    let cec = ca + mg + k + acidity;
    let part = |charge: f64| format!("{:.1}", 100.0 * charge / cec);
    vec![
        (Analyte::Ph, Method::Water1to1, format!("{ph:.1}")),
        (Analyte::BufferPh, Method::Sikora, format!("{:.2}", 7.0 - acidity / 12.0)),
        (
            Analyte::OrganicMatter,
            Method::LossOnIgnition,
            format!("{:.1}", near(own.between(2.0, 5.0), &mut year)),
        ),
        (Analyte::Phosphorus, Method::Mehlich3, format!("{phosphorus}")),
        (Analyte::Potassium, Method::Mehlich3, format!("{potassium}")),
        (Analyte::Calcium, Method::Mehlich3, format!("{calcium}")),
        (Analyte::Magnesium, Method::Mehlich3, format!("{magnesium}")),
        (Analyte::Sulfur, Method::Mehlich3, format!("{:.0}", near(own.between(8.0, 24.0), &mut year))),
        (Analyte::Zinc, Method::Mehlich3, format!("{:.1}", near(own.between(1.0, 6.0), &mut year))),
        (Analyte::Cec, Method::Summation, format!("{cec:.1}")),
        (Analyte::SatCa, Method::Unstated, part(ca)),
        (Analyte::SatMg, Method::Unstated, part(mg)),
        (Analyte::SatK, Method::Unstated, part(k)),
        (Analyte::SatH, Method::Unstated, part(acidity)),
    ]
}

/// Whose site it is: twenty sites a client.
pub fn client(site: usize) -> String {
    format!("Invented Client {:05}", site / 20)
}

/// What the client calls it. Words enough that no two names of a client are near to each other.
pub fn label(site: usize) -> String {
    const KINDS: [&str; 5] = ["Lawn", "Paddock", "Orchard", "Terrace", "Meadow"];
    const TREES: [&str; 4] = ["Rowan", "Hazel", "Juniper", "Larch"];
    format!("{} {}", TREES[site / 5 % 4], KINDS[site % 5])
}

/// The year of a season counted from 0.
pub fn year(season: usize) -> i16 {
    2015 + season as i16
}
