//! Giving files to the program: outcomes, originals, exit codes, and that nothing is counted twice.

use super::world::{TABLE, World, eventually};
use std::fs;

#[test]
fn a_table_is_filed_with_its_original_and_its_readings() {
    let w = World::new();
    let path = w.give("orchard 2024.csv", TABLE);
    let said = w.ingest(&path);
    assert!(matches!(said.code, Some(0 | 3)), "{} {}", said.out, said.err);
    let documents = w.export("documents");
    assert_eq!(documents.len(), 1);
    assert_eq!(documents[0]["format"], "csv");
    assert!(!w.export("readings").is_empty());
    let kept = documents[0]["kept_at"].as_str().unwrap();
    assert_eq!(fs::read(w.home().join(kept)).unwrap(), TABLE.as_bytes());
    assert_eq!(fs::read(&path).unwrap(), TABLE.as_bytes(), "the given file is left alone");
}

#[test]
fn a_second_ingest_changes_nothing() {
    let w = World::new();
    let path = w.give("a.csv", TABLE);
    let first = w.ingest(&path);
    let before = (w.export("documents"), w.export("readings"), w.files("filed"), w.files("held"));
    let second = w.ingest(&path);
    assert_eq!(first.code, second.code);
    assert_eq!(before, (w.export("documents"), w.export("readings"), w.files("filed"), w.files("held")));
}

#[test]
fn the_same_bytes_under_another_name_are_a_duplicate() {
    let w = World::new();
    w.ingest(&w.give("a.csv", TABLE));
    let readings = w.export("readings").len();
    let said = w.ingest(&w.give("b.csv", TABLE));
    assert_eq!(said.code, Some(0), "{}", said.out);
    let documents = w.export("documents");
    assert_eq!(documents.iter().filter(|d| d["outcome"] == "duplicate").count(), 1);
    assert_eq!(w.export("readings").len(), readings);
}

#[test]
fn the_same_numbers_in_another_file_are_a_duplicate_that_keeps_its_original() {
    let w = World::new();
    w.ingest(&w.give("a.csv", TABLE));
    let readings = w.export("readings").len();
    let other = TABLE.replace(',', ";");
    w.ingest(&w.give("b.csv", &other));
    let documents = w.export("documents");
    // Which of the two counts does not depend on the order in which they came.
    assert_eq!(documents.iter().filter(|d| d["outcome"] == "duplicate").count(), 1);
    for (name, bytes) in [("a.csv", TABLE), ("b.csv", other.as_str())] {
        let document = documents.iter().find(|d| d["source_file"] == name).unwrap();
        assert_eq!(fs::read(w.home().join(document["kept_at"].as_str().unwrap())).unwrap(), bytes.as_bytes());
    }
    assert_eq!(w.export("readings").len(), readings);
}

#[test]
fn a_file_that_is_no_report_is_refused_with_a_reason_and_stops_nothing() {
    let w = World::new();
    w.give("batch/1 broken.pdf", "%PDF-1.7\nnothing");
    w.give("batch/2 noise.bin", [0_u8, 159, 146, 150, 7, 7, 7]);
    w.give("batch/3 good.csv", TABLE);
    w.give("batch/4 empty.csv", "");
    let folder = w.home().parent().unwrap().join("given/batch");
    let said = w.ingest(&folder);
    assert_eq!(said.code, Some(3), "{} {}", said.out, said.err);
    let documents = w.export("documents");
    assert_eq!(documents.len(), 4);
    assert_eq!(documents.iter().filter(|d| d["outcome"] == "refused").count(), 3);
    assert!(!w.export("readings").is_empty());
    let refused = w.files("refused");
    for name in refused.iter().filter(|n| !n.ends_with(".why.txt")) {
        let why = fs::read_to_string(w.home().join("refused").join(format!("{name}.why.txt"))).unwrap();
        assert_eq!(why.lines().count(), 2, "{why}");
    }
    assert_eq!(refused.len(), 6, "{refused:?}");
}

#[test]
fn a_path_that_is_not_there_is_named_and_the_others_go_in() {
    let w = World::new();
    let good = w.give("good.csv", TABLE);
    let said = w.run(&["ingest", "/nowhere/x.pdf", good.to_str().unwrap()]);
    assert_eq!(said.code, Some(1));
    assert!(said.err.contains("/nowhere/x.pdf"), "{}", said.err);
    assert_eq!(w.export("documents").len(), 1);
}

