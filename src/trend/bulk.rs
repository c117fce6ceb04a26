//! The series of many sites at once, column by column.
//!
//! The frame joins each reading to its layer, groups and orders them; what a season, a slope or a test is stays with the
//! pure functions. The result is that of [`super::series::build`], reading for reading.

use super::columns::{ReadingColumns, Words, day_of};
use super::layer::{Edges, Layers};
use super::rules::TrendRules;
use super::season_value::{Counted, of_season};
use super::{SeasonValue, Series, SeriesKey};
use crate::soil::{Analyte, Basis, Method, Qualifier};
use jiff::civil::Date;
use polars::prelude::{
    Column, DataFrame, IntoLazy, JoinArgs, JoinType, LazyFrame, PolarsResult, SortMultipleOptions, col, len,
};
use std::collections::BTreeMap;

/// What makes a series, in the order of [`SeriesKey`].
const KEYS: [&str; 8] =
    ["site", "zone", "analyte", "method", "same_lab", "basis", "layer_top", "layer_bottom"];

/// What is in the columns of one site.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct SiteSeries {
    /// Its series in the order of their keys.
    pub series: Vec<Series>,
    /// Its zones with the latest day each was sampled on, held readings included.
    pub last_days: BTreeMap<String, Option<Date>>,
}

/// The frame could not be worked on, which is a fault of the program.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("the readings of all sites could not be put in order ({0}); please report this")]
pub struct BulkError(String);

impl From<polars::error::PolarsError> for BulkError {
    fn from(error: polars::error::PolarsError) -> Self {
        Self(error.to_string())
    }
}

/// The series of every site in the columns, by site id.
///
/// # Errors
/// A fault of the program.
pub fn build(
    readings: ReadingColumns,
    rules: &TrendRules,
) -> Result<BTreeMap<String, SiteSeries>, BulkError> {
    let mut sites: BTreeMap<String, SiteSeries> = BTreeMap::new();
    if readings.is_empty() {
        return Ok(sites);
    }
    let (frame, words, labs) = readings.into_frame()?;
    let all = frame.lazy();
    for (site, zone, day) in last_days(all.clone())? {
        let found = sites.entry(words.word(site).to_owned()).or_default();
        found.last_days.insert(words.word(zone).to_owned(), day.and_then(day_of));
    }
    let counting = all.filter(col("counts"));
    let layers = layers(counting.clone(), rules)?.lazy();
    let on = || [col("site"), col("zone"), col("top"), col("bottom")];
    let sorted = counting
        .join(layers, on(), on(), JoinArgs::new(JoinType::Left))
        .sort(KEYS.into_iter().chain(["season", "id"]).collect::<Vec<_>>(), SortMultipleOptions::default())
        .collect()?;
    let groups = sorted.clone().lazy().group_by_stable(KEYS.map(col)).agg([len().alias("n")]).collect()?;
    for series in (Sorted { words: &words, labs: &labs }).series(&sorted, &groups)? {
        if let Some(found) = sites.get_mut(&series.key.site) {
            found.series.push(series);
        }
    }
    // Words are numbered as they come; the keys are in order of the words themselves.
    sites.values_mut().for_each(|found| found.series.sort_unstable_by(|a, b| a.key.cmp(&b.key)));
    Ok(sites)
}

/// Site, zone and the latest day of each zone.
fn last_days(all: LazyFrame) -> PolarsResult<Vec<(u32, u32, Option<i32>)>> {
    let days = all.group_by([col("site"), col("zone")]).agg([col("day").max()]).collect()?;
    let (site, zone) = (whole(&days, "site")?, whole(&days, "zone")?);
    let day = days.column("day")?.i32()?.to_vec();
    Ok(site.into_iter().zip(zone).zip(day).map(|((site, zone), day)| (site, zone, day)).collect())
}

