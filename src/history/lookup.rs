//! Which printings may be of the same sample as a given one; each question is asked once.

use super::Result;
use super::columns::{day, day_text, word, word_or_none};
use super::printing::{Printing, Value};
use crate::document::Format;
use crate::soil::{Analyte, Basis, Depth, Method, Qualifier, Status};
use rusqlite::{Connection, OptionalExtension};
use std::cell::RefCell;
use std::collections::{BTreeMap, HashMap};
use std::rc::Rc;

/// By report number, by the laboratory's number, and by day where a report has no number: never all bags of one name,
/// since a company drops hundreds of `Front lawn` a day. Each by an index of its own, asked only where its key is known.
pub(super) const CANDIDATES: [&str; 3] = [
    "SELECT s.id, p.document_id FROM samples s JOIN reports p ON p.id = s.report_id
     WHERE s.number_key = ?2 AND s.label_key = ?1",
    "SELECT s.id, p.document_id FROM samples s JOIN reports p ON p.id = s.report_id
     WHERE s.lab_number_key = ?2 AND s.label_key = ?1 AND (s.sampled_on IS NULL OR ?3 IS NULL OR s.sampled_on = ?3)",
    "SELECT s.id, p.document_id FROM samples s JOIN reports p ON p.id = s.report_id
     WHERE s.label_key = ?1 AND s.sampled_on = ?3 AND (s.number_key = '' OR ?2 = '')",
];

/// No laboratory prints so many bags of one name in one report, or on one day without a report number: where there are
/// more, they are told apart by nothing, and comparing each with each would only hold the others up.
const CROWD: usize = 1_000;

/// What candidates are found by: name, report number, the laboratory's number, day.
type Key = (String, String, String, Option<String>);

/// Printings of the store, each read once for one record.
pub(super) struct Lookup<'c> {
    pub(super) connection: &'c Connection,
    lists: RefCell<HashMap<Key, Rc<HashMap<i64, Vec<i64>>>>>,
    printings: RefCell<HashMap<i64, Option<Rc<Printing>>>>,
}

impl<'c> Lookup<'c> {
    pub(super) fn new(connection: &'c Connection) -> Self {
        Self { connection, lists: RefCell::default(), printings: RefCell::default() }
    }

    /// A printing by the key of its sample.
    pub(super) fn printing(&self, sample: i64) -> Result<Option<Rc<Printing>>> {
        if let Some(known) = self.printings.borrow().get(&sample) {
            return Ok(known.clone());
        }
        let found = printing(self.connection, sample)?.map(Rc::new);
        self.printings.borrow_mut().insert(sample, found.clone());
        Ok(found)
    }

    /// True where no other printing may be of the same sample, which is said by the keys alone: most samples come once,
    /// and their values need no second look.
    pub(super) fn alone(&self, sample: i64) -> Result<bool> {
        let found = self
            .connection
            .prepare_cached(
                "SELECT s.label_key, s.number_key, s.lab_number_key, s.sampled_on, p.document_id
                 FROM samples s JOIN reports p ON p.id = s.report_id WHERE s.id = ?1",
            )?
            .query_row([sample], |row| {
                Ok(((row.get(0)?, row.get(1)?, row.get(2)?, row.get(3)?), row.get(4)?))
            })
            .optional()?;
        let Some((key, document)): Option<(Key, i64)> = found else { return Ok(true) };
        Ok(self.others(sample, document, key)?.is_empty())
    }

    /// Printings that may be of the same sample, the given one not among them.
    pub(super) fn candidates(&self, given: &Printing) -> Result<Vec<Rc<Printing>>> {
        let key = (
            given.label_key.clone(),
            given.number_key.clone(),
            given.lab_number_key.clone(),
            day_text(given.sampled_on),
        );
        let ids = self.others(given.id, given.document, key)?;
        let mut found = Vec::with_capacity(ids.len());
        for id in ids {
            found.extend(self.printing(id)?);
        }
        Ok(found)
    }

    /// Keys of samples that may be the same as this one. Those of its own document only where the laboratory's number is
    /// the same: nothing else makes two bags of one document one.
    fn others(&self, sample: i64, document: i64, key: Key) -> Result<Vec<i64>> {
        let numbered = !key.2.is_empty();
        let list = self.list(key)?;
        let own = list.get(&document).filter(|_| numbered);
        let others = list.iter().filter(|(other, _)| **other != document);
        let few = |ids: &&Vec<i64>| ids.len() <= CROWD;
        let mut ids: Vec<i64> = Vec::new();
        if others.clone().map(|(_, ids)| ids.len()).sum::<usize>() <= CROWD {
            ids.extend(others.flat_map(|(_, ids)| ids));
        }
        ids.extend(own.filter(few).into_iter().flatten());
        ids.retain(|id| *id != sample);
        ids.sort_unstable();
        Ok(ids)
    }

    /// Keys of the samples that may be the same, by document.
    fn list(&self, key: Key) -> Result<Rc<HashMap<i64, Vec<i64>>>> {
        if let Some(known) = self.lists.borrow().get(&key) {
            return Ok(Rc::clone(known));
        }
        let [by_number, by_lab_number, by_day] = CANDIDATES;
        let (label, number, lab_number, day) = &key;
        let mut found: BTreeMap<i64, i64> = BTreeMap::new();
        let mut ask = |asked: bool, sql: &str, number: &str, day: Option<&Option<String>>| -> Result<()> {
            if !asked {
                return Ok(());
            }
            let mut statement = self.connection.prepare_cached(sql)?;
            statement.raw_bind_parameter(1, label)?;
            statement.raw_bind_parameter(2, number)?;
            if let Some(day) = day {
                statement.raw_bind_parameter(3, day)?;
            }
            let mut rows = statement.raw_query();
            while let Some(row) = rows.next()? {
                found.insert(row.get(0)?, row.get(1)?);
            }
            Ok(())
        };
        ask(!number.is_empty(), by_number, number, None)?;
        ask(!lab_number.is_empty(), by_lab_number, lab_number, Some(day))?;
        ask(!label.is_empty() && day.is_some(), by_day, number, Some(day))?;
        let mut by_document: HashMap<i64, Vec<i64>> = HashMap::new();
        for (id, document) in found {
            by_document.entry(document).or_default().push(id);
        }
        let list = Rc::new(by_document);
        self.lists.borrow_mut().insert(key, Rc::clone(&list));
        Ok(list)
    }
}

/// A printing as the store keeps it.
fn printing(connection: &Connection, sample: i64) -> Result<Option<Printing>> {
    let mut statement = connection.prepare_cached(
        "SELECT s.id, d.sha256, d.source_file, d.format, p.ordinal, s.ordinal, s.label, s.label_key, p.lab, s.number_key,
            s.lab_number_key, s.sampled_on, p.received_on, p.reported_on, p.revised, s.depth_top_cm, s.depth_bottom_cm, d.id
         FROM samples s JOIN reports p ON p.id = s.report_id JOIN documents d ON d.id = p.document_id WHERE s.id = ?1",
    )?;
    let mut rows = statement.query([sample])?;
    let Some(row) = rows.next()? else { return Ok(None) };
    let (top, bottom): (Option<f64>, Option<f64>) = (row.get(15)?, row.get(16)?);
    Ok(Some(Printing {
        id: row.get(0)?,
        document: row.get(17)?,
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
