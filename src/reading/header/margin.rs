//! Fields in a column of their own beside the table: `Parcelle` over `Le Clos`, below it `Prélevé le` over a day.

use super::super::layout::{Layout, Phrase};
use super::super::vocabulary::{Context, Field};
use super::FieldValue;
use super::leading::leading_field;
use super::plausible::plausible;
use crate::place::Rect;

/// Fewer fields over their values are no column of them.
const FIELDS: usize = 3;
/// How near, in ems, the phrases of the column begin.
const SAME_EDGE: f32 = 0.15;
/// How close, in ems, a value stands under its field, and its lines under each other.
const TIGHT: f32 = 0.6;
/// More lines are a paragraph.
const MOST_LINES: usize = 3;

/// What a column left of all else on a page says, field over value: three fields at least, each with a value of its kind,
/// no field twice. It holds for all of the page.
pub fn margin(page: &Layout) -> Vec<FieldValue> {
    if page.cells {
        return Vec::new();
    }
    let Some(left) = page.lines.iter().map(|l| l.area.x0).reduce(f32::min) else { return Vec::new() };
    let edge = |p: &Phrase| (p.area.x0 - left).abs() < SAME_EDGE * page.em;
    let column: Vec<&Phrase> =
        page.lines.iter().filter_map(|l| l.phrases.first()).filter(|p| edge(p)).collect();
    let asks = |p: &Phrase| {
        leading_field(p.text(), Context { symbols: false, capitals: false })
            .filter(|(_, rest, colon)| rest.is_empty() && !colon)
            .map(|(field, ..)| field)
    };
    let mut blocks: Vec<(Field, &Phrase, Vec<&Phrase>)> = Vec::new();
    let mut rest = column.as_slice();
    while let [name, below @ ..] = rest {
        rest = below;
        let Some(field) = asks(name) else { continue };
        let mut foot = name.area.y1;
        let own: Vec<&Phrase> = below
            .iter()
            .copied()
            .take_while(|p| {
                let near = p.area.y0 - foot < TIGHT * page.em && asks(p).is_none();
                foot = p.area.y1;
                near
            })
            .collect();
        if (1..=MOST_LINES).contains(&own.len()) {
            blocks.push((field, *name, own));
        }
    }
    let (Some(first), Some(last)) = (blocks.first(), blocks.last()) else { return Vec::new() };
    let (top, bottom) = (first.1.area.y0, last.2.last().map_or(last.1.area.y1, |p| p.area.y1));
    let within = |area: &Rect| area.y1 > top && area.y0 < bottom;
    let right = blocks.iter().flat_map(|(_, name, own)| own.iter().chain([name])).map(|p| p.area.x1);
    let right = right.fold(0.0, f32::max);
    let mut beside =
        page.lines.iter().flat_map(|l| &l.phrases).filter(|p| within(&p.area) && !edge(p)).peekable();
    let apart = beside.peek().is_some() && beside.all(|p| p.area.x0 > right + page.em);
    let text = |own: &[&Phrase]| own.iter().map(|p| p.text()).collect::<Vec<_>>().join(" ");
    let head = column.first().map_or(top, |p| p.area.y0);
    let found: Vec<FieldValue> = blocks
        .iter()
        .filter(|(field, ..)| *field != Field::Ignored)
        .map(|(field, name, own)| FieldValue {
            field: *field,
            text: text(own),
            page: page.number,
            area: Rect::new(name.area.x0, head, name.area.x1, head + name.area.height()),
            firm: true,
        })
        .collect();
    let twice = |(i, f): (usize, &FieldValue)| found.iter().skip(i + 1).any(|other| other.field == f.field);
    let unlike = !found.iter().enumerate().any(twice);
    let all = found.iter().all(|f| plausible(f.field, &f.text, true));
    if apart && unlike && all && found.len() >= FIELDS { found } else { Vec::new() }
}

#[cfg(test)]
mod tests {
    use super::super::super::layout::{layout, tests::typed};
    use super::*;

    fn of(lines: &[&str]) -> Vec<(Field, String)> {
        margin(&layout(&typed(lines))).into_iter().map(|f| (f.field, f.text)).collect()
    }

    #[test]
    fn a_column_of_fields_beside_a_table_is_read_by_itself() {
        let lines = [
            "Hob Mill Laboratory",
            "                          Test         Unit     Result",
            "Client                    pH                    6.1",
            "Quern                     Zinc         mg/kg    3.5",
            "Brothers                  Copper       mg/kg    4.4",
            "                          Boron        mg/kg    0.4",
            "Field                     Potassium    mg/kg    140",
            "Long acre                 Calcium      mg/kg    1800",
            "                          Magnesium    mg/kg    90",
            "Sampled                   Iron         mg/kg    60",
            "08/02/2022                Sand         %        60",
        ];
        let pair = |field, text: &str| (field, text.to_owned());
        let all = [
            pair(Field::Client, "Quern Brothers"),
            pair(Field::SampleLabel, "Long acre"),
            pair(Field::SampledOn, "08/02/2022"),
        ];
        assert_eq!(of(&lines), all);
        assert_eq!(of(&lines[..9]), [], "two fields");
        let alone: Vec<&str> =
            lines.iter().map(|l| l.get(..20.min(l.len())).unwrap_or_default().trim_end()).collect();
        assert_eq!(of(&alone), [], "nothing beside it");
    }
}
