//! Rules a person taught for the form of a laboratory: added, ended, and what rests on an ended one waits again.

use super::columns::{from_json, json};
use super::decision::{About, DecisionRow, Note, write_down};
use super::{Error, History, Result, site};
use crate::reading::taught::{Rule, witness_of};
use rusqlite::{Connection, OptionalExtension, params};
use serde::{Deserialize, Serialize};

/// A rule with who taught it, when, and from which file.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct TaughtRow {
    /// Key.
    pub id: i64,
    /// The rule.
    pub rule: Rule,
    /// The file it was taught from.
    pub source_file: String,
    /// Who.
    pub who: String,
    /// When, as the caller's clock said.
    pub at: String,
    /// Who ended it; none while it holds.
    pub ended_by: Option<String>,
    /// When it was ended.
    pub ended_at: Option<String>,
    /// Readings that were let in with its help.
    pub readings: usize,
}

/// A rule as it is kept.
#[derive(Debug, Serialize, Deserialize)]
struct Kept {
    rule: Rule,
    source_file: String,
}

/// What the book of decisions says of a rule.
#[derive(Debug, Serialize, Deserialize)]
struct Entry {
    taught: i64,
    holds: bool,
}

impl History {
    /// The features of the form of the report in which a reading stands, the laboratory's name, and the file's.
    ///
    /// # Errors
    /// [`Error::Unknown`] for a reading that is not there.
    pub fn layout_of(&self, reading: i64) -> Result<(Vec<String>, Option<String>, String)> {
        let (layout, lab, file): (String, Option<String>, String) = self
            .connection
            .prepare_cached(
                "SELECT p.layout, p.lab, d.source_file FROM readings r JOIN samples s ON s.id = r.sample_id
                 JOIN reports p ON p.id = s.report_id JOIN documents d ON d.id = p.document_id WHERE r.id = ?1",
            )?
            .query_row([reading], |row| Ok((row.get(0)?, row.get(1)?, row.get(2)?)))
            .optional()?
            .ok_or_else(|| Error::Unknown { what: "reading", key: reading.to_string() })?;
        Ok((from_json(&layout)?, lab, file))
    }

    /// Keeps a rule; gives its key and the number of the decision. The same rule again gives the first one's key.
    ///
    /// # Errors
    /// What the store says.
    pub fn teach(
        &mut self,
        rule: &Rule,
        source_file: &str,
        who: &str,
        at: &str,
    ) -> Result<(i64, Option<i64>)> {
        for row in self.taught()? {
            if row.ended_at.is_none() && row.rule == *rule {
                return Ok((row.id, None));
            }
        }
        let transaction = self.begin()?;
        let kept = Kept { rule: rule.clone(), source_file: source_file.to_owned() };
        transaction
            .prepare_cached("INSERT INTO taught (kind, key, rule, who, at) VALUES (?1, ?2, ?3, ?4, ?5)")?
            .execute(params![rule.what.kind(), rule.lab, json(&kept)?, who, at])?;
        let id = transaction.last_insert_rowid();
        let decision = write(&transaction, "teach", id, true, who, at)?;
        transaction.commit()?;
        Ok((id, Some(decision)))
    }

    /// Every rule, ended ones too, in the order taught.
    ///
    /// # Errors
    /// What the store says.
    pub fn taught(&self) -> Result<Vec<TaughtRow>> {
        let mut statement = self
            .connection
            .prepare_cached("SELECT id, rule, who, at, ended_by, ended_at FROM taught ORDER BY id")?;
        let mut rows = statement.query([])?;
        let mut all = Vec::new();
        while let Some(row) = rows.next()? {
            let id: i64 = row.get(0)?;
            let kept: Kept = from_json(&row.get::<_, String>(1)?)?;
            all.push(TaughtRow {
                id,
                rule: kept.rule,
                source_file: kept.source_file,
                who: row.get(2)?,
                at: row.get(3)?,
                ended_by: row.get(4)?,
                ended_at: row.get(5)?,
                readings: resting(&self.connection, id)?.len(),
            });
        }
        Ok(all)
    }

