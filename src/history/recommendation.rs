//! Nitrogen that laboratories recommend: kept as printed with its sample, never among the readings.

use super::columns::{contradiction, day, from_json, json, past_doubt, status_now, word_or_none};
use super::{History, Result};
use crate::plan::Recommended;
use crate::soil::{Printed, RateUnit, Recommendation, Report};
use rusqlite::{Connection, OptionalExtension, Row, params};

/// A recommendation with the sample of its document that it is for.
#[derive(Debug, Clone, PartialEq)]
pub struct OfSample {
    /// Place of the report in the document, from 0.
    pub report: i64,
    /// Sample name as printed.
    pub label: String,
    /// What is recommended.
    pub nitrogen: Recommendation,
}

impl OfSample {
    /// Those of a document's reports, in printed order.
    pub fn all_of(reports: &[Report]) -> Vec<Self> {
        let mut all = Vec::new();
        for (report, one) in (0_i64..).zip(reports) {
            for sample in &one.samples {
                let of =
                    |n: &Recommendation| Self { report, label: sample.label.clone(), nitrogen: n.clone() };
                all.extend(sample.nitrogen.iter().map(of));
            }
        }
        all
    }
}

/// Keeps one of a sample.
pub(super) fn insert(
    connection: &Connection,
    sample_id: i64,
    ordinal: i64,
    nitrogen: &Recommendation,
) -> Result<()> {
    connection
        .prepare_cached(
            "INSERT INTO recommendations (sample_id, ordinal, nutrient, crop, raw_value, raw_unit, amount, unit, place, doubts)
             VALUES (?1, ?2, 'n', ?3, ?4, ?5, ?6, ?7, ?8, ?9)",
        )?
        .execute(params![
            sample_id,
            ordinal,
            nitrogen.crop,
            nitrogen.printed.value,
            nitrogen.printed.unit,
            nitrogen.amount,
            nitrogen.unit.map(RateUnit::id),
            json(&nitrogen.place)?,
            json(&nitrogen.doubts)?,
        ])?;
    Ok(())
}

/// The columns of a recommendation `n`, in the order that [`read`] takes them.
macro_rules! columns {
    () => {
        "n.crop, n.raw_value, n.raw_unit, n.amount, n.unit, n.place, n.doubts"
    };
}

fn read(row: &Row<'_>, from: usize) -> Result<Recommendation> {
    let (place, doubts): (String, String) = (row.get(from + 5)?, row.get(from + 6)?);
    Ok(Recommendation {
        crop: row.get(from)?,
        printed: Printed { value: row.get(from + 1)?, unit: row.get(from + 2)? },
        amount: row.get(from + 3)?,
        unit: word_or_none("rate unit", row.get(from + 4)?, RateUnit::from_id)?,
        place: from_json(&place)?,
        doubts: from_json(&doubts)?,
    })
}

impl History {
    /// What the newest report of each zone of a site recommends. Only reports of which some reading counts speak: whose
    /// sample is still in doubt, its recommendation is too. Zones of whose newest report nothing is known are left out.
    ///
    /// # Errors
    /// What the store says.
    pub fn recommended(&self, site: &str) -> Result<Vec<Recommended>> {
        let mut statement = self.connection.prepare_cached(concat!(
            "WITH told AS (
                SELECT s.id AS id, s.zone AS zone, p.lab AS lab, p.number AS number,
                    coalesce(p.reported_on, p.received_on, s.sampled_on, s.dated_on) AS day,
                    rank() OVER (PARTITION BY s.zone ORDER BY coalesce(s.season, 0) DESC,
                        coalesce(s.sampled_on, s.dated_on, p.received_on, p.reported_on, '') DESC) AS age
                FROM samples s JOIN reports p ON p.id = s.report_id
                WHERE s.site = ?1 AND s.duplicate_of IS NULL AND s.superseded_by IS NULL
                    AND EXISTS (SELECT 1 FROM readings r LEFT JOIN standing t ON t.reading_id = r.id
                        WHERE r.sample_id = s.id AND ",
            status_now!(),
            " IN ('accepted', 'corrected')))
             SELECT told.zone, told.lab, told.number, told.day, ",
            columns!(),
            " FROM told JOIN recommendations n ON n.sample_id = told.id WHERE told.age = 1
             ORDER BY told.zone, told.id, n.ordinal"
        ))?;
        let mut rows = statement.query([site])?;
        let mut all: Vec<Recommended> = Vec::new();
        while let Some(row) = rows.next()? {
            let zone: String = row.get(0)?;
            let nitrogen = read(row, 4)?;
            match all.last_mut() {
                Some(last) if last.zone == zone => last.nitrogen.push(nitrogen),
                _ => all.push(Recommended {
                    zone,
                    lab: row.get(1)?,
                    report: row.get(2)?,
                    on: day(row.get(3)?)?,
                    nitrogen: vec![nitrogen],
                }),
            }
        }
        Ok(all)
    }

    /// What a document recommends, as it was read, in printed order.
    ///
    /// # Errors
    /// What the store says.
    pub fn recommendations_of(&self, sha256: &str) -> Result<Vec<OfSample>> {
        let mut statement = self.connection.prepare_cached(concat!(
            "SELECT p.ordinal, s.label, ",
            columns!(),
            " FROM documents d JOIN reports p ON p.document_id = d.id JOIN samples s ON s.report_id = p.id
             JOIN recommendations n ON n.sample_id = s.id WHERE d.sha256 = ?1 ORDER BY p.ordinal, s.ordinal, n.ordinal"
        ))?;
        let mut rows = statement.query([sha256])?;
        let mut all = Vec::new();
        while let Some(row) = rows.next()? {
            all.push(OfSample { report: row.get(0)?, label: row.get(1)?, nitrogen: read(row, 2)? });
        }
        Ok(all)
    }

    /// Puts what a fresh reading found in the place of what a document recommended before. What is for a sample that
    /// the history does not have is left out.
    ///
    /// # Errors
    /// What the store says; then nothing is changed.
    pub fn set_recommendations(&mut self, sha256: &str, now: &[OfSample]) -> Result<()> {
        self.write(|connection| {
            connection
                .prepare_cached(
                    "DELETE FROM recommendations WHERE sample_id IN (SELECT s.id FROM documents d
                        JOIN reports p ON p.document_id = d.id JOIN samples s ON s.report_id = p.id WHERE d.sha256 = ?1)",
                )?
                .execute([sha256])?;
            for one in now {
                let sample: Option<(i64, i64)> = connection
                    .prepare_cached(
                        "SELECT s.id, (SELECT coalesce(max(n.ordinal), -1) + 1 FROM recommendations n WHERE n.sample_id = s.id)
                         FROM documents d JOIN reports p ON p.document_id = d.id JOIN samples s ON s.report_id = p.id
                         WHERE d.sha256 = ?1 AND p.ordinal = ?2 AND s.label = ?3 ORDER BY s.ordinal LIMIT 1",
                    )?
                    .query_row(params![sha256, one.report, one.label], |row| Ok((row.get(0)?, row.get(1)?)))
                    .optional()?;
                if let Some((sample, ordinal)) = sample {
                    insert(connection, sample, ordinal, &one.nitrogen)?;
                    super::site::changed_by_sample(connection, sample)?;
                }
            }
            Ok(())
        })
    }
}
