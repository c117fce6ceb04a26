//! Whether the home is well: when its inbox was last looked at, and what the last checks of the history found. Kept in
//! small files of the home, so that a monitor asks without the store and without the service.

use crate::home::Home;
use jiff::{SignedDuration, Timestamp};
use serde::{Deserialize, Serialize, de::DeserializeOwned};
use std::io;
use std::sync::atomic::{AtomicU64, Ordering};
use std::time::{Duration, Instant};

/// Clocks of one machine may differ by so much between two looks without having been set.
const CLOCK: SignedDuration = SignedDuration::from_secs(60);

/// Beside two periods, so much is given to a pass itself.
const SLACK: Duration = Duration::from_secs(10);

/// A pass for a timer comes every day.
const NIGHT: Duration = Duration::from_secs(86_400);

/// A pass over the inbox.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Pass {
    /// The command that made it.
    pub by: String,
    /// When it ended, or how far it was.
    pub at: Timestamp,
    /// The next one is there by then: two periods later.
    pub until: Timestamp,
    /// What kept it from its work; none of a single document's own faults.
    pub trouble: Option<String>,
}

/// A check of the history.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Check {
    /// When.
    pub at: Timestamp,
    /// When the first one of its kind was made in this home.
    pub first_at: Timestamp,
    /// What is not as it must be, a sentence each.
    pub findings: Vec<String>,
}

/// Kinds of checks.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Kind {
    /// The pages and rows of the store alone, every day.
    Store,
    /// Every row of the store against the rules of its columns, every week.
    Rules,
    /// The store, every original, and what they say.
    Verify,
}

impl Kind {
    fn file(self) -> &'static str {
        match self {
            Self::Store => "store.json",
            Self::Rules => "rules.json",
            Self::Verify => "verify.json",
        }
    }
}

/// What is known of a home.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Health {
    /// The last pass.
    pub pass: Option<Pass>,
    /// The last check of the store.
    pub store: Option<Check>,
    /// The last check of its rows against the rules of their columns.
    pub rules: Option<Check>,
    /// The last check of everything.
    pub verify: Option<Check>,
}

/// A sentence on one side of it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Said {
    /// Nothing is amiss.
    pub well: bool,
    /// Nobody looked yet, so that nothing is known against it either.
    pub unknown: bool,
    /// The sentence.
    pub sentence: String,
}

impl Health {
    /// What the files of a home say; one that cannot be read says nothing.
    pub fn of(home: &Home) -> Self {
        Self {
            pass: read(home, "pass.json"),
            store: read(home, Kind::Store.file()),
            rules: read(home, Kind::Rules.file()),
            verify: read(home, Kind::Verify.file()),
        }
    }

    /// Sentences on the last pass and on the checks. All are well only where the last pass is younger than two periods
    /// and nothing was found at the last check of either kind.
    pub fn said(&self, now: Timestamp) -> Vec<Said> {
        let well = |sentence| Said { well: true, unknown: false, sentence };
        let not = |sentence| Said { well: false, unknown: false, sentence };
        let unknown = |sentence: &str| Said { well: false, unknown: true, sentence: sentence.to_owned() };
        let pass = match &self.pass {
            None => unknown("The inbox was not looked at yet: run `loamline serve`, `watch` or `nightly`."),
            Some(p) if p.at.duration_since(now) > CLOCK => not(format!(
                "The clock was set back since `{}` looked at the inbox, so that nobody knows when that was.",
                p.by
            )),
            Some(p) if now > p.until => not(format!(
                "The inbox was last looked at {} ago, by `{}`: see that it runs.",
                ago(p.at, now),
                p.by
            )),
            Some(Pass { by, trouble: Some(trouble), .. }) => {
                not(format!("`{by}` is kept from its work: {trouble}."))
            }
            Some(p) => well(format!("The inbox was looked at {} ago, by `{}`.", ago(p.at, now), p.by)),
        };
        let store = match &self.store {
            None => unknown("The history was not checked yet: run `loamline verify`."),
            Some(check) => of_check("The history", check, now).unwrap_or_else(well),
        };
        // That a row goes by its rules is no news of its own; that one does not is.
        let rules = self.rules.as_ref().and_then(|check| of_check("The history", check, now).ok());
        let verify = self.verify.as_ref();
        let verify = verify.map(|c| of_check("The history with its originals", c, now).unwrap_or_else(well));
        [Some(pass), Some(store), rules, verify].into_iter().flatten().collect()
    }
}

impl Health {
    /// What a page says where something is amiss, without its inside.
    pub fn note(&self, now: Timestamp) -> Option<String> {
        let checks = [&self.store, &self.rules, &self.verify];
        let unsound = checks.into_iter().flatten().any(|check| !check.findings.is_empty());
        let pass = self.pass.as_ref();
        let mut notes = Vec::new();
        if pass.is_some_and(|pass| now > pass.until) {
            notes.push("The inbox was not looked at for long.");
        }
        if pass.is_some_and(|pass| pass.trouble.is_some()) {
            notes.push("Reports wait because of the disk, the history or the inbox itself: `loamline health` says why.");
        }
        if unsound {
            notes.push("The last check found that the history is not sound: `loamline verify` says why.");
        }
        (!notes.is_empty()).then(|| notes.join(" "))
    }
}

