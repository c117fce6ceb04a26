//! What a unit says that it counts: `mg P2O5/100 g` the oxide, `mg K/kg` the element.

use super::vocabulary::Form;
use crate::soil::{Analyte, Doubt};

/// The oxides that soils are counted in, beside their elements.
const OXIDES: [(&str, Analyte); 5] = [
    ("P2O5", Analyte::Phosphorus),
    ("K2O", Analyte::Potassium),
    ("CaO", Analyte::Calcium),
    ("MgO", Analyte::Magnesium),
    ("Na2O", Analyte::Sodium),
];

/// The substance that a printed unit names behind its own letters (`Mg/m3` begins with megagrams), and whether as oxide.
fn substance(unit: &str) -> Option<(&str, bool)> {
    let mut words = unit.split(|c: char| !c.is_ascii_alphanumeric()).filter(|w| !w.is_empty()).skip(1);
    words.find_map(|word| {
        let oxide = OXIDES.iter().any(|(name, _)| *name == word);
        let element = word == "N" || Analyte::ALL.iter().any(|a| of_element(*a) && a.symbol() == word);
        (oxide || element).then_some((word, oxide))
    })
}

/// Results that are counted as one element.
fn of_element(analyte: Analyte) -> bool {
    analyte.unit() == crate::soil::Unit::MgPerKg
}

/// The chemical form of a result, by its name and its unit. A unit that counts something else than the name says makes the
/// result wait.
pub fn form(
    analyte: Analyte,
    named: Option<Form>,
    unit: Option<&str>,
    doubts: &mut Vec<Doubt>,
) -> Option<Form> {
    let Some((unit, (word, oxide))) = unit.and_then(|unit| Some((unit, substance(unit)?))) else {
        return named;
    };
    let own = if oxide {
        OXIDES.contains(&(word, analyte))
    } else {
        word == analyte.symbol() || word == "N" && matches!(analyte, Analyte::NitrateN | Analyte::AmmoniumN)
    };
    if !own {
        doubts
            .push(Doubt::new("unit-odd", format!("`{unit}` counts something else than {}.", analyte.name())));
        return named;
    }
    match named {
        None | Some(Form::Plain | Form::Foreign | Form::Oxide | Form::OxideOrElement) if oxide => {
            Some(Form::Oxide)
        }
        Some(Form::OxideOrElement | Form::IonOrElement) => Some(Form::Plain),
        Some(Form::Oxide | Form::Ion) => {
            doubts.push(Doubt::new(
                "form-unclear",
                format!(
                    "The name of this result is that of an oxide or an ion, and `{unit}` counts the element."
                ),
            ));
            named
        }
        _ => named,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn read(analyte: Analyte, named: Form, unit: &str) -> (Option<Form>, usize) {
        let mut doubts = Vec::new();
        let form = form(analyte, Some(named), Some(unit), &mut doubts);
        (form, doubts.len())
    }

    #[test]
    fn a_unit_names_the_oxide_or_the_element() {
        let p = Analyte::Phosphorus;
        assert_eq!(read(p, Form::Plain, "mg P2O5/100 g"), (Some(Form::Oxide), 0));
        assert_eq!(read(p, Form::Foreign, "mg P2O5/100 g"), (Some(Form::Oxide), 0));
        assert_eq!(read(p, Form::OxideOrElement, "mg P/kg"), (Some(Form::Plain), 0));
        assert_eq!(read(p, Form::OxideOrElement, "mg/kg"), (Some(Form::OxideOrElement), 0));
        assert_eq!(read(Analyte::NitrateN, Form::IonOrElement, "mg N/kg"), (Some(Form::Plain), 0));
    }

    #[test]
    fn a_unit_of_something_else_makes_the_result_wait() {
        assert_eq!(read(Analyte::Phosphorus, Form::Oxide, "mg P/kg"), (Some(Form::Oxide), 1));
        assert_eq!(read(Analyte::Magnesium, Form::Plain, "mg K2O/100 g"), (Some(Form::Plain), 1));
        assert_eq!(read(Analyte::NitrateN, Form::Ion, "mg N/kg"), (Some(Form::Ion), 1));
        assert_eq!(read(Analyte::Phosphorus, Form::Oxide, "mg K/kg"), (Some(Form::Oxide), 1));
        assert_eq!(read(Analyte::Potassium, Form::Plain, "mg/kg"), (Some(Form::Plain), 0));
        assert_eq!(read(Analyte::BulkDensity, Form::Plain, "Mg/m3"), (Some(Form::Plain), 0));
    }
}
