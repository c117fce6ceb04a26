//! Documents of the history: one row an original, and a row for every copy of it under another name.

use super::columns::{contradiction, doubt_now, past_doubt, status_now, word};
use super::{Error, History, Result};
use crate::document::Format;
use crate::soil::Outcome;
use rusqlite::{Connection, OptionalExtension, Row};

/// A document with the columns of the contract's `export documents`.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct DocumentRow {
    /// Name as it was dropped.
    pub source_file: String,
    /// SHA-256 of the bytes.
    pub source_sha256: String,
    /// Size in bytes.
    pub bytes: u64,
    /// What kind of file.
    pub format: Format,
    /// What became of it, as things stand now.
    pub outcome: Outcome,
    /// One sentence; none when filed.
    pub why: Option<String>,
    /// Laboratory as printed (first report).
    pub lab: Option<String>,
    /// Client as printed (first report).
    pub client: Option<String>,
    /// Report number (first report).
    pub report: Option<String>,
    /// Samples it prints.
    pub samples: u64,
    /// Readings it gave the history; none for a duplicate.
    pub readings: u64,
    /// Of these, held now.
    pub held_readings: u64,
    /// Hash of the mail or archive it came in.
    pub inside_of: Option<String>,
    /// Hash of the document that holds the same numbers (its own for a copy of the same bytes).
    pub duplicate_of: Option<String>,
    /// Hashes of the documents it replaces, parted by a space.
    pub supersedes: Option<String>,
    /// Hashes of the documents that replace it, parted by a space.
    pub superseded_by: Option<String>,
    /// Path of the original in the home folder.
    pub kept_at: Option<String>,
    /// When it was recorded; not exported, since an export has no clock in it.
    pub recorded_at: String,
}

/// What became of a document, as things stand now.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Now {
    /// What.
    pub outcome: Outcome,
    /// One sentence; none when filed.
    pub why: Option<String>,
    /// Readings of it that are held.
    pub held_readings: u64,
    /// Hash of the document that holds the same numbers.
    pub duplicate_of: Option<String>,
}

/// One name under which an original came.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Copy {
    /// The name.
    pub source_file: String,
    /// Hash of the mail or archive around it.
    pub inside_of: Option<String>,
}

/// Names under which documents came: their own, then those of copies.
macro_rules! names {
    ($which:literal) => {
        concat!(
            "SELECT file, sha256, around, copied, recorded_at FROM (
                SELECT source_file AS file, sha256, coalesce(inside_of, '') AS around, 0 AS copied, recorded_at FROM documents
                UNION ALL SELECT c.source_file, d.sha256, c.inside_of, 1, c.recorded_at
                FROM copies c JOIN documents d ON d.id = c.document_id) ",
            $which,
            " ORDER BY file, sha256, around"
        )
    };
}

/// What its samples and readings say of document `d`, counted one by one: no table of its own stands in between, which
/// costs more than the counting, and grows with the history.
macro_rules! of_samples {
    ($what:literal) => {
        concat!("(SELECT count(*) FROM reports p JOIN samples s ON s.report_id = p.id WHERE p.document_id = d.id AND ", $what, ")")
    };
}

macro_rules! of_readings {
    ($($what:expr),*) => {
        concat!(
            "(SELECT count(*) FROM reports p JOIN samples s ON s.report_id = p.id JOIN readings r ON r.sample_id = s.id
             LEFT JOIN standing t ON t.reading_id = r.id WHERE p.document_id = d.id AND ",
            $($what,)*
            ")"
        )
    };
}

/// A document with what its samples say of it.
pub(super) const ONE: &str = concat!(
    "SELECT d.source_file, d.sha256, d.bytes, d.format, d.outcome, d.why, d.lab, d.client, d.report, d.inside_of, d.kept_at,
        d.recorded_at, ",
    of_samples!("true"),
    ", ",
    of_samples!("s.duplicate_of IS NOT NULL"),
    ", ",
    of_samples!("s.site IS NULL AND s.duplicate_of IS NULL AND s.superseded_by IS NULL"),
    ", ",
    of_readings!("s.duplicate_of IS NULL"),
    ", ",
    of_readings!("s.duplicate_of IS NULL AND s.superseded_by IS NULL AND ", status_now!(), " = 'held'"),
    ", d.id, ",
    of_readings!("(r.status = 'held' OR t.reading_id IS NOT NULL)"),
    " + (SELECT count(*) FROM decisions a JOIN samples b ON b.id = a.sample_id JOIN reports c ON c.id = b.report_id
         WHERE c.document_id = d.id), d.settled
     FROM documents d WHERE d.sha256 = ?1"
);

