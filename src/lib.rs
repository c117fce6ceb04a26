//! loamline turns the reports of soil laboratories into a history of every site.
//!
//! The flow, in the order of the modules below; a module names only what stands above it:
//!
//! ```text
//! inbox -> document -> reading -> check -> history -> trend -> guide -> flag -> plan -> chart, export, page, digest
//! ```

// Words: know nothing, anyone may use them.
pub mod place;

pub mod soil;

// Pure steps in flow order: no files, clock, network or database.
pub mod document;

pub mod reading;

pub mod check;

pub mod trend;

pub mod guide;

pub mod flag;

pub mod assess;

pub mod plan;

pub mod chart;

pub mod digest;

// The store: the only folder that speaks SQL.
pub mod history;

// Outward.
pub mod export;

// Outside: files, clock, signals.
pub mod home;

pub mod health;

pub mod reach;

pub mod config;

pub mod assessed;

pub mod reader;

pub mod inbox;

pub mod live;

pub mod notify;

pub mod ingest;

pub mod settle;

pub mod planned;

// The serving edge: whoever may reach it, and what they see.
pub mod page;

pub mod cli;
