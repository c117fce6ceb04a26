//! `health`: for a monitor, whether the home is looked after and sound.

use super::Exit;
use super::context::Context;
use crate::health;
use jiff::Timestamp;

/// Says whether the inbox is looked at and the history sound, for a monitor.
#[derive(Debug, clap::Args)]
#[command(
    after_help = "Examples:\n  loamline health\n  loamline --home /var/lib/loamline health\n\nA service looks at the inbox as often as `list_seconds` under [watch] says, `nightly` every day; the last look may be two such periods old. The service and `nightly` check the store every day and hold its rows against the rules of their columns every week, `nightly` checks every original every month, and `loamline verify` all of it whenever it is run. Nothing is checked by this command itself.\n\nExit code 0: well; 1: not, and the line says what is wrong."
)]
pub struct Health {}

impl Health {
    /// Runs it.
    ///
    /// # Errors
    /// What the output says.
    pub fn run(self, context: &mut Context) -> anyhow::Result<Exit> {
        let said = health::Health::of(&context.home).said(Timestamp::now());
        for one in &said {
            let mark = if one.well { "well" } else { "not well" };
            context.say.line(format!("{mark}: {}", one.sentence))?;
        }
        Ok(if said.iter().all(|one| one.well) { Exit::Fine } else { Exit::Failure })
    }
}
