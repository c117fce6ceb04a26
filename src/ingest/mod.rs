//! PIPELINE 1: fetch -> known? -> decide -> keep the original -> record -> remove from the inbox.
//!
//! Files are read side by side, and those that are ready are filed together (`group.rs`, the order of work).

pub mod fetch;

pub mod filing;

pub mod names;

pub mod site_of;

pub mod reshelve;

pub mod compare;

pub mod reread;

mod group;

mod guise;

mod recover;

pub mod progress;

use crate::config::Settings;
use crate::history::{DocumentRow, History};
use crate::home::Home;
use crate::inbox::put_away;
use crate::reader::batch;
use crate::reader::parent::Reader;
use crate::soil::Outcome;
use fetch::{Fetched, Fetching, Waits};
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use std::time::{Duration, Instant};

/// Where a file comes from.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Source {
    /// Given by name: it stays where it is.
    Given,
    /// Dropped in the inbox: it goes once it is kept and recorded.
    Inbox,
    /// Found in the home without a record: it is adopted where it lies.
    Home,
}

/// What became of a file, for the person who gave it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Told {
    /// Its name.
    pub file: String,
    /// SHA-256.
    pub sha256: String,
    /// Outcome.
    pub outcome: Outcome,
    /// Why it was held or refused, and what to do.
    pub why: Option<String>,
    /// The document it repeats.
    pub duplicate_of: Option<String>,
    /// Readings in it, members included; 0 where it was known before.
    pub readings: usize,
    /// Of these, how many are held.
    pub held: usize,
    /// True where it was recorded before.
    pub known: bool,
}

/// A home at work.
#[derive(Debug)]
pub struct Ingest {
    /// Folders.
    pub home: Home,
    /// Settings.
    pub settings: Settings,
    /// The history, written by this one alone.
    pub history: History,
    /// Set to end after the file in hand.
    pub stop: Arc<AtomicBool>,
}

/// A file to take: where it lies, and the name it goes by where that is not its own.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Given {
    /// Where.
    pub path: PathBuf,
    /// Its name as it came, where it lies under another one.
    pub name: Option<String>,
}

/// Files filed together, at most: what a kill in the middle makes the next start do again.
const TOGETHER: usize = 256;

/// How long a file that is read may wait for others to be filed with.
const TOGETHER_FOR: Duration = Duration::from_secs(1);

impl Ingest {
    /// Takes all files, reading side by side and recording one after the other in the order given. `tell` hears of
    /// each; a file that waits stays where it is.
    pub fn take(&mut self, paths: &[PathBuf], source: Source, tell: impl FnMut(&Path, Result<Told, Waits>)) {
        let given: Vec<Given> = paths.iter().map(|path| Given { path: path.clone(), name: None }).collect();
        self.take_named(&given, source, tell);
        if let Err(error) = self.reshelve() {
            tracing::warn!(%error, "an original waits to be moved");
        }
    }

    /// The same, where files go by other names than their own.
    pub fn take_named(
        &mut self,
        given: &[Given],
        source: Source,
        mut tell: impl FnMut(&Path, Result<Told, Waits>),
    ) {
        let limits = self.settings.limits();
        let (home, stop, store) = (self.home.clone(), Arc::clone(&self.stop), self.home.history());
        let fetching =
            Fetching { home: &home, limits: &limits, keep_free_mib: self.settings.watch.keep_free_mib };
        let workers = std::thread::available_parallelism().map_or(1, usize::from);
        let mut ready: Vec<(&Given, Result<Fetched, Waits>)> = Vec::new();
        let mut since = Instant::now();
        batch::in_order(
            given,
            workers,
            || {
                let program = Reader::own_program().unwrap_or_default();
                (
                    Reader::new(program, limits.clone(), Arc::clone(&stop)),
                    History::open_read_only(&store).ok(),
                )
            },
            |(reader, history), one| {
                if stop.load(Ordering::Relaxed) {
                    return Err(Waits::Stopped);
                }
                let before = |sha: &str| history.as_ref().and_then(|h| h.document(sha).ok().flatten());
                let known = |sha: &str| is_known(before(sha).as_ref());
                fetching.fetch(&one.path, one.name.as_deref(), known, reader)
            },
            |one, fetched, next| {
                // The same bytes twice, or inside a mail or archive and alone: the second is asked about when the first is
                // recorded.
                let twice = |sha256: &str| {
                    ready.iter().any(|(_, other)| other.as_ref().is_ok_and(|other| other.holds(sha256)))
                };
                if fetched.as_ref().is_ok_and(|fetched| twice(&fetched.sha256)) {
                    self.file_all(&mut ready, source, &mut tell);
                }
                if ready.is_empty() {
                    since = Instant::now();
                }
                ready.push((one, fetched));
                if !next || ready.len() >= TOGETHER || since.elapsed() >= TOGETHER_FOR {
                    self.file_all(&mut ready, source, &mut tell);
                }
                true
            },
        );
        self.file_all(&mut ready, source, &mut tell);
    }

    fn file_all(
        &mut self,
        ready: &mut Vec<(&Given, Result<Fetched, Waits>)>,
        source: Source,
        tell: &mut impl FnMut(&Path, Result<Told, Waits>),
    ) {
        let ready = std::mem::take(ready);
        let paths: Vec<&Path> = ready.iter().map(|(one, _)| one.path.as_path()).collect();
        let fetched = ready.into_iter().map(|(one, fetched)| (one.path.as_path(), fetched)).collect();
        for (path, told) in paths.into_iter().zip(self.file(fetched, source)) {
            tell(path, told);
        }
    }
}

/// A path for a person or a log, without control characters.
pub fn shown(path: &Path) -> String {
    crate::inbox::plain::plain(&path.to_string_lossy())
}

/// Recorded, read, and kept for itself. A refused document is read again: a limit may be raised since, or the program
/// may have learned. What is kept only inside a mail or archive gets a place of its own when it comes alone.
fn is_known(before: Option<&DocumentRow>) -> bool {
    before.is_some_and(|d| d.outcome != Outcome::Refused && kept_for_itself(d))
}

/// True where the original was kept under its own name, and not only inside a mail or archive.
fn kept_for_itself(document: &DocumentRow) -> bool {
    let stored = document.kept_at.as_deref().and_then(|kept| kept.rsplit('/').next());
    stored.is_some_and(|stored| {
        put_away::is_stored_name(stored, &document.source_sha256, &document.source_file)
    })
}

fn this_year() -> i16 {
    jiff::tz::Offset::UTC.to_datetime(jiff::Timestamp::now()).year()
}
