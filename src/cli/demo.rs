//! `demo`: reads the invented reports the program carries, in a folder of its own.

use super::context::Context;
use super::demo_files::FILES;
use super::ingest::Tally;
use super::{Exit, say};
use crate::home::Home;
use crate::ingest::Source;
use anyhow::Context as _;
use std::path::PathBuf;

/// Reads ten seasons of invented reports into a folder of their own and shows what comes of them.
#[derive(Debug, clap::Args)]
#[command(after_help = "Without --home the folder is ./loamline-demo. Running it again starts afresh there.")]
pub struct Demo {}

impl Demo {
    /// Runs it; `asked` is the home given on the command line.
    ///
    /// # Errors
    /// Where the folder holds something else, or cannot be written.
    pub fn run(self, asked: Option<PathBuf>) -> anyhow::Result<Exit> {
        let root = asked.unwrap_or_else(|| PathBuf::from("loamline-demo"));
        fresh(&root)?;
        let mut context = Context::open_at(Home::open(&root)?)?;
        let given = context.home.root().join("reports");
        std::fs::create_dir_all(&given)?;
        let mut files = Vec::new();
        for (name, bytes) in FILES {
            let path = given.join(name);
            std::fs::write(&path, bytes).with_context(|| format!("{} cannot be written", path.display()))?;
            files.push(path);
        }
        let mut tally = Tally::default();
        let mut ingest = context.ingest()?;
        let bar = say::progress(files.len());
        let mut failed = Vec::new();
        ingest.take(&files, Source::Given, |path, told| {
            bar.inc(1);
            match told {
                Ok(told) => tally.count(&told),
                Err(e) => failed.push(format!("{} was not taken: {e}.", crate::ingest::shown(path))),
            }
        });
        bar.finish_and_clear();
        failed.iter().for_each(|f| say::complain(f));
        context
            .say
            .line(format!("Ten seasons of invented reports, read into {}.", context.home.root().display()))?;
        context.say.line(tally.summary())?;
        context.say.flush()?;
        Ok(if failed.is_empty() { Exit::Fine } else { Exit::Failure })
    }
}

/// Clears the demo's own folder; a folder with anything else in it is left alone.
fn fresh(root: &std::path::Path) -> anyhow::Result<()> {
    let mark = root.join("loamline-demo.txt");
    let taken = std::fs::read_dir(root).is_ok_and(|mut entries| entries.next().is_some());
    if taken && !mark.exists() {
        anyhow::bail!(
            "{} holds something already: give the demo a new folder with --home DIR",
            root.display()
        );
    }
    if taken {
        std::fs::remove_dir_all(root).with_context(|| format!("{} cannot be cleared", root.display()))?;
    }
    std::fs::create_dir_all(root).with_context(|| format!("{} cannot be made", root.display()))?;
    std::fs::write(&mark, "This folder was made by `loamline demo`, which clears it when it runs again.\n")?;
    Ok(())
}
