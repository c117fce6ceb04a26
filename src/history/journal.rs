//! The journal: what no original says, line by line in the order of work, in the store and as a file beside it.
//!
//! Triggers write the lines, so that no way of changing these tables can forget it. The file follows after every
//! commit and is caught up at every opening; the store may be lost and made anew from it and the originals.

use super::{History, Result};
use rusqlite::{Connection, OptionalExtension};
use std::fs::{File, OpenOptions};
use std::io::{self, Read, Seek, SeekFrom, Write};
use std::path::{Path, PathBuf};

/// Tables that hold what people said, row by row.
pub(super) const SAID: [&str; 8] =
    ["sites", "site_names", "zones", "codes", "taught", "applications", "issues_apart", "sites_alike"];

/// Columns of a sample that a person may change.
const OF_SAMPLES: [&str; 4] = ["site", "zone", "season", "dated_on"];

/// What may stand in the last line of the file, bytes.
const TAIL: u64 = 1 << 20;

fn key_of_reading(id: &str) -> String {
    format!(
        "json((SELECT json_array(d.sha256, p.ordinal, s.ordinal, s.label, r.ordinal, r.raw_value) FROM readings r
          JOIN samples s ON s.id = r.sample_id JOIN reports p ON p.id = s.report_id
          JOIN documents d ON d.id = p.document_id WHERE r.id = {id}))"
    )
}

fn key_of_sample(id: &str) -> String {
    format!(
        "json((SELECT json_array(d.sha256, p.ordinal, s.ordinal, s.label) FROM samples s
          JOIN reports p ON p.id = s.report_id JOIN documents d ON d.id = p.document_id WHERE s.id = {id}))"
    )
}

/// `json_object` of these columns of a row called `of`.
fn object(columns: &[String], of: &str) -> String {
    let pairs: Vec<String> = columns.iter().map(|name| format!("'{name}', {of}.\"{name}\"")).collect();
    format!("json_object({})", pairs.join(", "))
}

fn columns(connection: &Connection, table: &str) -> Result<Vec<String>> {
    let mut statement = connection.prepare("SELECT name FROM pragma_table_info(?1) ORDER BY cid")?;
    Ok(statement.query_map([table], |row| row.get(0))?.collect::<rusqlite::Result<_>>()?)
}

/// Makes the triggers for the tables as they are now, and the lines for what stood in them before there was a journal.
pub(super) fn install(connection: &Connection) -> Result<()> {
    if columns(connection, "journal")?.is_empty() {
        return Ok(());
    }
    let lines = lines(connection)?;
    let empty: bool =
        connection.query_row("SELECT NOT EXISTS (SELECT 1 FROM journal)", [], |row| row.get(0))?;
    for line in &lines {
        for (event, when, sql) in &line.triggers {
            let name =
                format!("journal_{}_{}", line.table, event.split(' ').next().unwrap_or(event).to_lowercase());
            connection.execute_batch(&format!("DROP TRIGGER IF EXISTS {name}"))?;
            connection.execute_batch(&format!(
                "CREATE TRIGGER {name} AFTER {event} ON {} {when} BEGIN INSERT INTO journal (line) VALUES ({sql}); END",
                line.table
            ))?;
        }
        if empty && let Some(filled) = &line.filled {
            connection.execute_batch(&format!("INSERT INTO journal (line) {filled}"))?;
        }
    }
    Ok(())
}

/// What is journaled of a table.
struct Lines {
    table: &'static str,
    /// Event, condition, line.
    triggers: Vec<(String, String, String)>,
    /// The lines of the rows there are.
    filled: Option<String>,
}

fn lines(connection: &Connection) -> Result<Vec<Lines>> {
    let mut all = vec![documents(), copies()];
    for table in SAID {
        let columns = columns(connection, table)?;
        if !columns.is_empty() {
            let row = |event: &str, of: &str| {
                format!("json_object('{event}', '{table}', 'row', {})", object(&columns, of))
            };
            all.push(Lines {
                table,
                triggers: vec![
                    ("INSERT".to_owned(), String::new(), row("put", "NEW")),
                    ("UPDATE".to_owned(), differs(&columns), row("put", "NEW")),
                    ("DELETE".to_owned(), String::new(), row("take", "OLD")),
                ],
                filled: Some(format!("SELECT {} FROM {table} x", row("put", "x"))),
            });
        }
    }
    all.push(samples(&columns(connection, "samples")?));
    all.push(standing(&columns(connection, "standing")?));
    all.push(decisions(&columns(connection, "decisions")?));
    Ok(all)
}

fn differs(columns: &[String]) -> String {
    let any: Vec<String> =
        columns.iter().map(|name| format!("NEW.\"{name}\" IS NOT OLD.\"{name}\"")).collect();
    format!("WHEN {}", any.join(" OR "))
}

