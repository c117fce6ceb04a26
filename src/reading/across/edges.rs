//! `Upper   Lower` over `cm   cm`: two columns side by side that say where a layer begins and ends.

use super::super::band::{Band, Leaf};
use super::super::header::depth_unit;
use super::super::vocabulary::Field;
use super::row::{Row, text_of};

/// What the first and the second of such columns are called.
const PAIRS: &[(&str, &str)] = &[
    ("upper", "lower"),
    ("top", "bottom"),
    ("from", "to"),
    ("von", "bis"),
    ("oben", "unten"),
    ("de", "à"),
    ("desde", "hasta"),
    ("de", "até"),
    ("da", "a"),
    ("van", "tot"),
];

/// The heading with the columns of a layer's edges told; a column of names of horizons beside them tells no depth. Both are
/// called so and counted in one unit of length, and every row's first number is less than its second.
pub(super) fn edges(band: &Band, rows: &[(usize, Row<'_>)]) -> Band {
    let mut out = band.clone();
    let named = |leaf: &Leaf, word: &str| {
        let text = leaf.text.to_lowercase();
        let mut words = text.split(|c: char| !c.is_alphanumeric() && c != '"').filter(|w| !w.is_empty());
        let own = words.next() == Some(word);
        own && leaf.label.analyte.is_none()
            && depth_unit(words.collect::<Vec<_>>().join(" ").as_str()).is_some()
    };
    let number = |row: &Row<'_>, column: usize| {
        let cell = row.cells.iter().find(|(h, ..)| *h == column)?;
        text_of(&cell.1).replace(',', ".").parse::<f64>().ok()
    };
    let told = (1..band.leaves.len()).find(|second| {
        let (Some(a), Some(b)) = (band.leaves.get(second - 1), band.leaves.get(*second)) else {
            return false;
        };
        let pair = PAIRS.iter().any(|(first, last)| named(a, first) && named(b, last));
        let layers =
            || rows.iter().filter_map(|(_, row)| Some((number(row, second - 1)?, number(row, *second)?)));
        pair && depth_unit(&a.text) == depth_unit(&b.text)
            && layers().count() > 1
            && layers().all(|(top, bottom)| top < bottom)
    });
    let Some(second) = told else { return out };
    for (at, leaf) in out.leaves.iter_mut().enumerate() {
        let edge = |field| leaf.label.analyte.is_none() && leaf.label.field == Some(field);
        if at + 1 == second {
            leaf.label.field = Some(Field::DepthTop);
        } else if at == second {
            leaf.label.field = Some(Field::DepthBottom);
        } else if edge(Field::DepthTop) || edge(Field::DepthBottom) {
            leaf.label.field = Some(Field::Ignored);
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::super::super::across::read;
    use super::super::super::atom::atoms;
    use super::super::super::band::bands;
    use super::super::super::found::FoundSample;
    use super::super::super::layout::{layout, tests::typed};
    use super::super::super::number::Decimal;
    use super::super::super::vocabulary::{Context, Field};

    #[test]
    fn two_columns_of_edges_are_a_layer() {
        let of = |heads: &str, unit: &str, second: &str| -> Vec<(Option<String>, Option<String>)> {
            let page = layout(&typed(&[
                &format!("Profile   Lab no.   Horizon   {heads}    pH     K"),
                &format!("                              {unit}      {unit}              ppm"),
                "K19-1     180441    Ah        0       18       6.2    120",
                &format!("K19-1     180442    Bw        {second}      52       6.4    130"),
                "K19-2     180443    Ah        0       20       6.2    120",
            ]));
            let context = Context { symbols: true, capitals: false };
            let band = bands(&page, context, Decimal::Point).remove(0);
            let rows: Vec<_> = page.lines.iter().map(|l| atoms(l, Decimal::Point)).collect();
            let (samples, _) = read(&page, &rows, &band, band.end..page.lines.len(), context, Decimal::Point);
            let field = |s: &FoundSample, f| s.field(f).map(str::to_owned);
            samples.iter().map(|s| (field(s, Field::DepthTop), field(s, Field::DepthBottom))).collect()
        };
        let some = |text: &str| Some(text.to_owned());
        let told = of("Upper   Lower", "cm", "18");
        assert_eq!(told.first(), Some(&(some("0 cm"), some("18 cm"))), "{told:?}");
        assert_eq!(told.get(1), Some(&(some("18 cm"), some("52 cm"))), "{told:?}");
        for untold in [
            of("Upper   Lower", "% ", "18"),
            of("Upper   Lower", "cm", "58"),
            of("Inner   Outer", "cm", "18"),
        ] {
            assert!(untold.iter().all(|(_, bottom)| bottom.is_none()), "{untold:?}");
        }
    }
}
