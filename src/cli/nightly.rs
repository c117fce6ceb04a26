//! `nightly`: one batch pass over the inbox, then the charts of what changed.

use super::context::Context;
use super::ingest::Tally;
use super::{Exit, say, watch};

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
        let mut tally = Tally::default();
        let inbox = context.inbox();
        let (files, trouble) = watch::settled_once(&inbox, &context.settings.watch);
        for (path, cause) in trouble {
            tally.failed += 1;
            say::complain(&format!("error: {} cannot be read: {cause}.", crate::ingest::shown(&path)));
        }
        let paths: Vec<_> = files.into_iter().map(|f| f.path).collect();
        let say = &mut context.say;
        let mut spoken = Ok(());
        ingest.take(&paths, crate::ingest::Source::Inbox, |path, told| {
            let said = tally.tell(path, told, say);
            if spoken.is_ok() {
                spoken = said;
            }
        });
        spoken?;
        context.say.line(tally.summary())?;
        Ok(tally.exit())
    }
}
