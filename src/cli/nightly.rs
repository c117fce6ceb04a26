//! `nightly`: one batch pass: pick-up, the inbox, the charts of what changed, the digest.

use super::attention::Attention;
use super::context::Context;
use super::ingest::Tally;
use super::say::count;
use super::{Exit, charts, checks, copies, messages, say, stop, watch};
use crate::health;
use std::sync::Arc;
use std::sync::atomic::Ordering;

/// A log beside the store that is longer than this is spoken of, bytes.
const LONG_LOG: u64 = 64 << 20;

/// Flags shown of one changed site.
const FLAGS_SHOWN: usize = 3;

/// Changed sites shown with their flags: what a person reads in the morning.
const SITES_SHOWN: usize = 100;

/// One pass for a timer: pick-up, the inbox, the charts of what changed, the digest, a summary.
#[derive(Debug, clap::Args)]
#[command(
    after_help = "Examples:\n  loamline nightly\n  loamline --home /var/lib/loamline nightly\n\nRun it from a timer. A file that still grows is left for the next pass."
)]
pub struct Nightly {}

impl Nightly {
    /// Runs it.
    ///
    /// # Errors
    /// What concerns the home or the history as a whole.
    pub fn run(self, context: &mut Context) -> anyhow::Result<Exit> {
        let _lock = context.home.lock_service()?;
        let mut ingest = context.ingest()?;
        stop::on_signal(Arc::clone(&ingest.stop))?;
        ingest.reshelve()?;
        let mut tally = Tally::default();
        let alike = ingest.history.count_alike()?;
        let (picked, not_picked) =
            messages::pick_up(context, &mut ingest.history, &context.settings.pick_up)?;
        picked.map_or(Ok(()), |line| context.say.line(line))?;
        let inbox = context.inbox();
        let (files, trouble) = watch::settled_once(&inbox, &context.settings.watch);
        for (path, cause) in trouble {
            tally.failed += 1;
            say::complain(&format!("error: {} cannot be read: {cause}.", crate::ingest::shown(&path)));
        }
        let paths: Vec<_> = files.into_iter().map(|f| f.path).collect();
        let bar = say::progress(paths.len());
        let say = &mut context.say;
        let mut spoken = Ok(());
        ingest.take(&paths, crate::ingest::Source::Inbox, |path, told| {
            bar.inc(1);
            let said = bar.suspend(|| tally.tell(path, told, say));
            if spoken.is_ok() {
                spoken = said;
            }
        });
        bar.finish_and_clear();
        spoken?;
        tally.alike = ingest.history.count_alike()?.saturating_sub(alike);
        context.say.line(tally.summary())?;
        tally.failed += not_picked;
        // The rest of the night comes from the history alone: the next pass makes it.
        if ingest.stop.load(Ordering::Relaxed) {
            return Ok(Exit::Failure);
        }
        // Charts come from the history alone: one that cannot be drawn now is drawn the next night.
        let mut found = Attention::to_most_urgent(SITES_SHOWN);
        match charts::draw_changed(context, &mut ingest.history, |assessment| found.note(&assessment)) {
            Ok(0) => {}
            Ok(changed) => {
                let drawn = count(changed, "changed site");
                context.say.line(format!("Charts of {drawn} drawn. {}", found.summary()))?;
                for line in found.lines(FLAGS_SHOWN) {
                    context.say.line(line)?;
                }
            }
            Err(error) => {
                say::complain(&format!("error: charts wait for the next pass: {error:#}"));
                tally.failed += 1;
            }
        }
        match copies::make(context, &mut ingest.history) {
            Ok(None) => {}
            Ok(Some(sentence)) => context.say.line(sentence)?,
            Err(error) => {
                say::complain(&format!("error: no copy was made this night: {error:#}"));
                tally.failed += 1;
            }
        }
        match checks::due(&context.home, &ingest.history, &ingest.stop) {
            Ok(found) => {
                for sentence in found {
                    say::complain(&format!("error: {sentence} Run `loamline verify`."));
                    tally.failed += 1;
                }
            }
            Err(error) => {
                say::complain(&format!("error: the history could not be checked: {error:#}"));
                tally.failed += 1;
            }
        }
        // A message that cannot go waits in the store; it never undoes what the night did.
        match messages::digest(context, &mut ingest.history) {
            Ok((lines, failed)) => {
                tally.failed += failed;
                lines.into_iter().try_for_each(|line| context.say.line(line))?;
            }
            Err(error) => {
                say::complain(&format!("error: the digest waits for the next pass: {error:#}"));
                tally.failed += 1;
            }
        }
        match ingest.history.shorten_log() {
            Ok(left) if left > LONG_LOG => {
                say::complain(&format!(
                    "The log beside the store has {} MB: something has had the store open for long, perhaps a page.",
                    left / 1_000_000
                ));
            }
            Ok(_) => {}
            Err(error) => tracing::warn!(%error, "the log beside the store was not shortened"),
        }
        let trouble =
            (tally.failed > 0).then(|| format!("{} in the last night", count(tally.failed, "failure")));
        health::night(&context.home, "nightly", trouble);
        Ok(tally.exit())
    }
}
