//! Tables whose rows are analytes: one result a row, or one column a sample.

use super::align::{columns, inside};
use super::atom::{Atom, Kind, is_blank};
use super::found::{Found, FoundSample};
use super::label::{Label, label};
use super::layout::{Layout, Token};
use super::notes::method_in;
use super::number::{Decimal, number};
use super::vocabulary::{Context, Field, Role};
use crate::place::Rect;
use crate::soil::{Doubt, OtherMeasurement, Printed};

/// A row: its name, and what stands to the right of it up to the next name.
#[derive(Debug, Clone)]
struct Row {
    line: usize,
    name: Atom,
    label: Label,
    cells: Vec<Atom>,
}

/// What a column of such a table holds.
#[derive(Debug, Clone, PartialEq)]
enum Holds {
    Result,
    Sample(Vec<(Field, String)>),
    Unit,
    Method,
    Nothing,
    /// A season's column.
    Season(i16),
    /// A number column that nothing names.
    Nameless,
}

/// Reads the tables of analytes of a page; `free` tells which lines no other table has taken.
pub fn read(
    page: &Layout,
    atoms: &[Vec<Atom>],
    free: &[bool],
    context: Context,
    decimal: Decimal,
) -> (Vec<FoundSample>, Vec<usize>) {
    let mut rows: Vec<Row> = Vec::new();
    for (i, line) in atoms.iter().enumerate() {
        if free.get(i).copied().unwrap_or(false) {
            rows.extend(line_rows(i, line, context, decimal));
        }
    }
    let mut samples = Vec::new();
    let mut taken: Vec<usize> = Vec::new();
    for table in tables(rows, page) {
        let (found, lines) = read_table(page, atoms, &table, context);
        taken.extend(table.iter().map(|r| r.line));
        taken.extend(lines);
        samples.extend(found);
    }
    (samples, taken)
}

/// Cuts a line at every name of a measurement.
fn line_rows(line: usize, atoms: &[Atom], context: Context, decimal: Decimal) -> Vec<Row> {
    let mut rows: Vec<Row> = Vec::new();
    for atom in atoms.iter().flat_map(|a| name_and_value(a, decimal, context)) {
        if matches!(atom.kind, Kind::Text)
            && let Some(found) = name_label(&atom, context)
            && !rows.last().is_some_and(|r| repeats(r, &found) || computed(r, &atom))
        {
            // A unit or method beside a row is no new row; a name that has its own cells is.
            rows.push(Row { line, name: atom, label: found, cells: Vec::new() });
        } else if let Some(row) = rows.last_mut() {
            row.cells.push(atom);
        }
    }
    rows.retain(|r| r.cells.iter().any(|c| matches!(c.kind, Kind::Number(_) | Kind::Blank)));
    rows
}

/// `Loss on ignition` beside `Organic matter 3.6 %` is the method of that row and no row of its own.
fn repeats(row: &Row, beside: &Label) -> bool {
    row.label.analyte.is_some()
        && row.label.analyte == beside.analyte
        && beside.method().is_some()
        && row.cells.iter().any(|c| !matches!(c.kind, Kind::Text))
}

/// `calc.` beside the CEC is how it was come by.
fn computed(row: &Row, atom: &Atom) -> bool {
    row.label.analyte == Some(crate::soil::Analyte::Cec)
        && matches!(atom.text.to_lowercase().trim_end_matches('.'), "calc")
}

/// A short text that names a measurement and little else.
fn name_label(atom: &Atom, context: Context) -> Option<Label> {
    let words: usize = atom.tokens.iter().map(|t| t.text.split(' ').count()).sum();
    if words > 9 || atom.text.ends_with('.') && words > 4 {
        return None;
    }
    let found = label(&atom.text, Context { symbols: true, ..context });
    let named = found.analyte.is_some() || found.other;
    // A field (`Soil P` of a sample list ...) or a method beside the row is no name.
    (named && found.field.is_none() && !found.several).then_some(found)
}