fn of_check(what: &str, check: &Check, now: Timestamp) -> Result<Said, String> {
    let when = ago(check.at, now);
    let Some(first) = check.findings.first() else {
        return Err(format!("{what} was checked {when} ago and is sound."));
    };
    let more = match check.findings.len() {
        1 => String::new(),
        n => format!(" ({} more)", n - 1),
    };
    let sentence =
        format!("{what} was checked {when} ago and is not sound: {first}{more} Run `loamline verify`.");
    Ok(Said { well: false, unknown: false, sentence })
}

/// `12 s`, `3 min`, `5 h`, `2 days`: whole ones, cut off.
fn ago(at: Timestamp, now: Timestamp) -> String {
    let seconds = now.duration_since(at).as_secs().max(0);
    match seconds {
        0..120 => format!("{seconds} s"),
        120..7_200 => format!("{} min", seconds / 60),
        7_200..172_800 => format!("{} h", seconds / 3_600),
        _ => format!("{} days", seconds / 86_400),
    }
}

/// Writes down what a check found. A file that cannot be written is said in the log and no failure of the check.
pub fn checked(home: &Home, kind: Kind, findings: Vec<String>) {
    let now = Timestamp::now();
    let before: Option<Check> = read(home, kind.file());
    let first_at = before.map_or(now, |check| check.first_at);
    write(home, kind.file(), &Check { at: now, first_at, findings });
}

/// True where the last check of this kind is older than so much, or lies in the future. One that was never made is due
/// at once for the store and its rows; the whole of a home is checked for the first time so long after the store was.
pub fn is_due(health: &Health, kind: Kind, age: Duration, now: Timestamp) -> bool {
    let last = match kind {
        Kind::Store => health.store.as_ref().map(|check| check.at),
        Kind::Rules => health.rules.as_ref().map(|check| check.at),
        Kind::Verify => {
            let first = || health.store.as_ref().map_or(now, |check| check.first_at);
            Some(health.verify.as_ref().map_or_else(first, |check| check.at))
        }
    };
    let age = SignedDuration::try_from(age).unwrap_or(SignedDuration::MAX);
    last.is_none_or(|at| now.duration_since(at) >= age || at.duration_since(now) > CLOCK)
}

/// Where a service says that it is at its work, no more often than needed.
#[derive(Debug, Clone)]
pub struct Pulse {
    home: Home,
    by: &'static str,
    next: Option<Instant>,
    trouble: Option<String>,
}

impl Pulse {
    /// Of a command on a home.
    pub fn new(home: &Home, by: &'static str) -> Self {
        Self { home: home.clone(), by, next: None, trouble: None }
    }

    /// The inbox was looked at, and is again within `every`.
    pub fn looked(&mut self, every: Duration, trouble: Option<String>) {
        if trouble == self.trouble && self.next.is_some_and(|next| Instant::now() < next) {
            return;
        }
        self.trouble = trouble;
        self.next = Some(Instant::now() + every / 2);
        self.put(every.saturating_mul(2).saturating_add(SLACK));
    }

    /// A document is begun that may take so long. Said once a second at most: a crowd of small ones goes by quickly.
    pub fn begins(&mut self, longest: Duration) {
        if self.next.is_none_or(|next| Instant::now() >= next) {
            self.next = Some(Instant::now() + Duration::from_secs(1));
            self.put(longest.saturating_add(SLACK));
        }
    }

    /// The documents in hand are done: what comes next is said at once.
    pub fn worked(&mut self) {
        self.next = None;
    }

    fn put(&self, within: Duration) {
        pass(&self.home, self.by, within, self.trouble.clone());
    }
}

/// A night is over.
pub fn night(home: &Home, by: &str, trouble: Option<String>) {
    pass(home, by, NIGHT * 2, trouble);
}

fn pass(home: &Home, by: &str, within: Duration, trouble: Option<String>) {
    let at = Timestamp::now();
    let until = at.checked_add(within).unwrap_or(Timestamp::MAX);
    write(home, "pass.json", &Pass { by: by.to_owned(), at, until, trouble });
}

fn read<T: DeserializeOwned>(home: &Home, name: &str) -> Option<T> {
    serde_json::from_slice(&std::fs::read(home.health().join(name)).ok()?).ok()
}

fn write<T: Serialize>(home: &Home, name: &str, what: &T) {
    if let Err(error) = written(home, name, what) {
        tracing::debug!(%error, name, "what is known of the home's health could not be kept");
    }
}

