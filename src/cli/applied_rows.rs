//! What went down, row by row: a row becomes an application, or a sentence with file, line and column.

use super::assessed::find_site;
use super::context::Context;
use crate::history::{Filter, History};
use crate::plan::application::{AmountUnit, ApplicationError};
use crate::plan::nutrients::Nutrients;
use crate::plan::{Application, Product, Put};
use crate::soil::site::WHOLE;
use anyhow::{anyhow, bail};
use csv::{DeserializeErrorKind, StringRecord};
use jiff::civil::Date;
use serde::Deserialize;

/// One application as it is told, by its column names in a file.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Row {
    pub(super) site: String,
    pub(super) zone: Option<String>,
    pub(super) date: String,
    pub(super) product: Option<String>,
    pub(super) analysis: Option<String>,
    pub(super) amount: f64,
    pub(super) unit: String,
    pub(super) area_ft2: Option<f64>,
    pub(super) who: Option<String>,
    pub(super) note: Option<String>,
}

/// The columns every file needs.
const NEEDED: [&str; 4] = ["site", "date", "amount", "unit"];

/// The columns a file may have besides.
const OTHERS: [&str; 6] = ["zone", "product", "analysis", "area_ft2", "who", "note"];

/// What is wrong with a row, and in which column.
#[derive(Debug, thiserror::Error)]
#[error("{what}")]
pub(super) struct Wrong {
    column: &'static str,
    what: anyhow::Error,
}

fn wrong(column: &'static str, what: impl Into<anyhow::Error>) -> Wrong {
    Wrong { column, what: what.into() }
}

/// The unit of an amount, or the sentence which there are.
pub(super) fn unit(text: &str) -> Result<AmountUnit, String> {
    AmountUnit::from_id(text.trim()).ok_or_else(|| {
        let all: Vec<&str> = AmountUnit::ALL.iter().map(|unit| unit.id()).collect();
        format!("one of {}", all.join(", "))
    })
}

/// All applications of a file, or the first thing that is wrong with it.
///
/// # Errors
/// A sentence that begins with `file:line:column`.
pub(super) fn read_rows(
    context: &Context,
    history: &History,
    bytes: &[u8],
    file: &str,
) -> anyhow::Result<Vec<Application>> {
    let products = context.products()?;
    let mut reader = csv::ReaderBuilder::new().trim(csv::Trim::All).from_reader(bytes);
    let headers = reader.headers().map_err(|error| anyhow!("{file}:1:1: {}", plain(&error)))?.clone();
    for (at, name) in headers.iter().enumerate() {
        if !NEEDED.contains(&name) && !OTHERS.contains(&name) {
            let at = at + 1;
            let all = [&NEEDED[..], &OTHERS[..]].concat().join(", ");
            bail!("{file}:1:{at}: there is no column {name:?}: the columns are {all}");
        }
    }
    if let Some(name) = NEEDED.iter().find(|name| !headers.iter().any(|found| found == **name)) {
        bail!("{file}:1:{}: the column {name} is missing", headers.len() + 1);
    }
    let mut all = Vec::new();
    for record in reader.records() {
        let record = record.map_err(|error| {
            anyhow!("{file}:{}:1: {}", error.position().map_or(1, csv::Position::line), plain(&error))
        })?;
        let line = record.position().map_or(0, csv::Position::line);
        let row: Row = record.deserialize(Some(&headers)).map_err(|error| {
            let (at, name) = field(&error, &headers, &record);
            anyhow!("{file}:{line}:{at}: {name} {}", plain(&error))
        })?;
        all.push(worked_out(context, history, row, &products).map_err(|wrong| {
            let at = headers.iter().position(|name| name == wrong.column).map_or(1, |at| at + 1);
            anyhow!("{file}:{line}:{at}: {:#}", wrong.what)
        })?);
    }
    Ok(all)
}

/// Number, from 1, and name with content of the cell a CSV error speaks of.
fn field(error: &csv::Error, headers: &StringRecord, record: &StringRecord) -> (usize, String) {
    let at = match error.kind() {
        csv::ErrorKind::Deserialize { err, .. } => err.field().and_then(|at| usize::try_from(at).ok()),
        _ => None,
    };
    let at = at.unwrap_or(0);
    let name = headers.get(at).unwrap_or("the row");
    (at + 1, format!("{name} is {:?}:", record.get(at).unwrap_or_default()))
}