/// `pH: 6.3` or `Organic matter 4.5 %` set close together are a name and its value.
fn name_and_value(atom: &Atom, decimal: Decimal, context: Context) -> Vec<Atom> {
    if !matches!(atom.kind, Kind::Text) {
        return vec![atom.clone()];
    }
    let words: Vec<Token> = if atom.tokens.len() == 1 { cell_words(atom) } else { atom.tokens.clone() };
    if words.len() < 2 || words.len() > 8 {
        return vec![atom.clone()];
    }
    let value_at = words.iter().enumerate().skip(1).find(|(i, t)| {
        let glued = |count: usize| {
            words.get(*i..i + count).is_some_and(|w| {
                number(&w.iter().map(|t| t.text.as_str()).collect::<Vec<_>>().join(" "), decimal).is_some()
            })
        };
        (glued(1) || (matches!(t.text.as_str(), "<" | ">") && glued(2)))
            && words.get(..*i).is_some_and(|head| {
                let text = head.iter().map(|t| t.text.as_str()).collect::<Vec<_>>().join(" ");
                let l = label(&text, Context { symbols: true, ..context });
                l.is_result() && l.unknown.is_empty() && l.field.is_none()
            })
    });
    let Some((at, _)) = value_at else { return vec![atom.clone()] };
    let (head, tail) = words.split_at(at);
    // What follows the number must be a unit or nothing: `Bray P 1 extract` is a name.
    let text = |tokens: &[Token]| tokens.iter().map(|t| t.text.as_str()).collect::<Vec<_>>().join(" ");
    let rest = label(&text(tail.get(1..).unwrap_or_default()), Context { symbols: false, ..context });
    let rest_is_unit = tail.len() == 1
        || (rest.unit.is_some() || rest.rating) && rest.unknown.is_empty() && rest.analyte.is_none();
    // Only a form's own punctuation, or a name that is complete without the number, makes this sure.
    let complete = text(head).ends_with(':') || !names_cover(&words, at, context);
    if !rest_is_unit || !complete {
        return vec![atom.clone()];
    }
    let piece = |tokens: &[Token], kind| {
        let area = tokens.iter().map(|t| t.area).reduce(|a, b| a.union(&b))?;
        Some(Atom { kind, text: text(tokens), tokens: tokens.to_vec(), area, marks: atom.marks.clone() })
    };
    let taken = if number(&text(tail.get(..1).unwrap_or_default()), decimal).is_some() { 1 } else { 2 };
    let (value, unit) = tail.split_at(taken.min(tail.len()));
    let kind = number(&text(value), decimal).map_or(Kind::Text, Kind::Number);
    [piece(head, Kind::Text), piece(value, kind), piece(unit, Kind::Text)].into_iter().flatten().collect()
}

/// True where a phrase of the vocabulary runs over the word at `at`: the `1` of `Bray P 1` is no value.
fn names_cover(words: &[Token], at: usize, context: Context) -> bool {
    let mut pieces = Vec::new();
    let mut owner = Vec::new();
    for (i, token) in words.iter().enumerate() {
        for piece in super::fold::pieces(&token.text) {
            pieces.push(piece);
            owner.push(i);
        }
    }
    super::vocabulary::hits(&pieces, Context { symbols: true, ..context })
        .iter()
        .any(|h| (h.start..h.end).any(|p| owner.get(p) == Some(&at)))
}

fn cell_words(atom: &Atom) -> Vec<Token> {
    atom.tokens
        .iter()
        .flat_map(|t| t.text.split(' ').map(move |w| Token { text: w.to_owned(), ..t.clone() }))
        .collect()
}

/// Rows whose names start at the same edge, without a wide gap, are one table.
fn tables(rows: Vec<Row>, page: &Layout) -> Vec<Vec<Row>> {
    let mut out: Vec<Vec<Row>> = Vec::new();
    for row in rows {
        let joins = out.iter_mut().rev().find(|table| {
            table.last().is_some_and(|last| {
                let same_edge = (last.name.area.x0 - row.name.area.x0).abs() < 2.5 * page.em;
                let gap = row.name.area.y0 - last.name.area.y1;
                same_edge && last.line < row.line && gap < 6.0 * page.em && same_columns(table, &row)
            })
        });
        match joins {
            Some(table) => table.push(row),
            None => out.push(vec![row]),
        }
    }
    out
}

/// The first value of a row stands under (or over) a value of the table; a box of pairs below a table does not.
fn same_columns(table: &[Row], row: &Row) -> bool {
    let first = row.cells.iter().find(|c| !matches!(c.kind, Kind::Text));
    first.is_none_or(|value| {
        table
            .iter()
            .flat_map(|r| &r.cells)
            .any(|c| !matches!(c.kind, Kind::Text) && c.area.overlap_x(&value.area) > 0.0)
    })
}

