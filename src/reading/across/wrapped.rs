//! Names that are broken over lines within their column: joined where the distances of the lines are certain of it, and
//! left open where a line may as well be the heading of the rows below.

use super::super::atom::{Atom, Kind};
use super::super::band::Band;
use super::super::label::label;
use super::super::layout::Layout;
use super::super::vocabulary::{Context, Field};
use super::centred::{centred, numbers_under};
use super::row::{Row, text_of};
use super::summary::is_summary;
use crate::place::Rect;
use std::collections::HashMap;

/// What stands in the column of names over and under the name of a row.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Wrap {
    /// The whole name; none where it is not sure how far it reaches.
    pub name: Option<String>,
    /// The laboratory's number, which stands under it.
    pub number: Option<String>,
}

/// Lines of one name follow each other at one distance; it may differ by so much.
pub(super) const EVEN: f32 = 1.15;
/// Names of two rows stand at least so many times further apart.
const APART: f32 = 1.35;
/// Lines of one name never stand further apart than this, in heights of their letters.
pub(super) const LEADING: f32 = 1.7;

/// A line of the column of names.
#[derive(Debug, Clone)]
pub(super) struct Item {
    pub(super) y: f32,
    pub(super) height: f32,
    pub(super) text: String,
    /// The row whose own name it is; none for a line without values.
    pub(super) row: Option<usize>,
}

