//! What stands over a table of analytes: headings of its columns, names and fields of its samples.

#[cfg(test)]
mod examples;
mod fields;
mod form;
mod heading;
mod layers;
mod names;
mod parts;
mod running;
mod several;

use super::super::align::columns;
use super::super::atom::{Atom, Kind};
use super::super::header::{asks_size, is_form_line, leading_field, names_in_quotes, names_tables};
use super::super::label::label;
use super::super::layout::Layout;
use super::super::notes::names_a_method;
use super::super::vocabulary::{Context, Field, Role};
use super::super::words::List;
use super::column::is_current;
use super::crop::{Planted, planted};
use super::issues::of_two_issues;
use super::row::Row;
use crate::place::Rect;
pub use fields::{between_two, fields_of, with_depth_unit};
use fields::{goes_on_a_form, over_it, prefixed};
use form::is_line_of_a_form;
pub use heading::is_of_a_range;
use heading::{SCALE, counts, heading_word, is_day, is_title, is_year, place_word, stack, tops_headings};
use layers::{layers_apart, layers_of_columns};
use names::{
    asks_either, asks_unknown, broken_names, column_names, degrees, glued, is_laboratory_number,
    long_numbers, mixed, name_row, next_names, numbered_codes, numbers_over, one_name, over_numbers,
    wished_beside,
};
pub use parts::{Above, FieldRow, Heading};
pub use several::says_several;
use several::{headings_apart, names_apart};

/// `Volume weight (g/mL)   0.87   1.05   1.04`: a row of what no result is, between the names and the first that is one.
fn measures_something_else(here: &[&Atom], names_right: f32, columns: usize, context: Context) -> bool {
    let [name, values @ ..] = here else { return false };
    let said = name.label(Context { symbols: false, ..context });
    let counted = said.unit.is_some() && said.field.is_none() && said.role.is_none() && !said.decoy;
    let figures = values.iter().all(|a| a.number().is_some());
    let broken = values.iter().any(|a| a.number().is_some_and(|n| n.decimals > 0));
    counted && name.area.x0 < names_right && figures && broken && values.len() == columns
}

/// More pieces on a line are no heading of two issues of a report.
const MOST_OF_ISSUES: usize = 8;

