//! What belongs to the heading among the rows below it: its last lines, units under the boxes, headings without values.

use super::super::atom::{Atom, Kind};
use super::super::band::Band;
use super::super::below::is_mark_of_none;
use super::super::found::FoundSample;
use super::super::header::leading_field;
use super::super::label::label;
use super::super::layout::{Layout, Phrase};
use super::super::notes::{method_told, strange_words};
use super::super::vocabulary::{Context, Field};
use super::super::words::List;
use super::names::asks_for_a_name;
use super::row::{text_heading, value_count};
use crate::place::Rect;
use crate::soil::Analyte;

/// `ID` or `No.` where a name should stand: a line of the heading whose figures look like values.
pub(super) fn is_heading_row(sample: &FoundSample) -> bool {
    sample
        .fields
        .iter()
        .any(|(field, text)| matches!(field, Field::SampleLabel | Field::LabSample) && asks_for_a_name(text))
        // `Location` alone asks for a name where the figures beside it stand for no values.
        || sample.field(Field::SampleLabel).is_some_and(|text| {
            let said = label(text, Context { symbols: false, capitals: false });
            said.field.is_some() && said.unknown.is_empty() && !text.contains(' ')
        }) && sample.readings.iter().all(|r| r.number.decimals == 0)
}

/// A form of boxes: name over value over unit. The heading with the units of the line right below its row, each given to
/// the box it stands in; nothing where that line holds anything else.
pub(super) fn units_below(page: &Layout, line: usize, band: &Band) -> Option<Band> {
    let (row, below) = (page.lines.get(line.checked_sub(1)?)?, page.lines.get(line)?);
    if page.cells || below.area.y0 - row.area.y1 > 0.8 * page.em || below.phrases.len() > band.leaves.len() {
        return None;
    }
    let mut out = band.clone();
    let mut last = None;
    for phrase in &below.phrases {
        let said = phrase.label(Context { symbols: false, capitals: false });
        if said.unit.is_none() || !said.unknown.is_empty() || said.analyte.is_some() {
            return None;
        }
        // Set in the middle of its box a long unit begins before a short name.
        let over = |l: &super::super::band::Leaf| l.area.overlap_x(&phrase.area) > 0.0;
        let mut under = band.leaves.iter().enumerate().filter(|(_, l)| over(l)).map(|(i, _)| i);
        let at = match (under.next(), under.next()) {
            (Some(one), None) => one,
            _ => band.leaves.iter().rposition(|l| l.area.x0 <= phrase.area.x0 + 1.0)?,
        };
        let leaf = out.leaves.get_mut(at)?;
        if last == Some(at) || leaf.label.unit.is_some() {
            return None;
        }
        last = Some(at);
        leaf.label.unit.clone_from(&said.unit);
    }
    last.map(|_| out)
}

/// Boxes that say under value and unit how each was measured, `Olsen` under `mg/kg`: the heading with the methods of the
/// line right below, each given to the box it stands in. Words that nobody knows leave the result of their box unsure;
/// nothing where the line is one of other things: it names a method and mostly ways of measuring, and no measurement.
pub(super) fn methods_below(page: &Layout, line: usize, band: &Band, context: Context) -> Option<Band> {
    let (row, below) = (page.lines.get(line.checked_sub(1)?)?, page.lines.get(line)?);
    if page.cells || below.area.y0 - row.area.y1 > 0.8 * page.em || below.phrases.len() > band.leaves.len() {
        return None;
    }
    let mut out = band.clone();
    let mut last = None;
    let (mut named, mut known) = (false, 0);
    for phrase in &below.phrases {
        let text = phrase.text();
        let said = label(text, Context { symbols: false, capitals: false });
        let mut under = band
            .leaves
            .iter()
            .enumerate()
            .filter(|(_, l)| l.area.overlap_x(&phrase.area) > 0.0)
            .map(|(i, _)| i);
        let (Some(at), None) = (under.next(), under.next()) else { return None };
        let leaf = out.leaves.get_mut(at)?;
        let analyte = leaf.label.analyte?;
        let other = said.analyte.is_some_and(|a| a != analyte) || said.field.is_some() || said.unit.is_some();
        let figure = text.starts_with(|c: char| c.is_ascii_digit() || matches!(c, '<' | '>'));
        if last == Some(at) || !leaf.label.methods.is_empty() || other || figure || said.decoy || said.rating
        {
            return None;
        }
        last = Some(at);
        let methods = method_told(text, analyte, context);
        let strange = if methods.is_empty() { strange_words(text, context) } else { Vec::new() };
        named |= !methods.is_empty();
        known += usize::from(strange.is_empty());
        leaf.label.unknown.extend(strange);
        leaf.label.methods.extend(methods);
    }
    (named && known * 2 > below.phrases.len()).then_some(out)
}

