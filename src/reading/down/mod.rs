//! Tables whose rows are analytes: one result a row, or one column a sample.

mod above;
mod advice;
mod column;
mod layers;
mod method;
mod row;
mod stacked;
mod title;

use super::across::control::doubt_controls;
use super::across::names_a_number;
use super::align::{columns, inside};
use super::atom::{Atom, Kind};
use super::below::{Below, Limit, below};
use super::found::{Found, FoundSample};
use super::header::{names_a_part, names_sample};
use super::label::label;
use super::layout::{Layout, Line, Phrase};
use super::notes::method_in;
use super::number::{Decimal, PrintedNumber};
use super::units::{Rule, conversion};
use super::vocabulary::{Context, Field, Role};
use crate::place::Rect;
use crate::soil::{Doubt, Method, OtherMeasurement, Printed, Unit};
use above::{Above, Heading, above, fields_of, says_several};
pub use advice::is_title;
use column::{Holds, column_holds, settle};
pub use row::is_rating_letter;
use row::{Row, computed, line_rows, rates, ratings, stacked_rows};
use stacked::says_column;
use title::Title;

/// What the columns of a table held, so that it may go on at the top of the next page without its heading.
#[derive(Debug, Clone)]
pub struct Carried {
    left: f32,
    columns: Vec<Column>,
    method_column: bool,
}

/// A column of numbers with what it holds and the unit its heading names.
#[derive(Debug, Clone)]
struct Column {
    area: Rect,
    sure: bool,
    holds: Holds,
    /// The words over it are all that names its sample.
    headed: bool,
    unit: Option<(&'static str, String)>,
}

/// What the tables of a page stand among.
#[derive(Clone, Copy)]
pub struct Around<'a> {
    /// Which readings of short phrases the document allows.
    pub context: Context,
    /// How it writes decimals.
    pub decimal: Decimal,
    /// All its text.
    pub text: &'a str,
    /// The latest year in its dates.
    pub year: Option<i16>,
}

/// Reads the tables of analytes of a page; `free` tells which lines no other table has taken, `carried` what the
/// page before left open.
pub fn read(
    page: &Layout,
    atoms: &[Vec<Atom>],
    free: &[bool],
    around: Around<'_>,
    carried: &mut Option<Carried>,
) -> (Vec<FoundSample>, Vec<usize>) {
    let mut rows: Vec<Row> = Vec::new();
    let ratings = ratings(atoms, around.context);
    let edges = if page.cells { Vec::new() } else { row::method_edges(atoms, around.context) };
    for (i, line) in atoms.iter().enumerate() {
        if free.get(i).copied().unwrap_or(false) {
            let rates = |a: &Atom| rates(a, &ratings) || row::in_column_of_methods(a, &edges);
            rows.extend(line_rows(i, line, around.context, around.decimal, &rates));
        }
    }
    row::end_at_neighbours(&mut rows, page.em);
    if rows.is_empty() {
        rows = stacked_rows(atoms, free, around.context);
    }
    let mut samples = Vec::new();
    let mut taken: Vec<usize> = Vec::new();
    let mut before = carried.take();
    let row_lines: Vec<usize> = rows.iter().map(|r| r.line).collect();
    for table in tables(rows, page, around.context) {
        if advice::is_advice(page, &table) {
            taken.extend(table.iter().map(|r| r.line));
            continue;
        }
        let (found, lines, columns) = read_table(page, atoms, &table, &row_lines, around, before.take());
        taken.extend(table.iter().map(|r| r.line));
        taken.extend(lines);
        let lone = table.iter().all(|row| page.lines.get(row.line).is_some_and(|l| l.phrases.len() == 1));
        samples.extend(found.into_iter().map(|sample| FoundSample { lone, ..sample }));
        if columns.columns.iter().any(|c| matches!(c.holds, Holds::Result | Holds::Sample(_))) {
            *carried = Some(columns);
        }
    }
    (samples, taken)
}

