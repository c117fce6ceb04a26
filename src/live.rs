//! The settings in force while a service runs: read anew once their file has changed and lies still, kept where the new
//! ones are wrong.

use crate::config::Settings;
use crate::inbox::listing::Stamp;
use std::hash::{DefaultHasher, Hash, Hasher};
use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Arc, PoisonError, RwLock};
use std::time::{Duration, Instant};

/// How often the file is looked at.
const LOOK: Duration = Duration::from_millis(500);

/// The file is read once it has not changed for so long: an editor may be in the middle of writing it, and a part of
/// settings can be settings, too.
const QUIET: Duration = Duration::from_secs(2);

/// Settings that may change while the program runs. What is asked of it holds for one piece of work; the next asks anew.
#[derive(Debug)]
pub struct Live {
    path: PathBuf,
    now: RwLock<Now>,
    note: RwLock<Option<String>>,
}

#[derive(Debug, Clone)]
struct Now {
    settings: Arc<Settings>,
    mark: u64,
}

impl Now {
    fn of(settings: Settings) -> Self {
        let mut hasher = DefaultHasher::new();
        format!("{settings:?}").hash(&mut hasher);
        Self { settings: Arc::new(settings), mark: hasher.finish() }
    }
}

impl Live {
    /// Begins with the settings as they were read at the start.
    pub fn new(path: PathBuf, settings: Settings) -> Self {
        Self { path, now: RwLock::new(Now::of(settings)), note: RwLock::default() }
    }

    /// The settings in force.
    pub fn get(&self) -> Arc<Settings> {
        self.both().0
    }

    /// The settings in force, and a number that other settings do not have.
    pub fn both(&self) -> (Arc<Settings>, u64) {
        let now = self.now.read().unwrap_or_else(PoisonError::into_inner).clone();
        (now.settings, now.mark)
    }

    /// A sentence where the file says something that is not in force.
    pub fn note(&self) -> Option<String> {
        self.note.read().unwrap_or_else(PoisonError::into_inner).clone()
    }

    fn put_note(&self, note: Option<String>) {
        *self.note.write().unwrap_or_else(PoisonError::into_inner) = note;
    }

    /// Looks at the file until the service stops, on a thread of its own.
    ///
    /// # Errors
    /// No thread can be started.
    pub fn follow(self: &Arc<Self>, stop: Arc<AtomicBool>) -> std::io::Result<()> {
        let live = Arc::clone(self);
        std::thread::Builder::new().name("settings".to_owned()).spawn(move || {
            let (start, mut still, mut said) = (Instant::now(), Still::default(), None);
            while !stop.load(Ordering::Relaxed) {
                if still.is_due(stamp(&live.path), start.elapsed()) {
                    live.read(&mut said);
                }
                std::thread::sleep(LOOK);
            }
        })?;
        Ok(())
    }

    /// Reads the file and takes what may be taken while the program runs; `said` is the last complaint.
    fn read(&self, said: &mut Option<String>) {
        let before = self.get();
        let complaint = match Settings::load(&self.path) {
            Ok(_) if !self.path.exists() && *before != Settings::default() => {
                "they are gone: put the file back, or start the service again to use the defaults".to_owned()
            }
            Ok(read) => {
                *said = None;
                return self.take(&before, read);
            }
            Err(wrong) => wrong.to_string(),
        };
        self.put_note(Some(
            "The settings cannot be used as they stand: those before stay in force, and the log says what is wrong."
                .to_owned(),
        ));
        if said.as_ref() != Some(&complaint) {
            tracing::warn!(cause = %complaint, "the new settings are not used; those read before stay in force");
            *said = Some(complaint);
        }
    }

    fn take(&self, before: &Settings, mut read: Settings) {
        let names = freeze(before, &mut read);
        for name in &names {
            tracing::warn!(setting = name, "changed; this one counts from the next start of the service on");
        }
        let waits =
            || format!("Changed, and followed from the next start of the service on: {}.", names.join(", "));
        self.put_note((!names.is_empty()).then(waits));
        if *before == read {
            return;
        }
        tracing::info!(changed = %changed(before, &read).join(", "), "settings read anew");
        *self.now.write().unwrap_or_else(PoisonError::into_inner) = Now::of(read);
    }
}

/// Puts back what a running service is built on; gives the names of those that were to change.
fn freeze(before: &Settings, read: &mut Settings) -> Vec<&'static str> {
    let mut names = Vec::new();
    if read.serve != before.serve {
        names.push("[serve]");
        read.serve = before.serve.clone();
    }
    if read.watch.inbox != before.watch.inbox {
        names.push("`inbox` under [watch]");
        read.watch.inbox.clone_from(&before.watch.inbox);
    }
    if read.watch.poll != before.watch.poll {
        names.push("`poll` under [watch]");
        read.watch.poll = before.watch.poll;
    }
    names
}

/// Sections that differ.
fn changed(before: &Settings, read: &Settings) -> Vec<&'static str> {
    let sections = [
        ("[limits]", before.limits != read.limits),
        ("[watch]", before.watch != read.watch),
        ("[season]", before.season != read.season),
        ("[guides]", before.guides != read.guides),
        ("[flags]", before.flags != read.flags),
        ("[plan]", before.plan != read.plan),
        ("[digest]", before.digest != read.digest),
        ("[webhook]", before.webhook != read.webhook),
        ("[smtp]", before.smtp != read.smtp),
        ("[trust]", before.trust != read.trust),
        ("[[pick_up]]", before.pick_up != read.pick_up),
        ("[sites]", before.sites != read.sites),
    ];
    sections.into_iter().filter(|(_, differs)| *differs).map(|(name, _)| name).collect()
}

