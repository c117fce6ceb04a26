//! `rebuild`: a new home from the originals and the journal alone.

use super::Exit;
use super::context::Context;
use super::say::{self, count};
use crate::history::{History, replay::Line};
use crate::home::Home;
use crate::inbox::{listing, put_away};
use crate::ingest::{Given, Ingest, Source};
use anyhow::{Context as _, bail};
use std::collections::HashMap;
use std::path::{Path, PathBuf};

/// Makes a new home from the kept originals and the journal of what people said.
#[derive(Debug, clap::Args)]
#[command(
    after_help = "Example:\n  loamline --home ~/soil rebuild ~/soil-new\n\nThe store of the old home is not needed: `journal.jsonl` beside it and the originals are enough. The old home is left as it is."
)]
pub struct Rebuild {
    /// The new home; it must be empty or not there
    #[arg(value_name = "DIR")]
    folder: PathBuf,
}

impl Rebuild {
    /// Runs it.
    ///
    /// # Errors
    /// What the disk or the new store says.
    pub fn run(self, context: &mut Context) -> anyhow::Result<Exit> {
        if self.folder.read_dir().is_ok_and(|mut entries| entries.next().is_some()) {
            bail!("{} is not empty: name a new folder", self.folder.display());
        }
        let lines = journal(&context.home)?;
        let originals = Originals::of(&context.home);
        let new = Context::open_at(Home::open(&self.folder)?, Some(context.today))?;
        if context.home.settings().exists() {
            std::fs::copy(context.home.settings(), new.home.settings())?;
        }
        let mut ingest = Context::open_at(new.home.clone(), Some(context.today))?.ingest()?;
        let mut work = Work {
            ingest: &mut ingest,
            documents: Vec::new(),
            said: Vec::new(),
            lost: Vec::new(),
            missing: Vec::new(),
        };
        let bar = say::progress(lines.len());
        for line in lines {
            bar.inc(1);
            work.take(line, &originals)?;
        }
        work.read()?;
        work.say()?;
        bar.finish_and_clear();
        let (lost, missing) = (work.lost, work.missing);
        ingest.reshelve()?;
        for name in &missing {
            context.say.line(format!("No original is left of `{name}`."))?;
        }
        if !lost.is_empty() {
            let numbers: Vec<String> = lost.iter().map(i64::to_string).collect();
            context.say.line(format!(
                "Lines {} of the journal speak of something that is not read now; they were left out.",
                numbers.join(", ")
            ))?;
        }
        context.say.line(format!(
            "{} made anew in {}.",
            count(ingest.history.documents()?.len(), "document"),
            ingest.home.root().display()
        ))?;
        Ok(if lost.is_empty() && missing.is_empty() { Exit::Fine } else { Exit::Failure })
    }
}

/// The journal beside the store; where there is none, the one in the store.
fn journal(home: &Home) -> anyhow::Result<Vec<Line>> {
    let path = crate::history::journal_of(&home.history());
    let Ok(text) = std::fs::read_to_string(&path) else {
        return Ok(History::open_read_only(&home.history())?.journal()?);
    };
    let whole = text.rsplit_once('\n').map_or("", |(whole, _)| whole);
    whole
        .lines()
        .map(|line| {
            Line::parse(line).with_context(|| format!("{} holds a line that is none", path.display()))
        })
        .collect()
}

/// Where the bytes of a hash lie.
struct Originals(HashMap<String, Vec<PathBuf>>);

impl Originals {
    fn of(home: &Home) -> Self {
        let mut by_digits: HashMap<String, Vec<PathBuf>> = HashMap::new();
        for folder in [home.filed(), home.held(), home.refused()] {
            for found in listing::list(&folder, &mut Vec::new()) {
                let name = found
                    .path
                    .file_name()
                    .map(|name| name.to_string_lossy().into_owned())
                    .unwrap_or_default();
                if let (Some(digits), false) = (name.get(..16), name.ends_with(".why.txt")) {
                    by_digits.entry(digits.to_owned()).or_default().push(found.path);
                }
            }
        }
        Self(by_digits)
    }

    fn find(&self, sha256: &str) -> Option<&Path> {
        let there = self.0.get(sha256.get(..16)?)?;
        let same = |path: &&PathBuf| put_away::sha256_of(path).is_ok_and(|found| found == sha256);
        there.iter().find(same).map(PathBuf::as_path)
    }
}

/// The journal's lines on their way: documents are read side by side, and what was said between them keeps its place.
struct Work<'a> {
    ingest: &'a mut Ingest,
    documents: Vec<(Line, Given)>,
    said: Vec<Line>,
    lost: Vec<i64>,
    missing: Vec<String>,
}

impl Work<'_> {
    fn take(&mut self, line: Line, originals: &Originals) -> anyhow::Result<()> {
        let Some(sha256) = line.document.clone() else {
            self.read()?;
            self.said.push(line);
            return Ok(());
        };
        self.say()?;
        match originals.find(&sha256) {
            Some(path) => {
                let given = Given { path: path.to_owned(), name: line.file.clone() };
                self.documents.push((line, given));
            }
            None => self.missing.push(line.file.unwrap_or(sha256)),
        }
        Ok(())
    }

    fn read(&mut self) -> anyhow::Result<()> {
        let (lines, given): (Vec<Line>, Vec<Given>) = std::mem::take(&mut self.documents).into_iter().unzip();
        if given.is_empty() {
            return Ok(());
        }
        let mut failed = Ok(());
        self.ingest.take_named(&given, Source::Given, |_, told| {
            if let (Err(error), true) = (told, failed.is_ok()) {
                failed = Err(error);
            }
        });
        failed?;
        self.ingest.history.replay(&lines)?;
        Ok(())
    }

    fn say(&mut self) -> anyhow::Result<()> {
        let said = std::mem::take(&mut self.said);
        if !said.is_empty() {
            self.lost.extend(self.ingest.history.replay(&said)?);
        }
        Ok(())
    }
}
