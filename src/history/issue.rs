//! The same report again with other numbers: a later issue replaces the earlier; where neither is later, both are held.

use super::lookup::Lookup;
use super::printing::{Order, Printing, Relation};
use super::{Error, History, Result, site};
use crate::soil::Analyte;
use rusqlite::{Connection, OptionalExtension, params};
use std::rc::Rc;

/// Samples of the older document that the newer, or a printing of the newer's numbers, replaces count again.
pub(super) fn restore(connection: &Connection, older: &str, newer: &str) -> Result<()> {
    let newer: Vec<i64> = samples(connection, newer)?.iter().map(|sample| sample.id).collect();
    for old in samples(connection, older)? {
        for new in &newer {
            connection.execute(
                "UPDATE samples SET superseded_by = NULL WHERE superseded_by IN (SELECT n.id FROM samples m JOIN samples n
                    ON n.id = coalesce(m.duplicate_of, m.id) OR n.duplicate_of = coalesce(m.duplicate_of, m.id) WHERE m.id = ?2)
                 AND id IN (SELECT o.id FROM samples s JOIN samples o
                    ON o.id = coalesce(s.duplicate_of, s.id) OR o.duplicate_of = coalesce(s.duplicate_of, s.id) WHERE s.id = ?1)",
                [old.id, *new],
            )?;
        }
        site::changed_by_sample(connection, old.id)?;
    }
    Ok(())
}

/// Looks, for the samples just written, for other issues of them: the later one replaces the earlier by itself; where
/// neither says which is later, the values that differ are held on both sides.
pub(super) fn mark(lookup: &Lookup<'_>, written: &[i64]) -> Result<()> {
    let connection = lookup.connection;
    for sample in written {
        if lookup.alone(*sample)? {
            continue;
        }
        let Some(given) = lookup.printing(*sample)? else { continue };
        let found = lookup.candidates(&given)?;
        for stored in found.iter().filter(|stored| stored.document != given.document) {
            let Relation::Differ(values) = given.relation(stored) else { continue };
            if paired(lookup, &given, stored, &found)?
                || super::reissue::apart(connection, given.id, stored.id)?
            {
                continue;
            }
            match given.order(stored) {
                Order::GivenIsLater => replace(lookup, stored, &given)?,
                Order::GivenIsEarlier => replace(lookup, &given, stored)?,
                Order::Unknown => {
                    let analytes: Vec<Analyte> = values.iter().map(|(analyte, ..)| *analyte).collect();
                    contradict(connection, &given, stored, &analytes)?;
                    contradict(connection, stored, &given, &analytes)?;
                }
            }
        }
    }
    Ok(())
}

/// Where several bags of a report share a name, the one with the same numbers is the same bag; the others are not.
fn paired(lookup: &Lookup<'_>, given: &Printing, stored: &Printing, found: &[Rc<Printing>]) -> Result<bool> {
    let agrees = |a: &Printing, b: &Printing| a.relation(b) == Relation::Agree;
    if found.iter().any(|other| other.document == stored.document && agrees(given, other)) {
        return Ok(true);
    }
    let others = lookup.candidates(stored)?;
    Ok(others.iter().any(|other| other.document == given.document && agrees(stored, other)))
}

/// Every printing of the older numbers is replaced, by the latest issue where there are several.
fn replace(lookup: &Lookup<'_>, old: &Printing, new: &Printing) -> Result<()> {
    let by: Option<i64> = lookup
        .connection
        .prepare_cached("SELECT superseded_by FROM samples WHERE id = ?1")?
        .query_row([old.id], |row| row.get(0))?;
    let by = by.map(|id| lookup.printing(id)).transpose()?.flatten();
    if by.is_none_or(|by| new.order(&by) == Order::GivenIsLater) {
        point(lookup.connection, old.id, new.id)?;
    }
    Ok(())
}

