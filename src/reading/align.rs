//! Which column a value belongs to: values that stand over each other form a column, and columns keep the order of
//! the headings. A blank never moves a neighbour, because place decides and never the count of words.

use super::atom::Atom;
use super::flush::flush;
use crate::place::Rect;

/// A column of values and the heading it belongs to.
#[derive(Debug, Clone, PartialEq)]
pub struct Column {
    /// From left to right edge of all its values.
    pub area: Rect,
    /// Index of the heading.
    pub heading: Option<usize>,
    /// False where another heading without values lies about as near.
    pub sure: bool,
}

/// The columns that values form.
pub fn columns(
    rows: &[Vec<Atom>],
    headings: &[Rect],
    em: f32,
    is_value: &dyn Fn(&Atom) -> bool,
) -> Vec<Column> {
    let areas = clusters(rows, em, is_value);
    if let Some(own) = flush(&areas, rows, headings, em, is_value) {
        let column = |(area, at): (&Rect, usize)| Column { area: *area, heading: Some(at), sure: true };
        return areas.iter().zip(own).map(column).collect();
    }
    assign(&areas, headings, em)
}

/// Values whose boxes overlap are one column; where a row has two values in one, they are told apart by their edges.
fn clusters(rows: &[Vec<Atom>], em: f32, is_value: &dyn Fn(&Atom) -> bool) -> Vec<Rect> {
    let mut boxes: Vec<Rect> = rows.iter().flatten().filter(|a| is_value(a)).map(|a| a.area).collect();
    boxes.sort_by(|a, b| a.x0.total_cmp(&b.x0));
    let overlapping = merge(&boxes, |column, b| b.x0 < column.x1);
    let crowded = |areas: &[Rect]| {
        rows.iter().any(|row| {
            areas.iter().any(|area| row.iter().filter(|a| is_value(a) && inside(area, &a.area)).count() > 1)
        })
    };
    if !crowded(&overlapping) {
        return overlapping;
    }
    // Right-aligned numbers share their right edge even where wide ones reach under the neighbour's heading;
    // left-aligned ones their left edge. The alignment of fewer columns is the one meant.
    boxes.sort_by(|a, b| a.x1.total_cmp(&b.x1));
    let by_right = merge(&boxes, |column, b| b.x1 - column.x1 < 0.5 * em);
    boxes.sort_by(|a, b| a.x0.total_cmp(&b.x0));
    let by_left = merge(&boxes, |column, b| b.x0 - column.x0 < 0.5 * em);
    let right = |a: &Rect| a.x1;
    let left = |a: &Rect| a.x0;
    [(by_right, right as fn(&Rect) -> f32), (by_left, left as fn(&Rect) -> f32)]
        .into_iter()
        .filter(|(areas, edge)| !crowded_at(rows, areas, em, is_value, *edge))
        .map(|(areas, _)| areas)
        .min_by_key(Vec::len)
        .unwrap_or(overlapping)
}

fn crowded_at(
    rows: &[Vec<Atom>],
    areas: &[Rect],
    em: f32,
    is_value: &dyn Fn(&Atom) -> bool,
    edge: fn(&Rect) -> f32,
) -> bool {
    rows.iter().any(|row| {
        areas.iter().any(|area| {
            row.iter().filter(|a| is_value(a) && (edge(&a.area) - edge(area)).abs() < 0.5 * em).count() > 1
        })
    })
}

fn merge(boxes: &[Rect], joins: impl Fn(&Rect, &Rect) -> bool) -> Vec<Rect> {
    let mut out: Vec<Rect> = Vec::new();
    for b in boxes {
        match out.last_mut() {
            Some(last) if joins(last, b) => *last = last.union(b),
            _ => out.push(*b),
        }
    }
    out.sort_by(|a, b| a.x0.total_cmp(&b.x0));
    out
}

/// True where the middle of a value lies in a column.
pub fn inside(column: &Rect, value: &Rect) -> bool {
    let mid = value.mid_x();
    mid >= column.x0 && mid <= column.x1
}

/// How far a column of values lies from a heading, in ems: the gap between them, and how badly their edges and
/// middles agree.
fn distance(column: &Rect, heading: &Rect, em: f32) -> f32 {
    let gap = (heading.x0 - column.x1).max(column.x0 - heading.x1).max(0.0);
    let edges = (column.x0 - heading.x0)
        .abs()
        .min((column.x1 - heading.x1).abs())
        .min((column.mid_x() - heading.mid_x()).abs());
    (gap + 0.15 * edges) / em.max(1.0)
}

/// Cost, in ems, of a heading without any value under it.
const BLANK_HEADING: f32 = 1.5;
/// Cost of a column of values without a heading.
const NO_HEADING: f32 = 8.0;
/// A column belongs to no heading further away than this.
const TOO_FAR: f32 = 6.0;
/// How much nearer than a blank neighbour's the chosen heading must be.
const CLEARLY_NEARER: f32 = 0.8;

/// True where a column stands right under one other heading: it is not that of a heading beside it.
fn beside_its_own(column: &Rect, heading: &Rect, headings: &[Rect]) -> bool {
    let under = |h: &&Rect| column.overlap_x(h) > 0.5 * column.width().min(h.width());
    let mut own = headings.iter().filter(under);
    column.overlap_x(heading) <= 0.0 && own.next().is_some() && own.next().is_none()
}

