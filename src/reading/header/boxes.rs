//! A strip of boxes at the head of a report: what is asked for side by side, and right below each its value.

use super::super::layout::{Layout, Line, Phrase};
use super::super::vocabulary::{Context, Field};
use super::asked::asked;
use super::plausible::plausible;
use super::{FieldValue, leading_field};
use crate::place::Rect;

/// Lines at the head of a page among which such a strip stands.
const LINES: usize = 20;

/// Boxes of a strip at least.
const BOXES: usize = 3;

/// How far, in ems, the values stand below what asks for them, and the second line of a value below its first.
const NEAR: f32 = 2.6;
const TIGHT: f32 = 0.9;

/// `Customer   Report   Sampling date   Report date` over `Moss Farms   2024/71   15 May 2024   28 May 2024`: each field with
/// the value in its box. Every box asks for what is of a whole report, two for days at least, or one for a day and one for
/// the number of the report, each is filled with what it can hold, and no second row of values follows, as in a list of
/// samples.
pub fn boxes(page: &Layout, taken: &[bool]) -> Vec<FieldValue> {
    if page.cells {
        return Vec::new();
    }
    let free = |row: usize| taken.get(row) != Some(&true);
    let rows = 0..page.lines.len().min(LINES);
    rows.filter(|row| free(*row) && free(row + 1)).find_map(|row| strip(page, row)).unwrap_or_default()
}

/// `Sampled / Received / Reported   3 Oct 2023 / 5 Oct 2023 / 11 Oct 2023`: the lines in which one name asks for several days,
/// and each day with what asks for it; none where there are not as many days as names.
pub fn days_abreast(page: &Layout) -> Vec<(Rect, Vec<FieldValue>)> {
    page.lines.iter().filter_map(|line| abreast(page, line).map(|days| (line.area, days))).collect()
}

fn abreast(page: &Layout, line: &Line) -> Option<Vec<FieldValue>> {
    // Strokes part the days; hardly a line holds one.
    if !line.phrases.iter().flat_map(|p| &p.tokens).any(|t| t.text.contains('/')) {
        return None;
    }
    let whole = line.phrases.iter().map(Phrase::text).collect::<Vec<_>>().join(" ");
    if !whole.contains(" / ") {
        return None;
    }
    let asked = |names: &str| names.split('/').map(|n| asks_for(n.trim())).collect::<Option<Vec<Field>>>();
    let (fields, values) = match whole.split_once(':') {
        Some((names, values)) => (asked(names)?, values),
        None => {
            let cuts: Vec<usize> = whole.match_indices(' ').map(|(at, _)| at).collect();
            let cut = |at: &usize| whole.split_at_checked(*at).and_then(|(n, v)| Some((asked(n)?, v)));
            cuts.iter().rev().find_map(cut)?
        }
    };
    // `Ontvang / Received` asks for one day in two languages.
    let unlike = fields.iter().enumerate().all(|(i, f)| !fields.iter().skip(i + 1).any(|o| o == f));
    if fields.len() < 2 || !unlike || values.contains(':') || !fields.iter().all(|f| is_day(*f)) {
        return None;
    }
    let days: Vec<&str> = values.split(" / ").map(str::trim).collect();
    let each = fields.len() == days.len() && days.iter().all(|d| plausible(Field::Day, d, true));
    let make = |(field, day): (&Field, &&str)| FieldValue {
        field: *field,
        text: (*day).to_owned(),
        page: page.number,
        area: line.area,
        firm: true,
    };
    Some(if each { fields.iter().zip(&days).map(make).collect() } else { Vec::new() })
}

fn strip(page: &Layout, row: usize) -> Option<Vec<FieldValue>> {
    let (names, values) = (page.lines.get(row)?, page.lines.get(row + 1)?);
    let count = names.phrases.len();
    let near = values.area.y0 - names.area.y1 < NEAR * page.em;
    if count < BOXES || values.phrases.len() != count || !near {
        return None;
    }
    let fields: Vec<Field> = names.phrases.iter().map(asks).collect::<Option<_>>()?;
    let mut unlike = fields.clone();
    unlike.retain(|f| *f != Field::Ignored);
    let all = unlike.len();
    unlike.sort_unstable_by_key(|f| *f as usize);
    unlike.dedup();
    let days = fields.iter().filter(|f| is_day(**f)).count();
    let of_a_report = days > 1 || days == 1 && fields.contains(&Field::Report);
    if unlike.len() != all || all < BOXES || !of_a_report {
        return None;
    }
    let below = page.lines.get(row + 2).filter(|l| l.area.y0 - values.area.y1 < TIGHT * page.em);
    let mut out = Vec::new();
    for ((field, name), value) in fields.iter().zip(&names.phrases).zip(&values.phrases) {
        let mut text = value.text().to_owned();
        let more = below.and_then(|l| goes_on(l, names, value));
        if let Some(more) = more {
            text = format!("{text} {}", more.text());
        }
        if !stands_under(page, name, value) || !plausible(*field, &text, true) {
            return None;
        }
        if *field != Field::Ignored {
            let area = name.area.union(&value.area);
            out.push(FieldValue { field: *field, text, page: page.number, area, firm: true });
        }
    }
    // What goes on below is the rest of names, and no second row.
    let rest = below.map_or(0, |l| l.phrases.iter().filter(|p| in_a_box(names, p)).count());
    let named = |f: &FieldValue| matches!(f.field, Field::Client | Field::Farm | Field::Party);
    let of_names = values
        .phrases
        .iter()
        .zip(&fields)
        .filter(|(v, f)| !is_day(**f) && below.is_some_and(|l| goes_on(l, names, v).is_some()));
    (rest == of_names.count() && rest <= out.iter().filter(|f| named(f)).count()).then_some(out)
}