/// A line of a heading that says how each column was measured: `colorimetric` among `Bray 1` and `DTPA` names no extract,
/// and is nothing that leaves its column unsure. Phosphorus is told apart by how it was counted, and a CEC by whether it was summed.
pub(super) fn without_procedures(page: &Layout, band: &Band) -> Band {
    let context = Context { symbols: false, capitals: false };
    let mut out = band.clone();
    for line in page.lines.get(band.first..band.end).unwrap_or_default() {
        let method = |p: &&Phrase| {
            let said = p.label(context);
            !said.methods.is_empty() && said.analyte.is_none() && said.unknown.is_empty()
        };
        if line.phrases.iter().filter(method).count() < METHODS {
            continue;
        }
        let procedure = |p: &&Phrase| p.text().split(' ').all(|w| List::Procedure.has(&w.to_lowercase()));
        for phrase in line.phrases.iter().filter(procedure) {
            for leaf in out.leaves.iter_mut().filter(|l| l.area.overlap_x(&phrase.area) > 0.0) {
                if leaf.label.analyte.is_some_and(|a| !matches!(a, Analyte::Phosphorus | Analyte::Cec)) {
                    leaf.label.unknown.retain(|word| !phrase.text().split(' ').any(|w| w == word));
                }
            }
        }
    }
    out
}

/// So many methods side by side are a line of methods.
const METHODS: usize = 2;

/// Words of the heading that name no column and stand over no values are a neighbour's: neither of the two is sure of the
/// method, the unit or the season that it does not name itself.
pub(super) fn without_values(
    band: &Band,
    columns: &[super::super::align::Column],
    rows: &[Vec<Atom>],
) -> Band {
    let mut out = band.clone();
    let words = |i: usize| {
        let mut words = rows.iter().flatten().filter(|a| matches!(a.kind, Kind::Text));
        words.any(|a| text_heading(a, band) == Some(i))
    };
    for (i, leaf) in band.leaves.iter().enumerate() {
        if leaf.label.names_column() || columns.iter().any(|c| c.heading == Some(i)) || words(i) {
            continue;
        }
        let said = &leaf.label;
        let procedure = !said.methods.is_empty() || !said.unknown.is_empty();
        for beside in [i.checked_sub(1), i.checked_add(1)].into_iter().flatten() {
            if let Some(l) = out.leaves.get_mut(beside).map(|l| &mut l.label).filter(|l| l.is_result())
                && (said.year.is_some() && l.year.is_none()
                    || procedure && l.methods.is_empty()
                    || said.unit.is_some() && l.unit.is_none())
            {
                l.unknown.push("words beside it".to_owned());
            }
        }
    }
    out
}

