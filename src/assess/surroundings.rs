//! What else is known of the soil a value comes from: pH, CEC, salts of the same zone.

use crate::guide::{Context, calcareous};
use crate::soil::table::TableError;
use crate::soil::{Analyte, Basis, Method, Site};
use crate::trend::Series;
use crate::trend::theil_sen::median;
use std::collections::BTreeMap;

/// What else is known of the soil of a zone at a season: the nearest value at or before it, else the first after.
pub(super) fn context(site: &Site, zone: &str, season: i16, all: &[Series]) -> Result<Context, TableError> {
    let near = |wanted: &dyn Fn(&Series) -> bool| -> Option<f64> {
        let mut by_season: BTreeMap<i16, Vec<f64>> = BTreeMap::new();
        for one in all.iter().filter(|one| one.key.zone == zone && wanted(one)) {
            for value in &one.values {
                by_season.entry(value.season).or_default().push(value.value);
            }
        }
        let before = by_season.range(..=season).next_back();
        before.or_else(|| by_season.iter().next()).and_then(|(_, values)| median(values))
    };
    let water = |one: &Series| {
        one.key.analyte == Analyte::Ph
            && !matches!(one.key.method, Method::Cacl2 | Method::Kcl | Method::Unstated)
    };
    let other = |one: &Series| one.key.analyte == Analyte::Ph && !water(one);
    let mut context = Context { water_ph: near(&water), ph_at_least: near(&other), ..Context::default() };
    context.salts_known = near(&|one| one.key.analyte == Analyte::SolubleSalts).is_some();
    // The CEC of calcareous soil is inflated and decides nothing (rule 28).
    if calcareous(site, &context)? != Some(true) {
        context.cec = near(&|one| one.key.analyte == Analyte::Cec && one.key.basis != Some(Basis::Volume));
    }
    Ok(context)
}
