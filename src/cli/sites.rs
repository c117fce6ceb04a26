//! `sites`: lists the sites.

use super::Exit;
use super::context::Context;
use super::say;

/// Lists the sites.
#[derive(Debug, clap::Args)]
pub struct Sites {
    /// As JSON
    #[arg(long)]
    json: bool,
}

impl Sites {
    /// Runs it.
    ///
    /// # Errors
    /// What the store says.
    pub fn run(self, context: &mut Context) -> anyhow::Result<Exit> {
        let sites = context.history()?.sites()?;
        if self.json {
            context.say.json(&sites)?;
        } else if sites.is_empty() {
            context
                .say
                .line("No sites yet: `loamline ingest PATH` reads reports, or drop them in the inbox.")?;
        } else {
            let rows = sites.into_iter().map(|s| vec![s.id, s.name, s.client.unwrap_or_default()]);
            context.say.block(&say::table(&["site", "name", "client"], rows))?;
        }
        Ok(Exit::Fine)
    }
}
