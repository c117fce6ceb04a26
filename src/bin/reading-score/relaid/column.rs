//! The measurements of a variant: wording, unit and method of each, and what a careful reader takes from them.

use super::rng::Rng;
use super::words::{Wording, foreign, wordings};
use loamline::soil::{Analyte, Method, Unit};

/// Whether a careful reader takes the number without a person.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Verdict {
    /// Takes it.
    Accept,
    /// Must not.
    Hold,
    /// May do either, but never with another value.
    Free,
}

impl Verdict {
    /// The word in the truth's column `status`.
    pub fn word(self) -> &'static str {
        match self {
            Self::Accept => "accepted",
            Self::Hold => "held",
            Self::Free => "free",
        }
    }

    /// The more careful of two.
    pub fn and(self, other: Self) -> Self {
        match (self, other) {
            (Self::Hold, _) | (_, Self::Hold) => Self::Hold,
            (Self::Free, _) | (_, Self::Free) => Self::Free,
            _ => Self::Accept,
        }
    }
}

/// One measurement as the variant prints it.
#[derive(Debug, Clone)]
pub struct Column {
    /// What.
    pub analyte: Analyte,
    /// Its name as printed.
    pub name: String,
    /// Its unit as printed; empty where none is.
    pub unit: String,
    /// Canonical value = printed x this.
    pub factor: f64,
    /// Decimals printed.
    pub decimals: usize,
    /// The method it was measured by, stated somewhere or not.
    pub measured: Option<Method>,
    /// Whether its name states the method.
    pub named: bool,
    /// Whether its name holds a procedure that the contract has no id for.
    pub foreign: bool,
    /// Whether the number is per volume of soil.
    pub volume: bool,
    /// What a careful reader does.
    pub verdict: Verdict,
}

/// How a variant speaks.
#[derive(Debug, Clone)]
pub struct Speech {
    /// Method of each measurement.
    pub methods: Vec<(Analyte, Method)>,
    /// Names of results state their method.
    pub name_methods: bool,
    /// Unit of the major and of the minor nutrients; empty where none is stated.
    pub units: [&'static str; 2],
    /// The document's text for each unit.
    pub texts: Vec<(&'static str, &'static str)>,
    /// Canonical value = printed x this, where no unit is stated.
    pub unstated: f64,
    /// Layer in inches, where the report states one.
    pub inches: Option<f64>,
    /// Kilograms per hectare are ppm times this, where the report says so.
    pub hectare: Option<f64>,
    /// Chemical symbols instead of words.
    pub symbols: bool,
    /// Doubtful wordings may be used.
    pub doubtful: bool,
    /// Oxides may be used.
    pub oxides: bool,
}

/// Factors by atomic weights, from the handbooks' own roundings.
fn oxide_factor(analyte: Analyte) -> Option<f64> {
    Some(match analyte {
        Analyte::Phosphorus => 0.4364,
        Analyte::Potassium => 0.8302,
        Analyte::Calcium => 0.7147,
        Analyte::Magnesium => 0.6030,
        Analyte::Sodium => 0.7419,
        _ => return None,
    })
}

fn charge(analyte: Analyte) -> Option<f64> {
    Some(match analyte {
        Analyte::Potassium => 390.98,
        Analyte::Calcium => 200.39,
        Analyte::Magnesium => 121.53,
        Analyte::Sodium => 229.9,
        _ => return None,
    })
}

fn plain_decimals(analyte: Analyte) -> usize {
    use Analyte::*;
    match analyte {
        SolubleSalts | BulkDensity | Boron => 2,
        Ph | BufferPh | OrganicMatter | Zinc | Copper | Manganese | Cec | Acidity | NitrateN | SatK
        | SatNa => 1,
        _ => 0,
    }
}

/// A wording, preferring the document's habit.
fn wording(rng: &mut Rng, analyte: Analyte, speech: &Speech) -> Option<Wording> {
    let measured = method_of(analyte, speech);
    let fits = |w: &Wording| match w.method {
        None => true,
        Some(m) => {
            speech.name_methods && measured == Some(m) || analyte == Analyte::Ph && measured == Some(m)
        }
    };
    let mut all: Vec<Wording> = wordings(analyte).into_iter().filter(fits).collect();
    if speech.name_methods && all.iter().any(|w| w.method.is_some()) && rng.chance(0.8) {
        all.retain(|w| w.method.is_some());
    }
    let doubtful = speech.doubtful && rng.chance(0.15);
    let oxide = speech.oxides && rng.chance(0.4);
    all.retain(|w| match w.form.as_str() {
        "" => !oxide || !wordings(analyte).iter().any(|x| x.form == "oxide"),
        "oxide" => oxide,
        // The numbers of these soils are counted as the element.
        "ion" => false,
        _ => doubtful,
    });
    all.retain(|w| doubtful || !foreign(w));
    if !rng.chance(0.04) {
        all.retain(|w| w.phrase.is_ascii() || w.form == "oxide");
    }
    let short = |w: &Wording| w.phrase.chars().count() <= 3;
    if speech.symbols && all.iter().any(short) && rng.chance(0.9) {
        all.retain(short);
    }
    rng.pick(&all)
}

/// The method of a measurement in this variant.
pub fn method_of(analyte: Analyte, speech: &Speech) -> Option<Method> {
    speech.methods.iter().find(|(a, _)| *a == analyte).map(|(_, m)| *m)
}

/// A unit for a measurement: id, factor to the canonical unit, decimals on top of the plain ones.
fn unit(rng: &mut Rng, analyte: Analyte, speech: &Speech, oxide: bool) -> (&'static str, f64, i32) {
    let cation = charge(analyte).filter(|_| !oxide);
    let of_id = |id: &'static str| -> Option<(&'static str, f64, i32)> {
        Some(match id {
            "mg/kg" | "mg/dm3" | "mg/L" => (id, 1.0, 0),
            "lb/acre" => (id, 0.5, 0),
            "kg/ha" => (id, speech.hectare.map_or(0.4464, |h| 1.0 / h), 0),
            "mg/100g" => (id, 10.0, 1),
            "cmol/kg" => (id, cation?, 2),
            "mmol/kg" => (id, cation? * 0.1, 1),
            _ => return None,
        })
    };
    match analyte.unit() {
        Unit::One => ("", 1.0, 0),
        Unit::MgPerKg => {
            let [major, minor] = speech.units;
            let majors = [
                Analyte::Phosphorus,
                Analyte::Potassium,
                Analyte::Calcium,
                Analyte::Magnesium,
                Analyte::Sodium,
            ];
            let common = if majors.contains(&analyte) { major } else { minor };
            let own = match rng.below(30) {
                0 if !common.is_empty() => rng.word(&["mg/kg", "lb/acre", "mg/dm3", "mg/100g"]),
                1 | 2 if cation.is_some() => "cmol/kg",
                3 if cation.is_some() => "mmol/kg",
                _ => common,
            };
            of_id(own).unwrap_or(("", speech.unstated, 0))
        }
        Unit::Percent if analyte == Analyte::OrganicMatter && rng.chance(0.08) => ("g/kg", 0.1, -1),
        Unit::Percent => ("%", 1.0, 0),
        Unit::DeciSiemensPerMetre => rng
            .pick(&[("dS/m", 1.0, 0), ("dS/m", 1.0, 0), ("uS/cm", 0.001, -2), ("mS/m", 0.01, -1)])
            .unwrap_or(("dS/m", 1.0, 0)),
        Unit::CentimolePerKg if rng.chance(0.07) => ("mmol/kg", 0.1, 0),
        Unit::CentimolePerKg => ("cmol/kg", 1.0, 0),
        Unit::GramPerCm3 => ("g/cm3", 1.0, 0),
    }
}

