//! What a person says of two issues of a report: that one replaces the other, or that they are none. Each can be taken
//! back.

use super::columns::{from_json, json};
use super::decision::{About, DecisionRow, Note, write_down};
use super::{Error, History, Result, issue};
use rusqlite::Connection;
use serde::{Deserialize, Serialize};

/// Two documents, by hash.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
struct Pair {
    older: String,
    newer: String,
    /// How they stand: `apart`, `replaced`, or as their own words and dates say.
    stand: String,
}

impl History {
    /// Says that the newer document replaces the older one.
    ///
    /// # Errors
    /// [`Error::Unknown`] for a document that is not recorded; [`Error::Refused`] where it would replace itself.
    pub fn say_replaced(&mut self, older: &str, newer: &str, who: &str, at: &str) -> Result<i64> {
        self.say(older, newer, "replaced", who, at)
    }

    /// Says that two documents are no issues of one report: both count.
    ///
    /// # Errors
    /// As [`History::say_replaced`].
    pub fn say_apart(&mut self, older: &str, newer: &str, who: &str, at: &str) -> Result<i64> {
        self.say(older, newer, "apart", who, at)
    }

    fn say(&mut self, older: &str, newer: &str, stand: &str, who: &str, at: &str) -> Result<i64> {
        if older == newer {
            return Err(Error::Refused("name two different documents".to_owned()));
        }
        let transaction = self.begin()?;
        let pair =
            |stand: &str| Pair { older: older.to_owned(), newer: newer.to_owned(), stand: stand.to_owned() };
        forget(&transaction, older, newer)?;
        if stand == "apart" {
            transaction.execute("INSERT INTO issues_apart (older, newer) VALUES (?1, ?2)", [older, newer])?;
        } else {
            issue::supersede(&transaction, older, newer)?;
        }
        let note = Note { about: About::Subject("issues"), action: stand, undoes: None, who, at };
        let id = write_down(&transaction, &note, &json(&pair("as printed"))?, &json(&pair(stand))?)?;
        transaction.commit()?;
        Ok(id)
    }
}

/// The two stand as if neither replaced or contradicted the other.
pub(super) fn forget(connection: &Connection, older: &str, newer: &str) -> Result<()> {
    for (a, b) in [(older, newer), (newer, older)] {
        issue::restore(connection, a, b)?;
        connection.execute("DELETE FROM issues_apart WHERE older = ?1 AND newer = ?2", [a, b])?;
        for sample in issue::samples(connection, a)? {
            for other in issue::samples(connection, b)? {
                connection.execute(
                    "DELETE FROM contradictions WHERE sample_id = ?2 AND reading_id IN (SELECT id FROM readings WHERE sample_id = ?1)",
                    [sample.id, other.id],
                )?;
            }
        }
    }
    Ok(())
}

/// Takes it back: their own words and dates count again.
pub(super) fn undo(connection: &Connection, row: &DecisionRow) -> Result<()> {
    let pair: Pair = from_json(&row.after)?;
    forget(connection, &pair.older, &pair.newer)?;
    mark_again(connection, &pair.newer)
}

/// Their own words and dates count again.
pub(super) fn mark_again(connection: &Connection, newer: &str) -> Result<()> {
    let samples: Vec<i64> = issue::samples(connection, newer)?.iter().map(|one| one.id).collect();
    issue::mark(&super::lookup::Lookup::new(connection), &samples)
}

/// True where a person said that two printings, or others of the same numbers, are no issues of one report.
pub(super) fn apart(connection: &Connection, a: i64, b: i64) -> Result<bool> {
    let mut statement = connection.prepare_cached(
        "WITH doc (side, sha256) AS (SELECT s.id, d.sha256 FROM samples s JOIN samples o
                ON o.id = coalesce(s.duplicate_of, s.id) OR o.duplicate_of = coalesce(s.duplicate_of, s.id)
             JOIN reports p ON p.id = o.report_id JOIN documents d ON d.id = p.document_id WHERE s.id IN (?1, ?2))
         SELECT 1 FROM issues_apart x JOIN doc m ON m.sha256 = x.older JOIN doc n ON n.sha256 = x.newer WHERE m.side <> n.side LIMIT 1",
    )?;
    // Few are ever told apart, and most reports meet none of them.
    Ok(connection.prepare_cached("SELECT 1 FROM issues_apart LIMIT 1")?.exists([])?
        && statement.exists([a, b])?)
}
