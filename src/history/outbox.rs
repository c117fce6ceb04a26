//! Messages on their way: written down first, then sent, then marked. A try is counted before it begins.

use super::{Error, History, Result};
use rusqlite::{Connection, Row, params};

/// A message as it is written down.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct NewMessage {
    /// What tells it from every other, the same at every try.
    pub key: String,
    /// `webhook` or `smtp`.
    pub channel: &'static str,
    /// To whom, where the channel reaches several.
    pub target: String,
    /// One line.
    pub subject: String,
    /// For people.
    pub text: String,
    /// The same as HTML.
    pub html: String,
    /// The same as JSON, for programs.
    pub body: String,
    /// When it was made (RFC 3339).
    pub made_at: String,
}

/// A message that waits to be sent.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Message {
    /// Its place in the order.
    pub id: i64,
    /// What tells it from every other.
    pub key: String,
    /// `webhook` or `smtp`.
    pub channel: String,
    /// To whom.
    pub target: String,
    /// One line.
    pub subject: String,
    /// For people.
    pub text: String,
    /// The same as HTML.
    pub html: String,
    /// The same as JSON.
    pub body: String,
    /// When it was made (RFC 3339).
    pub made_at: String,
    /// Tries begun so far.
    pub tries: u32,
    /// Passes that ended without success.
    pub passes: u32,
    /// Not to be tried before this moment, seconds since 1970.
    pub next_try_s: i64,
}

impl History {
    /// What waits to be sent, in the order it was made.
    ///
    /// # Errors
    /// What the store says.
    pub fn messages_waiting(&self) -> Result<Vec<Message>> {
        let mut statement = self.connection.prepare_cached(
            "SELECT id, key, channel, target, subject, text, html, body, made_at, tries, passes, next_try_s
             FROM outbox WHERE state = 'waiting' ORDER BY id",
        )?;
        let messages = statement.query_map([], read)?;
        Ok(messages.collect::<rusqlite::Result<_>>()?)
    }

    /// Counts a try before it begins; gives its number, from 1.
    ///
    /// # Errors
    /// What the store says; [`Error::Unknown`] for a message that does not wait.
    pub fn begin_try(&mut self, id: i64) -> Result<u32> {
        self.connection
            .query_row(
                "UPDATE outbox SET tries = tries + 1 WHERE id = ?1 AND state = 'waiting' RETURNING tries",
                [id],
                |row| row.get(0),
            )
            .map_err(|error| match error {
                rusqlite::Error::QueryReturnedNoRows => {
                    Error::Unknown { what: "message", key: id.to_string() }
                }
                other => other.into(),
            })
    }

    /// A pass ended without success: when to try again, and why it failed.
    ///
    /// # Errors
    /// What the store says.
    pub fn message_failed(&mut self, id: i64, next_try_s: i64, cause: &str) -> Result<()> {
        self.connection.execute(
            "UPDATE outbox SET passes = passes + 1, next_try_s = ?2, cause = ?3 WHERE id = ?1",
            params![id, next_try_s, cause],
        )?;
        Ok(())
    }

    /// The message went out; its text stays.
    ///
    /// # Errors
    /// What the store says.
    pub fn message_sent(&mut self, id: i64, at: &str) -> Result<()> {
        self.message_done(id, "sent", at, None)
    }

    /// The message is not tried any more; its text stays.
    ///
    /// # Errors
    /// What the store says.
    pub fn message_given_up(&mut self, id: i64, at: &str, cause: &str) -> Result<()> {
        self.message_done(id, "given-up", at, Some(cause))
    }

    fn message_done(&mut self, id: i64, state: &str, at: &str, cause: Option<&str>) -> Result<()> {
        self.connection.execute(
            "UPDATE outbox SET state = ?2, done_at = ?3, cause = ?4, html = '', body = '' WHERE id = ?1 AND state = 'waiting'",
            params![id, state, at, cause],
        )?;
        Ok(())
    }
}

pub(super) fn add(connection: &Connection, message: &NewMessage) -> Result<()> {
    connection
        .prepare_cached(
            "INSERT INTO outbox (key, channel, target, subject, text, html, body, made_at)
             VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8)",
        )?
        .execute(params![
            message.key,
            message.channel,
            message.target,
            message.subject,
            message.text,
            message.html,
            message.body,
            message.made_at
        ])?;
    Ok(())
}

fn read(row: &Row<'_>) -> rusqlite::Result<Message> {
    Ok(Message {
        id: row.get(0)?,
        key: row.get(1)?,
        channel: row.get(2)?,
        target: row.get(3)?,
        subject: row.get(4)?,
        text: row.get(5)?,
        html: row.get(6)?,
        body: row.get(7)?,
        made_at: row.get(8)?,
        tries: row.get(9)?,
        passes: row.get(10)?,
        next_try_s: row.get(11)?,
    })
}
