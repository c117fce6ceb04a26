//! Columns that are layers of several places: the name of each place over the middle of its layers, the layers below it,
//! the laboratory's numbers below these or none.

use super::super::align::columns;
use super::super::atom::{Atom, Kind};
use super::super::header::{depth, depth_unit};
use super::super::label::label;
use super::super::layout::{Layout, Phrase};
use super::super::vocabulary::{Context, Field, Role};
use super::above::{Above, FieldRow};
use super::row::Row;
use crate::place::Rect;
use crate::soil::Depth;

/// How near, in ems, the middle of a name lies to that of its layers.
const MIDDLE: f32 = 0.6;

/// How far over each other, in ems, the lines of such a heading stand.
const NEAR: f32 = 3.2;

/// More lines make no heading.
const MOST_LINES: usize = 4;

/// A line over the columns: what stands over the names, and one text for each column where all have one.
struct Over {
    at: usize,
    name: String,
    cells: Vec<Phrase>,
}

/// The fields of a table whose columns are layers; nothing for any other.
pub fn layered(page: &Layout, table: &[Row], rows_of_others: &[usize], context: Context) -> Option<Above> {
    let first = table.first().filter(|_| !page.cells)?;
    let cells: Vec<Vec<Atom>> = table.iter().map(|r| r.cells.clone()).collect();
    let values: Vec<Rect> = columns(&cells, &[], page.em, &|a| !matches!(a.kind, Kind::Text))
        .into_iter()
        .map(|c| c.area)
        .collect();
    let lines = over(page, first, &values, rows_of_others);
    let depths = lines.iter().find_map(|l| Some((l, layers(l, &values)?)))?;
    let runs = runs(&depths.1);
    let names = lines.iter().find(|l| l.at < depths.0.at && names(l, &runs, &values, page.em, context))?;
    // A line between that is not understood may name the samples as well.
    let known = |l: &&Over| l.at == depths.0.at || l.at == names.at || numbers(l, &values);
    if !lines.iter().filter(|l| l.at > names.at).all(|l| known(&l)) {
        return None;
    }
    let unit = depth_unit(&depths.0.name).unwrap_or_default();
    let mut fields: Vec<FieldRow> = vec![
        (Field::DepthTop, each(&depths.0.cells, &values, unit)?),
        (
            Field::SampleLabel,
            runs.iter()
                .zip(&names.cells)
                .flat_map(|(run, name)| {
                    values.get(run.clone()).unwrap_or_default().iter().map(|v| cell(name, v, ""))
                })
                .collect::<Option<Vec<Atom>>>()?,
        ),
    ];
    if let Some(numbers) = lines.iter().find(|l| l.at > names.at && numbers(l, &values)) {
        fields.push((Field::LabSample, each(&numbers.cells, &values, "")?));
    }
    let lines = lines.iter().filter(|l| l.at >= names.at).map(|l| l.at).collect();
    Some(Above { fields, lines, ..Above::default() })
}

/// The lines close over a table, from the top.
fn over(page: &Layout, first: &Row, values: &[Rect], rows_of_others: &[usize]) -> Vec<Over> {
    let left = values.iter().map(|v| v.x0).fold(f32::INFINITY, f32::min);
    let mut out: Vec<Over> = Vec::new();
    let mut below = first.name.area.y0;
    for at in (0..first.line).rev().take(MOST_LINES) {
        let Some(line) = page.lines.get(at) else { break };
        if below - line.area.y1 > NEAR * page.em || rows_of_others.contains(&at) {
            break;
        }
        let (name, cells): (Vec<&Phrase>, Vec<&Phrase>) = line
            .phrases
            .iter()
            .partition(|p| p.area.x1 < left && values.iter().all(|v| v.overlap_x(&p.area) <= 0.0));
        if cells.is_empty() {
            break;
        }
        let name = name.iter().map(|p| p.text()).collect::<Vec<_>>().join(" ");
        out.push(Over { at, name, cells: cells.into_iter().cloned().collect() });
        below = line.area.y0;
    }
    out.reverse();
    out
}

