//! What the title of a report says of all its results: `Report on soils, Mehlich-3 extraction`.

use super::super::label::label;
use super::super::layout::Layout;
use super::super::vocabulary::Context;
use super::super::words::List;
use super::method::adapt;
use crate::soil::{Analyte, Method};

/// The methods that titles name.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Titled {
    /// Of the whole report.
    sure: Vec<Method>,
    /// Beside words that may say anything.
    unsure: Vec<Method>,
}

/// Several methods are named in titles, or one among words that are not known.
#[derive(Debug, PartialEq)]
pub struct Unclear(pub Vec<Method>);

/// More words make a sentence.
const MOST_WORDS: usize = 12;

impl Titled {
    /// Takes in the lines above the first field and the first table of a page.
    pub fn add(&mut self, page: &Layout, end: usize) {
        for text in
            page.lines.iter().take(end).filter(|l| !l.footnote).flat_map(|l| &l.phrases).map(|p| p.text())
        {
            if text.split(' ').count() <= MOST_WORDS && !text.contains(':') {
                self.read(text);
            }
        }
    }

    fn read(&mut self, text: &str) {
        let said = label(text, Context { symbols: false, capitals: false });
        let [Some(method)] = said.methods.as_slice() else {
            self.unsure.extend(said.methods.iter().flatten());
            return;
        };
        let extracts = [Analyte::Phosphorus, Analyte::Potassium, Analyte::Zinc];
        if !extracts.iter().any(|a| method.measures(*a)) {
            return;
        }
        let known = |w: &String| List::Title.has(w.to_lowercase().trim_end_matches('.'));
        let whole = said.analyte.is_none() && !said.decoy && !said.other && said.unknown.iter().all(known);
        let list = if whole { &mut self.sure } else { &mut self.unsure };
        list.push(*method);
    }

    /// The method that titles give an analyte.
    ///
    /// # Errors
    /// The methods that may be meant, where it is not clear which is, or whether one is.
    pub fn method(&self, analyte: Analyte) -> Result<Option<Method>, Unclear> {
        let of =
            |list: &[Method]| -> Vec<Method> { list.iter().filter_map(|m| adapt(*m, analyte)).collect() };
        let sure = of(&self.sure);
        let mut all = [sure.clone(), of(&self.unsure)].concat();
        all.sort_by_key(|m| m.id());
        all.dedup();
        match all.as_slice() {
            [] => Ok(None),
            [one] if sure.contains(one) => Ok(Some(*one)),
            _ => Err(Unclear(all)),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::super::super::layout::{layout, tests::typed};
    use super::*;

    fn of(lines: &[&str], analyte: Analyte) -> Result<Option<Method>, Unclear> {
        let mut titled = Titled::default();
        titled.add(&layout(&typed(lines)), lines.len());
        titled.method(analyte)
    }

    #[test]
    fn a_title_names_the_extract_of_what_it_can_measure() {
        let title = ["Hob Mill Trust", "Report on soils, Mehlich-3 extraction, volume basis"];
        assert_eq!(of(&title, Analyte::Zinc), Ok(Some(Method::Mehlich3)));
        assert_eq!(of(&title, Analyte::Ph), Ok(None));
    }

    #[test]
    fn several_methods_or_unknown_words_are_sure_of_none() {
        let several = ["Mehlich-3 soil test", "Soil test, DTPA extraction"];
        assert!(of(&several, Analyte::Zinc).is_err());
        assert_eq!(of(&several, Analyte::Phosphorus), Ok(Some(Method::Mehlich3)));
        assert!(of(&["Quibbled with Mehlich-3 soil"], Analyte::Zinc).is_err());
        assert!(of(&["Mehlich-3 or Bray P1 soil test"], Analyte::Phosphorus).is_err());
    }
}
