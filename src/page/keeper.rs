//! Keeps in the background what pages show of all sites: the list, and the sums of the season.
//!
//! A site is assessed anew when the history counts a change of it, and for both from one assessment. Work goes on in
//! small lots, the list first, so that nothing waits for a pass over thousands of sites.

use super::overview::{AllSites, Overview, SiteLine};
use super::seasons::{Figures, Kept, Seasons, Wanted};
use super::stamp::Stamp;
use crate::assessed::{Error, each_assessment, today};
use crate::config::Settings;
use crate::history::{self, History};
use crate::home::Home;
use crate::live::Live;
use crate::plan::dates::current_season;
use crate::plan::demand::SiteDemand;
use crate::plan::{Plan, Product};
use crate::planned;
use jiff::civil::Date;
use std::collections::{BTreeMap, BTreeSet};
use std::sync::mpsc::{Receiver, RecvTimeoutError, SyncSender, sync_channel};
use std::sync::{Arc, PoisonError};
use std::time::{Duration, Instant};
use tokio::sync::watch;

/// The history is asked this often whether it changed, when no page asks.
const LOOK: Duration = Duration::from_millis(200);

/// Sites of the list worked in together; what is done so far is shown after each such lot.
const LOT: usize = 250;

/// The same where a season alone is made: the list must not wait long for it.
const LOT_OF_SEASON: usize = 50;

/// Sums of a season under way are made at most this often.
const PACE: Duration = Duration::from_secs(1);

/// Asks the keeper to look at once.
#[derive(Debug, Clone)]
pub struct Poke(SyncSender<()>);

impl Poke {
    /// Full means that it is poked already.
    pub fn now(&self) {
        let _ = self.0.try_send(());
    }
}

/// Begins to keep both, on a thread of its own that ends when they are dropped.
///
/// # Errors
/// No thread can be started.
pub fn begin(home: Home, live: Arc<Live>, as_of: Option<Date>) -> std::io::Result<(Overview, Seasons)> {
    let (show_list, seen_list) = watch::channel(Arc::default());
    let (show_seasons, seen_seasons) = watch::channel(Arc::default());
    let (poke, poked) = sync_channel(1);
    let wanted = Wanted::default();
    let mut keeper = Keeper {
        home,
        settings: live.get(),
        live,
        as_of,
        wanted: Arc::clone(&wanted),
        open: None,
        day: None,
        list: List { lines: BTreeMap::new(), change: 0, show: show_list },
        seasons: BTreeMap::new(),
        show_seasons,
        products: Products::default(),
        counted: None,
    };
    std::thread::Builder::new().name("keeper".into()).spawn(move || keeper.run(&poked))?;
    let poke = Poke(poke);
    Ok((Overview { seen: seen_list, poke: poke.clone() }, Seasons { seen: seen_seasons, poke, wanted }))
}

struct Keeper {
    home: Home,
    live: Arc<Live>,
    /// Those that what is kept was made by.
    settings: Arc<Settings>,
    as_of: Option<Date>,
    wanted: Wanted,
    /// Kept open from look to look; opened anew after an error.
    open: Option<History>,
    day: Option<Date>,
    list: List,
    seasons: BTreeMap<i16, Season>,
    show_seasons: watch::Sender<Arc<Kept>>,
    products: Products,
    /// Sites and last change when everything was last made anew because the number of sites did not fit.
    counted: Option<(usize, i64)>,
}

struct List {
    lines: BTreeMap<String, Arc<SiteLine>>,
    /// The last change worked in.
    change: i64,
    show: watch::Sender<Arc<AllSites>>,
}

#[derive(Default)]
struct Season {
    sites: BTreeMap<String, Arc<SiteDemand>>,
    /// Sites no plan can be made for, and why.
    wrong: BTreeMap<String, String>,
    /// The last change worked in.
    change: i64,
    /// When it was shown last; none where that must be done.
    shown: Option<Instant>,
}

/// The products file as it was read last.
#[derive(Default)]
struct Products {
    list: Arc<Vec<Product>>,
    /// What told it from others; read again when that differs.
    stamp: Option<Stamp>,
}

impl Keeper {
    fn run(&mut self, poked: &Receiver<()>) {
        let mut more = false;
        loop {
            let asked = match poked.recv_timeout(if more { Duration::ZERO } else { LOOK }) {
                Err(RecvTimeoutError::Disconnected) => return,
                Ok(()) => true,
                Err(RecvTimeoutError::Timeout) => false,
            };
            more = self.look(asked).unwrap_or_else(|error| {
                tracing::warn!(cause = %error, "the list of sites waits for the history");
                false
            });
            if self.list.show.is_closed() && self.show_seasons.is_closed() {
                return;
            }
        }
    }

    /// Works in one lot of what changed since the last look; true where more may be left.
    fn look(&mut self, asked: bool) -> Result<bool, Error> {
        let day = self.as_of.unwrap_or_else(today);
        let history = match self.open.take() {
            Some(history) => history,
            None => History::open_read_only(&self.home.history())?,
        };
        let last = history.last_change()?;
        let furthest = self.seasons.values().map(|season| season.change).fold(self.list.change, i64::max);
        let settings = self.live.get();
        if self.day != Some(day) || last < furthest || !Arc::ptr_eq(&settings, &self.settings) {
            (self.day, self.settings) = (Some(day), settings);
            self.begin_anew();
        }
        self.follow_products(asked);
        self.follow_wanted(day)?;
        let behind = |season: &&Season| season.change < last || season.shown.is_none();
        let more = if self.list.change < last || self.list.show.borrow().today != Some(day) {
            self.work(&history, day, (self.list.change, last), true)?;
            true
        } else if let Some(from) = self.seasons.values().find(behind).map(|season| season.change) {
            self.work(&history, day, (from, last), false)?;
            true
        } else {
            self.count(&history, last)?
        };
        self.open = Some(history);
        Ok(more)
    }

