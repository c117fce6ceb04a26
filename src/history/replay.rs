//! The journal read back: what people said, put on a history that was read anew from the originals.

use super::{Error, History, Result, reissue, site};
use rusqlite::types::Value as Sql;
use rusqlite::{Connection, OptionalExtension, params, params_from_iter};
use serde::Deserialize;
use serde_json::{Map, Value};

/// One line of the journal.
#[derive(Debug, Clone, PartialEq, Deserialize)]
pub struct Line {
    /// Its number.
    pub n: i64,
    /// SHA-256 of a document that came by itself.
    #[serde(default)]
    pub document: Option<String>,
    /// The name under which it came.
    #[serde(default)]
    pub file: Option<String>,
    /// When.
    #[serde(default)]
    pub at: Option<String>,
    #[serde(default)]
    put: Option<String>,
    #[serde(default)]
    take: Option<String>,
    #[serde(default)]
    row: Option<Map<String, Value>>,
    #[serde(default)]
    reading: Option<Key>,
    #[serde(default)]
    sample: Option<Key>,
    #[serde(default)]
    by: Option<Key>,
    /// Samples that a decision names by the store's own keys, each with what finds it.
    #[serde(default)]
    samples: Option<std::collections::BTreeMap<String, Key>>,
}

/// Document, report, sample, name of the sample; of a reading its place in the sample and its text too.
type Key = Vec<Value>;

impl Line {
    /// Reads a line.
    ///
    /// # Errors
    /// What is wrong with its JSON.
    pub fn parse(text: &str) -> serde_json::Result<Self> {
        serde_json::from_str(text)
    }
}

impl History {
    /// The lines of the journal in the store, in order.
    ///
    /// # Errors
    /// What the store says.
    pub fn journal(&self) -> Result<Vec<Line>> {
        let mut statement = self.connection.prepare_cached("SELECT id, line FROM journal ORDER BY id")?;
        let mut rows = statement.query([])?;
        let mut lines = Vec::new();
        while let Some(row) = rows.next()? {
            let (n, text): (i64, String) = (row.get(0)?, row.get(1)?);
            let mut value: Value = serde_json::from_str(&text)?;
            if let Some(object) = value.as_object_mut() {
                object.insert("n".to_owned(), n.into());
            }
            lines.push(serde_json::from_value(value)?);
        }
        Ok(lines)
    }

    /// Puts lines that speak of no document back, in one transaction. Gives the numbers of those for whose reading or
    /// sample nothing was found.
    ///
    /// # Errors
    /// What the store says.
    pub fn replay(&mut self, lines: &[Line]) -> Result<Vec<i64>> {
        self.write(|connection| {
            let mut lost = Vec::new();
            for line in lines {
                if !put_back(connection, line)? {
                    lost.push(line.n);
                }
            }
            Ok(lost)
        })
    }
}

fn put_back(connection: &Connection, line: &Line) -> Result<bool> {
    let empty = Map::new();
    let row = line.row.as_ref().unwrap_or(&empty);
    if let (Some(sha256), Some(at)) = (&line.document, &line.at) {
        let file = line.file.as_deref().unwrap_or_default();
        for sql in [
            "UPDATE documents SET recorded_at = ?2 WHERE sha256 = ?1 AND source_file = ?3",
            "UPDATE documents SET recorded_at = ?2 WHERE inside_of = ?1 AND ?3 = (SELECT source_file FROM documents WHERE sha256 = ?1)",
            "UPDATE copies SET recorded_at = ?2 WHERE source_file = ?3
                AND document_id = (SELECT id FROM documents WHERE sha256 = ?1)",
        ] {
            connection.prepare_cached(sql)?.execute([sha256, at, file])?;
        }
        return Ok(true);
    }
    let reading = line.reading.as_ref().map(|key| find_reading(connection, key)).transpose()?;
    let sample = line.sample.as_ref().map(|key| find_sample(connection, key)).transpose()?;
    if reading == Some(None) || sample == Some(None) {
        return Ok(false);
    }
    let (reading, sample) = (reading.flatten(), sample.flatten());
    match (line.put.as_deref(), line.take.as_deref()) {
        (Some("samples"), _) => {
            let Some(sample) = sample else { return Ok(false) };
            let by = line.by.as_ref().map(|key| find_sample(connection, key)).transpose()?.flatten();
            site::changed_by_sample(connection, sample)?;
            update(connection, "samples", sample, row)?;
            connection
                .prepare_cached(
                    "UPDATE samples SET superseded_by = ?2 WHERE id = ?1 AND superseded_by IS NOT ?2",
                )?
                .execute(params![sample, by])?;
            site::changed_by_sample(connection, sample)?;
        }
        (Some("standing"), _) => {
            let Some(reading) = reading else { return Ok(false) };
            put(connection, "standing", row, &[("reading_id", Some(reading))])?;
            site::changed_by_reading(connection, reading)?;
        }
        (Some("decisions"), _) => {
            let row = with_own_samples(connection, row, line.samples.as_ref())?;
            put(connection, "decisions", &row, &[("reading_id", reading), ("sample_id", sample)])?;
        }
        (Some(table), _) => {
            if let ("issues_apart", Some((older, newer))) = (table, pair(row)) {
                reissue::forget(connection, older, newer)?;
            }
            put(connection, table, row, &[])?;
            if let Some(id) = row.get("id").and_then(Value::as_str).filter(|_| table == "sites") {
                site::changed(connection, id)?;
            }
        }
        (None, Some("standing")) => {
            let Some(reading) = reading else { return Ok(false) };
            connection.prepare_cached("DELETE FROM standing WHERE reading_id = ?1")?.execute([reading])?;
            site::changed_by_reading(connection, reading)?;
        }
        (None, Some(table)) => {
            take(connection, table, row)?;
            if let ("issues_apart", Some((_, newer))) = (table, pair(row)) {
                reissue::mark_again(connection, newer)?;
            }
        }
        (None, None) => return Ok(false),
    }
    Ok(true)
}

