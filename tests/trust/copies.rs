//! The nightly copy (B1, B3) and putting it back (B2).

use super::{readings, sound};
use crate::world::{TABLE, World};
use std::fs;

fn nightly(w: &World, day: &str) -> String {
    let said = w.run(&["nightly", "--as-of", day]);
    assert!(matches!(said.code, Some(0 | 3)), "{}{}", said.out, said.err);
    said.out
}

fn stores(w: &World) -> Vec<String> {
    let mut names: Vec<String> = fs::read_dir(w.home().with_file_name("home-copies"))
        .unwrap()
        .map(|entry| entry.unwrap().file_name().into_string().unwrap())
        .filter(|name| name.ends_with(".db"))
        .collect();
    names.sort();
    names
}

#[test]
fn b3_a_night_copies_what_came_and_the_copy_comes_back() {
    let w = World::new();
    w.settings("[watch]\nsettle_seconds = 0.1\n");
    w.drop_in("a.csv", TABLE);
    nightly(&w, "2024-05-06");
    nightly(&w, "2024-05-07");
    assert_eq!(stores(&w), ["history-2024-05-06.db"], "a night without a change copies nothing");
    w.drop_in("b.csv", TABLE.replace("2024", "2023").replace("R-100", "R-90"));
    w.drop_in("no.txt", "good day");
    nightly(&w, "2024-05-08");
    assert_eq!(stores(&w), ["history-2024-05-06.db", "history-2024-05-08.db"]);
    let wanted = readings(&w);
    fs::remove_dir_all(w.home()).unwrap();
    let copies = w.home().with_file_name("home-copies");
    let said = w.run(&["restore", copies.to_str().unwrap()]);
    assert_eq!(said.code, Some(0), "{}{}", said.out, said.err);
    assert_eq!(readings(&w), wanted);
    sound(&w);
    fs::remove_dir_all(w.home()).unwrap();
    let first = copies.join("history-2024-05-06.db");
    assert_eq!(w.run(&["restore", first.to_str().unwrap()]).code, Some(0));
    assert!(readings(&w).lines().count() < wanted.lines().count());
}

#[test]
fn b3_no_room_for_a_copy_is_said_and_the_night_goes_on() {
    let w = World::new();
    w.settings("[watch]\nsettle_seconds = 0.1\n");
    w.drop_in("a.csv", TABLE);
    nightly(&w, "2024-05-06");
    // More than any disk has, so that the next file waits and the copy is not begun.
    w.settings("[watch]\nsettle_seconds = 0.1\nkeep_free_mib = 900000000\n");
    w.run(&["settle", "reject", "1", "--who", "Robin"]);
    let said = w.run(&["nightly", "--as-of", "2024-05-07"]);
    assert!(said.out.contains("No copy was made: it needs"), "{}{}", said.out, said.err);
    assert_eq!(stores(&w), ["history-2024-05-06.db"]);
}

#[test]
fn b2_a_log_left_beside_a_store_that_is_gone_is_named_and_not_used() {
    let w = World::new();
    w.ingest(&w.give("a.csv", TABLE));
    let copy = w.home().with_file_name("copy");
    assert_eq!(w.run(&["backup", copy.to_str().unwrap()]).code, Some(0));
    fs::remove_file(w.home().join("loamline.db")).unwrap();
    fs::write(w.home().join("loamline.db-wal"), "left over").unwrap();
    let said = w.run(&["restore", copy.to_str().unwrap()]);
    assert_eq!(said.code, Some(1));
    assert!(said.err.contains("loamline.db-wal"), "{}", said.err);
    assert!(!w.home().join("loamline.db").exists());
}

#[test]
fn b1_a_copy_made_at_any_moment_of_the_work_is_sound() {
    let w = World::new();
    w.settings("[watch]\nsettle_seconds = 0.05\nlist_seconds = 1\n");
    w.run(&["sites"]);
    for n in 0..60 {
        let report = TABLE.replace("R-100", &format!("R-{n}")).replace("2024", &format!("{}", 1960 + n));
        w.drop_in(&format!("{n}.csv"), report);
    }
    let running = w.start(&["watch"]);
    let mut copies = Vec::new();
    while copies.len() < 3 || (!w.files("inbox").is_empty() && copies.len() < 20) {
        let copy = w.home().with_file_name(format!("copy-{}", copies.len()));
        let said = w.run(&["backup", copy.to_str().unwrap()]);
        assert_eq!(said.code, Some(0), "{}{}", said.out, said.err);
        copies.push(copy);
    }
    assert_eq!(running.stop(), Some(0));
    for copy in copies {
        let mut verify = std::process::Command::new(env!("CARGO_BIN_EXE_loamline"));
        let said = World::said(verify.arg("--home").arg(&copy).args(["verify", "--all"]));
        assert_eq!(said.code, Some(0), "{}: {}{}", copy.display(), said.out, said.err);
    }
}