/// True where each column has one text of its own over it.
fn full(line: &Over, values: &[Rect]) -> bool {
    values.len() > 1
        && line.cells.len() == values.len()
        && line.cells.iter().zip(values).all(|(c, v)| c.area.overlap_x(v) > 0.0)
}

/// The layers of a line that prints one over each column.
fn layers(line: &Over, values: &[Rect]) -> Option<Vec<Depth>> {
    let unit = depth_unit(&line.name).unwrap_or_default();
    full(line, values).then_some(())?;
    line.cells.iter().map(|c| depth(&format!("{} {unit}", c.text()), None, false)).collect()
}

/// Codes over each column, no two alike.
fn numbers(line: &Over, values: &[Rect]) -> bool {
    let mut texts: Vec<String> = line.cells.iter().map(|p| p.text().to_owned()).collect();
    let code = |t: &String| !t.contains(' ') && t.contains(|c: char| c.is_ascii_digit());
    let asks = label(&line.name, Context { symbols: false, capitals: false });
    let said =
        line.name.is_empty() || asks.field == Some(Field::LabSample) || asks.role == Some(Role::Analyte);
    let all = full(line, values) && texts.iter().all(code);
    texts.sort_unstable();
    texts.dedup();
    all && said && texts.len() == values.len()
}

/// The columns of each place: a layer that begins no deeper than the one before is of the next place.
fn runs(depths: &[Depth]) -> Vec<std::ops::Range<usize>> {
    let mut out = Vec::new();
    let mut from = 0;
    for (i, pair) in depths.windows(2).enumerate() {
        if let [a, b] = pair
            && b.top_cm <= a.top_cm
        {
            out.push(from..i + 1);
            from = i + 1;
        }
    }
    out.push(from..depths.len());
    out
}

/// True for a line of one name over the middle of each place.
fn names(line: &Over, runs: &[std::ops::Range<usize>], values: &[Rect], em: f32, context: Context) -> bool {
    let plain = Context { symbols: false, ..context };
    let asks = label(&line.name, plain);
    let asked =
        line.name.is_empty() || asks.field == Some(Field::SampleLabel) || asks.role == Some(Role::Analyte);
    let name = |p: &Phrase| {
        let said = p.label(plain);
        p.text().contains(char::is_alphabetic)
            && !p.text().contains(':')
            && said.role.is_none()
            && !said.decoy
            && said.unit.is_none()
            && said.year.is_none()
    };
    let over = |(p, run): (&Phrase, &std::ops::Range<usize>)| {
        let area = values.get(run.clone()).unwrap_or_default().iter().copied().reduce(|a, b| a.union(&b));
        area.is_some_and(|a| (a.mid_x() - p.area.mid_x()).abs() < MIDDLE * em)
    };
    asked
        && line.cells.len() == runs.len()
        && line.cells.iter().all(name)
        && line.cells.iter().zip(runs).all(over)
}

/// The words of a cell over a column, as wide as the column.
fn cell(phrase: &Phrase, column: &Rect, unit: &str) -> Option<Atom> {
    let atom = Atom::new(Kind::Text, phrase.tokens.clone())?;
    let area = Rect::new(column.x0, atom.area.y0, column.x1, atom.area.y1);
    let text = format!("{} {unit}", atom.text).trim().to_owned();
    // Its words are not to be given to columns one by one.
    let tokens = atom.tokens.iter().map(|t| super::super::layout::Token { area, ..t.clone() }).collect();
    Some(Atom { area, text, tokens, ..atom })
}

fn each(cells: &[Phrase], values: &[Rect], unit: &str) -> Option<Vec<Atom>> {
    cells.iter().zip(values).map(|(c, v)| cell(c, v, unit)).collect()
}