fn read_table(
    page: &Layout,
    atoms: &[Vec<Atom>],
    table: &[Row],
    context: Context,
) -> (Vec<FoundSample>, Vec<usize>) {
    let (Some(first), Some(last)) = (table.first(), table.last()) else { return (Vec::new(), Vec::new()) };
    let left = table.iter().map(|r| r.name.area.x0).fold(f32::INFINITY, f32::min);
    let right = right_edge(page, table);
    let (headings, field_rows, heading_lines) = above(page, atoms, table, left, right, context);
    let cells: Vec<Vec<Atom>> = table.iter().map(|r| r.cells.clone()).collect();
    let heading_areas: Vec<Rect> = headings.iter().map(|h| h.0).collect();
    let all = columns(&cells, &heading_areas, page.em, &|a| !matches!(a.kind, Kind::Text));
    let holds: Vec<Holds> = all
        .iter()
        .map(|c| {
            let fields =
                fields_of(&field_rows, &c.area, all.iter().map(|c| c.area).collect::<Vec<_>>().as_slice());
            let heading = c.heading.and_then(|h| headings.get(h)).map(|h| (&h.1, &h.2));
            column_holds(heading, fields, table, &c.area)
        })
        .collect();
    let holds = settle(holds, &all.iter().map(|c| c.area).collect::<Vec<_>>(), table);
    let method_column = headings.iter().any(|h| h.1.role == Some(Role::Method));
    let mut samples: Vec<FoundSample> = Vec::new();
    let results: Vec<(usize, &Holds)> =
        holds.iter().enumerate().filter(|(_, h)| matches!(h, Holds::Result | Holds::Sample(_))).collect();
    let nameless: Vec<usize> =
        holds.iter().enumerate().filter(|(_, h)| matches!(h, Holds::Nameless)).map(|(i, _)| i).collect();
    let base = |fields: Vec<(Field, String)>, named| FoundSample {
        page: page.number,
        y: first.name.area.y0,
        x: left,
        fields,
        named_by_table: named,
        ..FoundSample::default()
    };
    let unsure = results.is_empty() && nameless.len() > 1;
    let chosen: Vec<(usize, Vec<(Field, String)>)> = if results.is_empty() {
        nameless.first().map(|i| (*i, Vec::new())).into_iter().collect()
    } else {
        results
            .iter()
            .map(|(i, h)| (*i, if let Holds::Sample(fields) = h { fields.clone() } else { Vec::new() }))
            .collect()
    };
    let several = chosen.len() > 1 && chosen.iter().all(|(_, f)| f.is_empty());
    for (column, fields) in chosen {
        let Some(area) = all.get(column).map(|c| c.area) else { continue };
        let sure = all.get(column).is_none_or(|c| c.sure || c.heading.is_none());
        let named = !fields.is_empty();
        let result_unit = all
            .get(column)
            .and_then(|c| c.heading)
            .and_then(|h| headings.get(h))
            .and_then(|h| h.1.unit.clone());
        let mut sample = base(fields, named);
        for row in table {
            let Some(atom) = row.cells.iter().find(|a| a.number().is_some() && inside(&area, &a.area)) else {
                continue;
            };
            if !row.label.is_result() {
                if row.label.other && !row.label.decoy {
                    sample.others.extend(atom.place().map(|place| OtherMeasurement {
                        name: row.name.text.clone(),
                        printed: Printed { value: atom.text.clone(), unit: String::new() },
                        place,
                    }));
                }
                continue;
            }
            let Some(mut found) = raw(row, atom, result_unit.clone(), method_column, context) else {
                continue;
            };
            if unsure || several {
                found.doubts.push(Doubt::new(
                    "column-unsure",
                    format!(
                        "Beside `{}` stand several numbers and no heading says which is the result.",
                        row.name.text
                    ),
                ));
            } else if !sure {
                found.doubts.push(Doubt::new(
                    "column-unsure",
                    format!("It is not clear that `{}` stands in the column of results.", atom.text),
                ));
            }
            sample.readings.push(found);
        }
        samples.push(sample);
    }
    let _ = last;
    samples.retain(|s| !s.readings.is_empty() || !s.others.is_empty());
    (samples, heading_lines)
}

fn right_edge(page: &Layout, table: &[Row]) -> f32 {
    table
        .iter()
        .flat_map(|r| r.cells.last().map(|c| c.area.x1))
        .fold(0.0, f32::max)
        .max(table.iter().map(|r| r.name.area.x1).fold(0.0, f32::max) + page.em)
}

