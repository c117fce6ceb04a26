//! Which rows are of one table.

use super::super::atom::{Atom, Kind};
use super::super::former;
use super::super::header::{is_numbered_title, names_sample};
use super::super::label::label;
use super::super::layout::{Layout, Line, Phrase};
use super::super::vocabulary::Context;
use super::advice;
use super::around::Around;
use super::row::Row;

/// Rows whose names start at the same edge, without a wide gap or the name of another sample between, are one table.
pub(super) fn tables(rows: Vec<Row>, page: &Layout, around: Around<'_>) -> Vec<Vec<Row>> {
    let context = around.context;
    let names: Vec<bool> = page
        .lines
        .iter()
        .map(|l| {
            let all = l.phrases.iter().map(Phrase::text).collect::<Vec<_>>().join(" ");
            is_numbered_title(l, context)
                || names_sample(&all, context)
                || l.phrases.iter().any(|p| names_sample(p.text(), context))
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
                // Only what stands above already can be of a former season below.
                let again = row.label.analyte.is_some()
                    && table.iter().any(|above| above.label.analyte == row.label.analyte);
                let apart = |l: &Line| {
                    heads_columns(l, context)
                        || advice::is_title(l)
                        || advice::counts_rates(l)
                        || again && former::begins(l, around.year)
                };
                if between.iter().any(apart) {
                    return false;
                }
                let same_edge = (last.name.area.x0 - row.name.area.x0).abs() < 2.5 * page.em;
                let gap = row.name.area.y0 - last.name.area.y1;
                let near = gap < FAR * page.em || !again && bridged(page, table, &row);
                same_edge && last.line < row.line && near && same_columns(table, &row)
            })
        });
        match joins {
            Some(table) => table.push(row),
            None => out.push(vec![row]),
        }
    }
    out
}

/// So far apart, in ems, are rows of two tables.
const FAR: f32 = 6.0;

/// More words make a sentence.
const MOST_WORDS: usize = 4;

/// True where lines of names that are not known and values in the columns of the table, and titles of parts, lead from its
/// last row to the next without a gap.
fn bridged(page: &Layout, table: &[Row], row: &Row) -> bool {
    let Some(last) = table.last() else { return false };
    let left = last.name.area.x0;
    let values: Vec<&Atom> =
        table.iter().flat_map(|r| &r.cells).filter(|c| !matches!(c.kind, Kind::Text)).collect();
    let mut below = last.name.area.y1;
    for line in page.lines.get(last.line + 1..row.line).unwrap_or_default() {
        let (Some(name), rest) = (line.phrases.first(), line.phrases.iter().skip(1)) else { return false };
        let valued = line.phrases.len() > 1
            && rest.clone().all(|p| values.iter().any(|v| v.area.overlap_x(&p.area) > 0.0))
            && rest.clone().any(|p| p.text().contains(|c: char| c.is_ascii_digit()));
        let text = name.text();
        let title =
            line.phrases.len() == 1 && text.split(' ').count() <= MOST_WORDS && !text.contains([':', '.']);
        let edge = (name.area.x0 - left).abs() < page.em;
        if !(edge && (valued || title)) || line.area.y0 - below > FAR * page.em {
            return false;
        }
        below = line.area.y1;
    }
    row.name.area.y0 - below < FAR * page.em
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
    let texts: Vec<&str> = line.phrases.iter().map(Phrase::text).collect();
    let [first, rest @ ..] = texts.as_slice() else { return false };
    let column = |text: &&str| !text.contains(|c: char| c.is_ascii_digit()) && says(text);
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
