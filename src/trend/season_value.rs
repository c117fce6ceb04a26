//! The one value a season has in a series.

use super::SeasonValue;
use super::censored::stand_in;
use crate::soil::{Qualifier, ReadingRow};

/// What of a reading makes the value of a season.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Counted<'a> {
    /// Key of the reading.
    pub id: i64,
    /// Canonical unit.
    pub value: f64,
    /// Below or above the laboratory's range.
    pub qualifier: Option<Qualifier>,
    /// The laboratory as printed.
    pub lab: Option<&'a str>,
}

impl<'a> From<&'a ReadingRow> for Counted<'a> {
    fn from(row: &'a ReadingRow) -> Self {
        Self { id: row.id, value: row.value, qualifier: row.qualifier, lab: row.lab.as_deref() }
    }
}

/// The median of a season's readings of one series; none for no readings.
///
/// Readings outside the laboratory's range are sorted by their stand-in. Where the middle reading (both, of an even
/// number) is outside on the same side, so is the season, and its value is the limit; else it is a plain number.
pub fn of_season(season: i16, rows: &[Counted]) -> Option<SeasonValue> {
    let mut sorted: Vec<&Counted> = rows.iter().collect();
    sorted.sort_by(|a, b| key(a).total_cmp(&key(b)).then(a.value.total_cmp(&b.value)).then(a.id.cmp(&b.id)));
    let upper = sorted.get(sorted.len() / 2)?;
    let lower = sorted.get((sorted.len() - 1) / 2)?;
    let both = upper.qualifier == lower.qualifier;
    let (value, qualifier) = if both {
        (0.5 * (lower.value + upper.value), upper.qualifier)
    } else {
        (0.5 * (key(lower) + key(upper)), None)
    };
    let mut labs: Vec<String> = rows.iter().filter_map(|row| row.lab.map(lab_name)).collect();
    labs.sort();
    labs.dedup();
    let mut readings: Vec<i64> = rows.iter().map(|row| row.id).collect();
    readings.sort_unstable();
    Some(SeasonValue { season, value: steady(value), qualifier, labs, readings })
}

fn key(row: &Counted) -> f64 {
    if row.qualifier == Some(Qualifier::Above) && row.value >= 0.0 {
        // Above the range sorts above a measured value of the same number.
        return row.value * (1.0 + 1e-12);
    }
    stand_in(row.value, row.qualifier)
}

/// A laboratory's name with its spaces put in order.
pub fn lab_name(printed: &str) -> String {
    printed.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// Rounded to ten figures, so that equal results printed in different units stay equal and count as a tie.
fn steady(value: f64) -> f64 {
    if value == 0.0 || !value.is_finite() {
        return value;
    }
    let scale = 10f64.powi(9 - value.abs().log10().floor() as i32);
    (value * scale).round() / scale
}

#[cfg(test)]
mod tests {
    use super::super::series::sample_row;
    use super::*;

    fn season(given: &[(f64, Option<Qualifier>)]) -> SeasonValue {
        let rows: Vec<ReadingRow> = (1..)
            .zip(given)
            .map(|(id, &(value, qualifier))| ReadingRow { id, value, qualifier, ..sample_row() })
            .collect();
        of_season(2021, &rows.iter().map(Counted::from).collect::<Vec<_>>()).unwrap()
    }

    #[test]
    fn a_season_is_the_median_of_its_readings() {
        assert_eq!(season(&[(30.0, None), (20.0, None), (26.0, None)]).value, 26.0);
        assert_eq!(season(&[(30.0, None), (20.0, None)]).value, 25.0);
        assert_eq!(season(&[(6.0, None), (6.2, None)]).value, 6.1);
    }

    #[test]
    fn a_season_wholly_below_the_range_stays_below() {
        let below = Some(Qualifier::Below);
        let value = season(&[(2.0, below), (2.0, below)]);
        assert_eq!((value.value, value.qualifier), (2.0, below));
        let value = season(&[(2.0, below), (2.0, below), (9.0, None)]);
        assert_eq!((value.value, value.qualifier), (2.0, below));
        let value = season(&[(2.0, below), (9.0, None)]);
        assert_eq!((value.value, value.qualifier), (5.0, None));
    }
}
