//! The order of work for files filed together. It makes the promises: an original is on its way before it is moved, kept
//! before the history knows it, known before the inbox file goes; every step may be done again without harm.

use super::fetch::{Fetched, Matter, Waits};
use super::names::Names;
use super::{Ingest, Source, Told, filing, is_known, kept_for_itself, this_year};
use crate::history::{self, Added, DocumentRow, InboxNote, NewDocument, Now};
use crate::home;
use crate::inbox::listing::Stamp;
use crate::inbox::put_away::{self, Shelf, Staged};
use crate::reader::ReadDocument;
use crate::soil::Outcome;
use filing::Filing;
use std::path::{Path, PathBuf};

/// A file on its way through the steps.
enum Work {
    /// It is done, or waits.
    Over(Result<Told, Waits>),
    /// Its bytes are recorded already.
    Known(Box<Known>),
    /// It is new.
    New(Box<New>),
}

struct Known {
    document: NewDocument,
    note: Option<InboxNote>,
    before: Option<DocumentRow>,
}

struct New {
    name: String,
    sha256: String,
    filing: Filing,
    note: Option<InboxNote>,
    before: Option<DocumentRow>,
    from: From,
    /// Where it is kept; none for a given file beyond the size that is read.
    at: Option<PathBuf>,
    /// The place it leaves, once this one is recorded.
    leaves: Option<String>,
    on_its_way: Option<i64>,
}

/// Where the kept bytes come from.
enum From {
    Staged(Staged),
    Moved(PathBuf),
}

impl Ingest {
    /// Files fetched documents, and says in the same order what became of each.
    pub(super) fn file(
        &mut self,
        fetched: Vec<(&Path, Result<Fetched, Waits>)>,
        source: Source,
    ) -> Vec<Result<Told, Waits>> {
        let now = jiff::Timestamp::now().to_string();
        let mut works = self.decide(fetched, source, &now);
        self.keep(&mut works);
        let noted = self.record(&mut works);
        self.clear_inbox(&noted, &mut works);
        works
            .into_iter()
            .map(|work| match work {
                Work::Over(told) => told,
                Work::Known(_) | Work::New(_) => Err(Waits::Stopped),
            })
            .collect()
    }

    /// Step 1: what each is, and where it goes; both are committed before anything moves.
    fn decide(
        &mut self,
        fetched: Vec<(&Path, Result<Fetched, Waits>)>,
        source: Source,
        now: &str,
    ) -> Vec<Work> {
        let n = fetched.len();
        let Self { home, settings, history, .. } = self;
        let decided = history.together(|history| {
            let mut works = Vec::with_capacity(n);
            let mut names = Names::default();
            for (path, fetched) in fetched {
                works.push(match fetched {
                    Err(waits) => Work::Over(Err(waits)),
                    Ok(fetched) => {
                        decide_one(history, &mut names, home, settings, path, fetched, source, now)
                            .unwrap_or_else(|error| Work::Over(Err(error.into())))
                    }
                });
            }
            Ok::<_, history::Error>(works)
        });
        decided.unwrap_or_else(|error| fail(n, &error))
    }

    /// Step 2: every original at its place, and the names on the disk.
    fn keep(&self, works: &mut [Work]) {
        for work in works.iter_mut() {
            let Work::New(new) = work else { continue };
            if let Err(error) = self.keep_one(new) {
                *work = Work::Over(Err(Waits::Disk(error)));
            }
        }
        let kept = works.iter().filter_map(|work| match work {
            Work::New(new) => new.at.as_deref(),
            _ => None,
        });
        if let Err(error) = put_away::sync_folders(kept) {
            let said = format!("no copy can be kept ({error})");
            for work in works.iter_mut().filter(|work| matches!(work, Work::New(_))) {
                *work = Work::Over(Err(Waits::Shared(said.clone())));
            }
        }
    }

