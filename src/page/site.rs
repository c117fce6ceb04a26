//! One site: charts, values season by season, flags, what to leave alone.

use super::look::{Frame, encoded, show};
use super::{Shared, Trouble};
use crate::assess::Assessment;
use crate::assessed::assessment;
use crate::chart;
use crate::flag::SeriesFacts;
use crate::plan::Application;
use crate::plan::nutrients::Nutrient;
use crate::soil::value::rounded;
use askama::Template;
use axum::extract::{Path, State};
use axum::response::Response;
use jiff::civil::Date;
use std::collections::VecDeque;
use std::sync::{Arc, Mutex, PoisonError};

/// Values of a zone: series down, seasons across.
struct Zone {
    name: String,
    seasons: Vec<i16>,
    rows: Vec<Row>,
    charts: Vec<Chart>,
}

struct Row {
    analyte: &'static str,
    method: &'static str,
    unit: &'static str,
    values: Vec<Option<Value>>,
    class: String,
    trend: String,
}

struct Value {
    text: String,
    /// A reading it comes from.
    reading: Option<i64>,
}

struct Chart {
    words: String,
    wide: String,
    narrow: String,
}

#[derive(Template)]
#[template(path = "site.html")]
struct Site<'a> {
    frame: Frame,
    name: &'a str,
    assessment: &'a Assessment,
    zones: Vec<Zone>,
    recommended: Vec<(String, String)>,
    down: Vec<Down>,
}

/// Something that went down.
struct Down {
    on: String,
    zone: String,
    what: String,
    amount: String,
    /// Nitrogen, phosphate and potash, lb/1000 ft2.
    supplied: [String; 3],
    who: String,
}

fn down(one: &Application) -> Down {
    let supplied = |n| {
        let lb = one.supplied_lb_per_1000_ft2.get(n);
        if lb > 0.0 { format!("{lb:.2}") } else { String::new() }
    };
    Down {
        on: one.put.on.to_string(),
        zone: one.put.zone.clone(),
        what: one.what(),
        amount: format!("{} {}", one.put.amount, one.put.unit),
        supplied: [Nutrient::N, Nutrient::P2o5, Nutrient::K2o].map(supplied),
        who: one.put.who.clone().unwrap_or_default(),
    }
}

/// `GET /sites/{id}`
///
/// # Errors
/// No such site, or what the store says.
pub async fn page(
    State(web): State<Shared>,
    frame: Frame,
    Path(id): Path<String>,
) -> Result<Response, Trouble> {
    let found = assessed(&web, id).await?;
    let id = found.assessment.site.id.clone();
    let (mut put, advice) = web
        .store
        .read(move |history| Ok((history.applications(Some(&id))?, history.recommended(&id)?)))
        .await?;
    put.reverse();
    let version = format!("change={}&settings={:x}", found.change, found.settings);
    let assessment = &*found.assessment;
    let zones =
        chart::zones(assessment).into_iter().map(|zone| zone_of(assessment, zone, &version)).collect();
    let site = &assessment.site;
    let name = if site.name.is_empty() { &site.id } else { &site.name };
    let recommended = advice
        .iter()
        .flat_map(|one| one.sentences().into_iter().map(|sentence| (one.zone.clone(), sentence)))
        .collect();
    show(&Site { frame, name, assessment, zones, recommended, down: put.iter().map(down).collect() })
}

/// A site as it stands after a change.
#[derive(Debug, Clone)]
pub struct Found {
    /// What is said of it.
    pub assessment: Arc<Assessment>,
    /// The number of its last change; addresses of what is drawn from it carry it, so that none is ever old.
    pub change: i64,
    /// A number of the settings it was assessed under; it goes into addresses as well.
    pub settings: u64,
}

/// The sites looked at last: a page and its charts are made from one assessment.
#[derive(Debug, Default)]
pub struct Recent(Mutex<VecDeque<Found>>);

