//! The results in the columns of a table, row by row, with unit, method and what leaves them unsure.

use super::super::across::control::doubt_controls;
use super::super::across::kind;
use super::super::align::inside;
use super::super::atom::{Atom, Kind};
use super::super::below::{Below, Limit, below, is_not_detected};
use super::super::found::{Found, FoundSample};
use super::super::header::depth;
use super::super::label::Label;
use super::super::layout::Layout;
use super::super::notes::method_in;
use super::super::number::PrintedNumber;
use super::super::units::{Rule, conversion};
use super::super::vocabulary::{Context, Field};
use super::around::Around;
use super::carried::Column;
use super::column::Holds;
use super::row::{Row, computed};
use super::title::Title;
use crate::place::Rect;
use crate::soil::{Analyte, Doubt, Method, OtherMeasurement, Printed, Unit};

pub(super) fn read_columns(
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
    let nameless: Vec<&Column> = all
        .iter()
        .filter(|c| matches!(c.holds, Holds::Nameless) && !of_units(table, c, around.context))
        .collect();
    let unsure = results.is_empty() && nameless.len() > 1;
    let chosen: Vec<&Column> =
        if results.is_empty() { nameless.first().copied().into_iter().collect() } else { results };
    let bare = |c: &Column| !matches!(c.holds, Holds::Sample(_));
    let twice = chosen.len() == 2 && second_unit(table, &chosen, around.context);
    // An amount and its share of the exchange capacity are two measurements, and compete for none.
    let (shares, amounts): (Vec<&Column>, Vec<&Column>) = chosen.iter().partition(|c| c.share.is_some());
    let many = |columns: &[&Column]| columns.len() > 1 && !one_in_two_units(columns) && !twice;
    let several = chosen.iter().all(|c| bare(c)) && (many(&amounts) || many(&shares));
    let competing: Vec<&Column> = if unsure { nameless } else { chosen.clone() };
    let limits: Vec<(Limit, Rect)> = all
        .iter()
        .filter_map(|c| if let Holds::Limit(l) = c.holds { Some((l, c.area)) } else { None })
        .collect();
    let mut samples: Vec<FoundSample> = Vec::new();
    let core = is_one_core(&chosen);
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
            named_by_table: !fields.is_empty() && !core,
            headed: column.headed && !fields.is_empty(),
            fields,
            ..FoundSample::default()
        };
        for (row, title) in table.iter().zip(titles) {
            let Some((atom, number, either)) = value_of(row, column, &limits, around) else {
                let none = undetected(row, column).filter(|_| row.label.is_result() && !unsure && !several);
                let unit = column.unit.clone().or_else(|| title.unit.clone().filter(|u| counts(row, u.0)));
                let found = none
                    .and_then(|(atom, number)| raw(row, atom, number, unit, method_column, around.context));
                sample.undetected.extend(
                    found
                        .filter(|_| column.sure && !title.aside && title.unclear.is_none())
                        .map(|found| Found { caption: title.method, ..found }),
                );
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
            let unit = column.unit.clone().or_else(|| title.unit.clone().filter(|u| counts(row, u.0)));
            let Some(mut found) = raw(row, atom, number, unit, method_column, around.context) else {
                continue;
            };
            found.caption = title.method;
            if found.marks.is_empty() {
                found.marks.clone_from(&title.marks);
            }
            // The unit beside the name is that of the first column.
            if twice && column.unit.is_some() {
                found.unit.clone_from(&column.unit);
            }
            if let Some(share) = &column.share {
                found.label = found.label.under(share);
            }
            if title.aside {
                found.doubts.push(Doubt::new(
                    "title-aside",
                    format!("The title over `{}` speaks of something else than results.", row.name.text),
                ));
            }
            if let Some(method) = title.unclear.filter(|m| found.may_be_by(*m)) {
                found.doubts.push(Doubt::new(
                    "method-unclear",
                    format!(
                        "A title names {}, and it is not clear whether that is the method of `{}`.",
                        method.id(),
                        row.name.text
                    ),
                ));
            }
            found.doubts.extend(either);
            if unsure || several {
                found.doubts.push(competing_columns(row, &competing));
            } else if !column.sure {
                found.doubts.push(perhaps_of_another(row, atom));
            }
            sample.readings.push(found);
        }
        samples.push(sample);
    }
    samples.retain(|s| !s.readings.is_empty() || !s.others.is_empty());
    doubt_controls(&mut samples);
    kind::doubt_controls(&mut samples, false);
    samples
}

/// Columns that are the layers of one core from the top down, and say nothing else of themselves: the page names it.
fn is_one_core(columns: &[&Column]) -> bool {
    let layer = |c: &&Column| match &c.holds {
        Holds::Sample(fields) => match fields.as_slice() {
            [(Field::DepthTop, text)] => depth(text, None, false),
            _ => None,
        },
        _ => None,
    };
    let Some(layers) = columns.iter().map(layer).collect::<Option<Vec<_>>>() else { return false };
    layers.len() > 1
        && layers.first().is_some_and(|d| d.top_cm == 0.0)
        && layers.windows(2).all(|pair| matches!(pair, [a, b] if (b.top_cm - a.bottom_cm).abs() < SAME))
}

/// Ends of layers nearer than this, in cm, are one.
const SAME: f64 = 0.3;

/// A number of which it is not clear that it is the result. The others of its row are said: where they are of a former season
/// they agree among themselves as well, and chemistry tells nothing.
pub(super) fn perhaps_of_another(row: &Row, atom: &Atom) -> Doubt {
    let sentence = format!("It is not clear that `{}` stands in the column of results.", atom.text);
    let others = row.cells.iter().filter(|c| c.number().is_some() && c.area != atom.area);
    let alternatives = others.map(|c| c.text.clone()).collect();
    Doubt { alternatives, ..Doubt::new("column-unsure", sentence) }
}

