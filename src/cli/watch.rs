//! `watch`: reads whatever lands in the inbox until it is stopped.

use super::Exit;
use super::context::Context;
use super::ingest::sentence;
use crate::config::{Settings, WatchSettings};
use crate::inbox::listing::{self, Found};
use crate::inbox::settle::Settling;
use crate::inbox::wake::Wake;
use crate::inbox::writers;
use crate::ingest::fetch::Waits;
use crate::ingest::progress::Teller;
use crate::ingest::{Ingest, Source, shown};
use crate::live::Live;
use std::collections::HashMap;
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
            let mut work = tokio::spawn(keep_reading(inbox, live, ingest, Teller::default()));
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
        for (path, cause) in trouble {
            tracing::warn!(path = %shown(&path), %cause, "waiting: it cannot be listed");
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
            let pass = tokio::task::spawn_blocking(move || {
                let mut said = Vec::new();
                teller.begin(due.len());
                ingest.take(&due, Source::Inbox, |path, told| {
                    report(path, &told);
                    teller.told(&told);
                    said.push((path.to_owned(), told.err()));
                });
                teller.end();
                (ingest, said)
            });
            let (back, said) = pass.await?;
            ingest = back;
            for (path, waits) in said {
                later.note(path, waits.is_some(), start.elapsed());
            }
        }
        let now = start.elapsed();
        let every = list_every(&settings.watch, &wake);
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
    waiting: HashMap<PathBuf, (Duration, Duration)>,
}

impl Later {
    fn is_due(&self, path: &Path, now: Duration) -> bool {
        self.waiting.get(path).is_none_or(|(at, _)| now >= *at)
    }

    fn note(&mut self, path: PathBuf, waits: bool, now: Duration) {
        let before = self.waiting.remove(&path);
        if waits {
            let pause = before.map_or(FIRST_RETRY, |(_, pause)| (pause * 2).min(LAST_RETRY));
            self.waiting.insert(path, (now + pause, pause));
        }
    }

    fn next(&self, now: Duration) -> Option<Duration> {
        self.waiting.values().map(|(at, _)| at.saturating_sub(now)).min()
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
        later.note(path.clone(), true, s(0));
        assert!(!later.is_due(&path, Duration::from_millis(900)) && later.is_due(&path, s(1)));
        later.note(path.clone(), true, s(1));
        assert_eq!(later.next(s(1)), Some(s(2)));
        for _ in 0..20 {
            later.note(path.clone(), true, s(10));
        }
        assert_eq!(later.next(s(10)), Some(LAST_RETRY));
        later.note(path.clone(), false, s(11));
        assert!(later.is_due(&path, s(11)) && later.next(s(11)).is_none());
    }
}
