//! `watch`: reads whatever lands in the inbox until it is stopped.

use super::Exit;
use super::context::Context;
use super::ingest::sentence;
use crate::config::{Settings, WatchSettings};
use crate::health::Pulse;
use crate::inbox::listing::{self, Found};
use crate::inbox::settle::Settling;
use crate::inbox::wake::Wake;
use crate::inbox::writers;
use crate::ingest::fetch::Waits;
use crate::ingest::progress::Teller;
use crate::ingest::{Ingest, Source, shown};
use crate::live::Live;
use std::collections::{HashMap, HashSet};
use std::io;
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::sync::atomic::Ordering;
use std::time::{Duration, Instant};
use tokio::signal::unix::{SignalKind, signal};

/// A file that waits for a cause outside it is tried again after a second, then after twice as long each time.
const FIRST_RETRY: Duration = Duration::from_secs(1);

/// The longest pause between two tries.
const LAST_RETRY: Duration = Duration::from_secs(300);

/// Reads whatever lands in the inbox until stopped.
#[derive(Debug, clap::Args)]
#[command(
    after_help = "Examples:\n  loamline watch\n  loamline --home ~/soil watch\n\nThe drop folder is `inbox/` in the home, or `inbox` under [watch] in loamline.toml. Changed settings are taken while it runs; wrong ones are named in the log, and the last good ones stay in force. Stops on Ctrl-C or SIGTERM once the file in hand is finished."
)]
pub struct Watch {}

impl Watch {
    /// Runs it.
    ///
    /// # Errors
    /// What concerns the home or the history as a whole.
    pub fn run(self, context: &mut Context) -> anyhow::Result<Exit> {
        let runtime = tokio::runtime::Builder::new_current_thread().enable_all().build()?;
        runtime.block_on(async {
            // Signals first: from here on a stop is clean.
            let mut term = signal(SignalKind::terminate())?;
            let mut int = signal(SignalKind::interrupt())?;
            let _lock = context.home.lock_service()?;
            let mut ingest = context.ingest()?;
            ingest.reshelve()?;
            let stop = Arc::clone(&ingest.stop);
            let inbox = context.inbox();
            std::fs::create_dir_all(&inbox)?;
            let inbox = inbox.canonicalize()?;
            let live = context.live()?;
            super::rounds::begin(context, Arc::clone(&live), Arc::clone(&stop))?;
            let pulse = Pulse::new(&context.home, "watch");
            let mut work = tokio::spawn(keep_reading(inbox, live, ingest, Teller::default(), pulse));
            tokio::select! {
                ended = &mut work => return ended?,
                _ = term.recv() => {}
                _ = int.recv() => {}
            }
            stop.store(true, Ordering::Relaxed);
            tokio::select! {
                ended = &mut work => ended?,
                // A second signal ends at once; nothing is lost by that.
                _ = term.recv() => std::process::exit(0),
                _ = int.recv() => std::process::exit(0),
            }
        })?;
        Ok(Exit::Fine)
    }
}