    /// The rules that hold, with their keys.
    ///
    /// # Errors
    /// What the store says.
    pub fn rules(&self) -> Result<Vec<(i64, Rule)>> {
        let mut statement = self
            .connection
            .prepare_cached("SELECT id, rule FROM taught WHERE ended_at IS NULL ORDER BY id")?;
        let rows = statement
            .query_map([], |row| Ok((row.get(0)?, row.get(1)?)))?
            .collect::<rusqlite::Result<Vec<(i64, String)>>>()?;
        rows.into_iter().map(|(id, kept)| Ok((id, from_json::<Kept>(&kept)?.rule))).collect()
    }

    /// Ends a rule; what was let in with its help and no person has decided waits again. Gives the number of the
    /// decision and how many readings wait.
    ///
    /// # Errors
    /// [`Error::Unknown`] for a rule that is not there; [`Error::Refused`] for one ended already.
    pub fn forget(&mut self, id: i64, who: &str, at: &str) -> Result<(i64, usize)> {
        let transaction = self.begin()?;
        let ended: Option<String> = transaction
            .query_row("SELECT ended_at FROM taught WHERE id = ?1", [id], |row| row.get(0))
            .optional()?
            .ok_or_else(|| Error::Unknown { what: "taught rule", key: id.to_string() })?;
        if ended.is_some() {
            return Err(Error::Refused(format!("rule {id} is forgotten already")));
        }
        let waiting = end(&transaction, id, who, at)?;
        let decision = write(&transaction, "forget", id, false, who, at)?;
        transaction.commit()?;
        Ok((decision, waiting))
    }
}

fn write(connection: &Connection, action: &str, id: i64, holds: bool, who: &str, at: &str) -> Result<i64> {
    let note = Note { about: About::Subject("taught"), action, undoes: None, who, at };
    let entry = |holds| json(&Entry { taught: id, holds });
    write_down(connection, &note, &entry(!holds)?, &entry(holds)?)
}

fn end(connection: &Connection, id: i64, who: &str, at: &str) -> Result<usize> {
    connection
        .execute("UPDATE taught SET ended_by = ?2, ended_at = ?3 WHERE id = ?1", params![id, who, at])?;
    let mut waiting = 0;
    for reading in resting(connection, id)? {
        waiting += connection
            .prepare_cached(
                "INSERT INTO standing (reading_id, status, doubt, analyte, method, value, unit, basis, qualifier, decided)
                 SELECT id, 'held', ?2, analyte, method, value, unit, basis, qualifier, 0 FROM readings WHERE id = ?1
                 ON CONFLICT (reading_id) DO UPDATE SET status = 'held', doubt = excluded.doubt WHERE decided = 0 AND status = 'accepted'",
            )?
            .execute(params![reading, forgotten(id)])?;
        site::changed_by_reading(connection, reading)?;
    }
    Ok(waiting)
}

fn forgotten(id: i64) -> String {
    format!("It was let in with the help of taught rule {id}, which is forgotten.")
}

/// Accepted readings among whose witnesses the rule is.
fn resting(connection: &Connection, id: i64) -> Result<Vec<i64>> {
    let mut statement = connection.prepare_cached(
        "SELECT r.id FROM readings r, json_each(r.witnesses) w WHERE r.status = 'accepted' AND instr(w.value, ?1) = 1 ORDER BY r.id",
    )?;
    Ok(statement.query_map([witness_of(id)], |row| row.get(0))?.collect::<rusqlite::Result<_>>()?)
}

/// Takes a teaching back as a forgetting, and a forgetting as if it had not been.
pub(super) fn undo(connection: &Connection, row: &DecisionRow, who: &str, at: &str) -> Result<()> {
    let entry: Entry = from_json(&row.after)?;
    if entry.holds {
        end(connection, entry.taught, who, at)?;
        return Ok(());
    }
    connection.execute("UPDATE taught SET ended_by = NULL, ended_at = NULL WHERE id = ?1", [entry.taught])?;
    for reading in resting(connection, entry.taught)? {
        connection.execute(
            "DELETE FROM standing WHERE reading_id = ?1 AND decided = 0 AND status = 'held' AND doubt = ?2",
            params![reading, forgotten(entry.taught)],
        )?;
        site::changed_by_reading(connection, reading)?;
    }
    Ok(())
}