type Heading = (Rect, Label, String);
type FieldRow = (Field, Vec<Atom>);

/// Headings and sample rows above (or among the first rows of) a table.
fn above(
    page: &Layout,
    atoms: &[Vec<Atom>],
    table: &[Row],
    left: f32,
    right: f32,
    context: Context,
) -> (Vec<Heading>, Vec<FieldRow>, Vec<usize>) {
    let Some(first) = table.first() else { return (Vec::new(), Vec::new(), Vec::new()) };
    let name_right = table.iter().map(|r| r.name.area.x1).fold(0.0, f32::max);
    let mut headings: Vec<Heading> = Vec::new();
    let mut fields: Vec<FieldRow> = Vec::new();
    let mut lines = Vec::new();
    let mut titles = 0;
    let mut below = first.name.area.y0;
    for (i, line) in atoms.iter().enumerate().take(first.line).rev() {
        let Some(area) = page.lines.get(i).map(|l| l.area) else { break };
        if below - area.y1 > 3.2 * page.em && !page.cells || page.cells && below - area.y0 > 65.0 {
            break;
        }
        let here: Vec<&Atom> = line
            .iter()
            .filter(|a| a.area.x1 > left - 2.0 * page.em && a.area.x0 < right + 8.0 * page.em)
            .collect();
        if here.iter().any(|a| a.text.contains(": ") && a.tokens.len() > 2) {
            break;
        }
        // Rules drawn with dashes part a heading from its rows.
        if !here.is_empty() && here.iter().all(|a| matches!(a.kind, Kind::Blank)) {
            below = area.y0;
            continue;
        }
        let first_label = here.first().map(|a| label(&a.text, context));
        let cells: Vec<Atom> =
            here.iter().filter(|a| a.area.x0 > name_right - page.em).map(|a| (*a).clone()).collect();
        // A row of samples has a value for each column; `Client: somebody   Report no.: 12` are pairs of a form.
        let named_columns = cells.iter().any(|a| heading_word(a, context));
        let pairs = cells.iter().any(|a| {
            a.text.ends_with(':')
                || super::header::leading_field(&a.text, context)
                    .is_some_and(|(_, rest, colon)| colon || rest.is_empty())
        });
        // A long name is broken: its first words stand tight over the rest.
        if let Some((Field::SampleLabel, names)) = fields.last_mut()
            && !pairs
            && !named_columns
            && cells.len() == here.len()
            && !cells.is_empty()
            && !page.cells
            && below - area.y1 < 1.0 * page.em
            && cells
                .iter()
                .flat_map(|c| &c.tokens)
                .all(|t| names.iter().filter(|n| n.area.overlap_x(&t.area) > 0.0).count() == 1)
        {
            for token in cells.iter().flat_map(|c| c.tokens.iter().rev()) {
                if let Some(name) = names.iter_mut().find(|n| n.area.overlap_x(&token.area) > 0.0) {
                    name.text = format!("{} {}", token.text, name.text);
                    name.area = name.area.union(&token.area);
                }
            }
            lines.push(i);
            below = area.y0;
            continue;
        }
        if let Some((heads, names)) = mixed(&here, &cells, table, name_right, context)
            .filter(|_| !pairs && headings.iter().all(|h| h.1.role != Some(Role::Result)))
        {
            for atom in heads {
                headings.push((atom.area, label(&atom.text, context), atom.text.clone()));
            }
            fields.push((Field::SampleLabel, names));
            lines.push(i);
        } else if let Some(field) = first_label
            .as_ref()
            .and_then(|l| l.field)
            .filter(|_| here.first().is_some_and(|a| a.area.x0 < name_right))
            && cells.len() >= 2
            && !pairs
            && !named_columns
        {
            fields.push((field, cells));
            lines.push(i);
        } else if pairs {
            break;
        } else if let Some(row) = prefixed(&here, name_right, page.em) {
            fields.push(row);
            lines.push(i);
        } else if here.len() == 1 && titles < 2 && is_title(&here, left, page.em) {
            // The title of a part stands between a heading and its rows.
            titles += 1;
        } else if column_names(&cells, &here, table) && !here.iter().any(|a| heading_word(a, context)) {
            // Of two lines of names the one of numbers is the laboratory's.
            let numbered = cells.iter().all(|a| a.text.chars().any(|c| c.is_ascii_digit()));
            let field = if numbered
                && fields.iter().all(|(f, _)| *f != Field::LabSample)
                && next_names(atoms, i, cells.len(), name_right, page.em)
            {
                Field::LabSample
            } else {
                Field::SampleLabel
            };
            fields.push((field, cells));
            lines.push(i);
        } else if !here.iter().any(|a| matches!(a.kind, Kind::Number(_) | Kind::Range))
            && here.iter().any(|a| heading_word(a, context))
        {
            for atom in &here {
                headings.push((atom.area, label(&atom.text, context), atom.text.clone()));
            }
            lines.push(i);
        } else {
            break;
        }
        below = area.y0;
    }
    stack(&mut headings);
    broken_names(page, atoms, &mut fields, &lines, name_right);
    (headings, fields, lines)
}

