//! A table of what to put down, under its title: no result, however like one its rows look.

use super::super::label::label;
use super::super::layout::{Layout, Line};
use super::super::recommendation::recommends;
use super::super::units::{Rule, conversion};
use super::super::vocabulary::{Context, Form};
use super::super::words::List;
use super::row::Row;
use crate::soil::Unit;

/// More words are a sentence.
const MOST_WORDS: usize = 9;

/// Lines above the first row among which the title stands.
const LINES: usize = 4;

/// True for `Fertilizer suggestions, lb per acre`: a title that recommends and speaks of no results.
pub fn is_title(line: &Line) -> bool {
    let [phrase] = line.phrases.as_slice() else { return false };
    let text = phrase.text().to_lowercase();
    let results = [
        "result", "analys", "test", "found", "extract", "measured", "résult", "ergebnis", "uitslag",
        "risult", "anális", "analis", "ontled",
    ]
    .iter()
    .any(|w| text.contains(w));
    let counsel = text.split(|c: char| !c.is_alphabetic()).any(|w| List::Counsel.has(w));
    text.split(' ').count() <= MOST_WORDS
        && !text.ends_with('.')
        && !results
        && (counsel || recommends(&text))
}

/// `Amendment   lb per 100 sq ft` over a table: its numbers are counted as what is put down on a lawn or a bed, which no
/// laboratory measures in.
pub fn counts_rates(line: &Line) -> bool {
    line.phrases.iter().any(|p| {
        let said = p.label(Context { symbols: false, capitals: false });
        let rate = said.unit.as_ref().is_some_and(|u| u.0 == RATE);
        rate && said.unknown.is_empty() && said.analyte.is_none()
    })
}

/// The unit of rates on a small area.
const RATE: &str = "lb/1000ft2";

/// True for a table under such a title, or such a heading, that counts phosphate or potash, and nothing that is only measured.
pub fn is_advice(page: &Layout, table: &[Row]) -> bool {
    let Some(first) = table.first() else { return false };
    // The names of the crops stand between.
    let mut below = first.name.area.y0;
    let mut title = None;
    for line in page.lines.iter().take(first.line).rev().take(LINES) {
        let far = if page.cells { below - line.area.y0 > 45.0 } else { below - line.area.y1 > 2.5 * page.em };
        if far || title.is_some() {
            break;
        }
        title = Some(line).filter(|l| is_title(l) || counts_rates(l));
        below = line.area.y0;
    }
    let per_area = |text: &str| {
        let unit = label(text, Context { symbols: false, capitals: false }).unit.clone();
        unit.and_then(|u| conversion(u.0, Unit::MgPerKg))
            .is_some_and(|c| matches!(c.rule, Rule::Area | Rule::AreaMetric))
    };
    // `Nutrient advice, kg/ha` over N, P and K: no row says another unit.
    let counted = title.is_some_and(|l| l.phrases.iter().any(|p| per_area(p.text())))
        && table.iter().all(|r| r.label.unit.is_none());
    let oxide = |r: &Row| matches!(r.label.form, Some(Form::Oxide | Form::OxideOrElement));
    let nutrient =
        |r: &Row| r.label.analyte.is_none_or(|a| a.unit() == Unit::MgPerKg) && r.label.methods.is_empty();
    title.is_some() && (counted || table.iter().any(oxide)) && table.iter().all(nutrient)
}

#[cfg(test)]
mod tests {
    use super::super::super::layout::{layout, tests::typed};
    use super::*;

    #[test]
    fn a_title_in_any_language_says_that_what_follows_is_to_put_down() {
        let title = |text: &str| layout(&typed(&[text])).lines.first().is_some_and(is_title);
        for text in
            ["Fumure conseillée (kg/ha)", "Düngeempfehlung (kg/ha)", "Advies (kg per ha)", "Adubação, kg/ha"]
        {
            assert!(title(text), "{text}");
        }
        for text in ["Résultats et conseils", "Oligo-éléments", "Ergebnisse (kg/ha)", "Nährstoffe mg/100 g"]
        {
            assert!(!title(text), "{text}");
        }
    }
}
