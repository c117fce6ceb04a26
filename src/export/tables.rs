//! Which columns each table of the contract has, and where their values come from.

use super::{Cell, Column, Kind, Table};
use crate::assess::TrendRow;
use crate::flag::Flag;
use crate::history::DocumentRow;
use crate::soil::{Basis, Qualifier, ReadingRow, Site, Unit};
use jiff::civil::Date;

/// A column's name, what it holds, and its value in a row.
type Source<R> = (&'static str, Kind, fn(&R) -> Cell);

const READINGS: &[Source<ReadingRow>] = &[
    ("site", Kind::Text, |r| text(&r.site)),
    ("zone", Kind::Text, |r| text(&r.zone)),
    ("client", Kind::Text, |r| maybe(r.client.as_deref())),
    ("sample_label", Kind::Text, |r| text(&r.sample_label)),
    ("lab_sample", Kind::Text, |r| maybe(r.lab_sample.as_deref())),
    ("report", Kind::Text, |r| maybe(r.report.as_deref())),
    ("lab", Kind::Text, |r| maybe(r.lab.as_deref())),
    ("sampled_on", Kind::Date, |r| day(r.sampled_on)),
    ("received_on", Kind::Date, |r| day(r.received_on)),
    ("reported_on", Kind::Date, |r| day(r.reported_on)),
    ("season", Kind::Integer, |r| whole(r.season.map(i64::from))),
    ("depth_top_cm", Kind::Number, |r| number(r.depth_top_cm)),
    ("depth_bottom_cm", Kind::Number, |r| number(r.depth_bottom_cm)),
    ("analyte", Kind::Text, |r| text(r.analyte.id())),
    ("method", Kind::Text, |r| text(r.method.id())),
    ("value", Kind::Number, |r| number(Some(r.value))),
    ("unit", Kind::Text, |r| text(r.analyte.unit().id())),
    ("basis", Kind::Text, |r| maybe(r.basis.map(Basis::id))),
    ("qualifier", Kind::Text, |r| maybe(r.qualifier.map(Qualifier::id))),
    ("raw_value", Kind::Text, |r| text(&r.raw_value)),
    ("raw_unit", Kind::Text, |r| text(&r.raw_unit)),
    ("status", Kind::Text, |r| text(r.status.id())),
    ("doubt", Kind::Text, |r| maybe(r.doubt.as_deref())),
    ("source_file", Kind::Text, |r| text(&r.source_file)),
    ("source_sha256", Kind::Text, |r| text(&r.source_sha256)),
    ("source_page", Kind::Integer, |r| whole(r.place.map(|place| i64::from(place.page())))),
    ("source_box", Kind::Box, |r| r.place.map_or(Cell::None, Cell::Box)),
];

const DOCUMENTS: &[Source<DocumentRow>] = &[
    ("source_file", Kind::Text, |d| text(&d.source_file)),
    ("source_sha256", Kind::Text, |d| text(&d.source_sha256)),
    ("bytes", Kind::Integer, |d| count(d.bytes)),
    ("format", Kind::Text, |d| text(d.format.id())),
    ("outcome", Kind::Text, |d| text(d.outcome.id())),
    ("why", Kind::Text, |d| maybe(d.why.as_deref())),
    ("lab", Kind::Text, |d| maybe(d.lab.as_deref())),
    ("client", Kind::Text, |d| maybe(d.client.as_deref())),
    ("report", Kind::Text, |d| maybe(d.report.as_deref())),
    ("samples", Kind::Integer, |d| count(d.samples)),
    ("readings", Kind::Integer, |d| count(d.readings)),
    ("held_readings", Kind::Integer, |d| count(d.held_readings)),
    ("inside_of", Kind::Text, |d| maybe(d.inside_of.as_deref())),
    ("duplicate_of", Kind::Text, |d| maybe(d.duplicate_of.as_deref())),
    ("supersedes", Kind::Text, |d| maybe(d.supersedes.as_deref())),
    ("superseded_by", Kind::Text, |d| maybe(d.superseded_by.as_deref())),
    ("kept_at", Kind::Text, |d| maybe(d.kept_at.as_deref())),
];

const TRENDS: &[Source<TrendRow>] = &[
    ("site", Kind::Text, |t| text(&t.site)),
    ("zone", Kind::Text, |t| text(&t.zone)),
    ("analyte", Kind::Text, |t| text(t.analyte.id())),
    ("method", Kind::Text, |t| text(t.method.id())),
    ("unit", Kind::Text, |t| text(t.unit.id())),
    ("n", Kind::Integer, |t| whole(i64::try_from(t.n).ok())),
    ("first_season", Kind::Integer, |t| whole(Some(t.first_season.into()))),
    ("last_season", Kind::Integer, |t| whole(Some(t.last_season.into()))),
    ("last_value", Kind::Number, |t| number(Some(t.last_value))),
    ("slope_per_year", Kind::Number, |t| number(t.slope_per_year)),
    ("slope_low", Kind::Number, |t| number(t.slope_low)),
    ("slope_high", Kind::Number, |t| number(t.slope_high)),
    ("confidence", Kind::Number, |t| number(t.confidence)),
    ("mk_s", Kind::Integer, |t| whole(Some(t.mk_s))),
    ("mk_p", Kind::Number, |t| number(t.mk_p)),
    ("guide", Kind::Text, |t| maybe(t.guide.as_deref())),
    ("level", Kind::Text, |t| maybe(t.level.as_deref())),
    ("sufficient_from", Kind::Number, |t| number(t.sufficient_from)),
    ("crosses_in", Kind::Integer, |t| whole(t.crosses_in.map(i64::from))),
    ("crosses_low", Kind::Integer, |t| whole(t.crosses_low.map(i64::from))),
    ("crosses_high", Kind::Integer, |t| whole(t.crosses_high.map(i64::from))),
];

const FLAGS: &[Source<Flag>] = &[
    ("site", Kind::Text, |f| text(&f.site)),
    ("zone", Kind::Text, |f| text(&f.zone)),
    ("season", Kind::Integer, |f| whole(Some(f.season.into()))),
    ("analyte", Kind::Text, |f| maybe(f.analyte.map(crate::soil::Analyte::id))),
    ("flag", Kind::Text, |f| text(f.flag.id())),
    ("severity", Kind::Text, |f| text(f.severity.id())),
    ("value", Kind::Number, |f| number(f.value)),
    ("edge", Kind::Number, |f| number(f.edge)),
    ("unit", Kind::Text, |f| maybe(f.unit.map(Unit::id))),
    ("guide", Kind::Text, |f| maybe(f.guide.as_deref())),
    ("reason", Kind::Text, |f| text(&f.reason)),
];

/// The contract leaves these columns open; they are the roster's own words.
const SITES: &[Source<Site>] = &[
    ("site", Kind::Text, |s| text(&s.id)),
    ("name", Kind::Text, |s| text(&s.name)),
    ("client", Kind::Text, |s| maybe(s.client.as_deref())),
    ("use", Kind::Text, |s| maybe(s.use_.as_deref())),
    ("region", Kind::Text, |s| maybe(s.region.as_deref())),
    ("texture", Kind::Text, |s| maybe(s.texture.as_deref())),
    ("calcareous", Kind::Text, |s| maybe(s.calcareous.map(|yes| if yes { "yes" } else { "no" }))),
    ("area_ft2", Kind::Number, |s| number(s.area_ft2)),
    ("species", Kind::Text, |s| maybe(s.species.as_deref())),
    ("guides", Kind::Text, |s| maybe((!s.guides.is_empty()).then(|| s.guides.join(" ")).as_deref())),
    ("note", Kind::Text, |s| maybe(s.note.as_deref())),
];

/// `export readings`: one row a measured value.
pub fn readings(rows: &[ReadingRow]) -> Table {
    table(READINGS, rows)
}

/// `export documents`: one row a document.
pub fn documents(rows: &[DocumentRow]) -> Table {
    table(DOCUMENTS, rows)
}

/// `export trends`: one row a series.
pub fn trends(rows: &[TrendRow]) -> Table {
    table(TRENDS, rows)
}

/// `export flags`: one row a flag.
pub fn flags(rows: &[Flag]) -> Table {
    table(FLAGS, rows)
}

/// `export sites`: one row a site.
pub fn sites(rows: &[Site]) -> Table {
    table(SITES, rows)
}

fn table<R>(sources: &[Source<R>], rows: &[R]) -> Table {
    Table {
        columns: sources.iter().map(|(name, kind, _)| Column { name, kind: *kind }).collect(),
        rows: rows.iter().map(|row| sources.iter().map(|(_, _, cell)| cell(row)).collect()).collect(),
    }
}

fn text(text: &str) -> Cell {
    Cell::Text(text.to_owned())
}

fn maybe(value: Option<&str>) -> Cell {
    value.map_or(Cell::None, text)
}

/// None for what is no number: no format says it in the same way.
fn number(value: Option<f64>) -> Cell {
    value.filter(|value| value.is_finite()).map_or(Cell::None, Cell::Number)
}

fn whole(value: Option<i64>) -> Cell {
    value.map_or(Cell::None, Cell::Integer)
}

fn count(value: u64) -> Cell {
    whole(i64::try_from(value).ok())
}

fn day(value: Option<Date>) -> Cell {
    value.map_or(Cell::None, Cell::Date)
}