/// Every sampled depth of every zone with the layer it belongs to.
fn layers(counting: LazyFrame, rules: &TrendRules) -> PolarsResult<DataFrame> {
    let depths = counting
        .filter(col("bottom").is_not_null())
        .group_by([col("site"), col("zone"), col("top"), col("bottom")])
        .agg([col("season").min()])
        .sort(["site", "zone"], SortMultipleOptions::default())
        .collect()?;
    let (site, zone) = (whole(&depths, "site")?, whole(&depths, "zone")?);
    let season = depths.column("season")?.i32()?.to_vec();
    let (top, bottom) = (depths.column("top")?.i64()?.to_vec(), depths.column("bottom")?.i64()?.to_vec());
    let edges: Vec<Edges> = top
        .iter()
        .zip(&bottom)
        .map(|(top, bottom)| (top.unwrap_or_default(), bottom.unwrap_or_default()))
        .collect();
    let zones: Vec<(u32, u32)> = site.into_iter().zip(zone).collect();
    let (mut layer_top, mut layer_bottom) =
        (Vec::with_capacity(edges.len()), Vec::with_capacity(edges.len()));
    let mut rest = edges.as_slice();
    let mut seasons = season.as_slice();
    for of_zone in zones.chunk_by(|a, b| a == b) {
        let (here, after) = rest.split_at(of_zone.len());
        let (years, later) = seasons.split_at(of_zone.len());
        (rest, seasons) = (after, later);
        let sampled = years.iter().zip(here).map(|(year, edges)| (year.unwrap_or_default() as i16, *edges));
        let layers = Layers::of_edges(sampled, rules.same_layer_within_cm);
        for edges in here {
            let layer = layers.of_edge(*edges);
            layer_top.push(layer.map(|layer| layer.0));
            layer_bottom.push(layer.map(|layer| layer.1));
        }
    }
    depths.drop("season")?.hstack(&[
        Column::new("layer_top".into(), layer_top),
        Column::new("layer_bottom".into(), layer_bottom),
    ])
}

fn whole(frame: &DataFrame, name: &str) -> PolarsResult<Vec<u32>> {
    Ok(frame.column(name)?.u32()?.iter().flatten().collect())
}

/// Readings in the order of series, season and key, with the words behind their numbers.
struct Sorted<'a> {
    words: &'a Words,
    labs: &'a Words,
}

impl Sorted<'_> {
    /// One series a group: the next `n` readings are its own.
    fn series(&self, sorted: &DataFrame, groups: &DataFrame) -> PolarsResult<Vec<Series>> {
        let keys = self.keys(groups)?;
        let n = whole(
            &groups.clone().lazy().select([col("n").cast(polars::prelude::DataType::UInt32)]).collect()?,
            "n",
        )?;
        let season = sorted.column("season")?.i32()?.to_vec();
        let id = sorted.column("id")?.i64()?.to_vec();
        let value = sorted.column("value")?.f64()?.to_vec();
        let qualifier = sorted.column("qualifier")?.u32()?.to_vec();
        let lab = sorted.column("lab")?.u32()?.to_vec();
        let mut readings = season.into_iter().zip(id).zip(value).zip(qualifier).zip(lab).map(
            |((((season, id), value), qualifier), lab)| {
                let counted = Counted {
                    id: id.unwrap_or_default(),
                    value: value.unwrap_or(f64::NAN),
                    qualifier: qualifier.and_then(|at| Qualifier::ALL.get(at as usize).copied()),
                    lab: lab.map(|lab| self.labs.word(lab)),
                };
                (season.unwrap_or_default() as i16, counted)
            },
        );
        let mut all = Vec::with_capacity(keys.len());
        let mut own: Vec<(i16, Counted)> = Vec::new();
        for (key, n) in keys.into_iter().zip(n) {
            own.clear();
            own.extend(readings.by_ref().take(n as usize));
            let values: Vec<SeasonValue> =
                own.chunk_by(|a, b| a.0 == b.0).filter_map(of_one_season).collect();
            all.extend(key.map(|key| Series { key, values }));
        }
        Ok(all)
    }

    fn keys(&self, groups: &DataFrame) -> PolarsResult<Vec<Option<SeriesKey>>> {
        let (site, zone) = (whole(groups, "site")?, whole(groups, "zone")?);
        let (analyte, method) = (whole(groups, "analyte")?, whole(groups, "method")?);
        let lab = groups.column("same_lab")?.u32()?.to_vec();
        let basis = groups.column("basis")?.u32()?.to_vec();
        let top = groups.column("layer_top")?.i32()?.to_vec();
        let bottom = groups.column("layer_bottom")?.i32()?.to_vec();
        let words = site.into_iter().zip(zone).zip(analyte.into_iter().zip(method));
        let rest = lab.into_iter().zip(basis).zip(top.into_iter().zip(bottom));
        Ok(words
            .zip(rest)
            .map(|(((site, zone), (analyte, method)), ((lab, basis), (top, bottom)))| {
                Some(SeriesKey {
                    site: self.words.word(site).to_owned(),
                    zone: self.words.word(zone).to_owned(),
                    analyte: *Analyte::ALL.get(analyte as usize)?,
                    method: *Method::ALL.get(method as usize)?,
                    lab: lab.map(|lab| self.labs.word(lab).to_owned()),
                    basis: basis.and_then(|at| Basis::ALL.get(at as usize).copied()),
                    depth_cm: top.zip(bottom),
                })
            })
            .collect())
    }
}

