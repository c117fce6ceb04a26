//! The inbox: files are taken when whole, kept when not, and a stop is clean.

use super::world::{TABLE, World, eventually};
use std::fs::{self, OpenOptions};
use std::io::Write;
use std::time::Duration;

const QUICK: &str = "[watch]\nsettle_seconds = 0.4\n";

#[test]
fn a_dropped_report_is_read_and_a_stop_is_clean() {
    let w = World::new();
    w.settings(QUICK);
    w.run(&["sites"]);
    let running = w.start(&["watch"]);
    w.drop_in("sub/a.csv", TABLE);
    w.drop_in("b.csv.part", "half");
    eventually("the report is taken", || w.files("inbox") == ["b.csv.part"]);
    assert_eq!(running.stop(), Some(0));
    assert_eq!(w.export("documents").len(), 1);
}

#[test]
fn a_file_that_still_grows_is_not_taken() {
    let w = World::new();
    w.settings(QUICK);
    w.run(&["sites"]);
    let running = w.start(&["watch"]);
    let (head, tail) = TABLE.split_at(TABLE.len() / 2);
    let path = w.drop_in("a.csv", head);
    let mut writer = OpenOptions::new().append(true).open(&path).unwrap();
    std::thread::sleep(Duration::from_millis(1_500));
    assert!(path.exists(), "taken while a writer had it open");
    writer.write_all(tail.as_bytes()).unwrap();
    drop(writer);
    eventually("the report is taken", || !path.exists());
    assert_eq!(running.stop(), Some(0));
    let documents = w.export("documents");
    assert_eq!(documents.len(), 1);
    assert_eq!(fs::read(w.home().join(documents[0]["kept_at"].as_str().unwrap())).unwrap(), TABLE.as_bytes());
}

#[test]
fn a_name_used_before_replaces_nothing() {
    let w = World::new();
    w.settings(QUICK);
    w.drop_in("report.csv", TABLE);
    w.run(&["nightly"]);
    let other = TABLE.replace("R-100", "R-101").replace("2024", "2025").replace("6.4", "6.3");
    w.drop_in("report.csv", &other);
    w.run(&["nightly"]);
    assert!(w.files("inbox").is_empty());
    let documents = w.export("documents");
    assert_eq!(documents.len(), 2);
    for d in documents {
        assert!(w.home().join(d["kept_at"].as_str().unwrap()).exists());
    }
}

#[test]
fn a_second_service_on_one_home_is_told_so() {
    let w = World::new();
    w.settings(QUICK);
    let running = w.start(&["watch"]);
    // The history is opened under the lock.
    eventually("the lock is taken", || w.home().join("loamline.db").exists());
    let said = w.run(&["nightly"]);
    assert_eq!(said.code, Some(1));
    assert!(said.err.contains("Another loamline"), "{}", said.err);
    assert_eq!(running.stop(), Some(0));
    assert_eq!(w.run(&["nightly"]).code, Some(0));
}

#[test]
fn the_log_says_what_reading_a_document_cost() {
    let w = World::new();
    w.settings("[watch]\nsettle_seconds = 0.05\n");
    w.run(&["sites"]);
    w.drop_in("a.csv", TABLE);
    let said = w.run(&["--log-format", "json", "nightly"]);
    let lines: Vec<serde_json::Value> = said.err.lines().map(|l| serde_json::from_str(l).unwrap()).collect();
    let read = lines.iter().find(|l| l["message"] == "read").unwrap_or_else(|| panic!("{}", said.err));
    assert_eq!((&read["file"], &read["kind"], &read["tries"]), (&"a.csv".into(), &"csv".into(), &1.into()));
    assert_eq!(read["bytes"], TABLE.len());
    assert!(read["seconds"].as_f64().is_some_and(|s| s < 20.0), "{read}");
    assert!(read["peak_mib"].as_u64().is_some_and(|mib| mib < 512), "{read}");
}
