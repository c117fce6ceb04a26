//! U2: a kill or a full disk in the middle of an upgrade leaves the store before or after a step, and the next start ends it.

use super::export;
use crate::world::{World, has_tool};
use std::fs;

/// Steps as the first programs had them, each with what they wrote.
const STEPS: [(&str, &str); 3] = [
    (
        include_str!("../../src/history/migrations/0001_history.sql"),
        include_str!("../../fixtures/stores/schema-1.sql"),
    ),
    (
        include_str!("../../src/history/migrations/0002_applications.sql"),
        include_str!("../../fixtures/stores/schema-2.sql"),
    ),
    (
        include_str!("../../src/history/migrations/0003_sites.sql"),
        include_str!("../../fixtures/stores/schema-3.sql"),
    ),
];

/// A home whose store is of an earlier schema.
fn old(schema: usize) -> World {
    let w = World::new();
    fs::create_dir_all(w.home()).unwrap();
    let store = rusqlite::Connection::open(w.home().join("loamline.db")).unwrap();
    store.pragma_update(None, "journal_mode", "WAL").unwrap();
    for (number, (step, data)) in (1_i64..).zip(STEPS.iter().take(schema)) {
        store.execute_batch(step).unwrap();
        store.execute_batch(data).unwrap();
        store.pragma_update(None, "user_version", number).unwrap();
    }
    w
}

/// Places among so many calls: the first, the last, and some between.
fn places(calls: usize) -> Vec<usize> {
    let mut places: Vec<usize> = (0..6).map(|i| 1 + i * calls.saturating_sub(1) / 5).collect();
    places.dedup();
    places
}

#[test]
fn u2_an_upgrade_that_is_killed_or_finds_no_room_is_ended_by_the_next_start() {
    if !has_tool("strace") {
        return;
    }
    for schema in 1..=STEPS.len() {
        let wanted = {
            let w = old(schema);
            export(&w, "readings")
        };
        assert_eq!(wanted.lines().count(), 3, "schema {schema}");
        for (call, faults) in [
            ("pwrite64", &["signal=KILL", "error=ENOSPC"][..]),
            ("fdatasync,fsync", &["signal=KILL", "error=EIO"]),
        ] {
            let calls = {
                let w = old(schema);
                let log = w.home().with_file_name("calls");
                let trace = format!("trace={call}");
                let by = ["strace", "-f", "-e", &trace, "-e", "signal=none", "-o", log.to_str().unwrap()];
                assert_eq!(w.run_by(&by, &["sites"]).code, Some(0));
                fs::read_to_string(log).unwrap().lines().filter(|l| l.contains('(')).count()
            };
            assert!(calls > 1, "an upgrade writes");
            for fault in faults {
                for at in places(calls) {
                    let what = format!("schema {schema}: {call} {at} of {calls}: {fault}");
                    let w = old(schema);
                    let inject = format!("inject={call}:{fault}:when={at}");
                    let said = w.run_by(&["strace", "-f", "-o", "/dev/null", "-e", &inject], &["sites"]);
                    assert!(!said.err.contains("panicked"), "{what}: {}", said.err);
                    assert_eq!(export(&w, "readings"), wanted, "{what}");
                    let store = rusqlite::Connection::open(w.home().join("loamline.db")).unwrap();
                    let sound: String = store.query_row("PRAGMA integrity_check", [], |r| r.get(0)).unwrap();
                    assert_eq!(sound, "ok", "{what}");
                }
            }
        }
    }
}