    /// Everything is made anew; what is shown meanwhile says that it is of before.
    fn begin_anew(&mut self) {
        self.list.change = 0;
        for season in self.seasons.values_mut() {
            (season.change, season.shown) = (0, None);
        }
    }

    /// A site was removed, which is no change of any other: everything is made anew, once. True where that is to be done.
    fn count(&mut self, history: &History, last: i64) -> Result<bool, Error> {
        let there = history.site_count()?;
        let fits = |season: &Season| season.sites.len() + season.wrong.len() == there;
        let all_fit = self.list.lines.len() == there && self.seasons.values().all(fits);
        if all_fit || self.counted == Some((there, last)) {
            return Ok(false);
        }
        self.counted = Some((there, last));
        self.list.lines.clear();
        self.seasons.values_mut().for_each(|season| *season = Season::default());
        self.list.change = 0;
        self.show_seasons.send_replace(Arc::default());
        Ok(true)
    }

    /// Other products: every site is planned anew.
    fn follow_products(&mut self, asked: bool) {
        let stamp = planned::products_path(&self.home, &self.settings).map(|path| Stamp::of(&path));
        let same = self.products.stamp.as_ref() == stamp.as_ref();
        if same && !asked {
            return;
        }
        self.products.stamp = stamp;
        // Where it does not fit, each page that needs it reads it and says so.
        if let Ok(list) = planned::products(&self.home, &self.settings)
            && list != *self.products.list
        {
            self.products.list = Arc::new(list);
            for season in self.seasons.values_mut() {
                (season.change, season.shown) = (0, None);
            }
        }
    }

    /// Keeps the season that is planned now, and those asked for last.
    fn follow_wanted(&mut self, day: Date) -> Result<(), Error> {
        let mut kept = self.wanted.lock().unwrap_or_else(PoisonError::into_inner).clone();
        kept.push(current_season(day)?);
        self.seasons.retain(|season, _| kept.contains(season));
        for season in kept {
            self.seasons.entry(season).or_default();
        }
        Ok(())
    }

    /// One lot after a change: of the list and of seasons that are as far, or of seasons alone.
    fn work(
        &mut self,
        history: &History,
        day: Date,
        (from, last): (i64, i64),
        list: bool,
    ) -> Result<(), Error> {
        let most = if list { LOT } else { LOT_OF_SEASON };
        let lot = history.next_changed(from, most)?;
        let upto = if lot.len() < most { last } else { lot.last().map_or(last, |(_, change)| *change) };
        // A long way to go: then the list goes first and alone.
        let alone = list && lot.len() == most;
        let mut along: Vec<(&i16, &mut Season)> =
            self.seasons.iter_mut().filter(|(_, season)| season.change == from && !alone).collect();
        let mut sites = Vec::with_capacity(lot.len());
        for (id, _) in &lot {
            match history.site(id)? {
                Some(site) if site.id == *id => sites.push(site),
                // Joined into another: that one changed as well.
                _ => {
                    self.list.lines.remove(id);
                    along.iter_mut().for_each(|(_, season)| season.remove(id));
                }
            }
        }
        let (settings, products, lines) = (&*self.settings, &self.products.list, &mut self.list.lines);
        each_assessment(history, settings, sites, day, |assessment| {
            for (year, season) in &mut along {
                let plan = planned::plan(history, settings, &assessment, products, **year, day);
                season.take(&assessment.site.id, plan)?;
            }
            if list {
                lines.insert(assessment.site.id.clone(), Arc::new(SiteLine::of(&assessment)));
            }
            Ok::<_, Error>(())
        })?;
        let mut shown = Vec::new();
        for (year, season) in along {
            season.change = upto;
            let due = season.shown.is_none_or(|at| at.elapsed() > PACE);
            if due || upto >= last {
                season.shown = Some(Instant::now());
                shown.push((*year, Arc::new(season.figures(Arc::clone(products), day))));
            }
        }
        if list {
            self.list.change = upto;
            self.list.publish(day, history.count_changed_after(upto)?);
        }
        if !shown.is_empty() {
            let kept: BTreeSet<i16> = self.seasons.keys().copied().collect();
            self.show_seasons.send_modify(|all| {
                let all = Arc::make_mut(all);
                all.retain(|year, _| kept.contains(year));
                all.extend(shown);
            });
        }
        Ok(())
    }
}

impl List {
    fn publish(&self, day: Date, behind: usize) {
        self.show.send_replace(Arc::new(AllSites::of(self.lines.values(), (day, self.change), behind)));
    }
}

impl Season {
    fn take(&mut self, site: &str, plan: anyhow::Result<Plan>) -> Result<(), Error> {
        self.remove(site);
        match plan {
            Ok(plan) => drop(self.sites.insert(site.to_owned(), Arc::new(SiteDemand::of(&plan)))),
            Err(cause) => match cause.downcast::<history::Error>() {
                Ok(error) => return Err(error.into()),
                Err(cause) => drop(self.wrong.insert(site.to_owned(), format!("{cause:#}"))),
            },
        }
        Ok(())
    }

    fn remove(&mut self, site: &str) {
        self.sites.remove(site);
        self.wrong.remove(site);
    }

    fn figures(&self, products: Arc<Vec<Product>>, day: Date) -> Figures {
        let wrong = self.wrong.values().next().cloned();
        Figures::of(self.sites.clone(), products, (day, self.change), wrong)
    }
}
