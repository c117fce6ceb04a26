//! Who decides: a name that the browser keeps, so that every decision from these pages is written down under one.

use super::look::{decoded, encoded};
use super::{Shared, Trouble};
use axum::extract::{Form, FromRequestParts, State};
use axum::http::header::{COOKIE, SET_COOKIE};
use axum::http::request::Parts;
use axum::response::{IntoResponse, Redirect, Response};
use serde::Deserialize;
use std::convert::Infallible;

const COOKIE_NAME: &str = "loamline-who";

/// Letters of a name.
const LONGEST: usize = 60;

/// A year, in seconds.
const KEPT: u32 = 365 * 24 * 3600;

/// The name; none where nobody said it yet.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Who(pub Option<String>);

impl Who {
    /// The name.
    ///
    /// # Errors
    /// Nobody said it.
    pub fn named(self) -> Result<String, Trouble> {
        self.0.ok_or_else(|| {
            Trouble::wrong(
                "Nobody said who decides, so nothing was changed.",
                "Go back, fill in the field `Who decides`, then do it again.",
            )
        })
    }
}

impl FromRequestParts<Shared> for Who {
    type Rejection = Infallible;

    async fn from_request_parts(parts: &mut Parts, _: &Shared) -> Result<Self, Infallible> {
        let all = parts.headers.get_all(COOKIE).iter().filter_map(|c| c.to_str().ok());
        let pairs = all.flat_map(|c| c.split(';')).filter_map(|pair| pair.trim().split_once('='));
        let mut words = pairs.filter(|(name, _)| *name == COOKIE_NAME).map(|(_, word)| word);
        Ok(Self(words.next().and_then(|word| fit(&decoded(word.as_bytes())))))
    }
}

/// A name without anything that steers a terminal, and not without end.
fn fit(name: &str) -> Option<String> {
    let name: String = name.chars().filter(|c| !c.is_control()).take(LONGEST).collect();
    Some(name.trim().to_owned()).filter(|n| !n.is_empty())
}

/// What the form sends.
#[derive(Debug, Clone, Default, Deserialize)]
#[serde(default)]
pub struct Sent {
    who: String,
    to: String,
}

/// `POST /who`
///
/// # Errors
/// No name.
pub async fn keep(State(web): State<Shared>, Form(sent): Form<Sent>) -> Result<Response, Trouble> {
    let name = Who(fit(&sent.who)).named()?;
    let secure = if web.settings().serve.https { "; Secure" } else { "" };
    let word = encoded(&name);
    let cookie = format!("{COOKIE_NAME}={word}; Path=/; Max-Age={KEPT}; HttpOnly; SameSite=Strict{secure}");
    Ok(([(SET_COOKIE, cookie)], Redirect::to(super::login::own(&sent.to))).into_response())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_name_is_short_and_steers_nothing() {
        assert_eq!(fit("  Robin \u{1b}[1m "), Some("Robin [1m".to_owned()));
        assert_eq!(fit(" \r\n "), None);
        assert_eq!(fit(&"n".repeat(500)).map(|n| n.len()), Some(LONGEST));
        assert!(Who(None).named().is_err());
    }
}