fn mobile(analyte: Analyte) -> bool {
    matches!(analyte, Analyte::NitrateN | Analyte::AmmoniumN | Analyte::Chloride)
}

/// What a careful reader makes of pounds per acre of this layer: two million pounds stand for 6 to 8 inches; what
/// moves with water is counted by its own layer.
fn pounds(analyte: Analyte, inches: Option<f64>) -> Verdict {
    match inches {
        Some(i) if (5.9..=7.0).contains(&i) => Verdict::Accept,
        Some(i) if (5.9..=8.0).contains(&i) && !mobile(analyte) && analyte != Analyte::Sulfur => {
            Verdict::Accept
        }
        Some(i) if (5.9..=8.0).contains(&i) => Verdict::Free,
        None if mobile(analyte) => Verdict::Hold,
        None => Verdict::Free,
        // The cations may still be settled by the CEC that they sum to.
        Some(_) if charge(analyte).is_some() => Verdict::Free,
        Some(_) => Verdict::Hold,
    }
}

/// The column of a measurement.
pub fn column(rng: &mut Rng, analyte: Analyte, speech: &Speech) -> Option<Column> {
    let w = wording(rng, analyte, speech)?;
    let oxide = w.form == "oxide";
    let (unit_id, mut factor, more) = match w.phrase.contains('%') {
        // The wording states the unit itself.
        true => ("%", 1.0, 0),
        false => unit(rng, analyte, speech, oxide),
    };
    let mut verdict = match w.form.as_str() {
        "" | "oxide" | "foreign" => Verdict::Accept,
        // An effective capacity is clear where its method says that it was summed, and only there.
        "unclear" if analyte == Analyte::Cec => Verdict::Free,
        // Clear where its unit stands by it.
        "by-unit" => Verdict::Free,
        _ => Verdict::Hold,
    };
    let odd = foreign(&w);
    if odd {
        verdict = verdict.and(Verdict::Free);
    }
    if oxide {
        factor *= oxide_factor(analyte)?;
    }
    let volume = matches!(unit_id, "mg/dm3" | "mg/L");
    verdict = verdict.and(match unit_id {
        "lb/acre" => pounds(analyte, speech.inches),
        "kg/ha" if speech.hectare.is_none() => Verdict::Hold,
        // Whatever the factor is, a layer of water-borne nitrogen has its own.
        "kg/ha" if mobile(analyte) => Verdict::Free,
        "" if analyte.unit() == Unit::MgPerKg => Verdict::Free,
        _ => Verdict::Accept,
    });
    // A buffer without a name serves no lime table; charge per volume and oxide need a second look.
    let unnamed = analyte == Analyte::BufferPh || analyte == Analyte::LimeIndex;
    let mut text = speech.texts.iter().find(|(id, _)| *id == unit_id).map_or("", |(_, t)| *t);
    if w.phrase.contains('%') {
        text = "";
    }
    if unnamed && method_of(analyte, speech).is_none() {
        verdict = verdict.and(Verdict::Free);
    }
    let decimals = i32::try_from(plain_decimals(analyte)).unwrap_or(0) + more;
    Some(Column {
        analyte,
        named: w.method.is_some(),
        name: w.phrase,
        unit: text.to_owned(),
        factor,
        decimals: usize::try_from(decimals).unwrap_or(0),
        measured: method_of(analyte, speech).filter(|_| !odd),
        foreign: odd,
        volume,
        verdict,
    })
}