/// What came by itself: what lies inside a mail or archive comes with that.
fn documents() -> Lines {
    let line = |of: &str| {
        format!("json_object('document', {of}.sha256, 'file', {of}.source_file, 'at', {of}.recorded_at)")
    };
    Lines {
        table: "documents",
        triggers: vec![
            ("INSERT".to_owned(), "WHEN NEW.inside_of IS NULL".to_owned(), line("NEW")),
            (
                "UPDATE OF source_file, inside_of, format, outcome".to_owned(),
                "WHEN NEW.inside_of IS NULL AND (NEW.source_file IS NOT OLD.source_file OR NEW.inside_of IS NOT OLD.inside_of
                    OR NEW.format IS NOT OLD.format OR NEW.outcome IS NOT OLD.outcome)"
                    .to_owned(),
                line("NEW"),
            ),
        ],
        filled: Some(format!("SELECT {} FROM documents x WHERE x.inside_of IS NULL ORDER BY x.id", line("x"))),
    }
}

fn copies() -> Lines {
    let line = |of: &str| {
        format!(
            "json_object('document', (SELECT sha256 FROM documents WHERE id = {of}.document_id), 'file', {of}.source_file,
                'at', {of}.recorded_at)"
        )
    };
    Lines {
        table: "copies",
        triggers: vec![("INSERT".to_owned(), "WHEN NEW.inside_of = ''".to_owned(), line("NEW"))],
        filled: Some(format!("SELECT {} FROM copies x WHERE x.inside_of = '' ORDER BY x.id", line("x"))),
    }
}

fn samples(there: &[String]) -> Lines {
    let columns: Vec<String> =
        there.iter().filter(|name| OF_SAMPLES.contains(&name.as_str())).cloned().collect();
    let line = |of: &str| {
        format!(
            "json_object('put', 'samples', 'row', {}, 'sample', {}, 'by', {})",
            object(&columns, of),
            key_of_sample(&format!("{of}.id")),
            key_of_sample(&format!("{of}.superseded_by"))
        )
    };
    let watched: Vec<String> = columns.iter().cloned().chain(["superseded_by".to_owned()]).collect();
    Lines {
        table: "samples",
        triggers: vec![(format!("UPDATE OF {}", watched.join(", ")), differs(&watched), line("NEW"))],
        filled: Some(format!("SELECT {} FROM samples x ORDER BY x.id", line("x"))),
    }
}

fn standing(there: &[String]) -> Lines {
    let columns: Vec<String> = there.iter().filter(|name| *name != "reading_id").cloned().collect();
    let put = |of: &str| {
        format!(
            "json_object('put', 'standing', 'row', {}, 'reading', {})",
            object(&columns, of),
            key_of_reading(&format!("{of}.reading_id"))
        )
    };
    Lines {
        table: "standing",
        triggers: vec![
            ("INSERT".to_owned(), String::new(), put("NEW")),
            ("UPDATE".to_owned(), differs(&columns), put("NEW")),
            (
                "DELETE".to_owned(),
                String::new(),
                format!("json_object('take', 'standing', 'reading', {})", key_of_reading("OLD.reading_id")),
            ),
        ],
        filled: Some(format!("SELECT {} FROM standing x ORDER BY x.reading_id", put("x"))),
    }
}

fn decisions(there: &[String]) -> Lines {
    let columns: Vec<String> =
        there.iter().filter(|name| !["reading_id", "sample_id"].contains(&name.as_str())).cloned().collect();
    let put = |of: &str| {
        format!(
            "json_object('put', 'decisions', 'row', {}, 'reading', {}, 'sample', {}, 'samples',
                json((SELECT json_group_object(e.key, {}) FROM json_each({of}.after, '$.samples') e)))",
            object(&columns, of),
            key_of_reading(&format!("{of}.reading_id")),
            key_of_sample(&format!("{of}.sample_id")),
            key_of_sample("CAST(e.key AS INTEGER)")
        )
    };
    Lines {
        table: "decisions",
        triggers: vec![("INSERT".to_owned(), String::new(), put("NEW"))],
        filled: Some(format!("SELECT {} FROM decisions x ORDER BY x.id", put("x"))),
    }
}

/// Where the journal of a store lies.
pub fn beside(store: &Path) -> PathBuf {
    store.with_file_name("journal.jsonl")
}

impl History {
    /// Brings the file up to what is committed. The store is the truth: a file that cannot be written now is caught up
    /// later, and `verify` says so.
    pub(super) fn write_journal(&self) {
        if let Err(error) = self.catch_up() {
            tracing::warn!(%error, "the journal beside the history waits to be written");
        }
    }

