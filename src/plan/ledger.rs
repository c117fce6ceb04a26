//! The ledger: P2O5 and K2O put down and carried off by year, beside what the soil test did; the site's own buffering.

use super::application::Application;
use super::limits::{PlanLimit, figure};
use super::need::label_nutrient;
use super::nutrients::Nutrient;
use super::removal;
use super::settings::{Clippings, SiteSettings};
use crate::flag::SeriesFacts;
use crate::guide::use_of;
use crate::soil::convert::lb_per_1000_ft2_to_lb_per_acre;
use crate::soil::table::TableError;
use crate::soil::{Analyte, Method, Site};
use crate::trend::interval::widest_claim;
use crate::trend::mann_kendall;
use crate::trend::theil_sen::{median, pair_slopes};
use serde::{Deserialize, Serialize};

/// One year of a zone and nutrient, lb oxide an acre.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct LedgerRow {
    /// Zone.
    pub zone: String,
    /// P2O5 or K2O.
    pub nutrient: Nutrient,
    /// The year.
    pub year: i16,
    /// Put down; none for years before anything was recorded at the site, for silence is not zero.
    pub applied_lb_per_acre: Option<f64>,
    /// Carried off with clippings or crop; none where it is not known.
    pub removed_lb_per_acre: Option<f64>,
    /// Applied less removed.
    pub balance_lb_per_acre: Option<f64>,
    /// The soil test of that season, mg/kg.
    pub test_mg_per_kg: Option<f64>,
    /// Its change since the test before, mg/kg.
    pub test_change_mg_per_kg: Option<f64>,
}

/// How many pounds move this site's own test.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct OwnBuffering {
    /// Zone.
    pub zone: String,
    /// P2O5 or K2O.
    pub nutrient: Nutrient,
    /// By which extractant; it holds for no other.
    pub method: Method,
    /// lb oxide an acre for 1 mg/kg.
    pub lb_oxide_per_mg_per_kg: f64,
    /// Lower bound; none where no interval exists or it reaches no end.
    pub low: Option<f64>,
    /// Upper bound.
    pub high: Option<f64>,
    /// Confidence of the bounds.
    pub confidence: Option<f64>,
    /// Intervals between tests it rests on.
    pub intervals: usize,
}

/// Rows and own buffering of one zone and analyte (phosphorus or potassium); empty for others.
///
/// # Errors
/// A built-in table is damaged.
pub fn ledger(
    site: &Site,
    settings: &SiteSettings,
    facts: &SeriesFacts,
    applications: &[Application],
) -> Result<(Vec<LedgerRow>, Option<OwnBuffering>), TableError> {
    let (analyte, zone) = (facts.analyte(), facts.series.key.zone.as_str());
    let Some(nutrient) = label_nutrient(analyte).filter(|n| matches!(n, Nutrient::P2o5 | Nutrient::K2o))
    else {
        return Ok((Vec::new(), None));
    };
    let here: Vec<&Application> = applications.iter().filter(|one| one.on_zone(zone)).collect();
    let tests = &facts.series.values;
    let years = here.iter().map(|one| one.put.on.year()).chain(tests.iter().map(|value| value.season));
    let Some((first, last)) = years.clone().min().zip(years.max()) else { return Ok((Vec::new(), None)) };
    let since = here.iter().map(|one| one.put.on.year()).min();
    let mut rows = Vec::new();
    for year in first..=last {
        let down = |nutrient| -> Option<f64> {
            let rates = here.iter().filter(|one| one.put.on.year() == year);
            let lb = rates.fold(0.0, |sum, one| sum + one.supplied_lb_per_1000_ft2.get(nutrient));
            since.filter(|since| *since <= year).map(|_| lb_per_1000_ft2_to_lb_per_acre(lb))
        };
        let applied = down(nutrient);
        let removed = removed(site, settings, analyte, year, down(Nutrient::N))?;
        let at = tests.iter().position(|value| value.season == year);
        let test = at.and_then(|at| tests.get(at)).map(|value| value.value);
        let before = at.and_then(|at| tests.get(at.checked_sub(1)?)).map(|value| value.value);
        rows.push(LedgerRow {
            zone: zone.to_owned(),
            nutrient,
            year,
            applied_lb_per_acre: applied,
            removed_lb_per_acre: removed,
            balance_lb_per_acre: applied.zip(removed).map(|(applied, removed)| applied - removed),
            test_mg_per_kg: test,
            test_change_mg_per_kg: test.zip(before).map(|(test, before)| test - before),
        });
    }
    let own = buffering(&rows, facts.method(), settings.sampled_after_season)?;
    Ok((rows, own))
}

