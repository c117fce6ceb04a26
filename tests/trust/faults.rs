//! Faults from outside that need no tracing: other writers, folders that go, clocks, crowds of files, odd names.

use super::{readings, sound};
use crate::world::{TABLE, World, eventually};
use std::fs;
use std::time::{Duration, SystemTime};

#[test]
fn p16_two_ingests_at_once_record_each_file_once() {
    let w = World::new();
    w.run(&["sites"]);
    let mut paths = Vec::new();
    for n in 0..6 {
        let text = TABLE.replace("R-100", &format!("R-{n}")).replace(",31,", &format!(",{},", 20 + n));
        paths.push(w.give(&format!("{n}.csv"), text.replace("2024", &format!("20{}", 10 + n))));
    }
    let mut args = vec!["ingest"];
    args.extend(paths.iter().map(|path| path.to_str().unwrap()));
    let mut both: Vec<_> = (0..2).map(|_| w.command(&args).spawn().unwrap()).collect();
    for one in &mut both {
        assert!(matches!(one.wait().unwrap().code(), Some(0 | 3)));
    }
    let documents = w.export("documents");
    assert_eq!(documents.len(), 6);
    assert!(documents.iter().all(|d| d["outcome"] != "duplicate"), "{documents:?}");
    sound(&w);
}

#[test]
fn p9_a_store_that_another_holds_is_said_and_nothing_is_refused() {
    let w = World::new();
    w.settings("[watch]\nsettle_seconds = 0.1\n");
    w.run(&["sites"]);
    w.drop_in("a.csv", TABLE);
    let store = rusqlite::Connection::open(w.home().join("loamline.db")).unwrap();
    store.execute_batch("BEGIN IMMEDIATE").unwrap();
    let said = w.run(&["nightly"]);
    assert_eq!(said.code, Some(1), "{}{}", said.out, said.err);
    assert_eq!(w.files("inbox"), ["a.csv"]);
    assert!(w.files("refused").is_empty());
    store.execute_batch("ROLLBACK").unwrap();
    assert!(matches!(w.run(&["nightly"]).code, Some(0 | 3)));
    assert!(w.files("inbox").is_empty());
    sound(&w);
}

#[test]
fn an_inbox_that_goes_and_comes_back_is_watched_again() {
    let w = World::new();
    w.settings("[watch]\nsettle_seconds = 0.1\nlist_seconds = 1\n");
    w.run(&["sites"]);
    let running = w.start(&["watch"]);
    std::thread::sleep(Duration::from_millis(500));
    fs::remove_dir_all(w.home().join("inbox")).unwrap();
    std::thread::sleep(Duration::from_millis(1500));
    w.drop_in("a.csv", TABLE);
    eventually("the report is taken", || {
        w.files("inbox").is_empty() && !w.files("filed").is_empty() || !w.files("held").is_empty()
    });
    assert_eq!(running.stop(), Some(0));
    assert_eq!(w.export("documents").len(), 1);
}

#[test]
fn a_clock_set_back_and_files_of_the_future_change_nothing() {
    let w = World::new();
    w.settings("[watch]\nsettle_seconds = 0.1\n");
    w.run(&["sites"]);
    for (name, time, table) in [
        ("future.csv", SystemTime::now() + Duration::from_secs(75 * 365 * 86_400), TABLE.to_owned()),
        ("past.csv", SystemTime::UNIX_EPOCH, TABLE.replace("2024", "2023").replace("R-100", "R-90")),
    ] {
        let path = w.drop_in(name, table);
        fs::File::options().write(true).open(path).unwrap().set_modified(time).unwrap();
    }
    assert!(matches!(w.run(&["nightly"]).code, Some(0 | 3)));
    assert!(w.files("inbox").is_empty());
    assert_eq!(w.export("documents").len(), 2);
}

/// As many names as a copied archive holds, most of them the same bytes: one record, and a copy for every other name.
#[test]
fn a_crowd_of_files_goes_in_at_once() {
    const CROWD: usize = 1_000;
    let w = World::new();
    w.settings("[watch]\nsettle_seconds = 0.1\n");
    w.run(&["sites"]);
    for n in 0..CROWD {
        w.drop_in(&format!("{n:04}.csv"), TABLE);
    }
    assert!(matches!(w.run(&["nightly"]).code, Some(0 | 3)));
    assert!(w.files("inbox").is_empty());
    let documents = w.export("documents");
    assert_eq!(documents.len(), CROWD);
    assert_eq!(documents.iter().filter(|d| d["outcome"] == "duplicate").count(), CROWD - 1);
    assert_eq!(w.files("filed").len() + w.files("held").len(), 1);
}

