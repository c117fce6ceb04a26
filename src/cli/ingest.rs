//! `ingest PATH...`: reads given files now and leaves them where they are.

use super::Exit;
use super::context::Context;
use super::say::{self, Say, count};
use super::stop;
use crate::inbox::listing;
use crate::inbox::plain::plain;
use crate::ingest::fetch::Waits;
use crate::ingest::{Source, Told, shown};
use crate::soil::Outcome;
use std::io;
use std::path::{Path, PathBuf};
use std::sync::Arc;

/// Reads files or folders now; the given files stay where they are.
#[derive(Debug, clap::Args)]
#[command(
    after_help = "Examples:\n  loamline ingest report.pdf\n  loamline ingest reports/2023 reports/2024\n\nFolders are read with their sub-folders. A file that was read before changes nothing. Ctrl-C finishes the files in hand; the same command takes the rest."
)]
pub struct Ingest {
    /// Files and folders
    #[arg(required = true, value_name = "PATH")]
    paths: Vec<PathBuf>,
}

impl Ingest {
    /// Runs it.
    ///
    /// # Errors
    /// What concerns the home or the history as a whole.
    pub fn run(self, context: &mut Context) -> anyhow::Result<Exit> {
        let mut tally = Tally::default();
        let files = tally.expand(&self.paths);
        let mut ingest = context.ingest()?;
        let alike = ingest.history.count_alike()?;
        stop::on_signal(Arc::clone(&ingest.stop))?;
        let bar = say::progress(files.len());
        let say = &mut context.say;
        let mut spoken = Ok(());
        ingest.take(&files, Source::Given, |path, told| {
            bar.inc(1);
            let said = bar.suspend(|| tally.tell(path, told, say));
            if spoken.is_ok() {
                spoken = said;
            }
        });
        bar.finish_and_clear();
        spoken?;
        tally.alike = ingest.history.count_alike()?.saturating_sub(alike);
        if files.len() != 1 || tally.alike > 0 {
            say.line(tally.summary())?;
        }
        Ok(tally.exit())
    }
}

/// What became of a batch.
#[derive(Debug, Default, Clone, PartialEq, Eq)]
pub struct Tally {
    /// Documents by outcome, in the order of the contract.
    pub outcomes: [usize; 4],
    /// Readings taken in.
    pub readings: usize,
    /// Readings held.
    pub held: usize,
    /// Files that could not be taken for a cause outside them.
    pub failed: usize,
    /// Files that were not begun because the run was stopped.
    pub stopped: usize,
    /// Pairs of sites that are perhaps one since.
    pub alike: usize,
}

impl Tally {
    /// Folders become their files, sorted; what cannot be opened is told and counted.
    pub fn expand(&mut self, paths: &[PathBuf]) -> Vec<PathBuf> {
        let mut files = Vec::new();
        let mut trouble: Vec<(PathBuf, io::Error)> = Vec::new();
        for path in paths {
            match std::fs::metadata(path) {
                Ok(m) if m.is_dir() => {
                    files.extend(listing::list(path, &mut trouble).into_iter().map(|f| f.path))
                }
                Ok(m) if m.is_file() => files.push(path.canonicalize().unwrap_or_else(|_| path.clone())),
                Ok(_) => trouble.push((path.clone(), io::Error::other("it is no plain file"))),
                Err(e) => trouble.push((path.clone(), e)),
            }
        }
        self.failed += trouble.len();
        for (path, cause) in trouble {
            say::complain(&format!("error: {} cannot be read: {cause}.", shown(&path)));
        }
        files
    }

    /// Counts one file and says a line about it.
    ///
    /// # Errors
    /// What the output says.
    pub fn tell(&mut self, path: &Path, told: Result<Told, Waits>, say: &mut Say) -> io::Result<()> {
        match told {
            Ok(told) => {
                self.count(&told);
                say.line(sentence(&told))
            }
            Err(Waits::Stopped) => {
                self.stopped += 1;
                Ok(())
            }
            Err(waits) => {
                self.failed += 1;
                say::complain(&format!("error: {} was not taken: {waits}.", shown(path)));
                Ok(())
            }
        }
    }

    /// Counts one file.
    pub fn count(&mut self, told: &Told) {
        let place = Outcome::ALL.iter().position(|o| *o == told.outcome);
        if let Some(n) = place.and_then(|p| self.outcomes.get_mut(p)) {
            *n += 1;
        }
        self.readings += told.readings;
        self.held += told.held;
    }

    /// One line on the batch.
    pub fn summary(&self) -> String {
        let [filed, held, refused, duplicate] = self.outcomes;
        let mut line = format!(
            "{}: {filed} filed, {held} held, {refused} refused, {duplicate} known before. {}, {} held.",
            count(filed + held + refused + duplicate, "document"),
            count(self.readings, "reading"),
            self.held
        );
        if self.failed > 0 {
            line.push_str(&format!(" {} could not be taken.", count(self.failed, "file")));
        }
        if self.stopped > 0 {
            line.push_str(&format!(
                " Stopped before {} more; the same command takes the rest.",
                count(self.stopped, "file")
            ));
        }
        if held > 0 {
            line.push_str(" `loamline held` shows what waits for you.");
        }
        if self.alike > 0 {
            let (pairs, are) = (count(self.alike, "pair"), if self.alike == 1 { "is" } else { "are" });
            line.push_str(&format!(
                " {pairs} of sites with names nearly alike {are} perhaps one: `loamline sites`."
            ));
        }
        line
    }

    /// The exit code the contract gives such a batch.
    pub fn exit(&self) -> Exit {
        let [_, held, refused, _] = self.outcomes;
        match (self.failed + self.stopped, held + refused) {
            (1.., _) => Exit::Failure,
            (0, 1..) => Exit::Attention,
            (0, 0) => Exit::Fine,
        }
    }
}

/// One line on one file.
pub fn sentence(told: &Told) -> String {
    let mut line = format!("{:<9}  {}", told.outcome.id(), plain(&told.file));
    match told.outcome {
        Outcome::Filed if told.known => line.push_str(": read before, nothing changed"),
        Outcome::Filed => line.push_str(&format!(": {}", count(told.readings, "reading"))),
        Outcome::Duplicate => line.push_str(": the history has these numbers already"),
        Outcome::Held | Outcome::Refused => {
            if let Some(why) = &told.why {
                line.push_str(&format!(": {}", plain(why)));
            }
        }
    }
    line
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_exit_code_follows_the_worst_file() {
        let tally = |outcomes, failed| Tally { outcomes, failed, ..Tally::default() }.exit();
        assert_eq!(tally([2, 0, 0, 1], 0), Exit::Fine);
        assert_eq!(tally([2, 1, 0, 0], 0), Exit::Attention);
        assert_eq!(tally([2, 0, 1, 0], 0), Exit::Attention);
        assert_eq!(tally([2, 1, 1, 0], 1), Exit::Failure);
        assert_eq!(Tally { stopped: 1, ..Tally::default() }.exit(), Exit::Failure);
    }
}
