//! What wakes the listing: change events where the folder sends them, and the clock always.

use crate::home::on_network_share;
use notify::event::{AccessKind, AccessMode};
use notify::{Event, EventKind, RecommendedWatcher, RecursiveMode, Watcher};
use std::path::Path;
use tokio::sync::mpsc;

/// Wakes the one who waits. Events may be lost or doubled: each only means "look at the folder".
#[derive(Debug)]
pub struct Wake {
    events: mpsc::Receiver<()>,
    /// Ends the events when dropped; none where the folder sends none.
    _watcher: Option<RecommendedWatcher>,
    /// Why there are no events, in words; none where there are.
    pub without_events: Option<String>,
}

impl Wake {
    /// Watches a folder; without events where `poll` is set, on network shares, and where the system has none left.
    pub fn new(folder: &Path, poll: bool) -> Self {
        // One place is enough: a wake-up not yet taken covers everything that happened before the next listing.
        let (send, events) = mpsc::channel(1);
        let without = |why: &str| Some(why.to_owned());
        if poll || on_network_share(folder) {
            let why = "the folder sends no change events (set so, or a network share)";
            return Self { events, _watcher: None, without_events: without(why) };
        }
        let watcher = notify::recommended_watcher(move |event: notify::Result<Event>| {
            if event.as_ref().map_or(true, matters) {
                // Full means that a wake-up waits already.
                let _ = send.try_send(());
            }
        })
        .and_then(|mut w| w.watch(folder, RecursiveMode::Recursive).map(|()| w));
        match watcher {
            Ok(w) => Self { events, _watcher: Some(w), without_events: None },
            Err(_) => {
                let why = "the system gives no change events here";
                Self { events, _watcher: None, without_events: without(why) }
            }
        }
    }

    /// Waits for an event; for ever where there are none.
    pub async fn event(&mut self) {
        if self.events.recv().await.is_none() {
            std::future::pending::<()>().await;
        }
    }
}

/// Listing and reading the folder makes events too: only changes and the end of a writer count.
fn matters(event: &Event) -> bool {
    event.need_rescan()
        || match event.kind {
            EventKind::Access(kind) => kind == AccessKind::Close(AccessMode::Write),
            _ => true,
        }
}

#[cfg(test)]
mod tests {
    use super::*;
    use notify::event::{CreateKind, Flag};

    #[test]
    fn reading_the_folder_does_not_wake_and_a_lost_queue_does() {
        assert!(!matters(&Event::new(EventKind::Access(AccessKind::Open(AccessMode::Read)))));
        assert!(matters(&Event::new(EventKind::Access(AccessKind::Close(AccessMode::Write)))));
        assert!(matters(&Event::new(EventKind::Create(CreateKind::File))));
        assert!(matters(&Event::new(EventKind::Other).set_flag(Flag::Rescan)));
    }
}
