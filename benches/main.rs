//! What the program costs, step by step and from outside. `cargo bench`; `cargo bench -- nightly` for one of them.
//!
//! `LOAMLINE_BENCH_STORE=PATH` makes the history of so many sites and seasons at PATH, and measures nothing.
//! `LOAMLINE_BENCH_PAGES=100` asks every page so often and prints what it took; with `LOAMLINE_BENCH_STORE` too, on a copy of
//! that history.
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
    let store = std::env::var_os("LOAMLINE_BENCH_STORE");
    if let Some(times) = std::env::var("LOAMLINE_BENCH_PAGES").ok().and_then(|times| times.parse().ok()) {
        pages::measure(times, store.as_deref().map(std::path::Path::new));
        return;
    }
    // A history alone, to run commands on by hand.
    if let Some(store) = store {
        drop(maker::store::fill_with_waiting(store.as_ref(), maker::scale::sites(), maker::scale::seasons()));
        return;
    }
    divan::main();
}
