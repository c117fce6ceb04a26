//! PIPELINE 1 on one page: fetch -> known? -> decide -> keep the original -> record -> remove from the inbox.
//!
//! The order makes the promises: the original is kept before the history knows it, the history knows it before the
//! inbox file goes, and each step may be done again without harm.

pub mod fetch;

pub mod filing;

pub mod site_of;

pub mod reshelve;

use crate::config::Settings;
use crate::history::{DocumentRow, History, InboxNote, NewDocument};
use crate::home::Home;
use crate::inbox::listing::Stamp;
use crate::inbox::put_away::{self, Shelf, Staged};
use crate::reader::parent::Reader;
use crate::reader::{ReadDocument, batch};
use crate::soil::Outcome;
use fetch::{Fetched, Fetching, Matter, Waits};
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};

/// Where a file comes from.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Source {
    /// Given by name: it stays where it is.
    Given,
    /// Dropped in the inbox: it goes once it is kept and recorded.
    Inbox,
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

impl Ingest {
    /// Takes all files, reading side by side and recording one after the other in the order given. `tell` hears of
    /// each; a file that waits stays where it is.
    pub fn take(
        &mut self,
        paths: &[PathBuf],
        source: Source,
        mut tell: impl FnMut(&Path, Result<Told, Waits>),
    ) {
        let limits = self.settings.limits();
        let (home, stop, store) = (self.home.clone(), Arc::clone(&self.stop), self.home.history());
        let fetching =
            Fetching { home: &home, limits: &limits, keep_free_mib: self.settings.watch.keep_free_mib };
        let workers = std::thread::available_parallelism().map_or(1, usize::from);
        batch::in_order(
            paths,
            workers,
            || {
                let program = Reader::own_program().unwrap_or_default();
                (
                    Reader::new(program, limits.clone(), Arc::clone(&stop)),
                    History::open_read_only(&store).ok(),
                )
            },
            |(reader, history), path| {
                if stop.load(Ordering::Relaxed) {
                    return Err(Waits::Stopped);
                }
                let known = |sha: &str| history.as_ref().is_some_and(|h| is_known(h, sha));
                fetching.fetch(path, known, reader)
            },
            |path, fetched| {
                let told = fetched.and_then(|fetched| self.file(path, fetched, source));
                tell(path, told);
                true
            },
        );
    }

    /// Files one fetched document.
    fn file(&mut self, path: &Path, fetched: Fetched, source: Source) -> Result<Told, Waits> {
        let Fetched { name, stamp, sha256, matter } = fetched;
        let note = (source == Source::Inbox).then(|| note(path, stamp));
        let now = jiff::Timestamp::now().to_string();
        let told = match matter {
            // Known by now, or recorded since it was fetched.
            Matter::Known => self.again(name, sha256, note.clone(), now)?,
            _ if is_known(&self.history, &sha256) => self.again(name, sha256, note.clone(), now)?,
            Matter::Read(read, staged) => {
                self.new_document(*read, Some(&staged), path, note.clone(), &now)?
            }
            Matter::TooLarge(read) => self.new_document(*read, None, path, note.clone(), &now)?,
        };
        if let Some(note) = note {
            self.finish(&note)?;
        }
        Ok(told)
    }

    /// The same bytes once more: under another name a copy is noted, under the same name nothing is added.
    fn again(
        &mut self,
        name: String,
        sha256: String,
        note: Option<InboxNote>,
        now: String,
    ) -> Result<Told, Waits> {
        let before = self.history.document(&sha256)?;
        let recorded = self.history.record(&NewDocument {
            file: if name.trim().is_empty() { "document".to_owned() } else { name.clone() },
            sha256: sha256.clone(),
            bytes: 0,
            format: crate::document::Format::Unknown,
            outcome: Outcome::Duplicate,
            why: None,
            kept_at: None,
            inside_of: None,
            recorded_at: now,
            inbox_note: note,
            supersedes: Vec::new(),
            superseded_by: None,
            reports: Vec::new(),
        })?;
        Ok(Told {
            file: name,
            sha256,
            outcome: recorded.outcome,
            why: before.and_then(|b| b.why),
            duplicate_of: recorded.duplicate_of,
            readings: 0,
            held: 0,
            known: true,
        })
    }