    fn catch_up(&self) -> io::Result<()> {
        let sql = |error: rusqlite::Error| io::Error::other(error);
        let last = self
            .connection
            .prepare_cached("SELECT coalesce(max(id), 0) FROM journal")
            .and_then(|mut statement| statement.query_row([], |row| row.get::<_, i64>(0)));
        let Ok(last) = last else { return Ok(()) };
        if self.journaled.get() == Some(last) {
            return Ok(());
        }
        let path = beside(&self.path);
        let mut file = OpenOptions::new().read(true).write(true).create(true).truncate(false).open(&path)?;
        rustix::fs::flock(&file, rustix::fs::FlockOperation::LockExclusive)?;
        let (have, line) = last_line(&mut file)?;
        if have > 0 && self.line(have).map_err(sql)?.as_deref() != Some(line.as_str()) {
            // Of another store, or of this one before a copy was put back: kept, under another name.
            return self.begin_again(&path);
        }
        self.append(&mut file, have)?;
        self.journaled.set(Some(last));
        Ok(())
    }

    fn append(&self, file: &mut File, have: i64) -> io::Result<()> {
        let sql = |error: rusqlite::Error| io::Error::other(error);
        let mut statement = self
            .connection
            .prepare_cached("SELECT id, line FROM journal WHERE id > ?1 ORDER BY id")
            .map_err(sql)?;
        let mut rows = statement.query([have]).map_err(sql)?;
        let mut text = String::new();
        while let Some(row) = rows.next().map_err(sql)? {
            let (id, line): (i64, String) = (row.get(0).map_err(sql)?, row.get(1).map_err(sql)?);
            text.push_str(&numbered(id, &line));
            text.push('\n');
        }
        file.write_all(text.as_bytes())?;
        // A store that does not wait for the disk does not for its journal either.
        let waits: i64 =
            self.connection.pragma_query_value(None, "synchronous", |row| row.get(0)).map_err(sql)?;
        if waits > 0 { file.sync_data() } else { Ok(()) }
    }

    fn begin_again(&self, path: &Path) -> io::Result<()> {
        let free = (1_u32..)
            .map(|n| path.with_file_name(format!("journal.before-{n}.jsonl")))
            .find(|name| !name.exists());
        if let Some(name) = free {
            std::fs::rename(path, name)?;
        }
        let mut file = OpenOptions::new().write(true).create_new(true).open(path)?;
        self.append(&mut file, 0)
    }

    fn line(&self, id: i64) -> rusqlite::Result<Option<String>> {
        let line: Option<String> = self
            .connection
            .prepare_cached("SELECT line FROM journal WHERE id = ?1")?
            .query_row([id], |row| row.get(0))
            .optional()?;
        Ok(line.map(|line| numbered(id, &line)))
    }

    /// True where the file beside the store holds every line of it.
    ///
    /// # Errors
    /// What the store says.
    pub fn journal_is_written(&self) -> Result<bool> {
        let last: i64 =
            self.connection.query_row("SELECT coalesce(max(id), 0) FROM journal", [], |row| row.get(0))?;
        let have = File::open(beside(&self.path)).and_then(|mut file| {
            let size = file.metadata()?.len();
            tail(&mut file, size).map(|(have, _, _)| have)
        });
        Ok(have.unwrap_or(0) == last)
    }
}

fn numbered(id: i64, line: &str) -> String {
    format!("{{\"n\":{id},{}", line.trim_start_matches('{'))
}

/// The number and text of the last whole line; a torn one after it is cut off.
fn last_line(file: &mut File) -> io::Result<(i64, String)> {
    let size = file.metadata()?.len();
    let (have, line, whole) = tail(file, size)?;
    if whole < size {
        file.set_len(whole)?;
    }
    file.seek(SeekFrom::End(0))?;
    Ok((have, line))
}

/// The number of the last whole line, the line, and where it ends.
fn tail(file: &mut File, size: u64) -> io::Result<(i64, String, u64)> {
    let start = size.saturating_sub(TAIL);
    file.seek(SeekFrom::Start(start))?;
    let mut bytes = Vec::new();
    file.read_to_end(&mut bytes)?;
    let Some(end) = bytes.iter().rposition(|b| *b == b'\n') else { return Ok((0, String::new(), 0)) };
    let whole = bytes.get(..end).unwrap_or_default();
    let begin = whole.iter().rposition(|b| *b == b'\n').map_or(0, |at| at + 1);
    let line = String::from_utf8_lossy(whole.get(begin..).unwrap_or_default()).into_owned();
    let have = serde_json::from_str::<serde_json::Value>(&line)
        .ok()
        .and_then(|value| value.get("n").and_then(serde_json::Value::as_i64))
        .unwrap_or(0);
    Ok((have, line, start + end as u64 + 1))
}