/// Sites kept.
const RECENT: usize = 64;

impl Recent {
    /// The site after this very change, for this day and under these settings, where it is kept.
    fn find(&self, id: &str, change: i64, settings: u64, today: Date) -> Option<Found> {
        let kept = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        let fits = |f: &&Found| {
            (f.change, f.settings) == (change, settings)
                && f.assessment.site.id == id
                && f.assessment.today == today
        };
        kept.iter().find(fits).cloned()
    }

    fn keep(&self, found: &Found) {
        let mut kept = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        kept.retain(|f| f.assessment.site.id != found.assessment.site.id);
        kept.push_back(found.clone());
        if kept.len() > RECENT {
            kept.pop_front();
        }
    }
}

/// The site asked for, as the history has it now: what is kept counts only for the number of its last change.
///
/// # Errors
/// No such site, or what the store says.
pub async fn assessed(web: &Shared, id: String) -> Result<Found, Trouble> {
    let (web, today) = (Arc::clone(web), web.today());
    let store = web.store.clone();
    store
        .read(move |history| {
            let site = history.site(&id)?.ok_or_else(|| Trouble::no_such("site"))?;
            // Read before the readings: a change in between is seen the next time.
            let change = history.change_of(&site.id)?.unwrap_or_default();
            let (settings, mark) = web.live.both();
            if let Some(found) = web.recent.find(&site.id, change, mark, today) {
                return Ok(found);
            }
            let made = assessment(history, &settings, site, today)?;
            let found = Found { assessment: Arc::new(made), change, settings: mark };
            web.recent.keep(&found);
            Ok(found)
        })
        .await
}

fn zone_of(assessment: &Assessment, zone: String, version: &str) -> Zone {
    let series: Vec<&SeriesFacts> = assessment.series.iter().filter(|f| f.series.key.zone == zone).collect();
    let mut seasons: Vec<i16> =
        series.iter().flat_map(|f| f.series.values.iter().map(|v| v.season)).collect();
    seasons.sort_unstable();
    seasons.dedup();
    // The newest first: on a phone it is the one that is seen.
    seasons.reverse();
    let rows = series.iter().map(|facts| row(facts, &seasons)).collect();
    let mut charts = vec![("main", "pH, organic matter, phosphorus and potassium over the years".to_owned())];
    let mut analytes: Vec<_> = series.iter().map(|f| f.analyte()).collect();
    analytes.sort_unstable();
    analytes.dedup();
    charts.extend(analytes.iter().map(|a| (a.id(), format!("{} over the years", a.name()))));
    let address = |file: &str, width: &str| {
        let (id, zone) = (encoded(&assessment.site.id), encoded(&zone));
        format!("/sites/{id}/chart/{file}.svg?zone={zone}&width={width}&{version}")
    };
    let charts = charts
        .into_iter()
        .map(|(file, words)| Chart { words, wide: address(file, "wide"), narrow: address(file, "narrow") })
        .collect();
    Zone { name: zone, seasons, rows, charts }
}

fn row(facts: &SeriesFacts, seasons: &[i16]) -> Row {
    let values = seasons.iter().map(|season| {
        let value = facts.series.values.iter().find(|v| v.season == *season)?;
        Some(Value {
            text: format!("{}{}", value.qualifier.map_or("", |q| q.id()), rounded(value.value)),
            reading: value.readings.first().copied(),
        })
    });
    let slope = facts.trend.slope.filter(|_| facts.trend.slope_bounds.is_some());
    Row {
        analyte: facts.analyte().name(),
        method: facts.method().id(),
        unit: facts.analyte().unit().suffix(),
        values: values.collect(),
        class: facts.level().map(|l| l.class.clone()).unwrap_or_default(),
        trend: slope
            .map_or_else(String::new, |s| format!("{}{} a year", if s > 0.0 { "+" } else { "" }, rounded(s))),
    }
}