fn pair(row: &Map<String, Value>) -> Option<(&str, &str)> {
    row.get("older").and_then(Value::as_str).zip(row.get("newer").and_then(Value::as_str))
}

/// A decision about sites with this store's keys of its samples.
fn with_own_samples(
    connection: &Connection,
    row: &Map<String, Value>,
    samples: Option<&std::collections::BTreeMap<String, Key>>,
) -> Result<Map<String, Value>> {
    let mut row = row.clone();
    let Some(samples) = samples.filter(|samples| !samples.is_empty()) else { return Ok(row) };
    for side in ["before", "after"] {
        let Some(text) = row.get(side).and_then(Value::as_str) else { continue };
        let mut state: Value = serde_json::from_str(text)?;
        if let Some(named) = state.get_mut("samples").and_then(Value::as_object_mut) {
            let mut ours = Map::new();
            for (old, stands) in std::mem::take(named) {
                let new = samples.get(&old).map(|key| find_sample(connection, key)).transpose()?.flatten();
                ours.insert(new.map_or(old, |new| new.to_string()), stands);
            }
            *named = ours;
            row.insert(side.to_owned(), Value::String(state.to_string()));
        }
    }
    Ok(row)
}

/// Columns of a table that holds what people said, and which of them are its key. Nothing else is written to.
fn columns(connection: &Connection, table: &str) -> Result<Vec<(String, bool)>> {
    let ours = super::journal::SAID.contains(&table) || ["standing", "decisions", "samples"].contains(&table);
    if !ours {
        return Err(Error::Word { what: "table of the journal", text: table.to_owned() });
    }
    let mut statement =
        connection.prepare_cached("SELECT name, pk > 0 FROM pragma_table_info(?1) ORDER BY cid")?;
    let found = statement.query_map([table], |row| Ok((row.get(0)?, row.get(1)?)))?;
    Ok(found.collect::<rusqlite::Result<_>>()?)
}

fn put(
    connection: &Connection,
    table: &str,
    row: &Map<String, Value>,
    keys: &[(&str, Option<i64>)],
) -> Result<()> {
    let (mut names, mut values) = (Vec::new(), Vec::new());
    for (name, _) in columns(connection, table)? {
        let key = keys.iter().find(|(key, _)| *key == name);
        let value = match (key, row.get(&name)) {
            (Some((_, id)), _) => id.map_or(Sql::Null, Sql::Integer),
            (None, Some(value)) => sql(value),
            (None, None) => continue,
        };
        names.push(name);
        values.push(value);
    }
    let marks: Vec<String> = (1..=names.len()).map(|n| format!("?{n}")).collect();
    // A decision is only added: a line told twice is the same line.
    let again = if table == "decisions" {
        "NOTHING".to_owned()
    } else {
        let set: Vec<String> = names.iter().map(|name| format!("\"{name}\" = excluded.\"{name}\"")).collect();
        format!("UPDATE SET {}", set.join(", "))
    };
    let quoted: Vec<String> = names.iter().map(|name| format!("\"{name}\"")).collect();
    connection
        .prepare_cached(&format!(
            "INSERT INTO {table} ({}) VALUES ({}) ON CONFLICT DO {again}",
            quoted.join(", "),
            marks.join(", ")
        ))?
        .execute(params_from_iter(values))?;
    Ok(())
}

