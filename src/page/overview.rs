//! All sites at a glance, in memory: made anew site by site when the history's change counter says so.
//!
//! A page never assesses thousands of sites, and never shows an old state without saying so: it asks the history for
//! the last change, waits a moment for that to be worked in, and else says how many sites are behind.

use super::Trouble;
use super::store::Store;
use crate::assess::Assessment;
use crate::assessed::{each_assessment, today};
use crate::chart;
use crate::chart::input::SiteSeason;
use crate::config::Settings;
use crate::flag::{FlagKind, Severity};
use crate::history::History;
use jiff::civil::Date;
use std::collections::{BTreeMap, BTreeSet};
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::time::Duration;
use tokio::sync::watch;

/// How long a page waits for changes to be worked in before it says that they are not.
const PATIENCE: Duration = Duration::from_millis(25);

/// The same right after the start, when there is nothing to show yet.
const AT_FIRST: Duration = Duration::from_secs(3);

/// The history is asked this often whether it changed, when no page asks.
const LOOK: Duration = Duration::from_millis(200);

/// Sites worked in together; what is done so far is shown after each such part.
const AT_ONCE: usize = 250;

/// One site in the list.
#[derive(Debug, Clone, PartialEq)]
pub struct SiteLine {
    /// Its id.
    pub id: String,
    /// What a person reads.
    pub name: String,
    /// Whose it is.
    pub client: Option<String>,
    /// Flags to act on.
    pub act: usize,
    /// Flags to watch.
    pub watch: usize,
    /// The kinds of its flags.
    pub kinds: BTreeSet<FlagKind>,
    /// What the most urgent flag says.
    pub first: Option<String>,
    /// How it stood season by season.
    pub seasons: Vec<SiteSeason>,
}

impl SiteLine {
    fn of(assessment: &Assessment) -> Self {
        let row = chart::site_row(assessment);
        let count = |severity| assessment.flags.iter().filter(|f| f.severity == severity).count();
        Self {
            id: assessment.site.id.clone(),
            name: row.name,
            client: assessment.site.client.clone(),
            act: count(Severity::Act),
            watch: count(Severity::Watch),
            kinds: assessment.flags.iter().map(|f| f.flag).collect(),
            first: assessment.flags.first().map(|f| f.reason.clone()),
            seasons: row.seasons,
        }
    }

    /// The most to act on first, then the most to watch, then by name.
    fn order(&self, other: &Self) -> std::cmp::Ordering {
        let key = |line: &Self| (std::cmp::Reverse(line.act), std::cmp::Reverse(line.watch));
        key(self)
            .cmp(&key(other))
            .then_with(|| self.name.cmp(&other.name))
            .then_with(|| self.id.cmp(&other.id))
    }
}

/// All sites as they stood after a change.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct AllSites {
    /// The most urgent first.
    pub lines: Vec<Arc<SiteLine>>,
    /// The clients there are, in order.
    pub clients: BTreeSet<String>,
    /// The day they were assessed for.
    pub today: Option<Date>,
    /// The last change worked in.
    pub change: i64,
    /// Sites that changed and are not worked in yet.
    pub behind: usize,
}

/// Keeps the list of all sites.
#[derive(Debug)]
pub struct Overview {
    seen: watch::Receiver<Arc<AllSites>>,
    poke: std::sync::mpsc::SyncSender<()>,
}

impl Overview {
    /// Begins to keep it, on a thread of its own that ends when this is dropped.
    ///
    /// # Errors
    /// No thread can be started.
    pub fn keep(history: PathBuf, settings: Settings, as_of: Option<Date>) -> std::io::Result<Self> {
        let (show, seen) = watch::channel(Arc::default());
        let (poke, poked) = std::sync::mpsc::sync_channel(1);
        let mut keeper =
            Keeper { open: None, settings, as_of, show, lines: BTreeMap::new(), change: 0, day: None };
        std::thread::Builder::new().name("overview".into()).spawn(move || {
            loop {
                match poked.recv_timeout(LOOK) {
                    Err(std::sync::mpsc::RecvTimeoutError::Disconnected) => return,
                    Ok(()) | Err(std::sync::mpsc::RecvTimeoutError::Timeout) => {}
                }
                if let Err(error) = keeper.look(&history) {
                    tracing::warn!(cause = %error, "the list of sites waits for the history");
                }
                if keeper.show.is_closed() {
                    return;
                }
            }
        })?;
        Ok(Self { seen, poke })
    }

