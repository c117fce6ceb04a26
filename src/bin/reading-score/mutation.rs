//! One printed number changed in a report that closes: is the change held? By analyte, with the sheet's chemistry and
//! with the site's past as witnesses.

use super::relaid::{Rng, Soil, draw};
use loamline::check::{self, Before};
use loamline::document::{Limits, open};
use loamline::reading;
use loamline::soil::{Analyte, Report};
use std::collections::BTreeMap;

/// Which witnesses a report has.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Witnesses {
    /// pH, organic matter, P, K and the micronutrients alone.
    Few,
    /// CEC by summation, acidity, saturations, texture.
    Panel,
    /// The panel and last season's results of the site.
    Past,
}

/// Tried and caught.
pub type Counts = BTreeMap<(Witnesses, Analyte), (usize, usize)>;

const COLUMNS: [(Analyte, &str, usize, f64); 25] = [
    (Analyte::Ph, "pH", 1, 1.0),
    (Analyte::BufferPh, "SMP Buffer pH", 2, 1.0),
    (Analyte::OrganicMatter, "Organic Matter %", 1, 1.0),
    (Analyte::Phosphorus, "P ppm", 0, 2.2914),
    (Analyte::Potassium, "K ppm", 0, 1.2046),
    (Analyte::Calcium, "Ca ppm", 0, 1.3992),
    (Analyte::Magnesium, "Mg ppm", 0, 1.6583),
    (Analyte::Sodium, "Na ppm", 0, 1.348),
    (Analyte::Sulfur, "S ppm", 0, 1.0),
    (Analyte::Zinc, "Zn ppm", 1, 1.0),
    (Analyte::Iron, "Fe ppm", 0, 1.0),
    (Analyte::Manganese, "Mn ppm", 0, 1.0),
    (Analyte::Copper, "Cu ppm", 1, 1.0),
    (Analyte::Boron, "B ppm", 1, 1.0),
    (Analyte::SolubleSalts, "EC 1:2 dS/m", 2, 1.0),
    (Analyte::Cec, "CEC meq/100g", 1, 1.0),
    (Analyte::Acidity, "Acidity meq/100g", 1, 1.0),
    (Analyte::SatK, "% K", 1, 1.0),
    (Analyte::SatCa, "% Ca", 1, 1.0),
    (Analyte::SatMg, "% Mg", 1, 1.0),
    (Analyte::SatNa, "% Na", 1, 1.0),
    (Analyte::SatH, "% H", 1, 1.0),
    (Analyte::Sand, "Sand %", 0, 1.0),
    (Analyte::Silt, "Silt %", 0, 1.0),
    (Analyte::Clay, "Clay %", 0, 1.0),
];

const PANEL_ONLY: [Analyte; 14] = [
    Analyte::BufferPh,
    Analyte::Calcium,
    Analyte::Magnesium,
    Analyte::Sodium,
    Analyte::Cec,
    Analyte::Acidity,
    Analyte::SatK,
    Analyte::SatCa,
    Analyte::SatMg,
    Analyte::SatNa,
    Analyte::SatH,
    Analyte::Sand,
    Analyte::Silt,
    Analyte::Clay,
];

