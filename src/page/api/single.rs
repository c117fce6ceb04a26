//! One thing at a time: what is said of a site, how far a batch is.

use super::super::site::assessed;
use super::super::{Shared, Trouble};
use axum::Json;
use axum::extract::{Path, State};
use axum::http::header::CONTENT_TYPE;
use axum::response::{IntoResponse, Response};

/// `GET /sites/{id}/assessment`
///
/// # Errors
/// No such site, or what the store says.
pub async fn assessment(State(web): State<Shared>, Path(id): Path<String>) -> Result<Response, Trouble> {
    let found = assessed(&web, id).await?;
    let text = serde_json::to_vec(&*found.assessment).map_err(|e| Trouble::inside(&e))?;
    Ok(([(CONTENT_TYPE, "application/json")], text).into_response())
}

/// `GET /progress`
pub async fn progress(State(web): State<Shared>) -> Response {
    let now = web.progress.borrow().clone();
    Json(now).into_response()
}
