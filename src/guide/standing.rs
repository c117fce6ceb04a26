//! What each class of a guide means for sufficiency, from `classes.csv`: class names do not travel between guides.

use super::Standing;
use crate::soil::ids::contract_ids;
use crate::soil::table::{TableError, rows};
use crate::soil::{Analyte, Method};
use serde::Deserialize;
use std::sync::LazyLock;

contract_ids! {
    /// How loud a class is: whether somebody should act, keep an eye on it, or neither (no alert at all).
    Alert { Watch = "watch", Act = "act" }
}

/// The name of the table, for errors.
const TABLE: &str = "classes.csv";

#[derive(Debug, Clone, Deserialize)]
struct Row {
    guide: String,
    analyte: String,
    method: String,
    class: String,
    standing: Standing,
    alert: Option<Alert>,
    reason: String,
}

/// What a class means.
#[derive(Debug, Clone, PartialEq)]
pub struct Meaning {
    /// Where it stands to sufficiency.
    pub standing: Standing,
    /// How loud it is.
    pub alert: Option<Alert>,
    /// Why it was put there.
    pub reason: String,
}

static ROWS: LazyLock<Result<Vec<Row>, TableError>> = LazyLock::new(|| load(include_str!("classes.csv")));

fn load(text: &str) -> Result<Vec<Row>, TableError> {
    let all: Vec<Row> = rows(TABLE, text)?;
    for (number, row) in (1..).zip(&all) {
        let analyte = row.analyte == "*" || Analyte::from_id(&row.analyte).is_some();
        let method = row.method == "*" || Method::from_id(&row.method).is_some();
        if !analyte || !method {
            return Err(TableError::new(TABLE, number, "unknown analyte or method"));
        }
        let same = |other: &&Row| {
            (&other.guide, &other.analyte, &other.method, &other.class)
                == (&row.guide, &row.analyte, &row.method, &row.class)
        };
        if all.iter().filter(same).count() > 1 {
            return Err(TableError::new(TABLE, number, "the class stands twice"));
        }
        if row.standing == Standing::Within && row.alert.is_some() {
            return Err(TableError::new(TABLE, number, "what is wanted raises no alert"));
        }
    }
    Ok(all)
}

/// What a class of a guide means for an analyte by a method: the row that names the most of them.
///
/// # Errors
/// The table is damaged or has no row for the class.
pub fn meaning(guide: &str, analyte: Analyte, method: Method, class: &str) -> Result<Meaning, TableError> {
    let fits = |cell: &str, id: &str| cell == "*" || cell == id;
    ROWS.as_ref()
        .map_err(Clone::clone)?
        .iter()
        .filter(|row| row.guide == guide && row.class == class)
        .filter(|row| fits(&row.analyte, analyte.id()) && fits(&row.method, method.id()))
        .max_by_key(|row| (row.analyte != "*", row.method != "*"))
        .map(|row| Meaning { standing: row.standing, alert: row.alert, reason: row.reason.clone() })
        .ok_or_else(|| {
            TableError::new(
                TABLE,
                0,
                format!("no row for the class {class} of {guide} ({analyte}, {method})"),
            )
        })
}

/// The (guide, class) pairs the table names, for the test that none of them is stale.
#[cfg(test)]
pub(super) fn named() -> Vec<(String, String, String)> {
    let rows = ROWS.as_ref().expect("the table is sound");
    rows.iter().map(|row| (row.guide.clone(), row.analyte.clone(), row.class.clone())).collect()
}
