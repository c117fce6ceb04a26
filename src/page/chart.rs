//! Charts of a site as pictures of their own: SVG, or PNG for programs that want pixels.

use super::site::assessed;
use super::{Shared, Trouble};
use crate::chart::{self, ChartInput, Width};
use crate::soil::Analyte;
use crate::soil::site::WHOLE;
use axum::extract::{Path, Query, State};
use axum::http::header::{CACHE_CONTROL, CONTENT_SECURITY_POLICY, CONTENT_TYPE};
use axum::response::{IntoResponse, Response};
use serde::Deserialize;

/// A drawing runs nothing, loads nothing and is nobody's document: its own looks alone.
const POLICY: &str = "default-src 'none'; style-src 'unsafe-inline'; sandbox; frame-ancestors 'none'";

/// How a chart is asked for.
#[derive(Debug, Clone, Default, Deserialize)]
#[serde(default)]
pub struct Asked {
    zone: Option<String>,
    width: Option<String>,
    change: Option<i64>,
    settings: Option<String>,
}

/// `GET /sites/{id}/chart/{file}`: `main.svg`, `others.svg` or `phosphorus.png`, of `?zone=` and for a `?width=narrow` page.
///
/// # Errors
/// No such site or chart.
pub async fn of_site(
    State(web): State<Shared>,
    Path((id, file)): Path<(String, String)>,
    Query(asked): Query<Asked>,
) -> Result<Response, Trouble> {
    let (stem, end) = file.rsplit_once('.').ok_or_else(|| Trouble::no_such("chart"))?;
    let found = assessed(&web, id).await?;
    let zone = asked.zone.as_deref().unwrap_or(WHOLE);
    let width = if asked.width.as_deref() == Some("narrow") { Width::Narrow } else { Width::Wide };
    let mut input = chart::chart_input(&found.assessment, zone).map_err(|e| Trouble::inside(&e))?;
    let scene = if stem == "main" {
        chart::four(&input, width)
    } else if stem == "others" {
        chart::others(&input, width).ok_or_else(|| Trouble::no_such("chart"))?
    } else {
        let analyte = Analyte::from_id(stem).ok_or_else(|| Trouble::no_such("chart"))?;
        input.panels.retain(|p| p.analyte == analyte);
        if input.panels.is_empty() {
            return Err(Trouble::no_such("chart"));
        }
        chart::single(&ChartInput { panels: input.panels, ..input }, width)
    };
    let (kind, bytes) = match end {
        "svg" => ("image/svg+xml", chart::svg(&scene).map_err(|e| Trouble::inside(&e))?.into_bytes()),
        "png" => {
            let drawn = tokio::task::spawn_blocking(move || chart::png(&scene)).await;
            ("image/png", drawn.map_err(|e| Trouble::inside(&e))?.map_err(|e| Trouble::inside(&e))?)
        }
        _ => return Err(Trouble::no_such("chart")),
    };
    // An address with the numbers of the change and of the settings never shows another one.
    let settings = format!("{:x}", found.settings);
    let named = asked.change == Some(found.change) && asked.settings == Some(settings);
    let keep = if named { "private, max-age=600" } else { "no-store" };
    Ok(([(CONTENT_TYPE, kind), (CACHE_CONTROL, keep), (CONTENT_SECURITY_POLICY, POLICY)], bytes)
        .into_response())
}