#[test]
fn one_name_with_other_bytes_and_names_of_any_letters_are_all_kept() {
    let w = World::new();
    w.settings("[watch]\nsettle_seconds = 0.1\n");
    w.run(&["sites"]);
    let table =
        |n: usize| TABLE.replace("R-100", &format!("R-{n}")).replace("2024", &format!("20{}", 10 + n));
    // Composed and decomposed letters, right-to-left, joined signs, and a name that tries to be a path.
    let names = ["Böden.csv", "Bo\u{308}den.csv", "\u{202e}vsc.csv", "👩‍🌾.csv", "a\\..\\..\\b.csv", "-rf.csv"];
    for (n, name) in names.iter().enumerate() {
        w.drop_in(name, table(n));
    }
    w.drop_in("a/same.csv", table(7));
    w.drop_in("b/same.csv", table(8));
    let said = w.run(&["nightly"]);
    assert!(matches!(said.code, Some(0 | 3)), "{}{}", said.out, said.err);
    assert!(w.files("inbox").is_empty(), "{:?}", w.files("inbox"));
    let documents = w.export("documents");
    assert_eq!(documents.len(), names.len() + 2);
    for (n, name) in names.iter().enumerate() {
        let row = documents.iter().find(|d| d["source_file"] == *name).unwrap_or_else(|| panic!("{name}"));
        assert_eq!(fs::read_to_string(w.home().join(row["kept_at"].as_str().unwrap())).unwrap(), table(n));
    }
    sound(&w);
}

/// A file on its way when the program reads it: the part is superseded or told apart, the whole is in the history.
#[test]
fn p5_a_torn_file_and_then_the_whole_one_are_both_kept_and_count_once() {
    let w = World::new();
    let torn: String = TABLE.lines().take(7).map(|line| format!("{line}\n")).collect();
    w.ingest(&w.give("a.csv", torn));
    w.ingest(&w.give("a.csv", TABLE));
    let documents = w.export("documents");
    assert_eq!(documents.len(), 2);
    let whole = World::new();
    whole.ingest(&whole.give("a.csv", TABLE));
    // Which of the two printings of the first row counts is a matter of their hashes; it counts once.
    let values = |w: &World| {
        let mut values: Vec<_> = w
            .export("readings")
            .iter()
            .map(|r| format!("{} {} {}", r["site"], r["analyte"], r["value"]))
            .collect();
        values.sort();
        values
    };
    assert_eq!(values(&w), values(&whole));
}

#[test]
fn p1_an_original_kept_without_a_record_is_adopted_at_the_next_start() {
    let w = World::new();
    w.run(&["sites"]);
    let store = rusqlite::Connection::open(w.home().join("loamline.db")).unwrap();
    // As a kill between keeping and recording leaves it.
    let sha = "f".repeat(64);
    fs::create_dir_all(w.home().join("filed/2024")).unwrap();
    fs::write(w.home().join("filed/2024/ffffffffffffffff-given.csv"), TABLE).unwrap();
    store
        .execute(
            "INSERT INTO moves (sha256, source_file, new_at, owner) VALUES (?1, 'given.csv', 'filed/2024/ffffffffffffffff-given.csv', '4294967295-1')",
            [&sha],
        )
        .unwrap();
    drop(store);
    let said = w.ingest(&w.give("no.txt", "good day"));
    assert_eq!(said.code, Some(3), "{}{}", said.out, said.err);
    assert!(w.export("documents").iter().any(|d| d["source_file"] == "given.csv"));
    assert!(!readings(&w).is_empty());
}