fn of_one_season(readings: &[(i16, Counted)]) -> Option<SeasonValue> {
    let (season, _) = readings.first()?;
    of_season(*season, &readings.iter().map(|(_, counted)| *counted).collect::<Vec<_>>())
}

#[cfg(test)]
mod tests {
    use super::super::columns::ColumnRow;
    use super::super::series::{self, any_row};
    use super::*;
    use crate::soil::{ReadingRow, Status};
    use proptest::prelude::*;

    fn in_bulk(rows: &[ReadingRow]) -> Vec<Series> {
        let mut columns = ReadingColumns::default();
        rows.iter().for_each(|row| columns.push(&ColumnRow::from(row)));
        let found = build(columns, &TrendRules::built_in().unwrap()).unwrap();
        found.into_values().flat_map(|site| site.series).collect()
    }

    fn one_by_one(rows: &[ReadingRow]) -> Vec<Series> {
        series::build(rows, &TrendRules::built_in().unwrap())
    }

    #[test]
    fn nothing_gives_nothing() {
        assert_eq!(in_bulk(&[]), []);
    }

    #[test]
    fn what_does_not_count_still_has_a_last_day() {
        let held = ReadingRow { status: Status::Held, zone: "back".into(), ..series::sample_row() };
        let mut columns = ReadingColumns::default();
        columns.push(&ColumnRow::from(&held));
        let found = build(columns, &TrendRules::built_in().unwrap()).unwrap();
        let north = found.get("north").unwrap();
        assert_eq!(north.series, []);
        assert_eq!(north.last_days.get("back"), Some(&Some(jiff::civil::date(2021, 12, 31))));
    }

    fn any_rows() -> impl Strategy<Value = Vec<ReadingRow>> {
        let place = (
            prop::sample::select(vec!["north", "a-site", "Zo\u{eb}"]),
            prop::sample::select(vec!["whole", "back", "front"]),
            prop::sample::select(vec![Status::Accepted, Status::Corrected, Status::Held, Status::Rejected]),
            prop::option::weighted(0.9, Just(())),
            prop::sample::select(vec![None, Some(Basis::Mass), Some(Basis::Volume)]),
        );
        let row = (any_row(), place).prop_map(|(row, (site, zone, status, dated, basis))| ReadingRow {
            site: site.to_owned(),
            zone: zone.to_owned(),
            status,
            basis,
            season: row.season.filter(|_| dated.is_some()),
            ..row
        });
        prop::collection::vec(row, 0..40).prop_map(|mut rows| {
            (1..).zip(&mut rows).for_each(|(id, row)| row.id = id);
            rows
        })
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(48))]
        #[test]
        fn in_bulk_the_series_are_the_ones_built_site_by_site(rows in any_rows()) {
            prop_assert_eq!(in_bulk(&rows), one_by_one(&rows));
        }
    }
}