    fn new_document(
        &mut self,
        read: ReadDocument,
        staged: Option<&Staged>,
        path: &Path,
        note: Option<InboxNote>,
        now: &str,
    ) -> Result<Told, Waits> {
        let (name, sha256) = (read.name.clone(), read.sha256.clone());
        // Bytes that came before under another name (refused, or inside a mail) keep the name of the first time.
        let before = self.history.document(&sha256)?;
        let first_name = before.as_ref().map_or_else(|| name.clone(), |b| b.source_file.clone());
        let mut filing = filing::prepare(&mut self.history, &self.settings, read, now)?;
        if let Some(refusal) = filing.refusal.as_ref().filter(|_| filing.outcome() == Outcome::Refused)
            && (staged.is_some() || note.is_some())
        {
            put_away::keep_why(&self.home, &sha256, &first_name, refusal).map_err(Waits::Disk)?;
        }
        let kept = match staged {
            Some(staged) => {
                let shelf = match filing.outcome() {
                    Outcome::Filed | Outcome::Duplicate => {
                        Shelf::Filed { year: filing.year().unwrap_or_else(this_year) }
                    }
                    Outcome::Held => Shelf::Held,
                    Outcome::Refused => Shelf::Refused,
                };
                Some(put_away::keep(&self.home, shelf, &sha256, &first_name, staged).map_err(Waits::Disk)?)
            }
            None if note.is_some() => {
                Some(put_away::keep_by_moving(&self.home, path, &sha256, &first_name).map_err(Waits::Disk)?)
            }
            None => None,
        };
        let kept_at = kept.as_deref().map(|k| self.home.relative(k));
        for document in &mut filing.documents {
            document.kept_at.clone_from(&kept_at);
        }
        if let Some(first) = filing.documents.first_mut() {
            first.inbox_note = note;
        }
        let recorded = self.history.record_all(&filing.documents)?;
        let first = recorded.into_iter().next();
        if let (Some(before), Some(kept_at)) = (&before, &kept_at) {
            self.history.set_kept_at(&sha256, kept_at)?;
            for inside in filing.documents.iter().skip(1) {
                let there = self.history.document(&inside.sha256)?;
                if before.kept_at.is_some() && there.is_some_and(|d| d.kept_at == before.kept_at) {
                    self.history.set_kept_at(&inside.sha256, kept_at)?;
                }
            }
        }
        let reports = filing.documents.iter().flat_map(|d| &d.reports);
        let readings = reports.flat_map(|r| &r.samples).map(|s| s.readings.len()).sum();
        // What waits is asked of the history: another issue of the report may speak against this one.
        let mut held = 0;
        let mut stands = None;
        for document in &filing.documents {
            let row = self.history.document(&document.sha256)?;
            held += row.as_ref().map_or(0, |d| usize::try_from(d.held_readings).unwrap_or(usize::MAX));
            stands = stands.or(row);
        }
        let why = filing.refusal.as_ref().map(ToString::to_string);
        let why = why.or_else(|| stands.as_ref().and_then(|d| d.why.clone()));
        let outcome = first.as_ref().map_or(filing.outcome(), |r| r.outcome);
        // A copy of refused bytes is a duplicate to the person, and refused all the same.
        if stands.is_some_and(|d| d.outcome != Outcome::Refused) {
            put_away::leave_refused(&self.home, &sha256, &first_name).map_err(Waits::Disk)?;
        }
        Ok(Told {
            file: name,
            sha256,
            outcome,
            why,
            duplicate_of: first.as_ref().and_then(|r| r.duplicate_of.clone()),
            readings,
            held,
            known: first.is_some_and(|r| !r.added),
        })
    }

    /// Removes an inbox file whose bytes are recorded, if it is still the same, and clears its note.
    fn finish(&mut self, note: &InboxNote) -> Result<(), Waits> {
        let stamp = Stamp {
            device: note.device,
            inode: note.inode,
            size: note.size,
            modified: (note.mtime_s, note.mtime_ns),
        };
        put_away::remove_if_unchanged(&note.path, stamp).map_err(Waits::Unreadable)?;
        self.history.clear_note(note)?;
        Ok(())
    }

    /// Finishes what an interrupted run left: temporary files, and inbox files that are recorded already.
    ///
    /// # Errors
    /// What the store says; an inbox file that cannot be removed now is tried again at the next start.
    pub fn recover(&mut self) -> crate::history::Result<usize> {
        self.home.sweep();
        let mut finished = 0;
        for (note, _) in self.history.notes_to_finish()? {
            match self.finish(&note) {
                Ok(()) => finished += 1,
                Err(Waits::History(e)) => return Err(e),
                Err(e) => {
                    tracing::warn!(file = %shown(&note.path), cause = %e, "an inbox file waits to be removed")
                }
            }
        }
        Ok(finished)
    }
}

/// A path for a person or a log, without control characters.
pub fn shown(path: &Path) -> String {
    crate::inbox::plain::plain(&path.to_string_lossy())
}

/// Recorded, read, and kept for itself. A refused document is read again: a limit may be raised since, or the program
/// may have learned. What is kept only inside a mail or archive gets a place of its own when it comes alone.
fn is_known(history: &History, sha256: &str) -> bool {
    let known = |d: DocumentRow| d.outcome != Outcome::Refused && kept_for_itself(&d);
    history.document(sha256).is_ok_and(|d| d.is_some_and(known))
}

fn kept_for_itself(document: &DocumentRow) -> bool {
    let stored = put_away::stored_name(&document.source_sha256, &document.source_file);
    document.kept_at.as_deref().and_then(|k| k.rsplit('/').next()) == Some(stored.as_str())
}

fn this_year() -> i16 {
    jiff::tz::Offset::UTC.to_datetime(jiff::Timestamp::now()).year()
}

fn note(path: &Path, stamp: Stamp) -> InboxNote {
    InboxNote {
        path: path.to_owned(),
        device: stamp.device,
        inode: stamp.inode,
        size: stamp.size,
        mtime_s: stamp.modified.0,
        mtime_ns: stamp.modified.1,
    }
}
