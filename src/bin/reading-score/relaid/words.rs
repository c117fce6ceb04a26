//! The trade's wordings, out of the reader's own vocabulary files.

use super::rng::Rng;
use loamline::soil::{Analyte, Method};
use std::sync::LazyLock;

/// A wording of a measurement.
#[derive(Debug, Clone)]
pub struct Wording {
    /// What it names.
    pub analyte: Analyte,
    /// The method it names with it.
    pub method: Option<Method>,
    /// As printed.
    pub phrase: String,
    /// The chemical form, as in the file.
    pub form: String,
}

static LINES: LazyLock<Vec<[String; 4]>> = LazyLock::new(|| {
    let text = include_str!("../../../reading/vocabulary.csv");
    let mut reader = csv::Reader::from_reader(text.as_bytes());
    let line = |r: csv::StringRecord| [0, 1, 2, 3].map(|i| r.get(i).unwrap_or_default().to_owned());
    reader.records().flatten().map(line).collect()
});

/// Wordings that hold a unit of their own: the unit is this generator's to add.
const WITH_UNIT: [&str; 18] = [
    "ppm", "lb", "meq", "mg/", "cmol", "mho", "dS/m", "S/m", "s.u.", "0-24", "mmol", "N/A", "(fr)", "w 1:1",
    "g/kg", "pH 7", "g/dm3", "dag/kg",
];

static WORDINGS: LazyLock<Vec<Wording>> = LazyLock::new(|| {
    LINES
        .iter()
        .filter_map(|[target, method, phrase, form]| {
            Some(Wording {
                analyte: Analyte::from_id(target)?,
                method: Method::from_id(method),
                phrase: phrase.clone(),
                form: form.clone(),
            })
        })
        // Whether a contract's extractant measures a micronutrient outside its list is nobody's to guess.
        .filter(|w| w.method.is_some() || !["(MMor)", "(M1)", "(DTPA)"].iter().any(|m| w.phrase.contains(m)))
        .filter(|w| !WITH_UNIT.iter().any(|u| w.phrase.contains(u)))
        .collect()
});

/// True where a wording names a procedure that the contract has no id for.
pub fn foreign(w: &Wording) -> bool {
    w.form == "foreign"
}

/// All wordings of a measurement.
pub fn wordings(analyte: Analyte) -> Vec<Wording> {
    WORDINGS.iter().filter(|w| w.analyte == analyte).cloned().collect()
}

/// Printed forms of a unit, by its id in `soil/units.csv`.
pub fn unit_texts(id: &str) -> Vec<&'static str> {
    let odd = ["(as ", "ppm P", "me %", "m.e.", "Boden", "je 100", "dry soil", "mmol/L", "g/m3", "lb N"];
    LINES
        .iter()
        .filter(|l| l.first().is_some_and(|t| t == "_unit") && l.get(1).is_some_and(|q| q == id))
        .filter_map(|l| l.get(2).map(String::as_str))
        .filter(|t| !odd.iter().any(|o| t.contains(o)) && !names_a_substance(t))
        .collect()
}

/// `mg K2O/100 g`: a unit of one substance alone, and no other spelling of `mg/100 g`.
fn names_a_substance(unit: &str) -> bool {
    const SUBSTANCES: &[&str] = &[
        "P", "K", "Ca", "Mg", "Na", "S", "B", "Cu", "Zn", "Mn", "Fe", "Al", "N", "P2O5", "K2O", "CaO", "MgO",
        "Na2O",
    ];
    unit.split(|c: char| !c.is_ascii_alphanumeric()).skip(1).any(|word| SUBSTANCES.contains(&word))
}

/// Names of a method that stand alone in a note or a column.
pub fn method_text(rng: &mut Rng, method: Method) -> &'static str {
    // Salts are read in the slurry of the pH.
    let method = match method {
        Method::Ec1to1 => Method::Water1to1,
        Method::Ec1to2 => Method::Water1to2,
        other => other,
    };
    let all: Vec<&'static str> = LINES
        .iter()
        .filter(|l| l.first().is_some_and(|t| t == "_method") && l.get(1).is_some_and(|q| q == method.id()))
        .filter_map(|l| l.get(2).map(String::as_str))
        // Two-letter marks and codes stand only where a key explains them.
        .filter(|t| t.len() > 3 && !t.starts_with("S-"))
        .collect();
    rng.word(&all)
}