/// What a CSV error says without its own word on the place.
fn plain(error: &csv::Error) -> String {
    match error.kind() {
        csv::ErrorKind::Deserialize { err, .. } => match err.kind() {
            DeserializeErrorKind::ParseFloat(_) => "write a number, for example 2.5".to_owned(),
            kind => kind.to_string(),
        },
        csv::ErrorKind::UnequalLengths { expected_len, len, .. } => {
            format!("the line has {len} cells and the head {expected_len}")
        }
        csv::ErrorKind::Utf8 { .. } => "the line is no UTF-8 text: save the file as UTF-8".to_owned(),
        _ => error.to_string(),
    }
}

/// The application a row tells of.
///
/// # Errors
/// The column and a sentence on what is not known or cannot be.
pub(super) fn worked_out(
    context: &Context,
    history: &History,
    row: Row,
    products: &[Product],
) -> Result<Application, Wrong> {
    let site = find_site(history, &row.site).map_err(|what| wrong("site", what))?;
    let on: Date = row.date.trim().parse().map_err(|_| {
        wrong("date", anyhow!("{:?} is no day: write it as 2026-05-04, year, month, day", row.date))
    })?;
    if on > context.today {
        return Err(wrong("date", anyhow!("{on} lies ahead: only what went down is recorded")));
    }
    if row.area_ft2.is_some_and(|area| !(area.is_finite() && area > 0.0)) {
        return Err(wrong("area_ft2", anyhow!("the area must be above 0")));
    }
    let settings = context.site_settings(&site.id);
    let zone = row.zone.filter(|zone| !zone.is_empty()).unwrap_or_else(|| WHOLE.to_owned());
    if zone != WHOLE && !settings.zones_ft2.contains_key(&zone) {
        let rows =
            history.readings(&Filter::counting(&site.id)).map_err(|error| wrong("zone", anyhow!(error)))?;
        if !rows.iter().any(|reading| reading.zone == zone) {
            let what = anyhow!("{} has no zone {zone:?}: leave the zone out for the whole site", site.id);
            return Err(wrong("zone", what));
        }
    }
    let area = row.area_ft2.or_else(|| match zone.as_str() {
        WHOLE => settings.area_ft2.or(site.area_ft2),
        zone => settings.zones_ft2.get(zone).copied(),
    });
    let unit =
        unit(&row.unit).map_err(|why| wrong("unit", anyhow!("the unit {:?} must be {why}", row.unit)))?;
    let mut put = Put {
        site: site.id,
        zone,
        on,
        product: None,
        percent: Nutrients::default(),
        slow_share: 0.0,
        density_lb_per_gal: None,
        amount: row.amount,
        unit,
        area_ft2: area,
        who: row.who,
        note: row.note,
    };
    let named = row.product.filter(|name| !name.is_empty());
    let known = named
        .as_deref()
        .and_then(|name| products.iter().find(|product| product.name.eq_ignore_ascii_case(name)));
    match (known, row.analysis.filter(|text| !text.is_empty())) {
        (Some(product), _) => put = put.of(product),
        (None, Some(text)) => {
            put.percent = Nutrients::from_grade(&text).ok_or_else(|| {
                wrong("analysis", anyhow!("{text:?} is no analysis: write N-P2O5-K2O, for example 16-4-8"))
            })?;
            put.product = named;
        }
        (None, None) => {
            return Err(wrong(
                "product",
                anyhow!(
                    "the product {:?} is not in the products file: add it there, or give an analysis",
                    named.unwrap_or_default()
                ),
            ));
        }
    }
    put.worked_out(0).map_err(|error| {
        let column = match error {
            ApplicationError::NoArea => "area_ft2",
            ApplicationError::NoDensity => "product",
            ApplicationError::NoAnalysis => "analysis",
            ApplicationError::NoAmount => "amount",
        };
        wrong(column, error)
    })
}
