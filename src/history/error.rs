//! What can go wrong with the store, each as one sentence for the person at the keyboard.

use std::path::PathBuf;

/// An error of the store. None of these speaks of a document: the file stays where it is and is tried again.
#[derive(Debug, thiserror::Error)]
pub enum Error {
    /// Another process of ours holds the store for longer than the busy time.
    #[error("the history is in use by another loamline for more than 5 seconds; it is tried again later")]
    Busy(#[source] rusqlite::Error),
    /// No room for the store, or the disk gives errors.
    #[error("the history cannot be written ({0}); free some space or check the disk, then start again")]
    Disk(#[source] rusqlite::Error),
    /// The file is damaged or no store at all.
    #[error("the history is damaged ({0}); run `loamline verify`, then restore the last sound copy")]
    Damaged(#[source] rusqlite::Error),
    /// Written by a newer program.
    #[error(
        "this history was written by a newer version (schema {found}; this one knows {known}); install that version again, or restore an older copy"
    )]
    Newer {
        /// Schema number of the store.
        found: u32,
        /// Highest schema number this program knows.
        known: u32,
    },
    /// The copy before an upgrade could not be made, so the upgrade was not begun.
    #[error("the copy {} before the upgrade of the history could not be made ({source}); free as much space as the history takes, then start again", .path.display())]
    NoCopy {
        /// Where the copy was to go.
        path: PathBuf,
        /// Why not.
        #[source]
        source: Box<Error>,
    },
    /// The store does not keep a write-ahead log: it lies on a network share or a read-only disk.
    #[error("the history at {} cannot keep its log beside it; put the home folder on a local disk that can be written", .0.display())]
    NoLog(PathBuf),
    /// Nothing there to open.
    #[error("there is no history at {}; drop a report in the inbox or run `loamline ingest` first", .0.display())]
    Missing(PathBuf),
    /// A destination that must not exist does.
    #[error("{} is already there; name a new place", .0.display())]
    Exists(PathBuf),
    /// Side files of another store lie where one is to be restored.
    #[error("{} is left from another history; move it away before restoring", .0.display())]
    StaleLog(PathBuf),
    /// A copy that does not pass its check.
    #[error("the copy {} is not sound: {finding}; use another copy", .path.display())]
    UnsoundCopy {
        /// The copy.
        path: PathBuf,
        /// The first finding.
        finding: String,
    },
    /// Not in the history.
    #[error("the history holds no {what} `{key}`")]
    Unknown {
        /// `document`, `reading`, `site`, `decision`.
        what: &'static str,
        /// What was asked for.
        key: String,
    },
    /// A value that no store keeps.
    #[error(
        "{analyte} of sample `{sample}` is not a number and was not recorded; this is a fault of the program, please report it"
    )]
    NotANumber {
        /// Contract id.
        analyte: &'static str,
        /// Name of the sample.
        sample: String,
    },
    /// A decision that cannot be taken.
    #[error("{0}")]
    Refused(String),
    /// A text in the store that this program does not know.
    #[error(
        "the history holds `{text}` as {what}, which this version does not know; install the newer version again"
    )]
    Word {
        /// Which column.
        what: &'static str,
        /// What stands there.
        text: String,
    },
    /// A file beside the store.
    #[error("{} cannot be read or written ({source})", .path.display())]
    File {
        /// Which.
        path: PathBuf,
        /// Why.
        #[source]
        source: std::io::Error,
    },
    /// A fault of the program.
    #[error("the history refused a step of the program ({0}); please report this")]
    Sql(#[source] rusqlite::Error),
    /// A list in the store that is no JSON.
    #[error("a list in the history cannot be read or written ({0}); run `loamline verify`")]
    List(#[from] serde_json::Error),
}

impl From<rusqlite::Error> for Error {
    fn from(error: rusqlite::Error) -> Self {
        use rusqlite::ErrorCode as Code;
        match error.sqlite_error_code() {
            Some(Code::DatabaseBusy | Code::DatabaseLocked) => Self::Busy(error),
            Some(
                Code::DiskFull
                | Code::SystemIoFailure
                | Code::ReadOnly
                | Code::PermissionDenied
                | Code::CannotOpen,
            ) => Self::Disk(error),
            Some(Code::DatabaseCorrupt | Code::NotADatabase) => Self::Damaged(error),
            _ => Self::Sql(error),
        }
    }
}

impl Error {
    /// True for a cause outside the document, which may pass by itself: wait and try again.
    pub const fn may_pass(&self) -> bool {
        matches!(self, Self::Busy(_) | Self::Disk(_) | Self::File { .. })
    }
}
