//! How the service itself does: the last pass and the checks, what waits and was refused, and its own last words.

use super::look::{Frame, show};
use super::recent;
use super::{Shared, Trouble};
use crate::health::{Health, Said};
use crate::history::Listing;
use crate::soil::Outcome;
use askama::Template;
use axum::extract::State;
use axum::response::Response;

#[derive(Template)]
#[template(path = "service.html")]
struct Service {
    frame: Frame,
    said: Vec<Said>,
    readings: usize,
    held: usize,
    refused: usize,
    filed: usize,
    lines: Vec<String>,
}

/// `GET /service`
///
/// # Errors
/// What the store says.
pub async fn page(State(web): State<Shared>, frame: Frame) -> Result<Response, Trouble> {
    let said = Health::of(&web.home).said(jiff::Timestamp::now());
    let (readings, held, refused, filed) = web
        .store
        .read(|history| {
            let count =
                |outcome| history.count_documents(&Listing { outcome: Some(outcome), ..Listing::default() });
            Ok((
                history.count_waiting()?,
                count(Outcome::Held)?,
                count(Outcome::Refused)?,
                count(Outcome::Filed)?,
            ))
        })
        .await?;
    show(&Service { frame, said, readings, held, refused, filed, lines: recent::lines() })
}