/// The rows of a table, each with its line, whose names go on in lines without values, or may do so.
pub fn wraps(
    page: &Layout,
    rows: &[(usize, Row<'_>)],
    lines: std::ops::Range<usize>,
    band: &Band,
) -> HashMap<usize, Wrap> {
    let measured: Vec<&(usize, Row<'_>)> =
        rows.iter().filter(|(_, row)| values(row, band).is_some()).collect();
    let Some(column) = column(&measured, page, band).filter(|_| !page.cells && !band.long()) else {
        return HashMap::new();
    };
    let own = |line: usize| measured.iter().any(|(at, _)| *at == line);
    let mut items: Vec<Item> =
        lines.filter(|line| !own(*line)).filter_map(|line| alone(page, line, &column, band)).collect();
    if items.is_empty() {
        return HashMap::new();
    }
    for (i, (_, row)) in measured.iter().enumerate() {
        let names = names(row, band);
        if let Some(area) = names.iter().map(|a| a.area).reduce(|a, b| a.union(&b)) {
            items.push(Item { y: area.mid_y(), height: area.height(), text: text_of(&names), row: Some(i) });
        }
    }
    items.sort_by(|a, b| a.y.total_cmp(&b.y));
    let heights: Vec<f32> = measured.iter().map(|(_, row)| values(row, band).unwrap_or_default()).collect();
    let settled = numbers_under(&items)
        .or_else(|| centred(&items, &heights))
        .unwrap_or_else(|| settle(&items, &heights));
    settled.into_iter().filter_map(|(i, w)| Some((measured.get(i)?.0, w))).collect()
}

/// The height of the values of a row; none for a row without a result.
fn values(row: &Row<'_>, band: &Band) -> Option<f32> {
    let mut heights: Vec<f32> = row
        .cells
        .iter()
        .filter(|(h, ..)| band.leaves.get(*h).is_some_and(|l| l.label.is_result() || l.label.other))
        .flat_map(|(_, atoms, _)| atoms)
        .filter(|a| !matches!(a.kind, Kind::Text))
        .map(|a| a.area.mid_y())
        .collect();
    heights.sort_by(f32::total_cmp);
    heights.get(heights.len() / 2).copied()
}

/// The words of a row that are its name: those under the heading that asks for it, else the leftmost of all.
pub fn names<'a>(row: &Row<'a>, band: &Band) -> Vec<&'a Atom> {
    let asks = |h: usize| {
        band.leaves
            .get(h)
            .is_some_and(|l| l.label.field == Some(Field::SampleLabel) && l.label.analyte.is_none())
    };
    if band.leaves.iter().enumerate().any(|(h, _)| asks(h)) {
        return row.cells.iter().find(|(h, ..)| asks(*h)).map(|(_, a, _)| a.clone()).unwrap_or_default();
    }
    let left = band.leaves.first().map_or(0.0, |l| l.area.x0);
    let first = row.loose.iter().find(|a| matches!(a.kind, Kind::Text) && a.area.x0 < left);
    first.copied().into_iter().collect()
}

/// From the left edge of the names to what stands next to them in any row.
fn column(rows: &[&(usize, Row<'_>)], page: &Layout, band: &Band) -> Option<Rect> {
    let areas: Vec<Rect> = rows
        .iter()
        .filter_map(|(_, row)| names(row, band).iter().map(|a| a.area).reduce(|a, b| a.union(&b)))
        .collect();
    let left = areas.iter().map(|a| a.x0).reduce(f32::min)?;
    let own = |row: &Row<'_>, a: &Atom| names(row, band).iter().any(|n| std::ptr::eq(*n, a));
    let right = rows
        .iter()
        .flat_map(|(_, row)| {
            let cells = row.cells.iter().flat_map(|(_, atoms, _)| atoms);
            cells.chain(&row.loose).filter(|a| !own(row, a)).map(|a| a.area.x0)
        })
        .filter(|x| *x > left + page.em)
        .reduce(f32::min)?;
    Some(Rect::new(left, 0.0, right, f32::INFINITY))
}

/// A line without values whose words stand in the column of names, and nowhere under a result.
fn alone(page: &Layout, line: usize, column: &Rect, band: &Band) -> Option<Item> {
    let line = page.lines.get(line).filter(|l| !l.footnote)?;
    let results = band.leaves.iter().filter(|l| l.label.is_result());
    let measured = results.map(|l| l.area.x0).fold(f32::INFINITY, f32::min);
    if line.area.x1 > measured {
        return None;
    }
    let within = |area: &Rect| area.x0 > column.x0 - 0.4 * page.em && area.x1 < column.x1;
    let mut inside = line.phrases.iter().filter(|p| within(&p.area));
    let (phrase, None) = (inside.next()?, inside.next()) else { return None };
    // Words that reach out of the column are a title or a sentence.
    if line.phrases.iter().any(|p| !within(&p.area) && p.area.x0 < column.x1 && p.area.x1 > column.x0) {
        return None;
    }
    let text = phrase.text();
    let said = label(text, Context { symbols: false, capitals: false });
    let form = text.ends_with([':', '.']) || said.known() && said.unknown.is_empty() || is_summary(text);
    let spoken = text.contains(char::is_alphanumeric);
    (spoken && !form).then(|| Item {
        y: phrase.area.mid_y(),
        height: phrase.area.height(),
        text: text.to_owned(),
        row: None,
    })
}

/// Which rows have a name of several lines. `values` are the heights of their results.
fn settle(items: &[Item], values: &[f32]) -> HashMap<usize, Wrap> {
    let gaps: Vec<f32> =
        items.windows(2).map(|w| if let [a, b] = w { b.y - a.y } else { f32::INFINITY }).collect();
    let beside_a_line = items.windows(2).zip(&gaps).filter(|(w, _)| w.iter().any(|i| i.row.is_none()));
    let pitch = beside_a_line.map(|(_, gap)| *gap).fold(f32::INFINITY, f32::min);
    let height = items.iter().map(|i| i.height).fold(0.0, f32::max);
    let mut out = HashMap::new();
    if pitch > LEADING * height {
        return out;
    }
    let mut from = 0;
    let mut parts: Vec<std::ops::Range<usize>> = Vec::new();
    for end in 1..=items.len() {
        if gaps.get(end - 1).is_none_or(|gap| *gap > EVEN * pitch) {
            parts.push(from..end);
            from = end;
        }
    }
    let part = |range: &std::ops::Range<usize>| items.get(range.clone()).unwrap_or_default();
    let rows_of = |range: &std::ops::Range<usize>| -> Vec<usize> {
        let items = part(range);
        let (top, bottom) = (items.first().map_or(0.0, |i| i.y), items.last().map_or(0.0, |i| i.y));
        let named: Vec<usize> = items.iter().filter_map(|i| i.row).collect();
        let nameless = values.iter().enumerate().filter(|(i, y)| {
            items.len() > 1
                && **y > top
                && **y < bottom
                && !named.contains(i)
                && items.iter().all(|t| t.row != Some(*i))
        });
        let mut all: Vec<usize> = named.iter().copied().chain(nameless.map(|(i, _)| i)).collect();
        all.sort_unstable();
        all
    };
    // `North farm` over two or more of its fields: the headings of groups.
    let groups = parts.iter().any(|p| {
        part(p).first().is_some_and(|i| i.row.is_none())
            && part(p).iter().skip(1).filter(|i| i.row.is_some()).count() > 1
            && part(p).get(1).is_some_and(|i| i.row.is_some())
    });
    for range in &parts {
        let lines = part(range);
        if lines.iter().all(|i| i.row.is_some()) {
            continue;
        }
        let rows = rows_of(range);
        let clear = [range.start.checked_sub(1), Some(range.end - 1)]
            .into_iter()
            .flatten()
            .all(|gap| gaps.get(gap).is_none_or(|g| *g > APART * pitch));
        match rows.as_slice() {
            [] => {}
            [row] => {
                if let Some(wrap) = one(lines, values.get(*row).copied().unwrap_or_default(), clear, groups) {
                    out.insert(*row, wrap);
                }
            }
            _ => out.extend(unsure(lines, groups).into_iter().map(|row| (row, Wrap::default()))),
        }
    }
    out
}

/// Lines close together, among which one row stands.
fn one(lines: &[Item], values: f32, clear: bool, groups: bool) -> Option<Wrap> {
    let own = lines.iter().position(|i| i.row.is_some());
    let height = lines.iter().map(|i| i.height).fold(0.0, f32::max);
    let at = |y: f32| (y - values).abs() < 0.25 * height;
    let (first, last) = (lines.first()?, lines.last()?);
    let foot = lines.len() > 1 && own == Some(lines.len() - 1) && at(last.y);
    // What stands over a name that is level with its values may be the heading of a group.
    if foot && !goes_on(&last.text) {
        return (!groups).then(Wrap::default);
    }
    let placed = at(first.y) || at(last.y) || at((first.y + last.y) / 2.0);
    let name = lines.iter().map(|i| i.text.as_str()).collect::<Vec<_>>().join(" ");
    Some(Wrap { name: (clear && placed).then_some(name), number: None })
}

/// Lines and rows at one distance: the rows whose names may go on in a line over or under them.
fn unsure(lines: &[Item], groups: bool) -> Vec<usize> {
    let above = |at: usize| lines.iter().take(at).rev().find_map(|i| i.row);
    let mut out = Vec::new();
    for (at, line) in lines.iter().enumerate().filter(|(_, i)| i.row.is_none()) {
        let next = lines.get(at + 1);
        let last = lines.iter().skip(at).all(|i| i.row.is_none());
        if goes_on(&line.text) || last || !groups {
            out.extend(above(at));
        }
        if let Some(next) = next.filter(|n| n.row.is_some() && goes_on(&n.text)) {
            out.extend(next.row);
        }
    }
    out
}

/// True for words that no name begins with.
fn goes_on(text: &str) -> bool {
    text.starts_with(|c: char| c.is_lowercase() || matches!(c, '(' | '&' | '/' | '-'))
}

#[cfg(test)]
pub(super) mod tests {
    use super::*;

    pub(in super::super) fn item(y: f32, text: &str, row: Option<usize>) -> Item {
        Item { y, height: 7.0, text: text.to_owned(), row }
    }

    fn names(items: &[Item], values: &[f32]) -> Vec<(usize, Option<String>)> {
        let mut out: Vec<_> = settle(items, values).into_iter().map(|(i, w)| (i, w.name)).collect();
        out.sort();
        out
    }

    #[test]
    fn a_name_over_and_under_the_height_of_its_values_is_whole() {
        let items = [
            item(10.0, "Hob", Some(0)),
            item(28.0, "Old mill", None),
            item(36.0, "by the pond", None),
            item(54.0, "Ridge", Some(2)),
        ];
        assert_eq!(names(&items, &[10.0, 32.0, 54.0]), [(1, Some("Old mill by the pond".to_owned()))]);
        let top =
            [item(10.0, "Hob", Some(0)), item(28.0, "Old mill", Some(1)), item(36.0, "Lower end", None)];
        assert_eq!(names(&top, &[10.0, 28.0]), [(1, Some("Old mill Lower end".to_owned()))]);
    }

    #[test]
    fn what_may_be_the_heading_of_a_group_leaves_the_name_open() {
        let foot = [item(10.0, "Hob", Some(0)), item(28.0, "Old mill", None), item(36.0, "Pond", Some(1))];
        assert_eq!(names(&foot, &[10.0, 36.0]), [(1, None)]);
        let even = [
            item(10.0, "Hob", Some(0)),
            item(20.0, "Old mill", Some(1)),
            item(30.0, "by the pond", None),
            item(40.0, "Ridge", Some(2)),
        ];
        assert_eq!(names(&even, &[10.0, 20.0, 40.0]), [(1, None)]);
    }

    #[test]
    fn headings_of_groups_change_no_name() {
        let groups = [
            item(10.0, "North farm", None),
            item(20.0, "Hob", Some(0)),
            item(30.0, "Pond", Some(1)),
            item(40.0, "South farm", None),
            item(50.0, "Ridge", Some(2)),
        ];
        assert_eq!(names(&groups, &[20.0, 30.0, 50.0]), []);
        let far = [item(10.0, "Hob", Some(0)), item(32.0, "South farm", None), item(54.0, "Ridge", Some(1))];
        assert_eq!(names(&far, &[10.0, 54.0]), []);
    }
}
