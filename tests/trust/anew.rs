//! The history depends on originals and decisions alone (P12, P19, P20, B4); verify and reread (P17); the trail.

use super::{export, keys, readings, sound, unassigned};
use crate::world::{TABLE, World};
use std::fs;
use std::path::{Path, PathBuf};

/// Reports of the demo whose order matters most: several seasons, a corrected issue, tables, a mail.
fn corpus() -> Vec<PathBuf> {
    let demo = Path::new(env!("CARGO_MANIFEST_DIR")).join("fixtures/demo");
    [
        "W24-4624 Fallowes.pdf",
        "W24-4624 Fallowes corrected.pdf",
        "W23-8525 Fallowes.pdf",
        "marlpike_MK2018026.csv",
        "marlpike_MK2019040.csv",
        "marlpike_MK2022034.xlsx",
        "Soil letter PL18209.eml",
    ]
    .iter()
    .map(|name| demo.join(name))
    .collect()
}

fn ingest_all(w: &World, paths: &[&PathBuf]) {
    let mut args = vec!["ingest"];
    args.extend(paths.iter().map(|path| path.to_str().unwrap()));
    let said = w.run(&args);
    assert!(matches!(said.code, Some(0 | 3)), "{}{}", said.out, said.err);
}

#[test]
fn p12_any_order_and_any_split_into_batches_gives_the_same_readings() {
    let corpus = corpus();
    let all: Vec<&PathBuf> = corpus.iter().collect();
    let straight = World::new();
    ingest_all(&straight, &all);
    let wanted = readings(&straight);
    assert!(wanted.lines().count() > 100);
    // Two shuffles that move every file, each with another split.
    for (order, split) in [([6, 5, 4, 3, 2, 1, 0], 3), ([3, 1, 6, 0, 5, 2, 4], 4)] {
        let w = World::new();
        let shuffled: Vec<&PathBuf> = order.iter().map(|at| all[*at]).collect();
        for batch in shuffled.chunks(split) {
            ingest_all(&w, batch);
        }
        assert_eq!(readings(&w), wanted, "{order:?}");
    }
}

#[test]
fn p12_names_nearly_alike_are_the_same_sites_in_whatever_order_they_come() {
    let names = ["Front lawn", "Frnt lawn", "Front lawns"];
    // A report that names no client waits in the same words, whichever sites are known when it comes.
    let told = |order: [usize; 3], first_nobodys: usize| {
        let w = World::new();
        for at in order {
            if at == first_nobodys {
                w.ingest(&w.give("nobody's.csv", unassigned()));
            }
            let table = TABLE
                .replace("Front lawn", names[at])
                .replace("Back lawn", &format!("Bed {at}"))
                .replace("R-100", &format!("R-{at}"))
                .replace("2024", &format!("202{at}"));
            w.ingest(&w.give(&format!("{at}.csv"), table));
        }
        let held = w.run(&["held"]).out;
        let offers: Vec<String> = held
            .lines()
            .filter(|l| l.contains("perhaps one") || l.contains("or: "))
            .map(str::to_owned)
            .collect();
        (readings(&w), export(&w, "sites"), offers)
    };
    let wanted = told([0, 1, 2], 0);
    assert_eq!(wanted.2.iter().filter(|l| l.contains("are perhaps one site.")).count(), 3, "{:?}", wanted.2);
    assert_eq!(wanted.2.iter().filter(|l| l.contains("or: site")).count(), 3, "{:?}", wanted.2);
    assert!(told([2, 1, 0], 0) == wanted && told([1, 2, 0], 2) == wanted);
}

/// A home with everything a person may say.
fn settled() -> World {
    let w = World::new();
    w.ingest(&w.give("wrong ph.csv", TABLE.replace("6.4", "64")));
    w.ingest(&w.give("nobody's.csv", unassigned()));
    w.ingest(&w.give("no report.why.txt", "good day"));
    w.ingest(&w.give("again.csv", unassigned()));
    w.ingest(&w.give(
        "slip.csv",
        TABLE.replace("Front lawn", "Frnt lawn").replace("2024", "2019").replace("R-100", "R-200"),
    ));
    let waits = keys(&w);
    let done = |args: &[&str]| {
        let said = w.run(args);
        assert_eq!(said.code, Some(0), "{args:?} {}{}", said.out, said.err);
    };
    let of = |file: &str| {
        let rows: Vec<serde_json::Value> =
            serde_json::from_str(&w.run(&["held", "--json", "--file", file]).out).unwrap();
        rows.iter().map(|row| row["reading"]["id"].to_string()).collect::<Vec<_>>()
    };
    assert!(waits.len() > 10);
    let (wrong, nobodys) = (of("wrong"), of("nobody"));
    done(&["settle", "correct", &wrong[0], "6.4", "--who", "Robin"]);
    for key in &wrong[1..] {
        done(&["settle", "reject", key, "--who", "Robin"]);
    }
    let decision = w.run(&["settle", "reject", &nobodys[0], "--who", "Kim"]).out;
    let number: String =
        decision.split("decision ").nth(1).unwrap().chars().take_while(char::is_ascii_digit).collect();
    done(&["undo", &number, "--who", "Kim"]);
    done(&["settle", "assign", "orchard", &nobodys[0], "--new", "The orchard", "--who", "Kim"]);
    w
}

