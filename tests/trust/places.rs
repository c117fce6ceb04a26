//! Inboxes on another file system, reports that come in two forms, and a log beside the store that does not grow.

use super::{readings, sound};
use crate::page::Pages;
use crate::world::{TABLE, World, eventually};
use std::fs;
use std::io::{Read, Write};
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

/// While a page listens and others were just looked at, the log beside the store can be emptied: nobody reads on from an
/// old state, so it starts over as often as it is worked in, however many documents come.
#[test]
fn a_page_left_open_keeps_nothing_in_the_log_beside_the_store() {
    let w = World::new();
    w.settings("[watch]\nsettle_seconds = 0.05\nlist_seconds = 1\n");
    w.ingest(&w.give("a.csv", TABLE));
    let pages = Pages::of(&w);
    let mut open = std::net::TcpStream::connect(("127.0.0.1", pages.port)).unwrap();
    write!(open, "GET /events HTTP/1.1\r\nHost: 127.0.0.1:{}\r\n\r\n", pages.port).unwrap();
    let mut first = [0; 16];
    open.read_exact(&mut first).unwrap();
    for n in 0..30 {
        let table = TABLE.replace("R-100", &format!("R-{n}")).replace("2024", &format!("{}", 1980 + n));
        let path = w.drop_in(&format!("{n}.csv"), table);
        for address in ["/", "/held", "/documents", "/season", "/api/v1/openapi.json"] {
            assert_eq!(pages.get(address).status, 200, "{address}");
        }
        if n % 10 == 0 {
            eventually("it is taken", || !path.exists());
        }
    }
    eventually("all are taken", || w.files("inbox").is_empty());
    let store = rusqlite::Connection::open(w.home().join("loamline.db")).unwrap();
    // The row says whether somebody was in the way.
    let emptied = |patience| {
        store.busy_timeout(std::time::Duration::from_secs(patience)).unwrap();
        store.query_row("PRAGMA wal_checkpoint(TRUNCATE)", [], |row| Ok(row.get::<_, i64>(0)? == 0)).unwrap()
    };
    let log = || fs::metadata(w.home().join("loamline.db-wal")).map_or(0, |m| m.len());
    // One that does read on from an old state is in the way, or this test would say nothing.
    let reader = rusqlite::Connection::open(w.home().join("loamline.db")).unwrap();
    reader.execute_batch("BEGIN; SELECT count(*) FROM documents").unwrap();
    let path = w.drop_in("last.csv", TABLE.replace("R-100", "R-last").replace("2024", "2020"));
    eventually("the last is taken", || !path.exists());
    assert!(!emptied(0) && log() > 0);
    reader.execute_batch("COMMIT").unwrap();
    assert!(emptied(10) && log() == 0, "{} bytes are left", log());
    assert!(w.export("documents").len() == 32);
    drop(open);
}
