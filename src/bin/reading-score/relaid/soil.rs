//! Soils whose numbers agree with each other: drawn ones, and the compact table of printed results.

use super::rng::Rng;
use loamline::soil::{Analyte, Method};

/// The measurements of one sample in canonical units, before rounding to print.
#[derive(Debug, Clone, Default)]
pub struct Soil {
    /// The buffer that `buffer_ph` was read in.
    pub buffer: Option<Method>,
    /// Measurements.
    pub values: Vec<(Analyte, f64)>,
}

impl Soil {
    /// A measurement.
    pub fn get(&self, analyte: Analyte) -> Option<f64> {
        self.values.iter().find(|(a, _)| *a == analyte).map(|(_, v)| *v)
    }
}

/// Acidity in cmol(+)/kg is slope x (start - buffer pH): the same figures as `soil/buffers.csv`.
const BUFFERS: [(Method, f64, f64); 3] =
    [(Method::Smp, 12.0, 7.0), (Method::AdamsEvans, 8.0, 8.0), (Method::Woodruff, 10.0, 7.0)];

/// Milligrams per kilogram that are 1 cmol(+)/kg; the round figures of the trade (K 391, Ca 200, Mg 121.5, Na 230).
const CHARGES: [(Analyte, Analyte, f64); 4] = [
    (Analyte::Potassium, Analyte::SatK, 391.0),
    (Analyte::Calcium, Analyte::SatCa, 200.4),
    (Analyte::Magnesium, Analyte::SatMg, 121.5),
    (Analyte::Sodium, Analyte::SatNa, 229.9),
];

/// Draws a soil whose cations, acidity, CEC and saturations close.
pub fn draw(rng: &mut Rng, buffer: usize) -> Soil {
    let ph = rng.between(4.9, 8.1);
    let cec = rng.between(3.0, 32.0);
    let h = if ph >= 7.0 { 0.0 } else { (7.0 - ph) * rng.between(9.0, 16.0) };
    let k = rng.between(1.2, 6.0);
    let mg = rng.between(6.0, 22.0);
    let na = rng.between(0.2, 2.5);
    let shares = [k, 100.0 - h - k - mg - na, mg, na];
    let mut values = vec![(Analyte::Ph, ph), (Analyte::Cec, cec), (Analyte::SatH, h)];
    values.push((Analyte::Acidity, cec * h / 100.0));
    for ((cation, sat, charge), share) in CHARGES.into_iter().zip(shares) {
        values.push((sat, share));
        values.push((cation, share * cec / 100.0 * charge));
    }
    let own = BUFFERS.get(buffer % BUFFERS.len());
    if let Some((_, slope, start)) = own.filter(|_| h > 0.0) {
        values.push((Analyte::BufferPh, start - cec * h / 100.0 / slope));
    }
    let sand = rng.between(15.0, 80.0).round();
    let clay = rng.between(5.0, 95.0 - sand.min(80.0)).round().min(100.0 - sand);
    for (analyte, low, high) in [
        (Analyte::OrganicMatter, 0.8, 7.5),
        (Analyte::Phosphorus, 4.0, 110.0),
        (Analyte::Sulfur, 2.0, 30.0),
        (Analyte::Zinc, 0.4, 8.0),
        (Analyte::Iron, 8.0, 180.0),
        (Analyte::Manganese, 2.0, 60.0),
        (Analyte::Copper, 0.2, 5.0),
        (Analyte::Boron, 0.2, 1.8),
        (Analyte::NitrateN, 1.0, 40.0),
        (Analyte::AmmoniumN, 1.0, 12.0),
        (Analyte::SolubleSalts, 0.06, 1.6),
        (Analyte::Chloride, 4.0, 50.0),
        (Analyte::Aluminum, 60.0, 900.0),
        (Analyte::BulkDensity, 0.95, 1.6),
    ] {
        values.push((analyte, rng.between(low, high)));
    }
    values.extend([(Analyte::Sand, sand), (Analyte::Clay, clay), (Analyte::Silt, 100.0 - sand - clay)]);
    Soil { buffer: own.map(|b| b.0), values }
}

/// The printed results that are laid out anew.
pub fn table() -> Vec<Soil> {
    let text = include_str!("../../../../fixtures/relaid/soils.csv");
    let mut reader = csv::Reader::from_reader(text.as_bytes());
    let heads = reader.headers().cloned().unwrap_or_default();
    reader
        .records()
        .flatten()
        .map(|record| {
            let cells: Vec<(&str, &str)> = heads.iter().zip(record.iter()).collect();
            let values =
                cells.iter().filter_map(|(h, c)| Some((Analyte::from_id(h)?, c.parse().ok()?))).collect();
            let buffer = cells.iter().find(|(h, _)| *h == "buffer_method");
            Soil { buffer: buffer.and_then(|(_, c)| Method::from_id(c)), values }
        })
        .collect()
}
