//! Readings of many sites as columns: what series are built from in bulk.
//!
//! Words are kept once and stand in the columns as numbers, so that a reading costs some tens of bytes.

use super::layer::{Edges, edges};
use super::series::{basis, layer_cm, same_lab};
use crate::soil::{Analyte, Basis, Method, Qualifier, ReadingRow, Status};
use jiff::civil::{Date, date};
use polars::prelude::{Column, DataFrame, PolarsResult};
use std::collections::HashMap;

/// One reading on its way into the columns.
#[derive(Debug, Clone, Copy)]
pub struct ColumnRow<'a> {
    /// Key in the store.
    pub id: i64,
    /// Site id.
    pub site: &'a str,
    /// Zone.
    pub zone: &'a str,
    /// The laboratory as printed.
    pub lab: Option<&'a str>,
    /// Day of sampling, else of receipt, else of the report.
    pub day: Option<Date>,
    /// The year it counts for.
    pub season: Option<i16>,
    /// Upper edge of the sampled layer, cm.
    pub depth_top_cm: Option<f64>,
    /// Lower edge of the sampled layer, cm.
    pub depth_bottom_cm: Option<f64>,
    /// What.
    pub analyte: Analyte,
    /// How.
    pub method: Method,
    /// Canonical unit.
    pub value: f64,
    /// Mass or volume.
    pub basis: Option<Basis>,
    /// Below or above the laboratory's range.
    pub qualifier: Option<Qualifier>,
    /// Where it stands with the keeper.
    pub status: Status,
}

impl<'a> From<&'a ReadingRow> for ColumnRow<'a> {
    fn from(row: &'a ReadingRow) -> Self {
        Self {
            id: row.id,
            site: &row.site,
            zone: &row.zone,
            lab: row.lab.as_deref(),
            day: row.sampled_on.or(row.received_on).or(row.reported_on),
            season: row.season,
            depth_top_cm: row.depth_top_cm,
            depth_bottom_cm: row.depth_bottom_cm,
            analyte: row.analyte,
            method: row.method,
            value: row.value,
            basis: row.basis,
            qualifier: row.qualifier,
            status: row.status,
        }
    }
}

/// The day a reading was sampled on as far as that is known: a season without a day ends with its year.
pub fn known_day(printed: Option<Date>, season: Option<i16>) -> Option<Date> {
    printed.or_else(|| season.filter(|year| (1..=9999).contains(year)).map(|year| date(year, 12, 31)))
}

/// Words met so far, each with a number.
#[derive(Debug, Clone, Default)]
pub(super) struct Words {
    numbers: HashMap<String, u32>,
    words: Vec<String>,
}

impl Words {
    fn number(&mut self, word: &str) -> u32 {
        if let Some(number) = self.numbers.get(word) {
            return *number;
        }
        let number = self.words.len() as u32;
        self.numbers.insert(word.to_owned(), number);
        self.words.push(word.to_owned());
        number
    }

    /// The word of a number; empty for one not given out.
    pub(super) fn word(&self, number: u32) -> &str {
        self.words.get(number as usize).map_or("", String::as_str)
    }
}

/// Readings as columns.
#[derive(Debug, Clone, Default)]
pub struct ReadingColumns {
    /// Site ids and zones.
    pub(super) words: Words,
    /// Laboratories as printed, and the word by which each is the same one.
    pub(super) labs: Words,
    same: Vec<Option<u32>>,
    id: Vec<i64>,
    site: Vec<u32>,
    zone: Vec<u32>,
    lab: Vec<Option<u32>>,
    same_lab: Vec<Option<u32>>,
    day: Vec<Option<i32>>,
    season: Vec<Option<i32>>,
    top: Vec<Option<i64>>,
    bottom: Vec<Option<i64>>,
    analyte: Vec<u32>,
    method: Vec<u32>,
    basis: Vec<Option<u32>>,
    qualifier: Vec<Option<u32>>,
    value: Vec<f64>,
    counts: Vec<bool>,
}

impl ReadingColumns {
    /// Adds a reading. Rejected ones, and those without a site, are left out.
    pub fn push(&mut self, row: &ColumnRow) {
        if row.status == Status::Rejected || row.site.is_empty() {
            return;
        }
        let lab = row.lab.map(|printed| self.labs.number(printed));
        let same = lab.filter(|_| row.method == Method::Unstated).map(|lab| self.same_as(lab));
        let depth: Option<Edges> = layer_cm(row.depth_top_cm, row.depth_bottom_cm).map(edges);
        self.id.push(row.id);
        self.site.push(self.words.number(row.site));
        self.zone.push(self.words.number(row.zone));
        self.lab.push(lab);
        self.same_lab.push(same);
        self.day.push(known_day(row.day, row.season).map(number_of));
        self.season.push(row.season.map(i32::from));
        self.top.push(depth.map(|edges| edges.0));
        self.bottom.push(depth.map(|edges| edges.1));
        self.analyte.push(row.analyte as u32);
        self.method.push(row.method as u32);
        self.basis.push(basis(row.analyte, row.basis).map(|basis| basis as u32));
        self.qualifier.push(row.qualifier.map(|qualifier| qualifier as u32));
        self.value.push(row.value);
        self.counts.push(row.status.counts() && row.season.is_some() && row.value.is_finite());
    }

    /// Readings in the columns.
    pub fn len(&self) -> usize {
        self.id.len()
    }

    /// True without any.
    pub fn is_empty(&self) -> bool {
        self.id.is_empty()
    }

    fn same_as(&mut self, lab: u32) -> u32 {
        let at = lab as usize;
        if let Some(Some(known)) = self.same.get(at) {
            return *known;
        }
        let word = same_lab(self.labs.word(lab));
        let number = self.labs.number(&word);
        if self.same.len() <= at {
            self.same.resize(at + 1, None);
        }
        if let Some(place) = self.same.get_mut(at) {
            *place = Some(number);
        }
        number
    }

    /// The columns as a frame, with the words and the laboratories behind the numbers in them.
    pub(super) fn into_frame(self) -> PolarsResult<(DataFrame, Words, Words)> {
        let height = self.id.len();
        let columns = vec![
            Column::new("id".into(), self.id),
            Column::new("site".into(), self.site),
            Column::new("zone".into(), self.zone),
            Column::new("lab".into(), self.lab),
            Column::new("same_lab".into(), self.same_lab),
            Column::new("day".into(), self.day),
            Column::new("season".into(), self.season),
            Column::new("top".into(), self.top),
            Column::new("bottom".into(), self.bottom),
            Column::new("analyte".into(), self.analyte),
            Column::new("method".into(), self.method),
            Column::new("basis".into(), self.basis),
            Column::new("qualifier".into(), self.qualifier),
            Column::new("value".into(), self.value),
            Column::new("counts".into(), self.counts),
        ];
        Ok((DataFrame::new(height, columns)?, self.words, self.labs))
    }
}

/// A day as a whole number in the order of days: year, month, day in decimal places.
fn number_of(day: Date) -> i32 {
    i32::from(day.year()) * 10_000 + i32::from(day.month()) * 100 + i32::from(day.day())
}

/// The day of such a number.
pub(super) fn day_of(number: i32) -> Option<Date> {
    let part = |n: i32| i8::try_from(n % 100).ok();
    Date::new(i16::try_from(number / 10_000).ok()?, part(number / 100)?, part(number)?).ok()
}
