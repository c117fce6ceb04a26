//! The checks that come by themselves: of the store every day, of the store and every original every month.

use crate::health::{self, Health, Kind};
use crate::history::{self, Finding, History};
use crate::home::Home;
use jiff::Timestamp;
use std::sync::atomic::AtomicBool;
use std::time::Duration;

/// The store is checked once it was not for so long: a little less than a day, since a timer is never on time.
const DAILY: Duration = Duration::from_secs(20 * 3_600);

/// Everything is checked once it was not for so long.
const MONTHLY: Duration = Duration::from_secs(30 * 86_400);

/// Makes what is due, writes down what was found, and gives it. A check that is stopped found nothing and is due still.
///
/// # Errors
/// What the store says where nothing can be checked.
pub fn due(home: &Home, history: &History, stop: &AtomicBool) -> anyhow::Result<Vec<String>> {
    let mut found = Vec::new();
    if is_due(home, Kind::Store) {
        found = quick(history);
        health::checked(home, Kind::Store, found.clone());
    }
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
    if !is_due(home, Kind::Store) {
        return;
    }
    let found = match History::open(&home.history()) {
        Ok(history) => quick(&history),
        Err(error) => vec![not_checked(&error)],
    };
    for sentence in &found {
        tracing::error!("{sentence}");
    }
    health::checked(home, Kind::Store, found);
}

/// A store that cannot even be checked is not sound.
fn quick(history: &History) -> Vec<String> {
    history.quick_check().map_or_else(|error| vec![not_checked(&error)], sentences)
}

fn not_checked(error: &history::Error) -> String {
    format!("The history cannot be checked: {}.", error.to_string().trim_end_matches('.'))
}

fn is_due(home: &Home, kind: Kind) -> bool {
    let age = match kind {
        Kind::Store => DAILY,
        Kind::Verify => MONTHLY,
    };
    health::is_due(&Health::of(home), kind, age, Timestamp::now())
}

/// What a person reads of findings.
pub fn sentences(findings: Vec<Finding>) -> Vec<String> {
    findings.into_iter().map(|finding| finding.sentence).collect()
}
