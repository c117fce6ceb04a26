//! `guides`: the published tables that classes and flags come from, with their sources and standing.

use super::Exit;
use super::context::Context;
use super::say;
use crate::guide::scale::Class;
use crate::guide::source::source;
use crate::guide::{Guide, guide, guides};
use anyhow::bail;
use std::collections::BTreeSet;

/// Lists the published tables that classes and flags come from.
#[derive(Debug, clap::Args)]
#[command(
    after_help = "Examples:\n  loamline guides\n  loamline guides turf-mlsn\n\nREAD: the figure was read in a copy of the source. MEMORY: it was not, and never asks to act.\nChoose by `guides = [\"ID\"]` under `[sites.ID]`, or `default = [\"ID\"]` under `[guides]`, in loamline.toml."
)]
pub struct Guides {
    /// One guide with all its classes and sources
    #[arg(value_name = "GUIDE")]
    guide: Option<String>,
}

impl Guides {
    /// Runs it.
    ///
    /// # Errors
    /// A built-in table is damaged, or there is no such guide.
    pub fn run(self, context: &mut Context) -> anyhow::Result<Exit> {
        let Some(id) = self.guide else {
            let rows = guides()?.iter().map(|one| {
                let read = classes(one).filter(|class| class.read).count();
                let memory = classes(one).count() - read;
                vec![
                    one.id.clone(),
                    one.title.clone(),
                    one.regions.join(", "),
                    read.to_string(),
                    memory.to_string(),
                ]
            });
            context.say.block(&say::table(&["guide", "title", "regions", "READ", "MEMORY"], rows))?;
            return Ok(Exit::Fine);
        };
        let Some(one) = guide(&id)? else { bail!("there is no guide `{id}`: `loamline guides` lists them") };
        context.say.line(format!("{} ({})", one.title, one.id))?;
        let regions = if one.regions.is_empty() { "any region".to_owned() } else { one.regions.join(", ") };
        context.say.line(format!("For {regions}."))?;
        if !one.caution.is_empty() {
            context.say.line(format!("Bear in mind: {}.", one.caution))?;
        }
        context.say.block(&say::table(
            &["crop", "measured", "method", "class", "as printed", "standing", "checked", "source"],
            one.scales.iter().flat_map(|scale| {
                scale.classes.iter().map(|class| {
                    let condition = scale.condition.as_ref().map(|c| format!("@{c}")).unwrap_or_default();
                    let index =
                        scale.moving.map(|moving| format!(" of {}", moving.words(scale.analyte.symbol())));
                    vec![
                        format!("{}{condition}", scale.crop),
                        scale.analyte.name().to_owned(),
                        scale.method.to_string(),
                        class.name.clone(),
                        format!("{}{}", class.as_printed, index.unwrap_or_default()),
                        format!("{:?}", class.meaning.standing).to_lowercase(),
                        if class.read { "READ" } else { "MEMORY" }.to_owned(),
                        class.source.clone(),
                    ]
                })
            }),
        ))?;
        let keys: BTreeSet<&str> = classes(one).map(|class| class.source.as_str()).collect();
        for key in keys {
            if let Some(cited) = source(key)? {
                context.say.line(format!(
                    "{key}: {}. {}.",
                    cited.citation.trim_end_matches('.'),
                    cited.read.trim_end_matches('.')
                ))?;
            }
        }
        Ok(Exit::Fine)
    }
}

fn classes(guide: &Guide) -> impl Iterator<Item = &Class> {
    guide.scales.iter().flat_map(|scale| &scale.classes)
}
