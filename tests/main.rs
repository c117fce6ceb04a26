//! One test program: a file a promise, most of them tried on the real program from outside.

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::indexing_slicing,
    missing_docs,
    reason = "a helper of a test fails the test, and clippy knows tests by their attribute alone"
)]

mod again;
mod charts;
mod check_values;
mod demo;
mod dependencies;
mod fuzz;
mod goldens;
mod ingest;
mod messages;
mod mutation;
mod page;
mod page_api;
mod page_season;
mod partition;
mod plan;
mod readme;
mod recommended;
mod relaid;
mod scoring;
mod settle;
mod sites;
mod taught;
mod tidy;
mod trust;
mod units;
mod watch;
mod why;
mod world;