/// What a file is like, none where there is none.
fn stamp(path: &Path) -> Option<Stamp> {
    std::fs::metadata(path).ok().map(|m| Stamp::of(&m))
}

/// When a file has changed and lies still.
#[derive(Debug, Default)]
struct Still {
    /// As it was when it was read last; none before the first time.
    read: Option<Option<Stamp>>,
    /// Another one, and since when it is seen.
    seen: Option<(Option<Stamp>, Duration)>,
}

impl Still {
    /// True where the file is to be read now. The first time it always is: it may have changed between the start and the
    /// first look.
    fn is_due(&mut self, stamp: Option<Stamp>, now: Duration) -> bool {
        if self.read == Some(stamp) {
            self.seen = None;
            return false;
        }
        let since = match self.seen {
            Some((seen, since)) if seen == stamp => since,
            _ => now,
        };
        let due = now.saturating_sub(since) >= QUIET;
        self.seen = (!due).then_some((stamp, since));
        if due {
            self.read = Some(stamp);
        }
        due
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn at(n: u64) -> Duration {
        Duration::from_millis(n)
    }

    #[test]
    fn a_file_is_read_once_it_lies_still_and_once_alone() {
        let stamp = |size| Some(Stamp { device: 1, inode: 2, size, modified: (3, 0) });
        let mut still = Still::default();
        assert!(!still.is_due(stamp(1), at(0)));
        assert!(still.is_due(stamp(1), at(2_000)));
        assert!(!still.is_due(stamp(1), at(9_000)));
        assert!(!still.is_due(stamp(2), at(10_000)), "just changed");
        assert!(!still.is_due(stamp(3), at(11_500)), "still being written");
        assert!(!still.is_due(stamp(3), at(13_000)));
        assert!(still.is_due(stamp(3), at(13_500)));
        assert!(!still.is_due(None, at(14_000)));
        assert!(!still.is_due(stamp(3), at(15_000)), "an editor that replaces it");
        assert!(!still.is_due(stamp(3), at(19_000)));
    }

    fn live(text: &str) -> (tempfile::TempDir, Live) {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("loamline.toml");
        std::fs::write(&path, text).unwrap();
        let live = Live::new(path.clone(), Settings::load(&path).unwrap());
        (folder, live)
    }

    #[test]
    fn what_is_wrong_or_gone_leaves_the_old_in_force() {
        let (_folder, live) = live("[limits]\nseconds = 5\n");
        let (mut said, mark) = (None, live.both().1);
        for broken in ["[limits]\nseconds = 0\n", "[limits]\nsecond = 9\n", "[limits"] {
            std::fs::write(&live.path, broken).unwrap();
            live.read(&mut said);
            assert!(said.as_ref().unwrap().contains("loamline.toml:"), "{said:?}");
            assert_eq!(live.get().limits.seconds, Some(5), "{broken}");
            assert!(live.note().unwrap().contains("stay in force"));
        }
        std::fs::remove_file(&live.path).unwrap();
        live.read(&mut said);
        assert!(said.as_ref().unwrap().contains("gone"), "{said:?}");
        assert_eq!((live.get().limits.seconds, live.both().1), (Some(5), mark));
        std::fs::write(&live.path, "[limits]\nseconds = 9\n").unwrap();
        live.read(&mut said);
        assert_eq!((live.get().limits.seconds, &said, live.note()), (Some(9), &None, None));
        assert_ne!(live.both().1, mark);
    }

    #[test]
    fn what_a_running_service_is_built_on_stays_and_the_rest_is_taken() {
        let (_folder, live) = live("[watch]\ninbox = \"a\"\n");
        let text = "[watch]\ninbox = \"b\"\npoll = true\nsettle_seconds = 9.0\n\n[serve]\nhttps = true\n";
        std::fs::write(&live.path, text).unwrap();
        live.read(&mut None);
        let now = live.get();
        assert_eq!(now.watch.inbox, Some("a".into()));
        assert!(!now.watch.poll && !now.serve.https);
        assert_eq!(now.watch.settle_seconds, 9.0);
        assert!(live.note().unwrap().contains("[serve], `inbox`"), "{:?}", live.note());
    }

    #[test]
    fn every_section_is_spoken_of() {
        let text = "[limits]\nseconds = 9\n[watch]\nempty_minutes = 1\n[season]\nnext_from_month = 8\n[guides]\n\
            default = [\"turf-mlsn\"]\n[flags]\nhorizon_years = 4\n[plan]\nfrom = \"A\"\n[digest]\nat = \"05:00\"\n\
            [webhook]\nurl = \"https://example.org\"\nsecret = \"hush\"\n[smtp]\nhost = \"mail.example.org\"\nfrom = \
            \"soil@example.org\"\nto = [\"a@example.org\"]\n[[pick_up]]\nname = \"a\"\nurl = \"https://example.org\"\n\
            [sites.lawn]\nuse = \"lawn\"\n[trust]\nroots = [\"a.pem\"]\n";
        let all = Settings::parse(text, "x.toml").unwrap();
        let before = Settings::default();
        assert_eq!(changed(&before, &all).len(), 12);
        // A new section needs a line above, or a place among those that wait for a start.
        let mut same = all.clone();
        same.serve.https = true;
        assert_eq!(freeze(&all, &mut same), ["[serve]"]);
        assert_eq!(same, all);
        assert_eq!(format!("{all:?}").matches("hush").count(), 0, "the mark is made of no secret");
    }
}
