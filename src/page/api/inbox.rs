//! Files from programs into the inbox.

use super::super::{Shared, Trouble, drop};
use axum::Json;
use axum::extract::{Query, Request, State};
use axum::http::StatusCode;
use axum::response::{IntoResponse, Response};
use serde::Deserialize;

/// What the file is called.
#[derive(Debug, Clone, Default, Deserialize)]
#[serde(default)]
pub struct Asked {
    name: String,
}

/// `POST /inbox?name=`: the body is the file.
///
/// # Errors
/// No name, or it did not come whole; then nothing is left of it.
pub async fn take(
    State(web): State<Shared>,
    Query(asked): Query<Asked>,
    request: Request,
) -> Result<Response, Trouble> {
    if asked.name.trim().is_empty() {
        return Err(Trouble::wrong("The file has no name.", "Say it as `?name=report.pdf`."));
    }
    let name = drop::keep_body(&web, &asked.name, request.into_body()).await?;
    Ok((StatusCode::CREATED, Json(serde_json::json!({ "taken": [name] }))).into_response())
}
