//! Fields of a form whose names are broken over two lines of a narrow column: `Name of` over `Farmer`.

use super::super::layout::{Layout, Line, Phrase};
use super::super::vocabulary::Context;
use super::plausible::plausible;
use super::{FieldValue, leading_field};

/// How close, in ems, the two lines of one name follow each other.
const TIGHT: f32 = 0.6;

/// Names and values side by side in a form, at most.
const PAIRS: usize = 4;

/// `Name of` over `Farmer`, and beside them `Sh. Adan` over `Fernshaw`, or one line of a value level with their middle: where two
/// lines at one edge together ask for a field that the first alone does not, the value is all that stands at the next
/// edge beside them. What a line alone seemed to say there is said no more.
pub fn asked_in_two_lines(page: &Layout, taken: &[bool], fields: &mut Vec<FieldValue>) {
    if page.cells {
        return;
    }
    let context = Context { symbols: false, capitals: false };
    let asks = |text: &str| leading_field(text, context).filter(|(_, rest, _)| rest.is_empty()).map(|f| f.0);
    // The rows and headings of tables are no pairs of a form.
    let free = |(i, l): &(usize, &Line)| taken.get(*i) != Some(&true) && l.phrases.len() <= PAIRS;
    let phrases = || page.lines.iter().enumerate().filter(free).flat_map(|(_, l)| &l.phrases);
    let at_edge = |a: &Phrase, b: &Phrase| (a.area.x0 - b.area.x0).abs() < 1.0;
    let follows = |a: &Phrase, b: &Phrase| {
        at_edge(a, b) && b.area.y0 > a.area.y0 + 1.0 && b.area.y0 - a.area.y1 < TIGHT * page.em
    };
    for (first, second) in
        phrases().flat_map(|a| phrases().filter(move |b| follows(a, b)).map(move |b| (a, b)))
    {
        let Some(field) = asks(&format!("{} {}", first.text(), second.text())) else { continue };
        // A third line at the edge makes it another name, or a paragraph.
        let goes_on = phrases().any(|p| follows(second, p) || follows(p, first));
        // `Lab sample` asks by itself, and `No.` below it goes on.
        let asked = asks(first.text());
        let alone = asked.is_some_and(|own| own != field)
            || asked.is_some() && leading_field(second.text(), context).is_some();
        if alone || goes_on || first.text().ends_with(':') {
            continue;
        }
        let name = first.area.union(&second.area);
        let level = |p: &&Phrase| {
            let middle = f32::midpoint(p.area.y0, p.area.y1);
            p.area.x0 > name.x1 && middle > name.y0 && middle < name.y1
        };
        let edge = phrases().filter(level).map(|p| p.area.x0).fold(f32::INFINITY, f32::min);
        let parts: Vec<&Phrase> = phrases().filter(level).filter(|p| p.area.x0 - edge < 1.0).collect();
        let text = parts.iter().map(|p| p.text()).collect::<Vec<_>>().join(" ");
        if parts.is_empty() || parts.len() > 2 || !plausible(field, &text, true) || asks(&text).is_some() {
            continue;
        }
        let whole = parts.iter().fold(name, |area, p| area.union(&p.area));
        let within = |f: &FieldValue| {
            f.area.x0 >= whole.x0 - 0.5
                && f.area.x1 <= whole.x1 + 0.5
                && f.area.y0 >= whole.y0 - 0.5
                && f.area.y1 <= whole.y1 + 0.5
        };
        fields.retain(|f| !within(f));
        fields.push(FieldValue { field, text, page: page.number, area: name, firm: true });
    }
}

#[cfg(test)]
mod tests {
    use super::super::super::layout::layout;
    use super::super::super::rewrap::tests::set;
    use super::super::super::vocabulary::Field;
    use super::super::fields;
    use super::*;

    fn of(lines: &[(f32, &str)]) -> Vec<(Field, String)> {
        let context = Context { symbols: false, capitals: false };
        fields(&layout(&set(lines)), &[], context).into_iter().map(|f| (f.field, f.text)).collect()
    }

    #[test]
    fn a_name_broken_over_two_lines_asks_for_what_stands_beside_both() {
        let found = of(&[
            (100.0, "Name of          Sh. Adan"),
            (113.0, "Farmer           Fernshaw"),
            (140.0, "Lab Sample"),
            (146.5, "                 731"),
            (153.0, "No."),
            (180.0, "Date of"),
            (186.5, "                 29-05-2021"),
            (193.0, "sampling"),
        ]);
        let pair = |field, text: &str| found.contains(&(field, text.to_owned()));
        assert!(pair(Field::Client, "Sh. Adan Fernshaw"), "{found:?}");
        assert!(pair(Field::LabSample, "731") && pair(Field::SampledOn, "29-05-2021"), "{found:?}");
        assert!(!pair(Field::Client, "Fernshaw"), "{found:?}");
        let heading = of(&[
            (100.0, "Field      Soil       Organic     Soil      Mehlich    Bulk"),
            (113.0, "name       texture    matter      reaction  phosphorus density"),
        ]);
        assert!(heading.iter().all(|(_, text)| text != "Soil texture"), "{heading:?}");
        // Two fields of a form below each other are two.
        let found = of(&[(100.0, "Client           Hob Mill"), (113.0, "Farm             Moss End")]);
        assert!(found.contains(&(Field::Client, "Hob Mill".to_owned())), "{found:?}");
    }
}
