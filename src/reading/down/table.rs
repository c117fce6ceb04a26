//! One table of analytes: what stands over it, what each of its columns holds, its samples.

use super::super::across::names_a_number;
use super::super::align::columns;
use super::super::atom::{Atom, Kind};
use super::super::former::earlier;
use super::super::found::FoundSample;
use super::super::header::names_a_part;
use super::super::layout::Layout;
use super::super::vocabulary::{Field, Role};
use super::above::{Above, Heading, above, fields_of, says_several};
use super::around::Around;
use super::carried::{Carried, Column, go_on};
use super::column::{Holds, column_holds, is_current, seasons_beside, settle, tells_a_season};
use super::dashes::without_dashes_for_units;
use super::former_columns;
use super::issues;
use super::results::read_columns;
use super::row::Row;
use super::stacked::says_column;
use super::{layers, method, stacked, title};
use crate::place::Rect;

pub(super) fn read_table(
    page: &Layout,
    atoms: &[Vec<Atom>],
    table: &[Row],
    row_lines: &[usize],
    around: Around<'_>,
    before: Option<Carried>,
) -> (Vec<FoundSample>, Vec<usize>, Carried) {
    let table = &without_dashes_for_units(table, around.context)[..];
    let left = table.iter().map(|r| r.name.area.x0).fold(f32::INFINITY, f32::min);
    let right = right_edge(page, table);
    let layered = layers::layered(page, table, row_lines, around.context);
    let stacked = match layered {
        Some(_) => None,
        None => stacked::stacked(page, table, left, row_lines, around.context),
    };
    let over = match (&stacked, layered) {
        (_, Some(layered)) => layered,
        (Some(s), None) => Above {
            headings: s.headings.clone(),
            fields: s.fields.clone(),
            lines: s.lines.clone(),
            half_named: s.half_named,
            headed: s.headed,
        },
        (None, None) => above(page, atoms, table, left, right, row_lines, around.context),
    };
    let Above { headings, fields: field_rows, lines: mut heading_lines, half_named, headed: by_words } = over;
    // The title of a part is left to the notes: it may name the extract.
    let title = |field: Field, text: &str| field == Field::SampleLabel && names_a_part(text);
    if field_rows.iter().any(|(field, names)| names.iter().any(|n| title(*field, &n.text))) {
        heading_lines.clear();
    }
    let cells: Vec<Vec<Atom>> = table.iter().map(|r| r.cells.clone()).collect();
    let mut method_column = false;
    let mut methods: Vec<Rect> = Vec::new();
    // Headings of columns of words take no numbers, and so are never blank beside these.
    let headings: Vec<Heading> = headings
        .into_iter()
        .filter(|h| {
            let count = |text: bool| {
                let here = |c: &&Atom| matches!(c.kind, Kind::Text) == text && c.area.overlap_x(&h.0) > 0.0;
                cells.iter().flatten().filter(here).count()
            };
            let under = |text: bool| count(text) > 0;
            // `Verdict` over `low` and `high`, and no number under it, is one of words as well, known or not.
            let other =
                h.1.role.is_none() && h.1.analyte.is_none() && h.1.field.is_none() && h.1.unit.is_none();
            let words = matches!(h.1.role, Some(Role::Unit | Role::Method)) || other && count(true) > 1;
            method_column |= h.1.role == Some(Role::Method);
            methods.extend((h.1.role == Some(Role::Method)).then_some(h.0));
            // Over the names of what was measured a heading is theirs, however close the next column stands.
            let names = h.1.role == Some(Role::Analyte) && h.1.analyte.is_none() && !under(false);
            !names && (!words || !under(true) || under(false))
        })
        .collect();
    let heading_areas: Vec<Rect> = headings.iter().map(|h| h.0).collect();
    let placed = columns(&cells, &heading_areas, page.em, &|a| !matches!(a.kind, Kind::Text));
    let areas: Vec<Rect> = placed.iter().map(|c| c.area).collect();
    let fields_over = |area: &Rect| match &stacked {
        Some(s) => s.of(area),
        None => fields_of(&field_rows, area, &areas, page.cells),
    };
    let headed: Vec<bool> = placed.iter().map(|c| by_words || fields_over(&c.area).is_empty()).collect();
    let mut holds: Vec<Holds> = placed
        .iter()
        .map(|c| {
            let fields = fields_over(&c.area);
            // `2 50 86 101` is a row of figures set close together, and no name.
            let figures = |text: &str| text.split(' ').count() > 2 && !text.contains(char::is_alphabetic);
            let none = |field: Field, text: &str| {
                title(field, text) || figures(text) || field == Field::SampleLabel && names_a_number(text)
            };
            let fields: Vec<(Field, String)> =
                fields.into_iter().filter(|(field, text)| !none(*field, text)).collect();
            // What stands over several columns names none of them.
            let over = |h: &&Heading| areas.iter().filter(|a| a.overlap_x(&h.0) > 0.0).count();
            // `This report` over three names says of all what `2022` over the fourth says of it, and names none.
            let names = |h: &&Heading| is_current(&h.2) && over(h) > 1 && !fields.is_empty();
            let heading = c.heading.and_then(|h| headings.get(h)).filter(|h| !names(h));
            if heading.is_some_and(|h| over(&h) > 1 && !h.1.known()) {
                return Holds::Nothing;
            }
            // Two names set as close as the words of one are no name of either.
            if heading.is_some_and(|h| over(&h) > 1 && !says_column(&h.1) && h.1.unit.is_none()) {
                return Holds::Nameless;
            }
            // `Result Limit` read as one may stand over either.
            if heading.is_some_and(|h| says_several(&h.2, around.context)) {
                return Holds::Nameless;
            }
            let heading = heading.map(|h| (&h.1, &h.2));
            match column_holds(heading, fields, table, &c.area) {
                Holds::Sample(fields) if half_named => Holds::Sample(nameless(fields)),
                holds => holds,
            }
        })
        .collect();
    let over: Vec<Option<&String>> =
        placed.iter().map(|c| c.heading.and_then(|h| headings.get(h)).map(|h| &h.2)).collect();
    seasons_beside(&mut holds, &over);
    let said: Vec<Option<String>> = placed
        .iter()
        .zip(&holds)
        .map(|(c, holds)| issues::named(holds).or_else(|| headings.get(c.heading?).map(|h| h.2.clone())))
        .collect();
    issues::settle(&mut holds, &said);
    // A heading over several columns that went to one of them says nothing of the others: none of these is the result
    // for want of another.
    let several = |h: &Heading| areas.iter().filter(|a| a.overlap_x(&h.0) > 0.0).count() > 1;
    let says = |h: &Heading, c: &Rect| !(is_current(&h.2) && several(h) && !fields_over(c).is_empty());
    let beside = |c: &Rect| headings.iter().any(|h| h.0.overlap_x(c) > 0.0 && says(h, c));
    let mut all: Vec<Column> = placed
        .iter()
        .zip(settle(holds, around.year))
        .zip(headed)
        .map(|((c, holds), headed)| Column {
            area: c.area,
            sure: c.sure && c.heading.is_some() || c.heading.is_none() && !beside(&c.area),
            holds,
            headed,
            unit: c.heading.and_then(|h| headings.get(h)).and_then(|h| {
                match super::column::holds_shares(&h.1) {
                    true => Some(("%", h.2.clone())),
                    false => h.1.unit.clone(),
                }
            }),
            share: c
                .heading
                .and_then(|h| headings.get(h))
                .map(|h| &h.1)
                .filter(|l| l.saturation && l.unknown.is_empty())
                .cloned(),
        })
        .collect();
    // Beside a heading of earlier results the last of the years is perhaps one of these as well.
    let years_alone = headings.iter().any(|h| earlier(&h.2)) && !headings.iter().any(|h| is_current(&h.2));
    for (column, placed) in all.iter_mut().zip(&placed).filter(|_| years_alone) {
        let heading = placed.heading.and_then(|h| headings.get(h));
        let season = |h: &Heading| h.1.year.is_some() || tells_a_season(&h.2);
        column.sure &= heading.is_none_or(|h| h.1.role.is_some() || !season(h));
    }
    former_columns::leave_out(&mut all, &headings, table, around.year);
    if let Some(before) = before.filter(|_| headings.is_empty() && field_rows.is_empty())
        && (before.left - left).abs() < 2.5 * page.em
    {
        method_column |= go_on(&mut all, &before);
    }
    let titles = title::titles(page, atoms, table, around.context);
    // A unit between the rows is of the rows below it, and no note on all results.
    heading_lines.extend(titles.iter().filter_map(|t| t.line));
    let table = &method::unknown(method::unread(page, table, row_lines, &methods), &methods, around.context);
    let mut titles = titles;
    let head = title::of_head(atoms, &heading_lines, table, &areas, around.context);
    for title in titles.iter_mut().filter(|t| !t.aside) {
        title.unit = title.unit.take().or_else(|| head.unit.clone());
        title.method = title.method.or(head.method).filter(|_| title.unclear.is_none());
    }
    let mut samples = read_columns(page, table, &titles, &all, left, method_column, around);
    // Over the one column of results no name of a sample is looked for.
    let results = all.iter().filter(|c| matches!(c.holds, Holds::Result)).count();
    let named = half_named && (results != 1 || all.iter().any(|c| matches!(c.holds, Holds::Sample(_))));
    for sample in &mut samples {
        sample.named_by_table |= named;
    }
    (samples, heading_lines, Carried { left, columns: all, method_column })
}

/// Fields without a name that is perhaps half of one.
fn nameless(mut fields: Vec<(Field, String)>) -> Vec<(Field, String)> {
    fields.retain(|(field, _)| *field != Field::SampleLabel);
    fields
}

fn right_edge(page: &Layout, table: &[Row]) -> f32 {
    table
        .iter()
        .flat_map(|r| r.cells.last().map(|c| c.area.x1))
        .fold(0.0, f32::max)
        .max(table.iter().map(|r| r.name.area.x1).fold(0.0, f32::max) + page.em)
}
