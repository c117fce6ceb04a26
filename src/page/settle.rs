//! What a form decides about a reading, and how it is taken back: the same functions as the command line's.

use super::who::Who;
use super::{Shared, Trouble};
use crate::history;
use crate::settle::{self, By, To};
use crate::soil::site::WHOLE;
use axum::extract::{Form, Path, State};
use axum::response::{IntoResponse, Redirect, Response};
use serde::Deserialize;

/// What the forms send; each sends its own part.
#[derive(Debug, Clone, Default, Deserialize)]
#[serde(default)]
pub struct Sent {
    /// What is decided.
    what: String,
    value: String,
    unit: String,
    method: String,
    day: String,
    site: String,
    other: String,
    zone: String,
    new: String,
    remember: String,
    teach: String,
}

/// `POST /readings/{id}/settle`
///
/// # Errors
/// Nobody said who decides; a sentence on what is not known; what the store says.
pub async fn settle(
    State(web): State<Shared>,
    who: Who,
    Path(id): Path<i64>,
    Form(sent): Form<Sent>,
) -> Result<Response, Trouble> {
    let by = by(who)?;
    let next_from = web.settings().season.next_from_month;
    web.store
        .write(move |ingest| {
            let history = &mut ingest.history;
            let (keys, teach) = ([id], !sent.teach.is_empty());
            let said = match sent.what.as_str() {
                "accept" => settle::accept(history, &keys, teach, &by),
                "reject" => settle::reject(history, &keys, &by),
                "correct" => settle::correct(history, id, &sent.value, &by),
                "unit" => settle::unit(history, &sent.unit, &keys, teach, &by),
                "method" => settle::method(history, &sent.method, &keys, teach, &by),
                "date" => match sent.day.trim().parse() {
                    Ok(day) => settle::date(history, day, &keys, next_from, &by),
                    Err(_) => {
                        return Err(Trouble::wrong("That was no day.", "Write it as 2026-05-04."));
                    }
                },
                "assign" => {
                    let site = whose(history, &sent, &by)?;
                    let zone = Some(sent.zone.trim().to_owned()).filter(|z| !z.is_empty());
                    let zone = zone.unwrap_or_else(|| WHOLE.to_owned());
                    let to = To { site, zone, remember: !sent.remember.is_empty(), teach };
                    settle::assign(history, &keys, &to, &by)
                }
                _ => return Err(Trouble::wrong("Nothing was decided.", "Use one of the buttons.")),
            };
            said.map_err(told)?;
            ingest.reshelve().map_err(|e| Trouble::inside(&e))?;
            Ok(())
        })
        .await?;
    Ok(Redirect::to(&format!("/readings/{id}#stands")).into_response())
}

/// The site that is meant: a new one, another by its id, or one of those offered.
fn whose(history: &mut history::History, sent: &Sent, by: &By) -> Result<String, Trouble> {
    let new = sent.new.trim();
    if !new.is_empty() {
        let asked = Some(sent.other.trim()).filter(|id| !id.is_empty()).unwrap_or(new);
        return settle::new_site(history, asked, new.to_owned(), by).map(|made| made.0).map_err(told);
    }
    let id = Some(sent.other.trim()).filter(|id| !id.is_empty()).unwrap_or(sent.site.trim());
    if id.is_empty() {
        return Err(Trouble::wrong("No site was chosen.", "Choose one, or write the id of another."));
    }
    let site = history.site(id)?.ok_or_else(|| {
        Trouble::wrong(
            format!("There is no site {id}."),
            "Copy its id from the list of sites, or give a name to make it new.",
        )
    })?;
    Ok(site.id)
}

/// Where to go after an undo.
#[derive(Debug, Clone, Default, Deserialize)]
#[serde(default)]
pub struct Back {
    reading: Option<i64>,
}

/// `POST /decisions/{id}/undo`
///
/// # Errors
/// It was taken back already, or a later one stands on it; what the store says.
pub async fn undo(
    State(web): State<Shared>,
    who: Who,
    Path(id): Path<i64>,
    Form(back): Form<Back>,
) -> Result<Response, Trouble> {
    let by = by(who)?;
    web.store
        .write(move |ingest| {
            ingest.history.undo(id, &by.who, &by.at)?;
            ingest.reshelve().map_err(|e| Trouble::inside(&e))?;
            Ok(())
        })
        .await?;
    let to = back.reading.map_or_else(|| "/held".to_owned(), |id| format!("/readings/{id}#stands"));
    Ok(Redirect::to(&to).into_response())
}

fn by(who: Who) -> Result<By, Trouble> {
    Ok(By { who: who.named()?, at: jiff::Timestamp::now().to_string() })
}

/// A sentence of the deciding functions as a page says it; what the store says keeps its own words.
fn told(error: anyhow::Error) -> Trouble {
    match error.downcast::<history::Error>() {
        Ok(error) => error.into(),
        Err(error) => {
            let sentence = error.to_string();
            let mut letters = sentence.chars();
            let first = letters.next().map(|c| c.to_uppercase().to_string()).unwrap_or_default();
            let end = if sentence.ends_with('.') { "" } else { "." };
            Trouble::wrong(
                format!("{first}{}{end}", letters.as_str()),
                "Nothing was changed; go back and look at it again.",
            )
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_the_deciding_functions_say_becomes_a_sentence() {
        let said = told(anyhow::anyhow!("`x` is no value: give a number"));
        assert_eq!(said.what, "`x` is no value: give a number.");
        assert_eq!(said.status, axum::http::StatusCode::BAD_REQUEST);
        let refused = history::Error::Refused("this decision was taken back already".into());
        assert_eq!(told(refused.into()).status, axum::http::StatusCode::CONFLICT);
    }
}
