//! `verify`: the history against itself and the kept originals.

use super::Exit;
use super::context::Context;
use super::say::{self, count};
use crate::health::{self, Kind};
use crate::history::History;
use crate::ingest::reread::{Reread, reread};
use crate::reader::parent::Reader;
use crate::reader::work;

/// Accepted numbers that are looked for in their originals, unless all are asked for.
const SAMPLE: u64 = 200;

/// Checks the history against itself and the kept originals.
#[derive(Debug, clap::Args)]
#[command(
    after_help = "Example:\n  loamline verify\n\nSome originals are read again, others every day, until 200 numbers were looked for; --all reads every one.\nWhere they are read otherwise than before, that is named and nothing is changed: `loamline reread` does that.\n\nExit code 0: sound; 1: not, and each finding is named."
)]
pub struct Verify {
    /// Read every original again
    #[arg(long)]
    all: bool,
}

impl Verify {
    /// Runs it.
    ///
    /// # Errors
    /// What the store says where nothing can be checked.
    pub fn run(self, context: &mut Context) -> anyhow::Result<Exit> {
        let history = context.history()?;
        let mut lines: Vec<String> = history
            .verify(context.home.root())?
            .iter()
            .map(|finding| format!("{}: {}", finding.name, finding.sentence))
            .collect();
        if !history.journal_is_written()? {
            lines.push("journal-behind: `journal.jsonl` beside the history does not hold all of it; check that it may be written.".to_owned());
        }
        let (found, looked_for) = self.read_again(context, &history)?;
        let mut drift = Vec::new();
        for one in found {
            let named = |what: &str, text: &str| format!("{what}: In `{}`: {text}.", one.file);
            if let Some(why) = &one.unread {
                drift.push(named("not-read-now", why.trim_end_matches('.')));
            }
            for difference in &one.differences {
                let counts = difference.concerns_a_counting_number();
                let to = if counts { &mut lines } else { &mut drift };
                to.push(named(
                    if counts { "number-differs" } else { "read-otherwise" },
                    &difference.spoken(),
                ));
            }
        }
        // Whatever was wrong with the store before, this has looked at all of it.
        let damage =
            lines.iter().filter(|line| line.starts_with("store-damaged") || line.starts_with("foreign-key"));
        let damage: Vec<String> = damage.cloned().collect();
        health::checked(&context.home, Kind::Store, damage.clone());
        health::checked(&context.home, Kind::Rules, damage);
        health::checked(&context.home, Kind::Verify, lines.clone());
        for line in lines.iter().chain(&drift) {
            context.say.line(line)?;
        }
        if !drift.is_empty() || lines.iter().any(|line| line.starts_with("number-differs")) {
            context.say.line("`loamline reread --all` shows what a fresh reading would change.")?;
        }
        if lines.is_empty() {
            context.say.line(format!(
                "Sound: {} and their originals; {} found at their places.",
                count(history.documents()?.len(), "document"),
                count(usize::try_from(looked_for).unwrap_or(usize::MAX), "number")
            ))?;
            return Ok(Exit::Fine);
        }
        context.say.line(format!("Not sound: {}.", count(lines.len(), "finding")))?;
        Ok(Exit::Failure)
    }

    /// Reads originals again; gives what differs and how many numbers were looked for.
    fn read_again(&self, context: &Context, history: &History) -> anyhow::Result<(Vec<Reread>, u64)> {
        // Another day begins at another original, so that in time each has its turn.
        let from = work::sha256_hex(context.today.to_string().as_bytes());
        let originals = history.originals_from(&from)?;
        let mut reader = Reader::new(Reader::own_program()?, context.settings.limits(), Default::default());
        let bar = say::progress(if self.all { originals.len() } else { 0 });
        let (mut found, mut looked_for) = (Vec::new(), 0);
        for (_, file, kept_at, counting) in originals {
            if !self.all && looked_for >= SAMPLE {
                break;
            }
            bar.inc(1);
            looked_for += counting;
            match reread(history, &context.home, &file, &kept_at, &mut reader) {
                Ok(differences) => found.extend(differences),
                // A missing original is a finding already.
                Err(error) => tracing::warn!(%error, kept_at, "an original could not be read again"),
            }
        }
        bar.finish_and_clear();
        Ok((found, looked_for))
    }
}
