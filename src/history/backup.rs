//! A sound copy of the store while others write, and back again.

use super::{Error, Finding, History, Result, verify};
use rusqlite::Connection;
use rusqlite::backup::Backup;
use std::path::{Path, PathBuf};
use std::time::Duration;

/// Pages copied between two looks at the writers.
const PAGES: i32 = 1024;

impl History {
    /// Copies the store to `dest`, which must not exist: under a temporary name, checked, synced, then renamed.
    ///
    /// # Errors
    /// [`Error::Exists`], [`Error::UnsoundCopy`], or what the disk says.
    pub fn backup(&self, dest: &Path) -> Result<()> {
        copy(&self.connection, dest, verify::sound)
    }

    /// The same for every night, with the quick check: the copy is the store page by page, so what holds of it holds of the
    /// store. The whole check, and that of every row against its rules, cost by all that was ever kept; they come by the
    /// week and by the month.
    ///
    /// # Errors
    /// As [`History::backup`].
    pub fn backup_by_night(&self, dest: &Path) -> Result<()> {
        copy(&self.connection, dest, verify::quick)
    }

    /// Puts the copy `from` at `to`, where no store may be, and checks it.
    ///
    /// # Errors
    /// [`Error::Exists`], [`Error::StaleLog`] for side files of another store, [`Error::UnsoundCopy`].
    pub fn restore(from: &Path, to: &Path) -> Result<Self> {
        for stale in ["-wal", "-shm", "-journal"].map(|tail| beside(to, tail)) {
            if stale.exists() {
                return Err(Error::StaleLog(stale));
            }
        }
        let source = Self::open_read_only(from)?;
        copy(&source.connection, to, verify::sound)?;
        Self::open(to)
    }
}

fn copy(from: &Connection, dest: &Path, check: impl Fn(&Connection) -> Result<Vec<Finding>>) -> Result<()> {
    if dest.exists() {
        return Err(Error::Exists(dest.to_owned()));
    }
    let part = beside(dest, ".part");
    let on_disk = |source| Error::File { path: part.clone(), source };
    match std::fs::remove_file(&part) {
        Err(error) if error.kind() != std::io::ErrorKind::NotFound => return Err(on_disk(error)),
        _ => {}
    }
    {
        let mut to = Connection::open(&part)?;
        Backup::new(from, &mut to)?.run_to_completion(PAGES, Duration::from_millis(5), None)?;
        // One file, no log beside it: a copy travels alone.
        to.pragma_update_and_check(None, "journal_mode", "DELETE", |_| Ok(()))?;
        if let Some(finding) = check(&to)?.into_iter().next() {
            return Err(Error::UnsoundCopy { path: dest.to_owned(), finding: finding.sentence });
        }
    }
    std::fs::File::open(&part).and_then(|file| file.sync_all()).map_err(on_disk)?;
    std::fs::rename(&part, dest).map_err(on_disk)?;
    let folder = dest.parent().filter(|folder| !folder.as_os_str().is_empty()).unwrap_or(Path::new("."));
    std::fs::File::open(folder).and_then(|folder| folder.sync_all()).map_err(on_disk)
}

fn beside(path: &Path, tail: &str) -> PathBuf {
    let mut name = path.as_os_str().to_owned();
    name.push(tail);
    name.into()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::history::Filter;
    use crate::history::examples::{site, usual};

    fn history(folder: &Path) -> History {
        let mut history = History::open(&folder.join("loamline.db")).unwrap();
        history.upsert_site(&site("lawn")).unwrap();
        history.record(&usual(1, "H-1", 2021)).unwrap();
        history
    }

    #[test]
    fn a_copy_made_while_a_writer_is_at_work_holds_what_was_committed_and_comes_back() {
        let folder = tempfile::tempdir().unwrap();
        let history = history(folder.path());
        let writer = History::open(history.path()).unwrap();
        writer
            .connection
            .execute_batch("BEGIN IMMEDIATE; DELETE FROM inbox_notes; UPDATE sites SET name = 'half done'")
            .unwrap();
        let copy = folder.path().join("copy.db");
        history.backup(&copy).unwrap();
        writer.connection.execute_batch("ROLLBACK").unwrap();
        let restored = History::restore(&copy, &folder.path().join("again.db")).unwrap();
        let all = Filter::default();
        assert_eq!(restored.readings(&all).unwrap(), history.readings(&all).unwrap());
        assert_eq!(restored.site("lawn").unwrap().unwrap().name, "lawn");
        let mode: String =
            restored.connection.pragma_query_value(None, "journal_mode", |row| row.get(0)).unwrap();
        assert_eq!(mode, "wal", "a copy works with the log again");
    }

    #[test]
    fn nothing_that_is_there_is_overwritten_or_mixed_in() {
        let folder = tempfile::tempdir().unwrap();
        let history = history(folder.path());
        let copy = folder.path().join("copy.db");
        history.backup(&copy).unwrap();
        assert!(matches!(history.backup(&copy), Err(Error::Exists(_))));
        assert!(matches!(
            History::restore(&copy, history.path()),
            Err(Error::Exists(_) | Error::StaleLog(_))
        ));
        let to = folder.path().join("new.db");
        std::fs::write(beside(&to, "-wal"), "left over").unwrap();
        assert!(matches!(History::restore(&copy, &to), Err(Error::StaleLog(_))));
        assert!(!to.exists());
    }

    #[test]
    fn a_damaged_copy_is_not_restored() {
        let folder = tempfile::tempdir().unwrap();
        let copy = folder.path().join("copy.db");
        history(folder.path()).backup(&copy).unwrap();
        let mut bytes = std::fs::read(&copy).unwrap();
        for byte in bytes.iter_mut().skip(8192).step_by(61) {
            *byte ^= 0x55;
        }
        std::fs::write(&copy, bytes).unwrap();
        let to = folder.path().join("again.db");
        assert!(History::restore(&copy, &to).is_err());
        assert!(!to.exists());
    }
}
