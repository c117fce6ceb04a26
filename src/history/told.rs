//! What a digest has told of sites and originals, kept together with the messages that tell it.

use super::columns::word;
use super::outbox::{self, NewMessage};
use super::{History, Result, site};
use crate::soil::Outcome;
use jiff::civil::Date;
use rusqlite::{OptionalExtension, params};
use std::collections::BTreeMap;

/// What was said of a site, by subject.
pub type Told = BTreeMap<String, String>;

/// A digest as it is written down: all of it, with its messages, or nothing.
#[derive(Debug, Clone, Default)]
pub struct DigestRecord {
    /// What it is sent as; none where nothing is new.
    pub messages: Vec<NewMessage>,
    /// Sites that were looked at: all that stands told of them now, and the next day that changes it.
    pub sites: BTreeMap<String, (Told, Option<Date>)>,
    /// Originals told of, by hash.
    pub documents: Vec<(String, Outcome)>,
    /// Up to which change of the sites it speaks.
    pub changes: Vec<(String, i64)>,
    /// By what it judged.
    pub made_by: String,
    /// When (RFC 3339).
    pub made_at: String,
}

impl History {
    /// What was told of a site.
    ///
    /// # Errors
    /// What the store says.
    pub fn told(&self, site: &str) -> Result<Told> {
        let mut statement =
            self.connection.prepare_cached("SELECT subject, said FROM told_sites WHERE site = ?1")?;
        let told = statement.query_map([site], |row| Ok((row.get(0)?, row.get(1)?)))?;
        Ok(told.collect::<rusqlite::Result<_>>()?)
    }

    /// Sites of which something else is said from this day on although nothing changed.
    ///
    /// # Errors
    /// What the store says.
    pub fn sites_due(&self, today: Date) -> Result<Vec<String>> {
        let mut statement =
            self.connection.prepare_cached("SELECT site FROM due_sites WHERE due_on <= ?1 ORDER BY site")?;
        let sites = statement.query_map([today.to_string()], |row| row.get(0))?;
        Ok(sites.collect::<rusqlite::Result<_>>()?)
    }

    /// By what the last digest judged, and when it was made; none before the first.
    ///
    /// # Errors
    /// What the store says.
    pub fn last_digest(&self) -> Result<Option<(String, String)>> {
        let mut statement = self
            .connection
            .prepare_cached("SELECT made_by, made_at FROM digests ORDER BY id DESC LIMIT 1")?;
        Ok(statement.query_row([], |row| Ok((row.get(0)?, row.get(1)?))).optional()?)
    }

    /// Originals that no digest told of, or of which something else may stand by now: hash, and what was told.
    ///
    /// # Errors
    /// What the store says.
    pub fn documents_to_tell(&self) -> Result<Vec<(String, Option<Outcome>)>> {
        // Held again since: by a check made anew or by another issue.
        let mut statement = self.connection.prepare_cached(
            "WITH doubted (reading_id) AS (
                SELECT reading_id FROM standing WHERE status = 'held' UNION SELECT reading_id FROM contradictions
                UNION SELECT reading_id FROM past WHERE doubt IS NOT NULL)
             SELECT d.sha256, t.outcome FROM documents d LEFT JOIN told_documents t ON t.document_id = d.id
             WHERE t.document_id IS NULL OR t.outcome IN ('held', 'refused')
                OR d.id IN (SELECT p.document_id FROM doubted h JOIN readings r ON r.id = h.reading_id
                            JOIN samples s ON s.id = r.sample_id JOIN reports p ON p.id = s.report_id)
             ORDER BY d.id",
        )?;
        let mut rows = statement.query([])?;
        let mut all = Vec::new();
        while let Some(row) = rows.next()? {
            let told = row.get::<_, Option<String>>(1)?;
            let told = told.map(|text| word("outcome", &text, Outcome::from_id)).transpose()?;
            all.push((row.get(0)?, told));
        }
        Ok(all)
    }

    /// Writes a digest down with the messages that carry it.
    ///
    /// # Errors
    /// What the store says; then nothing is written.
    pub fn record_digest(&mut self, digest: &DigestRecord) -> Result<()> {
        self.write(|connection| {
            for message in &digest.messages {
                outbox::add(connection, message)?;
            }
            for (site, (told, due)) in &digest.sites {
                connection.prepare_cached("DELETE FROM told_sites WHERE site = ?1")?.execute([site])?;
                for (subject, said) in told {
                    connection
                        .prepare_cached("INSERT INTO told_sites (site, subject, said) VALUES (?1, ?2, ?3)")?
                        .execute([site, subject, said])?;
                }
                connection.prepare_cached("DELETE FROM due_sites WHERE site = ?1")?.execute([site])?;
                if let Some(due) = due {
                    connection
                        .prepare_cached("INSERT INTO due_sites (site, due_on) VALUES (?1, ?2)")?
                        .execute(params![site, due.to_string()])?;
                }
            }
            for (sha256, outcome) in &digest.documents {
                connection
                    .prepare_cached(
                        "INSERT INTO told_documents (document_id, outcome) SELECT id, ?2 FROM documents WHERE sha256 = ?1
                         ON CONFLICT (document_id) DO UPDATE SET outcome = excluded.outcome",
                    )?
                    .execute([sha256.as_str(), outcome.id()])?;
            }
            site::mark_done(connection, site::Purpose::Digest, &digest.changes)?;
            connection.execute(
                "INSERT INTO digests (made_by, made_at) VALUES (?1, ?2)",
                [&digest.made_by, &digest.made_at],
            )?;
            connection.execute("DELETE FROM digests WHERE id < (SELECT max(id) FROM digests)", [])?;
            Ok(())
        })
    }
}
