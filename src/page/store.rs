//! The history as the pages reach it: a few connections that only read, and one that writes, all on blocking threads.

use super::Trouble;
use crate::config::Settings;
use crate::history::History;
use crate::home::Home;
use crate::ingest::Ingest;
use crate::live::Live;
use std::path::PathBuf;
use std::sync::{Arc, Mutex, PoisonError};
use tokio::sync::Semaphore;

/// Connections that read at the same time.
const READERS: usize = 4;

/// Gives out connections. No lock is held while anything is awaited.
#[derive(Debug, Clone)]
pub struct Store {
    inner: Arc<Inner>,
}

#[derive(Debug)]
struct Inner {
    path: PathBuf,
    home: Home,
    live: Arc<Live>,
    free: Mutex<Vec<History>>,
    seats: Arc<Semaphore>,
    writer: tokio::sync::Mutex<()>,
}

impl Store {
    /// Of a home whose history exists.
    pub fn new(home: &Home, live: &Arc<Live>) -> Self {
        let inner = Inner {
            path: home.history(),
            home: home.clone(),
            live: Arc::clone(live),
            free: Mutex::default(),
            seats: Arc::new(Semaphore::new(READERS)),
            writer: tokio::sync::Mutex::default(),
        };
        Self { inner: Arc::new(inner) }
    }

    /// Reads the history: the function gets a connection of its own on a thread that may wait.
    ///
    /// # Errors
    /// What the function says, or the store.
    pub async fn read<T, F>(&self, read: F) -> Result<T, Trouble>
    where
        T: Send + 'static,
        F: FnOnce(&History) -> Result<T, Trouble> + Send + 'static,
    {
        let inner = Arc::clone(&self.inner);
        let seat = Arc::clone(&inner.seats).acquire_owned().await.map_err(|e| Trouble::inside(&e))?;
        let work = move || {
            let _seat = seat;
            let history = inner.take()?;
            let answer = read(&history);
            inner.give_back(history);
            answer
        };
        tokio::task::spawn_blocking(work).await.map_err(|e| Trouble::inside(&e))?
    }

    /// Changes the history and what follows from it in the home: one such piece of work at a time. The inbox's reader
    /// writes beside it; each waits for the other's transaction.
    ///
    /// # Errors
    /// What the function says, or the store.
    pub async fn write<T, F>(&self, write: F) -> Result<T, Trouble>
    where
        T: Send + 'static,
        F: FnOnce(&mut Ingest) -> Result<T, Trouble> + Send + 'static,
    {
        let inner = Arc::clone(&self.inner);
        let _turn = self.inner.writer.lock().await;
        let work = move || {
            let mut ingest = Ingest {
                home: inner.home.clone(),
                settings: Settings::clone(&inner.live.get()),
                history: History::open(&inner.path)?,
                stop: Arc::default(),
            };
            write(&mut ingest)
        };
        tokio::task::spawn_blocking(work).await.map_err(|e| Trouble::inside(&e))?
    }
}

impl Inner {
    fn take(&self) -> Result<History, Trouble> {
        let free = self.free.lock().unwrap_or_else(PoisonError::into_inner).pop();
        free.map_or_else(|| Ok(History::open_read_only(&self.path)?), Ok)
    }

    fn give_back(&self, history: History) {
        let mut free = self.free.lock().unwrap_or_else(PoisonError::into_inner);
        if free.len() < READERS {
            free.push(history);
        }
    }
}