#[test]
fn wrong_use_is_code_2_and_wrong_settings_name_the_line() {
    let w = World::new();
    assert_eq!(w.run(&["ingest"]).code, Some(2));
    assert_eq!(w.run(&["no-such-command"]).code, Some(2));
    w.settings("[watch]\nsetle_seconds = 1\n");
    let said = w.run(&["sites"]);
    assert_eq!(said.code, Some(1));
    assert!(said.err.contains("loamline.toml:2:1:"), "{}", said.err);
    assert!(said.err.contains("settle_seconds"), "{}", said.err);
}

#[test]
fn a_file_name_is_data_and_never_a_path_or_a_forged_line() {
    let w = World::new();
    let path = w.give("x\nERROR forged line\u{1b}[31m.csv", "no report");
    let said = w.ingest(&path);
    assert_eq!(said.code, Some(3));
    let both = format!("{}{}", said.out, said.err);
    assert!(!both.contains('\u{1b}') && !both.contains("\nERROR"), "{both:?}");
}

/// The program that asked may be killed with no time for anything: what it started must not go on for minutes.
#[test]
fn text_recognition_ends_with_a_program_that_is_killed() {
    let w = World::new();
    let mark = w.home().with_file_name("recognising");
    let stub = w.give("bin/tesseract", format!("#!/bin/sh\necho $$ >> {}\nexec sleep 60\n", mark.display()));
    fs::set_permissions(&stub, std::os::unix::fs::PermissionsExt::from_mode(0o755)).unwrap();
    let scan = concat!(env!("CARGO_MANIFEST_DIR"), "/fixtures/layouts/vandermoor-scan.pdf");
    let path = format!("{}:/usr/bin:/bin", stub.parent().unwrap().display());
    let mut running = std::process::Command::new(env!("CARGO_BIN_EXE_loamline"))
        .arg("--home")
        .arg(w.home())
        .args(["ingest", scan])
        .env("PATH", path)
        .stdout(std::process::Stdio::null())
        .spawn()
        .unwrap();
    let ids = || fs::read_to_string(&mark).unwrap_or_default();
    eventually("text recognition runs", || !ids().is_empty());
    // Nothing that touches a document has the history in its hands.
    let mut readers = 0;
    for process in fs::read_dir("/proc").unwrap().flatten() {
        let stat = fs::read_to_string(process.path().join("stat")).unwrap_or_default();
        let parent = stat.rsplit(')').next().and_then(|fields| fields.split(' ').nth(2));
        if parent == Some(&running.id().to_string()) {
            readers += 1;
            for open in fs::read_dir(process.path().join("fd")).unwrap().flatten() {
                let to = fs::read_link(open.path()).unwrap_or_default();
                assert!(!to.starts_with(w.home()), "{}", to.display());
            }
        }
    }
    assert!(readers > 0, "no reading process");
    running.kill().unwrap();
    running.wait().unwrap();
    let ended = |id: &str| {
        let status = fs::read_to_string(format!("/proc/{id}/status"));
        status.map_or(true, |s| s.contains("State:\tZ"))
    };
    eventually("text recognition ends", || ids().lines().all(ended));
}

#[test]
fn contradicting_issues_hold_the_same_values_in_whatever_order_they_come() {
    let other = TABLE.replace(",31,", ",13,");
    let both = [("a.csv", TABLE), ("b.csv", other.as_str())];
    let come = |order: [usize; 2]| {
        let w = World::new();
        let said: Vec<_> = order.iter().map(|i| w.ingest(&w.give(both[*i].0, both[*i].1))).collect();
        (said.into_iter().next_back().unwrap(), w.export("readings"), w.export("documents"))
    };
    let (said, readings, documents) = come([0, 1]);
    assert_eq!(said.code, Some(3));
    assert!(said.out.contains("`a.csv` gives 31 and `b.csv` gives 13"), "{}", said.out);
    let held = readings.iter().filter(|r| r["status"] == "held");
    assert_eq!(held.filter(|r| r["analyte"] == "phosphorus").count(), 2);
    assert!(documents.iter().all(|d| d["outcome"] == "held" && d["why"].is_string()));
    let (_, again, the_same) = come([1, 0]);
    assert_eq!((readings, documents), (again, the_same));
}