/// Whole or not at all. It need not outlive a power cut: after one the next pass says it anew.
fn written<T: Serialize>(home: &Home, name: &str, what: &T) -> io::Result<()> {
    static NEXT: AtomicU64 = AtomicU64::new(0);
    let text = serde_json::to_vec(what).map_err(io::Error::other)?;
    let folder = home.health();
    std::fs::create_dir_all(&folder)?;
    let number = NEXT.fetch_add(1, Ordering::Relaxed);
    let part = home.temp().join(format!("{}-health-{number}", std::process::id()));
    std::fs::write(&part, text)?;
    std::fs::rename(&part, folder.join(name))
}

#[cfg(test)]
mod tests {
    use super::*;
    use jiff::ToSpan;

    fn home() -> (tempfile::TempDir, Home) {
        let dir = tempfile::tempdir().unwrap();
        let home = Home::open(&dir.path().join("home")).unwrap();
        (dir, home)
    }

    fn well(health: &Health, now: Timestamp) -> bool {
        health.said(now).iter().all(|said| said.well)
    }

    #[test]
    fn a_home_is_well_while_the_last_pass_is_younger_than_two_periods_and_the_checks_found_nothing() {
        let (_dir, home) = home();
        let now = Timestamp::now;
        assert!(!well(&Health::of(&home), now()), "nobody looked yet");
        Pulse::new(&home, "watch").looked(Duration::from_secs(30), None);
        assert!(!well(&Health::of(&home), now()), "nobody checked yet");
        checked(&home, Kind::Store, Vec::new());
        let health = Health::of(&home);
        assert!(well(&health, now()) && well(&health, now() + 60.seconds()), "{health:?}");
        assert!(!well(&health, now() + 75.seconds()), "two periods and the slack are over");
        assert!(!well(&health, now() - 5.minutes()), "the clock was set back");
        checked(&home, Kind::Verify, vec!["An original is missing.".to_owned(), "Another.".to_owned()]);
        let said = Health::of(&home).said(now());
        assert!(said.iter().any(|s| !s.well && s.sentence.contains("missing. (1 more)")), "{said:?}");
        checked(&home, Kind::Verify, Vec::new());
        assert!(well(&Health::of(&home), now()));
        assert_eq!(Health::of(&home).note(now()), None);
        checked(&home, Kind::Rules, vec!["The history is damaged: CHECK.".to_owned()]);
        assert!(!well(&Health::of(&home), now()) && Health::of(&home).note(now()).is_some());
        checked(&home, Kind::Rules, Vec::new());
        assert!(well(&Health::of(&home), now()));
        checked(&home, Kind::Store, vec!["The history is damaged: page 3.".to_owned()]);
        assert!(!well(&Health::of(&home), now()));
        let note = Health::of(&home).note(now()).unwrap();
        assert!(note.contains("verify") && !note.contains("page 3"), "{note}");
    }

    #[test]
    fn trouble_is_said_at_once_and_so_is_its_end() {
        let (_dir, home) = home();
        let mut pulse = Pulse::new(&home, "serve");
        let trouble = || Health::of(&home).pass.and_then(|pass| pass.trouble);
        let every = Duration::from_secs(3600);
        pulse.looked(every, None);
        pulse.looked(every, Some("the disk is full".to_owned()));
        assert_eq!(trouble().as_deref(), Some("the disk is full"));
        pulse.looked(every, None);
        assert_eq!(trouble(), None);
        let before = Health::of(&home).pass;
        pulse.looked(every, None);
        assert_eq!(Health::of(&home).pass, before, "nothing new, nothing written");
    }

    #[test]
    fn a_check_is_due_by_its_age_and_the_first_of_everything_after_the_first_of_the_store() {
        let (_dir, home) = home();
        let (day, now) = (Duration::from_secs(86_400), Timestamp::now());
        let due = |kind, now| is_due(&Health::of(&home), kind, day, now);
        assert!(due(Kind::Store, now) && due(Kind::Rules, now) && !due(Kind::Verify, now));
        checked(&home, Kind::Rules, Vec::new());
        assert!(!due(Kind::Rules, now) && due(Kind::Rules, Timestamp::now() + 24.hours()));
        checked(&home, Kind::Store, Vec::new());
        let later = Timestamp::now() + 24.hours();
        assert!(!due(Kind::Store, now) && due(Kind::Store, later));
        assert!(!due(Kind::Verify, now) && due(Kind::Verify, later));
        checked(&home, Kind::Verify, Vec::new());
        assert!(!due(Kind::Verify, now) && due(Kind::Verify, Timestamp::now() + 24.hours()));
        assert!(due(Kind::Verify, now - 1.hour()), "the clock was set back");
    }

    #[test]
    fn a_file_that_is_torn_or_another_programs_says_nothing() {
        let (_dir, home) = home();
        std::fs::create_dir_all(home.health()).unwrap();
        std::fs::write(home.health().join("pass.json"), "{\"by\":").unwrap();
        assert_eq!(Health::of(&home), Health::default());
    }
}
