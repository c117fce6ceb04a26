//! What a service that runs on does by the clock beside its reading: pick-up, the daily digest, messages that wait.

use super::context::Context;
use super::{checks, messages};
use crate::config::Settings;
use crate::home::Home;
use crate::live::Live;
use jiff::Timestamp;
use jiff::civil::{Date, Time};
use jiff::tz::Offset;
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use std::time::{Duration, Instant};

/// How often the clock is looked at.
const LOOK: Duration = Duration::from_secs(1);

/// How often it is asked whether a check of the store is due.
const CHECK: Duration = Duration::from_secs(3_600);

/// How often messages that wait are looked at.
const SEND: Duration = Duration::from_secs(60);

/// Begins the rounds on a thread of their own, with a connection of their own: a slow server holds up nothing. They end
/// with the process; whatever is cut off is done again.
///
/// # Errors
/// What the system says.
pub fn begin(context: &Context, live: Arc<Live>, stop: Arc<AtomicBool>) -> std::io::Result<()> {
    let (home, as_of) = (context.home.clone(), context.asked_day);
    std::thread::Builder::new().name("rounds".to_owned()).spawn(move || {
        let mut rounds = Rounds { began: Timestamp::now(), sent: None, checked: None, asked: Vec::new() };
        while !stop.load(Ordering::Relaxed) {
            if let Err(error) = rounds.turn(&home, &live, as_of) {
                tracing::warn!(error = %format!("{error:#}"), "a round waits for the next");
                std::thread::sleep(SEND);
            }
            std::thread::sleep(LOOK);
        }
    })?;
    Ok(())
}

/// When what was done last.
struct Rounds {
    began: Timestamp,
    sent: Option<Instant>,
    checked: Option<Instant>,
    /// By the place of the address in the settings.
    asked: Vec<Option<Instant>>,
}

impl Rounds {
    fn turn(&mut self, home: &Home, live: &Live, as_of: Option<Date>) -> anyhow::Result<()> {
        if self.checked.is_none_or(|at| at.elapsed() >= CHECK) {
            self.checked = Some(Instant::now());
            checks::store(home);
        }
        let settings = live.get();
        if settings.webhook.is_none() && settings.smtp.is_none() && settings.pick_up.is_empty() {
            return Ok(());
        }
        let context = Context::with(home.clone(), Settings::clone(&settings), as_of);
        let all = &settings.pick_up;
        self.asked.resize(all.len(), None);
        let mut due = Vec::new();
        for (one, asked) in all.iter().zip(&mut self.asked) {
            let every = Duration::from_secs(one.every_minutes.saturating_mul(60));
            if asked.is_none_or(|at| at.elapsed() >= every) {
                *asked = Some(Instant::now());
                due.push(one.clone());
            }
        }
        let send = self.sent.is_none_or(|at| at.elapsed() >= SEND);
        if due.is_empty() && !send {
            return Ok(());
        }
        let mut history = context.history()?;
        messages::pick_up(&context, &mut history, &due)?;
        if send {
            let last = history.last_digest()?.and_then(|(_, at)| at.parse::<Timestamp>().ok());
            if is_due(Timestamp::now(), last.unwrap_or(self.began), context.settings.digest.at) {
                messages::digest(&context, &mut history)?;
            } else {
                messages::send(&context, &mut history)?;
            }
            self.sent = Some(Instant::now());
        }
        Ok(())
    }
}

/// True where the time of day, UTC, has come since the last time.
fn is_due(now: Timestamp, last: Timestamp, at: Time) -> bool {
    let today = Offset::UTC.to_datetime(now).date();
    [Some(today), today.yesterday().ok()]
        .into_iter()
        .flatten()
        .filter_map(|day| Offset::UTC.to_timestamp(day.to_datetime(at)).ok())
        .any(|moment| moment <= now && moment > last)
}

#[cfg(test)]
mod tests {
    use super::is_due;

    #[test]
    fn the_digest_is_due_once_a_day_at_its_time() {
        let due = |now: &str, last: &str| {
            is_due(now.parse().unwrap(), last.parse().unwrap(), jiff::civil::time(4, 0, 0, 0))
        };
        assert!(!due("2024-05-06T03:59:00Z", "2024-05-05T04:00:01Z"));
        assert!(due("2024-05-06T04:00:00Z", "2024-05-05T04:00:01Z"));
        assert!(!due("2024-05-06T23:00:00Z", "2024-05-06T04:00:02Z"));
        // A night without power: it is made up for.
        assert!(due("2024-05-06T03:00:00Z", "2024-05-04T04:00:00Z"));
    }
}