/// Lists, waits until files are whole, files them, for ever.
pub(super) async fn keep_reading(
    inbox: PathBuf,
    live: Arc<Live>,
    mut ingest: Ingest,
    teller: Teller,
    mut pulse: Pulse,
) -> anyhow::Result<()> {
    let mut settings = live.get();
    let mut wake = Wake::new(&inbox, settings.watch.poll);
    if let Some(why) = &wake.without_events {
        tracing::info!(%why, "the inbox is listed every 5 seconds");
    }
    tracing::info!(inbox = %shown(&inbox), version = env!("CARGO_PKG_VERSION"), "watching");
    let start = Instant::now();
    let mut settling = settling_by(&settings.watch);
    let mut later = Later::default();
    let stop = Arc::clone(&ingest.stop);
    while !stop.load(Ordering::Relaxed) {
        let mut trouble = Vec::new();
        let listed = listing::list(&inbox, &mut trouble);
        let mut not_listed = None;
        for (path, cause) in trouble {
            tracing::warn!(path = %shown(&path), %cause, "waiting: it cannot be listed");
            not_listed = Some(format!("the inbox cannot be listed whole ({cause})"));
        }
        if not_listed.is_none() {
            later.keep_to(&listed);
        }
        let now = live.get();
        if !Arc::ptr_eq(&now, &settings) {
            // The waits of the files in hand begin anew; a pass goes by one set of settings.
            settling = settling_by(&now.watch);
            ingest.settings = Settings::clone(&now);
            settings = now;
        }
        let whole = whole_files(&mut settling, listed, &inbox, start.elapsed());
        let due: Vec<PathBuf> =
            whole.into_iter().map(|f| f.path).filter(|p| later.is_due(p, start.elapsed())).collect();
        if !due.is_empty() {
            // Reading blocks; the signals are heard meanwhile.
            let teller = teller.clone();
            let (mut at_work, longest) = (pulse.clone(), longest(&settings));
            at_work.worked();
            at_work.begins(longest);
            let pass = tokio::task::spawn_blocking(move || {
                let mut said = Vec::new();
                teller.begin(due.len());
                ingest.take(&due, Source::Inbox, |path, told| {
                    report(path, &told);
                    teller.told(&told);
                    at_work.begins(longest);
                    said.push((path.to_owned(), told.err()));
                });
                teller.end();
                (ingest, said)
            });
            let (back, said) = pass.await?;
            ingest = back;
            for (path, waits) in said {
                later.note(path, waits.as_ref(), start.elapsed());
            }
            pulse.worked();
        }
        let now = start.elapsed();
        let every = list_every(&settings.watch, &wake);
        pulse.looked(every, not_listed.or_else(|| later.trouble()));
        let pause =
            [Some(every), settling.next(now), later.next(now)].into_iter().flatten().min().unwrap_or(every);
        let pause = pause.max(Duration::from_millis(50));
        let asked = async {
            while !stop.load(Ordering::Relaxed) && Arc::ptr_eq(&live.get(), &settings) {
                tokio::time::sleep(Duration::from_millis(100)).await;
            }
        };
        tokio::select! {
            () = tokio::time::sleep(pause) => {}
            () = wake.event() => {}
            () = asked => {}
        }
    }
    tracing::info!("stopped");
    Ok(())
}

/// The longest that nothing may be heard of while a document is read: its time, with text recognition.
fn longest(settings: &Settings) -> Duration {
    let limits = settings.limits();
    Duration::from_secs(limits.seconds.saturating_mul(2).saturating_add(limits.ocr_seconds))
}

/// How long the inbox is left unlisted when nothing wakes.
fn list_every(settings: &WatchSettings, wake: &Wake) -> Duration {
    let most = if wake.without_events.is_some() { 5 } else { u64::MAX };
    Duration::from_secs(settings.list_seconds.clamp(1, most))
}

fn settling_by(settings: &WatchSettings) -> Settling {
    Settling::new(settings.settle(), Duration::from_secs(settings.empty_minutes.saturating_mul(60)))
}

/// Of a listing, the files that are whole by the clock and have no open writer.
fn whole_files(settling: &mut Settling, listed: Vec<Found>, inbox: &Path, now: Duration) -> Vec<Found> {
    let mut writing = None;
    settling.whole(listed, now, |found| {
        let open = writing.get_or_insert_with(|| writers::open_below(inbox));
        open.contains(&(found.stamp.device, found.stamp.inode))
    })
}

/// One log line a document.
fn report(path: &Path, told: &Result<crate::ingest::Told, Waits>) {
    match told {
        Ok(told) => tracing::info!(sha256 = %told.sha256, "{}", sentence(told)),
        Err(Waits::Stopped) => {}
        Err(cause) => tracing::warn!(file = %shown(path), %cause, "waiting"),
    }
}

/// One look for a batch: a listing, the quiet time, a second listing; what did not change and has no writer is whole.
pub fn settled_once(inbox: &Path, settings: &WatchSettings) -> (Vec<Found>, Vec<(PathBuf, io::Error)>) {
    let start = Instant::now();
    let mut settling = settling_by(settings);
    let mut trouble = Vec::new();
    let listed = listing::list(inbox, &mut trouble);
    if listed.is_empty() {
        return (listed, trouble);
    }
    whole_files(&mut settling, listed, inbox, start.elapsed());
    std::thread::sleep(settings.settle());
    trouble.clear();
    let listed = listing::list(inbox, &mut trouble);
    let waited = Duration::from_secs(settings.empty_minutes.saturating_mul(60));
    let old_and_empty: Vec<Found> = listed.iter().filter(|f| long_empty(f, waited)).cloned().collect();
    let mut whole = whole_files(&mut settling, listed, inbox, start.elapsed());
    whole.extend(old_and_empty);
    whole.sort_by(|a, b| a.path.cmp(&b.path));
    (whole, trouble)
}