/// Rows whose names start at the same edge, without a wide gap or the name of another sample between, are one table.
fn tables(rows: Vec<Row>, page: &Layout, context: Context) -> Vec<Vec<Row>> {
    let names: Vec<bool> = page
        .lines
        .iter()
        .map(|l| {
            let all = l.phrases.iter().map(Phrase::text).collect::<Vec<_>>().join(" ");
            names_sample(&all, context) || l.phrases.iter().any(|p| names_sample(&p.text(), context))
        })
        .collect();
    let mut out: Vec<Vec<Row>> = Vec::new();
    for row in rows {
        let joins = out.iter_mut().rev().find(|table| {
            table.last().is_some_and(|last| {
                if names.get(last.line + 1..row.line).is_some_and(|between| between.contains(&true)) {
                    return false;
                }
                let between = page.lines.get(last.line + 1..row.line).unwrap_or_default();
                if between.iter().any(|l| heads_columns(l, context) || advice::is_title(l)) {
                    return false;
                }
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

/// `Nutrient   Amount   Unit` between rows: what follows has a heading of its own.
fn heads_columns(line: &Line, context: Context) -> bool {
    let plain = Context { symbols: false, ..context };
    let says = |text: &str| {
        let said = label(text, plain);
        said.unknown.is_empty()
            && said.analyte.is_none()
            && (said.role.is_some() || said.decoy || said.unit.is_some())
    };
    let texts: Vec<String> = line.phrases.iter().map(Phrase::text).collect();
    let [first, rest @ ..] = texts.as_slice() else { return false };
    let column = |text: &String| !text.contains(|c: char| c.is_ascii_digit()) && says(text);
    label(first, plain).role.is_some() && rest.iter().any(column)
}

/// The first value of a row stands under (or over) a value of the table; a box of pairs below a table does not.
fn same_columns(table: &[Row], row: &Row) -> bool {
    let first = row.cells.iter().find(|c| !matches!(c.kind, Kind::Text));
    let over = |value: &Atom| {
        table
            .iter()
            .flat_map(|r| &r.cells)
            .any(|c| !matches!(c.kind, Kind::Text) && c.area.overlap_x(&value.area) > 0.0)
    };
    // A row whose result is blank, and its guide value not, begins a table as well.
    let begun = table.iter().all(|r| {
        let first = r.cells.iter().find(|c| !matches!(c.kind, Kind::Text));
        let mut values = row.cells.iter().filter(|c| !matches!(c.kind, Kind::Text));
        first.is_none_or(|first| values.any(|v| v.area.overlap_x(&first.area) > 0.0))
    });
    // A guide value that only some rows have stands before two or more that all have.
    let shared = row.cells.iter().filter(|c| !matches!(c.kind, Kind::Text) && over(c)).count();
    first.is_none_or(over) || shared >= 2 || begun
}

fn read_table(
    page: &Layout,
    atoms: &[Vec<Atom>],
    table: &[Row],
    row_lines: &[usize],
    around: Around<'_>,
    before: Option<Carried>,
) -> (Vec<FoundSample>, Vec<usize>, Carried) {
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
            let words = matches!(h.1.role, Some(Role::Unit | Role::Method));
            let under = |text: bool| {
                let here = |c: &&Atom| matches!(c.kind, Kind::Text) == text && c.area.overlap_x(&h.0) > 0.0;
                cells.iter().flatten().any(|c| here(&c))
            };
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
        None => fields_of(&field_rows, area, &areas),
    };
    let headed: Vec<bool> = placed.iter().map(|c| by_words || fields_over(&c.area).is_empty()).collect();
    let holds: Vec<Holds> = placed
        .iter()
        .map(|c| {
            let fields = fields_over(&c.area);
            // `2 50 86 101` is a row of figures set close together, and no name.
            let figures = |text: &str| text.split(' ').count() > 2 && !text.contains(char::is_alphabetic);
            let none = |field: Field, text: &str| {
                title(field, text) || figures(text) || field == Field::SampleLabel && names_a_number(text)
            };
            let fields = fields.into_iter().filter(|(field, text)| !none(*field, text)).collect();
            // What stands over several columns names none of them.
            let over = |h: &&Heading| areas.iter().filter(|a| a.overlap_x(&h.0) > 0.0).count();
            let heading = c.heading.and_then(|h| headings.get(h));
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
    // A heading over several columns that went to one of them says nothing of the others: none of these is the result
    // for want of another.
    let beside = |c: &Rect| headings.iter().any(|h| h.0.overlap_x(c) > 0.0);
    let mut all: Vec<Column> = placed
        .iter()
        .zip(settle(holds, around.year))
        .zip(headed)
        .map(|((c, holds), headed)| Column {
            area: c.area,
            sure: c.sure && c.heading.is_some() || c.heading.is_none() && !beside(&c.area),
            holds,
            headed,
            unit: c.heading.and_then(|h| headings.get(h)).and_then(|h| match column::holds_shares(&h.1) {
                true => Some(("%", h.2.clone())),
                false => h.1.unit.clone(),
            }),
        })
        .collect();
    if let Some(before) = before.filter(|_| headings.is_empty() && field_rows.is_empty())
        && (before.left - left).abs() < 2.5 * page.em
    {
        method_column |= go_on(&mut all, &before);
    }
    let titles = title::titles(page, atoms, table, around.context);
    // A unit between the rows is of the rows below it, and no note on all results.
    heading_lines.extend(titles.iter().filter_map(|t| t.line));
    let table = &method::unread(page, table, row_lines, &methods);
    let mut titles = titles;
    if let Some(unit) = title::head_unit(atoms, &heading_lines, table, &areas, around.context) {
        for title in titles.iter_mut().filter(|t| t.unit.is_none() && !t.aside) {
            title.unit = Some(unit.clone());
        }
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

/// A table without a heading whose every column of numbers stands in a column of the page before holds the same.
fn go_on(all: &mut [Column], before: &Carried) -> bool {
    let same: Vec<Option<&Column>> = all
        .iter()
        .map(|c| {
            let mut over = before.columns.iter().filter(|b| b.area.overlap_x(&c.area) > 0.0);
            over.next().filter(|_| over.next().is_none())
        })
        .collect();
    if !same.iter().all(Option::is_some) {
        return false;
    }
    for (column, same) in all.iter_mut().zip(same.into_iter().flatten()) {
        column.holds = same.holds.clone();
        column.unit.clone_from(&same.unit);
        column.headed = same.headed;
        column.sure = same.sure;
    }
    before.method_column
}

fn read_columns(
    page: &Layout,
    table: &[Row],
    titles: &[Title],
    all: &[Column],
    left: f32,
    method_column: bool,
    around: Around<'_>,
) -> Vec<FoundSample> {
    let results: Vec<&Column> =
        all.iter().filter(|c| matches!(c.holds, Holds::Result | Holds::Sample(_))).collect();
    let nameless: Vec<&Column> = all.iter().filter(|c| matches!(c.holds, Holds::Nameless)).collect();
    let unsure = results.is_empty() && nameless.len() > 1;
    let chosen: Vec<&Column> =
        if results.is_empty() { nameless.first().copied().into_iter().collect() } else { results };
    let bare = |c: &Column| !matches!(c.holds, Holds::Sample(_));
    let several = chosen.len() > 1 && chosen.iter().all(|c| bare(c)) && !one_in_two_units(&chosen);
    let competing: Vec<&Column> = if unsure { nameless } else { chosen.clone() };
    let limits: Vec<(Limit, Rect)> = all
        .iter()
        .filter_map(|c| if let Holds::Limit(l) = c.holds { Some((l, c.area)) } else { None })
        .collect();
    let mut samples: Vec<FoundSample> = Vec::new();
    for column in chosen {
        let mut fields = if let Holds::Sample(fields) = &column.holds { fields.clone() } else { Vec::new() };
        // No column has a laboratory of its own: this is the upper half of `Lab No.`, and beside it stand halves of names.
        if fields.iter().any(|(field, _)| *field == Field::Lab) {
            fields.retain(|(field, _)| !matches!(field, Field::Lab | Field::SampleLabel));
        }
        let mut sample = FoundSample {
            page: page.number,
            y: table.first().map_or(0.0, |r| r.name.area.y0),
            x: left,
            named_by_table: !fields.is_empty(),
            headed: column.headed && !fields.is_empty(),
            fields,
            ..FoundSample::default()
        };
        for (row, title) in table.iter().zip(titles) {
            let Some((atom, number, either)) = value_of(row, column, &limits, around) else { continue };
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
            let unit = column.unit.clone().or_else(|| title.unit.clone().filter(|u| counts(row, u.0)));
            let Some(mut found) = raw(row, atom, number, unit, method_column, around.context) else {
                continue;
            };
            found.caption = title.method;
            if title.aside {
                found.doubts.push(Doubt::new(
                    "title-aside",
                    format!("The title over `{}` speaks of something else than results.", row.name.text),
                ));
            }
            found.doubts.extend(either);
            if unsure || several {
                found.doubts.push(competing_columns(row, &competing));
            } else if !column.sure {
                found.doubts.push(Doubt::new(
                    "column-unsure",
                    format!("It is not clear that `{}` stands in the column of results.", atom.text),
                ));
            }
            sample.readings.push(found);
        }
        samples.push(sample);
    }
    samples.retain(|s| !s.readings.is_empty() || !s.others.is_empty());
    doubt_controls(&mut samples);
    samples
}

/// True where what a row measures can be counted in this unit.
fn counts(row: &Row, unit: &'static str) -> bool {
    row.label.analyte.is_some_and(|a| a.unit() != Unit::One && conversion(unit, a.unit()).is_some())
}

/// Parts per million beside pounds per acre: each row prints one reading twice, and both must agree later on.
fn one_in_two_units(columns: &[&Column]) -> bool {
    let rules: Vec<Rule> = columns
        .iter()
        .filter_map(|c| conversion(c.unit.as_ref()?.0, Unit::MgPerKg))
        .map(|c| c.rule)
        .collect();
    rules.len() == 2
        && columns.len() == 2
        && rules.contains(&Rule::Plain)
        && rules.iter().any(|r| matches!(r, Rule::Area | Rule::AreaMetric))
}

/// The competing numbers of a row, none of which a heading calls the result.
fn competing_columns(row: &Row, columns: &[&Column]) -> Doubt {
    let mut doubt = Doubt::new(
        "column-unsure",
        format!("Beside `{}` stand several numbers and no heading says which is the result.", row.name.text),
    );
    doubt.alternatives = columns
        .iter()
        .filter_map(|c| row.cells.iter().find(|a| a.number().is_some() && inside(&c.area, &a.area)))
        .map(|a| a.text.clone())
        .collect();
    doubt
}

/// The number of a row in a column; the limit of the row where "not detected" stands there.
fn value_of<'a>(
    row: &'a Row,
    column: &Column,
    limits: &[(Limit, Rect)],
    around: Around<'_>,
) -> Option<(&'a Atom, PrintedNumber, Option<Doubt>)> {
    if let Some(atom) = row.cells.iter().find(|a| a.number().is_some() && inside(&column.area, &a.area)) {
        return Some((atom, atom.number()?.clone(), None));
    }
    let blank = row.cells.iter().find(|a| matches!(a.kind, Kind::Blank) && inside(&column.area, &a.area))?;
    let limits: Vec<(Limit, &Atom)> = limits
        .iter()
        .filter_map(|(l, area)| {
            Some((*l, row.cells.iter().find(|a| a.number().is_some() && inside(area, &a.area))?))
        })
        .collect();
    match below(blank, &limits, around.text, around.decimal)? {
        Below::Limit(number) => Some((blank, number, None)),
        Below::Either(one, other) => {
            let mut doubt = Doubt::new(
                "limit-unclear",
                format!("`{}` may be below either of two printed limits.", blank.text),
            );
            doubt.alternatives = vec![format!("< {}", one.value), format!("< {}", other.value)];
            Some((blank, one, Some(doubt)))
        }
    }
}

fn right_edge(page: &Layout, table: &[Row]) -> f32 {
    table
        .iter()
        .flat_map(|r| r.cells.last().map(|c| c.area.x1))
        .fold(0.0, f32::max)
        .max(table.iter().map(|r| r.name.area.x1).fold(0.0, f32::max) + page.em)
}

fn raw(
    row: &Row,
    atom: &Atom,
    number: PrintedNumber,
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
        // Set close to its unit, `calc.` is the method all the same.
        if computed(row, cell, context) {
            l.methods.push(Some(Method::Summation));
        }
        let between = cell.area.x0 < atom.area.x0 && beside.analyte.is_none();
        if (right_of_value || between) && unit.is_none() && beside.unit.is_some() && beside.unknown.is_empty()
        {
            unit.clone_from(&beside.unit);
            // Columns set close together: `mg/kg Mehlich 1` is a unit and a method.
            if !beside.methods.is_empty() {
                l.methods.extend(method_in(&cell.text, analyte, context));
            }
        } else if beside.unit.is_none() || method_column {
            l.methods.extend(method_in(&cell.text, analyte, context));
        }
    }
    Some(Found {
        label: l,
        number,
        printed: atom.text.clone(),
        unit: unit.or(result_unit),
        place: atom.place()?,
        confidence: atom.confidence(),
        marks: row.name.marks.iter().chain(&atom.marks).cloned().collect(),
        caption: None,
        doubts: Vec::new(),
    })
}

#[cfg(test)]
mod tests {
    use super::super::atom::atoms;
    use super::super::layout::{layout, tests::typed};
    use super::super::vocabulary::Field;
    use super::*;
    use crate::soil::Analyte;

    fn of(lines: &[&str]) -> Vec<FoundSample> {
        let page = layout(&typed(lines));
        let pieces: Vec<Vec<Atom>> = page.lines.iter().map(|l| atoms(l, Decimal::Point)).collect();
        let context = Context { symbols: true, capitals: false };
        let around = Around { context, decimal: Decimal::Point, text: "", year: None };
        read(&page, &pieces, &vec![true; pieces.len()], around, &mut None).0
    }

    #[test]
    fn a_heading_broken_into_lab_and_no_gives_the_laboratorys_number_and_no_name() {
        let found = of(&[
            "Lab",
            "No.              47702    47703    47704",
            "pH               5.9      5.7      5.4",
            "Potassium, ppm   110      92       64",
            "Calcium, ppm     1943     1093     1155",
        ]);
        assert!(found.iter().all(|s| s.field(Field::SampleLabel).is_none()), "{found:?}");
        assert_eq!(found.first().and_then(|s| s.field(Field::LabSample)), Some("47702"));
    }

    #[test]
    fn what_stands_in_the_column_of_methods_names_no_row() {
        let found = of(&[
            "Determination           Unit       Method            Moss    Fern",
            "pH                                 1:1 water         6.4     5.9",
            "Phosphorus              ppm        Mehlich 3         34      52",
            "Potassium               ppm        Mehlich 3         270     284",
            "Zinc                    ppm        DTPA              5.1     2.9",
            "Neutralizable acidity   meq/100 g  SMP buffer        1.4     2.8",
            "Calcium                 %          calc              61.0    58.2",
        ]);
        let of = |analyte| {
            let readings = found.iter().flat_map(|s| &s.readings);
            readings.filter(|r| r.label.analyte == Some(analyte)).map(|r| r.number.value).collect::<Vec<_>>()
        };
        assert_eq!(of(Analyte::Acidity), [1.4, 2.8], "{found:?}");
        assert!(of(Analyte::BufferPh).is_empty());
        assert!(of(Analyte::Calcium).is_empty() || of(Analyte::SatCa).is_empty());
        assert_eq!(found.iter().map(|s| s.readings.len()).collect::<Vec<_>>(), [6, 6]);
    }

    #[test]
    fn layers_over_columns_are_depths_and_no_names() {
        let found = of(&[
            "           Lab number                918/1     918/2     918/3     918/4",
            "           Paddock                   Moss      Moss      Fern      Mill flat   Desirable",
            "Test                 Unit     Code   0-10 cm   10-20 cm  0-10 cm   0-10 cm",
            "Reaction",
            "pH (1:5 water)                4A1    5.6       5.2       6.4       8.1         6.0-7.5",
            "Chloride             mg/kg    5A2    57        102       51        47          <120",
            "Phosphorus (Colwell) mg/kg    9B2    28        9         41        17          30-45",
            "Zinc (DTPA)          mg/kg    12A1   5.0       2.7       2.8       2.3         >0.8",
        ]);
        let told: Vec<_> = found
            .iter()
            .map(|s| {
                [Field::SampleLabel, Field::LabSample, Field::DepthTop]
                    .map(|f| s.field(f).unwrap_or_default())
            })
            .collect();
        assert_eq!(told[1], ["Moss", "918/2", "10-20 cm"], "{told:?}");
        assert_eq!(told[3], ["Mill flat", "918/4", "0-10 cm"], "{told:?}");
        assert_eq!(told.len(), 4, "{told:?}");
    }

    #[test]
    fn a_column_called_saturation_holds_shares_and_names_no_sample() {
        let found = of(&[
            "Cation       Saturation      Ideal",
            "CEC          6.2 meq/100g",
            "Calcium      68.5            65 - 75 %",
            "Magnesium    13.6            10 - 15 %",
            "Potassium    3.1             3 - 6 %",
        ]);
        let [sample] = found.as_slice() else { panic!("{found:?}") };
        assert_eq!(sample.field(Field::SampleLabel), None);
        let units: Vec<_> = sample.readings.iter().map(|r| r.unit.as_ref().map(|u| u.0)).collect();
        assert_eq!(units, [Some("cmol/kg"), Some("%"), Some("%"), Some("%")]);
    }

    #[test]
    fn days_over_columns_are_seasons_and_the_present_one_is_the_result() {
        let found = of(&[
            "                             Previous results           This report",
            "Determination      Unit                                               Target",
            "                             9 Oct 2018   14 Oct 2021   11 Oct 2024",
            "pH (1:1 water)               5.6          5.9           6.1           6.0",
            "Phosphorus         ppm       49           53            57            56",
            "Potassium          ppm       254          273           386           340",
        ]);
        let all: Vec<_> = found.iter().flat_map(|s| &s.readings).map(|r| r.number.value).collect();
        assert_eq!(all, [6.1, 57.0, 386.0], "{found:?}");
    }

    #[test]
    fn a_scale_of_bars_heads_no_column_and_a_day_of_a_form_names_no_sample() {
        let found = of(&[
            "Lawn                 Received",
            "Fescue lawn          02/20/2024",
            "",
            "Results (Mehlich-1 extract)",
            "                              Low      Medium     High",
            "Phosphorus (P)       42",
            "Potassium (K)        142",
            "Calcium (Ca)         1664",
        ]);
        let [sample] = found.as_slice() else { panic!("{found:?}") };
        assert_eq!(sample.field(Field::SampleLabel), None, "{found:?}");
        assert!(
            sample.readings.len() == 3 && sample.readings.iter().all(|r| r.doubts.is_empty()),
            "{found:?}"
        );
    }

    #[test]
    fn the_strength_of_a_solution_is_no_value() {
        let rows = |line: &str| {
            let page = layout(&typed(&[line]));
            let context = Context { symbols: true, capitals: false };
            row::line_rows(0, &atoms(&page.lines[0], Decimal::Point), context, Decimal::Point, &|_| false)
                .len()
        };
        assert_eq!(rows("Sulphate Sulphur     0.02M potassium phosphate extraction, ion chromatography"), 0);
        assert_eq!(rows("Sulphate Sulphur     12M ppm"), 1);
    }

    #[test]
    fn codes_under_names_are_the_laboratorys_numbers() {
        let found = of(&[
            "                 Pit 1    Verge    Bank top",
            "Test             SB7001   SB7002   SB7003",
            "pH               5.9      5.7      5.4",
            "Potassium, ppm   110      92       64",
            "Calcium, ppm     1943     1093     1155",
        ]);
        let names: Vec<_> = found.iter().map(|s| s.field(Field::SampleLabel)).collect();
        assert_eq!(names, [Some("Pit 1"), Some("Verge"), Some("Bank top")], "{found:?}");
        assert_eq!(found.first().and_then(|s| s.field(Field::LabSample)), Some("SB7001"));
    }

    #[test]
    fn a_title_gives_its_rows_their_method_though_another_table_stands_beside() {
        let found = of(&[
            "Acidity",
            "pH (water, 1:1)    6.7",
            "Organic matter     1.6 %         Base saturation",
            "                                 Potassium, K   3.1 %",
            "Nutrients, Mehlich-3             Magnesium, Mg  14.2 %",
            "Phosphorus         41  mg/kg     Calcium, Ca    70.1 %",
            "Potassium          120 mg/kg     Hydrogen, H    12.6 %",
            "Micronutrients, DTPA",
            "Zinc               1.9 mg/kg",
        ]);
        let caption = |analyte| {
            let mut readings = found.iter().flat_map(|s| &s.readings);
            readings.find(|r| r.label.analyte == Some(analyte)).map(|r| r.caption)
        };
        assert_eq!(caption(Analyte::Phosphorus), Some(Some(Method::Mehlich3)), "{found:?}");
        assert_eq!(caption(Analyte::Potassium), Some(Some(Method::Mehlich3)));
        assert_eq!(caption(Analyte::Zinc), Some(Some(Method::Dtpa)));
        assert_eq!(caption(Analyte::Ph), Some(None));
        assert_eq!(caption(Analyte::Calcium), Some(None));
    }

    #[test]
    fn a_row_without_a_value_is_no_title() {
        let found = of(&["Calcium (Mehlich 3)", "Potassium   120", "Magnesium   88", "Sodium      12"]);
        assert!(found.iter().flat_map(|s| &s.readings).all(|r| r.caption.is_none()), "{found:?}");
    }

    #[test]
    fn a_unit_and_a_method_set_close_before_the_value_are_both_read() {
        let found = of(&["OM   percent Walkley and Black   7.2", "pH   6.4", "K    ppm   120"]);
        let matter = found.iter().flat_map(|s| &s.readings).find(|r| r.printed == "7.2").unwrap();
        assert_eq!(matter.label.method(), Some(Method::WalkleyBlack), "{matter:?}");
        assert_eq!(matter.unit.as_ref().map(|u| u.0), Some("%"));
    }

    #[test]
    fn a_row_with_a_guide_value_alone_is_of_the_table_below_it() {
        let found = of(&[
            "Analysis       Value   Good range   Sufficiency",
            "pH             two     parts        of",
            "STP (ppm)              > 9          VL",
            "K (ppm)        141     82-225       Low",
            "Ca (ppm)       232     191-267      VH",
        ]);
        let phosphorus =
            |s: &FoundSample| s.readings.iter().any(|r| r.label.analyte == Some(Analyte::Phosphorus));
        assert!(!found.iter().any(phosphorus), "{found:?}");
    }

    #[test]
    fn a_rating_set_close_behind_a_method_opens_no_row() {
        let found =
            of(&["Zinc, ppm   3.7   Mehlich 3 L", "Iron, ppm   22    Mehlich 3 H", "OM          3.1"]);
        let iron = found.iter().flat_map(|s| &s.readings).find(|r| r.printed == "22").unwrap();
        assert_eq!(iron.label.method(), Some(Method::Mehlich3), "{iron:?}");
    }

    #[test]
    fn the_laboratorys_number_is_no_part_of_a_name() {
        let found = of(&["Sample  1", "Lab No. 34776", "pHw     5.0", "BI      7.8", "K, ppm  133"]);
        let name = |s: &FoundSample| s.field(Field::SampleLabel).unwrap_or_default().to_owned();
        assert!(found.iter().all(|s| !name(s).contains("34776")), "{found:?}");
    }

    #[test]
    fn two_words_as_close_as_all_of_a_page_are_one_name() {
        let found =
            of(&["        Green 1", "Soil water pH   5.9", "Extractable P   8", "Exch. Ca        1376"]);
        assert!(found.iter().all(|s| s.field(Field::SampleLabel) != Some("1")), "{found:?}");
    }

    #[test]
    fn a_sign_that_ends_a_name_is_not_lost() {
        let found = of(&["Bor,> 0.35", "Zinc, ppm   1.2"]);
        let printed = |text: &str| found.iter().flat_map(|s| &s.readings).any(|r| r.printed == text);
        assert!(printed("1.2") && !printed("0.35"), "{found:?}");
    }

    #[test]
    fn a_field_with_its_value_is_no_upper_half_of_the_name_below() {
        let found = of(&[
            "Location: B1",
            "Lab #:         40798",
            "",
            "Analysis       Results",
            "pH             6.4",
            "K, ppm         213",
            "Ca, ppm        960",
        ]);
        assert!(found.iter().all(|s| s.field(Field::SampleLabel).is_none()), "{found:?}");
    }

    #[test]
    fn under_a_heading_of_two_columns_neither_is_the_result_for_want_of_the_other() {
        let found = of(&[
            "Test    Sufficiency 2022 2024",
            "pH      Low         7.5  5.9",
            "P, ppm  Medium      14   10",
            "K, ppm  High        122  110",
        ]);
        let sure = |r: &Found| r.doubts.is_empty();
        assert!(!found.iter().flat_map(|s| &s.readings).any(sure), "{found:?}");
    }

    #[test]
    fn advice_in_several_cells_and_figures_in_a_row_are_no_results_and_no_names() {
        assert!(of(&["Recommendation: N 120   P2O5 40   K2O 60 lb/acre for grass."]).is_empty());
        let found = of(&[
            "                2 50 86 101    8 25 83 32",
            "pH              6.4            6.6",
            "K, ppm          120            110",
            "Ca, ppm         1200           1300",
        ]);
        assert!(found.iter().all(|s| s.field(Field::SampleLabel).is_none()), "{found:?}");
    }

    #[test]
    fn a_row_whose_name_ran_into_the_sample_names_no_columns() {
        let found = of(&[
            "Front lawn 3 2244 Ca     5732     5475",
            "Front lawn 3 2244 Mg     248      212",
            "Green 3      2245 pHw    7.4      6.9",
            "Green 3      2245 OM, %  3.4      3.8",
            "Green 3      2245 CEC    24.7     20.6",
        ]);
        assert!(found.iter().all(|s| s.field(Field::SampleLabel).is_none()), "{found:?}");
    }

    #[test]
    fn a_unit_at_the_head_of_the_names_is_that_of_the_rows_that_print_none() {
        let found = of(&[
            "Trace quibbles,   Value   Optimum",
            "ppm               found   range",
            "Boron (B)         0.2     0.1-0.5",
            "Zinc (Zn)         4.1     1.0-7.6",
            "Copper, mg/dm3    0.4     0.3-0.6",
            "pH                6.1     6.0-7.0",
        ]);
        let units: Vec<_> =
            found.iter().flat_map(|s| &s.readings).map(|r| r.unit.as_ref().map(|u| u.0)).collect();
        assert_eq!(units, [Some("mg/kg"), Some("mg/kg"), Some("mg/dm3"), None], "{found:?}");
    }

    #[test]
    fn layers_under_the_names_of_places_are_samples_of_these() {
        let found = of(&[
            "                     Gorse bank              Thrift",
            "Determination     0-10 cm    10-20 cm   0-10 cm    10-20 cm",
            "                  118-1      118-2      118-3      118-4",
            "pH (CaCl2)        5.8        5.7        5.9        6.1",
            "K mg/kg           227        107        144        88",
            "Ca mg/kg          2023       1731       1468       1566",
        ]);
        let said: Vec<_> = found
            .iter()
            .map(|s| {
                [Field::SampleLabel, Field::DepthTop, Field::LabSample]
                    .map(|f| s.field(f).unwrap_or_default())
            })
            .collect();
        assert_eq!(said.get(1), Some(&["Gorse bank", "10-20 cm", "118-2"]), "{found:?}");
        assert_eq!(said.get(2), Some(&["Thrift", "0-10 cm", "118-3"]));
        assert!(
            found.iter().all(|s| s.readings.len() == 3 && s.readings.iter().all(|r| r.doubts.is_empty()))
        );
    }

    #[test]
    fn a_name_that_is_not_known_ends_the_row_of_the_table_beside() {
        let found = of(&[
            "           Found   Desired  Unit              Result   Guide",
            "pH         6.5     6.5               CEC, cmol/kg     9.5      6 - 15",
            "K          86      110      mg/kg    Sand %           54",
            "Ca         1473    1200     mg/kg    Silt %           34",
            "Zinc       2.9     4.0      mg/kg    Quibbling mm/h   18       > 20",
        ]);
        let zinc: Vec<_> = found
            .iter()
            .flat_map(|s| &s.readings)
            .filter(|r| r.label.analyte == Some(Analyte::Zinc))
            .map(|r| (r.printed.as_str(), r.doubts.is_empty()))
            .collect();
        assert_eq!(zinc, [("2.9", true)], "{found:?}");
    }

    #[test]
    fn shares_in_one_line_are_shares_and_a_scale_of_its_own_is_none() {
        let found = of(&[
            "Potassium           me/100g     0.41",
            "Calcium             me/100g     12.8",
            "Magnesium           me/100g     2.41",
            "Base Saturation %   K 2.2    Ca 68.1    Mg 12.8",
            "MAF Units           K 7      Ca 13      Mg 45",
        ]);
        let all: Vec<_> =
            found.iter().flat_map(|s| &s.readings).map(|r| (r.label.analyte, r.printed.as_str())).collect();
        assert!(all.contains(&(Some(Analyte::SatCa), "68.1")), "{all:?}");
        assert!(all.iter().all(|(a, p)| *a != Some(Analyte::Calcium) || *p == "12.8"), "{all:?}");
        assert!(all.iter().all(|(_, p)| *p != "45"), "{all:?}");
    }

    #[test]
    fn half_of_a_broken_name_is_no_name() {
        let found = of(&[
            "                 Marl     Optimum",
            "Sample           40 3     Range",
            "Lab No.          60487",
            "pH               7.3      6.1-7.0",
            "Potassium, ppm   169      113-211",
            "Calcium, ppm     4256     2868-4761",
        ]);
        assert!(found.iter().all(|s| s.field(Field::SampleLabel) != Some("40 3")), "{found:?}");
    }
}