impl History {
    /// The document with these bytes, if they were ever recorded.
    ///
    /// # Errors
    /// What the store says.
    pub fn document(&self, sha256: &str) -> Result<Option<DocumentRow>> {
        document(&self.connection, sha256)
    }

    /// What became of a document, as [`History::renew`] left it; none where these bytes were never recorded.
    ///
    /// # Errors
    /// What the store says.
    pub fn now(&self, sha256: &str) -> Result<Option<Now>> {
        let mut statement = self
            .connection
            .prepare_cached("SELECT id, outcome_now, why_now, held_now FROM documents WHERE sha256 = ?1")?;
        let mut rows = statement.query([sha256])?;
        let Some(row) = rows.next()? else { return Ok(None) };
        let Some(outcome) = row.get::<_, Option<String>>(1)? else {
            // Marked: something it follows from changed since.
            return Ok(self.document(sha256)?.map(|d| Now {
                outcome: d.outcome,
                why: d.why,
                held_readings: d.held_readings,
                duplicate_of: d.duplicate_of,
            }));
        };
        let outcome = word("outcome", &outcome, Outcome::from_id)?;
        let repeated = match outcome {
            Outcome::Duplicate => repeats(&self.connection, row.get(0)?)?,
            _ => None,
        };
        Ok(Some(Now {
            outcome,
            why: row.get(2)?,
            held_readings: count(row, 3)?,
            duplicate_of: repeated.map(|(sha256, _)| sha256),
        }))
    }

    /// Every document and every copy, by name and hash: an order that does not depend on when they came. Each is handed
    /// on as it is read.
    ///
    /// # Errors
    /// What the store says, or who takes them.
    pub fn each_document<E: From<Error>>(
        &self,
        mut take: impl FnMut(DocumentRow) -> std::result::Result<(), E>,
    ) -> std::result::Result<(), E> {
        let store = |error: rusqlite::Error| E::from(error.into());
        let mut statement = self.connection.prepare_cached(names!("")).map_err(store)?;
        let mut rows = statement.query([]).map_err(store)?;
        while let Some(row) = rows.next().map_err(store)? {
            self.named(row)?.map_or(Ok(()), &mut take)?;
        }
        Ok(())
    }

    /// All of [`History::each_document`].
    ///
    /// # Errors
    /// What the store says.
    pub fn documents(&self) -> Result<Vec<DocumentRow>> {
        let mut all = Vec::new();
        self.each_document(|row| {
            all.push(row);
            Ok::<_, Error>(())
        })?;
        Ok(all)
    }

    /// The document of a row of names, under that name.
    fn named(&self, row: &Row<'_>) -> Result<Option<DocumentRow>> {
        let Some(first) = document(&self.connection, &row.get::<_, String>(1)?)? else { return Ok(None) };
        Ok(Some(match row.get::<_, bool>(3)? {
            true => copy_of(&first, row.get(0)?, row.get(2)?, row.get(4)?),
            false => first,
        }))
    }

    /// So many documents and copies after this name, hash and hash of what is around it (empty for nothing), in the order
    /// of [`History::documents`].
    ///
    /// # Errors
    /// What the store says.
    pub fn documents_after(
        &self,
        after: Option<&(String, String, String)>,
        most: usize,
    ) -> Result<Vec<DocumentRow>> {
        let mut statement = self.connection.prepare_cached(concat!(
            names!("WHERE ?1 IS NULL OR (file, sha256, around) > (?1, ?2, ?3)"),
            " LIMIT ?4"
        ))?;
        let most = i64::try_from(most).unwrap_or(i64::MAX);
        let mut rows = statement.query(rusqlite::params![
            after.map(|a| &a.0),
            after.map(|a| &a.1),
            after.map(|a| &a.2),
            most
        ])?;
        let mut all = Vec::new();
        while let Some(row) = rows.next()? {
            all.extend(self.named(row)?);
        }
        Ok(all)
    }

