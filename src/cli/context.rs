//! What every command needs: the home, its settings, the history, and a voice.

use super::say::Say;
use crate::config::Settings;
use crate::history::History;
use crate::home::Home;
use crate::ingest::Ingest;
use crate::live::Live;
use jiff::civil::Date;
use std::path::PathBuf;
use std::sync::Arc;
use std::sync::atomic::AtomicBool;

/// The home asked for on the command line, else in the environment.
pub fn or_environment(asked: Option<PathBuf>) -> Option<PathBuf> {
    asked.or_else(|| std::env::var_os("LOAMLINE_HOME").map(PathBuf::from))
}

/// A command's surroundings.
#[derive(Debug)]
pub struct Context {
    /// The home folder.
    pub home: Home,
    /// Its settings.
    pub settings: Settings,
    /// The day assessments are made for.
    pub today: Date,
    /// The day asked for with `--as-of`; a service without one goes with the days.
    pub asked_day: Option<Date>,
    /// Output.
    pub say: Say,
    /// Set when the program is asked to stop: long work ends at its next sound state.
    pub stop: Arc<AtomicBool>,
}

impl Context {
    /// Opens the home asked for, or the user's own.
    ///
    /// # Errors
    /// A sentence on the home or its settings.
    pub fn open(asked: Option<PathBuf>, as_of: Option<Date>) -> anyhow::Result<Self> {
        Self::open_at(Home::open(&Home::locate(or_environment(asked))?)?, as_of)
    }

    /// Works in this home.
    ///
    /// # Errors
    /// A sentence on its settings.
    pub fn open_at(home: Home, as_of: Option<Date>) -> anyhow::Result<Self> {
        let settings = Settings::load(&home.settings())?;
        Ok(Self::with(home, settings, as_of))
    }

    /// Works in this home with settings that were read already.
    pub fn with(home: Home, settings: Settings, as_of: Option<Date>) -> Self {
        let today = as_of.unwrap_or_else(crate::assessed::today);
        Self { home, settings, today, asked_day: as_of, say: Say::default(), stop: Arc::default() }
    }

    /// The settings as a service follows them from here on, until it stops.
    ///
    /// # Errors
    /// No thread can be started.
    pub fn live(&self) -> std::io::Result<Arc<Live>> {
        let live = Arc::new(Live::new(self.home.settings(), self.settings.clone()));
        live.follow(Arc::clone(&self.stop))?;
        Ok(live)
    }

    /// The history, made on first use.
    ///
    /// # Errors
    /// What the store says.
    pub fn history(&self) -> anyhow::Result<History> {
        Ok(History::open(&self.home.history())?)
    }

    /// A writer of documents into the history, with interrupted work finished first.
    ///
    /// # Errors
    /// What the store says.
    pub fn ingest(&self) -> anyhow::Result<Ingest> {
        let limits = self.settings.limits();
        tracing::info!(
            version = env!("CARGO_PKG_VERSION"),
            schema = History::schema(),
            sqlite = History::sqlite_version(),
            home = %crate::ingest::shown(self.home.root()),
            file_bytes = limits.file_bytes,
            memory_mib = limits.memory_mib,
            seconds = limits.seconds,
            "started"
        );
        let mut ingest = Ingest {
            home: self.home.clone(),
            settings: self.settings.clone(),
            history: self.history()?,
            stop: Arc::clone(&self.stop),
        };
        let finished = ingest.recover()?;
        if finished > 0 {
            tracing::info!(files = finished, "finished what an interrupted run had begun");
        }
        Ok(ingest)
    }

    /// The drop folder.
    pub fn inbox(&self) -> PathBuf {
        self.settings.watch.inbox.as_ref().map_or_else(|| self.home.inbox(), |p| self.home.root().join(p))
    }
}
