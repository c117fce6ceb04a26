//! What may honestly be said of a series too short for a trend.

use super::noise::{amount, change};
use super::rules::TrendRules;
use super::{Series, Trend};
use crate::soil::Qualifier;
use crate::soil::table::TableError;

/// One or two sentences for a series with too few seasons to claim a trend; none for a long enough one.
///
/// # Errors
/// A built-in table is damaged.
pub fn early_word(trend: &Trend, series: &Series, rules: &TrendRules) -> Result<Option<String>, TableError> {
    let (Some(first), Some(last)) = (series.values.first(), series.values.last()) else { return Ok(None) };
    if trend.n >= rules.seasons_for_a_claim {
        return Ok(None);
    }
    let needed = rules.seasons_for_a_claim;
    if series.values.len() < 2 {
        let sign = last.qualifier.map_or("", Qualifier::id);
        let (name, value) = (series.key.analyte.symbol(), amount(last.value, series.key.analyte.unit()));
        return Ok(Some(format!(
            "{name} {sign}{value} in {}: one season, no trend can be told before there are {needed}.",
            last.season
        )));
    }
    let change = change(&series.key, first, last)?.sentence();
    Ok(Some(format!("{change} {} seasons are too few for a trend, which takes {needed}.", capital(trend.n))))
}

fn capital(n: usize) -> String {
    match n {
        2 => "Two".to_owned(),
        3 => "Three".to_owned(),
        n => n.to_string(),
    }
}

#[cfg(test)]
mod tests {
    use super::super::{SeasonValue, sample_key, trend};
    use super::*;

    fn word(values: &[f64]) -> Option<String> {
        let values = (2021..)
            .zip(values)
            .map(|(season, &value)| SeasonValue {
                season,
                value,
                qualifier: None,
                labs: vec!["A".to_owned()],
                readings: vec![],
            })
            .collect();
        let series = Series { key: sample_key(), values };
        early_word(&trend(&series), &series, &TrendRules::built_in().unwrap()).unwrap()
    }

    #[test]
    fn a_short_series_is_never_called_a_trend() {
        assert_eq!(
            word(&[40.0]).as_deref(),
            Some("P 40 mg/kg in 2021: one season, no trend can be told before there are 4.")
        );
        let three = word(&[40.0, 36.0, 31.0]).unwrap();
        assert!(three.contains("so this alone proves nothing. Three seasons are too few"), "{three}");
        assert!(word(&[60.0, 20.0]).unwrap().contains("more than noise. Two seasons are too few"));
    }

    #[test]
    fn four_seasons_speak_for_themselves() {
        assert_eq!(word(&[31.0, 29.0, 26.0, 22.0]), None);
    }
}
