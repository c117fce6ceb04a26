//! What a person settles, and what a copy is worth.

use super::world::{TABLE, World};
use std::fs;

/// A report without a client: its site is not known, so everything waits.
fn unassigned() -> String {
    TABLE.replace("Client,J. Orchard\n", "")
}

fn keys(w: &World) -> Vec<String> {
    w.export("readings");
    let said = w.run(&["held", "--json"]);
    let rows: Vec<serde_json::Value> = serde_json::from_str(&said.out).unwrap();
    rows.iter().map(|r| r["reading"]["id"].to_string()).collect()
}

#[test]
fn a_sample_without_a_client_waits_until_a_person_says_whose_it_is() {
    let w = World::new();
    assert_eq!(w.ingest(&w.give("a.csv", unassigned())).code, Some(3));
    let keys = keys(&w);
    assert!(!keys.is_empty());
    assert!(w.export("readings").iter().all(|r| r["status"] == "held"));
    let mut args = vec!["settle", "assign", "orchard", "--new", "The orchard", "--who", "Robin"];
    args.extend(keys.iter().map(String::as_str));
    let said = w.run(&args);
    assert_eq!(said.code, Some(0), "{}", said.err);
    assert!(w.export("readings").iter().all(|r| r["site"] == "orchard"));
    assert!(w.export("readings").iter().any(|r| r["status"] == "accepted"));
    assert_eq!(w.run(&["verify"]).code, Some(0));
}

#[test]
fn a_settled_original_moves_to_filed_and_the_printed_value_stays() {
    let w = World::new();
    w.ingest(&w.give("a.csv", TABLE.replace("6.4", "64")));
    let keys = keys(&w);
    assert!(!keys.is_empty(), "a pH of 64 must wait");
    let id = keys.first().unwrap();
    let said = w.run(&["settle", "correct", id, "6.4", "--who", "Robin"]);
    assert_eq!(said.code, Some(0), "{}", said.err);
    let rows = w.export("readings");
    let row = rows.iter().find(|r| r["status"] == "corrected").unwrap();
    assert_eq!((row["raw_value"].as_str(), row["value"].as_f64()), (Some("64"), Some(6.4)));
    for key in keys.iter().skip(1) {
        w.run(&["settle", "accept", key, "--who", "Robin"]);
    }
    assert!(w.files("held").is_empty());
    assert_eq!(w.files("filed").len(), 1);
    assert_eq!(w.run(&["verify"]).code, Some(0));
}

#[test]
fn a_copy_comes_back_verified_and_is_never_written_over_a_history() {
    let w = World::new();
    w.ingest(&w.give("a.csv", TABLE));
    w.ingest(&w.give("no.csv", "nothing here"));
    let copy = w.home().parent().unwrap().join("copy");
    let copy = copy.to_str().unwrap();
    assert_eq!(w.run(&["backup", copy]).code, Some(0));
    assert_eq!(w.run(&["backup", copy]).code, Some(1), "a copy is never overwritten");
    assert_eq!(w.run(&["restore", copy]).code, Some(1), "nor a history");
    let before = (w.export("documents"), w.export("readings"));
    fs::rename(w.home(), w.home().with_extension("old")).unwrap();
    let said = w.run(&["restore", copy]);
    assert_eq!(said.code, Some(0), "{}", said.err);
    assert_eq!(before, (w.export("documents"), w.export("readings")));
    assert_eq!(w.run(&["verify"]).code, Some(0));
}

#[test]
fn verify_names_an_original_that_changed() {
    let w = World::new();
    w.ingest(&w.give("a.csv", TABLE));
    let kept = w.export("documents")[0]["kept_at"].as_str().unwrap().to_owned();
    fs::write(w.home().join(&kept), TABLE.replace("6.4", "6.5")).unwrap();
    let said = w.run(&["verify"]);
    assert_eq!(said.code, Some(1));
    assert!(said.out.contains(kept.rsplit('/').next().unwrap()), "{}", said.out);
}

#[test]
fn a_report_inside_an_archive_has_its_own_record_and_verifies() {
    let w = World::new();
    let mut zip = zip::ZipWriter::new(std::io::Cursor::new(Vec::new()));
    zip.start_file("inner/a.csv", zip::write::SimpleFileOptions::default()).unwrap();
    std::io::Write::write_all(&mut zip, TABLE.as_bytes()).unwrap();
    w.ingest(&w.give("bundle.zip", zip.finish().unwrap().into_inner()));
    let documents = w.export("documents");
    assert_eq!(documents.len(), 2);
    assert!(documents.iter().any(|d| !d["inside_of"].is_null()));
    assert_eq!(w.run(&["verify"]).code, Some(0));
    let mut outer = zip::ZipWriter::new(std::io::Cursor::new(Vec::new()));
    outer.start_file("bundle.zip", zip::write::SimpleFileOptions::default()).unwrap();
    let kept = fs::read(w.home().join(documents[0]["kept_at"].as_str().unwrap())).unwrap();
    std::io::Write::write_all(&mut outer, &kept).unwrap();
    w.ingest(&w.give("outer.zip", outer.finish().unwrap().into_inner()));
    let said = w.run(&["verify"]);
    assert_eq!(said.code, Some(0), "an archive in an archive: {}", said.out);
    w.drop_in("a.csv", TABLE);
    w.settings("[watch]\nsettle_seconds = 0.2\n");
    w.run(&["nightly"]);
    assert!(w.files("inbox").is_empty());
    let said = w.run(&["verify"]);
    assert_eq!(said.code, Some(0), "{}", said.out);
    let kept: Vec<_> = w.files("filed").into_iter().chain(w.files("held")).collect();
    assert_eq!(kept.len(), 3, "the file that came alone has a place of its own: {kept:?}");
}
