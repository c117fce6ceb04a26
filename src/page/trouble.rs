//! What went wrong, in words for the person before the page: what it is and what to do, nothing of the inside.

use axum::http::StatusCode;
use axum::response::{IntoResponse, Response};

/// An answer that is no page. The guard turns it into a page, or into JSON under the program interface.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Trouble {
    /// The status.
    pub status: StatusCode,
    /// What is wrong, one sentence.
    pub what: String,
    /// What to do, one sentence.
    pub remedy: String,
}

impl Trouble {
    /// Any.
    pub fn new(status: StatusCode, what: impl Into<String>, remedy: impl Into<String>) -> Self {
        Self { status, what: what.into(), remedy: remedy.into() }
    }

    /// No such address.
    pub fn nothing_here() -> Self {
        Self::new(
            StatusCode::NOT_FOUND,
            "There is no page at this address.",
            "Go to the list of sites and look from there.",
        )
    }

    /// No such thing: `site`, `document`, `reading`.
    pub fn no_such(what: &str) -> Self {
        Self::new(
            StatusCode::NOT_FOUND,
            format!("There is no such {what}."),
            "It may have got another name; look for it from the list of sites.",
        )
    }

    /// What was sent means nothing.
    pub fn wrong(what: impl Into<String>, remedy: impl Into<String>) -> Self {
        Self::new(StatusCode::BAD_REQUEST, what, remedy)
    }

    /// Whatever else; the cause goes to the log alone.
    pub fn inside(cause: &dyn std::fmt::Display) -> Self {
        tracing::error!(cause = %crate::inbox::plain::plain(&cause.to_string()), "a page could not be made");
        Self::new(
            StatusCode::INTERNAL_SERVER_ERROR,
            "This page could not be made.",
            "The service's log says why; the history is not touched by it.",
        )
    }

    /// By the status alone, for answers that came without words.
    pub fn of(status: StatusCode) -> Self {
        let (what, remedy) = match status {
            StatusCode::NOT_FOUND => return Self::nothing_here(),
            StatusCode::METHOD_NOT_ALLOWED => (
                "This address does not take that kind of request.",
                "Use the links and buttons of the pages.",
            ),
            StatusCode::PAYLOAD_TOO_LARGE => ("That was too much at once.", "Send less."),
            StatusCode::REQUEST_TIMEOUT => ("It took too long to arrive.", "Try again."),
            StatusCode::UNAUTHORIZED | StatusCode::FORBIDDEN => {
                ("This is not allowed.", "Sign in, then try again.")
            }
            s if s.is_server_error() => {
                ("This page could not be made.", "Try again; the service's log says why.")
            }
            _ => ("The request could not be understood.", "Go back and try again."),
        };
        Self::new(status, what, remedy)
    }
}

impl From<crate::history::Error> for Trouble {
    fn from(error: crate::history::Error) -> Self {
        use crate::history::Error;
        match error {
            Error::Unknown { what, .. } => Self::no_such(what),
            Error::Refused(why) => Self::new(StatusCode::CONFLICT, why, "Go back and look at it again."),
            error if error.may_pass() => {
                tracing::warn!(cause = %error, "a page waits for the history");
                Self::new(
                    StatusCode::SERVICE_UNAVAILABLE,
                    "The history is in use or its disk gives errors just now.",
                    "Try again in a moment.",
                )
            }
            error => Self::inside(&error),
        }
    }
}

impl From<crate::assessed::Error> for Trouble {
    fn from(error: crate::assessed::Error) -> Self {
        match error {
            crate::assessed::Error::History(error) => error.into(),
            other => Self::inside(&other),
        }
    }
}

impl IntoResponse for Trouble {
    fn into_response(self) -> Response {
        let mut response = self.status.into_response();
        response.extensions_mut().insert(self);
        response
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_cause_of_the_inside_is_not_shown() {
        let error = crate::history::Error::Missing("/home/keeper/loamline.db".into());
        let shown = Trouble::from(error);
        assert!(!format!("{} {}", shown.what, shown.remedy).contains("/home"));
    }

    #[test]
    fn every_trouble_says_what_to_do() {
        for status in [400, 401, 403, 404, 405, 408, 413, 500, 503] {
            let said = Trouble::of(StatusCode::from_u16(status).unwrap());
            assert!(said.what.ends_with('.') && said.remedy.ends_with('.'), "{status}");
        }
    }
}