/// A column of units, and of dashes where a row has none: no number stands there.
fn of_units(table: &[Row], column: &Column, context: Context) -> bool {
    let here = || table.iter().flat_map(|r| &r.cells).filter(|c| inside(&column.area, &c.area));
    let unit = |c: &Atom| c.is_unit(context);
    here().any(unit) && here().all(|c| matches!(c.kind, Kind::Blank) || unit(c))
}

/// True where what a row measures can be counted in this unit.
fn counts(row: &Row, unit: &'static str) -> bool {
    // Of what is exchangeable a share is printed too, of the acidity as well.
    let shared = |a: Analyte| unit == "%" && a.saturation().is_some();
    let counted = |a: Analyte| a.unit() != Unit::One && conversion(unit, a.unit()).is_some();
    row.label.analyte.is_some_and(|a| shared(a) || counted(a))
}

/// Parts per million beside pounds per acre or charges: each row prints one reading twice, and both must agree later on.
fn one_in_two_units(columns: &[&Column]) -> bool {
    let rules: Vec<Rule> = columns
        .iter()
        .filter_map(|c| conversion(c.unit.as_ref()?.0, Unit::MgPerKg))
        .map(|c| c.rule)
        .collect();
    rules.len() == 2
        && columns.len() == 2
        && rules.contains(&Rule::Plain)
        && rules.iter().any(|r| again(Some(*r)))
}

/// `Result | Unit | meq/100 g`: beside results that each row counts in parts of the mass, a column that a unit of charge or
/// of area alone heads holds the same numbers again. Both must agree later on.
fn second_unit(table: &[Row], columns: &[&Column], context: Context) -> bool {
    let rule = |unit: &'static str| conversion(unit, Unit::MgPerKg).map(|c| c.rule);
    let (mut own, mut other) = (None, None);
    for column in columns {
        match &column.unit {
            None if own.is_none() => own = Some(column),
            Some((unit, _)) if other.is_none() && again(rule(unit)) => other = Some(column),
            _ => return false,
        }
    }
    let (Some(own), Some(other)) = (own, other) else { return false };
    let printed = |row: &Row, column: &Column| {
        row.cells.iter().any(|a| a.number().is_some() && inside(&column.area, &a.area))
    };
    let by_mass = |row: &Row| {
        row.cells.iter().filter(|c| matches!(c.kind, Kind::Text)).any(|c| {
            let said = c.label(Context { symbols: false, ..context });
            said.unknown.is_empty()
                && said.analyte.is_none()
                && said.unit.as_ref().is_some_and(|u| rule(u.0) == Some(Rule::Plain))
        })
    };
    // What stands there for a row must be the result of the row again: alone it is something else.
    let mut both = table.iter().filter(|row| printed(row, other)).peekable();
    both.peek().is_some() && both.all(|row| printed(row, own) && by_mass(row))
}

/// True for a unit in which a result by mass is printed a second time.
fn again(rule: Option<Rule>) -> bool {
    matches!(rule, Some(Rule::Area | Rule::AreaMetric | Rule::Charge))
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

/// `n/d` alone in the cell of a result, whose limit a sentence may tell.
fn undetected<'a>(row: &'a Row, column: &Column) -> Option<(&'a Atom, PrintedNumber)> {
    let none = PrintedNumber { value: 0.0, qualifier: None, decimals: 0, rating: None, odd: None };
    let cell = row.cells.iter().find(|a| matches!(a.kind, Kind::Blank) && inside(&column.area, &a.area))?;
    (is_not_detected(cell) && column.share.is_none()).then_some((cell, none))
}

/// `pH in 0.01 M CaCl2   1:5`: a ratio alone tells how much there was of the salt solution that the name tells.
fn is_ratio_in_salt(name: &Label, cell: &str) -> bool {
    let figures = |w: &str| !w.is_empty() && w.chars().all(|c| c.is_ascii_digit() || matches!(c, '.' | ','));
    let ratio = cell.trim().split_once(':').is_some_and(|(soil, liquid)| figures(soil) && figures(liquid));
    ratio && matches!(name.method(), Some(Method::Cacl2 | Method::Kcl))
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
        let beside = cell.label(Context { symbols: false, ..context });
        // Set close to its unit, `calc.` is the method all the same.
        if computed(row, cell, context) {
            l.methods.push(Some(Method::Summation));
        }
        let between = cell.area.x0 < atom.area.x0 && beside.analyte.is_none();
        if (right_of_value || between) && unit.is_none() && beside.unit.is_some() && beside.unknown.is_empty()
        {
            unit.clone_from(&beside.unit);
            // Columns set close together: `mg/kg Mehlich 1` is a unit and a method, `meq/100 g sum of bases` too.
            if !beside.methods.is_empty() || beside.other {
                l.methods.extend(method_in(&cell.text, analyte, context));
            }
        } else if let (Some(own), Some(other)) = (&l.unit, &beside.unit)
            && right_of_value
            && own.0 != other.0
            && beside.unknown.is_empty()
            && beside.methods.is_empty()
            && beside.analyte.is_none()
        {
            // `Ca %   1220   mg/kg`: one of the two is another column's.
            l.unknown.push(format!("`{}` beside it", other.1));
        } else if (beside.unit.is_none() || method_column) && !is_ratio_in_salt(&l, &cell.text) {
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
