//! Opens the store, sets its rules, and brings its schema up to date.

use super::{Error, History, Result};
use rusqlite::{Connection, OpenFlags, TransactionBehavior};
use std::cell::Cell;
use std::path::Path;
use std::time::Duration;

/// The steps of the schema; new ones go to the end, none is ever changed.
pub(super) const MIGRATIONS: &[&str] = &[
    include_str!("migrations/0001_history.sql"),
    include_str!("migrations/0002_applications.sql"),
    include_str!("migrations/0003_sites.sql"),
    include_str!("migrations/0004_trust.sql"),
    include_str!("migrations/0005_copies.sql"),
    include_str!("migrations/0006_messages.sql"),
    include_str!("migrations/0007_recommendations.sql"),
    include_str!("migrations/0008_listing.sql"),
    include_str!("migrations/0009_marks.sql"),
    include_str!("migrations/0010_alike.sql"),
];

/// The schema this program writes: the number of steps.
pub(super) const SCHEMA: u32 = MIGRATIONS.len() as u32;

/// Memory for pages of the store, KiB.
const CACHE_KIB: i64 = 16_384;

/// Pages the log grows to before it is worked into the store.
const LOG_PAGES: i64 = 4_000;

/// How long a process waits for another one's transaction.
const BUSY: Duration = Duration::from_secs(5);

impl History {
    /// Opens the history, making it on first use and upgrading it (after a copy) when it is older.
    ///
    /// # Errors
    /// [`Error::Newer`] for the store of a newer program, which is not touched; [`Error::NoCopy`] when there is no
    /// room for the copy before an upgrade; else what the disk says.
    pub fn open(path: &Path) -> Result<Self> {
        let mut history = Self::open_with(path, MIGRATIONS)?;
        if super::listing::pending(&history.connection)? {
            // An upgrade marks every document; it may have been killed before this.
            history.begin()?.commit()?;
        }
        Ok(history)
    }

    /// Opens an existing history for reading alone.
    ///
    /// # Errors
    /// [`Error::Missing`] where none is, [`Error::Newer`], or what the disk says.
    pub fn open_read_only(path: &Path) -> Result<Self> {
        if !path.exists() {
            return Err(Error::Missing(path.to_owned()));
        }
        let flags = OpenFlags::SQLITE_OPEN_READ_ONLY | OpenFlags::SQLITE_OPEN_NO_MUTEX;
        let connection = Connection::open_with_flags(path, flags)?;
        rules(&connection)?;
        let found = schema_of(&connection)?;
        if found > SCHEMA {
            return Err(Error::Newer { found, known: SCHEMA });
        }
        if found < SCHEMA {
            drop(connection);
            drop(Self::open(path)?);
            return Self::open_read_only(path);
        }
        Ok(Self { connection, path: path.to_owned(), journaled: Cell::default() })
    }

    /// Works the log beside the store into it and empties it; gives the bytes that are left because somebody still
    /// reads from it.
    ///
    /// # Errors
    /// What the disk says.
    pub fn shorten_log(&self) -> Result<u64> {
        // Busy is an answer here, and no error: the row says so.
        self.connection.query_row("PRAGMA wal_checkpoint(TRUNCATE)", [], |_| Ok(()))?;
        let mut log = self.path.clone().into_os_string();
        log.push("-wal");
        match std::fs::metadata(&log) {
            Ok(found) => Ok(found.len()),
            Err(error) if error.kind() == std::io::ErrorKind::NotFound => Ok(0),
            Err(source) => Err(Error::File { path: log.into(), source }),
        }
    }