fn update(connection: &Connection, table: &str, id: i64, row: &Map<String, Value>) -> Result<()> {
    let (mut set, mut values) = (Vec::new(), vec![Sql::Integer(id)]);
    for (name, _) in columns(connection, table)? {
        if let Some(value) = row.get(&name) {
            values.push(sql(value));
            set.push(format!("\"{name}\" = ?{}", values.len()));
        }
    }
    if !set.is_empty() {
        connection
            .prepare_cached(&format!("UPDATE {table} SET {} WHERE id = ?1", set.join(", ")))?
            .execute(params_from_iter(values))?;
    }
    Ok(())
}

fn take(connection: &Connection, table: &str, row: &Map<String, Value>) -> Result<()> {
    let (mut named, mut values) = (Vec::new(), Vec::new());
    for (name, _) in columns(connection, table)?.into_iter().filter(|(_, key)| *key) {
        values.push(row.get(&name).map_or(Sql::Null, sql));
        named.push(format!("\"{name}\" IS ?{}", values.len()));
    }
    if !named.is_empty() {
        connection
            .prepare_cached(&format!("DELETE FROM {table} WHERE {}", named.join(" AND ")))?
            .execute(params_from_iter(values))?;
    }
    Ok(())
}

fn sql(value: &Value) -> Sql {
    match value {
        Value::Null => Sql::Null,
        Value::Bool(yes) => Sql::Integer(i64::from(*yes)),
        Value::Number(number) => {
            number.as_i64().map(Sql::Integer).or_else(|| number.as_f64().map(Sql::Real)).unwrap_or(Sql::Null)
        }
        Value::String(text) => Sql::Text(text.clone()),
        other => Sql::Text(other.to_string()),
    }
}

fn text(key: &Key, at: usize) -> &str {
    key.get(at).and_then(Value::as_str).unwrap_or_default()
}

fn number(key: &Key, at: usize) -> i64 {
    key.get(at).and_then(Value::as_i64).unwrap_or(-1)
}

/// By its place; where another reading of the program gives another sample there, by its name alone if that is clear.
fn find_sample(connection: &Connection, key: &Key) -> Result<Option<i64>> {
    let placed = connection
        .prepare_cached(
            "SELECT s.id FROM documents d JOIN reports p ON p.document_id = d.id JOIN samples s ON s.report_id = p.id
             WHERE d.sha256 = ?1 AND p.ordinal = ?2 AND s.ordinal = ?3 AND s.label = ?4",
        )?
        .query_row(params![text(key, 0), number(key, 1), number(key, 2), text(key, 3)], |row| row.get(0))
        .optional()?;
    if placed.is_some() {
        return Ok(placed);
    }
    Ok(connection
        .prepare_cached(
            "SELECT min(s.id), count(*) FROM documents d JOIN reports p ON p.document_id = d.id
             JOIN samples s ON s.report_id = p.id WHERE d.sha256 = ?1 AND s.label = ?2",
        )?
        .query_row([text(key, 0), text(key, 3)], |row| {
            Ok((row.get::<_, Option<i64>>(0)?, row.get::<_, i64>(1)?))
        })
        .optional()?
        .and_then(|(id, n)| id.filter(|_| n == 1)))
}

fn find_reading(connection: &Connection, key: &Key) -> Result<Option<i64>> {
    let Some(sample) = find_sample(connection, key)? else { return Ok(None) };
    let placed = connection
        .prepare_cached("SELECT id FROM readings WHERE sample_id = ?1 AND ordinal = ?2 AND raw_value = ?3")?
        .query_row(params![sample, number(key, 4), text(key, 5)], |row| row.get(0))
        .optional()?;
    if placed.is_some() {
        return Ok(placed);
    }
    Ok(connection
        .prepare_cached("SELECT min(id), count(*) FROM readings WHERE sample_id = ?1 AND raw_value = ?2")?
        .query_row(params![sample, text(key, 5)], |row| {
            Ok((row.get::<_, Option<i64>>(0)?, row.get::<_, i64>(1)?))
        })
        .optional()?
        .and_then(|(id, n)| id.filter(|_| n == 1)))
}
