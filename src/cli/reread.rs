//! `reread`: what a fresh reading of kept originals would change, and the change, on purpose.

use super::Exit;
use super::context::Context;
use super::say::{self, count};
use super::settle::who;
use crate::ingest::reread::reread;
use crate::reader::parent::Reader;

/// Reads kept originals again, shows what differs, and lets it count when told to.
#[derive(Debug, clap::Args)]
#[command(
    after_help = "Examples:\n  loamline reread --all\n  loamline reread --document \"W21-4962.pdf\" --apply --who Robin\n\nWithout --apply nothing is changed. What it changes are decisions: `loamline audit` shows them, `loamline undo` takes each back."
)]
pub struct RereadCommand {
    /// One document: its name, or its hash or the beginning of it
    #[arg(long, value_name = "NAME", conflicts_with = "all", required_unless_present = "all")]
    document: Option<String>,
    /// Every original
    #[arg(long)]
    all: bool,
    /// Let it count
    #[arg(long)]
    apply: bool,
    /// Who decides (else the name of the user)
    #[arg(long, value_name = "NAME")]
    who: Option<String>,
}

impl RereadCommand {
    /// Runs it.
    ///
    /// # Errors
    /// What the store, the disk or the reader says.
    pub fn run(self, context: &mut Context) -> anyhow::Result<Exit> {
        let mut ingest = context.ingest()?;
        let who = if self.apply { who(self.who)? } else { String::new() };
        let wanted = self.document.as_deref().map(|name| ingest.history.document_named(name)).transpose()?;
        let place = match &wanted {
            Some(sha256) => ingest.history.document(sha256)?.and_then(|document| document.kept_at),
            None => None,
        };
        let mut reader = Reader::new(Reader::own_program()?, context.settings.limits(), Default::default());
        let mut originals = ingest.history.originals_from("")?;
        originals.retain(|(_, _, kept_at, _)| wanted.is_none() || Some(kept_at) == place.as_ref());
        let bar = say::progress(originals.len());
        let (mut differing, mut decided, mut homeless) = (0, 0, 0);
        for (_, file, kept_at, _) in &originals {
            bar.inc(1);
            for one in reread(&ingest.history, &context.home, file, kept_at, &mut reader)? {
                differing += one.differences.len();
                let say = &mut context.say;
                bar.suspend(|| -> std::io::Result<()> {
                    say.line(&one.file)?;
                    if let Some(why) = &one.unread {
                        say.line(format!("  {why} Nothing is changed."))?;
                    }
                    one.differences
                        .iter()
                        .try_for_each(|difference| say.line(format!("  {}", difference.spoken())))
                })?;
                if self.apply {
                    let (decisions, left) = ingest.apply(&one, &who, &jiff::Timestamp::now().to_string())?;
                    decided += decisions.len();
                    homeless += left;
                }
            }
        }
        bar.finish_and_clear();
        let read =
            format!("{} read again: {}.", count(originals.len(), "original"), count(differing, "difference"));
        context.say.line(read)?;
        if self.apply {
            context.say.line(format!("{} taken.", count(decided, "decision")))?;
            ingest.reshelve()?;
        } else if differing > 0 {
            context.say.line("Nothing was changed; --apply lets it count.")?;
        }
        if homeless > 0 {
            context.say.line(format!(
                "{} of samples that were not read before: left out.",
                count(homeless, "reading")
            ))?;
        }
        Ok(Exit::Fine)
    }
}
