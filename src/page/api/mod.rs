//! What programs ask: the contract's tables, sites, charts and originals as JSON, and files into the inbox. One table of
//! routes makes both the router and the description, so neither can know an address the other does not.

pub mod tables;

pub mod single;

pub mod inbox;

pub mod openapi;

use super::{Shared, chart, original};
use axum::Router;
use axum::routing::{MethodRouter, get, post};

/// The part of the address that all have.
pub const PREFIX: &str = "/api/v1";

/// What an address answers with.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Gives {
    /// A page of the table of this name.
    Table(&'static str),
    /// An object of the schema of this name.
    Object(&'static str),
    /// A file.
    File,
}

/// One address.
pub struct Route {
    /// Below the prefix; parts in braces are parameters.
    pub path: &'static str,
    /// `get` or `post`.
    pub method: &'static str,
    /// One sentence.
    pub summary: &'static str,
    /// Parameters of the query: name and meaning.
    pub query: &'static [(&'static str, &'static str)],
    /// What comes back.
    pub gives: Gives,
    handler: fn() -> MethodRouter<Shared>,
}

/// How a table is asked for.
const PAGED: &[(&str, &str)] = &[
    ("after", "Where to go on: the `next` of the page before."),
    (
        "limit",
        "Rows wanted, 1 to 10000 (1000). A page ends with a whole site, so it may be longer or shorter: go on while there is a `next`.",
    ),
    ("format", "`json` for a page (the default), `jsonl` for the whole table, one row a line."),
];

const NARROWED: &[(&str, &str)] = &[
    ("after", "Where to go on: the `next` of the page before."),
    (
        "limit",
        "Rows wanted, 1 to 10000 (1000). A page ends with a whole site, so it may be longer or shorter: go on while there is a `next`.",
    ),
    ("format", "`json` for a page (the default), `jsonl` for the whole table, one row a line."),
    ("site", "One site alone, by its id."),
];

const DRAWN: &[(&str, &str)] =
    &[("zone", "Zone of the site (`whole`)."), ("width", "`wide` (the default) or `narrow`.")];

/// Every address.
pub const ROUTES: &[Route] = &[
    Route {
        path: "/readings",
        method: "get",
        summary: "One row a measured value.",
        query: NARROWED,
        gives: Gives::Table("readings"),
        handler: || get(tables::readings),
    },
    Route {
        path: "/trends",
        method: "get",
        summary: "One row a series of one site, zone, analyte and method.",
        query: NARROWED,
        gives: Gives::Table("trends"),
        handler: || get(tables::trends),
    },
    Route {
        path: "/flags",
        method: "get",
        summary: "One row a flag.",
        query: NARROWED,
        gives: Gives::Table("flags"),
        handler: || get(tables::flags),
    },
    Route {
        path: "/sites",
        method: "get",
        summary: "One row a site.",
        query: PAGED,
        gives: Gives::Table("sites"),
        handler: || get(tables::sites),
    },
    Route {
        path: "/documents",
        method: "get",
        summary: "One row a document.",
        query: PAGED,
        gives: Gives::Table("documents"),
        handler: || get(tables::documents),
    },
    Route {
        path: "/sites/{id}/assessment",
        method: "get",
        summary: "Everything that is said of one site: series, trends, levels, flags, what to leave alone.",
        query: &[],
        gives: Gives::Object("Assessment"),
        handler: || get(single::assessment),
    },
    Route {
        path: "/sites/{id}/charts/{file}",
        method: "get",
        summary: "A chart: `main` or the id of an analyte, with `.svg` or `.png`.",
        query: DRAWN,
        gives: Gives::File,
        handler: || get(chart::of_site),
    },
    Route {
        path: "/documents/{sha256}/original",
        method: "get",
        summary: "The original, byte for byte.",
        query: &[],
        gives: Gives::File,
        handler: || get(original::bytes),
    },
    Route {
        path: "/progress",
        method: "get",
        summary: "How far the batch in hand is.",
        query: &[],
        gives: Gives::Object("Progress"),
        handler: || get(single::progress),
    },
    Route {
        path: "/inbox",
        method: "post",
        summary: "Puts the body as a file into the inbox; needs a full token.",
        query: &[("name", "The name of the file.")],
        gives: Gives::Object("Taken"),
        handler: || post(inbox::take),
    },
    Route {
        path: "/openapi.json",
        method: "get",
        summary: "This description.",
        query: &[],
        gives: Gives::Object("Description"),
        handler: || get(openapi::answer),
    },
];

/// All of them as a router.
pub fn router() -> Router<Shared> {
    ROUTES.iter().fold(Router::new(), |router, route| {
        router.route(&format!("{PREFIX}{}", route.path), (route.handler)())
    })
}