    fn keep_one(&self, new: &New) -> std::io::Result<()> {
        let Some(at) = &new.at else { return Ok(()) };
        if let Some(refusal) =
            new.filing.refusal.as_ref().filter(|_| new.filing.outcome() == Outcome::Refused)
        {
            put_away::keep_why(&self.home, at, refusal)?;
        }
        match &new.from {
            From::Staged(staged) => put_away::put(staged, at),
            From::Moved(from) if from == at => Ok(()),
            From::Moved(from) => put_away::put_by_moving(&self.home, from, at),
        }
    }

    /// Step 3: one transaction with everything that was read and the notes of the inbox names. Gives those notes, each
    /// with the place of its file.
    fn record(&mut self, works: &mut Vec<Work>) -> Vec<(usize, InboxNote)> {
        let n = works.len();
        let home = &self.home;
        let taken = std::mem::take(works);
        let recorded = self.history.together(|history| {
            let mut done = Vec::with_capacity(n);
            for work in taken {
                done.push(add_one(history, home, work));
            }
            // Asked once all are in: a later one may change what an earlier one is, and a site's past is made once.
            history.renew()?;
            let told = done.into_iter().map(|(work, added)| tell_one(history, work, added.first()));
            Ok::<_, history::Error>(told.collect::<Vec<_>>())
        });
        let done = match recorded {
            Ok(done) => done,
            Err(error) => {
                self.history.open_again();
                works.extend(fail(n, &error));
                return Vec::new();
            }
        };
        let mut notes = Vec::new();
        for (at, (one, note)) in done.into_iter().enumerate() {
            notes.extend(note.map(|note| (at, note)));
            works.push(Work::Over(match one {
                Err(told) => told,
                Ok(Recorded { told, leaves }) => {
                    if let Some((old, id)) = leaves {
                        self.leave(&old, id);
                    }
                    Ok(told)
                }
            }));
        }
        notes
    }

    /// The place that an original left for a better one. Should it fail, the next start does it.
    pub(super) fn leave(&mut self, old: &str, id: i64) {
        let gone = put_away::remove_kept(&self.home.root().join(old));
        let ended = gone.map_err(Waits::Disk).and_then(|()| Ok(self.history.end_move(id)?));
        if let Err(error) = ended {
            tracing::warn!(%error, "an original that was kept elsewhere waits to be removed");
        }
    }

    /// Step 4: inbox names whose bytes are recorded go, if they are still the same files; then their notes.
    fn clear_inbox(&mut self, notes: &[(usize, InboxNote)], works: &mut [Work]) {
        let mut gone = Vec::new();
        for (at, note) in notes {
            match put_away::remove_if_unchanged(&note.path, stamp(note)) {
                Ok(_) => gone.push(note),
                Err(error) => {
                    if let Some(work) = works.get_mut(*at) {
                        *work = Work::Over(Err(Waits::Unreadable(error)));
                    }
                }
            }
        }
        if gone.is_empty() {
            return;
        }
        let cleared = put_away::sync_folders(gone.iter().map(|note| note.path.as_path()))
            .map_err(Waits::Disk)
            .and_then(|()| {
                self.history
                    .together(|history| gone.iter().try_for_each(|note| Ok(history.clear_note(note)?)))
            });
        if let Err(error) = cleared {
            tracing::warn!(%error, "notes of the inbox wait to be cleared");
        }
    }

    /// Removes an inbox file whose bytes are recorded, if it is still the same, and clears its note.
    pub(super) fn finish(&mut self, note: &InboxNote) -> Result<(), Waits> {
        put_away::remove_if_unchanged(&note.path, stamp(note)).map_err(Waits::Unreadable)?;
        match put_away::sync_folders([note.path.as_path()]) {
            // The folder itself may be gone.
            Err(error) if error.kind() != std::io::ErrorKind::NotFound => return Err(Waits::Disk(error)),
            _ => {}
        }
        self.history.clear_note(note)?;
        Ok(())
    }
}

struct Recorded {
    told: Told,
    leaves: Option<(String, i64)>,
}

fn fail(n: usize, error: &history::Error) -> Vec<Work> {
    (0..n).map(|_| Work::Over(Err(Waits::Shared(error.to_string())))).collect()
}