    /// The sites, with everything worked in that the history knows, or else with the number of sites behind.
    ///
    /// # Errors
    /// What the store says.
    pub async fn now(&self, store: &Store) -> Result<Arc<AllSites>, Trouble> {
        let last = store.read(|history| Ok(history.last_change()?)).await?;
        let mut seen = self.seen.clone();
        if seen.borrow().change < last {
            // Full means that it is poked already.
            let _ = self.poke.try_send(());
            let patience = if seen.borrow().today.is_none() { AT_FIRST } else { PATIENCE };
            let _ =
                tokio::time::timeout(patience, seen.wait_for(|s| s.change >= last && s.behind == 0)).await;
        }
        let shown = Arc::clone(&seen.borrow());
        if shown.change >= last {
            return Ok(shown);
        }
        let change = shown.change;
        let behind = store.read(move |history| Ok(history.sites_changed_after(change)?.len())).await?;
        Ok(Arc::new(AllSites { behind: behind.max(shown.behind), ..AllSites::clone(&shown) }))
    }
}

struct Keeper {
    /// Kept open from look to look; opened anew after an error.
    open: Option<History>,
    settings: Settings,
    as_of: Option<Date>,
    show: watch::Sender<Arc<AllSites>>,
    lines: BTreeMap<String, Arc<SiteLine>>,
    change: i64,
    day: Option<Date>,
}

impl Keeper {
    /// Works in what changed since the last look; on a new day everything.
    fn look(&mut self, path: &Path) -> Result<(), crate::assessed::Error> {
        let day = self.as_of.unwrap_or_else(today);
        let history = match self.open.take() {
            Some(history) => history,
            None => History::open_read_only(path)?,
        };
        if self.day != Some(day) || history.last_change()? < self.change {
            (self.day, self.change) = (Some(day), 0);
        }
        if self.show.borrow().today != Some(day) || history.last_change()? > self.change {
            self.work_in(&history, day)?;
        }
        // A site was removed: its number may have gone to another change since, so everything is made anew.
        if self.lines.len() != history.site_count()? && history.last_change()? <= self.change {
            self.lines.clear();
            self.change = 0;
            self.work_in(&history, day)?;
        }
        self.open = Some(history);
        Ok(())
    }

    fn work_in(&mut self, history: &History, day: Date) -> Result<(), crate::assessed::Error> {
        let changed = history.sites_changed_after(self.change)?;
        let mut left = changed.len();
        for part in changed.chunks(AT_ONCE) {
            let mut sites = Vec::with_capacity(part.len());
            for (id, _) in part {
                match history.site(id)? {
                    Some(site) if site.id == *id => sites.push(site),
                    // Joined into another: that one changed as well.
                    _ => drop(self.lines.remove(id)),
                }
            }
            let lines = &mut self.lines;
            each_assessment(history, &self.settings, sites, day, |assessment| {
                lines.insert(assessment.site.id.clone(), Arc::new(SiteLine::of(&assessment)));
                Ok::<_, crate::assessed::Error>(())
            })?;
            self.change = part.last().map_or(self.change, |(_, change)| *change);
            left = left.saturating_sub(part.len());
            self.publish(day, left);
            if self.show.is_closed() {
                return Ok(());
            }
        }
        if changed.is_empty() {
            self.publish(day, 0);
        }
        Ok(())
    }

    fn publish(&self, day: Date, behind: usize) {
        let mut lines: Vec<Arc<SiteLine>> = self.lines.values().map(Arc::clone).collect();
        lines.sort_by(|a, b| a.order(b));
        let clients = lines.iter().filter_map(|l| l.client.clone()).collect();
        self.show.send_replace(Arc::new(AllSites {
            lines,
            clients,
            today: Some(day),
            change: self.change,
            behind,
        }));
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn line(id: &str, act: usize, watch: usize) -> SiteLine {
        SiteLine {
            id: id.into(),
            name: id.into(),
            client: None,
            act,
            watch,
            kinds: BTreeSet::new(),
            first: None,
            seasons: Vec::new(),
        }
    }

    #[test]
    fn the_most_to_act_on_comes_first_then_the_most_to_watch_then_the_name() {
        let mut lines = [line("b", 0, 0), line("a", 0, 0), line("c", 0, 3), line("d", 1, 0)];
        lines.sort_by(SiteLine::order);
        assert_eq!(lines.map(|l| l.id), ["d", "c", "a", "b"]);
    }
}
