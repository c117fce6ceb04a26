//! Pick-up and digest as steps of `nightly`, `watch` and `serve`: what they say, and what failed.

use super::checks;
use super::context::Context;
use super::say::count;
use crate::health::Health;
use crate::history::History;
use crate::notify::{self, Composed};
use crate::reach::PickUpSettings;

/// Asks these addresses for reports; gives a line on it, none where no address is given, and the number that failed.
///
/// # Errors
/// What the store says.
pub fn pick_up(
    context: &Context,
    history: &mut History,
    wanted: &[PickUpSettings],
) -> anyhow::Result<(Option<String>, usize)> {
    if wanted.is_empty() {
        return Ok((None, 0));
    }
    let most = context.settings.limits().file_bytes;
    let trust = &context.settings.trust;
    let picked = notify::pick_up(history, (wanted, trust), context.home.root(), &context.inbox(), most)?;
    let mut line =
        format!("Pick-up: {}, {} without news", count(picked.landed.len(), "new file"), picked.same);
    for failed in &picked.failed {
        line.push_str(&format!("; nothing from {failed}"));
    }
    Ok((Some(line), picked.failed.len()))
}

/// What the next digest would say; nothing is marked.
///
/// # Errors
/// What the store says.
pub fn next_digest(context: &Context, history: &History) -> anyhow::Result<Composed> {
    let mut trouble = checks::sentences(history.quick_check()?);
    let known = Health::of(&context.home).verify.map(|check| check.findings).unwrap_or_default();
    trouble.extend(known.into_iter().filter(|one| !trouble.contains(one)).collect::<Vec<_>>());
    let mut assess = |history: &History, sites, take: &mut dyn FnMut(crate::assess::Assessment)| {
        context
            .each_assessment(history, sites, |assessment| {
                take(assessment);
                Ok(())
            })
            .map_err(Into::into)
    };
    Ok(notify::digest(history, &context.settings, context.today, trouble, &mut assess)?)
}

/// Makes the digest where somebody is to get one, and sends what waits; gives lines on it and the number of failures.
///
/// # Errors
/// What the store says.
pub fn digest(context: &Context, history: &mut History) -> anyhow::Result<(Vec<String>, usize)> {
    let settings = &context.settings;
    let mut lines = Vec::new();
    if settings.webhook.is_some() || settings.smtp.is_some() {
        let digest = notify::compose(history, settings, next_digest(context, history)?)?;
        lines.push(match digest.is_quiet() {
            true => "Digest: nothing new to tell.".to_owned(),
            false => format!("Digest: {}.", digest.subject()),
        });
    }
    let (sent, failed) = send(context, history)?;
    lines.extend(sent);
    Ok((lines, failed))
}

/// Sends what waits; gives lines on it and the number of failures.
///
/// # Errors
/// What the store says.
pub fn send(context: &Context, history: &mut History) -> anyhow::Result<(Vec<String>, usize)> {
    let passed = notify::send_waiting(history, &context.settings, context.home.root())?;
    let sent = (passed.sent > 0).then(|| format!("{} sent.", count(passed.sent, "message")));
    let waiting = passed.waiting.iter().map(|waits| format!("Not sent, tried again later: {waits}."));
    let given_up = passed.given_up.iter().map(|gone| format!("Given up: {gone}."));
    let failed = passed.waiting.len() + passed.given_up.len();
    Ok((sent.into_iter().chain(waiting).chain(given_up).collect(), failed))
}
