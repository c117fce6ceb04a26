//! A title over a strip of figures that tells of each what it is: `Exchange capacity (meq/100g) and percent base
//! saturation` over `CEC   % K   % Ca`.

use super::super::label::{Label, label};
use super::super::vocabulary::Context;
use super::Leaf;

/// Words between the parts of a title.
const JOINTS: [&str; 8] = ["and", "&", "et", "und", "y", "e", "en", "+"];

/// What a title gives to each of the columns below it, in their order: a unit or nothing. None where a part of it is not
/// understood or of no column, or where a column of results is of no part, or has another unit.
pub fn told(text: &str, leaves: &[Leaf]) -> Option<Vec<Option<(&'static str, String)>>> {
    let words: Vec<&str> = text.split(' ').collect();
    let parts: Vec<Label> = words
        .split(|word| JOINTS.contains(&word.to_lowercase().as_str()))
        .map(|part| label(&part.join(" "), Context { symbols: false, capitals: false }))
        .collect();
    let clear = |part: &Label| {
        let plain = part.unknown.is_empty() && part.methods.is_empty() && part.field.is_none();
        plain && !part.decoy && !part.rating && (part.saturation || part.analyte.is_some())
    };
    if parts.len() < 2 || !parts.iter().all(clear) {
        return None;
    }
    let speaks_of = |part: &Label, leaf: &Leaf| match leaf.label.analyte {
        Some(analyte) if analyte.is_share() => part.saturation && part.analyte.is_none(),
        Some(analyte) => part.analyte == Some(analyte),
        None => false,
    };
    let results = || leaves.iter().filter(|l| l.label.is_result());
    if !parts.iter().all(|part| results().any(|leaf| speaks_of(part, leaf))) {
        return None;
    }
    leaves
        .iter()
        .map(|leaf| {
            if !leaf.label.is_result() {
                return Some(None);
            }
            let part = parts.iter().find(|part| speaks_of(part, leaf))?;
            let unit = part.unit.clone().filter(|_| !part.saturation);
            match (&leaf.label.unit, &unit) {
                (Some(own), Some(told)) if own.0 != told.0 => None,
                (Some(_), _) => Some(None),
                _ => Some(unit),
            }
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::super::super::layout::{layout, tests::typed};
    use super::super::super::number::Decimal;
    use super::super::bands;
    use super::*;
    use crate::soil::Analyte;

    /// Whether the strip is understood, and the unit of its capacity.
    fn of(title: &str, names: &str) -> (bool, Option<&'static str>) {
        let figures = "      13.5      2.0       69.8       15.3       1.2        11.6";
        let page = layout(&typed(&[title, names, figures]));
        let band = bands(&page, Context { symbols: true, capitals: false }, Decimal::Point).remove(0);
        let cec = band.leaves.iter().find(|l| l.label.analyte == Some(Analyte::Cec)).unwrap();
        (!band.unread_above(&page, Decimal::Point), cec.label.unit.as_ref().map(|u| u.0))
    }

    #[test]
    fn a_title_in_parts_tells_of_each_column_what_it_is() {
        let strip = "      CEC       % K       % Ca       % Mg       % Na       % H";
        for title in [
            "Exchange capacity (meq/100g) and percent base saturation",
            "CEC, meq/100 g & base saturation",
            "Percent base saturation and cation exchange capacity meq/100 g",
        ] {
            assert_eq!(of(title, strip), (true, Some("cmol/kg")), "{title}");
        }
    }

    #[test]
    fn a_part_of_no_column_or_of_unknown_words_leaves_it_open() {
        let strip = "      CEC       % K       % Ca       % Mg       % Na       % H";
        for title in [
            "Quibble capacity (meq/100g) and percent base saturation",
            "Potassium (mg/kg) and percent base saturation",
            "Desired CEC (meq/100g) and percent base saturation",
        ] {
            assert_eq!(of(title, strip).1, None, "{title}");
        }
    }
}
