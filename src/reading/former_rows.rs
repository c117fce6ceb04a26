//! A column of years in a table whose rows are of unlike ones: the rows of the earlier years are of former seasons.

use super::across::doubt_all;
use super::atom::Atom;
use super::band::Band;
use super::found::FoundSample;
use super::label::year_of;
use super::vocabulary::Field;
use super::words::List;
use crate::soil::Doubt;

/// Drops the rows of earlier years of what has a row of a later one; where a name stands in an earlier year alone, nobody
/// knows whether it was sampled now, and it waits.
pub fn by_a_column_of_years(
    band: &Band,
    atoms: &[Vec<Atom>],
    lines: &[usize],
    samples: &mut Vec<FoundSample>,
) {
    let asks = |text: &str| List::AsksYear.has(&text.trim_end_matches(['.', ':']).to_lowercase());
    let mut columns = band.leaves.iter().filter(|l| asks(&l.text));
    let (Some(column), None) = (columns.next(), columns.next()) else { return };
    let rows: Vec<(f32, i16)> = lines
        .iter()
        .filter_map(|line| {
            let row = atoms.get(*line)?;
            let cell = row.iter().find(|a| a.area.overlap_x(&column.area) > 0.0)?;
            Some((row.first()?.area.y0, year_of(&cell.text)?))
        })
        .collect();
    let Some(latest) = rows.iter().map(|(_, year)| *year).max() else { return };
    let year = |s: &FoundSample| rows.iter().find(|(y, _)| (y - s.y).abs() < 0.1).map(|(_, year)| *year);
    let later: Vec<(String, i16)> =
        samples.iter().filter_map(|s| Some((s.field(Field::SampleLabel)?.to_owned(), year(s)?))).collect();
    samples.retain(|s| {
        let own = year(s).filter(|own| *own < latest);
        !own.is_some_and(|own| {
            later.iter().any(|(name, year)| Some(name.as_str()) == s.field(Field::SampleLabel) && *year > own)
        })
    });
    for sample in samples.iter_mut() {
        if let Some(own) = year(sample).filter(|own| *own < latest) {
            let sentence = format!("Its row is of {own}, others of this table are of {latest}.");
            doubt_all(std::slice::from_mut(sample), Some(&Doubt::new("former-season", sentence)));
        }
    }
}

#[cfg(test)]
mod tests {
    use super::super::atom::atoms;
    use super::super::band::bands;
    use super::super::layout::{layout, tests::typed};
    use super::super::number::Decimal;
    use super::super::vocabulary::Context;
    use super::*;

    fn of(rows: [&str; 3]) -> Vec<(String, bool)> {
        let page =
            layout(&typed(&["Sample     Year     pH     K, ppm    Zn, ppm", rows[0], rows[1], rows[2]]));
        let context = Context { symbols: true, capitals: false };
        let band = bands(&page, context, Decimal::Point).remove(0);
        let all: Vec<_> = page.lines.iter().map(|l| atoms(l, Decimal::Point)).collect();
        let lines = band.end..page.lines.len();
        let (mut samples, lines) =
            super::super::across::read(&page, &all, &band, lines, context, Decimal::Point);
        by_a_column_of_years(&band, &all, &lines, &mut samples);
        let sure = |s: &FoundSample| s.readings.iter().all(|r| r.doubts.is_empty());
        samples
            .iter()
            .map(|s| (s.field(Field::SampleLabel).unwrap_or_default().to_owned(), sure(s)))
            .collect()
    }

    #[test]
    fn rows_of_an_earlier_year_are_of_a_former_season_or_wait() {
        let row = |name: &str, year: &str| format!("{name}       {year}     6.4    120       2.1");
        let (a, b) = (row("Moss", "2024"), row("Moss", "2021"));
        let name = |text: &str| text.to_owned();
        assert_eq!(of([&a, &b, &row("Hob ", "2024")]), [(name("Moss"), true), (name("Hob"), true)]);
        assert_eq!(of([&a, &row("Mill", "2024"), &row("Hob ", "2021")])[2], (name("Hob"), false));
        let same = of([&b, &row("Mill", "2021"), &row("Hob ", "2021")]);
        assert!(same.len() == 3 && same.iter().all(|(_, sure)| *sure), "{same:?}");
    }
}
