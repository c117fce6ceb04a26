//! Sends what waits: each try is counted before it begins, each success marked before the next message of its line goes.

use super::{Failed, mail, wait_for, webhook};
use crate::config::Settings;
use crate::history::{self, History, Message};
use crate::reach::settings::seconds;
use jiff::Timestamp;
use std::collections::HashSet;
use std::path::Path;
use std::time::Duration;

/// Tries of a message in one pass.
const TRIES: u32 = 3;

/// The longest pause between two passes.
const LAST_PAUSE: Duration = Duration::from_secs(12 * 3600);

/// What became of the messages of a pass.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Passed {
    /// Messages that went out.
    pub sent: usize,
    /// Why messages wait, a sentence each.
    pub waiting: Vec<String>,
    /// What is given up and why, a sentence each.
    pub given_up: Vec<String>,
}

/// Sends what waits and is due. Messages to one receiver go in the order they were made: one that waits holds back the
/// later ones.
///
/// # Errors
/// What the store says; a failure to send is no error.
pub fn send_waiting(history: &mut History, settings: &Settings, home: &Path) -> history::Result<Passed> {
    let messages = history.messages_waiting()?;
    if messages.is_empty() {
        return Ok(Passed::default());
    }
    match wait_for(pass(history, settings, home, messages)) {
        Ok(passed) => passed,
        Err(cause) => Ok(Passed {
            waiting: vec![format!("messages wait: the system gives no room to send them ({cause})")],
            ..Passed::default()
        }),
    }
}

async fn pass(
    history: &mut History,
    settings: &Settings,
    home: &Path,
    messages: Vec<Message>,
) -> history::Result<Passed> {
    let mut passed = Passed::default();
    let mut blocked: HashSet<(String, String)> = HashSet::new();
    // A channel that failed once in this pass is tried once only for the others: a dead server costs no hour.
    let mut weak: HashSet<String> = HashSet::new();
    for message in messages {
        let line = (message.channel.clone(), message.target.clone());
        if blocked.contains(&line) {
            continue;
        }
        if !is_asked_for(settings, &message) {
            let cause = "the settings do not ask for it any more";
            history.message_given_up(message.id, &Timestamp::now().to_string(), cause)?;
            passed.given_up.push(told(&message, cause));
            continue;
        }
        if Timestamp::now().as_second() < message.next_try_s {
            passed.waiting.push(told(&message, "its next try is not due yet"));
            blocked.insert(line);
            continue;
        }
        let tries = if weak.contains(&message.channel) { 1 } else { TRIES };
        match one(history, settings, home, &message, tries).await? {
            Ok(attempt) => {
                history.message_sent(message.id, &Timestamp::now().to_string())?;
                tracing::info!(message = %message.key, channel = %message.channel, attempt, "message sent");
                passed.sent += 1;
            }
            Err(failed) => {
                if failed.may_pass {
                    weak.insert(message.channel.clone());
                }
                let days = settings.digest.give_up_days;
                if age(&message) >= Duration::from_secs(u64::from(days) * 86_400) {
                    let cause = format!("it could not be sent within {days} days: {failed}");
                    history.message_given_up(message.id, &Timestamp::now().to_string(), &cause)?;
                    tracing::error!(message = %message.key, channel = %message.channel, %failed, "message given up");
                    passed.given_up.push(told(&message, &cause));
                } else {
                    let next =
                        Timestamp::now().as_second().saturating_add(pause(settings, &message, &failed));
                    history.message_failed(message.id, next, &failed.what)?;
                    tracing::warn!(message = %message.key, channel = %message.channel, %failed, "message waits");
                    passed.waiting.push(told(&message, &failed.what));
                    blocked.insert(line);
                }
            }
        }
    }
    Ok(passed)
}

/// The tries of one message; gives the number of the one that succeeded.
async fn one(
    history: &mut History,
    settings: &Settings,
    home: &Path,
    message: &Message,
    tries: u32,
) -> history::Result<Result<u32, Failed>> {
    let mut tried = 0;
    loop {
        // Counted first: killed in between, the next try is known as a repetition.
        let attempt = history.begin_try(message.id)?;
        tried += 1;
        let trust = &settings.trust;
        let sent = match (message.channel.as_str(), &settings.webhook, &settings.smtp) {
            ("webhook", Some(webhook), _) => webhook::send(webhook, trust, home, message, attempt).await,
            ("smtp", _, Some(smtp)) => mail::send(smtp, trust, home, message, attempt).await,
            _ => Err(Failed::lasting("the settings do not ask for it any more")),
        };
        let Err(failed) = sent else { return Ok(Ok(attempt)) };
        if !failed.may_pass || tried >= tries || failed.not_before.is_some() {
            return Ok(Err(failed));
        }
        tracing::debug!(message = %message.key, attempt, %failed, "tried again soon");
        tokio::time::sleep(seconds(settings.digest.pause_seconds) * 2_u32.pow(tried - 1)).await;
    }
}

fn is_asked_for(settings: &Settings, message: &Message) -> bool {
    match message.channel.as_str() {
        "webhook" => settings.webhook.is_some(),
        "smtp" => settings.smtp.as_ref().is_some_and(|smtp| smtp.to.contains(&message.target)),
        _ => false,
    }
}

fn age(message: &Message) -> Duration {
    let made = message.made_at.parse::<Timestamp>().unwrap_or_else(|_| Timestamp::now());
    Duration::try_from(Timestamp::now().duration_since(made)).unwrap_or_default()
}

/// Seconds until the next pass may try again.
fn pause(settings: &Settings, message: &Message, failed: &Failed) -> i64 {
    let first = seconds(settings.digest.retry_seconds);
    let ours = first.saturating_mul(2_u32.saturating_pow(message.passes.min(16))).min(LAST_PAUSE);
    let pause = ours.max(failed.not_before.unwrap_or_default());
    i64::try_from(pause.as_secs()).unwrap_or(i64::MAX)
}

fn told(message: &Message, cause: &str) -> String {
    let to = if message.target.is_empty() { "the webhook" } else { &message.target };
    format!("the message of {} to {to}: {cause}", message.made_at.get(..10).unwrap_or(&message.made_at))
}