    pub(super) fn open_with(path: &Path, migrations: &[&str]) -> Result<Self> {
        let flags = OpenFlags::SQLITE_OPEN_READ_WRITE
            | OpenFlags::SQLITE_OPEN_CREATE
            | OpenFlags::SQLITE_OPEN_NO_MUTEX;
        let mut connection = Connection::open_with_flags(path, flags)?;
        rules(&connection)?;
        let known = u32::try_from(migrations.len()).unwrap_or(u32::MAX);
        let found = schema_of(&connection)?;
        if found > known {
            return Err(Error::Newer { found, known });
        }
        write_rules(&connection, path)?;
        if found < known {
            if found > 0 {
                copy_before_upgrade(&connection, path, found)?;
            }
            upgrade(&mut connection, migrations)?;
        }
        let history = Self { connection, path: path.to_owned(), journaled: Cell::default() };
        history.write_journal();
        Ok(history)
    }
}

/// Rules of every connection: nothing in the file is trusted, cells are checked, foreign keys hold.
fn rules(connection: &Connection) -> Result<()> {
    connection.busy_timeout(BUSY)?;
    connection.pragma_update(None, "trusted_schema", false)?;
    connection.pragma_update(None, "cell_size_check", true)?;
    connection.pragma_update(None, "foreign_keys", true)?;
    connection.pragma_update(None, "mmap_size", 0)?;
    // One plan a statement, whatever is bound: else SQLite plans anew for every sample it is asked about.
    connection.set_db_config(rusqlite::config::DbConfig::SQLITE_DBCONFIG_ENABLE_QPSG, true)?;
    connection.set_prepared_statement_cache_capacity(128);
    Ok(())
}

/// Rules of a writer: the log beside the store, and every commit on the disk before it is believed.
fn write_rules(connection: &Connection, path: &Path) -> Result<()> {
    let mode: String = connection.pragma_update_and_check(None, "journal_mode", "WAL", |row| row.get(0))?;
    if !mode.eq_ignore_ascii_case("wal") {
        return Err(Error::NoLog(path.to_owned()));
    }
    connection.pragma_update(None, "synchronous", "FULL")?;
    // What is filed together is written once: it fits the memory, and the log takes several such steps.
    connection.pragma_update(None, "cache_size", -CACHE_KIB)?;
    connection.pragma_update(None, "wal_autocheckpoint", LOG_PAGES)?;
    Ok(())
}

fn schema_of(connection: &Connection) -> Result<u32> {
    Ok(connection.pragma_query_value(None, "user_version", |row| row.get(0))?)
}

/// Each step in its own transaction together with its number: after a kill the store is before or after a step.
fn upgrade(connection: &mut Connection, migrations: &[&str]) -> Result<()> {
    for (number, step) in (1_u32..).zip(migrations) {
        let transaction = connection.transaction_with_behavior(TransactionBehavior::Immediate)?;
        // Asked again inside: another process may have taken the step meanwhile.
        if schema_of(&transaction)? >= number {
            continue;
        }
        transaction.execute_batch(step)?;
        if number as usize == migrations.len() {
            super::journal::install(&transaction)?;
        }
        transaction.pragma_update(None, "user_version", number)?;
        transaction.commit()?;
    }
    Ok(())
}

