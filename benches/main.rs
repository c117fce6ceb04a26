//! What the program costs, step by step and from outside. `cargo bench`; `cargo bench -- nightly` for one of them.
//!
//! `LOAMLINE_BENCH_STORE=PATH` makes the history of so many sites and seasons at PATH, and measures nothing.
//!
//! The defaults take a minute or two. Environment variables (`LOAMLINE_BENCH_SITES`, `_SEASONS`, `_FILES`, `_MOST_SITES`)
//! make the work larger; what each means stands in `maker/scale.rs`. Compare figures of one run alone: other work on the
//! machine moves them all.

#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::indexing_slicing,
    clippy::cast_possible_truncation,
    missing_docs,
    reason = "a bench that cannot go on ends"
)]

mod maker;

mod words;

mod reading;

mod ingest;

mod trends;

mod drawing;

mod nightly;

mod start;

mod pages;

mod program;

fn main() {
    // A history alone, to run commands on by hand.
    if let Some(store) = std::env::var_os("LOAMLINE_BENCH_STORE") {
        drop(maker::store::fill(store.as_ref(), maker::scale::sites(), maker::scale::seasons()));
        return;
    }
    divan::main();
}
