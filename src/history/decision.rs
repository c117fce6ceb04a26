//! What a person decides about a reading or a sample. A decision adds, never overwrites; an undo is one too.

use super::columns::json;
use super::standing::{Standing, standing, write_standing};
use super::whereabouts::{self, Belonging};
use super::{Error, History, Result, record, site};
use crate::soil::{Analyte, Method, Quantity, Status};
use jiff::civil::Date;
use rusqlite::{Connection, OptionalExtension, params};
use serde::Serialize;

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
    /// The sample of this reading was taken on this day; the report prints none. Readings held for the day alone are
    /// let in.
    Date {
        /// Day of sampling.
        day: Date,
        /// The year it counts for.
        season: i16,
    },
}

/// A decision as it was written down.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct DecisionRow {
    /// Key, ascending in the order taken.
    pub id: i64,
    /// The reading, for a decision about one.
    pub reading_id: Option<i64>,
    /// The sample, for an assignment or a date.
    pub sample_id: Option<i64>,
    /// What it is about where it is neither: `sites`, `taught`, `issues`.
    pub subject: Option<String>,
    /// `accept`, `correct`, `reject`, `assign`, `date`, `undo`; of sites `import`, `set`, `join`, `name`; `teach`,
    /// `forget`; `apart`.
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

impl History {
    /// Takes a decision about a reading and gives its key.
    ///
    /// # Errors
    /// [`Error::Unknown`] for a reading or site that is not there; [`Error::Refused`] for a value that cannot be.
    pub fn decide(&mut self, reading_id: i64, decision: &Decision, who: &str, at: &str) -> Result<i64> {
        self.write(|connection| match decision {
            Decision::Assign { site, zone } => {
                let sample = sample_of(connection, reading_id)?;
                let to = Belonging { site: Some(site.clone()), zone: zone.clone() };
                whereabouts::assign(connection, sample, &to, who, at)
            }
            Decision::Date { day, season } => {
                let sample = sample_of(connection, reading_id)?;
                whereabouts::date(connection, sample, *day, *season, who, at)
            }
            other => stand(connection, reading_id, other, who, at),
        })
    }

    /// Assigns a sample to a site and zone; as [`Decision::Assign`], by the sample's own key.
    ///
    /// # Errors
    /// [`Error::Unknown`] for a sample or site that is not there.
    pub fn assign(&mut self, sample_id: i64, site: &str, zone: &str, who: &str, at: &str) -> Result<i64> {
        let to = Belonging { site: Some(site.to_owned()), zone: zone.to_owned() };
        self.write(|connection| whereabouts::assign(connection, sample_id, &to, who, at))
    }

    /// The sample of a reading.
    ///
    /// # Errors
    /// [`Error::Unknown`] for a reading that is not there.
    pub fn sample_of(&self, reading: i64) -> Result<i64> {
        sample_of(&self.connection, reading)
    }

    /// The client as the report of a reading prints it, whatever its site says.
    ///
    /// # Errors
    /// [`Error::Unknown`] for a reading that is not there.
    pub fn printed_client(&self, reading: i64) -> Result<Option<String>> {
        self.connection
            .prepare_cached(
                "SELECT p.client FROM readings r JOIN samples s ON s.id = r.sample_id JOIN reports p ON p.id = s.report_id WHERE r.id = ?1",
            )?
            .query_row([reading], |row| row.get(0))
            .optional()?
            .ok_or_else(|| Error::Unknown { what: "reading", key: reading.to_string() })
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
    let note = Note { about: About::Reading(reading), action, undoes: None, who, at };
    write_down(connection, &note, &json(&before)?, &json(&after)?)
}

fn sample_of(connection: &Connection, reading: i64) -> Result<i64> {
    connection
        .prepare_cached("SELECT sample_id FROM readings WHERE id = ?1")?
        .query_row([reading], |row| row.get(0))
        .optional()?
        .ok_or_else(|| Error::Unknown { what: "reading", key: reading.to_string() })
}

/// Head of a line of the book of decisions.
#[derive(Debug, Clone, Copy)]
pub(super) struct Note<'a> {
    /// What it is about.
    pub(super) about: About<'a>,
    pub(super) action: &'a str,
    pub(super) undoes: Option<i64>,
    pub(super) who: &'a str,
    pub(super) at: &'a str,
}

/// What a decision is about.
#[derive(Debug, Clone, Copy)]
pub(super) enum About<'a> {
    Reading(i64),
    Sample(i64),
    Subject(&'a str),
}

/// Adds a line to the book and gives its number.
pub(super) fn write_down(connection: &Connection, note: &Note<'_>, before: &str, after: &str) -> Result<i64> {
    let (reading, sample, subject) = match note.about {
        About::Reading(id) => (Some(id), None, None),
        About::Sample(id) => (None, Some(id), None),
        About::Subject(subject) => (None, None, Some(subject)),
    };
    connection
        .prepare_cached(
            "INSERT INTO decisions (reading_id, sample_id, subject, action, undoes, who, at, before, after)
             VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9)",
        )?
        .execute(params![
            reading,
            sample,
            subject,
            note.action,
            note.undoes,
            note.who,
            note.at,
            before,
            after
        ])?;
    Ok(connection.last_insert_rowid())
}

pub(super) fn decisions(connection: &Connection, which: &str, key: i64) -> Result<Vec<DecisionRow>> {
    let mut statement = connection.prepare_cached(&format!(
        "SELECT id, reading_id, sample_id, subject, action, undoes, who, at, before, after FROM decisions {which} ORDER BY id"
    ))?;
    let rows = statement.query_map([key], |row| {
        Ok(DecisionRow {
            id: row.get(0)?,
            reading_id: row.get(1)?,
            sample_id: row.get(2)?,
            subject: row.get(3)?,
            action: row.get(4)?,
            undoes: row.get(5)?,
            who: row.get(6)?,
            at: row.get(7)?,
            before: row.get(8)?,
            after: row.get(9)?,
        })
    })?;
    Ok(rows.collect::<rusqlite::Result<_>>()?)
}