/// What a box asks for: something of a whole report, or nothing that is read.
fn asks(name: &Phrase) -> Option<Field> {
    asks_for(name.text().trim_end_matches([':', ' ']))
}

fn asks_for(text: &str) -> Option<Field> {
    let context = Context { symbols: false, capitals: false };
    let whole = leading_field(text, context).filter(|(_, rest, _)| rest.is_empty()).map(|(field, ..)| field);
    let field = whole.or_else(|| asked(&format!("{text}:")).map(|(field, ..)| field))?;
    matches!(
        field,
        Field::Client
            | Field::Farm
            | Field::Party
            | Field::Report
            | Field::SampledOn
            | Field::ReceivedOn
            | Field::ReportedOn
            | Field::Handled
            | Field::DepthTop
            | Field::Ignored
    )
    .then_some(field)
}

fn is_day(field: Field) -> bool {
    matches!(field, Field::SampledOn | Field::ReceivedOn | Field::ReportedOn)
}

/// At one edge or over one middle, as the boxes of a strip are set.
fn stands_under(page: &Layout, name: &Phrase, value: &Phrase) -> bool {
    let middle = |p: &Phrase| f32::midpoint(p.area.x0, p.area.x1);
    let near = |a: f32, b: f32| (a - b).abs() < 0.7 * page.em;
    near(name.area.x0, value.area.x0)
        || near(name.area.x1, value.area.x1)
        || near(middle(name), middle(value))
}

/// The second line of a value, at its edge or under its middle.
fn goes_on<'a>(line: &'a Line, names: &Line, value: &Phrase) -> Option<&'a Phrase> {
    let own = |p: &&Phrase| {
        let middle = |p: &Phrase| f32::midpoint(p.area.x0, p.area.x1);
        (p.area.x0 - value.area.x0).abs() < 1.0 || (middle(p) - middle(value)).abs() < 1.0
    };
    line.phrases.iter().find(own).filter(|p| in_a_box(names, p))
}

/// True for what stands below the boxes and not beside them.
fn in_a_box(names: &Line, phrase: &Phrase) -> bool {
    names
        .phrases
        .iter()
        .any(|n| (n.area.x0 - phrase.area.x0).abs() < 1.0 || n.area.overlap_x(&phrase.area) > 0.0)
}

#[cfg(test)]
mod tests {
    use super::super::super::layout::{layout, tests::typed};
    use super::*;

    fn of(lines: &[&str]) -> Vec<(Field, String)> {
        boxes(&layout(&typed(lines)), &[]).into_iter().map(|f| (f.field, f.text)).collect()
    }

    #[test]
    fn each_box_of_a_strip_is_filled_from_below() {
        let names = "Customer            Report     Sampling date   Receiving date   Core depth";
        let found = of(&[names, "Moss Landscaping    2024/71    15 May 2024     19 May 2024      0-75 mm"]);
        let said = |field, text: &str| (field, text.to_owned());
        assert_eq!(
            found,
            [
                said(Field::Client, "Moss Landscaping"),
                said(Field::Report, "2024/71"),
                said(Field::SampledOn, "15 May 2024"),
                said(Field::ReceivedOn, "19 May 2024"),
                said(Field::DepthTop, "0-75 mm"),
            ]
        );
        let found = of(&[
            "Club         Report      Taken          In lab",
            "Hob Golf     HG-0913     14 Mar 2024    18 Mar 2024",
            "Club",
        ]);
        assert_eq!(found.first(), Some(&said(Field::Farm, "Hob Golf Club")), "{found:?}");
    }

    #[test]
    fn days_abreast_go_each_to_what_asks_for_it() {
        let of = |line: &str| {
            let found = days_abreast(&layout(&typed(&[line])));
            found
                .into_iter()
                .map(|(_, d)| d.into_iter().map(|f| (f.field, f.text)).collect())
                .collect::<Vec<Vec<_>>>()
        };
        let said = |field, text: &str| (field, text.to_owned());
        let days = [
            said(Field::SampledOn, "Oct 3, 2023"),
            said(Field::ReceivedOn, "Oct 5, 2023"),
            said(Field::ReportedOn, "Oct 11, 2023"),
        ];
        let names = "Sampled / Received / Reported";
        assert_eq!(of(&format!("{names}      Oct 3, 2023 / Oct 5, 2023 / Oct 11, 2023")), [days.to_vec()]);
        assert_eq!(of(&format!("{names}: Oct 3, 2023 / Oct 5, 2023 / Oct 11, 2023")), [days.to_vec()]);
        // Of fewer days nobody knows which is missing.
        assert_eq!(of(&format!("{names}      Oct 3, 2023 / Oct 11, 2023")), [Vec::new()]);
        assert!(of("Sampled      Oct 3, 2023").is_empty() && of("Client / Grower   Moss").is_empty());
        assert!(of("Ontvang / Received: 2025-06-02      Datum / Date reported: 2025-06-11").is_empty());
    }

    #[test]
    fn a_list_of_samples_and_a_heading_of_a_table_are_no_boxes() {
        let names = "Customer     Report     Sampling date   Receiving date";
        for rows in [
            [
                "Moss         71         15 May 2024     19 May 2024",
                "Fern         72         16 May 2024     19 May 2024",
            ],
            ["Moss         71         15 May 2024     6.4", ""],
            ["Moss         71         15 May 2024", ""],
        ] {
            assert_eq!(of(&[names, rows[0], rows[1]]), [], "{rows:?}");
        }
        let other = "Sample       Report     Sampling date   Receiving date";
        assert_eq!(of(&[other, "Moss         71         15 May 2024     19 May 2024"]), []);
    }
}
