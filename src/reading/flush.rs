//! Tables of the web's making whose headings begin at the left edge of their columns, while what stands under them ends at
//! the right edge: in wide columns a value then lies nearer to the next heading than to its own. The same mirrored, where
//! headings end at the right edge and values begin at the left.

use super::atom::Atom;
use crate::place::Rect;

/// Edges nearer than this, in ems, are one.
const SAME_EDGE: f32 = 0.15;

/// From so many columns whose cells end as far before the next heading, that is how the table is set.
const ENOUGH: usize = 2;

/// A cell: its box, and whether it holds a value.
type Cell = (Rect, bool);

/// The heading of each column, where the cells of numbers say by their edges that they are set so.
pub fn flush(
    areas: &[Rect],
    rows: &[Vec<Atom>],
    headings: &[Rect],
    em: f32,
    is_value: &dyn Fn(&Atom) -> bool,
) -> Option<Vec<usize>> {
    let cells: Vec<Cell> = rows.iter().flatten().map(|a| (a.area, is_value(a))).collect();
    at_the_right(areas, &cells, headings, em).or_else(|| at_the_left(areas, &cells, headings, em))
}

/// The headings of columns whose cells all end equally far before the next heading, none reaching over the edge at which
/// one begins. The last heading has values behind its left edge too, so that nothing is left over that a heading to the
/// right of its values would leave.
fn at_the_right(areas: &[Rect], cells: &[Cell], headings: &[Rect], em: f32) -> Option<Vec<usize>> {
    let same = |a: f32, b: f32| (a - b).abs() < SAME_EDGE * em;
    if headings.windows(2).any(|pair| matches!(pair, [a, b] if b.x0 <= a.x1)) {
        return None;
    }
    let of = |area: &Rect| {
        let at = headings.iter().rposition(|h| h.x0 < area.x0 + SAME_EDGE * em)?;
        headings.get(at + 1).is_none_or(|next| area.x1 < next.x0).then_some(at)
    };
    let owners: Vec<usize> = areas.iter().map(of).collect::<Option<_>>()?;
    let once = owners.windows(2).all(|pair| matches!(pair, [a, b] if a < b));
    // Where every column stands under its heading, place alone tells.
    let apart = areas.iter().zip(&owners).any(|(a, at)| headings.get(*at).is_some_and(|h| a.x0 > h.x1));
    if !once || !apart || owners.last().copied() != headings.len().checked_sub(1) {
        return None;
    }
    let mut gaps: Vec<f32> = Vec::new();
    for (at, next) in headings.iter().skip(1).enumerate() {
        let here: Vec<&Cell> = cells.iter().filter(|c| of(&c.0) == Some(at)).collect();
        let valued = here.iter().any(|c| c.1);
        let Some(edge) = here.iter().map(|c| c.0.x1).reduce(f32::max) else { continue };
        let begin = here.iter().map(|c| c.0.x0).reduce(f32::min).unwrap_or(edge);
        // Names of one length that begin at one edge end at one as well, wherever their cell ends.
        let names = !valued && here.iter().all(|c| same(c.0.x0, begin));
        if here.iter().filter(|c| !valued || c.1).all(|c| same(c.0.x1, edge)) {
            gaps.extend((!names).then_some(next.x0 - edge));
        } else if valued {
            return None;
        }
    }
    set_so(&gaps, same).then_some(owners)
}

/// The headings of columns whose cells all begin equally far behind the heading before, none reaching over the edge at
/// which its own ends. Every heading but that of the names at the left has values before its right edge, or has none, and
/// the first of them has some: nothing is left over that a heading to the left of its values would leave.
fn at_the_left(areas: &[Rect], cells: &[Cell], headings: &[Rect], em: f32) -> Option<Vec<usize>> {
    let same = |a: f32, b: f32| (a - b).abs() < SAME_EDGE * em;
    if headings.windows(2).any(|pair| matches!(pair, [a, b] if b.x0 <= a.x1)) {
        return None;
    }
    let of = |area: &Rect| {
        let at = headings.iter().position(|h| h.x1 > area.x1 - SAME_EDGE * em)?;
        let before = at.checked_sub(1).and_then(|at| headings.get(at));
        before.is_none_or(|before| area.x0 > before.x1).then_some(at)
    };
    let owners: Vec<usize> = areas.iter().map(of).collect::<Option<_>>()?;
    let once = owners.windows(2).all(|pair| matches!(pair, [a, b] if a < b));
    let apart = areas.iter().zip(&owners).any(|(a, at)| headings.get(*at).is_some_and(|h| a.x1 < h.x0));
    let names = |h: &Rect| cells.iter().any(|c| !c.1 && c.0.overlap_x(h) > 0.0);
    let first = headings.iter().position(|h| !names(h));
    if !once || !apart || owners.first().copied() != first {
        return None;
    }
    let mut gaps: Vec<f32> = Vec::new();
    for (at, before) in (1..headings.len()).zip(headings) {
        let here: Vec<Rect> = cells.iter().filter(|c| c.1 && of(&c.0) == Some(at)).map(|c| c.0).collect();
        let Some(edge) = here.iter().map(|c| c.x0).reduce(f32::min) else { continue };
        if !here.iter().all(|c| same(c.x0, edge)) {
            return None;
        }
        // The heading of the names does not end where their cells do.
        gaps.extend((Some(at) != first).then_some(edge - before.x1));
    }
    set_so(&gaps, same).then_some(owners)
}

