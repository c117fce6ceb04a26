//! Stores of every earlier schema, with data in them, open in this version (U1, U3, U4).

use crate::history::open::{MIGRATIONS, SCHEMA};
use crate::history::{Error, Filter, History};
use crate::soil::{Outcome, Status};

/// A store as a program of that schema left it. What stands in it uses only what every schema from the first has.
fn store(path: &std::path::Path, schema: u32) {
    let migrations = MIGRATIONS.get(..schema as usize).unwrap();
    let history = History::open_with(path, migrations).unwrap();
    for number in 1..=schema {
        let data = match number {
            1 => include_str!("../../../fixtures/stores/schema-1.sql"),
            2 => include_str!("../../../fixtures/stores/schema-2.sql"),
            3 => include_str!("../../../fixtures/stores/schema-3.sql"),
            _ => "",
        };
        history.connection.execute_batch(data).unwrap();
    }
}

#[test]
fn u4_every_earlier_schema_opens_with_all_it_held() {
    for schema in 1..SCHEMA {
        let home = tempfile::tempdir().unwrap();
        let path = home.path().join("loamline.db");
        store(&path, schema);
        let mut history = History::open(&path).unwrap();
        let rows = history.readings(&Filter::default()).unwrap();
        let seen: Vec<_> = rows.iter().map(|row| (row.value, row.status)).collect();
        let wanted = [(6.4, Status::Accepted), (31.0, Status::Corrected), (118.0, Status::Held)];
        assert_eq!(seen, wanted, "schema {schema}");
        assert_eq!(rows[1].raw_value, "13", "what was printed stays");
        let documents = history.documents().unwrap();
        assert_eq!(
            documents.iter().filter(|d| d.outcome == Outcome::Duplicate).count(),
            1,
            "schema {schema}"
        );
        assert_eq!(history.decisions().unwrap().len(), 1, "schema {schema}");
        assert_eq!(
            history.verify(home.path()).unwrap().iter().filter(|f| f.name != "original-missing").count(),
            0
        );
        let copy = home.path().join(format!("loamline.schema-{schema}.db"));
        assert!(copy.exists(), "a copy of the store as it was");
        // The journal speaks of what stood there before there was one.
        let lines = history.journal().unwrap();
        assert_eq!(lines.iter().filter(|line| line.document.is_some()).count(), 2, "schema {schema}");
        assert!(
            std::fs::read_to_string(home.path().join("journal.jsonl"))
                .unwrap()
                .contains("\"put\":\"decisions\"")
        );
        history.undo(1, "Robin", "2024-06-01T00:00:00Z").unwrap();
        assert_eq!(history.recommended("lawn").unwrap(), [], "schema {schema}");
        let after = history.readings(&Filter::default()).unwrap();
        assert_eq!(after[1].value, 13.0, "an old decision can be taken back, schema {schema}");
    }
}

#[test]
fn u3_a_newer_store_is_left_byte_for_byte() {
    let home = tempfile::tempdir().unwrap();
    let path = home.path().join("loamline.db");
    let history = History::open(&path).unwrap();
    history.connection.pragma_update(None, "user_version", SCHEMA + 1).unwrap();
    history.connection.query_row("PRAGMA wal_checkpoint(TRUNCATE)", [], |_| Ok(())).unwrap();
    drop(history);
    let before = std::fs::read(&path).unwrap();
    assert!(matches!(History::open(&path), Err(Error::Newer { .. })));
    assert_eq!(std::fs::read(&path).unwrap(), before);
}
