//! Tables of the web's making whose headings begin at the left edge of their columns, while what stands under them ends at
//! the right edge: in wide columns a value then lies nearer to the next heading than to its own.

use super::atom::Atom;
use crate::place::Rect;

/// Edges nearer than this, in ems, are one.
const SAME_EDGE: f32 = 0.15;

/// From so many columns whose cells end as far before the next heading, that is how the table is set.
const ENOUGH: usize = 2;

/// The heading of each column, where all cells of numbers end equally far before the next heading and none reaches over
/// the edge at which one begins. The last heading has values behind its left edge too, so that nothing is left over that a
/// heading to the right of its values would leave.
pub fn flush(
    areas: &[Rect],
    rows: &[Vec<Atom>],
    headings: &[Rect],
    em: f32,
    is_value: &dyn Fn(&Atom) -> bool,
) -> Option<Vec<usize>> {
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
        let cells: Vec<&Atom> = rows.iter().flatten().filter(|a| of(&a.area) == Some(at)).collect();
        let valued = cells.iter().any(|a| is_value(a));
        let Some(edge) = cells.iter().map(|a| a.area.x1).reduce(f32::max) else { continue };
        let ends = |a: &&Atom| same(a.area.x1, edge);
        if cells.iter().filter(|a| !valued || is_value(a)).all(ends) {
            gaps.push(next.x0 - edge);
        } else if valued {
            return None;
        }
    }
    let first = *gaps.first()?;
    let set_so = gaps.len() >= ENOUGH && gaps.iter().all(|gap| same(*gap, first));
    set_so.then_some(owners)
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
}
