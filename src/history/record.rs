//! Writes documents into the history: record, readings and the note of the inbox name in one transaction.

use super::columns::{day_text, json, json_list, key};
use super::lookup::Lookup;
use super::note::InboxNote;
use super::{
    Error, History, Result, issue, listing, moves, note, past, recommendation, same, site, site_rows,
};
use crate::document::Format;
use crate::soil::{Outcome, Reading, Report, Sample, Status, Unit};
use rusqlite::{Connection, OptionalExtension, ToSql, params};
use std::sync::LazyLock;

/// A document as it is to be recorded.
#[derive(Debug, Clone, PartialEq)]
pub struct NewDocument {
    /// Name of the original as it was dropped.
    pub file: String,
    /// SHA-256 of its bytes, 64 lower-case hex digits.
    pub sha256: String,
    /// Size in bytes.
    pub bytes: u64,
    /// What kind of file.
    pub format: Format,
    /// What became of it as far as its own reading goes; the same report in another file is noticed here.
    pub outcome: Outcome,
    /// One sentence; none for a filed document.
    pub why: Option<String>,
    /// Path of the original inside the home folder, with `/`.
    pub kept_at: Option<String>,
    /// SHA-256 of the mail or archive it came in.
    pub inside_of: Option<String>,
    /// When, as the caller's clock says (RFC 3339). Shows nowhere in an export.
    pub recorded_at: String,
    /// The inbox name to remove once this is recorded.
    pub inbox_note: Option<InboxNote>,
    /// What was read from it, in printed order; empty for a refused document.
    pub reports: Vec<NewReport>,
}

/// A report of a document.
#[derive(Debug, Clone, PartialEq)]
pub struct NewReport {
    /// Its head; the samples inside are not used, those below are.
    pub report: Report,
    /// Its samples, in printed order.
    pub samples: Vec<NewSample>,
}

/// A sample with the site it belongs to.
#[derive(Debug, Clone, PartialEq)]
pub struct NewSample {
    /// Site id (it must be in the history: [`History::upsert_site`]); none while in doubt.
    pub site: Option<String>,
    /// Zone of the site.
    pub zone: String,
    /// The year it counts for.
    pub season: Option<i16>,
    /// Its head; the readings inside are not used, those below are.
    pub sample: Sample,
    /// Its readings in printed order.
    pub readings: Vec<NewReading>,
}

/// A reading, where it stands, and why it is held in one sentence.
pub type NewReading = (Reading, Status, Option<String>);

/// What the history made of a document.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct RecordedDocument {
    /// SHA-256.
    pub sha256: String,
    /// What became of it; `duplicate` where the history held the same bytes or the same numbers before.
    pub outcome: Outcome,
    /// The document it repeats.
    pub duplicate_of: Option<String>,
    /// False where it was recorded before under the same name: a journey finished, nothing added.
    pub added: bool,
}

/// A document that is in the history, but for what became of it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Added {
    /// SHA-256.
    pub sha256: String,
    /// True where the same bytes came under another name before.
    pub copy: bool,
    /// As of [`RecordedDocument::added`].
    pub added: bool,
}

impl History {
    /// Records one document in one transaction; when this returns, it survives a power cut.
    ///
    /// Recording the same document again is harmless. The same bytes under another name add a copy, no readings.
    ///
    /// # Errors
    /// What the store says; then nothing of the document is recorded.
    pub fn record(&mut self, document: &NewDocument) -> Result<RecordedDocument> {
        let mut recorded = self.record_all(std::slice::from_ref(document))?;
        recorded.pop().ok_or_else(|| Error::Unknown { what: "document", key: document.sha256.clone() })
    }

    /// Records several documents in one transaction: all or none. A mail stands before its attachments.
    ///
    /// # Errors
    /// As [`History::record`].
    pub fn record_all(&mut self, documents: &[NewDocument]) -> Result<Vec<RecordedDocument>> {
        self.write(|connection| {
            let added = add(connection, documents)?;
            // Asked at the end: a later document of the batch may change what an earlier one is.
            past::renew(connection)?;
            added.into_iter().map(|one| became(connection, one)).collect()
        })
    }

    /// Records several documents as a part of [`History::together`] without asking what becomes of them: that follows
    /// from all of that transaction and from what the sites' past says, which [`History::renew`] makes once for all.
    ///
    /// # Errors
    /// As [`History::record`].
    pub fn add_all(&mut self, documents: &[NewDocument]) -> Result<Vec<Added>> {
        self.write(|connection| add(connection, documents))
    }

    /// Makes what follows from the documents recorded: what the past says of every site whose numbers changed, and what
    /// documents are now ([`History::now`]). The end of a transaction does it in any case.
    ///
    /// # Errors
    /// What the store says.
    pub fn renew(&mut self) -> Result<()> {
        self.write(|connection| {
            past::renew(connection)?;
            listing::renew(connection)
        })
    }
}

