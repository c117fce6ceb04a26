//! What all sites together ask for in a season, in memory: kept site by site, so that no request ever plans them all.
//!
//! A page asks the history for the last change, waits a moment for that to be worked in, and else says how many sites
//! stand as they were before and how many are not in the sums yet.

use super::Trouble;
use super::keeper::Poke;
use super::store::Store;
use crate::plan::Product;
use crate::plan::demand::{DayLine, Demand, Load, SiteDemand, days, demand, loads};
use jiff::civil::Date;
use std::collections::BTreeMap;
use std::sync::{Arc, Mutex, PoisonError};
use std::time::Duration;
use tokio::sync::watch;

/// How long a page waits for changes to be worked in before it says that they are not.
const PATIENCE: Duration = Duration::from_millis(10);

/// The same where there is nothing to show yet.
const AT_FIRST: Duration = Duration::from_secs(2);

/// Seasons kept besides the one that is planned now: those asked for last.
const BESIDES: usize = 2;

/// The sums of a season as they stood after a change.
#[derive(Debug, Default)]
pub struct Figures {
    /// The day they were made for.
    pub today: Option<Date>,
    /// The last change worked in.
    pub change: i64,
    /// The products they were made with.
    pub products: Arc<Vec<Product>>,
    /// What each site asks for; by id.
    pub sites: BTreeMap<String, Arc<SiteDemand>>,
    /// What keeps a plan from being made: a settings line or product that is not there.
    pub wrong: Option<String>,
    /// Questions to settle first.
    pub questions: usize,
    /// By product.
    pub demand: Vec<Demand>,
    /// Day by day, site by site.
    pub days: Vec<DayLine>,
    /// Day by day.
    pub loads: Vec<Load>,
}

impl Figures {
    /// The sums over these sites.
    pub fn of(
        sites: BTreeMap<String, Arc<SiteDemand>>,
        products: Arc<Vec<Product>>,
        (today, change): (Date, i64),
        wrong: Option<String>,
    ) -> Self {
        let all = || sites.values().map(|site| &**site);
        Self {
            today: Some(today),
            change,
            wrong,
            questions: all().map(|site| site.questions).sum(),
            demand: demand(all(), &products),
            days: days(all()),
            loads: loads(all(), &products),
            sites,
            products,
        }
    }
}

/// Figures, and what they lack.
#[derive(Debug)]
pub struct Shown {
    /// The sums.
    pub figures: Arc<Figures>,
    /// Sites that stand as they were before their last change, on an earlier day, or with other products.
    pub old: usize,
    /// Sites that are not in the sums yet.
    pub missing: usize,
}

/// Seasons by year.
pub type Kept = BTreeMap<i16, Arc<Figures>>;

/// Seasons that somebody asked for, the last one first.
pub type Wanted = Arc<Mutex<Vec<i16>>>;

/// What the pages ask for the sums of a season.
#[derive(Debug)]
pub struct Seasons {
    pub(super) seen: watch::Receiver<Arc<Kept>>,
    pub(super) poke: Poke,
    pub(super) wanted: Wanted,
}

impl Seasons {
    /// The season with everything worked in that the history knows, or else with what it lacks.
    ///
    /// # Errors
    /// What the store says.
    pub async fn now(
        &self,
        store: &Store,
        season: i16,
        today: Date,
        products: Vec<Product>,
    ) -> Result<Shown, Trouble> {
        self.want(season);
        let last = store.read(|history| Ok(history.last_change()?)).await?;
        let alike = |f: &Figures| f.today == Some(today) && *f.products == products;
        let whole = |kept: &Arc<Kept>| kept.get(&season).is_some_and(|f| alike(f) && f.change >= last);
        let mut seen = self.seen.clone();
        if !whole(&seen.borrow()) {
            self.poke.now();
            let patience = if seen.borrow().contains_key(&season) { PATIENCE } else { AT_FIRST };
            let _ = tokio::time::timeout(patience, seen.wait_for(whole)).await;
        }
        let figures = seen.borrow().get(&season).map(Arc::clone).unwrap_or_default();
        if alike(&figures) && figures.change >= last {
            return Ok(Shown { figures, old: 0, missing: 0 });
        }
        let since = if alike(&figures) { figures.change } else { 0 };
        let known = Arc::clone(&figures);
        let (old, missing) = store
            .read(move |history| {
                let left = history.standing_sites_changed_after(since)?;
                let old = left.iter().filter(|id| known.sites.contains_key(*id)).count();
                Ok((old, left.len() - old))
            })
            .await?;
        Ok(Shown { figures, old, missing })
    }

    /// Puts a season first among those that are kept.
    fn want(&self, season: i16) {
        let mut wanted = self.wanted.lock().unwrap_or_else(PoisonError::into_inner);
        wanted.retain(|other| *other != season);
        wanted.insert(0, season);
        // The one planned now may be among them.
        wanted.truncate(BESIDES + 1);
    }
}
