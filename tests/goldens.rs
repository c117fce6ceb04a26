//! Every report in `fixtures/` gives what the truth beside it says: all of the demo without a person, and of the
//! layouts that no rule was made for nothing wrong.

use crate::scoring::compare::{Score, compare};
use crate::scoring::rows;
use serde_json::Value;
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

/// Files of a fixture folder with a truth beside them.
fn with_truth(folder: &str) -> Vec<(PathBuf, String)> {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("fixtures").join(folder);
    let mut out: Vec<(PathBuf, String)> = std::fs::read_dir(root)
        .unwrap()
        .map(|e| e.unwrap().path())
        .filter_map(|p| {
            let truth = std::fs::read_to_string(format!("{}.readings.csv", p.display())).ok()?;
            Some((p, truth))
        })
        .collect();
    out.sort();
    out
}

/// Each file read alone, so that no report waits for another.
fn scores(folder: &str) -> Vec<(String, Score)> {
    with_truth(folder)
        .into_iter()
        .map(|(file, truth)| {
            let name = file.file_name().unwrap().to_string_lossy().into_owned();
            let mut found = Vec::new();
            let picture = name.contains("scan") || name.contains("ocr");
            rows::read(&name, &std::fs::read(&file).unwrap(), 0, picture && recognition(), &mut found);
            let rows: Vec<Value> = found.into_iter().filter(|l| l.get("status").is_some()).collect();
            (name, compare(&rows, &truth))
        })
        .collect()
}

/// Whether the text recognition program is there. `LOAMLINE_TOOLS=all` (set by `.ci/run`) makes its absence a failure.
fn recognition() -> bool {
    let there = std::process::Command::new("tesseract").arg("--version").output().is_ok();
    let wanted = std::env::var("LOAMLINE_TOOLS").is_ok_and(|v| v == "all");
    assert!(there || !wanted, "`tesseract` is not installed; install tesseract-ocr with its English data");
    there
}

#[test]
fn a_scan_is_read_where_recognition_is_installed_and_never_wrong() {
    if !recognition() {
        return;
    }
    let all = scores("layouts");
    let (_, scan) = all.iter().find(|(f, _)| f.contains("scan")).unwrap();
    assert_eq!((scan.bad(), scan.missing), (0, 0), "{:?}", scan.notes);
    assert!(scan.right * 2 > scan.truth, "{:?}", scan.notes);
}

#[test]
fn a_page_scanned_on_its_side_and_aslant_is_read() {
    if !recognition() {
        return;
    }
    let all = scores("scans");
    assert!(!all.is_empty());
    for (file, s) in &all {
        assert_eq!((s.bad(), s.missing), (0, 0), "{file}: {:?}", s.notes);
        assert!(s.right * 10 >= s.truth * 8, "{file}: {:?}", s.notes);
    }
}

fn told(scores: &[(String, Score)]) -> String {
    scores
        .iter()
        .filter(|(_, s)| s.bad() > 0 || s.held + s.missing > 0)
        .map(|(f, s)| format!("{f}\n  {}\n", s.notes.join("\n  ")))
        .collect()
}

#[test]
fn every_demo_report_gives_its_whole_truth() {
    let all = scores("demo");
    assert!(all.len() > 40, "{} files", all.len());
    for (file, s) in &all {
        assert_eq!((s.right, s.bad(), s.missing), (s.truth, 0, 0), "{file}\n{}", told(&all));
    }
}

#[test]
fn layouts_never_seen_give_nothing_wrong() {
    let all = [scores("layouts"), scores("unseen")].concat();
    let mut total = Score::default();
    let mut wrong: BTreeMap<&str, &[String]> = BTreeMap::new();
    for (file, s) in &all {
        total.add(s);
        if s.bad() > 0 {
            wrong.insert(file, &s.notes);
        }
    }
    assert!(wrong.is_empty(), "{wrong:#?}");
    assert!(total.right > 0 && total.truth > 600, "{total:?}");
}
