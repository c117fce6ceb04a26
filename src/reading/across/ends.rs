//! Lines below a table of samples that are none of its rows.

use super::super::band::{Band, Leaf};
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

/// `Calcium   1049   5.23` below `6.2   5.4   0.20`: where the columns of a table have no names of samples and its rows none
/// either, a name of a measurement before numbers begins another table, with what stands between for its heading.
pub(super) fn rows_of_analytes(page: &Layout, band: &Band, lines: Range<usize>) -> Option<usize> {
    let names = |l: &Leaf| l.label.field.is_some() || l.label.role.is_some();
    if page.cells || band.leaves.iter().any(names) {
        return None;
    }
    let figure = |p: &Phrase| p.text().starts_with(|c: char| c.is_ascii_digit() || matches!(c, '<' | '>'));
    let context = Context { symbols: false, capitals: false };
    let mut last = None;
    for at in lines {
        let Some([first, rest @ ..]) = page.lines.get(at).map(|l| l.phrases.as_slice()) else { break };
        if figure(first) {
            last = Some(at);
            continue;
        }
        if !rest.first().is_some_and(figure) {
            continue;
        }
        // A letter may be the name of a plot.
        let said = first.label(context);
        let named = said.is_result() && said.unknown.is_empty() && first.text().chars().count() >= WORD;
        return last.map(|row| row + 1).filter(|_| named);
    }
    None
}

/// Letters of the shortest name of a measurement that is no symbol.
const WORD: usize = 4;

#[cfg(test)]
mod tests {
    use super::super::super::layout::{layout, tests::typed};
    use super::super::super::number::Decimal;
    use super::*;

    #[test]
    fn names_of_measurements_below_rows_without_names_begin_another_table() {
        let end = |head: &str, first: &str, name: &str| {
            let page = layout(&typed(&[
                "Report",
                "",
                head,
                first,
                "Exchangeable cations     mg/kg     cmol/kg   % of CEC",
                &format!("{name}                  1049      5.23      77.0"),
                "Magnesium                140       1.15      16.9",
            ]));
            let context = Context { symbols: true, capitals: false };
            let band = super::super::super::band::bands(&page, context, Decimal::Point).remove(0);
            rows_of_analytes(&page, &band, band.end..page.lines.len())
        };
        let head = "pH in water       pH in CaCl2       EC dS/m      Colwell P mg/kg";
        let row = "6.2               5.4               0.20         78";
        assert_eq!(end(head, row, "Calcium"), Some(3));
        // Letters name plots, and a row with a name lets others have theirs.
        assert_eq!(end(head, row, "Ca"), None);
        assert_eq!(end(head, "Moss   6.2        5.4               0.20         78", "Calcium"), None);
        assert_eq!(
            end("Sample   pH       EC dS/m     P mg/kg", "6.2      5.4      0.20        78", "Calcium"),
            None
        );
    }

    #[test]
    fn what_to_put_down_on_a_sample_is_no_row_of_it() {
        let lime = |text: &str| is_of_lime(&layout(&typed(&[text])).lines[0]);
        assert!(lime("LIME (TONS/ACRE): 00871 1.0     00873 2.0") && lime("Lime: 871 1.0    873 2.0"));
        assert!(!lime("Lime walk: 6.1    4.2") && !lime("Front lawn   6.1    4.2"));
        assert!(!lime("Front: lime 6.1    4.2"));
    }
}
