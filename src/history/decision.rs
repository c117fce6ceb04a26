//! What a person decides about a reading or a sample. A decision adds, never overwrites; an undo is one too.

use super::columns::{from_json, json, word};
use super::{Error, History, Result, record, site};
use crate::soil::{Analyte, Basis, Doubt, Method, Qualifier, Quantity, Status, Unit};
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

/// How a reading stands: the columns a decision may change.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
struct Standing {
    status: Status,
    doubt: Option<String>,
    analyte: Analyte,
    method: Method,
    value: f64,
    unit: Unit,
    basis: Option<Basis>,
    qualifier: Option<Qualifier>,
    decided: bool,
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

/// Undecided readings of the sample against which nothing speaks but the site: no doubt of their own, and none of the
/// sample's or report's doubts but those whose reason begins with `site`.
fn held_for_the_site(connection: &Connection, sample: i64) -> Result<Vec<i64>> {
    let mut statement = connection.prepare_cached(
        "SELECT r.id, r.doubts, s.doubts, p.doubts FROM readings r JOIN samples s ON s.id = r.sample_id JOIN reports p ON p.id = s.report_id
         LEFT JOIN standing t ON t.reading_id = r.id
         WHERE s.id = ?1 AND coalesce(t.status, r.status) = 'held' AND coalesce(t.decided, 0) = 0",
    )?;
    let mut rows = statement.query([sample])?;
    let mut held = Vec::new();
    while let Some(row) = rows.next()? {
        let mut doubts: Vec<Doubt> = Vec::new();
        for column in 1..=3 {
            doubts.extend(from_json::<Vec<Doubt>>(&row.get::<_, String>(column)?)?);
        }
        if doubts.iter().all(|doubt| doubt.reason.starts_with("site")) {
            held.push(row.get(0)?);
        }
    }
    Ok(held)
}

/// As it is kept; what another issue says against it comes on top, and goes when that issue no longer counts.
fn standing(connection: &Connection, reading: i64) -> Result<Standing> {
    let mut statement = connection.prepare_cached(
        "SELECT coalesce(t.status, r.status), iif(t.reading_id IS NULL, r.doubt, t.doubt), coalesce(t.analyte, r.analyte),
            coalesce(t.method, r.method), coalesce(t.value, r.value), coalesce(t.unit, r.unit),
            iif(t.reading_id IS NULL, r.basis, t.basis), iif(t.reading_id IS NULL, r.qualifier, t.qualifier),
            coalesce(t.decided, 0)
         FROM readings r LEFT JOIN standing t ON t.reading_id = r.id WHERE r.id = ?1",
    )?;
    let mut rows = statement.query([reading])?;
    let row = rows.next()?.ok_or_else(|| Error::Unknown { what: "reading", key: reading.to_string() })?;
    let text = |at: usize| row.get::<_, String>(at);
    Ok(Standing {
        status: word("status", &text(0)?, Status::from_id)?,
        doubt: row.get(1)?,
        analyte: word("analyte", &text(2)?, Analyte::from_id)?,
        method: word("method", &text(3)?, Method::from_id)?,
        value: row.get(4)?,
        unit: word("unit", &text(5)?, Unit::from_id)?,
        basis: super::columns::word_or_none("basis", row.get(6)?, Basis::from_id)?,
        qualifier: super::columns::word_or_none("qualifier", row.get(7)?, Qualifier::from_id)?,
        decided: row.get(8)?,
    })
}

/// Writes how a reading stands, and with it the same reading in other printings of the same sample: whichever
/// printing the history shows, the decision holds.
fn write_standing(connection: &Connection, reading: i64, standing: &Standing) -> Result<()> {
    connection
        .prepare_cached(
            "INSERT INTO standing (reading_id, status, doubt, analyte, method, value, unit, basis, qualifier, decided)
             SELECT x.id, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10 FROM readings r JOIN samples s ON s.id = r.sample_id
             JOIN samples o ON o.id = coalesce(s.duplicate_of, s.id) OR o.duplicate_of = coalesce(s.duplicate_of, s.id)
             JOIN readings x ON x.sample_id = o.id AND (x.id = r.id OR (o.id <> s.id AND x.analyte = r.analyte AND x.method = r.method))
             WHERE r.id = ?1
             ON CONFLICT (reading_id) DO UPDATE SET status = excluded.status, doubt = excluded.doubt, analyte = excluded.analyte,
                method = excluded.method, value = excluded.value, unit = excluded.unit, basis = excluded.basis,
                qualifier = excluded.qualifier, decided = excluded.decided",
        )?
        .execute(params![
            reading,
            standing.status.id(),
            standing.doubt,
            standing.analyte.id(),
            standing.method.id(),
            standing.value,
            standing.unit.id(),
            standing.basis.map(Basis::id),
            standing.qualifier.map(Qualifier::id),
            standing.decided,
        ])?;
    Ok(())
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
