//! What the codes of the exchange standard name: an analyte and, where one is fixed, a method. Never a unit.
//!
//! `exchange_codes.csv` holds the element names of AgGateway Modus 1 and the test codes of Modus 1 and Modus 2 whose
//! method is one of ours; for phosphorus it follows the method list, whose detection the supersession list crosses.

use std::collections::BTreeMap;

const TABLE: &str = include_str!("../exchange_codes.csv");

/// Prefix that files leave off the newer codes.
const NEWER: &str = "L_MODV2_SOIL_";

/// The table, read once a document.
#[derive(Default)]
pub(super) struct Codes {
    elements: BTreeMap<String, String>,
    codes: BTreeMap<String, (String, String)>,
    /// The same without the figures that tell how the extract was measured; none where that makes another method of it.
    stems: BTreeMap<String, Option<(String, String)>>,
}

impl Codes {
    /// The table of the program.
    pub(super) fn new() -> Self {
        let mut codes = Self::default();
        let mut reader = csv::Reader::from_reader(TABLE.as_bytes());
        for record in reader.records().flatten() {
            let field = |index: usize| record.get(index).unwrap_or_default().to_owned();
            match record.get(0) {
                Some("element") => drop(codes.elements.insert(field(1), field(2))),
                Some("code") => drop(codes.codes.insert(field(1).to_uppercase(), (field(2), field(4)))),
                _ => {}
            }
        }
        for (code, said) in &codes.codes {
            let Some(stem) = stem(code) else { continue };
            codes
                .stems
                .entry(stem.to_owned())
                .and_modify(|kept| *kept = kept.take().filter(|kept| kept == said))
                .or_insert_with(|| Some(said.clone()));
        }
        codes
    }

    /// The words for the method of a code; none where the code is not known, or where it names another analyte
    /// than the element beside it.
    pub(super) fn method(&self, code: &str, element: &str) -> Option<&str> {
        let code = code.trim().to_uppercase();
        let whole = self.codes.get(&code).or_else(|| self.codes.get(&format!("{NEWER}{code}")));
        let of_stem = || self.stems.get(stem(&code)?)?.as_ref();
        let (analyte, words) = whole.or_else(of_stem)?;
        let agrees = self.elements.get(element.trim()).is_some_and(|named| named == analyte);
        agrees.then_some(words.as_str())
    }
}

/// `S-K-M3` of `S-K-M3.05`: what was measured and in which extract, without the way it was measured, which the figures
/// behind the point tell (AgGateway Modus 1, test codes).
fn stem(code: &str) -> Option<&str> {
    let (stem, _) = code.split_once('.')?;
    (code.starts_with("S-") && stem.matches('-').count() == 2).then_some(stem)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::soil::analyte::Analyte;
    use crate::soil::method::Method;

    fn records() -> Vec<csv::StringRecord> {
        csv::Reader::from_reader(TABLE.as_bytes()).records().map(Result::unwrap).collect()
    }

    #[test]
    fn every_code_names_an_analyte_and_a_method_that_measures_it() {
        let mut seen = std::collections::BTreeSet::new();
        for record in records() {
            assert!(seen.insert((record[0].to_owned(), record[1].to_owned())), "{record:?} twice");
            let analyte = Analyte::from_id(&record[2]).unwrap();
            if &record[0] == "code" {
                assert!(Method::from_id(&record[3]).unwrap().measures(analyte), "{record:?}");
            }
        }
    }

    #[test]
    fn a_code_with_another_way_of_measuring_is_of_its_extract_unless_that_makes_another_method() {
        let codes = Codes::new();
        assert_eq!(codes.method("S-K-M3.05", "K"), Some("Mehlich 3"));
        assert_eq!(codes.method("S-K-M3.99", "K"), Some("Mehlich 3"));
        assert_eq!(codes.method("S-P-M3.99", "P"), None);
        assert_eq!(codes.method("S-K-M3.99", "Ca"), None);
        assert_eq!(codes.method("S-K-QUIBBLE.05", "K"), None);
    }

    #[test]
    fn the_reading_knows_the_words_of_every_method() {
        let vocabulary = include_str!("../../reading/vocabulary.csv");
        let known: Vec<csv::StringRecord> =
            csv::Reader::from_reader(vocabulary.as_bytes()).records().map(Result::unwrap).collect();
        for record in records().iter().filter(|r| &r[0] == "code") {
            let named = known.iter().any(|k| {
                (&k[0] == "_method" || k[0] == record[2])
                    && k[1] == record[3]
                    && k[2].eq_ignore_ascii_case(&record[4])
            });
            assert!(named, "{record:?}");
        }
    }

    #[test]
    fn a_code_that_contradicts_its_element_or_is_unknown_names_no_method() {
        let codes = Codes::new();
        assert_eq!(codes.method("S-P-M3.04", "P"), Some("Mehlich 3"));
        assert_eq!(codes.method("S-P-M3.01.03", "P"), Some("Mehlich-3 colorimetric"));
        assert_eq!(codes.method("P_033", "P"), Some("Mehlich-3 colorimetric"));
        assert_eq!(codes.method("L_MODV2_SOIL_P_045", "P"), Some("Olsen"));
        assert_eq!(codes.method("S-P-M3.04", "K"), None);
        assert_eq!(codes.method("S-P-NEW.99", "P"), None);
        assert_eq!(codes.method("S-P-M3BRAYP1.19", "P"), None);
    }
}
