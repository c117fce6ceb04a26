//! `nightly`: one batch pass over the inbox, then the charts of what changed.

use super::context::Context;
use super::ingest::Tally;
use super::say::count;
use super::{Exit, charts, copies, flags, say, watch};

/// Flags shown of one changed site.
const FLAGS_SHOWN: usize = 3;

/// One pass for a timer: the inbox, then the charts of what changed, then a summary.
#[derive(Debug, clap::Args)]
#[command(after_help = "Run it from a timer. A file that still grows is left for the next pass.")]
pub struct Nightly {}

impl Nightly {
    /// Runs it.
    ///
    /// # Errors
    /// What concerns the home or the history as a whole.
    pub fn run(self, context: &mut Context) -> anyhow::Result<Exit> {
        let _lock = context.home.lock_service()?;
        let mut ingest = context.ingest()?;
        ingest.reshelve()?;
        let mut tally = Tally::default();
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
        context.say.line(tally.summary())?;
        // Charts come from the history alone: one that cannot be drawn now is drawn the next night.
        match charts::draw_changed(context, &mut ingest.history) {
            Ok(changed) if changed.is_empty() => {}
            Ok(changed) => {
                context.say.line(format!(
                    "Charts of {} drawn. {}",
                    count(changed.len(), "changed site"),
                    flags::summary(&changed)
                ))?;
                for line in flags::lines(&changed, FLAGS_SHOWN) {
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
        Ok(tally.exit())
    }
}
