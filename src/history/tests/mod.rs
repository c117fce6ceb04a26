//! The promises of the store.

mod record;

mod recommendations;

mod issues;

mod decisions;

mod marks;

mod messages;

mod order;

mod past;

mod journal;

mod listing;

mod upgrade;

use super::examples::site;
use super::{Filter, History};
use crate::soil::{Analyte, ReadingRow, Status};

/// A fresh history with two sites, from one made once: hundreds of stores are opened here.
fn history() -> (tempfile::TempDir, History) {
    static FRESH: std::sync::OnceLock<Vec<u8>> = std::sync::OnceLock::new();
    let home = tempfile::tempdir().unwrap();
    let path = home.path().join("loamline.db");
    let fresh = FRESH.get_or_init(|| {
        let mut history = History::open(&path).unwrap();
        for id in ["lawn", "green"] {
            history.upsert_site(&site(id)).unwrap();
        }
        let copy = home.path().join("copy.db");
        history.backup(&copy).unwrap();
        std::fs::read(copy).unwrap()
    });
    let path = home.path().join("fresh.db");
    std::fs::write(&path, fresh).unwrap();
    let history = History::open(&path).unwrap();
    // The disk is another test's matter.
    history.connection.pragma_update(None, "synchronous", "OFF").unwrap();
    (home, history)
}

/// Rows without the store's own keys.
fn rows(history: &History) -> Vec<ReadingRow> {
    let rows = history.readings(&Filter::default()).unwrap();
    rows.into_iter().map(|row| ReadingRow { id: 0, ..row }).collect()
}

fn values(history: &History) -> Vec<(Analyte, f64, Status)> {
    rows(history).iter().map(|row| (row.analyte, row.value, row.status)).collect()
}

fn id_of(history: &History, analyte: Analyte) -> i64 {
    history.readings(&Filter::default()).unwrap().iter().find(|row| row.analyte == analyte).unwrap().id
}
