//! Every refusal becomes a page, or JSON for a program, that says what is wrong and what to do.

use super::super::look::Frame;
use super::super::{Shared, Trouble};
use super::PROGRAMS;
use super::session::Visitor;
use askama::Template;
use axum::body::Body;
use axum::http::HeaderValue;
use axum::http::header::{CONTENT_LENGTH, CONTENT_TYPE};
use axum::response::Response;

#[derive(Template)]
#[template(path = "trouble.html")]
struct Page<'a> {
    frame: Frame,
    trouble: &'a Trouble,
}

/// The answer with words where it had none; whatever a library said in its place is dropped.
pub fn explain(web: &Shared, visitor: &Visitor, path: &str, mut response: Response) -> Response {
    let status = response.status();
    if !status.is_client_error() && !status.is_server_error() {
        return response;
    }
    let trouble = response.extensions_mut().remove::<Trouble>().unwrap_or_else(|| Trouble::of(status));
    let (kind, text) = if path.starts_with(PROGRAMS) {
        // Problem details, RFC 9457.
        let said = serde_json::json!({
            "title": trouble.what, "detail": trouble.remedy, "status": status.as_u16()
        });
        ("application/problem+json", said.to_string())
    } else {
        let page = Page { frame: Frame::of(web, visitor, path), trouble: &trouble };
        ("text/html; charset=utf-8", page.render().unwrap_or_else(|_| trouble.what.clone()))
    };
    response.headers_mut().remove(CONTENT_LENGTH);
    response.headers_mut().insert(CONTENT_TYPE, HeaderValue::from_static(kind));
    *response.body_mut() = Body::from(text);
    response
}
