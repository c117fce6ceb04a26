//! What a person decides about a reading or a sample. A decision adds, never overwrites; an undo is one too.

use super::columns::{from_json, json};
use super::standing::{Standing, held_for_the_site, standing, write_standing};
use super::{Error, History, Result, record, site};
use crate::soil::{Analyte, Method, Quantity, Status};
use rusqlite::{Connection, OptionalExtension, TransactionBehavior, params};
use serde::{Deserialize, Serialize};

/// A decision of a person.
#[derive(Debug, Clone, PartialEq)]
pub enum Decision {
    /// It is right as read.
    Accept,
    /// It is this instead; the printed text stays beside it.
    Correct {
        /// What was measured.
        analyte: Analyte,
        /// How.
        method: Method,
        /// How much, in the canonical unit of the analyte.
        quantity: Quantity,
    },
    /// It does not count.
    Reject,
    /// The sample of this reading belongs to this site and zone. Readings held for the site alone are let in.
    Assign {
        /// Site id; it must be in the history.
        site: String,
        /// Zone of the site.
        zone: String,
    },
}

/// A decision as it was written down.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct DecisionRow {
    /// Key, ascending in the order taken.
    pub id: i64,
    /// The reading, for a decision about one.
    pub reading_id: Option<i64>,
    /// The sample, for an assignment.
    pub sample_id: Option<i64>,
    /// `accept`, `correct`, `reject`, `assign`, `undo`.
    pub action: String,
    /// The decision taken back, for an undo.
    pub undoes: Option<i64>,
    /// Who decided.
    pub who: String,
    /// When, as the caller's clock said.
    pub at: String,
    /// State before, JSON.
    pub before: String,
    /// State after, JSON.
    pub after: String,
}

/// Where a sample belongs.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
struct Belonging {
    site: Option<String>,
    zone: String,
}

impl History {
    /// Takes a decision about a reading and gives its key.
    ///
    /// # Errors
    /// [`Error::Unknown`] for a reading or site that is not there; [`Error::Refused`] for a value that cannot be.
    pub fn decide(&mut self, reading_id: i64, decision: &Decision, who: &str, at: &str) -> Result<i64> {
        let transaction = self.connection.transaction_with_behavior(TransactionBehavior::Immediate)?;
        let id = match decision {
            Decision::Assign { site, zone } => {
                let sample = sample_of(&transaction, reading_id)?;
                assign(
                    &transaction,
                    sample,
                    &Belonging { site: Some(site.clone()), zone: zone.clone() },
                    who,
                    at,
                )?
            }
            other => stand(&transaction, reading_id, other, who, at)?,
        };
        transaction.commit()?;
        Ok(id)
    }

    /// Assigns a sample to a site and zone; as [`Decision::Assign`], by the sample's own key.
    ///
    /// # Errors
    /// [`Error::Unknown`] for a sample or site that is not there.
    pub fn assign(&mut self, sample_id: i64, site: &str, zone: &str, who: &str, at: &str) -> Result<i64> {
        let transaction = self.connection.transaction_with_behavior(TransactionBehavior::Immediate)?;
        let to = Belonging { site: Some(site.to_owned()), zone: zone.to_owned() };
        let id = assign(&transaction, sample_id, &to, who, at)?;
        transaction.commit()?;
        Ok(id)
    }

