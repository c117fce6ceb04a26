//! Reads the data tables that stand beside the code, and says which row is wrong when one is.

use serde::de::DeserializeOwned;

/// A data table of the program that cannot be used.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("the built-in table {table}, row {row}: {why}")]
pub struct TableError {
    /// File name of the table.
    pub table: &'static str,
    /// Row counted from 1, the header not counted; 0 for the table as a whole.
    pub row: usize,
    /// What is wrong with it.
    pub why: String,
}

impl TableError {
    /// An error about one row.
    pub fn new(table: &'static str, row: usize, why: impl Into<String>) -> Self {
        Self { table, row, why: why.into() }
    }
}

/// All rows of a comma-separated table with a header.
///
/// # Errors
/// A row that does not have the columns and types of `T`, or a table without rows.
pub fn rows<T: DeserializeOwned>(table: &'static str, text: &str) -> Result<Vec<T>, TableError> {
    let mut reader = csv::ReaderBuilder::new().trim(csv::Trim::All).from_reader(text.as_bytes());
    let rows = (1..)
        .zip(reader.deserialize())
        .map(|(row, read)| read.map_err(|error| TableError::new(table, row, error.to_string())))
        .collect::<Result<Vec<T>, _>>()?;
    if rows.is_empty() { Err(TableError::new(table, 0, "it has no rows")) } else { Ok(rows) }
}

#[cfg(test)]
mod tests {
    use super::rows;

    #[derive(Debug, serde::Deserialize)]
    struct Row {
        number: f64,
    }

    #[test]
    fn a_row_that_does_not_fit_is_named() {
        assert!(
            rows::<Row>("t.csv", "number\n1\n2.5\n")
                .is_ok_and(|r| r.iter().map(|r| r.number).sum::<f64>() == 3.5)
        );
        let error = rows::<Row>("t.csv", "number\n1\nx\n").unwrap_err();
        assert_eq!((error.table, error.row), ("t.csv", 2));
        assert!(rows::<Row>("t.csv", "number\n").is_err());
    }
}
