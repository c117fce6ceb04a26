//! Shows pages of originals: one reading process of its own, and the last pages seen.

use super::Trouble;
use crate::inbox::listing;
use crate::live::Live;
use crate::reader::look::{Look, Seen};
use crate::reader::parent::Reader;
use std::collections::VecDeque;
use std::path::PathBuf;
use std::sync::Arc;
use std::sync::mpsc::{SyncSender, TrySendError, sync_channel};
use tokio::sync::oneshot;

/// Pages that wait to be drawn; more are told to come again.
const WAITING: usize = 16;

/// Bytes of pages kept.
const KEPT: usize = 24 << 20;

struct Job {
    path: PathBuf,
    look: Look,
    done: oneshot::Sender<Arc<Seen>>,
}

/// Where pages are asked for.
#[derive(Debug)]
pub struct Viewer {
    jobs: SyncSender<Job>,
}

impl Viewer {
    /// Begins, on a thread of its own that ends when this is dropped: a reading process lives as long as the thread that
    /// started it.
    ///
    /// # Errors
    /// No thread can be started.
    pub fn begin(live: Arc<Live>) -> std::io::Result<Self> {
        let (jobs, taken) = sync_channel::<Job>(WAITING);
        std::thread::Builder::new().name("viewer".into()).spawn(move || {
            let program = Reader::own_program().unwrap_or_default();
            let mut limits = live.get().limits();
            let mut reader = Reader::new(program.clone(), limits.clone(), Arc::default());
            let mut kept = Kept::default();
            for job in taken {
                let now = live.get().limits();
                if now != limits {
                    reader = Reader::new(program.clone(), now.clone(), Arc::default());
                    limits = now;
                }
                let seen = kept.find(&job.look).unwrap_or_else(|| {
                    let seen = Arc::new(look(&mut reader, &job));
                    kept.keep(&job.look, &seen);
                    seen
                });
                // Who asked may have gone.
                let _ = job.done.send(seen);
            }
        })?;
        Ok(Self { jobs })
    }

    /// A page of the document that lies at `path`, or inside what lies there.
    ///
    /// # Errors
    /// Too many ask at once.
    pub async fn see(&self, path: PathBuf, look: Look) -> Result<Arc<Seen>, Trouble> {
        let (done, seen) = oneshot::channel();
        self.jobs.try_send(Job { path, look, done }).map_err(|e| match e {
            TrySendError::Full(_) => Trouble::new(
                axum::http::StatusCode::SERVICE_UNAVAILABLE,
                "Too many pages are being drawn.",
                "Try again in a moment.",
            ),
            TrySendError::Disconnected(_) => Trouble::inside(&"the viewer has ended"),
        })?;
        seen.await.map_err(|e| Trouble::inside(&e))
    }
}

fn look(reader: &mut Reader, job: &Job) -> Seen {
    let Ok(Some((bytes, _))) = listing::read_whole(&job.path) else { return Seen::Nothing };
    reader.look(&bytes, &job.look).unwrap_or_else(|cause| {
        tracing::warn!(%cause, "a page could not be shown");
        Seen::Nothing
    })
}

#[derive(Default)]
struct Kept {
    pages: VecDeque<(Look, Arc<Seen>)>,
    bytes: usize,
}

impl Kept {
    fn find(&mut self, look: &Look) -> Option<Arc<Seen>> {
        let at = self.pages.iter().position(|(kept, _)| kept == look)?;
        let found = self.pages.remove(at)?;
        let seen = Arc::clone(&found.1);
        self.pages.push_back(found);
        Some(seen)
    }

    fn keep(&mut self, look: &Look, seen: &Arc<Seen>) {
        self.bytes += weight(seen);
        self.pages.push_back((look.clone(), Arc::clone(seen)));
        while self.bytes > KEPT {
            let Some((_, oldest)) = self.pages.pop_front() else { return };
            self.bytes -= weight(&oldest);
        }
    }
}

fn weight(seen: &Seen) -> usize {
    match seen {
        Seen::Picture { png, .. } => png.len(),
        Seen::Cells { cells, .. } => cells.iter().map(|c| 64 + c.text.len()).sum(),
        Seen::Words { words, .. } => words.iter().map(|w| 96 + w.text.len()).sum(),
        Seen::Nothing => 64,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_oldest_pages_make_room() {
        let mut kept = Kept::default();
        let look = |page| Look { sha256: String::new(), page, cell: None };
        for page in 1..=4 {
            let seen = Seen::Picture { png: vec![0; KEPT / 3], width: 1.0, height: 1.0 };
            kept.keep(&look(page), &Arc::new(seen));
        }
        assert!(kept.find(&look(1)).is_none() && kept.find(&look(4)).is_some());
        assert!(kept.bytes <= KEPT);
    }
}