    /// Documents that wait for a person as a whole: none of their numbers does, for there are none.
    ///
    /// # Errors
    /// What the store says.
    pub fn held_whole(&self) -> Result<Vec<DocumentRow>> {
        let mut statement = self.connection.prepare_cached(
            "SELECT sha256 FROM documents d INDEXED BY documents_waiting
             WHERE outcome_now = 'held' AND held_now = 0 AND outcome = 'held' AND why IS NOT NULL AND NOT EXISTS (
                SELECT 1 FROM reports p JOIN samples s ON s.report_id = p.id WHERE p.document_id = d.id)
             ORDER BY source_file, sha256",
        )?;
        let hashes = statement.query_map([], |row| row.get::<_, String>(0))?;
        let mut all = Vec::new();
        for hash in hashes {
            // Settled since, it waits no more.
            all.extend(document(&self.connection, &hash?)?.filter(|d| d.outcome == Outcome::Held));
        }
        Ok(all)
    }

    /// The other names under which these bytes came.
    ///
    /// # Errors
    /// What the store says.
    pub fn copies(&self, sha256: &str) -> Result<Vec<Copy>> {
        let mut statement = self.connection.prepare_cached(
            "SELECT c.source_file, c.inside_of FROM copies c JOIN documents d ON d.id = c.document_id WHERE d.sha256 = ?1
             ORDER BY c.source_file, c.inside_of",
        )?;
        let copies = statement.query_map([sha256], |row| {
            let inside_of: String = row.get(1)?;
            Ok(Copy { source_file: row.get(0)?, inside_of: (!inside_of.is_empty()).then_some(inside_of) })
        })?;
        Ok(copies.collect::<rusqlite::Result<_>>()?)
    }

    /// Says where the original lies now.
    ///
    /// # Errors
    /// [`Error::Unknown`] for a document that is not recorded.
    pub fn set_kept_at(&mut self, sha256: &str, kept_at: &str) -> Result<()> {
        self.write(|connection| {
            let changed = connection
                .prepare_cached("UPDATE documents SET kept_at = ?2 WHERE sha256 = ?1")?
                .execute([sha256, kept_at])?;
            if changed == 0 {
                return Err(Error::Unknown { what: "document", key: sha256.to_owned() });
            }
            Ok(())
        })
    }

    /// The year on the shelf of a document, its members included: that of the first dated report.
    ///
    /// # Errors
    /// What the store says.
    pub fn year_of(&self, sha256: &str) -> Result<Option<i16>> {
        let year: Option<String> = self
            .connection
            .prepare_cached(
                "SELECT substr(coalesce(p.reported_on, p.received_on, s.sampled_on), 1, 4) FROM documents d
                 JOIN reports p ON p.document_id = d.id LEFT JOIN samples s ON s.report_id = p.id
                 WHERE (d.sha256 = ?1 OR d.inside_of = ?1) AND coalesce(p.reported_on, p.received_on, s.sampled_on) IS NOT NULL
                 ORDER BY d.id, p.ordinal, s.ordinal LIMIT 1",
            )?
            .query_row([sha256], |row| row.get(0))
            .optional()?;
        Ok(year.and_then(|year| year.parse().ok()))
    }

    /// Documents whose originals lie in `held/`.
    ///
    /// # Errors
    /// What the store says.
    pub fn in_held(&self) -> Result<Vec<DocumentRow>> {
        let mut statement = self.connection.prepare_cached(
            "SELECT sha256 FROM documents WHERE substr(kept_at, 1, 5) = 'held/' ORDER BY sha256",
        )?;
        let hashes = statement.query_map([], |row| row.get::<_, String>(0))?;
        let mut found = Vec::new();
        for sha256 in hashes.collect::<rusqlite::Result<Vec<_>>>()? {
            found.extend(self.document(&sha256)?);
        }
        Ok(found)
    }

    /// Says that a document held for itself (a page that cannot be read, say) needs nothing more. Readings and samples
    /// in doubt keep holding it.
    ///
    /// # Errors
    /// [`Error::Unknown`] for a document that is not recorded.
    pub fn settle(&mut self, sha256: &str) -> Result<()> {
        self.write(|connection| {
            let changed =
                connection.execute("UPDATE documents SET settled = 1 WHERE sha256 = ?1", [sha256])?;
            if changed == 0 {
                return Err(Error::Unknown { what: "document", key: sha256.to_owned() });
            }
            Ok(())
        })
    }

    /// What lies inside a mail or archive.
    ///
    /// # Errors
    /// What the store says.
    pub fn members(&self, sha256: &str) -> Result<Vec<DocumentRow>> {
        let mut statement = self.connection.prepare_cached(
            "SELECT sha256 FROM documents WHERE inside_of = ?1 AND sha256 <> ?1 ORDER BY sha256",
        )?;
        let inside = statement.query_map([sha256], |row| row.get::<_, String>(0))?;
        let mut members = Vec::new();
        for sha256 in inside.collect::<rusqlite::Result<Vec<_>>>()? {
            members.extend(self.document(&sha256)?);
        }
        Ok(members)
    }
}