/// A mail and the report inside it lie in the inbox together: both originals are kept with a record of their own, as if
/// they had come one after the other.
#[test]
fn p1_a_mail_and_what_is_inside_it_dropped_together_are_both_recorded() {
    let mail = format!(
        "From: lab@example.org\nTo: robin@example.org\nSubject: Results\nMIME-Version: 1.0\nContent-Type: \
         multipart/mixed; boundary=\"edge\"\n\n--edge\nContent-Type: text/csv; name=\"r.csv\"\n\
         Content-Disposition: attachment; filename=\"r.csv\"\nContent-Transfer-Encoding: base64\n\n{}\n--edge--\n",
        base64(TABLE.as_bytes())
    );
    for (mail_name, alone_name) in [("a.eml", "b.csv"), ("b.eml", "a.csv")] {
        let (together, after) = (World::new(), World::new());
        for w in [&together, &after] {
            w.settings("[watch]\nsettle_seconds = 0.05\n");
            w.run(&["sites"]);
        }
        together.drop_in(mail_name, &mail);
        together.drop_in(alone_name, TABLE);
        let said = together.run(&["nightly"]);
        assert_eq!(said.code, Some(0), "{}{}", said.out, said.err);
        let mut one_by_one = [(mail_name, mail.as_str()), (alone_name, TABLE)];
        one_by_one.sort_unstable();
        for (name, bytes) in one_by_one {
            after.drop_in(name, bytes);
            assert_eq!(after.run(&["nightly"]).code, Some(0));
        }
        sound(&together);
        assert_eq!(together.files("filed").len(), 2);
        assert_eq!(together.files("filed"), after.files("filed"));
        assert_eq!(together.export("documents"), after.export("documents"));
        assert_eq!(readings(&together), readings(&after));
    }
}

fn base64(bytes: &[u8]) -> String {
    use ::base64::Engine;
    ::base64::engine::general_purpose::STANDARD.encode(bytes)
}

#[test]
fn p13_a_stop_in_the_middle_of_a_batch_leaves_a_sound_home() {
    let w = World::new();
    w.settings("[watch]\nsettle_seconds = 0.1\nlist_seconds = 1\n");
    w.run(&["sites"]);
    for n in 0..40 {
        w.drop_in(
            &format!("{n}.csv"),
            TABLE.replace("R-100", &format!("R-{n}")).replace("2024", &format!("{}", 1980 + n)),
        );
    }
    let running = w.start(&["watch"]);
    eventually("some are taken", || w.files("inbox").len() < 40);
    assert_eq!(running.stop(), Some(0));
    let left = w.files("inbox").len();
    assert_eq!(w.export("documents").len() + left, 40);
    sound(&w);
}

#[test]
fn p4_an_empty_file_waits_and_is_refused_as_empty_after_its_time() {
    let w = World::new();
    w.settings("[watch]\nsettle_seconds = 0.05\n");
    w.run(&["sites"]);
    w.drop_in("new.pdf", "");
    let old = w.drop_in("old.pdf", "");
    let an_hour_ago = SystemTime::now() - Duration::from_secs(3_600);
    fs::File::options().write(true).open(old).unwrap().set_modified(an_hour_ago).unwrap();
    assert_eq!(w.run(&["nightly"]).code, Some(3));
    assert_eq!(w.files("inbox"), ["new.pdf"], "a scanner may have made it as a place to write to");
    let why = w.files("refused").into_iter().find(|name| name.ends_with(".why.txt")).unwrap();
    let why = fs::read_to_string(w.home().join("refused").join(why)).unwrap();
    assert!(why.contains("empty"), "{why}");
}

/// More happens than the system remembers: what fell out of its memory is found by listing.
#[test]
fn p8_a_flood_that_overflows_the_queue_of_events_hides_no_report() {
    let most = fs::read_to_string("/proc/sys/fs/inotify/max_queued_events").unwrap();
    let most: usize = most.trim().parse().unwrap();
    let w = World::new();
    // The clock alone would find it after an hour.
    w.settings("[watch]\nsettle_seconds = 0.1\nlist_seconds = 3600\n");
    w.run(&["sites"]);
    let running = w.start(&["watch"]);
    w.drop_in("first.csv", TABLE);
    eventually("it watches", || w.files("inbox").is_empty());
    running.signal(rustix::process::Signal::STOP);
    for n in 0..most {
        w.drop_in(&format!("{n}.part"), "");
    }
    w.drop_in("a.csv", TABLE.replace("R-100", "R-101").replace("2024", "2023"));
    running.signal(rustix::process::Signal::CONT);
    eventually("the report is taken", || !w.home().join("inbox/a.csv").exists());
    assert_eq!(running.stop(), Some(0));
    assert_eq!(w.export("documents").len(), 2);
}