#[allow(clippy::too_many_arguments)]
fn decide_one(
    history: &mut history::History,
    names: &mut Names,
    home: &home::Home,
    settings: &crate::config::Settings,
    path: &Path,
    fetched: Fetched,
    source: Source,
    now: &str,
) -> history::Result<Work> {
    let Fetched { name, stamp, sha256, matter } = fetched;
    let note = (source == Source::Inbox).then(|| note(path, stamp));
    let before = history.document(&sha256)?;
    let (read, from) = match matter {
        // Known by now, or recorded since it was fetched.
        Matter::Known => return Ok(Work::Known(Box::new(known(name, sha256, note, before, now)))),
        _ if is_known(before.as_ref()) => {
            return Ok(Work::Known(Box::new(known(name, sha256, note, before, now))));
        }
        Matter::Read(read, staged) => (*read, Some(From::Staged(staged))),
        Matter::TooLarge(read) => (*read, (source != Source::Given).then(|| From::Moved(path.to_owned()))),
    };
    new(history, names, home, settings, read, from, before, note, now).map(|new| Work::New(Box::new(new)))
}

#[allow(clippy::too_many_arguments)]
fn new(
    history: &mut history::History,
    names: &mut Names,
    home: &home::Home,
    settings: &crate::config::Settings,
    read: ReadDocument,
    from: Option<From>,
    before: Option<DocumentRow>,
    note: Option<InboxNote>,
    now: &str,
) -> history::Result<New> {
    let (name, sha256, size) = (read.name.clone(), read.sha256.clone(), read.bytes_len);
    // Bytes that came before under another name (refused, or inside a mail) keep the name of the first time.
    let first_name = before.as_ref().map_or_else(|| name.clone(), |b| b.source_file.clone());
    let mut filing = filing::prepare(history, names, settings, read, now)?;
    let shelf = match filing.outcome() {
        Outcome::Filed | Outcome::Duplicate => Shelf::Filed { year: filing.year().unwrap_or_else(this_year) },
        Outcome::Held => Shelf::Held,
        Outcome::Refused => Shelf::Refused,
    };
    let at = from.as_ref().map(|_| put_away::place(home, shelf, &sha256, &first_name, size));
    let kept_at = at.as_deref().map(|at| home.relative(at));
    for document in &mut filing.documents {
        document.kept_at.clone_from(&kept_at);
    }
    if let Some(first) = filing.documents.first_mut() {
        first.inbox_note.clone_from(&note);
    }
    let leaves = before
        .as_ref()
        .filter(|b| kept_for_itself(b) && b.kept_at != kept_at && kept_at.is_some())
        .and_then(|b| b.kept_at.clone());
    let on_its_way = match &kept_at {
        Some(to) => {
            Some(history.begin_move(&sha256, &first_name, leaves.as_deref(), to, &home::process())?)
        }
        None => None,
    };
    let from = from.unwrap_or(From::Moved(PathBuf::new()));
    Ok(New { name, sha256, filing, note, before, from, at, leaves, on_its_way })
}

/// The same bytes once more: under another name a copy is noted, under the same name nothing is added.
fn known(
    name: String,
    sha256: String,
    note: Option<InboxNote>,
    before: Option<DocumentRow>,
    now: &str,
) -> Known {
    let document = NewDocument {
        file: if name.trim().is_empty() { "document".to_owned() } else { name },
        sha256,
        bytes: 0,
        format: crate::document::Format::Unknown,
        outcome: Outcome::Duplicate,
        why: None,
        kept_at: None,
        inside_of: None,
        recorded_at: now.to_owned(),
        inbox_note: note.clone(),
        reports: Vec::new(),
    };
    Known { document, note, before }
}

/// Records a document with what is inside it, but for what becomes of them.
fn add_one(history: &mut history::History, home: &home::Home, work: Work) -> (Work, Vec<Added>) {
    let added = match &work {
        Work::Over(_) => return (work, Vec::new()),
        Work::Known(known) => history.add_all(std::slice::from_ref(&known.document)),
        Work::New(new) => add_new(history, home, new),
    };
    match added {
        Ok(added) => (work, added),
        Err(error) => (Work::Over(Err(error.into())), Vec::new()),
    }
}

