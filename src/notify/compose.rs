//! Makes the digest of what is new since the last one, and writes it down with its messages in one step.

use crate::assess::Assessment;
use crate::config::Settings;
use crate::digest::{Digest, OriginalNews, PerhapsOne, SiteName, of_site};
use crate::history::{self, DigestRecord, DocumentRow, History, NewMessage, Purpose};
use crate::soil::{Outcome, Site};
use jiff::civil::Date;
use sha2::{Digest as _, Sha256};
use std::collections::{BTreeMap, BTreeSet};

/// Why no digest could be made.
#[derive(Debug, thiserror::Error)]
pub enum ComposeError {
    /// What the store says.
    #[error(transparent)]
    History(#[from] history::Error),
    /// What the assessment of a site says.
    #[error("a site cannot be assessed: {0}")]
    Assess(#[source] Box<dyn std::error::Error + Send + Sync>),
    /// The page of the digest.
    #[error("the digest cannot be written as a page: {0}")]
    Page(#[from] askama::Error),
    /// The digest for programs.
    #[error("the digest cannot be written as JSON: {0}")]
    Json(#[from] serde_json::Error),
    /// No name for a message.
    #[error("the system gives no random numbers: {0}")]
    Random(#[from] getrandom::Error),
}

/// Hands each assessment on; says what went wrong.
pub type Assess<'a> = dyn FnMut(
        &History,
        Vec<Site>,
        &mut dyn FnMut(Assessment),
    ) -> Result<(), Box<dyn std::error::Error + Send + Sync>>
    + 'a;

/// A digest, and what is to be written down once it is told.
#[derive(Debug, Clone)]
pub struct Composed {
    /// What is new.
    pub digest: Digest,
    record: DigestRecord,
}

/// What is new since the last digest; nothing is marked. Only sites that changed, or that a day made due, are assessed;
/// all of them where the settings or the program judge otherwise than at the last digest, and once a year.
///
/// # Errors
/// [`ComposeError`].
pub fn digest(
    history: &History,
    settings: &Settings,
    today: Date,
    trouble: Vec<String>,
    assess: &mut Assess<'_>,
) -> Result<Composed, ComposeError> {
    let mut digest = Digest { trouble, ..Digest::of_day(today) };
    let mut record = DigestRecord {
        changes: history.sites_changed_since(Purpose::Digest)?,
        made_by: made_by(settings, today),
        made_at: jiff::Timestamp::now().to_string(),
        ..DigestRecord::default()
    };
    let mut sites = history.sites()?;
    if history.last_digest()?.is_some_and(|(made_by, _)| made_by == record.made_by) {
        let due = history.sites_due(today)?;
        let wanted: BTreeSet<&str> = record
            .changes
            .iter()
            .map(|(site, _)| site.as_str())
            .chain(due.iter().map(String::as_str))
            .collect();
        sites.retain(|site| wanted.contains(site.id.as_str()));
        // A site joined into another stands for nothing any more.
        record.sites.extend(wanted.iter().map(|site| ((*site).to_owned(), Default::default())));
    }
    let mut failed = None;
    assess(history, sites, &mut |assessment| match history.told(&assessment.site.id) {
        Ok(told) => {
            let news = of_site(&assessment, &told);
            let due = assessment.retest_on.values().filter(|on| **on > today).min().copied();
            record.sites.insert(assessment.site.id.clone(), (news.told.clone(), due));
            digest.add(news);
        }
        Err(error) => failed = Some(error),
    })
    .map_err(ComposeError::Assess)?;
    if let Some(error) = failed {
        return Err(error.into());
    }
    perhaps_one(history, &mut digest, &mut record)?;
    originals(history, &mut digest, &mut record)?;
    digest.sort();
    Ok(Composed { digest, record })
}

/// Pairs of sites that are perhaps one and were told of on neither side.
fn perhaps_one(
    history: &History,
    digest: &mut Digest,
    record: &mut DigestRecord,
) -> Result<(), ComposeError> {
    for (one, other) in history.perhaps_one()? {
        let (of_one, of_other) = (format!("alike/{}", other.id), format!("alike/{}", one.id));
        let known =
            history.told(&one.id)?.contains_key(&of_one) || history.told(&other.id)?.contains_key(&of_other);
        let mut noted = false;
        for (site, subject) in [(&one, of_one), (&other, of_other)] {
            if let Some((told, _)) = record.sites.get_mut(&site.id) {
                told.insert(subject, "perhaps one".to_owned());
                noted = true;
            }
        }
        // What cannot be noted as told would be told again every night; a pair is new with one of its sites.
        if noted && !known {
            digest.alike.push(PerhapsOne { site: SiteName::of(&one), other: SiteName::of(&other) });
        }
    }
    Ok(())
}

/// Originals that came, or stand otherwise, since they were told of.
fn originals(history: &History, digest: &mut Digest, record: &mut DigestRecord) -> Result<(), ComposeError> {
    let mut held = Vec::new();
    for (sha256, told) in history.documents_to_tell()? {
        let Some(row) = history.document(&sha256)? else { continue };
        if told == Some(row.outcome) {
            continue;
        }
        record.documents.push((sha256, row.outcome));
        match row.outcome {
            Outcome::Held => held.push(row),
            Outcome::Refused => digest.refused.push(news(row)),
            // One that was held before was told of; a person settled it.
            Outcome::Filed if row.samples > 0 && told != Some(Outcome::Held) => {
                digest.reports.push(news(row))
            }
            Outcome::Filed | Outcome::Duplicate => {}
        }
    }
    // A mail or archive that waits only for what is inside it says nothing of its own.
    let around: BTreeSet<String> = held.iter().filter_map(|row| row.inside_of.clone()).collect();
    held.retain(|row| row.samples > 0 || !around.contains(&row.source_sha256));
    digest.held.extend(held.into_iter().map(news));
    Ok(())
}

fn news(row: DocumentRow) -> OriginalNews {
    OriginalNews {
        file: row.source_file,
        sha256: row.source_sha256,
        lab: row.lab,
        client: row.client,
        report: row.report,
        readings: row.readings,
        why: row.why,
    }
}

/// Writes a digest down with a message to every receiver in the settings; a quiet one has none.
///
/// # Errors
/// [`ComposeError`]; then nothing is written.
pub fn compose(
    history: &mut History,
    settings: &Settings,
    composed: Composed,
) -> Result<Digest, ComposeError> {
    let Composed { digest, mut record } = composed;
    if !digest.is_quiet() {
        let mut receivers: Vec<(&'static str, String)> = Vec::new();
        receivers.extend(settings.webhook.iter().map(|_| ("webhook", String::new())));
        let to: BTreeSet<&String> = settings.smtp.iter().flat_map(|smtp| &smtp.to).collect();
        receivers.extend(to.into_iter().map(|to| ("smtp", to.clone())));
        for (channel, target) in receivers {
            let key = new_key()?;
            let webhook = channel == "webhook";
            record.messages.push(NewMessage {
                subject: digest.subject(),
                text: digest.text(),
                html: if webhook { String::new() } else { digest.html()? },
                body: if webhook { digest.json(&key)? } else { String::new() },
                made_at: record.made_at.clone(),
                key,
                channel,
                target,
            });
        }
    }
    history.record_digest(&record)?;
    Ok(digest)
}

/// A name no other message has.
fn new_key() -> Result<String, getrandom::Error> {
    let mut bytes = [0_u8; 16];
    getrandom::fill(&mut bytes)?;
    Ok(bytes.iter().map(|byte| format!("{byte:02x}")).collect())
}

/// What decides how the same numbers are judged: the program, the settings that concern it, the year.
fn made_by(settings: &Settings, today: Date) -> String {
    let judging = (&settings.season, &settings.guides, &settings.flags, BTreeMap::from_iter(&settings.sites));
    let digits: String =
        Sha256::digest(format!("{judging:?}").as_bytes()).iter().map(|byte| format!("{byte:02x}")).collect();
    format!("{} {} {digits}", env!("CARGO_PKG_VERSION"), today.year())
}
