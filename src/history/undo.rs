//! Takes a decision back: what it concerned stands as it did before, and the book says who did so and when.

use super::columns::from_json;
use super::decision::{About, DecisionRow, Note, decisions, write_down};
use super::standing::write_standing;
use super::{Error, History, Result, change, reissue, site, taught, whereabouts};
use rusqlite::{Connection, params};

impl History {
    /// Takes a decision back: what it concerned stands as it did before. Later decisions go first.
    ///
    /// # Errors
    /// [`Error::Unknown`], or [`Error::Refused`] when it was taken back already or a later one stands on it.
    pub fn undo(&mut self, decision_id: i64, who: &str, at: &str) -> Result<i64> {
        let transaction = self.begin()?;
        let row = decisions(&transaction, "WHERE id = ?1", decision_id)?
            .pop()
            .ok_or_else(|| Error::Unknown { what: "decision", key: decision_id.to_string() })?;
        if row.action == "undo" {
            return Err(Error::Refused("an undo cannot be undone; take the decision again".to_owned()));
        }
        if transaction.prepare("SELECT 1 FROM decisions WHERE undoes = ?1")?.exists([decision_id])? {
            return Err(Error::Refused("this decision was taken back already".to_owned()));
        }
        let about = match (row.reading_id, row.sample_id, row.subject.as_deref()) {
            (Some(reading), ..) => {
                is_last(&transaction, &row)?;
                write_standing(&transaction, reading, &from_json(&row.before)?)?;
                site::changed_by_reading(&transaction, reading)?;
                About::Reading(reading)
            }
            (None, Some(sample), _) => {
                is_last(&transaction, &row)?;
                match row.action.as_str() {
                    "date" => whereabouts::tell(&transaction, sample, &from_json(&row.before)?)?,
                    _ => whereabouts::belong(&transaction, sample, &from_json(&row.before)?)?,
                }
                whereabouts::hold_again(&transaction, sample)?;
                About::Sample(sample)
            }
            (None, None, Some("taught")) => {
                taught::undo(&transaction, &row, who, at)?;
                About::Subject("taught")
            }
            (None, None, Some("issues")) => {
                reissue::undo(&transaction, &row)?;
                About::Subject("issues")
            }
            _ => {
                change::undo(&transaction, &row)?;
                About::Subject("sites")
            }
        };
        let note = Note { about, action: "undo", undoes: Some(decision_id), who, at };
        let id = write_down(&transaction, &note, &row.after, &row.before)?;
        transaction.commit()?;
        Ok(id)
    }
}

/// Of decisions about one reading, or of one kind about one sample, the last goes first.
fn is_last(connection: &Connection, row: &DecisionRow) -> Result<()> {
    let last: Option<i64> = connection.query_row(
        "SELECT max(d.id) FROM decisions d WHERE d.action <> 'undo' AND d.reading_id IS ?1 AND d.sample_id IS ?2
            AND (d.reading_id IS NOT NULL OR d.action = ?3)
            AND NOT EXISTS (SELECT 1 FROM decisions u WHERE u.undoes = d.id)",
        params![row.reading_id, row.sample_id, row.action],
        |row| row.get(0),
    )?;
    match last == Some(row.id) {
        true => Ok(()),
        false => Err(Error::Refused("a later decision stands on this one; take that back first".to_owned())),
    }
}