/// Why a copy is one.
pub(super) fn same_bytes(first: &str) -> String {
    format!("These are the same bytes as `{first}`.")
}

/// The row of the same bytes under another name.
fn copy_of(first: &DocumentRow, source_file: String, inside_of: String, recorded_at: String) -> DocumentRow {
    DocumentRow {
        outcome: Outcome::Duplicate,
        why: Some(same_bytes(&first.source_file)),
        source_file,
        inside_of: (!inside_of.is_empty()).then_some(inside_of),
        recorded_at,
        samples: 0,
        readings: 0,
        held_readings: 0,
        duplicate_of: Some(first.source_sha256.clone()),
        supersedes: None,
        superseded_by: None,
        ..first.clone()
    }
}

pub(super) fn document(connection: &Connection, sha256: &str) -> Result<Option<DocumentRow>> {
    // Most are asked about when they are new, and the question below costs more than this one.
    if !connection.prepare_cached("SELECT 1 FROM documents WHERE sha256 = ?1")?.exists([sha256])? {
        return Ok(None);
    }
    let mut statement = connection.prepare_cached(ONE)?;
    let mut rows = statement.query([sha256])?;
    rows.next()?.map(|row| read(connection, row)).transpose()
}

/// What a document is now, and which document it repeats.
pub(super) fn outcome(connection: &Connection, sha256: &str) -> Result<(Outcome, Option<String>)> {
    let row = document(connection, sha256)?;
    row.map(|row| (row.outcome, row.duplicate_of))
        .ok_or_else(|| Error::Unknown { what: "document", key: sha256.to_owned() })
}

fn read(connection: &Connection, row: &Row<'_>) -> Result<DocumentRow> {
    let recorded = word("outcome", &row.get::<_, String>(4)?, Outcome::from_id)?;
    let (samples, repeated, homeless) = (count(row, 12)?, count(row, 13)?, count(row, 14)?);
    let (readings, held) = (count(row, 15)?, count(row, 16)?);
    let (id, doubted, settled): (i64, u64, bool) = (row.get(17)?, count(row, 18)?, row.get(19)?);
    // What its samples say now, not what was said on the day: the same numbers may have come in another file since,
    // a person may have settled its doubts.
    let outcome = match recorded {
        Outcome::Refused => Outcome::Refused,
        _ if samples > 0 && repeated == samples => Outcome::Duplicate,
        _ if held > 0 || homeless > 0 => Outcome::Held,
        Outcome::Held | Outcome::Filed if samples == 0 && !settled => {
            let format = word("format", &row.get::<_, String>(3)?, Format::from_id)?;
            let container = matches!(format, Format::Mail | Format::Archive);
            of_members(connection, &row.get::<_, String>(1)?, container)?
        }
        // Held for something that no reading and no sample says: until a person settles the document itself.
        Outcome::Held if doubted == 0 && !settled => Outcome::Held,
        other if samples == 0 && !settled => other,
        _ => Outcome::Filed,
    };
    let duplicate_of = if outcome == Outcome::Duplicate { repeats(connection, id)? } else { None };
    let why = match (outcome, &duplicate_of) {
        (Outcome::Filed, _) => None,
        (Outcome::Duplicate, Some((_, file))) => {
            Some(format!("The same report with the same numbers stands in `{file}`."))
        }
        (Outcome::Held, _) => {
            let why: Option<String> = row.get(5)?;
            why.map_or_else(|| why_held(connection, id, readings, held), |why| Ok(Some(why)))?
        }
        _ => row.get(5)?,
    };
    Ok(DocumentRow {
        source_file: row.get(0)?,
        source_sha256: row.get(1)?,
        bytes: count(row, 2)?,
        format: word("format", &row.get::<_, String>(3)?, Format::from_id)?,
        outcome,
        why,
        lab: row.get(6)?,
        client: row.get(7)?,
        report: row.get(8)?,
        samples,
        readings,
        held_readings: held,
        inside_of: row.get(9)?,
        duplicate_of: duplicate_of.map(|(sha256, _)| sha256),
        supersedes: neighbours(connection, id, true)?,
        superseded_by: neighbours(connection, id, false)?,
        kept_at: row.get(10)?,
        recorded_at: row.get(11)?,
    })
}

