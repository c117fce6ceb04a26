//! How far a batch is, as server-sent events: a page that listens moves along, one that does not loses nothing.

use super::guard::connections::stopped;
use super::{Shared, Trouble};
use crate::ingest::progress::Progress;
use axum::body::{Body, Bytes};
use axum::extract::State;
use axum::http::StatusCode;
use axum::http::header::{CACHE_CONTROL, CONTENT_TYPE};
use axum::response::{IntoResponse, Response};
use futures_util::stream;
use std::convert::Infallible;
use std::sync::Arc;
use std::sync::LazyLock;
use std::time::Duration;
use tokio::sync::{OwnedSemaphorePermit, Semaphore};

/// Pages that listen at the same time; others look again by themselves.
const LISTENERS: usize = 64;

/// Nothing to tell for so long: a word that keeps the connection, and finds out whether anybody is there still.
const QUIET: Duration = Duration::from_secs(10);

/// A batch of thousands is told at most this often.
const PACE: Duration = Duration::from_millis(200);

static SEATS: LazyLock<Arc<Semaphore>> = LazyLock::new(|| Arc::new(Semaphore::new(LISTENERS)));

/// `GET /events`
///
/// # Errors
/// Too many listen already.
pub async fn stream(State(web): State<Shared>) -> Result<Response, Trouble> {
    let Ok(seat) = Arc::clone(&SEATS).try_acquire_owned() else {
        return Err(Trouble::new(
            StatusCode::SERVICE_UNAVAILABLE,
            "Too many pages listen already.",
            "Close some, or reload this one now and then.",
        ));
    };
    let events = stream::unfold(Listener { web, _seat: seat, told: None }, next);
    Ok(([(CONTENT_TYPE, "text/event-stream"), (CACHE_CONTROL, "no-store")], Body::from_stream(events))
        .into_response())
}

struct Listener {
    web: Shared,
    _seat: OwnedSemaphorePermit,
    told: Option<Progress>,
}

/// The state now, then every change; ends with the service.
async fn next(mut listener: Listener) -> Option<(Result<Bytes, Infallible>, Listener)> {
    let mut stop = listener.web.stop.clone();
    let mut progress = listener.web.progress.clone();
    if let Some(told) = &listener.told {
        let changed = async {
            tokio::time::sleep(PACE).await;
            progress.wait_for(|now| now != told).await.is_ok()
        };
        tokio::select! {
            () = stopped(&mut stop) => return None,
            there = changed => if !there { return None },
            () = tokio::time::sleep(QUIET) => {
                return Some((Ok(Bytes::from_static(b": still here\n\n")), listener));
            }
        }
    }
    let now = progress.borrow().clone();
    let state = serde_json::to_string(&now).unwrap_or_default();
    listener.told = Some(now);
    Some((Ok(Bytes::from(format!("event: progress\ndata: {state}\n\n"))), listener))
}
