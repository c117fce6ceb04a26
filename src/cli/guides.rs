//! `guides`: the published tables that classes and flags come from.

use super::Exit;
use super::context::Context;
use super::say;
use crate::guide::guides;

/// Lists the published tables that classes and flags come from.
#[derive(Debug, clap::Args)]
#[command(after_help = "Choose by `default = [\"ID\"]` under `[guides]` in loamline.toml.")]
pub struct Guides {}

impl Guides {
    /// Runs it.
    ///
    /// # Errors
    /// A built-in table is damaged.
    pub fn run(self, context: &mut Context) -> anyhow::Result<Exit> {
        let rows = guides()?.iter().map(|g| vec![g.id.clone(), g.title.clone(), g.regions.join(", ")]);
        context.say.block(&say::table(&["guide", "title", "regions"], rows))?;
        Ok(Exit::Fine)
    }
}