fn add_new(history: &mut history::History, home: &home::Home, new: &New) -> history::Result<Vec<Added>> {
    let documents = &new.filing.documents;
    let added = history.add_all(documents)?;
    let kept_at = new.at.as_deref().map(|at| home.relative(at));
    if let (Some(before), Some(kept_at)) = (&new.before, &kept_at) {
        history.set_kept_at(&new.sha256, kept_at)?;
        for inside in documents.iter().skip(1) {
            let there = history.document(&inside.sha256)?;
            if before.kept_at.is_some() && there.is_some_and(|d| d.kept_at == before.kept_at) {
                history.set_kept_at(&inside.sha256, kept_at)?;
            }
        }
    }
    if let Some(id) = new.on_its_way.filter(|_| new.leaves.is_none()) {
        history.end_move(id)?;
    }
    Ok(added)
}

/// What became of a recorded document, and the note of its inbox name.
fn tell_one(
    history: &history::History,
    work: Work,
    added: Option<&Added>,
) -> (Result<Recorded, Result<Told, Waits>>, Option<InboxNote>) {
    let (told, leaves, note) = match work {
        Work::Over(told) => return (Err(told), None),
        Work::Known(known) => (told_again(history, &known, added), None, known.note),
        Work::New(new) => (told(history, &new, added), new.leaves.zip(new.on_its_way), new.note),
    };
    match told {
        Ok(told) => (Ok(Recorded { told, leaves }), note),
        Err(error) => (Err(Err(error.into())), None),
    }
}

/// What a document is now, and which it repeats. The same bytes under another name repeat themselves.
fn became(added: Option<&Added>, row: Option<&Now>) -> Option<(Outcome, Option<String>)> {
    match added.filter(|added| added.copy) {
        Some(copy) => Some((Outcome::Duplicate, Some(copy.sha256.clone()))),
        None => row.map(|row| (row.outcome, row.duplicate_of.clone())),
    }
}

fn told_again(history: &history::History, known: &Known, added: Option<&Added>) -> history::Result<Told> {
    let row = history.now(&known.document.sha256)?;
    let (outcome, duplicate_of) = became(added, row.as_ref()).unwrap_or((Outcome::Duplicate, None));
    Ok(Told {
        file: known.document.file.clone(),
        sha256: known.document.sha256.clone(),
        outcome,
        why: known.before.as_ref().and_then(|b| b.why.clone()),
        duplicate_of,
        readings: 0,
        held: 0,
        known: true,
    })
}

fn told(history: &history::History, new: &New, added: Option<&Added>) -> history::Result<Told> {
    let documents = &new.filing.documents;
    let reports = documents.iter().flat_map(|d| &d.reports);
    let readings = reports.flat_map(|r| &r.samples).map(|s| s.readings.len()).sum();
    // What waits is asked of the history: another issue of the report, or the site's past, may speak against this one.
    let (mut held, mut first, mut stands) = (0, None, None);
    for document in documents {
        let row = history.now(&document.sha256)?;
        held += row.as_ref().map_or(0, |d| usize::try_from(d.held_readings).unwrap_or(usize::MAX));
        first = first.or_else(|| became(added, row.as_ref()));
        stands = stands.or(row);
    }
    // A copy of refused bytes is a duplicate to the person, and refused all the same.
    let (outcome, duplicate_of) = first.unwrap_or((new.filing.outcome(), None));
    let why = new.filing.refusal.as_ref().map(ToString::to_string);
    Ok(Told {
        file: new.name.clone(),
        sha256: new.sha256.clone(),
        outcome,
        why: why.or_else(|| stands.as_ref().and_then(|d| d.why.clone())),
        duplicate_of,
        readings,
        held,
        known: added.is_some_and(|added| !added.added),
    })
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

fn stamp(note: &InboxNote) -> Stamp {
    Stamp { device: note.device, inode: note.inode, size: note.size, modified: (note.mtime_s, note.mtime_ns) }
}