fn add(connection: &Connection, documents: &[NewDocument]) -> Result<Vec<Added>> {
    let mut all = Vec::with_capacity(documents.len());
    for document in documents {
        all.push(record(connection, document)?);
        if let Some(note) = &document.inbox_note {
            note::add(connection, note, &document.sha256)?;
        }
        if let Some(kept_at) = &document.kept_at {
            moves::arrived(connection, &document.sha256, kept_at)?;
        }
    }
    Ok(all)
}

fn became(connection: &Connection, one: Added) -> Result<RecordedDocument> {
    let Added { sha256, copy, added } = one;
    let (outcome, duplicate_of) = if copy {
        (Outcome::Duplicate, Some(sha256.clone()))
    } else {
        super::document::outcome(connection, &sha256)?
    };
    Ok(RecordedDocument { sha256, outcome, duplicate_of, added })
}

fn record(connection: &Connection, document: &NewDocument) -> Result<Added> {
    let known: Option<(i64, String, Option<String>, i64)> = connection
        .prepare_cached("SELECT d.id, d.source_file, d.inside_of, (SELECT count(*) FROM reports p JOIN samples s ON s.report_id = p.id WHERE p.document_id = d.id)
             FROM documents d WHERE d.sha256 = ?1",
        )?
        .query_row([&document.sha256], |row| Ok((row.get(0)?, row.get(1)?, row.get(2)?, row.get(3)?)))
        .optional()?;
    let sha256 = document.sha256.clone();
    let (mut added, mut copy) = (true, false);
    match known {
        None => insert(connection, document)?,
        // Not read before, read now: a limit was raised, text recognition is there, or the program learned.
        Some((_, _, _, samples)) if samples == 0 && !document.reports.is_empty() => {
            insert(connection, document)?
        }
        Some((_, file, inside_of, _)) if file == document.file && inside_of == document.inside_of => {
            added = false
        }
        Some((id, ..)) => {
            added = connection.execute(
                "INSERT INTO copies (document_id, source_file, inside_of, recorded_at) VALUES (?1, ?2, ?3, ?4) ON CONFLICT DO NOTHING",
                params![id, document.file, document.inside_of.as_deref().unwrap_or(""), document.recorded_at],
            )? > 0;
            copy = true;
        }
    }
    Ok(Added { sha256, copy, added })
}

fn insert(connection: &Connection, new: &NewDocument) -> Result<()> {
    let head = new.reports.first().map(|first| &first.report);
    let of_head = |field: fn(&Report) -> Option<&String>| head.and_then(field).cloned();
    connection
        .prepare_cached(
            "INSERT INTO documents (sha256, source_file, bytes, format, outcome, why, lab, client, report, kept_at, inside_of, recorded_at)
             VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10, ?11, ?12)
             ON CONFLICT (sha256) DO UPDATE SET source_file = excluded.source_file, format = excluded.format,
                outcome = excluded.outcome, why = excluded.why, lab = excluded.lab, client = excluded.client,
                report = excluded.report, kept_at = coalesce(excluded.kept_at, kept_at), inside_of = excluded.inside_of",
        )?
        .execute(params![
            new.sha256,
            new.file,
            i64::try_from(new.bytes).unwrap_or(i64::MAX),
            new.format.id(),
            new.outcome.id(),
            new.why,
            of_head(|report| report.lab.as_ref()),
            of_head(|report| report.client.as_ref()),
            of_head(|report| report.number.as_ref()),
            new.kept_at,
            new.inside_of,
            new.recorded_at,
        ])?;
    let document_id: i64 = connection
        .prepare_cached("SELECT id FROM documents WHERE sha256 = ?1")?
        .query_row([&new.sha256], |row| row.get(0))?;
    // Empty reports of a reading that gave nothing.
    connection.prepare_cached("DELETE FROM reports WHERE document_id = ?1")?.execute([document_id])?;
    let mut samples = Vec::new();
    for (ordinal, report) in (0_i64..).zip(&new.reports) {
        let report_id = insert_report(connection, document_id, ordinal, &report.report)?;
        for (ordinal, sample) in (0_i64..).zip(&report.samples) {
            samples.push(insert_sample(connection, report_id, ordinal, &report.report, sample)?);
        }
    }
    let lookup = Lookup::new(connection);
    same::mark(&lookup, &samples)?;
    issue::mark(&lookup, &samples)
}

fn insert_report(connection: &Connection, document_id: i64, ordinal: i64, report: &Report) -> Result<i64> {
    connection
        .prepare_cached(
            "INSERT INTO reports (document_id, ordinal, lab, client, number, received_on, reported_on, revised, doubts, layout)
             VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10)",
        )?
        .execute(params![
            document_id,
            ordinal,
            report.lab,
            report.client,
            report.number,
            day_text(report.received_on),
            day_text(report.reported_on),
            report.revised,
            json(&report.doubts)?,
            json(&report.layout)?,
        ])?;
    Ok(connection.last_insert_rowid())
}