/// Pairs columns with headings in order, at the least total distance.
fn assign(areas: &[Rect], headings: &[Rect], em: f32) -> Vec<Column> {
    let (n, m) = (areas.len(), headings.len());
    let width = m + 1;
    let mut cost = vec![f32::INFINITY; (n + 1) * width];
    let mut step = vec![0u8; (n + 1) * width];
    let get = |cost: &[f32], i: usize, j: usize| cost.get(i * width + j).copied().unwrap_or(f32::INFINITY);
    if let Some(start) = cost.first_mut() {
        *start = 0.0;
    }
    for i in 0..=n {
        for j in 0..=m {
            let mut best = (get(&cost, i, j), 0u8);
            if j > 0 {
                let c = get(&cost, i, j - 1) + BLANK_HEADING;
                if c < best.0 {
                    best = (c, 1);
                }
            }
            if i > 0 {
                let c = get(&cost, i - 1, j) + NO_HEADING;
                if c < best.0 {
                    best = (c, 2);
                }
            }
            if let (Some(a), Some(h)) =
                (i.checked_sub(1).and_then(|i| areas.get(i)), j.checked_sub(1).and_then(|j| headings.get(j)))
            {
                let d = if beside_its_own(a, h, headings) { TOO_FAR } else { distance(a, h, em) };
                let c = get(&cost, i - 1, j - 1) + d;
                if d < TOO_FAR && c < best.0 {
                    best = (c, 3);
                }
            }
            if let (Some(c), Some(s)) = (cost.get_mut(i * width + j), step.get_mut(i * width + j)) {
                (*c, *s) = best;
            }
        }
    }
    let mut out: Vec<Column> =
        areas.iter().map(|area| Column { area: *area, heading: None, sure: true }).collect();
    let (mut i, mut j) = (n, m);
    while i > 0 || j > 0 {
        match step.get(i * width + j) {
            Some(3) => {
                (i, j) = (i - 1, j - 1);
                if let Some(column) = out.get_mut(i) {
                    column.heading = Some(j);
                }
            }
            Some(2) => i -= 1,
            Some(1) => j -= 1,
            _ => break,
        }
    }
    doubt(&mut out, headings, em);
    out
}

/// A heading left blank beside a chosen one, and about as near, makes the choice unsure.
fn doubt(columns: &mut [Column], headings: &[Rect], em: f32) {
    let used: Vec<usize> = columns.iter().filter_map(|c| c.heading).collect();
    for column in columns.iter_mut() {
        let Some(chosen) = column.heading.and_then(|h| headings.get(h)) else { continue };
        let own = distance(&column.area, chosen, em);
        column.sure = own < 3.0
            && headings
                .iter()
                .enumerate()
                .filter(|(i, _)| !used.contains(i))
                .all(|(_, h)| distance(&column.area, h, em) - own > CLEARLY_NEARER);
    }
    doubt_between(columns, headings, &used);
}

/// Columns that stand under no heading, but between one and the next, may all be of the heading at their other side: they
/// are unsure in a row from a heading on that was left over at that side.
fn doubt_between(columns: &mut [Column], headings: &[Rect], used: &[usize]) {
    for right in [true, false] {
        let mut free: Vec<usize> = (0..headings.len()).filter(|i| !used.contains(i)).collect();
        while let Some(at) = free.pop() {
            let next = if right { at.checked_add(1) } else { at.checked_sub(1) };
            let (Some(next), Some(h)) = (next, headings.get(at)) else { continue };
            let Some(chosen) = headings.get(next) else { continue };
            let between = |c: &&mut Column| {
                let (left, own) = if right { (h, chosen) } else { (chosen, h) };
                c.heading == Some(next) && c.area.x0 >= left.x1 && c.area.x1 <= own.x0
            };
            if let Some(column) = columns.iter_mut().find(between) {
                column.sure = false;
                free.push(next);
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::super::atom::{Kind, atoms};
    use super::super::layout::{layout, tests::typed};
    use super::super::number::Decimal;
    use super::*;

    fn run(lines: &[&str]) -> Vec<(Option<usize>, bool)> {
        let page = layout(&typed(lines));
        let headings: Vec<Rect> = page.lines[0].phrases.iter().map(|p| p.area).collect();
        let rows: Vec<Vec<Atom>> = page.lines[1..].iter().map(|l| atoms(l, Decimal::Point)).collect();
        columns(&rows, &headings, 10.0, &|a| matches!(a.kind, Kind::Number(_)))
            .into_iter()
            .map(|c| (c.heading, c.sure))
            .collect()
    }

    #[test]
    fn an_empty_column_never_moves_its_neighbours() {
        let found = run(&[
            "pH       Buffer      P         K       Ca",
            "6.5                  11       215     1474",
            "6.7                 101        15      474",
        ]);
        assert_eq!(found, [(Some(0), true), (Some(2), true), (Some(3), true), (Some(4), true)]);
    }

    #[test]
    fn a_column_between_two_headings_of_which_one_is_blank_is_unsure() {
        let found = run(&["P        K", "    11    ", "    12    "]);
        assert!(found.iter().any(|(_, sure)| !sure));
    }

    #[test]
    fn columns_between_headings_are_unsure_from_a_heading_on_that_is_left_over() {
        let found = run(&[
            "Sample      pH             P              K              S              B              Zn",
            "S1                   7.0           113          197              18                         8.5",
            "S2                   6.1            68            97              8                        10.5",
        ]);
        assert!(found.iter().take(4).all(|(at, sure)| !sure || at.is_none()), "{found:?}");
    }
}
