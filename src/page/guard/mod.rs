//! The walls before the pages, outermost first: the connection's limits, our own name, the size, who it is, and where
//! a change comes from. What leaves gets its headers here, and every refusal becomes a page that says what to do.

pub mod connections;

mod stall;

pub mod host;

pub mod limits;

pub mod secret;

pub mod password;

pub mod tokens;

pub mod session;

pub mod csrf;

mod headers;

mod explain;

use super::{Shared, Trouble};
use axum::extract::{Request, State};
use axum::middleware::Next;
use axum::response::{IntoResponse, Response};
use session::Visitor;

/// Programs ask below this path; they get JSON where people get pages.
pub const PROGRAMS: &str = "/api/";

/// Every request goes through here, in and out.
pub async fn guard(State(web): State<Shared>, request: Request, next: Next) -> Response {
    let path = request.uri().path().to_owned();
    let mut visitor = Visitor::Stranger;
    let response = match passed(&web, request, &mut visitor).await {
        Ok(request) => next.run(request).await,
        Err(refusal) => *refusal,
    };
    let response = explain::explain(&web, &visitor, &path, response);
    headers::put_on(response, web.settings().serve.https)
}

/// The walls in their order; what comes back has passed them all and carries its [`Visitor`].
async fn passed(web: &Shared, request: Request, visitor: &mut Visitor) -> Result<Request, Box<Response>> {
    let refused = |t: Trouble| Box::new(t.into_response());
    web.names.check(&request).map_err(refused)?;
    limits::method(&request)?;
    let mut request = limits::bounded(request, web.settings().limits().file_bytes).map_err(refused)?;
    *visitor = session::visitor(web, &request).map_err(refused)?;
    session::may_pass(visitor, &request)?;
    request.extensions_mut().insert(visitor.clone());
    csrf::check(web, visitor, request).await.map_err(refused)
}
