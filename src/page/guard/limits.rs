//! How long an address and how large and slow a body may be, and which methods there are.

use super::super::Trouble;
use axum::body::{Body, Bytes, HttpBody};
use axum::extract::Request;
use axum::http::header::{ALLOW, CONTENT_LENGTH};
use axum::http::{HeaderValue, Method, StatusCode};
use axum::response::{IntoResponse, Response};
use http_body_util::{BodyExt, Limited};
use std::pin::Pin;
use std::task::{Context, Poll};
use std::time::Duration;
use tokio::time::{Instant, Sleep};

/// Bytes of path and query.
const ADDRESS_BYTES: usize = 4 << 10;

/// The whole head of a request, bytes.
pub const HEAD_BYTES: usize = 32 << 10;

/// Bytes of a form: what is held in memory of a body at once.
pub const FORM_BYTES: usize = 64 << 10;

/// Bytes of a body that is no upload.
const BODY_BYTES: u64 = FORM_BYTES as u64;

/// Fields and boundaries around an uploaded file, bytes.
const UPLOAD_FRAME: u64 = 64 << 10;

/// A body is there within this time; an upload moves within it.
const BODY_TIME: Duration = Duration::from_secs(20);

/// The longest an upload takes altogether.
const UPLOAD_TIME: Duration = Duration::from_secs(900);

/// Where files are taken; these bodies are streamed to the disk.
pub const UPLOADS: [&str; 2] = ["/drop", "/api/v1/inbox"];

/// Reading, and sending a form: nothing else.
pub fn method(request: &Request) -> Result<(), Box<Response>> {
    if [Method::GET, Method::HEAD, Method::POST].contains(request.method()) {
        return Ok(());
    }
    let mut refusal = Trouble::of(StatusCode::METHOD_NOT_ALLOWED).into_response();
    refusal.headers_mut().insert(ALLOW, HeaderValue::from_static("GET, HEAD, POST"));
    Err(Box::new(refusal))
}

/// The request with its body bounded in size and time.
///
/// # Errors
/// An address or an announced body beyond the limit.
pub fn bounded(request: Request, file_bytes: u64) -> Result<Request, Trouble> {
    bounded_in(request, file_bytes, BODY_TIME)
}

fn bounded_in(request: Request, file_bytes: u64, piece: Duration) -> Result<Request, Trouble> {
    if request.uri().path_and_query().is_some_and(|p| p.as_str().len() > ADDRESS_BYTES) {
        return Err(Trouble::new(
            StatusCode::URI_TOO_LONG,
            "This address is too long.",
            "Start again from the list of sites.",
        ));
    }
    // The connection's buffer ends larger heads still on their way; one that came at once is measured here.
    let head: usize =
        request.headers().iter().map(|(name, value)| name.as_str().len() + value.len() + 4).sum();
    if head > HEAD_BYTES {
        return Err(Trouble::new(
            StatusCode::REQUEST_HEADER_FIELDS_TOO_LARGE,
            "The browser sent too much beside the request.",
            "Clear the cookies of this address, then try again.",
        ));
    }
    let upload = UPLOADS.contains(&request.uri().path());
    let most = if upload { file_bytes.saturating_add(UPLOAD_FRAME) } else { BODY_BYTES };
    let announced = request.headers().get(CONTENT_LENGTH).and_then(|l| l.to_str().ok()?.parse::<u64>().ok());
    if announced.is_some_and(|n| n > most) {
        return Err(too_large());
    }
    let (parts, body) = request.into_parts();
    let limited = Limited::new(body, usize::try_from(most).unwrap_or(usize::MAX));
    let timed = Timed {
        inner: limited.boxed_unsync(),
        each: Box::pin(tokio::time::sleep(piece)),
        piece,
        last: Instant::now() + if upload { UPLOAD_TIME } else { piece },
        asked: false,
    };
    Ok(Request::from_parts(parts, Body::new(timed)))
}

/// What a body beyond its limit is told.
pub fn too_large() -> Trouble {
    Trouble::new(
        StatusCode::PAYLOAD_TOO_LARGE,
        "That was more than is taken at once.",
        "Send less; a large report goes into the inbox folder.",
    )
}

