//! What a form says of two sites that are perhaps one.

use super::who::Who;
use super::{Shared, Trouble};
use axum::extract::{Form, State};
use axum::response::{IntoResponse, Redirect, Response};
use serde::Deserialize;

/// What the form sends.
#[derive(Debug, Clone, Default, Deserialize)]
#[serde(default)]
pub struct Sent {
    /// `first` and `second`: they are one, under that name; `apart`: they are two.
    what: String,
    one: String,
    other: String,
}

/// `POST /sites/alike`
///
/// # Errors
/// Nobody said who decides; a site that is not there or is joined already; what the store says.
pub async fn decide(
    State(web): State<Shared>,
    who: Who,
    Form(sent): Form<Sent>,
) -> Result<Response, Trouble> {
    let (who, at) = (who.named()?, jiff::Timestamp::now().to_string());
    web.store
        .write(move |ingest| {
            let (history, Sent { what, one, other }) = (&mut ingest.history, &sent);
            match what.as_str() {
                "first" => history.join_sites(one, other, &who, &at).map(drop)?,
                "second" => history.join_sites(other, one, &who, &at).map(drop)?,
                "apart" => history.set_apart(one, other, &who, &at).map(drop)?,
                _ => return Err(Trouble::wrong("Nothing was decided.", "Use one of the buttons.")),
            }
            Ok(())
        })
        .await?;
    Ok(Redirect::to("/held").into_response())
}
