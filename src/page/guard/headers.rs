//! The headers of every answer: what a browser may do with it.

use axum::http::HeaderValue;
use axum::http::header::{
    CACHE_CONTROL, CONTENT_SECURITY_POLICY, HeaderName, REFERRER_POLICY, STRICT_TRANSPORT_SECURITY,
    X_CONTENT_TYPE_OPTIONS, X_FRAME_OPTIONS,
};
use axum::response::Response;

/// Only our own files, no script or style inside a page, in nobody's frame, forms go nowhere else.
const POLICY: &str = "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self'; connect-src 'self'; \
                      form-action 'self'; frame-ancestors 'none'; base-uri 'none'; object-src 'none'";

/// Sources: OWASP ASVS 5.0 V3.4.3 to V3.4.6, V14.3.2.
pub fn put_on(mut response: Response, https: bool) -> Response {
    let always = [
        (X_CONTENT_TYPE_OPTIONS, "nosniff"),
        (X_FRAME_OPTIONS, "DENY"),
        // `no-referrer` would make browsers send `Origin: null` with our own forms.
        (REFERRER_POLICY, "same-origin"),
        (HeaderName::from_static("cross-origin-opener-policy"), "same-origin"),
        (HeaderName::from_static("cross-origin-resource-policy"), "same-origin"),
        (HeaderName::from_static("permissions-policy"), "camera=(), geolocation=(), microphone=()"),
    ];
    let headers = response.headers_mut();
    for (name, value) in always {
        headers.insert(name, HeaderValue::from_static(value));
    }
    if https {
        headers.insert(STRICT_TRANSPORT_SECURITY, HeaderValue::from_static("max-age=31536000"));
    }
    // A page may know better: a drawing is bounded more narrowly, a file of ours may be kept.
    headers.entry(CONTENT_SECURITY_POLICY).or_insert(HeaderValue::from_static(POLICY));
    headers.entry(CACHE_CONTROL).or_insert(HeaderValue::from_static("no-store"));
    response
}
