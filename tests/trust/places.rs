//! Inboxes on another file system, reports that come in two forms, and a log beside the store that does not grow.

use super::{readings, sound};
use crate::world::{TABLE, World};
use std::fs;
use std::os::unix::fs::MetadataExt;

/// Memory as a file system is there on every Linux that follows its own handbook (shm_overview(7), from memory).
const MEMORY: &str = "/dev/shm";

#[test]
fn p1_an_inbox_on_another_file_system_gives_up_its_files_all_the_same() {
    let w = World::new();
    let device = |path: &std::path::Path| fs::metadata(path).unwrap().dev();
    let inbox = tempfile::Builder::new().prefix("loamline-inbox").tempdir_in(MEMORY).unwrap();
    fs::create_dir_all(w.home()).unwrap();
    assert_ne!(device(inbox.path()), device(&w.home()), "the test needs two file systems");
    w.settings(&format!("[watch]\nsettle_seconds = 0.05\ninbox = {:?}\n", inbox.path()));
    fs::write(inbox.path().join("a.csv"), TABLE).unwrap();
    fs::write(inbox.path().join("b.pdf"), "no pdf").unwrap();
    assert_eq!(w.run(&["nightly"]).code, Some(3));
    assert_eq!(fs::read_dir(inbox.path()).unwrap().count(), 0, "both went");
    let documents = w.export("documents");
    assert_eq!(documents.len(), 2);
    for d in &documents {
        assert!(w.home().join(d["kept_at"].as_str().unwrap()).exists());
    }
    sound(&w);
}

#[test]
fn one_mail_with_the_report_as_table_and_again_as_text_counts_once() {
    let w = World::new();
    let part = |name: &str, text: &str| {
        format!(
            "--edge\r\nContent-Type: text/csv; name=\"{name}\"\r\nContent-Disposition: attachment; \
             filename=\"{name}\"\r\n\r\n{text}\r\n"
        )
    };
    let mail = format!(
        "From: lab@example.org\r\nTo: robin@example.org\r\nSubject: Results\r\nMIME-Version: 1.0\r\nContent-Type: \
         multipart/mixed; boundary=\"edge\"\r\n\r\n{}{}--edge--\r\n",
        part("results.csv", TABLE),
        part("results.txt", &TABLE.replace(',', "\t")),
    );
    w.ingest(&w.give("results.eml", mail));
    let both = readings(&w);
    let alone = World::new();
    alone.ingest(&alone.give("results.csv", TABLE));
    assert_eq!(both.lines().count(), readings(&alone).lines().count());
    let documents = w.export("documents");
    assert_eq!(documents.iter().filter(|d| d["outcome"] == "duplicate").count(), 1, "{documents:?}");
    sound(&w);
}

#[test]
fn a_night_shortens_the_log_beside_the_store() {
    let w = World::new();
    w.settings("[watch]\nsettle_seconds = 0.05\n");
    w.drop_in("a.csv", TABLE);
    // Somebody has the store open, so that the last one to leave does not tidy up.
    w.run(&["sites"]);
    let open = rusqlite::Connection::open(w.home().join("loamline.db")).unwrap();
    let _: i64 = open.query_row("SELECT count(*) FROM documents", [], |row| row.get(0)).unwrap();
    assert_eq!(w.run(&["nightly"]).code, Some(0));
    let log = fs::metadata(w.home().join("loamline.db-wal")).map_or(0, |m| m.len());
    assert_eq!(log, 0, "bytes in the log");
}