/// Words tight over the names that could not be told to one of them: these are the ends of longer names, and no name
/// is better than half of one.
fn broken_names(
    page: &Layout,
    atoms: &[Vec<Atom>],
    fields: &mut Vec<FieldRow>,
    lines: &[usize],
    name_right: f32,
) {
    let Some(above) = lines.iter().min().and_then(|i| i.checked_sub(1)) else { return };
    let Some(top) = page.lines.get(above).map(|l| l.area.y1) else { return };
    let loose: Vec<&Atom> = atoms
        .get(above)
        .map(|line| {
            line.iter().filter(|a| matches!(a.kind, Kind::Text) && a.area.x0 > name_right - page.em).collect()
        })
        .unwrap_or_default();
    fields.retain(|(field, names)| {
        let tight = !page.cells
            && names.iter().any(|n| {
                n.area.y0 - top < 1.2 * page.em && loose.iter().any(|a| a.area.overlap_x(&n.area) > 0.0)
            });
        *field != Field::SampleLabel || !tight
    });
}

/// `Test   Unit   North 40   Pitch   Optimum range`: names of samples among the headings of a table. Each name stands
/// over a column of values, and no column is called the result.
fn mixed(
    here: &[&Atom],
    cells: &[Atom],
    table: &[Row],
    name_right: f32,
    context: Context,
) -> Option<(Vec<Atom>, Vec<Atom>)> {
    let of = |a: &Atom| label(&a.text, context);
    let first = here.first().filter(|a| a.area.x0 < name_right).map(|a| of(a));
    let opens = first.as_ref().is_none_or(|l| {
        l.analyte.is_none() && (l.role == Some(Role::Analyte) || l.field == Some(Field::SampleLabel))
    });
    let (heads, names): (Vec<Atom>, Vec<Atom>) = cells.iter().cloned().partition(|a| {
        heading_word(a, context)
            || a.number().is_none() && of(a).field.is_some_and(|f| f != Field::SampleLabel)
    });
    let result = heads.iter().any(|a| matches!(of(a).role, Some(Role::Result | Role::Analyte)));
    let values: Vec<&Atom> = table
        .iter()
        .flat_map(|r| &r.cells)
        .filter(|c| matches!(c.kind, Kind::Number(_) | Kind::Blank))
        .collect();
    let named = names.iter().all(|n| {
        let decimal = n.number().is_some() && n.text.contains(['.', ',']);
        let year = n.text.parse::<u16>().is_ok_and(|y| (1950..2100).contains(&y));
        !decimal
            && !year
            && !matches!(n.kind, Kind::Range | Kind::Blank)
            && of(n).analyte.is_none()
            && n.text.split(' ').count() <= 5
            && values.iter().any(|v| v.area.overlap_x(&n.area) > 0.0)
    });
    // A heading broken over lines stands over one row of samples; names stand over several rows of results.
    if table.len() < 3 {
        return None;
    }
    let said = !heads.is_empty() || first.is_some_and(|l| l.role == Some(Role::Analyte));
    (opens && said && !result && named && !names.is_empty()).then_some((heads, names))
}

