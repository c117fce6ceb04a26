//! How pages look: the frame around each, the one style sheet, the one small script, and words fit for addresses.

use super::guard::session::Visitor;
use super::{Shared, Trouble};
use crate::health::Health;
use askama::Template;
use axum::extract::{FromRequestParts, State};
use axum::http::header::{CACHE_CONTROL, CONTENT_TYPE, ETAG, IF_NONE_MATCH};
use axum::http::request::Parts;
use axum::http::{HeaderMap, StatusCode};
use axum::response::{IntoResponse, Response};
use std::convert::Infallible;
use std::sync::LazyLock;

/// Where people go by themselves: address and words.
pub const NAV: &[(&str, &str)] = &[
    ("/", "Sites"),
    ("/held", "Waiting"),
    ("/documents", "Documents"),
    ("/season", "Season"),
    ("/guides", "Guides"),
    ("/service", "Service"),
];

const CSS: &str = include_str!("look.css");
const SCRIPT: &str = include_str!("comfort.js");
const MARK: &str = include_str!("mark.svg");

/// Stands in the addresses of our files, so that a new program brings its new look along.
static VERSION: LazyLock<String> = LazyLock::new(|| {
    let word = super::guard::secret::kept_of(&format!("{CSS}{SCRIPT}{MARK}"));
    word.chars().take(10).collect()
});

/// What the frame of a page needs to know: every page takes one as its argument and hands it to its template.
#[derive(Debug, Clone)]
pub struct Frame {
    /// For the hidden field `token` of every form.
    pub token: String,
    /// A password is set, and the visitor has shown it: there is a way out.
    pub signed_in: bool,
    /// The visitor may see the pages.
    pub inside: bool,
    /// The ways on: address, words, whether it is this page.
    pub ways: Vec<(&'static str, &'static str, bool)>,
    /// Version of our files.
    pub version: &'static str,
    /// What everybody should know: settings that are not in force, an inbox or a history that is not well.
    pub notes: Vec<String>,
}

impl Frame {
    /// For this visitor at this address.
    pub fn of(web: &Shared, visitor: &Visitor, path: &str) -> Self {
        Self {
            token: web.secret.word_for(visitor.key()),
            signed_in: matches!(visitor, Visitor::SignedIn(_)),
            inside: *visitor != Visitor::Stranger,
            ways: NAV.iter().map(|(address, words)| (*address, *words, *address == path)).collect(),
            version: &VERSION,
            notes: [web.live.note(), Health::of(&web.home).note(jiff::Timestamp::now())]
                .into_iter()
                .flatten()
                .collect(),
        }
    }
}

impl FromRequestParts<Shared> for Frame {
    type Rejection = Infallible;

    async fn from_request_parts(parts: &mut Parts, web: &Shared) -> Result<Self, Infallible> {
        let visitor = parts.extensions.get::<Visitor>().unwrap_or(&Visitor::Stranger);
        Ok(Self::of(web, visitor, parts.uri.path()))
    }
}

/// A page out of its template.
///
/// # Errors
/// A fault of the program.
pub fn show(page: &impl Template) -> Result<Response, Trouble> {
    let text = page.render().map_err(|e| Trouble::inside(&e))?;
    Ok(([(CONTENT_TYPE, "text/html; charset=utf-8")], text).into_response())
}

/// `GET /look.css`
pub async fn css(State(_): State<Shared>, headers: HeaderMap) -> Response {
    file(&headers, "text/css; charset=utf-8", CSS)
}

/// `GET /comfort.js`
pub async fn script(State(_): State<Shared>, headers: HeaderMap) -> Response {
    file(&headers, "text/javascript; charset=utf-8", SCRIPT)
}

/// `GET /mark.svg`
pub async fn mark(State(_): State<Shared>, headers: HeaderMap) -> Response {
    file(&headers, "image/svg+xml", MARK)
}

fn file(headers: &HeaderMap, kind: &'static str, text: &'static str) -> Response {
    let tag = format!("\"{}\"", *VERSION);
    let keep = "public, max-age=86400";
    if headers.get(IF_NONE_MATCH).is_some_and(|t| t.as_bytes() == tag.as_bytes()) {
        return (StatusCode::NOT_MODIFIED, [(ETAG, tag), (CACHE_CONTROL, keep.to_owned())]).into_response();
    }
    ([(CONTENT_TYPE, kind.to_owned()), (ETAG, tag), (CACHE_CONTROL, keep.to_owned())], text).into_response()
}

/// A text fit for one place of an address: letters, digits and `-._~` stay (RFC 3986).
pub fn encoded(text: &str) -> String {
    let mut out = String::new();
    for byte in text.bytes() {
        if byte.is_ascii_alphanumeric() || b"-._~".contains(&byte) {
            out.push(char::from(byte));
        } else {
            out.push_str(&format!("%{byte:02X}"));
        }
    }
    out
}

/// The other way, as forms write it: `+` is a space.
pub fn decoded(bytes: &[u8]) -> String {
    let mut out = Vec::with_capacity(bytes.len());
    let mut rest = bytes.iter().copied();
    while let Some(byte) = rest.next() {
        match byte {
            b'+' => out.push(b' '),
            b'%' => {
                let mut digits = rest.clone();
                let digit = |b: Option<u8>| char::from(b?).to_digit(16).and_then(|d| u8::try_from(d).ok());
                match (digit(digits.next()), digit(digits.next())) {
                    (Some(high), Some(low)) => {
                        out.push(high * 16 + low);
                        rest = digits;
                    }
                    _ => out.push(byte),
                }
            }
            other => out.push(other),
        }
    }
    String::from_utf8_lossy(&out).into_owned()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn words_survive_the_way_through_an_address() {
        for text in ["front-lawn", "Fr\u{f6}hlich & S\u{f6}hne/3?", "50%", "%zz", ""] {
            assert_eq!(decoded(encoded(text).as_bytes()), text);
        }
        assert_eq!(decoded(b"a+b%2Fc%"), "a b/c%");
    }

    #[test]
    fn our_files_load_nothing_from_elsewhere() {
        for text in [CSS, SCRIPT, MARK] {
            for foreign in ["https://", "url(", "@import"] {
                assert!(!text.contains(foreign), "{foreign}");
            }
        }
    }
}