/// What a body that did not arrive whole is told.
pub fn broken(error: &(dyn std::error::Error + 'static)) -> Trouble {
    let mut cause = Some(error);
    while let Some(e) = cause {
        if e.is::<http_body_util::LengthLimitError>() || e.is::<TooLarge>() {
            return too_large();
        }
        if e.is::<TooSlow>() {
            return Trouble::of(StatusCode::REQUEST_TIMEOUT);
        }
        cause = e.source();
    }
    Trouble::wrong("It did not arrive whole.", "Try again.")
}

/// More of a form than is held in memory.
#[derive(Debug, thiserror::Error)]
#[error("the form is too large")]
pub struct TooLarge;

/// A body that did not come in time.
#[derive(Debug, thiserror::Error)]
#[error("the body came too slowly")]
pub struct TooSlow;

type Inner = http_body_util::combinators::UnsyncBoxBody<Bytes, Box<dyn std::error::Error + Send + Sync>>;

struct Timed {
    inner: Inner,
    each: Pin<Box<Sleep>>,
    piece: Duration,
    last: Instant,
    asked: bool,
}

impl HttpBody for Timed {
    type Data = Bytes;
    type Error = Box<dyn std::error::Error + Send + Sync>;

    fn poll_frame(
        mut self: Pin<&mut Self>,
        cx: &mut Context<'_>,
    ) -> Poll<Option<Result<hyper::body::Frame<Bytes>, Self::Error>>> {
        let now = Instant::now();
        if !self.asked {
            // The clock of a piece begins when it is asked for: our own slow disk is not the sender's fault.
            self.asked = true;
            let until = (now + self.piece).min(self.last);
            self.each.as_mut().reset(until);
        }
        let poll = Pin::new(&mut self.inner).poll_frame(cx);
        if poll.is_ready() {
            self.asked = false;
            return poll;
        }
        match self.each.as_mut().poll(cx) {
            Poll::Ready(()) => Poll::Ready(Some(Err(Box::new(TooSlow)))),
            Poll::Pending => Poll::Pending,
        }
    }

    fn is_end_stream(&self) -> bool {
        self.inner.is_end_stream()
    }

    fn size_hint(&self) -> hyper::body::SizeHint {
        self.inner.size_hint()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn post(path: &str, body: Body) -> Request {
        Request::builder().method("POST").uri(path).body(body).unwrap()
    }

    #[test]
    fn odd_methods_are_told_which_there_are() {
        let request = Request::builder().method("DELETE").uri("/").body(Body::empty()).unwrap();
        let refusal = method(&request).unwrap_err();
        assert_eq!(refusal.status(), 405);
        assert_eq!(refusal.headers().get(ALLOW).unwrap(), "GET, HEAD, POST");
    }

    #[test]
    fn a_long_address_is_refused() {
        let long = format!("/?{}", "a".repeat(ADDRESS_BYTES));
        assert_eq!(bounded(post(&long, Body::empty()), 1).unwrap_err().status, 414);
    }

    #[tokio::test]
    async fn a_body_beyond_its_limit_ends_there_and_an_upload_has_the_limit_of_files() {
        let large = || Body::from(vec![b'a'; 70 << 10]);
        let refused = bounded(post("/login", large()), 1 << 20).unwrap().into_body().collect().await;
        assert_eq!(broken(&refused.unwrap_err()).status, 413);
        let taken = bounded(post("/drop", large()), 1 << 20).unwrap().into_body().collect().await;
        assert_eq!(taken.unwrap().to_bytes().len(), 70 << 10);
    }

    #[tokio::test]
    async fn a_body_that_does_not_come_is_given_up() {
        let never = Body::from_stream(futures_util::stream::pending::<Result<Bytes, std::io::Error>>());
        let request = bounded_in(post("/login", never), 1, Duration::from_millis(50)).unwrap();
        let error = request.into_body().collect().await.unwrap_err();
        assert_eq!(broken(&error).status.as_u16(), 408);
    }
}