/// A copy beside the store, named by the schema it holds. One of an upgrade that failed before is replaced: it holds less.
fn copy_before_upgrade(connection: &Connection, path: &Path, schema: u32) -> Result<()> {
    let copy = path.with_extension(format!("schema-{schema}.db"));
    let part = path.with_extension(format!("schema-{schema}.part"));
    let failed = |source: Error| Error::NoCopy { path: copy.clone(), source: Box::new(source) };
    let on_disk = |source| failed(Error::File { path: part.clone(), source });
    match std::fs::remove_file(&part) {
        Err(error) if error.kind() != std::io::ErrorKind::NotFound => return Err(on_disk(error)),
        _ => {}
    }
    let to = part.to_str().ok_or_else(|| on_disk(std::io::Error::other("its name is not UTF-8")))?;
    connection.execute("VACUUM INTO ?1", [to]).map_err(|error| failed(error.into()))?;
    std::fs::File::open(&part).and_then(|file| file.sync_all()).map_err(on_disk)?;
    std::fs::rename(&part, &copy).map_err(on_disk)?;
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;

    fn pragma<T: rusqlite::types::FromSql>(history: &History, name: &str) -> T {
        history.connection.pragma_query_value(None, name, |row| row.get(0)).unwrap()
    }

    #[test]
    fn the_bundled_sqlite_has_the_repaired_log() {
        // The fault of resetting the write-ahead log was repaired in 3.51.3 (sqlite.org/wal.html).
        assert!(rusqlite::version_number() >= 3_051_003, "{}", rusqlite::version());
    }

    #[test]
    fn every_opening_sets_the_rules() {
        let home = tempfile::tempdir().unwrap();
        let history = History::open(&home.path().join("loamline.db")).unwrap();
        assert_eq!(pragma::<String>(&history, "journal_mode"), "wal");
        assert_eq!(pragma::<i64>(&history, "synchronous"), 2);
        assert_eq!(pragma::<i64>(&history, "foreign_keys"), 1);
        assert_eq!(pragma::<i64>(&history, "trusted_schema"), 0);
        assert_eq!(pragma::<i64>(&history, "cell_size_check"), 1);
        assert_eq!(pragma::<u32>(&history, "user_version"), SCHEMA);
        let loose: i64 = history
            .connection
            .query_row("SELECT count(*) FROM pragma_table_list WHERE schema = 'main' AND type = 'table' AND name NOT LIKE 'sqlite_%' AND strict = 0", [], |row| row.get(0))
            .unwrap();
        assert_eq!(loose, 0, "every table is STRICT");
    }

    #[test]
    fn a_newer_schema_is_refused_and_not_touched() {
        let home = tempfile::tempdir().unwrap();
        let path = home.path().join("loamline.db");
        History::open(&path).unwrap().connection.pragma_update(None, "user_version", SCHEMA + 1).unwrap();
        for error in [History::open(&path).unwrap_err(), History::open_read_only(&path).unwrap_err()] {
            assert!(matches!(error, Error::Newer { .. }));
            assert!(error.to_string().contains("newer version"), "{error}");
        }
    }

    #[test]
    fn an_upgrade_is_preceded_by_a_copy_and_a_failed_step_leaves_the_store_as_it_was() {
        let home = tempfile::tempdir().unwrap();
        let path = home.path().join("loamline.db");
        let (first, second, broken) = (
            "CREATE TABLE a (x TEXT) STRICT",
            "CREATE TABLE b (x TEXT) STRICT",
            "CREATE TABLE c (x TEXT) STRICT; oops",
        );
        drop(History::open_with(&path, &[first]).unwrap());
        assert!(History::open_with(&path, &[first, broken]).is_err());
        let copy = home.path().join("loamline.schema-1.db");
        assert!(copy.exists());
        let history = History::open_with(&path, &[first, second]).unwrap();
        assert_eq!(schema_of(&history.connection).unwrap(), 2);
        assert!(history.connection.prepare("SELECT x FROM c").is_err());
        assert_eq!(schema_of(&Connection::open(&copy).unwrap()).unwrap(), 1);
    }

    #[test]
    fn reading_alone_needs_a_history_and_cannot_write() {
        let home = tempfile::tempdir().unwrap();
        let path = home.path().join("loamline.db");
        assert!(matches!(History::open_read_only(&path), Err(Error::Missing(_))));
        drop(History::open(&path).unwrap());
        let history = History::open_read_only(&path).unwrap();
        assert!(history.connection.execute("DELETE FROM documents", []).is_err());
    }

    #[test]
    fn a_file_that_is_no_store_is_named_damaged() {
        let home = tempfile::tempdir().unwrap();
        let path = home.path().join("loamline.db");
        std::fs::write(&path, vec![b'x'; 4096]).unwrap();
        assert!(matches!(History::open(&path), Err(Error::Damaged(_))));
    }
}