fn insert_sample(
    connection: &Connection,
    report_id: i64,
    ordinal: i64,
    report: &Report,
    new: &NewSample,
) -> Result<i64> {
    let sample = &new.sample;
    // What means a site that a person joined into another means that other.
    let site = new.site.as_deref().map(|id| site_rows::followed(connection, id)).transpose()?.flatten();
    connection
        .prepare_cached(
            "INSERT INTO samples (report_id, ordinal, site, zone, season, label, lab_number, sampled_on, depth_top_cm,
                depth_bottom_cm, others, doubts, label_key, number_key, lab_number_key)
             VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10, ?11, ?12, ?13, ?14, ?15)",
        )?
        .execute(params![
            report_id,
            ordinal,
            site.as_ref().or(new.site.as_ref()),
            if new.zone.is_empty() { crate::soil::site::WHOLE } else { &new.zone },
            new.season,
            sample.label,
            sample.lab_number,
            day_text(sample.sampled_on),
            sample.depth.map(|depth| depth.top_cm),
            sample.depth.map(|depth| depth.bottom_cm),
            json(&sample.others)?,
            json(&sample.doubts)?,
            key(&sample.label),
            report.number.as_deref().map(key).unwrap_or_default(),
            sample.lab_number.as_deref().map(key).unwrap_or_default(),
        ])?;
    let sample_id = connection.last_insert_rowid();
    for (at, readings) in (0_i64..).step_by(ROWS).zip(new.readings.chunks(ROWS)) {
        insert_readings(connection, sample_id, at, &sample.label, readings)?;
    }
    for (ordinal, nitrogen) in (0_i64..).zip(&sample.nitrogen) {
        recommendation::insert(connection, sample_id, ordinal, nitrogen)?;
    }
    if let Some(site) = &site {
        site::changed(connection, site)?;
    }
    Ok(sample_id)
}

pub(super) fn insert_reading(
    connection: &Connection,
    sample_id: i64,
    ordinal: i64,
    label: &str,
    new: &NewReading,
) -> Result<()> {
    insert_readings(connection, sample_id, ordinal, label, std::slice::from_ref(new))
}

/// Readings written with one statement, at most: the store makes its lists of allowed words anew for each statement.
const ROWS: usize = 16;

const COLUMNS: usize = 15;

/// The statements for one row, two rows and so on.
static INSERTS: LazyLock<Vec<String>> = LazyLock::new(|| {
    let row = format!("({})", vec!["?"; COLUMNS].join(", "));
    let rows = (1..=ROWS).map(|count| vec![row.as_str(); count].join(", "));
    rows.map(|rows| {
        format!(
            "INSERT INTO readings (sample_id, ordinal, analyte, method, value, unit, basis, qualifier, raw_value, raw_unit,
                place, status, doubt, doubts, witnesses) VALUES {rows}"
        )
    })
    .collect()
});

/// Writes up to [`ROWS`] readings, the first with this ordinal.
fn insert_readings(
    connection: &Connection,
    sample_id: i64,
    first: i64,
    label: &str,
    readings: &[NewReading],
) -> Result<()> {
    let Some(insert) = readings.len().checked_sub(1).and_then(|at| INSERTS.get(at)) else { return Ok(()) };
    let mut statement = connection.prepare_cached(insert)?;
    let mut column = 0;
    for (ordinal, (reading, status, doubt)) in (first..).zip(readings) {
        let quantity = &reading.quantity;
        if !quantity.value.is_finite() {
            return Err(Error::NotANumber { analyte: reading.analyte.id(), sample: label.to_owned() });
        }
        // The last wall before the history: what cannot be is held, whoever called it accepted.
        let impossible = impossible(reading.analyte.id(), quantity.value, quantity.unit);
        let (status, doubt) = match &impossible {
            Some(sentence) if status.counts() => (Status::Held, Some(sentence)),
            _ => (*status, doubt.as_ref()),
        };
        let row: [&dyn ToSql; COLUMNS] = [
            &sample_id,
            &ordinal,
            &reading.analyte.id(),
            &reading.method.id(),
            &quantity.value,
            &quantity.unit.id(),
            &quantity.basis.map(crate::soil::Basis::id),
            &quantity.qualifier.map(crate::soil::Qualifier::id),
            &reading.printed.value,
            &reading.printed.unit,
            &json(&reading.place)?,
            &status.id(),
            &doubt,
            &json_list(&reading.doubts)?,
            &json_list(&reading.witnesses)?,
        ];
        for value in row {
            column += 1;
            statement.raw_bind_parameter(column, value)?;
        }
    }
    statement.raw_execute()?;
    Ok(())
}

/// Why a number cannot be: the bounds of the contract's units themselves, no agronomic threshold.
pub(super) fn impossible(analyte: &str, value: f64, unit: Unit) -> Option<String> {
    if !value.is_finite() {
        return Some("This is not a number.".to_owned());
    }
    if value < 0.0 {
        return Some(format!("{value} is below zero, which no soil has."));
    }
    if matches!(analyte, "ph" | "buffer_ph") && value > 14.0 {
        return Some(format!("A pH of {value} does not exist; the scale ends at 14."));
    }
    (unit == Unit::Percent && value > 100.0).then(|| format!("{value} % is more than the whole."))
}
