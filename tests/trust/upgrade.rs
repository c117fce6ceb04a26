//! U2: a kill or a full disk in the middle of an upgrade leaves the store before or after a step, and the next start ends
//! it. U5: a home of an earlier program, upgraded, says what the same documents say read afresh.

use super::{export, sound};
use crate::world::{World, has_tool};
use std::collections::BTreeSet;
use std::fs;
use std::path::Path;

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

/// A home as an earlier program left it: its store, its journal, and the originals, which lie among the fixtures.
fn left_by(version: &Path) -> World {
    let w = World::new();
    fs::create_dir_all(w.home()).unwrap();
    let store = rusqlite::Connection::open(w.home().join("loamline.db")).unwrap();
    store.pragma_update(None, "journal_mode", "WAL").unwrap();
    // A dump goes by the names of tables, not by what points where.
    store.pragma_update(None, "foreign_keys", false).unwrap();
    store.execute_batch(&fs::read_to_string(version.join("store.sql")).unwrap()).unwrap();
    let schema: i64 = version.to_str().unwrap().rsplit_once('-').unwrap().1.parse().unwrap();
    store.pragma_update(None, "user_version", schema).unwrap();
    fs::copy(version.join("journal.jsonl"), w.home().join("journal.jsonl")).unwrap();
    for row in rows(&version.join("originals.csv")) {
        let to = w.home().join(&row[0]);
        fs::create_dir_all(to.parent().unwrap()).unwrap();
        fs::copy(Path::new(env!("CARGO_MANIFEST_DIR")).join(&row[1]), to).unwrap();
    }
    w
}

fn rows(path: &Path) -> Vec<csv::StringRecord> {
    csv::Reader::from_path(path).unwrap().records().map(Result::unwrap).collect()
}

fn said_by(w: &World) -> [String; 5] {
    let trends = w.run(&["export", "trends", "--format", "jsonl", "--as-of", "2026-01-01"]).out;
    [export(w, "readings"), export(w, "documents"), export(w, "sites"), trends, w.run(&["audit"]).out]
}

/// What is read otherwise today than then stands in `changes.csv` beside the home, with the reason.
#[test]
fn u5_a_home_of_an_earlier_program_is_the_same_documents_read_afresh() {
    let homes = Path::new(env!("CARGO_MANIFEST_DIR")).join("fixtures/homes");
    let versions = fs::read_dir(homes).unwrap().map(|e| e.unwrap().path());
    let versions: Vec<_> = versions.filter(|path| path.join("store.sql").exists()).collect();
    assert!(!versions.is_empty());
    for version in versions {
        let w = left_by(&version);
        let upgraded = said_by(&w);
        assert!(
            upgraded[0].lines().count() > 100 && upgraded[0].contains("\"corrected\""),
            "{}",
            upgraded[0]
        );
        sound(&w);
        let mut differing = BTreeSet::new();
        let mut file = "";
        let reread = w.run(&["reread", "--all"]).out;
        for line in reread.lines() {
            match line.strip_prefix("  ") {
                Some(what) => drop(differing.insert((file.to_owned(), what.to_owned()))),
                None => file = line,
            }
        }
        let named = rows(&version.join("changes.csv")).into_iter().map(|row| {
            assert!(!row[2].trim().is_empty(), "{row:?} needs a reason");
            (row[0].to_owned(), row[1].to_owned())
        });
        assert_eq!(differing, named.collect(), "{}", version.display());
        let new = w.home().with_file_name("new");
        let said = w.run(&["rebuild", new.to_str().unwrap()]);
        assert_eq!(said.code, Some(0), "{}{}", said.out, said.err);
        fs::rename(w.home(), w.home().with_file_name("old")).unwrap();
        fs::rename(new, w.home()).unwrap();
        let upgraded = upgraded.map(|said| with_heads_of_today(&version, &said));
        assert_eq!(said_by(&w), upgraded, "{}", version.display());
    }
}

/// What was said of each reading, with what its report's head is read as today: `heads.csv` beside the home names the
/// file, the column, both values and the reason.
fn with_heads_of_today(version: &Path, said: &str) -> String {
    let heads = rows(&version.join("heads.csv"));
    let line = |line: &str| {
        heads.iter().filter(|head| line.contains(&format!("\"source_file\":\"{}\"", &head[0]))).fold(
            line.to_owned(),
            |line, head| {
                assert!(!head[4].trim().is_empty(), "{head:?} needs a reason");
                let of = |value: &str| format!("\"{}\":{value},", &head[1]);
                line.replace(&of(&head[2]), &of(&head[3]))
            },
        )
    };
    let lines: Vec<String> = said.split('\n').map(line).collect();
    lines.join("\n")
}