/// True where enough columns leave the same gap.
fn set_so(gaps: &[f32], same: impl Fn(f32, f32) -> bool) -> bool {
    gaps.first().is_some_and(|first| gaps.len() >= ENOUGH && gaps.iter().all(|gap| same(*gap, *first)))
}

#[cfg(test)]
mod tests {
    use super::super::align::columns;
    use super::super::atom::{Kind, atoms};
    use super::super::layout::{layout, tests::typed};
    use super::super::number::Decimal;
    use super::*;

    fn run(lines: &[&str]) -> Vec<(Option<usize>, bool)> {
        let page = layout(&typed(lines));
        let headings: Vec<Rect> = page.lines[0].phrases.iter().map(|p| p.area).collect();
        let rows: Vec<Vec<Atom>> = page.lines[1..].iter().map(|l| atoms(l, Decimal::Point)).collect();
        columns(&rows, &headings, 10.0, &|a| !matches!(a.kind, Kind::Text))
            .into_iter()
            .map(|c| (c.heading, c.sure))
            .collect()
    }

    #[test]
    fn values_at_the_right_edge_belong_to_the_heading_at_the_left_edge() {
        let own = |n: usize| (0..n).map(|at| (Some(at), true)).collect::<Vec<_>>();
        let found = run(&[
            "Lab.nr.           pH                P                 K",
            "             1               5.5               3.6              30.0",
            "             2               6.2               2.7              15.0",
        ]);
        assert_eq!(found, own(4));
        // Words tell how a table is set as well as numbers.
        let found = run(&[
            "Result            Units             Optimum",
            "          6.94                              6.0 - 6.8",
            "         0.590              dS/m        0.581 - 0.872",
            "         12.63          cmol+/kg        12.74 - 19.1",
        ]);
        assert_eq!(found.first(), Some(&(Some(0), true)));
    }

    #[test]
    fn values_that_end_anywhere_or_leave_a_heading_over_are_not_set_so() {
        // The last heading has nothing: each value may be of the heading to the right of it.
        let right = run(&[
            "Hob               pH                P                 K",
            "             1               5.5               3.6",
            "             2               6.2               2.7",
        ]);
        assert!(right.iter().any(|(_, sure)| !sure) || right.first() != Some(&(Some(0), true)), "{right:?}");
        let ragged = run(&[
            "Hob               pH                P                 K",
            "             1             5.5                 3.6            30.0",
            "             2             6.2                 2.7            15.0",
        ]);
        assert_ne!(ragged, (0..4).map(|at| (Some(at), true)).collect::<Vec<_>>());
    }

    #[test]
    fn names_of_one_length_at_the_left_say_nothing_of_the_edge_of_numbers() {
        // The second column of results has no heading with numbers nearer than its own, and one is blank.
        let found = run(&[
            "Sample      pH             P              K              S              B              Zn",
            "S1                     7.0            113            197             18                          8.5",
            "S2                     6.1             68             97              8                         10.5",
        ]);
        let own = |at| (Some(at), true);
        assert_eq!(found, [own(1), own(2), own(3), own(4), own(6)]);
    }

    #[test]
    fn values_at_the_left_edge_belong_to_the_heading_at_the_right_edge() {
        let found = run(&[
            "Plot                     pH   Phosphorus    Potassium         Zinc",
            "Terrace   5.6               17           0.81         16.6",
            "Saddle    6.2               153          10.81        1.2",
        ]);
        assert_eq!(found, (1..5).map(|at| (Some(at), true)).collect::<Vec<_>>());
        // Values under the wrong headings by one: the first heading has none before it, so each may be of the one before.
        let found = run(&[
            "Plot      pH   Phosphorus    Potassium         Zinc",
            "Terrace          17           0.81         16.6",
            "Saddle           153          10.81        1.2",
        ]);
        assert!(found.iter().any(|(_, sure)| !sure) || found.first() == Some(&(Some(2), true)), "{found:?}");
    }
}