/// A heading over two columns of values of which the other found no heading of its own: either may be the value.
pub(super) fn two_under_one(columns: &mut [super::super::align::Column], headings: &[Rect]) {
    let all = columns.to_vec();
    let own = |c: &super::super::align::Column| {
        c.heading.and_then(|h| headings.get(h)).is_some_and(|h| h.overlap_x(&c.area) > 0.0)
    };
    for (i, column) in columns.iter_mut().enumerate() {
        let Some(heading) = column.heading.and_then(|h| headings.get(h)) else { continue };
        let other = all.iter().enumerate().any(|(k, c)| k != i && !own(c) && c.area.overlap_x(heading) > 0.0);
        column.sure &= !other;
    }
}

/// A line among the rows that names what stands in columns: what follows may have another heading, which was not read.
pub(super) fn is_another_heading(page: &Layout, line: usize, atoms: &[Atom]) -> bool {
    let names = |p: &&super::super::layout::Phrase| {
        let said = p.label(Context { symbols: false, capitals: false });
        let column = said.analyte.is_some() || said.unit.is_some() || !said.methods.is_empty();
        // `BD` under each of several columns is a mark, and no name of a measurement.
        (column || said.field.is_some() || said.role.is_some())
            && said.unknown.is_empty()
            && !is_mark_of_none(p.text())
    };
    let named = page.lines.get(line).map_or(0, |l| l.phrases.iter().filter(names).count());
    named > 1 && named > value_count(atoms)
}

/// Words under two or more of the headings, close below them: a part of the heading that was not taken in.
pub(super) fn unread_heading(page: &Layout, line: usize, band: &Band) -> bool {
    page.lines.get(line).is_some_and(|l| {
        let under = |p: &&super::super::layout::Phrase| {
            p.text().chars().any(char::is_alphabetic)
                && !is_power_of_ten(p.text())
                && band.leaves.iter().any(|leaf| leaf.label.is_result() && leaf.area.overlap_x(&p.area) > 0.0)
        };
        l.phrases.iter().filter(under).count() >= 1 && !is_pair_of_ground(l)
    })
}

/// `2.0E-01`, `<5E+1`: a number, whatever letter it holds.
fn is_power_of_ten(text: &str) -> bool {
    let figures = text.trim_start_matches(['<', '>', '=']).trim_start();
    figures.starts_with(|c: char| c.is_ascii_digit()) && figures.parse::<f64>().is_ok()
}

/// `Field: Home quarter (oats before)`: the ground of the rows below, and no part of their heading.
fn is_pair_of_ground(line: &super::super::layout::Line) -> bool {
    let [phrase] = line.phrases.as_slice() else { return false };
    let text = phrase.text();
    let field = leading_field(text, Context { symbols: false, capitals: false });
    let said = label(text, Context { symbols: false, capitals: false });
    let measures = said.analyte.is_some() || said.unit.is_some() || !said.methods.is_empty();
    !measures && field.is_some_and(|(_, rest, colon)| colon && !rest.is_empty())
}

/// A lone phrase that says nothing of how a column was measured or counted.
pub(super) fn is_page_line(page: &Layout, line: usize) -> bool {
    let Some([phrase]) = page.lines.get(line).map(|l| l.phrases.as_slice()) else { return false };
    let said = phrase.label(Context { symbols: false, capitals: false });
    phrase.tokens.len() > 1
        && said.unit.is_none()
        && said.methods.is_empty()
        && !said.saturation
        && said.analyte.is_none()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn two_columns_under_one_heading_leave_it_unsure() {
        use super::super::super::align::Column;
        let area = |x0, x1| Rect::new(x0, 0.0, x1, 10.0);
        let column = |a, heading| Column { area: a, heading, sure: true };
        let mut columns = vec![column(area(50.0, 60.0), None), column(area(70.0, 80.0), Some(0))];
        two_under_one(&mut columns, &[area(48.0, 82.0)]);
        assert!(!columns[1].sure);
        let mut columns = vec![column(area(30.0, 50.0), None), column(area(70.0, 80.0), Some(0))];
        two_under_one(&mut columns, &[area(48.0, 82.0)]);
        assert!(!columns[1].sure);
    }
}
