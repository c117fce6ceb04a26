//! The door: one password, where one is set.

use super::guard::password;
use super::guard::session::{Visitor, cookie};
use super::look::{Frame, show};
use super::{Shared, Trouble};
use askama::Template;
use axum::extract::{Extension, Form, Query, State};
use axum::http::StatusCode;
use axum::http::header::SET_COOKIE;
use axum::response::{IntoResponse, Redirect, Response};
use serde::Deserialize;

/// Where to go afterwards.
#[derive(Debug, Clone, Default, Deserialize)]
#[serde(default)]
pub struct Asked {
    to: String,
}

/// What the form sends.
#[derive(Debug, Clone, Default, Deserialize)]
#[serde(default)]
pub struct Sent {
    password: String,
    to: String,
}

#[derive(Template)]
#[template(path = "login.html")]
struct Door<'a> {
    frame: Frame,
    to: &'a str,
    wrong: bool,
}

/// `GET /login`
///
/// # Errors
/// A fault of the program.
pub async fn page(
    Extension(visitor): Extension<Visitor>,
    frame: Frame,
    Query(asked): Query<Asked>,
) -> Result<Response, Trouble> {
    if visitor != Visitor::Stranger {
        return Ok(Redirect::to("/").into_response());
    }
    show(&Door { frame, to: own(&asked.to), wrong: false })
}

/// `POST /login`
///
/// # Errors
/// Too many tries, or a password file that cannot be read.
pub async fn enter(
    State(web): State<Shared>,
    frame: Frame,
    Form(sent): Form<Sent>,
) -> Result<Response, Trouble> {
    if !web.sessions.may_try() {
        tracing::warn!("refused: too many tries at the password");
        return Err(Trouble::new(
            StatusCode::TOO_MANY_REQUESTS,
            "There were too many tries.",
            "Wait a minute, then try again.",
        ));
    }
    // As it is now: somebody may have changed it since the start.
    let home = web.home.clone();
    let given = sent.password;
    let fitted = tokio::task::spawn_blocking(move || {
        let hash = password::hash_of(&home)?;
        Ok::<_, std::io::Error>(hash.filter(|hash| password::fits(hash, &given)))
    });
    let fitted = fitted.await.map_err(|e| Trouble::inside(&e))?.map_err(|e| Trouble::inside(&e))?;
    let Some(hash) = fitted else {
        tracing::warn!("a wrong password");
        let mut page = show(&Door { frame, to: own(&sent.to), wrong: true })?;
        *page.status_mut() = StatusCode::OK;
        return Ok(page);
    };
    web.sessions.renew(hash);
    let word = web.sessions.open().map_err(|e| Trouble::inside(&e))?;
    let cookie = cookie(&word, web.settings().serve.https);
    Ok(([(SET_COOKIE, cookie)], Redirect::to(own(&sent.to))).into_response())
}

/// `POST /logout`
pub async fn leave(State(web): State<Shared>, Extension(visitor): Extension<Visitor>) -> Response {
    if let Visitor::SignedIn(key) = visitor {
        web.sessions.close(&key);
    }
    ([(SET_COOKIE, cookie("", web.settings().serve.https))], Redirect::to("/")).into_response()
}

/// An address of ours, or the front page: nobody is sent elsewhere.
pub(super) fn own(to: &str) -> &str {
    let plain = to.starts_with('/')
        && !to.starts_with("//")
        && to.bytes().all(|b| b.is_ascii_graphic() && !b"\\\"<>".contains(&b));
    if plain && to.len() < 512 { to } else { "/" }
}

#[cfg(test)]
mod tests {
    use super::own;

    #[test]
    fn after_the_door_one_stays_in_the_house() {
        assert_eq!(own("/sites/a%20b?x=1"), "/sites/a%20b?x=1");
        for elsewhere in ["//evil.example", "http://evil.example", "/\\evil.example", "", "/a\r\nX: 1", "x"] {
            assert_eq!(own(elsewhere), "/", "{elsewhere:?}");
        }
    }
}