#[test]
fn a_number_beyond_all_bounds_holds_its_sample_and_stops_nothing() {
    let w = World::new();
    let said = w.ingest(&w.give("a.csv", TABLE.replace(",142", ",9999999999999999")));
    assert_eq!(said.code, Some(3), "{} {}", said.out, said.err);
    assert_eq!(w.export("documents").len(), 1);
    assert!(w.export("readings").iter().all(|r| r["value"].as_f64().unwrap() < 1e12));
    assert_eq!(w.run(&["verify"]).code, Some(0));
}

#[test]
fn p13_a_stopped_batch_is_sound_and_the_same_command_takes_the_rest() {
    let w = World::new();
    const FILES: usize = 400;
    for n in 0..FILES {
        let table = TABLE.replace("R-100", &format!("R-{n}")).replace("Front lawn", &format!("Lawn {n}"));
        w.give(&format!("batch/{n}.csv"), table);
    }
    w.run(&["sites"]);
    let folder = w.give("batch/last.csv", TABLE).parent().unwrap().to_owned();
    let folder = folder.to_str().unwrap();
    let running = w.start(&["ingest", folder]);
    eventually("some are filed", || !w.export("documents").is_empty());
    assert_eq!(running.stop(), Some(1), "stopped half-way: not all was taken");
    let taken = w.export("documents").len();
    assert!(taken < FILES, "{taken}");
    assert_eq!(w.run(&["verify"]).code, Some(0));
    w.run(&["ingest", folder]);
    assert_eq!(w.export("documents").len(), FILES + 1);
    assert_eq!(w.run(&["verify"]).code, Some(0));
}

#[test]
fn p28_a_name_that_lies_is_said_and_the_content_decides() {
    let demo = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("fixtures/demo");
    let report = fs::read_dir(demo).unwrap().map(|e| e.unwrap().path());
    let report = report.filter(|p| p.extension().is_some_and(|e| e == "pdf")).min().expect("a PDF");
    let honest = World::new();
    honest.ingest(&honest.give("results.pdf", fs::read(&report).unwrap()));
    let w = World::new();
    let (lies, plain) = (w.give("results.csv", fs::read(&report).unwrap()), w.give("plain.csv", TABLE));
    let said = w.run(&["-v", "ingest", lies.to_str().unwrap(), plain.to_str().unwrap()]);
    assert_eq!(said.err.matches("its name says another kind").count(), 1, "{}", said.err);
    assert!(said.err.contains("results.csv") && said.err.contains("content=\"pdf\""), "{}", said.err);
    let documents = w.export("documents");
    let row = documents.iter().find(|d| d["source_file"] == "results.csv").unwrap();
    assert_eq!(row["format"], "pdf");
    let values = |w: &World| {
        let rows = w.export("readings").into_iter().filter(|r| r["source_file"] != "plain.csv");
        rows.map(|r| r["raw_value"].as_str().unwrap().to_owned()).collect::<Vec<_>>()
    };
    assert!(!values(&w).is_empty());
    assert_eq!(values(&w), values(&honest), "read as what it is");
}

#[test]
fn p22_a_table_that_needs_more_memory_than_a_reader_has_is_refused_with_advice_for_tables() {
    let w = World::new();
    w.settings("[limits]\nmemory_mib = 256\n");
    let mut table = String::from("Sample,pH,Calcium ppm,Magnesium ppm,Potassium ppm\n");
    for n in 0..150_000 {
        table.push_str(&format!("Bed {n},6.{},{n},{},{}\n", n % 10, n + 1, n + 2));
    }
    let path = w.give("large.csv", table);
    assert_eq!(w.ingest(&path).code, Some(3));
    let why = w.files("refused").into_iter().find(|name| name.ends_with(".why.txt")).unwrap();
    let why = fs::read_to_string(w.home().join("refused").join(why)).unwrap();
    assert!(why.contains("128 MB of memory") && why.contains("results alone"), "{why}");
    assert!(!why.contains("PDF"), "{why}");
}
