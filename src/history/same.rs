//! The same sample printed twice: which printing counts. The answer follows from the set of printings alone.

use super::Result;
use super::columns::{day, word, word_or_none};
use super::printing::{Printing, Value};
use crate::document::Format;
use crate::soil::{Analyte, Basis, Depth, Method, Qualifier, Status};
use rusqlite::{Connection, params};
use std::collections::{BTreeMap, BTreeSet};

/// Marks, for the samples just written and all other printings of them, which one counts.
pub(super) fn mark(connection: &Connection, samples: &[i64]) -> Result<()> {
    let mut seen = BTreeSet::new();
    for sample in samples {
        let Some(first) = printing(connection, *sample)? else { continue };
        if seen.contains(sample) {
            continue;
        }
        let group = connected(connection, first)?;
        seen.extend(group.keys().copied());
        if group.len() > 1 {
            settle(connection, &group.into_values().collect::<Vec<_>>())?;
        }
    }
    Ok(())
}

/// By report number, by the laboratory's number, and by day where a report has no number: never all bags of one name,
/// since a company drops hundreds of `Front lawn` a day.
pub(super) const CANDIDATES: &str = "SELECT id FROM samples WHERE number_key = ?2 AND ?2 <> '' AND label_key = ?1
     UNION SELECT id FROM samples WHERE lab_number_key = ?3 AND ?3 <> '' AND label_key = ?1
        AND (sampled_on IS NULL OR ?4 IS NULL OR sampled_on = ?4)
     UNION SELECT id FROM samples WHERE label_key = ?1 AND ?1 <> '' AND sampled_on = ?4 AND (number_key = '' OR ?2 = '')
     ORDER BY id";

/// Printings that may be of the same sample, the given one not among them.
pub(super) fn candidates(connection: &Connection, given: &Printing) -> Result<Vec<Printing>> {
    let mut statement = connection.prepare_cached(CANDIDATES)?;
    let day = super::columns::day_text(given.sampled_on);
    let ids = statement
        .query_map(params![given.label_key, given.number_key, given.lab_number_key, day], |row| {
            row.get::<_, i64>(0)
        })?
        .collect::<rusqlite::Result<Vec<_>>>()?;
    let mut found = Vec::with_capacity(ids.len());
    for id in ids.into_iter().filter(|id| *id != given.id) {
        found.extend(printing(connection, id)?);
    }
    Ok(found)
}

/// All printings reachable from one by containment: what is marked together.
fn connected(connection: &Connection, first: Printing) -> Result<BTreeMap<i64, Printing>> {
    let mut group = BTreeMap::new();
    let mut open = vec![first];
    while let Some(printing) = open.pop() {
        for other in candidates(connection, &printing)? {
            let known = group.contains_key(&other.id) || open.iter().any(|waiting| waiting.id == other.id);
            if !known && (printing.within(&other) || other.within(&printing)) {
                open.push(other);
            }
        }
        group.insert(printing.id, printing);
    }
    Ok(group)
}

/// Of printings of the same numbers one counts; the others point to it. What a person decided or superseded on one
/// of them holds for all.
fn settle(connection: &Connection, group: &[Printing]) -> Result<()> {
    let mut ranked: Vec<&Printing> = group.iter().collect();
    ranked.sort_by(|a, b| a.rank().cmp(&b.rank()));
    let mut counting: Vec<&Printing> = Vec::new();
    for printing in ranked {
        let better = counting.iter().find(|better| printing.within(better)).map(|better| better.id);
        let changed = connection
            .prepare_cached("UPDATE samples SET duplicate_of = ?2 WHERE id = ?1 AND duplicate_of IS NOT ?2")?
            .execute(params![printing.id, better])?;
        if changed > 0 {
            super::site::changed_by_sample(connection, printing.id)?;
        }
        if better.is_none() {
            counting.push(printing);
        }
    }
    for sample in counting {
        share(connection, sample.id)?;
    }
    Ok(())
}

