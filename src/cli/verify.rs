//! `verify`: the history against itself and the kept originals.

use super::Exit;
use super::context::Context;
use super::say::count;

/// Checks the history against itself and the kept originals.
#[derive(Debug, clap::Args)]
#[command(after_help = "Exit code 0: sound; 1: not, and each finding is named.")]
pub struct Verify {}

impl Verify {
    /// Runs it.
    ///
    /// # Errors
    /// What the store says where nothing can be checked.
    pub fn run(self, context: &mut Context) -> anyhow::Result<Exit> {
        let history = context.history()?;
        let findings = history.verify(context.home.root())?;
        for finding in &findings {
            context.say.line(format!("{}: {}", finding.name, finding.sentence))?;
        }
        if findings.is_empty() {
            context.say.line(format!(
                "Sound: {} and their originals.",
                count(history.documents()?.len(), "document")
            ))?;
            return Ok(Exit::Fine);
        }
        context.say.line(format!("Not sound: {}.", count(findings.len(), "finding")))?;
        Ok(Exit::Failure)
    }
}