/// Headings and sample rows above (or among the first rows of) a table.
pub fn above(
    page: &Layout,
    atoms: &[Vec<Atom>],
    table: &[Row],
    left: f32,
    right: f32,
    rows_of_others: &[usize],
    context: Context,
) -> Above {
    let Some(first) = table.first() else { return Above::default() };
    let names_right = table.iter().map(|r| r.name.area.x1).fold(0.0, f32::max);
    let numbers: Vec<Vec<Atom>> = table.iter().map(|r| r.cells.clone()).collect();
    let columns_of_values: Vec<Rect> = columns(&numbers, &[], page.em, &|a| !matches!(a.kind, Kind::Text))
        .into_iter()
        .map(|c| c.area)
        .collect();
    let mut headings: Vec<Heading> = Vec::new();
    let mut fields: Vec<FieldRow> = Vec::new();
    let mut lines = Vec::new();
    let mut titles = 0;
    let (mut half, mut headed) = (false, false);
    let mut below = first.name.area.y0;
    for (i, line) in atoms.iter().enumerate().take(first.line).rev() {
        let Some(area) = page.lines.get(i).map(|l| l.area) else { break };
        if below - area.y1 > 3.2 * page.em && !page.cells || page.cells && below - area.y0 > 65.0 {
            break;
        }
        let within: Vec<Atom> = line
            .iter()
            .filter(|a| a.area.x1 > left - 2.0 * page.em && a.area.x0 < right + 8.0 * page.em)
            .cloned()
            .collect();
        let whole = if page.cells {
            within
        } else {
            headings_apart(names_apart(glued(within), &columns_of_values), &columns_of_values, context)
        };
        let (whole, layers) = layers_apart(whole, names_right, page.em, context);
        let here: Vec<&Atom> = whole.iter().collect();
        // A line that stands beside the table alone says nothing of it, `Next season` over a paragraph.
        if here.is_empty() {
            continue;
        }
        // `First issued   Amended`: an amended report shows what it said before.
        if !page.cells && here.len() <= MOST_OF_ISSUES && of_two_issues(here.iter().map(|a| a.text.as_str()))
        {
            headings.extend(here.iter().map(|a| (a.area, a.label(context), a.text.clone())));
            lines.push(i);
            below = area.y0;
            continue;
        }
        // `P, K, Ca: Mehlich 3` in the place of the names, beside the heading of the results: a note of the table.
        let noted = here
            .first()
            .is_some_and(|a| a.area.x0 < names_right && a.text.contains(": ") && names_a_method(&a.text))
            && here.iter().skip(1).filter(|a| a.label(context).role == Some(Role::Result)).count() == 1;
        let here: Vec<&Atom> = here.into_iter().skip(usize::from(noted)).collect();
        // `below   below      above   above`: the ends of classes, which the line over it names.
        let upper = i.checked_sub(1).and_then(|up| page.lines.get(up)).filter(|_| !page.cells);
        let ends = |a: &&Atom| {
            let over = upper.is_some_and(|l| l.phrases.iter().any(|p| p.area.overlap_x(&a.area) > 0.0));
            over && List::Sign.has(&a.text.to_lowercase())
        };
        let result =
            upper.is_some_and(|l| l.phrases.iter().any(|p| p.label(context).role == Some(Role::Result)));
        if result && here.len() > 1 && here.iter().all(ends) {
            lines.push(i);
            below = area.y0;
            continue;
        }
        if here.iter().any(|a| a.text.contains(": ") && a.tokens.len() > 2) {
            break;
        }
        // `Sample: Glebe   Laboratory no. 21-3`: a pair where the names of a table stand is of a form, however short.
        let asked = |a: &&Atom| {
            leading_field(&a.text, context).is_some_and(|(_, rest, colon)| colon && !rest.is_empty())
        };
        if !page.cells && here.first().is_some_and(|a| a.area.x0 < names_right && asked(a)) {
            break;
        }
        if !noted && is_line_of_a_form(page, i, context) || page.lines.get(i).is_some_and(names_in_quotes) {
            break;
        }
        if names_tables(page, i + 1, context) {
            break;
        }
        // A row with a value is no heading of the next table.
        if rows_of_others.contains(&i) && line.iter().any(|a| a.number().is_some()) {
            break;
        }
        // Rules drawn with dashes part a heading from its rows.
        if !here.is_empty() && here.iter().all(|a| matches!(a.kind, Kind::Blank)) {
            below = area.y0;
            continue;
        }
        // `Area (ha)   3.36   3.67`: how large, not which.
        let figures = || here.iter().skip(1).all(|a| a.number().is_some());
        if here.len() > 1
            && here.first().is_some_and(|a| a.area.x0 < names_right && asks_size(&a.text))
            && figures()
        {
            lines.push(i);
            below = area.y0;
            continue;
        }
        if !page.cells && measures_something_else(&here, names_right, columns_of_values.len(), context) {
            lines.push(i);
            below = area.y0;
            continue;
        }
        let name_right = asked_beside(page, &here, &columns_of_values, context).unwrap_or(names_right);
        let first_label = here.first().map(|a| label(&over_it(page, atoms, i, a), context));
        let cells: Vec<Atom> =
            here.iter().filter(|a| a.area.x0 > name_right - page.em).map(|a| (*a).clone()).collect();
        // A row of samples has a value for each column; `Client: somebody   Report no.: 12` are pairs of a form.
        let named_columns = cells.iter().any(|a| heading_word(a, context));
        // `Sample name | Unit | House | Creek | Desirable`: some columns are named for what they hold.
        let (words, values): (Vec<Atom>, Vec<Atom>) =
            cells.iter().cloned().partition(|a| heading_word(a, context));
        let pairs = cells.iter().any(|a| {
            a.text.ends_with(':')
                || leading_field(&a.text, context).is_some_and(|(field, rest, colon)| {
                    colon || rest.is_empty() && !place_word(field, &a.text)
                })
        }) || is_form_line(here.iter().map(|a| a.text.as_str()), context)
            || goes_on_a_form(line, &here, left, page, context);
        // `This report   2022` over names: seasons of these, and no words of theirs.
        if cells.len() > 1
            && cells.iter().any(|a| is_current(&a.text))
            && cells.iter().all(|a| is_current(&a.text) || is_year(a))
        {
            headings.extend(here.iter().map(|a| (a.area, a.label(context), a.text.clone())));
            lines.push(i);
            below = area.y0;
            continue;
        }
        // `Oats   Clover   Rye` under as many names: what grows there, and no ends of the names.
        if let Some((field @ Field::SampleLabel, names)) = fields.last_mut()
            && cells.len() == here.len()
            && !page.cells
            && cells.len() == names.len()
        {
            match planted(&names.iter().map(|n| n.text.as_str()).collect::<Vec<_>>()) {
                Planted::All => *field = Field::Ignored,
                Planted::Some => half = true,
                Planted::None => {}
            }
        }
        // A long name is broken: its first words stand tight over the rest.
        if let Some((Field::SampleLabel, names)) = fields.last_mut()
            && !pairs
            && !named_columns
            && cells.len() == here.len()
            && !cells.is_empty()
            && !page.cells
            && below - area.y1 < 1.0 * page.em
            && !numbered_codes(names, &cells)
            && !numbers_over(&cells, names)
            && cells
                .iter()
                .flat_map(|c| &c.tokens)
                .all(|t| names.iter().filter(|n| n.area.overlap_x(&t.area) > 0.0).count() == 1)
        {
            half |= long_numbers(&cells);
            for token in cells.iter().flat_map(|c| c.tokens.iter().rev()) {
                if let Some(name) = names.iter_mut().find(|n| n.area.overlap_x(&token.area) > 0.0) {
                    name.text = format!("{} {}", token.text, name.text);
                    name.area = name.area.union(&token.area);
                    name.tokens.insert(0, token.clone());
                }
            }
            lines.push(i);
            below = area.y0;
            continue;
        }
        // `Low   Medium   High` over bars beside the numbers: a scale, and no heading of theirs.
        let degree = |a: &Atom| a.text.to_lowercase().split(' ').all(|w| List::Degree.has(w));
        let rates = line.len() >= SCALE && line.iter().all(degree);
        if rates
            && !page.cells
            && line.iter().all(|a| columns_of_values.iter().all(|v| v.overlap_x(&a.area) <= 0.0))
        {
            lines.push(i);
            below = area.y0;
            continue;
        }
        // `9 Oct 2021   11 Oct 2024` over columns: when each was sampled.
        if here.len() > 1 && cells.len() == here.len() && here.iter().all(|a| is_day(a)) {
            headings.extend(here.iter().map(|a| (a.area, a.label(context), a.text.clone())));
            lines.push(i);
            below = area.y0;
            continue;
        }
        let wished = if page.cells { wished_beside(atoms, i, &cells, &columns_of_values) } else { 0 };
        if let Some((heads, layers)) =
            layers_of_columns(&here, table, &columns_of_values, name_right, context)
                .filter(|_| fields.is_empty())
        {
            headings.extend(heads.into_iter().map(|a| (a.area, a.label(context), a.text)));
            fields.push((Field::DepthTop, layers));
            lines.push(i);
        } else if !pairs
            && values.len() > 1
            && !words.is_empty()
            && here.first().is_some_and(|a| a.area.x0 < name_right && asks_either(&a.text, context))
            && over_numbers(&values, &words, table)
        {
            for atom in words {
                headings.push((atom.area, label(&atom.text, context), atom.text.clone()));
            }
            name_row(&mut fields, values);
            headed = true;
            lines.push(i);
        } else if let Some((heads, names)) = mixed(&here, &cells, table, name_right, context)
            .filter(|_| !pairs && headings.iter().all(|h| h.1.role != Some(Role::Result)))
        {
            // `Block` tight over `K 1`, which was taken for a heading, is half of a name.
            let goes_on = |n: &Atom| {
                headings.iter().any(|(area, l, _)| {
                    let silent =
                        l.role.is_none() && l.unit.is_none() && !l.decoy && l.year.is_none() && !l.rating;
                    silent && area.overlap_x(&n.area) > 0.0 && area.y0 - n.area.y1 < 0.9 * page.em
                })
            };
            half |= !page.cells && names.iter().any(goes_on);
            for atom in heads {
                headings.push((atom.area, atom.label(context), atom.text.clone()));
            }
            name_row(&mut fields, names);
            headed = true;
            lines.push(i);
        } else if let Some(field) = first_label
            .as_ref()
            // `Front lawn 3 2244 Mg` set close together is a row of values.
            .filter(|l| l.analyte.is_none())
            .and_then(|l| l.field)
            .filter(|_| here.first().is_some_and(|a| a.area.x0 < name_right))
            && (cells.len() >= 2 || one_name(field, &cells, table))
            && !pairs
            && (!named_columns || values.len() >= 2 || degrees(field, &cells, table))
        {
            let (words, values) =
                if degrees(field, &cells, table) { (Vec::new(), cells) } else { (words, values) };
            for atom in words {
                headings.push((atom.area, atom.label(context), atom.text.clone()));
            }
            let values = with_depth_unit(field, here.first().map_or("", |a| &a.text), values);
            fields.push((field, values));
            lines.push(i);
        } else if pairs {
            break;
        } else if let Some(row) = prefixed(&here, name_right, page.em) {
            fields.push(row);
            lines.push(i);
        } else if here.len() == 1
            && titles < 2
            && is_title(&here, left, page.em)
            && !here.iter().any(|a| says_several(&a.text, context))
        {
            // The title of a part stands between a heading and its rows.
            titles += 1;
        } else if tops_headings(&here, &headings, below - area.y1, page) {
            for atom in &here {
                headings.push((atom.area, atom.label(context), atom.text.clone()));
            }
            lines.push(i);
        } else if asks_unknown(&here, &cells, name_right, context) {
            half = true;
            for atom in words {
                headings.push((atom.area, atom.label(context), atom.text.clone()));
            }
            lines.push(i);
        } else if column_names(&cells, &here, table, wished)
            && !here.iter().any(|a| heading_word(a, context) || counts(a, context))
        {
            // Of two lines of names the one of numbers is the laboratory's.
            let numbered = cells.iter().all(|a| is_laboratory_number(&a.text));
            let field = if numbered
                && fields.iter().all(|(f, _)| *f != Field::LabSample)
                && (next_names(atoms, i, cells.len(), name_right, page.em)
                    || matches!(fields.last(), Some((Field::SampleLabel, names)) if numbers_over(&cells, names)))
            {
                Field::LabSample
            } else {
                Field::SampleLabel
            };
            if field == Field::SampleLabel {
                name_row(&mut fields, cells);
                headed = true;
            } else {
                fields.push((field, cells));
            }
            lines.push(i);
        } else if !here.iter().any(|a| matches!(a.kind, Kind::Number(_) | Kind::Range) && !is_year(a))
            // `Sample No.:   North 40 1` is a pair of a form.
            && !here.iter().any(|a| a.text.ends_with(':'))
            && (here.iter().any(|a| heading_word(a, context))
                || cells.len() > 1 && cells.iter().all(|a| counts(a, context)))
        {
            for atom in &here {
                headings.push((atom.area, atom.label(context), atom.text.clone()));
            }
            lines.push(i);
        } else {
            break;
        }
        fields.extend(layers.filter(|_| lines.last() == Some(&i)));
        if noted {
            // What the note says is still to be read.
            lines.retain(|line| *line != i);
        }
        below = area.y0;
    }
    stack(&mut headings);
    half |= broken_names(page, atoms, &fields, names_right, context);
    half |= running::without_running(&mut fields);
    if half {
        fields.retain(|(field, _)| *field != Field::SampleLabel);
    }
    Above { headings, fields, lines, half_named: half, headed }
}

/// `Test | Method | Unit | Result`, and over `Unit` the word `Sample`: in a sheet a field of samples may be named in any
/// column left of their values. Where that word ends.
fn asked_beside(page: &Layout, here: &[&Atom], values: &[Rect], context: Context) -> Option<f32> {
    let (first, rest) = here.split_first().filter(|(_, rest)| rest.len() > 1)?;
    let left = values.iter().map(|v| v.x0).fold(f32::INFINITY, f32::min);
    let said = first.label(context);
    let asks = said.field.is_some() && said.analyte.is_none();
    let over = rest.iter().all(|a| a.area.x0 + 1.0 >= left);
    (page.cells && asks && over && first.area.x1 <= left).then_some(first.area.x1)
}
