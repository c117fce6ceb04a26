//! One writer at a time, all of its step or nothing; what follows from the step is made in the same transaction.

use super::{Error, History, Result, listing, past};
use rusqlite::Connection;
use std::ops::Deref;
use std::time::{Duration, Instant};

/// Waiting longer than this for another writer is said in the log.
const BUSY: Duration = Duration::from_secs(1);

/// A step of the store under way: taken back when it is dropped without [`Step::commit`].
pub(super) struct Step<'h> {
    history: &'h mut History,
    outermost: bool,
    open: bool,
}

impl History {
    /// Begins a step. Inside [`History::together`] it is a part of that one, taken back alone.
    pub(super) fn begin(&mut self) -> Result<Step<'_>> {
        let outermost = self.connection.is_autocommit();
        let asked = Instant::now();
        if outermost {
            begin_immediately(&self.connection)?;
        } else {
            run(&self.connection, "SAVEPOINT step")?;
        }
        if asked.elapsed() > BUSY {
            tracing::warn!(
                seconds = asked.elapsed().as_secs(),
                "the history was busy: another writer had it"
            );
        }
        Ok(Step { history: self, outermost, open: true })
    }

    /// Does `work` in one step.
    pub(super) fn write<T>(&mut self, work: impl FnOnce(&Connection) -> Result<T>) -> Result<T> {
        let step = self.begin()?;
        let done = work(&step)?;
        step.commit()?;
        Ok(done)
    }

    /// Does several steps in one transaction, on the disk at once: all when this returns, none when it fails. A step
    /// that fails by itself leaves the others.
    ///
    /// # Errors
    /// What `work` gives, or the store.
    pub fn together<T, E: From<Error>>(
        &mut self,
        work: impl FnOnce(&mut Self) -> std::result::Result<T, E>,
    ) -> std::result::Result<T, E> {
        let step = self.begin().map_err(E::from)?;
        let done = work(step.history)?;
        step.commit().map_err(E::from)?;
        Ok(done)
    }

    /// After a failure of the disk nothing in memory is believed: the store is closed and opened again.
    pub fn open_again(&mut self) {
        match Self::open(&self.path) {
            Ok(mut fresh) => std::mem::swap(&mut self.connection, &mut fresh.connection),
            Err(error) => tracing::warn!(%error, "the history cannot be opened again yet"),
        }
    }
}

/// Begins a transaction that keeps in memory what it needs to take a single statement or step back: some hundred pages,
/// which a file would cost two writes each. Where that is kept is settled as the transaction begins; whatever is sorted
/// in it may go to the disk as ever.
fn begin_immediately(connection: &Connection) -> Result<()> {
    connection.pragma_update(None, "temp_store", "MEMORY")?;
    let begun = run(connection, "BEGIN IMMEDIATE");
    // Should it fail, what is sorted stays in memory too.
    let _ = connection.pragma_update(None, "temp_store", "DEFAULT");
    begun
}

/// A word of transactions, which a batch says thousands of times.
fn run(connection: &Connection, word: &str) -> Result<()> {
    connection.prepare_cached(word)?.execute([])?;
    Ok(())
}

impl Step<'_> {
    /// Keeps what was done; outside of another step it is on the disk when this returns, and then in the journal.
    pub(super) fn commit(mut self) -> Result<()> {
        if self.outermost {
            past::renew(&self.history.connection)?;
            listing::renew(&self.history.connection)?;
            #[cfg(test)]
            listing::hold_against(&self.history.connection);
        }
        run(&self.history.connection, if self.outermost { "COMMIT" } else { "RELEASE step" })?;
        self.open = false;
        if self.outermost {
            self.history.write_journal();
        }
        Ok(())
    }
}

impl Deref for Step<'_> {
    type Target = Connection;

    fn deref(&self) -> &Connection {
        &self.history.connection
    }
}

impl Drop for Step<'_> {
    fn drop(&mut self) {
        // A commit that failed may have been taken back by the store itself; then there is nothing left to take back.
        if self.open && !self.history.connection.is_autocommit() {
            let back = if self.outermost { "ROLLBACK" } else { "ROLLBACK TO step; RELEASE step" };
            if self.history.connection.execute_batch(back).is_err() {
                self.history.open_again();
            }
        }
    }
}
