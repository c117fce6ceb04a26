//! Headings at the left edge of cells over numbers at the right edge of them: the number that lies nearest to a heading is
//! then that of the cell before it.

use super::super::align::Column;
use super::super::band::Band;

/// The columns with the headings of their cells, where the nearest headings cannot be the right ones: a heading of results has
/// no numbers, and numbers have no heading or about as near a one. Where the cells do not come out even either, or numbers
/// have no heading at all, which perhaps was not read, no column is sure that does not stand under its heading.
pub fn in_cells(columns: Vec<Column>, band: &Band) -> Vec<Column> {
    let used = |columns: &[Column], i: usize| columns.iter().any(|c| c.heading == Some(i));
    let results = || band.leaves.iter().enumerate().filter(|(_, l)| l.label.is_result()).map(|(i, _)| i);
    let blank = results().any(|i| !used(&columns, i));
    let unsure = columns.iter().any(|c| c.heading.is_none() || !c.sure);
    if !unsure || band.long() {
        return columns;
    }
    let cells = by_cells(&columns, band);
    let headless = columns.iter().any(|c| c.heading.is_none());
    if !blank && !headless {
        let same = |cells: &Vec<Column>| cells.iter().zip(&columns).all(|(a, b)| a.heading == b.heading);
        return cells.filter(same).unwrap_or(columns);
    }
    let own = |column: &Column| {
        column.heading.and_then(|h| band.leaves.get(h)).is_some_and(|l| l.area.overlap_x(&column.area) > 0.0)
    };
    match cells {
        Some(cells) if results().all(|i| used(&cells, i)) => cells,
        _ => columns.into_iter().map(|c| Column { sure: c.sure && own(&c), ..c }).collect(),
    }
}

/// Each column under the last heading that begins before it, where it ends before the next one begins and no other column
/// stands there; none where one does not.
fn by_cells(columns: &[Column], band: &Band) -> Option<Vec<Column>> {
    let mut out: Vec<Column> = Vec::new();
    for column in columns {
        let before = |i: &usize| band.leaves.get(*i).is_some_and(|l| l.area.x0 <= column.area.x0 + EDGE);
        let heading = (0..band.leaves.len()).rev().find(before)?;
        let next = band.leaves.get(heading + 1).map_or(f32::INFINITY, |l| l.area.x0);
        if column.area.x1 > next || out.iter().any(|c| c.heading == Some(heading)) {
            return None;
        }
        out.push(Column { heading: Some(heading), sure: true, ..column.clone() });
    }
    Some(out)
}

/// How far, in points, a number may begin before the heading of its cell.
const EDGE: f32 = 1.0;

#[cfg(test)]
mod tests {
    use super::super::super::atom::atoms;
    use super::super::super::band::bands;
    use super::super::super::found::FoundSample;
    use super::super::super::layout::{layout, tests::typed};
    use super::super::super::number::Decimal;
    use super::super::super::vocabulary::Context;
    use crate::soil::Analyte;

    fn of(lines: &[&str]) -> Vec<FoundSample> {
        let page = layout(&typed(lines));
        let context = Context { symbols: true, capitals: false };
        let band = bands(&page, context, Decimal::Point).remove(0);
        let rows: Vec<_> = page.lines.iter().map(|l| atoms(l, Decimal::Point)).collect();
        super::super::read(&page, &rows, &band, band.end..page.lines.len(), context, Decimal::Point).0
    }

    fn values(samples: &[FoundSample]) -> Vec<(Option<Analyte>, f64, bool)> {
        let readings = samples.iter().flat_map(|s| &s.readings);
        readings.map(|r| (r.label.analyte, r.number.value, r.doubts.is_empty())).collect()
    }

    #[test]
    fn numbers_at_the_right_of_their_cells_belong_to_the_headings_at_the_left() {
        let head = "Sample     pH        K, ppm        Ca, ppm        Mg, ppm        Zn, ppm        Cu, ppm";
        let found = of(&[
            head,
            "NE qtr           6.4           197           2940            306            2.5                          1.3",
            "NW qtr           7.0           343           2879            207            3.1                          1.2",
        ]);
        let analytes = [
            Analyte::Ph,
            Analyte::Potassium,
            Analyte::Calcium,
            Analyte::Magnesium,
            Analyte::Zinc,
            Analyte::Copper,
        ];
        let numbers = [6.4, 197.0, 2940.0, 306.0, 2.5, 1.3];
        let want: Vec<_> = analytes.into_iter().zip(numbers).map(|(a, n)| (Some(a), n, true)).collect();
        assert_eq!(values(&found).get(..6), Some(want.as_slice()), "{:?}", values(&found));
        // A column without numbers: nobody knows which.
        let found = of(&[
            head,
            "NE qtr                         197           2940            306            2.5                          1.3",
            "NW qtr                         343           2879            207            3.1                          1.2",
        ]);
        let right = |(a, v, _): &(Option<Analyte>, f64, bool)| want.iter().any(|w| w.0 == *a && w.1 == *v);
        let wrong = |r: &&(Option<Analyte>, f64, bool)| r.2 && !right(r);
        let first: Vec<_> = values(&found).into_iter().filter(|r| want.iter().any(|w| w.1 == r.1)).collect();
        assert!(first.iter().find(wrong).is_none(), "{first:?}");
    }
}
