//! `backup` and `restore`: a sound copy of a home while it works, and back again.

use super::Exit;
use super::context::{Context, or_environment};
use super::copies;
use super::say::{Say, count};
use crate::history::History;
use crate::home::Home;
use anyhow::{Context as _, bail};
use std::collections::BTreeSet;
use std::fs::{self, File};
use std::path::{Path, PathBuf};

/// Makes a sound copy of the home, also while the service runs.
#[derive(Debug, clap::Args)]
#[command(
    after_help = "Example:\n  loamline backup /media/copy/2024-05-06\n\nThe folder must be new. The copy is verified before it gets its name."
)]
pub struct Backup {
    /// The new folder of the copy
    #[arg(value_name = "DIR")]
    folder: PathBuf,
}

impl Backup {
    /// Runs it.
    ///
    /// # Errors
    /// What the disk says, or that the copy is not sound.
    pub fn run(self, context: &mut Context) -> anyhow::Result<Exit> {
        let history = context.history()?;
        if self.folder.exists() {
            bail!("{} is there already: name a new folder", self.folder.display());
        }
        let mut part = self.folder.clone().into_os_string();
        part.push(".part");
        let part = PathBuf::from(part);
        if part.exists() {
            fs::remove_dir_all(&part).with_context(|| format!("{} cannot be cleared", part.display()))?;
        }
        fs::create_dir_all(&part).with_context(|| format!("{} cannot be made", part.display()))?;
        // The store first: originals are kept before it knows them, so the folders can only hold more.
        history.backup(&part.join("loamline.db"))?;
        let documents = copy_originals(&context.home, &part.join("loamline.db"), &part)?;
        if context.home.settings().exists() {
            copy(&context.home.settings(), &part.join("loamline.toml"))?;
        }
        sound(&part)?;
        fs::rename(&part, &self.folder)
            .with_context(|| format!("{} cannot get its name", self.folder.display()))?;
        context.say.line(format!(
            "{} copied to {}, and found sound.",
            count(documents, "original"),
            self.folder.display()
        ))?;
        Ok(Exit::Fine)
    }
}

/// Puts a copy back into an empty home, verified.
#[derive(Debug, clap::Args)]
#[command(
    after_help = "Examples:\n  loamline --home ~/soil restore /media/copy/2024-05-06\n  loamline --home ~/soil restore ~/soil-copies\n  loamline --home ~/soil restore ~/soil-copies/history-2024-05-06.db\n\nA nightly pass keeps its copies in a folder beside the home; without a day the last one is taken.\nThe home must not hold a history; move the damaged one away first."
)]
pub struct Restore {
    /// The folder of the copy, or one store in a folder of nightly copies
    #[arg(value_name = "DIR")]
    folder: PathBuf,
}

impl Restore {
    /// Runs it; `asked` is the home given on the command line.
    ///
    /// # Errors
    /// What the disk says, or that the copy is not sound.
    pub fn run(self, asked: Option<PathBuf>) -> anyhow::Result<Exit> {
        let home = Home::open(&Home::locate(or_environment(asked))?)?;
        if home.history().exists() {
            bail!(
                "{} holds a history already: move it away, or give another home with --home DIR",
                home.root().display()
            );
        }
        let (store, folder) = if self.folder.is_file() {
            (self.folder.clone(), self.folder.parent().unwrap_or(Path::new(".")).to_owned())
        } else {
            let own = Home::as_is(&self.folder).history();
            let store = Some(own).filter(|own| own.exists()).or_else(|| copies::latest(&self.folder));
            let none = || format!("{} is no copy: it holds no loamline.db", self.folder.display());
            (store.with_context(none)?, self.folder.clone())
        };
        for tail in ["-wal", "-shm", "-journal"] {
            let mut beside = home.history().into_os_string();
            beside.push(tail);
            if Path::new(&beside).exists() {
                return Err(crate::history::Error::StaleLog(beside.into()).into());
            }
        }
        let from = Home::as_is(&folder);
        let originals = copy_originals(&from, &store, home.root())?;
        if from.settings().exists() && !home.settings().exists() {
            copy(&from.settings(), &home.settings())?;
        }
        History::restore(&store, &home.history())?;
        sound(home.root())?;
        let mut say = Say::default();
        say.line(format!(
            "{} and the history are back in {}, and found sound.",
            count(originals, "original"),
            home.root().display()
        ))?;
        Ok(Exit::Fine)
    }
}

/// Copies the originals a home's store copy speaks of, each beside its sentences. In a running home one may have moved
/// from `held/` to `filed/` meanwhile; it is looked for there.
fn copy_originals(home: &Home, store: &Path, to: &Path) -> anyhow::Result<usize> {
    let documents = History::open_read_only(store)?.documents()?;
    let kept: BTreeSet<String> = documents.into_iter().filter_map(|d| d.kept_at).collect();
    for kept_at in &kept {
        let target = to.join(kept_at);
        if let Some(folder) = target.parent() {
            fs::create_dir_all(folder).with_context(|| format!("{} cannot be made", folder.display()))?;
        }
        let source = where_it_is(home, kept_at);
        copy(&source, &target)?;
        let why = |p: &Path| PathBuf::from(format!("{}.why.txt", p.display()));
        if why(&source).exists() {
            copy(&why(&source), &why(&target))?;
        }
    }
    Ok(kept.len())
}

fn where_it_is(home: &Home, kept_at: &str) -> PathBuf {
    let told = home.root().join(kept_at);
    let name = kept_at.rsplit('/').next().unwrap_or(kept_at);
    if told.exists() {
        return told;
    }
    let others = [home.held().join(name), copies::place_of(home.root(), kept_at)];
    if let Some(there) = others.into_iter().find(|p| p.exists()) {
        return there;
    }
    let years = fs::read_dir(home.filed()).into_iter().flatten().flatten().map(|e| e.path().join(name));
    years.into_iter().find(|p| p.exists()).unwrap_or(told)
}

fn copy(from: &Path, to: &Path) -> anyhow::Result<()> {
    let said = || format!("{} cannot be copied to {}", from.display(), to.display());
    fs::copy(from, to).with_context(said)?;
    File::open(to).and_then(|f| f.sync_all()).with_context(said)
}

fn sound(root: &Path) -> anyhow::Result<()> {
    let findings = History::open_read_only(&root.join("loamline.db"))?.verify(root)?;
    match findings.first() {
        None => Ok(()),
        Some(first) => bail!("the copy {} is not sound: {}", root.display(), first.sentence),
    }
}
