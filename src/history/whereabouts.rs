//! What a person says of a sample as a whole: whose it is, and on which day it was taken.

use super::columns::{day_text, json};
use super::decision::{About, Note, write_down};
use super::standing::{Standing, held_for_whereabouts, standing, write_standing};
use super::{Error, Result, record, site, site_rows};
use crate::soil::Status;
use jiff::civil::Date;
use rusqlite::{Connection, OptionalExtension, params};
use serde::{Deserialize, Serialize};

/// Where a sample belongs.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub(super) struct Belonging {
    pub(super) site: Option<String>,
    pub(super) zone: String,
}

/// The day a person told, and the year the sample counts for.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub(super) struct Told {
    pub(super) dated_on: Option<String>,
    pub(super) season: Option<i16>,
}

/// All printings of the sample `?1`: what is said of one holds for all.
const PRINTINGS: &str = "(SELECT o.id FROM samples s JOIN samples o
    ON o.id = coalesce(s.duplicate_of, s.id) OR o.duplicate_of = coalesce(s.duplicate_of, s.id) WHERE s.id = ?1)";

/// Assigns a sample; a site joined into another means that one.
pub(super) fn assign(
    connection: &Connection,
    sample: i64,
    to: &Belonging,
    who: &str,
    at: &str,
) -> Result<i64> {
    let asked = to.site.clone().unwrap_or_default();
    let Some(site) = site_rows::followed(connection, &asked)? else {
        return Err(Error::Unknown { what: "site", key: asked });
    };
    let to = Belonging { site: Some(site), zone: to.zone.clone() };
    let before = belonging(connection, sample)?;
    belong(connection, sample, &to)?;
    let note = Note { about: About::Sample(sample), action: "assign", undoes: None, who, at };
    let id = write_down(connection, &note, &json(&before)?, &json(&to)?)?;
    let_in(connection, sample)?;
    Ok(id)
}

/// Dates a sample that prints no day of sampling.
pub(super) fn date(
    connection: &Connection,
    sample: i64,
    day: Date,
    season: i16,
    who: &str,
    at: &str,
) -> Result<i64> {
    let (printed, before): (Option<String>, Told) = connection
        .prepare_cached("SELECT sampled_on, dated_on, season FROM samples WHERE id = ?1")?
        .query_row([sample], |row| Ok((row.get(0)?, Told { dated_on: row.get(1)?, season: row.get(2)? })))?;
    if let Some(printed) = printed {
        return Err(Error::Refused(format!(
            "the report prints {printed} as the day of sampling; if that is wrong, reject its readings and enter a corrected report"
        )));
    }
    let told = Told { dated_on: day_text(Some(day)), season: Some(season) };
    tell(connection, sample, &told)?;
    let note = Note { about: About::Sample(sample), action: "date", undoes: None, who, at };
    let id = write_down(connection, &note, &json(&before)?, &json(&told)?)?;
    let_in(connection, sample)?;
    Ok(id)
}

pub(super) fn belonging(connection: &Connection, sample: i64) -> Result<Belonging> {
    connection
        .prepare_cached("SELECT site, zone FROM samples WHERE id = ?1")?
        .query_row([sample], |row| Ok(Belonging { site: row.get(0)?, zone: row.get(1)? }))
        .optional()?
        .ok_or_else(|| Error::Unknown { what: "sample", key: sample.to_string() })
}

pub(super) fn belong(connection: &Connection, sample: i64, to: &Belonging) -> Result<()> {
    site::changed_by_sample(connection, sample)?;
    connection
        .prepare_cached(&format!("UPDATE samples SET site = ?2, zone = ?3 WHERE id IN {PRINTINGS}"))?
        .execute(params![
        sample,
        to.site,
        if to.zone.is_empty() { crate::soil::site::WHOLE } else { &to.zone }
    ])?;
    site::changed_by_sample(connection, sample)
}

pub(super) fn tell(connection: &Connection, sample: i64, told: &Told) -> Result<()> {
    connection
        .prepare_cached(&format!("UPDATE samples SET dated_on = ?2, season = ?3 WHERE id IN {PRINTINGS}"))?
        .execute(params![sample, told.dated_on, told.season])?;
    site::changed_by_sample(connection, sample)
}

/// Lets in what was held only for what is known now.
pub(super) fn let_in(connection: &Connection, sample: i64) -> Result<()> {
    for held in held_for_whereabouts(connection, sample)? {
        let standing = Standing { status: Status::Accepted, doubt: None, ..standing(connection, held)? };
        if record::impossible(standing.analyte.id(), standing.value, standing.unit).is_none() {
            write_standing(connection, held, &standing)?;
        }
    }
    Ok(())
}

/// What was let in by a decision now taken back waits again.
pub(super) fn hold_again(connection: &Connection, sample: i64) -> Result<()> {
    connection.execute(
        &format!(
            "DELETE FROM standing WHERE decided = 0 AND status = 'accepted' AND reading_id IN
                (SELECT id FROM readings WHERE status = 'held' AND sample_id IN {PRINTINGS})"
        ),
        [sample],
    )?;
    Ok(())
}
