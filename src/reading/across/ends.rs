//! Lines below a table of samples that are none of its rows.

use super::super::band::Band;
use super::super::layout::{Layout, Line, Phrase};
use super::super::vocabulary::{Context, Field};
use super::super::words::List;
use std::ops::Range;

/// Words beside weights in the heading of a rate.
const OF_RATES: &[&str] =
    &["acre", "ac", "ha", "hectare", "sq", "ft", "m2", "per", "1000", "needed", "required", "rate"];

/// `LIME (TONS/ACRE): 00871 1.0   00873 2.0`: what to put down on which sample, and no sample's row.
pub(super) fn is_of_lime(line: &Line) -> bool {
    let text = line.phrases.iter().map(Phrase::text).collect::<Vec<_>>().join(" ");
    let Some((head, _)) = text.split_once(':') else { return false };
    let lower = head.to_lowercase();
    let mut words = lower.split(|c: char| !c.is_alphanumeric()).filter(|w| !w.is_empty());
    words.next().is_some_and(|w| List::Lime.has(w))
        && words.all(|w| List::Weight.has(w) || OF_RATES.contains(&w))
}

/// The line below the first where the words that ask for the names stand again: what other words beside them ask for is of
/// another table.
pub(super) fn asks_again(page: &Layout, band: &Band, lines: Range<usize>) -> Option<usize> {
    let first = page.lines.get(band.first..band.end)?.iter().find_map(|l| l.phrases.first())?;
    let said = first.label(Context { symbols: false, capitals: false });
    let asks = matches!(said.field, Some(Field::SampleLabel | Field::LabSample));
    let again = |i: &usize| {
        let line = page.lines.get(*i).filter(|l| l.phrases.len() > 2);
        line.and_then(|l| l.phrases.first()).is_some_and(|p| p.text().eq_ignore_ascii_case(first.text()))
    };
    lines.skip(1).find(again).filter(|_| asks && said.unknown.is_empty() && said.analyte.is_none())
}

#[cfg(test)]
mod tests {
    use super::super::super::layout::{layout, tests::typed};
    use super::*;

    #[test]
    fn what_to_put_down_on_a_sample_is_no_row_of_it() {
        let lime = |text: &str| is_of_lime(&layout(&typed(&[text])).lines[0]);
        assert!(lime("LIME (TONS/ACRE): 00871 1.0     00873 2.0") && lime("Lime: 871 1.0    873 2.0"));
        assert!(!lime("Lime walk: 6.1    4.2") && !lime("Front lawn   6.1    4.2"));
        assert!(!lime("Front: lime 6.1    4.2"));
    }
}