    /// Takes a decision back: what it concerned stands as it did before. Later decisions go first.
    ///
    /// # Errors
    /// [`Error::Unknown`], or [`Error::Refused`] when it was taken back already or a later one stands on it.
    pub fn undo(&mut self, decision_id: i64, who: &str, at: &str) -> Result<i64> {
        let transaction = self.connection.transaction_with_behavior(TransactionBehavior::Immediate)?;
        let row = decisions(&transaction, "WHERE id = ?1", decision_id)?
            .pop()
            .ok_or_else(|| Error::Unknown { what: "decision", key: decision_id.to_string() })?;
        if row.action == "undo" {
            return Err(Error::Refused("an undo cannot be undone; take the decision again".to_owned()));
        }
        let last: Option<i64> = transaction.query_row(
            "SELECT max(d.id) FROM decisions d WHERE d.action <> 'undo' AND d.reading_id IS ?1 AND d.sample_id IS ?2
                AND NOT EXISTS (SELECT 1 FROM decisions u WHERE u.undoes = d.id)",
            params![row.reading_id, row.sample_id],
            |row| row.get(0),
        )?;
        if last != Some(decision_id) {
            return Err(Error::Refused(
                "this decision was taken back already, or a later one must be undone first".to_owned(),
            ));
        }
        match (row.reading_id, row.sample_id) {
            (Some(reading), _) => {
                write_standing(&transaction, reading, &from_json(&row.before)?)?;
                site::changed_by_reading(&transaction, reading)?;
            }
            (None, Some(sample)) => {
                belong(&transaction, sample, &from_json(&row.before)?)?;
                // What the assignment let in waits again.
                transaction.execute(
                    "DELETE FROM standing WHERE decided = 0 AND status = 'accepted' AND reading_id IN
                        (SELECT id FROM readings WHERE status = 'held' AND sample_id IN
                            (SELECT o.id FROM samples o JOIN samples s ON s.id = ?1
                             WHERE coalesce(o.duplicate_of, o.id) = coalesce(s.duplicate_of, s.id)))",
                    [sample],
                )?;
            }
            (None, None) => {}
        }
        let note = Note {
            reading: row.reading_id,
            sample: row.sample_id,
            action: "undo",
            undoes: Some(decision_id),
            who,
            at,
        };
        let id = write_down(&transaction, &note, &row.after, &row.before)?;
        transaction.commit()?;
        Ok(id)
    }

    /// The decisions about a reading and its sample, in the order taken.
    ///
    /// # Errors
    /// What the store says.
    pub fn decisions_on(&self, reading_id: i64) -> Result<Vec<DecisionRow>> {
        decisions(
            &self.connection,
            "WHERE reading_id = ?1 OR sample_id = (SELECT sample_id FROM readings WHERE id = ?1)",
            reading_id,
        )
    }

    /// Every decision in the order taken.
    ///
    /// # Errors
    /// What the store says.
    pub fn decisions(&self) -> Result<Vec<DecisionRow>> {
        decisions(&self.connection, "WHERE id > ?1", 0)
    }
}

fn stand(connection: &Connection, reading: i64, decision: &Decision, who: &str, at: &str) -> Result<i64> {
    let before = standing(connection, reading)?;
    let (action, after) = match decision {
        Decision::Correct { analyte, method, quantity } => (
            "correct",
            Standing {
                status: Status::Corrected,
                doubt: None,
                analyte: *analyte,
                method: *method,
                value: quantity.value,
                unit: quantity.unit,
                basis: quantity.basis,
                qualifier: quantity.qualifier,
                decided: true,
            },
        ),
        Decision::Reject => {
            ("reject", Standing { status: Status::Rejected, decided: true, ..before.clone() })
        }
        _ => {
            let status =
                if before.status == Status::Corrected { Status::Corrected } else { Status::Accepted };
            ("accept", Standing { status, doubt: None, decided: true, ..before.clone() })
        }
    };
    if after.status.counts() {
        if after.unit != after.analyte.unit() {
            return Err(Error::Refused(format!(
                "{} is kept in {}, not in {}",
                after.analyte.name(),
                after.analyte.unit(),
                after.unit
            )));
        }
        if !after.method.measures(after.analyte) {
            return Err(Error::Refused(format!(
                "{} does not measure {}",
                after.method,
                after.analyte.name()
            )));
        }
        if let Some(sentence) = record::impossible(after.analyte.id(), after.value, after.unit) {
            return Err(Error::Refused(sentence));
        }
    }
    write_standing(connection, reading, &after)?;
    site::changed_by_reading(connection, reading)?;
    let note = Note { reading: Some(reading), sample: None, action, undoes: None, who, at };
    write_down(connection, &note, &json(&before)?, &json(&after)?)
}

