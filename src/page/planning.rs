//! The season: one site's plan with its ledger, its letter, and what all sites together ask for, day by day.

use super::look::{Frame, show};
use super::seasons::Shown;
use super::site::assessed;
use super::{Shared, Trouble};
use crate::assess::Assessment;
use crate::plan::Plan;
use crate::plan::demand::{DayLine, Load};
use crate::plan::ledger::LedgerRow;
use crate::plan::letter::letter;
use crate::planned;
use askama::Template;
use axum::extract::{Path, Query, State};
use axum::http::header::{CONTENT_SECURITY_POLICY, CONTENT_TYPE};
use axum::response::{IntoResponse, Response};
use jiff::civil::Date;
use serde::Deserialize;
use std::sync::Arc;

/// The letter brings its own looks along and does nothing.
const LETTER_POLICY: &str =
    "default-src 'none'; style-src 'unsafe-inline'; sandbox allow-modals; frame-ancestors 'none'";

/// Lines of the day list on one page.
const DAYS: usize = 100;

/// The season that is asked for.
#[derive(Debug, Clone, Copy, Default, Deserialize)]
#[serde(default)]
pub struct Asked {
    season: Option<i16>,
}

impl Asked {
    /// The season asked for, or the one that is planned now.
    fn season(self, web: &Shared) -> Result<i16, Trouble> {
        let now = crate::plan::dates::current_season(web.today()).map_err(|e| Trouble::inside(&e))?;
        Ok(self.season.filter(|year| (1900..=9000).contains(year)).unwrap_or(now))
    }
}

#[derive(Template)]
#[template(path = "plan.html")]
struct SitePlan {
    frame: Frame,
    plan: Plan,
    ledger: Vec<LedgerRow>,
}

impl SitePlan {
    fn name(&self) -> &str {
        if self.plan.name.is_empty() { &self.plan.site } else { &self.plan.name }
    }

    /// Why each amount, each reason once.
    fn reasons(&self) -> Vec<(&'static str, &str, &str, &str)> {
        let mut told: Vec<(&'static str, &str, &str, &str)> = Vec::new();
        for one in &self.plan.applications {
            if !told.iter().any(|(_, reason, ..)| *reason == one.reason) {
                told.push((
                    one.nutrient.name(),
                    one.reason.as_str(),
                    one.source.as_str(),
                    one.rests_on.as_str(),
                ));
            }
        }
        told
    }
}

/// `GET /sites/{id}/plan`
///
/// # Errors
/// No such site; settings or products that do not fit.
pub async fn of_site(
    State(web): State<Shared>,
    frame: Frame,
    Path(id): Path<String>,
    Query(asked): Query<Asked>,
) -> Result<Response, Trouble> {
    let (_, plan) = planned_for(&web, id, asked).await?;
    // Years in which nothing went down and nothing was measured tell nothing; no word on what went down is no balance.
    let mut ledger: Vec<LedgerRow> = Vec::new();
    if plan.ledger.iter().any(|row| row.applied_lb_per_acre.is_some()) {
        let tells =
            |r: &&LedgerRow| r.applied_lb_per_acre.is_some_and(|lb| lb > 0.0) || r.test_mg_per_kg.is_some();
        ledger.extend(plan.ledger.iter().filter(tells).cloned());
    }
    show(&SitePlan { frame, plan, ledger })
}

/// `GET /sites/{id}/letter`: the client's letter, which prints to one sheet.
///
/// # Errors
/// As [`of_site`].
pub async fn letter_of_site(
    State(web): State<Shared>,
    Path(id): Path<String>,
    Query(asked): Query<Asked>,
) -> Result<Response, Trouble> {
    let (assessment, plan) = planned_for(&web, id, asked).await?;
    let charts = planned::letter_charts(&assessment).map_err(|e| Trouble::inside(&e))?;
    let settings = web.settings();
    let from = settings.plan.from.as_deref().unwrap_or_default();
    let page = letter(&assessment, &plan, from, &charts);
    Ok(([(CONTENT_TYPE, "text/html; charset=utf-8"), (CONTENT_SECURITY_POLICY, LETTER_POLICY)], page)
        .into_response())
}

async fn planned_for(web: &Shared, id: String, asked: Asked) -> Result<(Arc<Assessment>, Plan), Trouble> {
    let season = asked.season(web)?;
    let assessment = assessed(web, id).await?.assessment;
    let (home, settings, today) = (web.home.clone(), web.settings(), web.today());
    web.store
        .read(move |history| {
            let products = planned::products(&home, &settings).map_err(|e| unplanned(&e))?;
            let plan = planned::plan(history, &settings, &assessment, &products, season, today);
            Ok((assessment, plan.map_err(|e| unplanned(&e))?))
        })
        .await
}

/// What stops a plan stands in files of the home; their names and lines go to the log.
fn unplanned(cause: &anyhow::Error) -> Trouble {
    let logged = Trouble::inside(&format!("{cause:#}"));
    Trouble::new(
        logged.status,
        "No plan can be made: the settings or the file of products do not fit.",
        "Run `loamline plan --all` on the machine of the service: it says which line to change.",
    )
}

#[derive(Template)]
#[template(path = "season.html")]
struct Season {
    frame: Frame,
    season: i16,
    today: Date,
    shown: Shown,
    /// The lines of this page.
    days: Vec<DayLine>,
    /// What goes on the truck on the days of this page.
    loads: Vec<Load>,
    page: usize,
    pages: usize,
    before: Option<String>,
    after: Option<String>,
}

/// Which season, and which page of its days.
#[derive(Debug, Clone, Copy, Default, Deserialize)]
#[serde(default)]
pub struct AskedDays {
    season: Option<i16>,
    page: Option<usize>,
}

/// `GET /season`: the demand of all sites, and the day list.
///
/// # Errors
/// Settings or products that do not fit; what the store says.
pub async fn season(
    State(web): State<Shared>,
    frame: Frame,
    Query(asked): Query<AskedDays>,
) -> Result<Response, Trouble> {
    let season = Asked { season: asked.season }.season(&web)?;
    let today = web.today();
    let (home, settings) = (web.home.clone(), web.settings());
    let products = web
        .store
        .read(move |_| planned::products(&home, &settings).map_err(|cause| unplanned(&cause)))
        .await?;
    let shown = web.seasons.now(&web.store, season, today, products).await?;
    if let Some(wrong) = &shown.figures.wrong {
        return Err(unplanned(&anyhow::anyhow!("{wrong}")));
    }
    let all = &shown.figures.days;
    let pages = all.len().div_ceil(DAYS).max(1);
    let page = asked.page.unwrap_or(1).clamp(1, pages);
    let days: Vec<DayLine> = all.iter().skip((page - 1) * DAYS).take(DAYS).cloned().collect();
    let span = days.first().map(|line| line.on)..=days.last().map(|line| line.on);
    let loads = shown.figures.loads.iter().filter(|load| span.contains(&Some(load.on))).cloned().collect();
    let address = |page: usize| format!("/season?season={season}&page={page}");
    let (before, after) = ((page > 1).then(|| address(page - 1)), (page < pages).then(|| address(page + 1)));
    show(&Season { frame, season, today, days, loads, page, pages, before, after, shown })
}

/// A whole number, or a question mark where nobody knows it.
pub fn whole(value: &Option<f64>) -> String {
    value.map_or_else(|| "?".to_owned(), |v| format!("{v:.0}"))
}

/// To a tenth; nothing where there is none.
pub fn tenths(value: &Option<f64>) -> String {
    value.map_or_else(String::new, |v| format!("{}", (v * 10.0).round() / 10.0))
}