/// Brings what stands on any printing of a sample to all of them.
fn share(connection: &Connection, counting: i64) -> Result<()> {
    connection
        .prepare_cached(
            "INSERT INTO standing (reading_id, status, doubt, analyte, method, value, unit, basis, qualifier, decided)
             SELECT x.id, t.status, t.doubt, t.analyte, t.method, t.value, t.unit, t.basis, t.qualifier, t.decided
             FROM samples o JOIN readings r ON r.sample_id = o.id JOIN standing t ON t.reading_id = r.id AND t.decided = 1
             JOIN samples n ON n.id = ?1 OR n.duplicate_of = ?1
             JOIN readings x ON x.sample_id = n.id AND x.analyte = r.analyte AND x.method = r.method
             WHERE (o.id = ?1 OR o.duplicate_of = ?1) AND n.id <> o.id
             ON CONFLICT (reading_id) DO UPDATE SET status = excluded.status, doubt = excluded.doubt, analyte = excluded.analyte,
                method = excluded.method, value = excluded.value, unit = excluded.unit, basis = excluded.basis,
                qualifier = excluded.qualifier, decided = 1 WHERE decided = 0",
        )?
        .execute([counting])?;
    connection
        .prepare_cached(
            "UPDATE samples SET superseded_by = (SELECT min(superseded_by) FROM samples WHERE (id = ?1 OR duplicate_of = ?1) AND superseded_by IS NOT NULL)
             WHERE (id = ?1 OR duplicate_of = ?1) AND superseded_by IS NULL
               AND EXISTS (SELECT 1 FROM samples WHERE (id = ?1 OR duplicate_of = ?1) AND superseded_by IS NOT NULL)",
        )?
        .execute([counting])?;
    // What a person said of whose it is and when it was taken was said of some printing; the others follow the last.
    connection
        .prepare_cached(
            "WITH assigned AS (SELECT s.site, s.zone FROM decisions d LEFT JOIN decisions u ON u.id = d.undoes
                JOIN samples s ON s.id = d.sample_id
                WHERE (s.id = ?1 OR s.duplicate_of = ?1) AND coalesce(u.action, d.action) = 'assign' ORDER BY d.id DESC LIMIT 1)
             UPDATE samples SET site = (SELECT site FROM assigned), zone = (SELECT zone FROM assigned)
             WHERE (id = ?1 OR duplicate_of = ?1) AND EXISTS (SELECT 1 FROM assigned)",
        )?
        .execute([counting])?;
    connection
        .prepare_cached(
            "WITH told AS (SELECT dated_on, season FROM samples WHERE (id = ?1 OR duplicate_of = ?1) AND dated_on IS NOT NULL LIMIT 1)
             UPDATE samples SET dated_on = (SELECT dated_on FROM told), season = (SELECT season FROM told)
             WHERE (id = ?1 OR duplicate_of = ?1) AND sampled_on IS NULL AND EXISTS (SELECT 1 FROM told)",
        )?
        .execute([counting])?;
    super::whereabouts::let_in(connection, counting)
}

/// A printing as the store keeps it.
pub(super) fn printing(connection: &Connection, sample: i64) -> Result<Option<Printing>> {
    let mut statement = connection.prepare_cached(
        "SELECT s.id, d.sha256, d.source_file, d.format, p.ordinal, s.ordinal, s.label, s.label_key, p.lab, s.number_key,
            s.lab_number_key, s.sampled_on, p.received_on, p.reported_on, p.revised, s.depth_top_cm, s.depth_bottom_cm
         FROM samples s JOIN reports p ON p.id = s.report_id JOIN documents d ON d.id = p.document_id WHERE s.id = ?1",
    )?;
    let mut rows = statement.query([sample])?;
    let Some(row) = rows.next()? else { return Ok(None) };
    let (top, bottom): (Option<f64>, Option<f64>) = (row.get(15)?, row.get(16)?);
    Ok(Some(Printing {
        id: row.get(0)?,
        sha256: row.get(1)?,
        source_file: row.get(2)?,
        format: word("format", &row.get::<_, String>(3)?, Format::from_id)?,
        ordinal: (row.get(4)?, row.get(5)?),
        label: row.get(6)?,
        label_key: row.get(7)?,
        lab_key: row.get::<_, Option<String>>(8)?.as_deref().map(super::columns::key).unwrap_or_default(),
        number_key: row.get(9)?,
        lab_number_key: row.get(10)?,
        sampled_on: day(row.get(11)?)?,
        received_on: day(row.get(12)?)?,
        reported_on: day(row.get(13)?)?,
        revised: row.get(14)?,
        depth: top.zip(bottom).map(|(top_cm, bottom_cm)| Depth { top_cm, bottom_cm }),
        values: values(connection, sample)?,
    }))
}

fn values(connection: &Connection, sample: i64) -> Result<Vec<Value>> {
    let mut statement = connection.prepare_cached(
        "SELECT analyte, method, value, basis, qualifier, raw_value, raw_unit, status FROM readings WHERE sample_id = ?1 ORDER BY ordinal",
    )?;
    let mut rows = statement.query([sample])?;
    let mut values = Vec::new();
    while let Some(row) = rows.next()? {
        let status = word("status", &row.get::<_, String>(7)?, Status::from_id)?;
        values.push(Value {
            analyte: word("analyte", &row.get::<_, String>(0)?, Analyte::from_id)?,
            method: word("method", &row.get::<_, String>(1)?, Method::from_id)?,
            value: row.get(2)?,
            basis: word_or_none("basis", row.get(3)?, Basis::from_id)?,
            qualifier: word_or_none("qualifier", row.get(4)?, Qualifier::from_id)?,
            raw_value: row.get(5)?,
            raw_unit: row.get(6)?,
            held: status == Status::Held,
        });
    }
    Ok(values)
}
