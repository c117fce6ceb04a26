//! The store: the only folder that speaks SQL.
//!
//! What was read is written once; what a person decides stands beside it. What counts follows from the set of
//! originals and decisions alone: never from the order or the time in which they came.

pub mod error;

mod columns;

mod open;

pub mod document;

pub mod listing;

mod waiting;

mod sampled;

mod printing;

mod lookup;

mod same;

pub mod record;

mod issue;

mod past;

mod journal;

pub mod audit;

pub mod to_copy;

pub mod printed;

pub mod replay;

mod transaction;

pub mod moves;

pub mod reading;

pub mod recommendation;

mod bulk;

mod standing;

pub mod decision;

mod whereabouts;

pub mod site;

mod site_rows;

pub mod state;

pub mod code;

mod change;

mod alike;

mod changes;

pub mod taught;

mod reissue;

mod undo;

pub mod application;

pub mod note;

pub mod outbox;

pub mod told;

pub mod picked_up;

pub mod backup;

pub mod verify;

pub use decision::{Decision, DecisionRow};
pub use document::{Copy, DocumentRow, Now};
pub use error::Error;
pub use journal::beside as journal_of;
pub use listing::{ListedDocument, Listing};
pub use moves::Move;
pub use note::InboxNote;
pub use outbox::{Message, NewMessage};
pub use picked_up::PickedUp;
pub use printed::PrintedRow;
pub use reading::{Filter, HeldReading};
pub use record::{Added, NewDocument, NewReading, NewReport, NewSample, RecordedDocument};
pub use site::{KeptSite, KnownName, NameOfSite, Purpose};
pub use site_rows::name_key;
pub use state::{SiteCode, State, ZoneFacts};
pub use taught::TaughtRow;
pub use told::{DigestRecord, Told};
pub use verify::Finding;

#[cfg(test)]
mod examples;

#[cfg(test)]
mod tests;

use rusqlite::Connection;
use std::path::{Path, PathBuf};

/// What every function here gives back.
pub type Result<T> = std::result::Result<T, Error>;

/// An open history.
#[derive(Debug)]
pub struct History {
    connection: Connection,
    path: PathBuf,
    /// Up to which line the journal file is known to be written.
    journaled: std::cell::Cell<Option<i64>>,
}

impl History {
    /// Where the store lies.
    pub fn path(&self) -> &Path {
        &self.path
    }

    /// The version of the bundled SQLite, for the log and for `verify`.
    pub fn sqlite_version() -> &'static str {
        rusqlite::version()
    }

    /// The schema this program writes.
    pub const fn schema() -> u32 {
        open::SCHEMA
    }
}