/// Holds values of a printing that another one contradicts, unless a person has decided on them.
fn contradict(connection: &Connection, of: &Printing, by: &Printing, analytes: &[Analyte]) -> Result<()> {
    for analyte in analytes {
        let value = |printing: &Printing| {
            printing.values.iter().find(|value| value.analyte == *analyte).map(|value| value.value)
        };
        let (Some(mine), Some(theirs)) = (value(of), value(by)) else { continue };
        // The same sentence on either side and in any order of coming.
        let mut sides = [(&of.source_file, mine), (&by.source_file, theirs)];
        sides.sort_by(|a, b| a.0.cmp(b.0).then(a.1.total_cmp(&b.1)));
        let [a, b] = sides;
        let doubt = format!(
            "For this sample of the same report, `{}` gives {} and `{}` gives {}.",
            a.0, a.1, b.0, b.1,
        );
        connection
            .prepare_cached(
                "INSERT INTO contradictions (reading_id, sample_id, doubt)
                 SELECT id, ?3, ?4 FROM readings WHERE sample_id = ?1 AND analyte = ?2 ON CONFLICT DO NOTHING",
            )?
            .execute(params![of.id, analyte.id(), by.id, doubt])?;
    }
    site::changed_by_sample(connection, of.id)
}

/// Points every printing of the older numbers to the newer, except the newer document's own.
fn point(connection: &Connection, old: i64, new: i64) -> Result<()> {
    connection
        .prepare_cached(
            "UPDATE samples SET superseded_by = ?2 WHERE id <> ?2 AND id IN (SELECT o.id FROM samples s JOIN samples o
                ON o.id = coalesce(s.duplicate_of, s.id) OR o.duplicate_of = coalesce(s.duplicate_of, s.id) WHERE s.id = ?1)",
        )?
        .execute(params![old, new])?;
    site::changed_by_sample(connection, old)?;
    site::changed_by_sample(connection, new)
}

impl History {
    /// Says that samples of the older document are replaced by those of the newer. Both stay; the older no longer
    /// count and are exported as rejected. Samples are paired by report and name; where none pair, a person has said
    /// so, and all of the older are replaced.
    ///
    /// # Errors
    /// [`Error::Unknown`] for a document that is not recorded; [`Error::Refused`] where it would replace itself.
    pub fn supersede(&mut self, older: &str, newer: &str) -> Result<()> {
        self.write(|connection| supersede(connection, older, newer))
    }

    /// Takes [`History::supersede`] back: the samples of the older document count again.
    ///
    /// # Errors
    /// [`Error::Unknown`] for a document that is not recorded.
    pub fn restore_superseded(&mut self, older: &str, newer: &str) -> Result<()> {
        self.write(|connection| restore(connection, older, newer))
    }
}

pub(super) fn supersede(connection: &Connection, older: &str, newer: &str) -> Result<()> {
    let (old, new) = (samples(connection, older)?, samples(connection, newer)?);
    if older == newer {
        return Err(Error::Refused("a document cannot replace itself".to_owned()));
    }
    let pair = |sample: &Printing| {
        new.iter().find(|other| sample.relation(other) != Relation::Other).map(|other| other.id)
    };
    let mut pairs: Vec<(i64, i64)> =
        old.iter().filter_map(|sample| Some((sample.id, pair(sample)?))).collect();
    if pairs.is_empty() {
        let by_name =
            |sample: &Printing| new.iter().find(|other| other.label_key == sample.label_key).or(new.first());
        pairs = old.iter().filter_map(|sample| Some((sample.id, by_name(sample)?.id))).collect();
    }
    for (old, new) in pairs {
        point(connection, old, new)?;
    }
    Ok(())
}

pub(super) fn samples(connection: &Connection, sha256: &str) -> Result<Vec<Rc<Printing>>> {
    let id: Option<i64> = connection
        .prepare_cached("SELECT id FROM documents WHERE sha256 = ?1")?
        .query_row([sha256], |row| row.get(0))
        .optional()?;
    let id = id.ok_or_else(|| Error::Unknown { what: "document", key: sha256.to_owned() })?;
    let mut statement = connection.prepare_cached(
        "SELECT s.id FROM samples s JOIN reports p ON p.id = s.report_id WHERE p.document_id = ?1 ORDER BY p.ordinal, s.ordinal",
    )?;
    let ids = statement.query_map([id], |row| row.get::<_, i64>(0))?.collect::<rusqlite::Result<Vec<_>>>()?;
    let lookup = Lookup::new(connection);
    let mut found = Vec::with_capacity(ids.len());
    for id in ids {
        found.extend(lookup.printing(id)?);
    }
    Ok(found)
}