/// A mail or archive without a report of its own waits as long as something inside it does, also where that came before
/// by another way; another document without anything inside waits for itself.
fn of_members(connection: &Connection, sha256: &str, container: bool) -> Result<Outcome> {
    let mut statement =
        connection.prepare_cached("SELECT sha256 FROM documents WHERE inside_of = ?1 AND sha256 <> ?1")?;
    let members = statement
        .query_map([sha256], |row| row.get::<_, String>(0))?
        .collect::<rusqlite::Result<Vec<_>>>()?;
    for member in &members {
        if outcome(connection, member)?.0 == Outcome::Held {
            return Ok(Outcome::Held);
        }
    }
    // Of what came before, only those that wait are asked after: they are few. One that is marked may wait.
    let mut statement = connection.prepare_cached(
        "SELECT d.sha256 FROM documents d WHERE (d.outcome_now = 'held' OR d.outcome_now IS NULL) AND d.sha256 <> ?1 AND EXISTS (
            SELECT 1 FROM copies c WHERE c.document_id = d.id AND c.inside_of = ?1)",
    )?;
    let copied = statement
        .query_map([sha256], |row| row.get::<_, String>(0))?
        .collect::<rusqlite::Result<Vec<_>>>()?;
    for member in &copied {
        if outcome(connection, member)?.0 == Outcome::Held {
            return Ok(Outcome::Held);
        }
    }
    Ok(if members.is_empty() && !container { Outcome::Held } else { Outcome::Filed })
}

/// Why a document waits that was sure when it came: what was found against it since.
fn why_held(connection: &Connection, id: i64, readings: u64, held: u64) -> Result<Option<String>> {
    let doubt: Option<Option<String>> = connection
        .prepare_cached(concat!(
            "SELECT ",
            doubt_now!(),
            " FROM reports p JOIN samples s ON s.report_id = p.id JOIN readings r ON r.sample_id = s.id
             LEFT JOIN standing t ON t.reading_id = r.id
             WHERE p.document_id = ?1 AND s.duplicate_of IS NULL AND s.superseded_by IS NULL AND ",
            status_now!(),
            " = 'held' ORDER BY p.ordinal, s.ordinal, r.ordinal LIMIT 1"
        ))?
        .query_row([id], |row| row.get(0))
        .optional()?;
    Ok(Some(match doubt.flatten() {
        Some(doubt) => format!("{held} of {readings} readings wait for a person. {doubt}"),
        None => "Something inside waits for a person.".to_owned(),
    }))
}

fn count(row: &Row<'_>, at: usize) -> Result<u64> {
    Ok(row.get::<_, i64>(at)?.cast_unsigned())
}

/// The document that holds most of the samples this one repeats.
fn repeats(connection: &Connection, id: i64) -> Result<Option<(String, String)>> {
    Ok(connection
        .prepare_cached(
            "SELECT d.sha256, d.source_file FROM reports p JOIN samples s ON s.report_id = p.id JOIN samples o ON o.id = s.duplicate_of
             JOIN reports q ON q.id = o.report_id JOIN documents d ON d.id = q.document_id
             WHERE p.document_id = ?1 GROUP BY d.id ORDER BY count(*) DESC, d.sha256 LIMIT 1",
        )?
        .query_row([id], |row| Ok((row.get(0)?, row.get(1)?)))
        .optional()?)
}

/// Hashes of the documents this one replaces, or of those that replace it.
fn neighbours(connection: &Connection, id: i64, older: bool) -> Result<Option<String>> {
    let sql = if older {
        "SELECT d.sha256 FROM reports p JOIN samples s ON s.report_id = p.id JOIN samples o ON o.superseded_by = s.id
         JOIN reports q ON q.id = o.report_id JOIN documents d ON d.id = q.document_id WHERE p.document_id = ?1 ORDER BY 1"
    } else {
        "SELECT d.sha256 FROM reports p JOIN samples s ON s.report_id = p.id JOIN samples o ON o.id = s.superseded_by
         JOIN reports q ON q.id = o.report_id JOIN documents d ON d.id = q.document_id WHERE p.document_id = ?1 ORDER BY 1"
    };
    let mut statement = connection.prepare_cached(sql)?;
    let mut hashes: Vec<String> =
        statement.query_map([id], |row| row.get(0))?.collect::<rusqlite::Result<_>>()?;
    hashes.dedup();
    Ok((!hashes.is_empty()).then(|| hashes.join(" ")))
}