fn assign(connection: &Connection, sample: i64, to: &Belonging, who: &str, at: &str) -> Result<i64> {
    let unknown = |what, key: String| Error::Unknown { what, key };
    let site = to.site.clone().unwrap_or_default();
    let there = connection.prepare_cached("SELECT 1 FROM sites WHERE id = ?1")?.exists([&site])?;
    if !there {
        return Err(unknown("site", site));
    }
    let before = connection
        .prepare_cached("SELECT site, zone FROM samples WHERE id = ?1")?
        .query_row([sample], |row| Ok(Belonging { site: row.get(0)?, zone: row.get(1)? }))
        .optional()?
        .ok_or_else(|| unknown("sample", sample.to_string()))?;
    belong(connection, sample, to)?;
    for held in held_for_the_site(connection, sample)? {
        let standing = Standing { status: Status::Accepted, doubt: None, ..standing(connection, held)? };
        if record::impossible(standing.analyte.id(), standing.value, standing.unit).is_none() {
            write_standing(connection, held, &standing)?;
        }
    }
    let note = Note { reading: None, sample: Some(sample), action: "assign", undoes: None, who, at };
    write_down(connection, &note, &json(&before)?, &json(to)?)
}

fn belong(connection: &Connection, sample: i64, to: &Belonging) -> Result<()> {
    site::changed_by_sample(connection, sample)?;
    connection
        .prepare_cached(
            "UPDATE samples SET site = ?2, zone = ?3 WHERE id IN (SELECT o.id FROM samples s JOIN samples o
                ON o.id = coalesce(s.duplicate_of, s.id) OR o.duplicate_of = coalesce(s.duplicate_of, s.id) WHERE s.id = ?1)",
        )?
        .execute(params![sample, to.site, if to.zone.is_empty() { crate::soil::site::WHOLE } else { &to.zone }])?;
    site::changed_by_sample(connection, sample)
}

fn sample_of(connection: &Connection, reading: i64) -> Result<i64> {
    connection
        .prepare_cached("SELECT sample_id FROM readings WHERE id = ?1")?
        .query_row([reading], |row| row.get(0))
        .optional()?
        .ok_or_else(|| Error::Unknown { what: "reading", key: reading.to_string() })
}

/// Head of a line of the book of decisions.
struct Note<'a> {
    reading: Option<i64>,
    sample: Option<i64>,
    action: &'a str,
    undoes: Option<i64>,
    who: &'a str,
    at: &'a str,
}

fn write_down(connection: &Connection, note: &Note<'_>, before: &str, after: &str) -> Result<i64> {
    connection
        .prepare_cached(
            "INSERT INTO decisions (reading_id, sample_id, action, undoes, who, at, before, after)
             VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8)",
        )?
        .execute(params![
            note.reading,
            note.sample,
            note.action,
            note.undoes,
            note.who,
            note.at,
            before,
            after
        ])?;
    Ok(connection.last_insert_rowid())
}

fn decisions(connection: &Connection, which: &str, key: i64) -> Result<Vec<DecisionRow>> {
    let mut statement = connection.prepare_cached(&format!(
        "SELECT id, reading_id, sample_id, action, undoes, who, at, before, after FROM decisions {which} ORDER BY id"
    ))?;
    let rows = statement.query_map([key], |row| {
        Ok(DecisionRow {
            id: row.get(0)?,
            reading_id: row.get(1)?,
            sample_id: row.get(2)?,
            action: row.get(3)?,
            undoes: row.get(4)?,
            who: row.get(5)?,
            at: row.get(6)?,
            before: row.get(7)?,
            after: row.get(8)?,
        })
    })?;
    Ok(rows.collect::<rusqlite::Result<_>>()?)
}