/// `lab no. 184916/1   lab no. 184916/2`: each column repeats the field's name before its value.
fn prefixed(here: &[&Atom], name_right: f32, em: f32) -> Option<FieldRow> {
    let cells: Vec<&&Atom> = here.iter().filter(|a| a.area.x0 > name_right - em).collect();
    if cells.len() < 2 || cells.len() != here.len() {
        return None;
    }
    let parts: Vec<(Field, Atom)> = cells
        .iter()
        .filter_map(|a| {
            let (field, rest, _) =
                super::header::leading_field(&a.text, Context { symbols: false, capitals: false })?;
            let text = if super::header::is_place(&a.text) { a.text.clone() } else { rest.clone() };
            (!rest.is_empty()).then(|| (field, Atom { text, ..(**a).clone() }))
        })
        .collect();
    let field = parts.first()?.0;
    (parts.len() == cells.len() && parts.iter().all(|(f, _)| *f == field))
        .then(|| (field, parts.into_iter().map(|(_, a)| a).collect()))
}

fn is_title(here: &[&Atom], left: f32, em: f32) -> bool {
    here.first().is_some_and(|a| {
        matches!(a.kind, Kind::Text)
            && (a.area.x0 - left).abs() < 3.0 * em
            && a.text.split(' ').count() <= 6
            && !a.text.contains(':')
    })
}

/// True where the line above holds as many names again.
fn next_names(atoms: &[Vec<Atom>], at: usize, count: usize, name_right: f32, em: f32) -> bool {
    at.checked_sub(1).and_then(|i| atoms.get(i)).is_some_and(|line| {
        line.iter().filter(|a| a.area.x0 > name_right - em && matches!(a.kind, Kind::Text)).count() == count
    })
}

fn heading_word(atom: &Atom, context: Context) -> bool {
    let l = label(&atom.text, context);
    // A sentence that ends in "this is what we found" is no heading.
    let short = atom.text.split(' ').count() <= 6 && !atom.text.ends_with('.');
    atom.number().is_none()
        && short
        && !super::header::is_place(&atom.text)
        && (l.role.is_some()
            || l.decoy
            || l.rating
            || l.field == Some(Field::SampleLabel) && l.unknown.is_empty()
            || l.year.is_some() && l.unknown.is_empty())
}

/// Names of samples over the columns of numbers: as many texts as the first row has numbers.
fn column_names(cells: &[Atom], here: &[&Atom], table: &[Row]) -> bool {
    let numbers = table
        .iter()
        .map(|r| r.cells.iter().filter(|c| !matches!(c.kind, Kind::Text)).count())
        .max()
        .unwrap_or(0);
    // A row that names a measurement is a row of values, and `6.9` is no name.
    let measured = here
        .first()
        .is_some_and(|a| label(&a.text, Context { symbols: true, capitals: false }).analyte.is_some());
    let decimals = cells
        .iter()
        .any(|a| a.number().is_some() && a.text.contains(['.', ',']) || matches!(a.kind, Kind::Range));
    numbers > 1
        && cells.len() == numbers
        && !measured
        && !decimals
        && here.iter().all(|a| a.text.split(' ').count() <= 5)
}

/// Headings over each other are one heading.
fn stack(headings: &mut Vec<Heading>) {
    headings.sort_by(|a, b| a.0.y0.total_cmp(&b.0.y0));
    let mut out: Vec<Heading> = Vec::new();
    for (area, l, text) in headings.drain(..) {
        match out.iter_mut().find(|(other, ..)| {
            other.overlap_x(&area) > 0.3 * other.width().min(area.width()) && other.y1 <= area.y0 + 1.0
        }) {
            Some((other, other_label, other_text)) => {
                *other = other.union(&area);
                *other_text = format!("{other_text} {text}");
                *other_label = label(other_text, Context { symbols: false, capitals: false });
            }
            None => out.push((area, l, text)),
        }
    }
    out.sort_by(|a, b| a.0.x0.total_cmp(&b.0.x0));
    *headings = out;
}

/// What the sample rows say of a column.
fn fields_of(rows: &[FieldRow], column: &Rect, all: &[Rect]) -> Vec<(Field, String)> {
    rows.iter()
        .filter_map(|(field, cells)| {
            let distance = |c: &Rect, a: &Rect| {
                (c.x0 - a.x0).abs().min((c.x1 - a.x1).abs()).min((c.mid_x() - a.mid_x()).abs())
            };
            // One value in the row speaks for every column (a depth printed once); else the nearest.
            let text = if let [one] = cells.as_slice() {
                (all.len() == 1 || matches!(field, Field::DepthTop | Field::DepthBottom | Field::SampledOn))
                    .then(|| one.text.clone())
            } else {
                cells
                    .iter()
                    .filter(|a| {
                        all.iter().all(|other| distance(column, &a.area) <= distance(other, &a.area) + 0.01)
                    })
                    .map(|a| a.text.clone())
                    .reduce(|a, b| format!("{a} {b}"))
            }?;
            Some((*field, text))
        })
        .filter(|(_, text)| !is_blank(text))
        .collect()
}