#[test]
fn b4_a_home_made_anew_from_originals_and_journal_is_the_same() {
    let w = settled();
    let before =
        [export(&w, "readings"), export(&w, "documents"), w.run(&["sites"]).out, w.run(&["audit"]).out];
    assert!(before[2].contains("are perhaps one site."), "{}", before[2]);
    for name in ["loamline.db", "loamline.db-wal", "loamline.db-shm"] {
        let _ = fs::remove_file(w.home().join(name));
    }
    let new = w.home().with_file_name("new");
    let said = w.run(&["rebuild", new.to_str().unwrap()]);
    assert_eq!(said.code, Some(0), "{}{}", said.out, said.err);
    assert!(!w.home().join("loamline.db").exists(), "the old home is left as it is");
    fs::rename(w.home(), w.home().with_file_name("old")).unwrap();
    fs::rename(new, w.home()).unwrap();
    sound(&w);
    assert_eq!(
        before,
        [export(&w, "readings"), export(&w, "documents"), w.run(&["sites"]).out, w.run(&["audit"]).out]
    );
}

#[test]
fn p17_verify_names_a_number_that_is_not_in_its_original_and_reread_brings_it_back_on_purpose() {
    let w = World::new();
    w.ingest(&w.give("a.csv", TABLE));
    sound(&w);
    let store = rusqlite::Connection::open(w.home().join("loamline.db")).unwrap();
    store.execute_batch("DROP TRIGGER readings_stay; UPDATE readings SET value = 6.9, raw_value = '6.9' WHERE raw_value = '6.4'").unwrap();
    let before = readings(&w);
    let said = w.run(&["verify"]);
    assert_eq!(said.code, Some(1), "{}", said.out);
    assert!(said.out.contains("number-differs") && said.out.contains("6.9"), "{}", said.out);
    let shown = w.run(&["reread", "--all"]);
    assert!(shown.out.contains("Nothing was changed") && shown.out.contains("now read as"), "{}", shown.out);
    assert_eq!(readings(&w), before);
    let said = w.run(&["reread", "--document", "a.csv", "--apply", "--who", "Robin"]);
    assert_eq!(said.code, Some(0), "{}{}", said.out, said.err);
    let after = readings(&w);
    assert!(after.contains("\"corrected\"") && !after.contains("\"value\":6.9"), "{after}");
    assert!(w.run(&["audit"]).out.lines().any(|line| line.contains("Robin") && line.contains("correct")));
    assert_eq!(w.run(&["undo", "1", "--who", "Robin"]).code, Some(0));
    assert_eq!(readings(&w), before);
}

#[test]
fn p20_the_same_days_under_any_zone() {
    let w = World::new();
    w.ingest(&w.give("a.csv", TABLE));
    let under = |zone: &str| World::said(w.command(&["export", "readings"]).env("TZ", zone)).out;
    let utc = under("UTC");
    for zone in ["Pacific/Kiritimati", "Pacific/Niue", "UTC-14", "UTC+12"] {
        assert_eq!(under(zone), utc, "{zone}");
        let other = World::new();
        let path = other.give("a.csv", TABLE);
        let said = World::said(other.command(&["ingest", path.to_str().unwrap()]).env("TZ", zone));
        assert!(matches!(said.code, Some(0 | 3)), "{}", said.err);
        assert_eq!(World::said(other.command(&["export", "readings"]).env("TZ", "UTC")).out, utc, "{zone}");
    }
}

#[test]
fn the_trail_says_who_when_and_from_where() {
    let w = settled();
    let said = w.run(&["audit", "--format", "json"]);
    let rows: Vec<serde_json::Value> = serde_json::from_str(&said.out).unwrap();
    for event in ["read", "correct", "reject", "undo", "assign"] {
        let row = rows.iter().find(|row| row["event"] == event).unwrap_or_else(|| panic!("{event}"));
        assert!(row["who"].is_string() && row["at"].as_str().unwrap().contains('T'), "{row}");
        assert!(row["source_sha256"].is_string() && row["after"].is_string(), "{row}");
    }
    let one = w.run(&["audit", "--site", "orchard", "--format", "jsonl"]).out;
    assert!(
        one.lines().count() > 0 && one.lines().all(|line| line.contains("\"site\":\"orchard\"")),
        "{one}"
    );
}
