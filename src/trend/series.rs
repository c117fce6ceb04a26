//! Readings become series: what may be compared over the years and nothing else.

use super::layer::Layers;
use super::rules::TrendRules;
use super::season_value::{Counted, lab_name, of_season};
use super::{Series, SeriesKey};
use crate::soil::{Analyte, Basis, Method, ReadingRow, Unit};
use std::collections::BTreeMap;

/// The series of all sites in the order of their keys; the order of the readings plays no part.
///
/// Only accepted and corrected readings with a site and a season count. A converted value never enters: a series is
/// one analyte by one method. `unstated` is a method of its own for every laboratory (and for readings whose
/// laboratory is not named either).
pub fn build(readings: &[ReadingRow], rules: &TrendRules) -> Vec<Series> {
    let counting: Vec<(i16, &ReadingRow)> = readings
        .iter()
        .filter(|row| row.status.counts() && !row.site.is_empty() && row.value.is_finite())
        .filter_map(|row| row.season.map(|season| (season, row)))
        .collect();

    let mut sampled: BTreeMap<(&str, &str), Vec<(i16, (f64, f64))>> = BTreeMap::new();
    for &(season, row) in &counting {
        let of_zone = sampled.entry((&row.site, &row.zone)).or_default();
        of_zone.extend(depth_cm(row).map(|depth| (season, depth)));
    }
    let layers: BTreeMap<_, Layers> = sampled
        .into_iter()
        .map(|(zone, depths)| (zone, Layers::new(depths, rules.same_layer_within_cm)))
        .collect();

    let mut groups: BTreeMap<SeriesKey, BTreeMap<i16, Vec<Counted>>> = BTreeMap::new();
    for (season, row) in counting {
        let layer = layers.get(&(row.site.as_str(), row.zone.as_str())).zip(depth_cm(row));
        let key = SeriesKey {
            site: row.site.clone(),
            zone: row.zone.clone(),
            analyte: row.analyte,
            method: row.method,
            lab: (row.method == Method::Unstated).then(|| row.lab.as_deref().map(same_lab)).flatten(),
            basis: basis(row.analyte, row.basis),
            depth_cm: layer.and_then(|(layers, depth)| layers.of(depth)),
        };
        groups.entry(key).or_default().entry(season).or_default().push(row.into());
    }
    groups
        .into_iter()
        .map(|(key, seasons)| Series {
            key,
            values: seasons.into_iter().filter_map(|(season, rows)| of_season(season, &rows)).collect(),
        })
        .collect()
}

/// The sampled layer in centimetres; one printed edge alone is the lower one, counted from the surface.
fn depth_cm(row: &ReadingRow) -> Option<(f64, f64)> {
    layer_cm(row.depth_top_cm, row.depth_bottom_cm)
}

pub(super) fn layer_cm(top_cm: Option<f64>, bottom_cm: Option<f64>) -> Option<(f64, f64)> {
    let bottom = bottom_cm.filter(|cm| cm.is_finite())?;
    Some((top_cm.filter(|cm| cm.is_finite()).unwrap_or(0.0), bottom))
}

/// Mass or volume. A reading in a unit per mass whose basis nobody noted is a mass reading by that unit.
pub(super) fn basis(analyte: Analyte, noted: Option<Basis>) -> Option<Basis> {
    let by_mass = matches!(analyte.unit(), Unit::MgPerKg | Unit::CentimolePerKg);
    noted.or(by_mass.then_some(Basis::Mass))
}

/// The word by which a laboratory is the same one: it writes its name in capitals one year and not the next.
pub(super) fn same_lab(printed: &str) -> String {
    lab_name(printed).to_lowercase()
}

/// A plain reading to build test readings from.
#[cfg(test)]
pub(crate) fn sample_row() -> ReadingRow {
    ReadingRow {
        id: 1,
        site: "north".to_owned(),
        zone: "whole".to_owned(),
        client: None,
        sample_label: "North".to_owned(),
        lab_sample: None,
        report: None,
        lab: Some("Alder Soil Laboratory".to_owned()),
        sampled_on: None,
        received_on: None,
        reported_on: None,
        season: Some(2021),
        depth_top_cm: Some(0.0),
        depth_bottom_cm: Some(15.24),
        analyte: crate::soil::Analyte::Phosphorus,
        method: Method::BrayP1,
        value: 30.0,
        basis: Some(Basis::Mass),
        qualifier: None,
        raw_value: "30".to_owned(),
        raw_unit: "ppm".to_owned(),
        status: crate::soil::Status::Accepted,
        doubt: None,
        source_file: "a.csv".to_owned(),
        source_sha256: String::new(),
        place: None,
    }
}

