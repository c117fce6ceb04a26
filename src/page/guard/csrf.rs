//! A change comes from our own pages: the browser says so (`Origin`, `Sec-Fetch-Site`), and the form carries a token.

use super::super::{Shared, Trouble};
use super::host::Names;
use super::limits;
use super::session::Visitor;
use axum::body::Body;
use axum::extract::Request;
use axum::http::header::CONTENT_TYPE;
use axum::http::{Method, StatusCode};
use http_body_util::{BodyExt, Limited};

/// The field of a form that carries the token.
pub const FIELD: &str = "token";

/// The header that carries it where a script sends.
pub const HEADER: &str = "x-token";

/// The one place that takes a form with files: it streams them, so it looks at the token itself.
const FORM_OF_FILES: &str = "/drop";

/// Marks an upload whose token is its first field, still to be checked by the one who takes it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct TokenToCome;

/// Checks a request that may change something; others pass.
///
/// # Errors
/// A foreign place, or no token or an old one.
pub async fn check(web: &Shared, visitor: &Visitor, request: Request) -> Result<Request, Trouble> {
    // No browser adds a token of its own accord, so one that is there is meant.
    if request.method() != Method::POST || matches!(visitor, Visitor::Program(_)) {
        return Ok(request);
    }
    if !from_us(&request) {
        tracing::warn!("refused: a change asked for by another site");
        return Err(Trouble::new(
            StatusCode::FORBIDDEN,
            "This did not come from these pages.",
            "Open the page here and use its own buttons.",
        ));
    }
    let header = request.headers().get(HEADER).and_then(|t| t.to_str().ok()).map(str::to_owned);
    let kind = request.headers().get(CONTENT_TYPE).and_then(|t| t.to_str().ok()).unwrap_or("");
    let kind = kind.split(';').next().unwrap_or("").trim().to_ascii_lowercase();
    if let Some(word) = header {
        return if fits(web, visitor, &word) { Ok(request) } else { Err(old()) };
    }
    match kind.as_str() {
        "application/x-www-form-urlencoded" => {
            let (parts, body) = request.into_parts();
            // Held in memory whole, so it is a form's size that counts, also where files may be sent.
            let form = Limited::new(body, limits::FORM_BYTES);
            let bytes = form.collect().await.map_err(|e| limits::broken(&*e))?.to_bytes();
            let fields: Vec<(String, String)> = serde_urlencoded_pairs(&bytes);
            let word = fields.iter().find(|(name, _)| name == FIELD).map(|(_, word)| word.as_str());
            if word.is_none_or(|word| !fits(web, visitor, word)) {
                return Err(old());
            }
            Ok(Request::from_parts(parts, Body::from(bytes)))
        }
        "multipart/form-data" if request.uri().path() == FORM_OF_FILES => {
            let mut request = request;
            request.extensions_mut().insert(TokenToCome);
            Ok(request)
        }
        _ => Err(old()),
    }
}

/// True where the token is this visitor's.
pub fn fits(web: &Shared, visitor: &Visitor, word: &str) -> bool {
    web.secret.is_word_for(visitor.key(), word)
}

/// What a missing or old token is told.
pub fn old() -> Trouble {
    Trouble::new(
        StatusCode::FORBIDDEN,
        "This page was too old, so nothing was changed.",
        "Go back, reload the page and do it again.",
    )
}

/// At least one of the two marks is there, and none speaks against us.
fn from_us(request: &Request) -> bool {
    let origin = Names::same_origin(request);
    let fetch = request.headers().get("sec-fetch-site").map(|site| site.as_bytes() == b"same-origin");
    let said = [origin, fetch];
    said.iter().flatten().all(|ours| *ours) && said.iter().any(Option::is_some)
}

fn serde_urlencoded_pairs(bytes: &[u8]) -> Vec<(String, String)> {
    let pairs = bytes.split(|b| *b == b'&').filter(|p| !p.is_empty());
    pairs
        .map(|pair| {
            let mut halves = pair.splitn(2, |b| *b == b'=');
            let half = |h: Option<&[u8]>| super::super::look::decoded(h.unwrap_or_default());
            (half(halves.next()), half(halves.next()))
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn asked(headers: &[(&str, &str)]) -> bool {
        let mut request = Request::builder().method("POST").uri("/").header("host", "localhost:8460");
        for (name, value) in headers {
            request = request.header(*name, *value);
        }
        from_us(&request.body(Body::empty()).unwrap())
    }

    #[test]
    fn our_own_pages_are_told_from_others() {
        let (ours, other) = (("origin", "http://localhost:8460"), ("origin", "http://127.0.0.1:1"));
        assert!(asked(&[ours]) && asked(&[("sec-fetch-site", "same-origin")]));
        assert!(asked(&[ours, ("sec-fetch-site", "same-origin")]));
        assert!(!asked(&[]) && !asked(&[other]) && !asked(&[("origin", "null")]));
        assert!(!asked(&[ours, ("sec-fetch-site", "cross-site")]));
        assert!(!asked(&[other, ("sec-fetch-site", "same-origin")]));
    }

    #[test]
    fn the_fields_of_a_form_are_taken_apart() {
        let pairs = serde_urlencoded_pairs(b"a=1+2&token=%C3%A9&b");
        assert_eq!(
            pairs,
            [("a".into(), "1 2".into()), ("token".into(), "\u{e9}".into()), ("b".into(), String::new())]
        );
    }
}