/// One pass cannot wait ten minutes for an empty file: by the file's own time it may have waited long enough.
fn long_empty(found: &Found, waited: Duration) -> bool {
    let now = std::time::SystemTime::now().duration_since(std::time::UNIX_EPOCH).unwrap_or_default();
    let since = Duration::from_secs(u64::try_from(found.stamp.modified.0).unwrap_or(0));
    found.stamp.size == 0 && now.checked_sub(since).is_some_and(|age| age >= waited)
}

/// Files that wait for a cause outside them, with their next try.
#[derive(Debug, Default)]
struct Later {
    waiting: HashMap<PathBuf, Wait>,
}

#[derive(Debug)]
struct Wait {
    /// The next try.
    at: Duration,
    /// The pause before it.
    pause: Duration,
    /// The cause, where it is the home's own.
    of_the_home: Option<String>,
}

impl Later {
    fn is_due(&self, path: &Path, now: Duration) -> bool {
        self.waiting.get(path).is_none_or(|wait| now >= wait.at)
    }

    fn note(&mut self, path: PathBuf, waits: Option<&Waits>, now: Duration) {
        let before = self.waiting.remove(&path);
        if let Some(cause) = waits {
            let pause = before.map_or(FIRST_RETRY, |before| (before.pause * 2).min(LAST_RETRY));
            let of_the_home = cause.is_of_the_home().then(|| cause.to_string());
            self.waiting.insert(path, Wait { at: now + pause, pause, of_the_home });
        }
    }

    /// Forgets files that are gone: nobody tries them again, so their time would be over for ever.
    fn keep_to(&mut self, listed: &[Found]) {
        if !self.waiting.is_empty() {
            let there: HashSet<&Path> = listed.iter().map(|found| found.path.as_path()).collect();
            self.waiting.retain(|path, _| there.contains(path.as_path()));
        }
    }

    fn next(&self, now: Duration) -> Option<Duration> {
        self.waiting.values().map(|wait| wait.at.saturating_sub(now)).min()
    }

    /// What keeps files waiting that is no fault of theirs.
    fn trouble(&self) -> Option<String> {
        self.waiting.values().filter_map(|wait| wait.of_the_home.as_deref()).min().map(str::to_owned)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_file_that_waits_is_tried_again_ever_more_rarely_and_for_ever() {
        let s = Duration::from_secs;
        let mut later = Later::default();
        let path = PathBuf::from("a");
        let full = Waits::Full(50);
        later.note(path.clone(), Some(&full), s(0));
        assert!(!later.is_due(&path, Duration::from_millis(900)) && later.is_due(&path, s(1)));
        later.note(path.clone(), Some(&full), s(1));
        assert_eq!(later.next(s(1)), Some(s(2)));
        for _ in 0..20 {
            later.note(path.clone(), Some(&full), s(10));
        }
        assert_eq!(later.next(s(10)), Some(LAST_RETRY));
        assert!(later.trouble().is_some_and(|why| why.contains("50 MiB free")));
        later.note(path.clone(), None, s(11));
        assert!(later.is_due(&path, s(11)) && later.next(s(11)).is_none() && later.trouble().is_none());
    }

    #[test]
    fn a_file_that_waits_and_goes_is_not_waited_for() {
        let s = Duration::from_secs;
        let dir = tempfile::tempdir().unwrap();
        let mut later = Later::default();
        for name in ["stays", "goes"] {
            let path = dir.path().join(name);
            std::fs::write(&path, name).unwrap();
            later.note(path, Some(&Waits::Changed), s(0));
        }
        assert!(later.trouble().is_none(), "a file's own trouble is not the home's");
        std::fs::remove_file(dir.path().join("goes")).unwrap();
        later.keep_to(&listing::list(dir.path(), &mut Vec::new()));
        assert_eq!(later.waiting.keys().collect::<Vec<_>>(), [&dir.path().join("stays")]);
    }
}
