//! How far a batch is, for whoever looks on while it runs.

use super::Told;
use super::fetch::Waits;
use crate::soil::Outcome;
use serde::Serialize;
use tokio::sync::watch;

/// How far the batch in hand is; between batches, how the last one ended.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize)]
pub struct Progress {
    /// Counts the batches since the start.
    pub batch: u64,
    /// True while files are read.
    pub working: bool,
    /// Files of the batch.
    pub files: usize,
    /// Files done.
    pub done: usize,
    /// Filed.
    pub filed: usize,
    /// Held.
    pub held: usize,
    /// Refused.
    pub refused: usize,
    /// Known before.
    pub duplicate: usize,
    /// Waiting for a cause outside them.
    pub waiting: usize,
    /// The file done last.
    pub last: Option<String>,
}

/// Where the one who reads says how far he is. Nobody need listen.
#[derive(Debug, Clone)]
pub struct Teller(watch::Sender<Progress>);

impl Default for Teller {
    fn default() -> Self {
        Self(watch::Sender::new(Progress::default()))
    }
}

impl Teller {
    /// Listens: the state now, and every change from here on.
    pub fn listen(&self) -> watch::Receiver<Progress> {
        self.0.subscribe()
    }

    /// A batch of so many files begins.
    pub fn begin(&self, files: usize) {
        self.0.send_modify(|p| {
            *p = Progress { batch: p.batch + 1, working: true, files, ..Progress::default() };
        });
    }

    /// One file is done.
    pub fn told(&self, told: &Result<Told, Waits>) {
        self.0.send_modify(|p| {
            p.done += 1;
            match told {
                Ok(told) => {
                    *match told.outcome {
                        Outcome::Filed => &mut p.filed,
                        Outcome::Held => &mut p.held,
                        Outcome::Refused => &mut p.refused,
                        Outcome::Duplicate => &mut p.duplicate,
                    } += 1;
                    p.last = Some(told.file.clone());
                }
                Err(_) => p.waiting += 1,
            }
        });
    }

    /// The batch is done.
    pub fn end(&self) {
        self.0.send_modify(|p| p.working = false);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_batch_is_counted_from_its_beginning_to_its_end() {
        let teller = Teller::default();
        let listen = teller.listen();
        teller.begin(2);
        teller.told(&Err(Waits::Stopped));
        assert_eq!((listen.borrow().done, listen.borrow().waiting, listen.borrow().working), (1, 1, true));
        teller.end();
        assert!(!listen.borrow().working);
        teller.begin(1);
        assert_eq!((listen.borrow().batch, listen.borrow().done), (2, 0));
    }
}