type Printed = Vec<(Analyte, &'static str, String)>;

fn print(soil: &Soil, witnesses: Witnesses) -> Printed {
    COLUMNS
        .iter()
        .filter(|(a, ..)| witnesses != Witnesses::Few || !PANEL_ONLY.contains(a))
        .filter_map(|(a, name, decimals, _)| Some((*a, *name, format!("{:.decimals$}", soil.get(*a)?))))
        .collect()
}

fn report(printed: &Printed, past: &[Before]) -> Option<Report> {
    let names: Vec<&str> = printed.iter().map(|(_, n, _)| *n).collect();
    let values: Vec<&str> = printed.iter().map(|(.., v)| v.as_str()).collect();
    let text = format!(
        "Harrowgale Soil Laboratory\nSoil Test Report\n\nSample ID,{}\nFront lawn,{}\n\nExtractant: Mehlich 3. CEC by summation.\n",
        names.join(","),
        values.join(",")
    );
    let document = open(text.as_bytes(), &Limits::default()).ok()?;
    let mut report = reading::read(&document).ok()?.into_iter().next()?;
    check::check(&mut report);
    for sample in &mut report.samples {
        check::against_past(sample, past);
    }
    Some(report)
}

/// The errors that a typist, a printer or a reader makes in one number; `factor` is the oxide's.
fn mutations(text: &str, neighbour: &str, factor: f64) -> Vec<String> {
    let digits: Vec<char> = text.chars().collect();
    let mut out = vec![text.replace('.', ""), neighbour.to_owned()];
    for i in 0..digits.len() {
        let mut swapped = digits.clone();
        if i + 1 < digits.len()
            && digits.get(i).is_some_and(|c| *c != '.')
            && digits.get(i + 1).is_some_and(|c| *c != '.')
        {
            swapped.swap(i, i + 1);
            out.push(swapped.iter().collect());
        }
        let mut dropped = digits.clone();
        if digits.get(i).is_some_and(char::is_ascii_digit) {
            dropped.remove(i);
            out.push(dropped.iter().collect());
            let mut doubled = digits.clone();
            doubled.insert(i, digits.get(i).copied().unwrap_or('0'));
            out.push(doubled.iter().collect());
        }
    }
    let decimals = text.split_once('.').map_or(0, |(_, f)| f.len());
    if let Ok(value) = text.parse::<f64>() {
        for by in [2.0, 0.5, 10.0, 0.1, factor] {
            out.push(format!("{:.decimals$}", value * by));
        }
    }
    out
}

fn season_before(report: &Report, rng: &mut Rng) -> Vec<Before> {
    let readings = report.samples.iter().flat_map(|s| &s.readings);
    readings
        .filter(|r| r.quantity.qualifier.is_none())
        .map(|r| {
            // pH and texture stand still, the rest drifts as between two samplings.
            let still = matches!(
                r.analyte,
                Analyte::Ph | Analyte::BufferPh | Analyte::Sand | Analyte::Silt | Analyte::Clay
            );
            let drift = if still { rng.between(0.98, 1.02) } else { rng.between(0.8, 1.25) };
            Before { analyte: r.analyte, method: r.method, value: r.quantity.value * drift }
        })
        .collect()
}

/// True where the reading of the analyte is accepted.
fn accepted(report: &Report, analyte: Analyte) -> Option<f64> {
    let sample = report.samples.first()?;
    let reading = sample.readings.iter().find(|r| r.analyte == analyte)?;
    (sample.doubts.is_empty() && reading.doubts.is_empty()).then_some(reading.quantity.value)
}

/// Changes every number of so many soils in every way. A change counts where the number moves by more than a tenth
/// (pH: by more than 0.3); it is caught where the number is not accepted. Also: the share of unchanged numbers that
/// were accepted, by witnesses.
pub fn run(seed: u64, soils: u64) -> (Counts, BTreeMap<Witnesses, (usize, usize)>) {
    let mut counts = Counts::new();
    let mut clean: BTreeMap<Witnesses, (usize, usize)> = BTreeMap::new();
    for index in 0..soils {
        let mut rng = Rng::new(seed, index);
        let soil = draw(&mut rng, 0);
        for witnesses in [Witnesses::Few, Witnesses::Panel, Witnesses::Past] {
            let printed = print(&soil, witnesses);
            let Some(plain) = report(&printed, &[]) else { continue };
            let past =
                if witnesses == Witnesses::Past { season_before(&plain, &mut rng) } else { Vec::new() };
            let Some(whole) = report(&printed, &past) else { continue };
            for (place, (analyte, _, text)) in printed.iter().enumerate() {
                let share = clean.entry(witnesses).or_default();
                share.1 += 1;
                let Some(true_value) = accepted(&whole, *analyte) else { continue };
                share.0 += 1;
                let next =
                    printed.get(place + 1).or(printed.first()).map(|p| p.2.clone()).unwrap_or_default();
                let factor = COLUMNS.iter().find(|c| c.0 == *analyte).map_or(1.0, |c| c.3);
                for changed in mutations(text, &next, factor) {
                    let Ok(value) = changed.parse::<f64>() else { continue };
                    let moved = (value - true_value).abs();
                    let least = if matches!(analyte, Analyte::Ph | Analyte::BufferPh) {
                        0.3
                    } else {
                        0.1 * true_value.abs()
                    };
                    if moved <= least || moved < 0.3 && true_value < 1.0 {
                        continue;
                    }
                    let mut other = printed.clone();
                    if let Some(cell) = other.get_mut(place) {
                        cell.2 = changed;
                    }
                    let wrong = report(&other, &past).and_then(|r| accepted(&r, *analyte)).is_some();
                    let entry = counts.entry((witnesses, *analyte)).or_default();
                    entry.0 += 1;
                    entry.1 += usize::from(!wrong);
                }
            }
        }
    }
    (counts, clean)
}
