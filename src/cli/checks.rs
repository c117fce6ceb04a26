//! The checks that come by themselves: of the store every day, of its rows against their rules every week, of the store
//! and every original every month.

use crate::health::{self, Health, Kind};
use crate::history::{self, Finding, History};
use crate::home::Home;
use jiff::Timestamp;
use std::sync::atomic::AtomicBool;
use std::time::Duration;

/// The store is checked once it was not for so long: a little less than a day, since a timer is never on time.
const DAILY: Duration = Duration::from_secs(20 * 3_600);

/// Every row is held against the rules of its columns once it was not for so long: as many days as copies are kept of, so
/// that one of them is always sound.
const WEEKLY: Duration = Duration::from_secs(7 * 86_400 - 4 * 3_600);

/// Everything is checked once it was not for so long.
const MONTHLY: Duration = Duration::from_secs(30 * 86_400);

/// Makes what is due, writes down what was found, and gives it. A check that is stopped found nothing and is due still.
///
/// # Errors
/// What the store says where nothing can be checked.
pub fn due(home: &Home, history: &History, stop: &AtomicBool) -> anyhow::Result<Vec<String>> {
    let mut found = alone(home, history);
    if is_due(home, Kind::Verify)
        && let Some(findings) = history.verify_until(home.root(), stop)?
    {
        found = sentences(findings);
        health::checked(home, Kind::Verify, found.clone());
    }
    Ok(found)
}

/// The same of the store alone, where others may work on the originals meanwhile.
pub fn store(home: &Home) {
    if !is_due(home, Kind::Store) && !is_due(home, Kind::Rules) {
        return;
    }
    let found = match History::open(&home.history()) {
        Ok(history) => alone(home, &history),
        Err(error) => {
            let found = vec![not_checked(&error)];
            health::checked(home, Kind::Store, found.clone());
            found
        }
    };
    for sentence in &found {
        tracing::error!("{sentence}");
    }
}

/// What is due of the store alone. One that cannot even be checked is not sound.
fn alone(home: &Home, history: &History) -> Vec<String> {
    let said = |check: history::Result<Vec<Finding>>| {
        check.map_or_else(|error| vec![not_checked(&error)], sentences)
    };
    // The check of the rules holds the quick one.
    if is_due(home, Kind::Rules) {
        let found = said(history.rules_check());
        health::checked(home, Kind::Rules, found.clone());
        health::checked(home, Kind::Store, found.clone());
        return found;
    }
    if is_due(home, Kind::Store) {
        let found = said(history.quick_check());
        health::checked(home, Kind::Store, found.clone());
        return found;
    }
    Vec::new()
}

fn not_checked(error: &history::Error) -> String {
    format!("The history cannot be checked: {}.", error.to_string().trim_end_matches('.'))
}

fn is_due(home: &Home, kind: Kind) -> bool {
    let age = match kind {
        Kind::Store => DAILY,
        Kind::Rules => WEEKLY,
        Kind::Verify => MONTHLY,
    };
    health::is_due(&Health::of(home), kind, age, Timestamp::now())
}

/// What a person reads of findings.
pub fn sentences(findings: Vec<Finding>) -> Vec<String> {
    findings.into_iter().map(|finding| finding.sentence).collect()
}
