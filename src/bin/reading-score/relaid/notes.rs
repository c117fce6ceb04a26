//! The sentences of a variant: methods, units, keys, and talk with numbers that are no results.

use super::column::Column;
use super::rng::Rng;
use super::words::method_text;
use loamline::soil::{Analyte, Method, Unit};

/// Where a report states its methods.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Stated {
    /// In the names of the results.
    Names,
    /// In a column, or a row of the heading.
    Column,
    /// In a note, list by list.
    Lists,
    /// In a note, one extractant for all.
    Extractant,
    /// Nowhere.
    Nowhere,
}

/// The names that a note uses.
fn spoken(analyte: Analyte) -> &'static str {
    match analyte {
        Analyte::OrganicMatter => "organic matter",
        Analyte::BufferPh => "buffer pH",
        Analyte::SolubleSalts => "soluble salts",
        other => other.symbol(),
    }
}

/// `P by weak Bray; K, Ca, Mg by ammonium acetate; pH in 1:1 water.`
pub fn methods(rng: &mut Rng, columns: &[Column]) -> String {
    let mut lists: Vec<(Method, Vec<&'static str>)> = Vec::new();
    for c in columns {
        let Some(method) = c.measured else { continue };
        match lists.iter_mut().find(|(m, _)| *m == method) {
            Some((_, names)) => names.push(spoken(c.analyte)),
            None => lists.push((method, vec![spoken(c.analyte)])),
        }
    }
    let parts: Vec<String> = lists
        .into_iter()
        .map(|(m, names)| {
            let text = method_text(rng, m);
            format!("{} by {text}", names.join(", "))
        })
        .collect();
    let lead = rng.word(&["", "Methods: ", "Procedures: ", "Analysis: "]);
    format!("{lead}{}.", parts.join("; "))
}

/// `Extractant: Mehlich 3.`
pub fn extractant(rng: &mut Rng, method: Method) -> String {
    let text = method_text(rng, method);
    let frame =
        rng.word(&["Extractant: {}.", "Nutrients extracted with {}.", "All nutrients by {} extraction."]);
    frame.replace("{}", text)
}

/// `All nutrient results are in ppm.`
pub fn unit(rng: &mut Rng, text: &str) -> String {
    rng.word(&[
        "All results are in {} unless noted.",
        "Nutrient results are reported in {}.",
        "All nutrients in {}.",
    ])
    .replace("{}", text)
}

/// True where one unit of the nutrients can stand in a note for all.
pub fn one_unit(columns: &[Column]) -> Option<String> {
    let mut nutrients = columns.iter().filter(|c| c.analyte.unit() == Unit::MgPerKg);
    let first = nutrients.next()?;
    (!first.unit.is_empty() && nutrients.all(|c| c.unit == first.unit)).then(|| first.unit.clone())
}

/// Talk with numbers that are no results.
pub fn talk(rng: &mut Rng) -> Vec<String> {
    const TALK: [&str; 14] = [
        "Apply 2 lb of nitrogen per 1000 sq ft in May and again in September.",
        "A pH of 6.5 is best for most lawns.",
        "Last season the potassium level stood at 212 ppm.",
        "Phosphorus above 50 ppm needs no more.",
        "Lime at 50 lb per 1000 sq ft, not more than once a year.",
        "Optimum ranges: P 25-50 ppm, K 120-180 ppm, Mg 60-120 ppm.",
        "The buffer pH target is 6.8.",
        "1 lb per 1000 sq ft is 43.56 lb per acre.",
        "Recommendation: N 120, P2O5 40, K2O 60 lb/acre for cool-season grass.",
        "Call 555-0142 with questions. Suite 210, box 1187.",
        "Organic matter of 3 to 5 % holds water well.",
        "Samples are kept for 30 days.",
        "To convert ppm to lb/acre multiply by two.",
        "Rates for a yield goal of 150 bu/acre.",
    ];
    (0..rng.below(4)).map(|_| rng.word(&TALK).to_owned()).collect()
}