fn column_holds(
    heading: Option<(&Label, &String)>,
    fields: Vec<(Field, String)>,
    table: &[Row],
    area: &Rect,
) -> Holds {
    let cells: Vec<&Atom> = table
        .iter()
        .filter_map(|r| r.cells.iter().find(|a| !matches!(a.kind, Kind::Text) && inside(area, &a.area)))
        .collect();
    let ranges = cells.iter().filter(|a| matches!(a.kind, Kind::Range)).count();
    if ranges * 2 > cells.len() {
        return Holds::Nothing;
    }
    if !fields.is_empty() {
        return Holds::Sample(fields);
    }
    let Some((heading, text)) = heading else { return Holds::Nameless };
    if heading.decoy || heading.rating {
        return Holds::Nothing;
    }
    match heading.role {
        Some(Role::Result) => return Holds::Result,
        Some(Role::Unit) => return Holds::Unit,
        Some(Role::Method) => return Holds::Method,
        Some(Role::Analyte | Role::Qualifier) => return Holds::Nothing,
        None => {}
    }
    if heading.unit.is_some() && heading.unknown.is_empty() && heading.analyte.is_none() {
        return Holds::Result;
    }
    if let Some(year) = heading.year {
        return Holds::Season(year);
    }
    if heading.analyte.is_some() || heading.field.is_some_and(|f| f != Field::SampleLabel) {
        return Holds::Nameless;
    }
    Holds::Sample(vec![(Field::SampleLabel, text.clone())])
}

/// With a column named as the result, other number columns count only as samples named by a sample row. One
/// nameless column of numbers alone is the result; the first of all if the rest are no numbers.
fn settle(mut holds: Vec<Holds>, _areas: &[Rect], _table: &[Row]) -> Vec<Holds> {
    let latest = holds.iter().filter_map(|h| if let Holds::Season(y) = h { Some(*y) } else { None }).max();
    let alone = holds.iter().all(|h| !matches!(h, Holds::Result | Holds::Sample(_)));
    // Of columns headed by years alone the last is the present one, where no other stands beside it.
    for h in &mut holds {
        if let Holds::Season(year) = h {
            *h = if alone && Some(*year) == latest { Holds::Result } else { Holds::Nothing };
        }
    }
    let results = holds.iter().filter(|h| matches!(h, Holds::Result)).count();
    let samples = holds.iter().filter(|h| matches!(h, Holds::Sample(_))).count();
    if results > 0 {
        for h in &mut holds {
            if matches!(h, Holds::Nameless | Holds::Sample(_)) {
                *h = Holds::Nothing;
            }
        }
    } else if samples > 0 {
        for h in &mut holds {
            if matches!(h, Holds::Nameless) {
                *h = Holds::Nothing;
            }
        }
    }
    holds
}

fn raw(
    row: &Row,
    atom: &Atom,
    result_unit: Option<(&'static str, String)>,
    method_column: bool,
    context: Context,
) -> Option<Found> {
    let analyte = row.label.analyte?;
    let mut l = row.label.clone();
    let mut unit = l.unit.clone();
    for cell in row.cells.iter().filter(|c| matches!(c.kind, Kind::Text)) {
        let right_of_value =
            cell.area.x0 >= atom.area.x1 - 1.0 || cell.tokens.iter().all(|t| t.area == atom.area);
        let beside = label(&cell.text, Context { symbols: false, ..context });
        let between = cell.area.x0 < atom.area.x0 && beside.methods.is_empty() && beside.analyte.is_none();
        if (right_of_value || between) && unit.is_none() && beside.unit.is_some() && beside.unknown.is_empty()
        {
            unit.clone_from(&beside.unit);
        } else if beside.unit.is_none() || method_column {
            l.methods.extend(method_in(&cell.text, analyte, context));
        }
    }
    Some(Found {
        label: l,
        number: atom.number()?.clone(),
        printed: atom.text.clone(),
        unit: unit.or(result_unit),
        place: atom.place()?,
        confidence: atom.confidence(),
        marks: row.name.marks.iter().chain(&atom.marks).cloned().collect(),
        caption: None,
        doubts: Vec::new(),
    })
}