/// Oxide carried off in a year, lb/acre; none where the yield or the fate of the clippings is not known.
fn removed(
    site: &Site,
    settings: &SiteSettings,
    analyte: Analyte,
    year: i16,
    n_lb_per_acre: Option<f64>,
) -> Result<Option<f64>, TableError> {
    let pick = |p2o5: f64, k2o: f64| if analyte == Analyte::Phosphorus { p2o5 } else { k2o };
    if use_of(site)?.is_some_and(|found| found.is_turf()) {
        return Ok(match settings.clippings {
            Some(Clippings::Returned) => Some(0.0),
            Some(Clippings::Removed) => {
                let oxides = n_lb_per_acre.map(removal::with_clippings).transpose()?;
                oxides.map(|(p2o5, k2o)| pick(p2o5, k2o))
            }
            None => None,
        });
    }
    let crop = site.species.as_deref().or(site.use_.as_deref()).unwrap_or_default();
    let found = removal::of_crop(crop, site.region.as_deref())?;
    let harvest = settings.yields.get(&year.to_string());
    Ok(found.zip(harvest).map(|(found, harvest)| harvest * pick(found.p2o5.value, found.k2o.value)))
}

/// Theil-Sen line of the change of the test on the balance between the tests; its slope upside down is the buffering.
/// None with fewer intervals than the figure asks for, or where more put on did not go with a higher test.
fn buffering(
    rows: &[LedgerRow],
    method: Method,
    after_season: bool,
) -> Result<Option<OwnBuffering>, TableError> {
    let tests: Vec<(usize, &LedgerRow)> =
        rows.iter().enumerate().filter(|(_, row)| row.test_mg_per_kg.is_some()).collect();
    let mut points: Vec<(f64, f64)> = tests
        .windows(2)
        .filter_map(|pair| {
            let [(a, _), (b, later)] = pair else { return None };
            // A sample taken in spring does not see the season of its own year; one of autumn does.
            let between = if after_season { rows.get(a + 1..=*b)? } else { rows.get(*a..*b)? };
            let balance = between.iter().map(|row| row.balance_lb_per_acre).sum::<Option<f64>>()?;
            Some((balance, later.test_change_mg_per_kg?))
        })
        .collect();
    points.sort_by(|a, b| a.0.total_cmp(&b.0));
    let slopes = pair_slopes(&points);
    let enough = figure(PlanLimit::OwnBufferingIntervals)?.value as usize;
    let Some(slope) = median(&slopes).filter(|slope| points.len() >= enough && *slope > 0.0) else {
        return Ok(None);
    };
    let Some(first) = rows.first() else { return Ok(None) };
    let changes: Vec<f64> = points.iter().map(|point| point.1).collect();
    // Balances that stand twice are no order; then no interval is claimed.
    let distinct = points.windows(2).all(|pair| matches!(pair, [a, b] if a.0 < b.0));
    let claim = widest_claim(&slopes, &mann_kendall::test(&changes), &[0.95, 0.90]).filter(|_| distinct);
    // A slope bound at or below 0 is no end of the buffering.
    let upside_down = |bound: f64| (bound > 0.0).then(|| 1.0 / bound);
    Ok(Some(OwnBuffering {
        zone: first.zone.clone(),
        nutrient: first.nutrient,
        method,
        lb_oxide_per_mg_per_kg: 1.0 / slope,
        low: claim.and_then(|(_, (_, high))| upside_down(high)),
        high: claim.and_then(|(_, (low, _))| upside_down(low)),
        confidence: claim.map(|(confidence, _)| confidence),
        intervals: points.len(),
    }))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn row(year: i16, balance: f64, test: Option<(f64, Option<f64>)>) -> LedgerRow {
        LedgerRow {
            zone: "whole".into(),
            nutrient: Nutrient::P2o5,
            year,
            applied_lb_per_acre: Some(balance),
            removed_lb_per_acre: Some(0.0),
            balance_lb_per_acre: Some(balance),
            test_mg_per_kg: test.map(|test| test.0),
            test_change_mg_per_kg: test.and_then(|test| test.1),
        }
    }

    /// Tests every year in spring that answer the balance of the year before at 20 lb for 1 mg/kg.
    fn answering(balances: &[f64], lb: f64) -> Vec<LedgerRow> {
        let (mut test, mut before) = (40.0, None);
        let mut rows = Vec::new();
        for (year, balance) in (2015..).zip(balances) {
            let change = before.map(|balance: f64| balance / lb);
            test += change.unwrap_or(0.0);
            rows.push(row(year, *balance, Some((test, change))));
            before = Some(*balance);
        }
        rows
    }

    #[test]
    fn a_site_that_answers_tells_its_own_buffering_with_bounds() {
        let rows = answering(&[40.0, -30.0, 60.0, -55.0, 10.0, 25.0, 0.0], 20.0);
        let own = buffering(&rows, Method::BrayP1, false).unwrap().unwrap();
        assert!((own.lb_oxide_per_mg_per_kg - 20.0).abs() < 1e-9);
        assert_eq!((own.intervals, own.confidence), (6, Some(0.95)));
        assert!(
            own.low.is_some_and(|low| low <= 20.0 + 1e-9) && own.high.is_some_and(|high| high >= 20.0 - 1e-9)
        );
    }

    #[test]
    fn too_few_tests_an_unknown_year_or_a_test_that_goes_the_other_way_tell_nothing() {
        assert_eq!(buffering(&answering(&[40.0, -30.0, 60.0], 20.0), Method::BrayP1, false).unwrap(), None);
        let wrong = answering(&[40.0, -30.0, 60.0, -55.0, 10.0, 25.0, 0.0], -20.0);
        assert_eq!(buffering(&wrong, Method::BrayP1, false).unwrap(), None);
        let mut unknown = answering(&[40.0, -30.0, 60.0, -55.0, 10.0], 20.0);
        unknown.iter_mut().for_each(|row| row.balance_lb_per_acre = None);
        assert_eq!(buffering(&unknown, Method::BrayP1, false).unwrap(), None);
    }

    #[test]
    fn years_before_anything_was_recorded_are_unknown_and_not_zero() {
        let mut values = Vec::new();
        for season in 2020..2024 {
            let (value, qualifier, labs, readings) = (40.0, None, vec![], vec![]);
            values.push(crate::trend::SeasonValue { season, value, qualifier, labs, readings });
        }
        let series = crate::trend::Series { key: crate::trend::sample_key(), values };
        let facts = SeriesFacts {
            trend: crate::trend::trend(&series),
            series,
            current: true,
            context: Default::default(),
            levels: vec![],
            also: vec![],
            silent: vec![],
            crossing: None,
            change: None,
            change_sentence: None,
            expected_change: None,
            early_word: None,
            removal_word: None,
            lab_shifts: vec![],
        };
        let settings = SiteSettings { clippings: Some(Clippings::Removed), ..SiteSettings::default() };
        let on = jiff::civil::date(2022, 5, 1);
        let down = [crate::plan::application::sample(on, (20.0, 10.0, 0.0), 5.0)];
        let (rows, own) = ledger(&Site::default(), &settings, &facts, &down).unwrap();
        let of = |year: i16| rows.iter().find(|row| row.year == year).unwrap();
        assert_eq!((of(2021).applied_lb_per_acre, of(2021).balance_lb_per_acre), (None, None));
        // 0.5 lb P2O5 put down, 1 lb N carried off a quarter of a lb of it; both times 43.56.
        assert!(of(2022).balance_lb_per_acre.is_some_and(|lb| (lb - 0.25 * 43.56).abs() < 1e-9));
        assert_eq!((of(2023).applied_lb_per_acre, own), (Some(0.0), None));
    }

    #[test]
    fn in_autumn_the_season_of_the_sample_counts() {
        let mut rows = answering(&[40.0, -30.0, 60.0, -55.0, 10.0, 25.0], 20.0);
        // The same changes, one year later balances: sampled after the season they answer their own year.
        for row in rows.iter_mut().skip(1) {
            row.test_change_mg_per_kg = row.balance_lb_per_acre.map(|balance| balance / 20.0);
        }
        let own = buffering(&rows, Method::BrayP1, true).unwrap().unwrap();
        assert!((own.lb_oxide_per_mg_per_kg - 20.0).abs() < 1e-9);
    }
}