/// Any reading of a zone, for property tests.
#[cfg(test)]
pub(crate) fn any_row() -> impl proptest::strategy::Strategy<Value = ReadingRow> {
    use crate::soil::Qualifier;
    use proptest::prelude::*;
    let choice = (
        2018..2024i16,
        prop::sample::select(vec![Method::BrayP1, Method::Olsen, Method::Unstated]),
        prop::sample::select(vec![Some(10.0), Some(15.0), Some(15.24), Some(17.0), Some(18.5), None]),
        prop::sample::select(vec![None, Some("Alder"), Some("ALDER"), Some("Birch")]),
        prop::option::weighted(0.2, prop::sample::select(vec![Qualifier::Below, Qualifier::Above])),
        0..40u32,
    );
    choice.prop_map(|(season, method, bottom, lab, qualifier, value)| ReadingRow {
        season: Some(season),
        method,
        depth_bottom_cm: bottom,
        lab: lab.map(str::to_owned),
        qualifier,
        value: f64::from(value) / 4.0,
        analyte: Analyte::Phosphorus,
        ..sample_row()
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::soil::Status;
    use proptest::prelude::*;

    fn build_all(rows: &[ReadingRow]) -> Vec<Series> {
        build(rows, &TrendRules::built_in().unwrap())
    }

    fn of(season: i16, method: Method, value: f64) -> ReadingRow {
        ReadingRow { id: i64::from(season), season: Some(season), method, value, ..sample_row() }
    }

    #[test]
    fn a_change_of_extractant_starts_another_series() {
        // Cornell CCA material PO 17: no history over different extractants.
        let rows = [
            of(2021, Method::BrayP1, 25.0),
            of(2022, Method::BrayP1, 24.0),
            of(2023, Method::Mehlich3, 34.0),
        ];
        let series = build_all(&rows);
        assert_eq!(series.iter().map(|s| s.values.len()).collect::<Vec<_>>(), [1, 2]);
    }

    #[test]
    fn held_rejected_homeless_and_timeless_readings_do_not_count() {
        let rows = [
            ReadingRow { status: Status::Held, ..sample_row() },
            ReadingRow { status: Status::Rejected, ..sample_row() },
            ReadingRow { site: String::new(), ..sample_row() },
            ReadingRow { season: None, ..sample_row() },
            ReadingRow { value: f64::NAN, ..sample_row() },
        ];
        assert_eq!(build_all(&rows), []);
        assert_eq!(build_all(&[ReadingRow { status: Status::Corrected, ..sample_row() }]).len(), 1);
    }

    #[test]
    fn an_unstated_method_is_comparable_within_its_laboratory_only() {
        let lab = |season, lab: Option<&str>| ReadingRow {
            lab: lab.map(str::to_owned),
            ..of(season, Method::Unstated, 30.0)
        };
        let rows = [
            lab(2020, Some("Alder  Soil")),
            lab(2021, Some("ALDER SOIL")),
            lab(2022, Some("Birch")),
            lab(2023, None),
        ];
        let lengths: Vec<_> = build_all(&rows).iter().map(|s| (s.key.lab.clone(), s.values.len())).collect();
        assert_eq!(lengths, [(None, 1), (Some("alder soil".to_owned()), 2), (Some("birch".to_owned()), 1)]);
        // A stated method goes on through a change of laboratory.
        let rows = [of(2020, Method::Olsen, 20.0), ReadingRow { lab: None, ..of(2021, Method::Olsen, 21.0) }];
        assert_eq!(build_all(&rows).len(), 1);
    }

    #[test]
    fn volume_never_joins_mass_and_an_unnoted_basis_is_mass_where_the_unit_says_so() {
        let rows = [
            of(2020, Method::Olsen, 20.0),
            ReadingRow { basis: None, ..of(2021, Method::Olsen, 21.0) },
            ReadingRow { basis: Some(Basis::Volume), ..of(2022, Method::Olsen, 22.0) },
        ];
        assert_eq!(build_all(&rows).iter().map(|s| s.values.len()).collect::<Vec<_>>(), [2, 1]);
    }

    #[test]
    fn depth_splits_and_zones_do_not_share() {
        let rows = [
            of(2020, Method::Olsen, 20.0),
            ReadingRow { depth_bottom_cm: Some(15.0), ..of(2021, Method::Olsen, 21.0) },
            ReadingRow { depth_bottom_cm: Some(10.0), ..of(2022, Method::Olsen, 22.0) },
            ReadingRow { depth_bottom_cm: None, ..of(2022, Method::Olsen, 22.0) },
            ReadingRow { zone: "back".to_owned(), ..of(2022, Method::Olsen, 22.0) },
        ];
        let found: Vec<_> = build_all(&rows).iter().map(|s| (s.key.depth_cm, s.values.len())).collect();
        assert_eq!(found, [(Some((0, 15)), 1), (None, 1), (Some((0, 10)), 1), (Some((0, 15)), 2)]);
    }

    proptest! {
        #[test]
        fn the_order_of_the_readings_plays_no_part(
            (rows, shuffled) in prop::collection::vec(any_row(), 0..25)
                .prop_map(|mut rows| { (1..).zip(&mut rows).for_each(|(id, row)| row.id = id); rows })
                .prop_flat_map(|rows| (Just(rows.clone()), Just(rows).prop_shuffle()))
        ) {
            let series = build_all(&rows);
            prop_assert_eq!(&series, &build_all(&shuffled));
            let placed: usize = series.iter().flat_map(|s| &s.values).map(|v| v.readings.len()).sum();
            prop_assert_eq!(placed, rows.len());
            prop_assert!(series.iter().all(|s| s.values.is_sorted_by_key(|v| v.season)));
        }
    }
}
