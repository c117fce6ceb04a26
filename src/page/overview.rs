//! All sites at a glance, in memory: made anew site by site (`keeper.rs`) when the history's change counter says so.
//!
//! A page never assesses thousands of sites, and never shows an old state without saying so: it asks the history for
//! the last change, waits a moment for that to be worked in, and else says how many sites are behind.

use super::Trouble;
use super::keeper::Poke;
use super::store::Store;
use crate::assess::Assessment;
use crate::chart;
use crate::chart::input::SiteSeason;
use crate::flag::{FlagKind, Severity};
use jiff::civil::Date;
use std::collections::BTreeSet;
use std::sync::Arc;
use std::time::Duration;
use tokio::sync::watch;

/// How long a page waits for changes to be worked in before it says that they are not.
const PATIENCE: Duration = Duration::from_millis(25);

/// The same right after the start, when there is nothing to show yet.
const AT_FIRST: Duration = Duration::from_secs(3);

/// One site in the list.
#[derive(Debug, Clone, PartialEq)]
pub struct SiteLine {
    /// Its id.
    pub id: String,
    /// What a person reads.
    pub name: String,
    /// Whose it is.
    pub client: Option<String>,
    /// Name, id and client in small letters, each on its own line.
    pub found_by: String,
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
    /// Of what is said of a site.
    pub fn of(assessment: &Assessment) -> Self {
        let row = chart::site_row(assessment);
        let count = |severity| assessment.flags.iter().filter(|f| f.severity == severity).count();
        let client = assessment.site.client.clone();
        let words = [&row.name, &assessment.site.id, client.as_deref().unwrap_or_default()];
        Self {
            id: assessment.site.id.clone(),
            found_by: words.join("\n").to_lowercase(),
            name: row.name,
            client,
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

impl AllSites {
    /// These sites, on a day after a change.
    pub fn of<'a>(
        lines: impl Iterator<Item = &'a Arc<SiteLine>>,
        (today, change): (Date, i64),
        behind: usize,
    ) -> Self {
        let mut lines: Vec<Arc<SiteLine>> = lines.map(Arc::clone).collect();
        lines.sort_by(|a, b| a.order(b));
        let clients = lines.iter().filter_map(|line| line.client.clone()).collect();
        Self { lines, clients, today: Some(today), change, behind }
    }
}

/// What the pages ask for the list of all sites.
#[derive(Debug)]
pub struct Overview {
    pub(super) seen: watch::Receiver<Arc<AllSites>>,
    pub(super) poke: Poke,
}

impl Overview {
    /// The sites, with everything worked in that the history knows, or else with the number of sites behind.
    ///
    /// # Errors
    /// What the store says.
    pub async fn now(&self, store: &Store) -> Result<Arc<AllSites>, Trouble> {
        let last = store.read(|history| Ok(history.last_change()?)).await?;
        let mut seen = self.seen.clone();
        if seen.borrow().change < last {
            self.poke.now();
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

#[cfg(test)]
mod tests {
    use super::*;

    fn line(id: &str, act: usize, watch: usize) -> SiteLine {
        SiteLine {
            id: id.into(),
            name: id.into(),
            client: None,
            found_by: id.into(),
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
