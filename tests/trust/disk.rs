//! The order of work on the disk (P14), and disks that fail (P9, P15), by tracing the shipped program.

use super::{readings, sound};
use crate::world::{TABLE, World, has_tool};
use std::fs;

fn settings(w: &World) {
    w.settings("[watch]\nsettle_seconds = 0.1\nkeep_free_mib = 0\n");
}

/// A home that was opened once, with one whole report in its inbox.
fn dropped() -> World {
    let w = World::new();
    settings(&w);
    assert_eq!(w.run(&["sites"]).code, Some(0));
    w.drop_in("a.csv", TABLE);
    w
}

#[test]
fn p14_what_is_reported_filed_was_on_the_disk_step_by_step() {
    if !has_tool("strace") {
        return;
    }
    let w = dropped();
    let log = w.home().with_file_name("calls");
    let calls = "trace=fsync,fdatasync,rename,renameat,renameat2,unlink,unlinkat";
    let said = w
        .run_by(&["strace", "-f", "-y", "-s", "300", "-e", calls, "-o", log.to_str().unwrap()], &["nightly"]);
    assert!(matches!(said.code, Some(0 | 3)), "{}", said.err);
    let text = fs::read_to_string(log).unwrap();
    let lines: Vec<&str> = text.lines().collect();
    let after = |from: usize, what: &str, holds: &dyn Fn(&str) -> bool| {
        let found = lines.iter().enumerate().skip(from).find(|(_, line)| holds(line));
        found.unwrap_or_else(|| panic!("{what} after line {from} of\n{text}")).0
    };
    let sync = |line: &str| line.contains("sync(");
    let staged = after(0, "the copy is synced", &|l| sync(l) && l.contains("/.work/"));
    let renamed = after(staged, "it is renamed", &|l| {
        l.contains("rename") && l.contains("/.work/") && l.contains(".csv")
    });
    let shelf = after(renamed, "its folder is synced", &|l| {
        sync(l) && (l.contains("/filed/2024>") || l.contains("/held>"))
    });
    let commit = after(shelf, "the store is synced", &|l| sync(l) && l.contains("loamline.db-wal>"));
    let gone = after(commit, "the inbox name goes", &|l| l.contains("unlink") && l.contains("/inbox/a.csv"));
    let first = lines.iter().position(|l| l.contains("unlink") && l.contains("/inbox/a.csv")).unwrap();
    assert_eq!(gone, first, "it goes once");
    after(gone, "the inbox is synced", &|l| sync(l) && l.contains("/inbox>"));
}

/// One call fails, once or from then on: the file stays or is filed, nothing is refused, and the next pass is whole.
#[test]
fn p15_a_disk_that_fails_refuses_nothing_and_the_next_pass_is_whole() {
    if !has_tool("strace") {
        return;
    }
    let wanted = {
        let w = dropped();
        w.run(&["nightly"]);
        readings(&w)
    };
    for fault in [
        "fsync:error=EIO:when=1",
        "fsync:error=EIO:when=3+",
        "fdatasync:error=EIO:when=1+",
        "rename,renameat,renameat2:error=EROFS:when=1+",
        "pwrite64:error=ENOSPC:when=4+",
        "unlink,unlinkat:error=EACCES:when=1+",
    ] {
        let w = dropped();
        let inject = format!("inject={fault}");
        let said = w.run_by(&["strace", "-f", "-o", "/dev/null", "-e", &inject], &["nightly"]);
        assert!(said.code.is_some(), "{fault}: {}", said.err);
        assert!(w.files("refused").is_empty(), "{fault}");
        assert!(!said.err.contains("panicked"), "{fault}: {}", said.err);
        let said = w.run(&["nightly"]);
        assert!(matches!(said.code, Some(0 | 3)), "{fault}: {}{}", said.out, said.err);
        assert!(w.files("inbox").is_empty(), "{fault}: {:?}", w.files("inbox"));
        assert_eq!(readings(&w), wanted, "{fault}");
        assert_eq!(w.export("documents").len(), 1, "{fault}");
        sound(&w);
    }
}

/// Every write beyond a size fails, as on a full disk.
#[test]
fn p9_a_full_disk_refuses_nothing_and_is_tried_again() {
    let w = dropped();
    let limited = "trap '' XFSZ; ulimit -f 24; exec \"$0\" \"$@\"";
    let said = w.run_by(&["sh", "-c", limited], &["nightly"]);
    assert_eq!(said.code, Some(1), "{}{}", said.out, said.err);
    assert!(w.files("refused").is_empty());
    let said = w.run(&["nightly"]);
    assert!(matches!(said.code, Some(0 | 3)), "{}{}", said.out, said.err);
    assert!(w.files("inbox").is_empty());
    assert_eq!(w.export("documents").len(), 1);
    sound(&w);
}

#[test]
fn p9_a_file_that_may_not_be_read_waits_and_stops_no_other() {
    if !has_tool("strace") {
        return;
    }
    let w = dropped();
    let locked = w.drop_in("b.csv", TABLE.replace("R-100", "R-101").replace(",31,", ",33,"));
    let by = [
        "strace",
        "-f",
        "-o",
        "/dev/null",
        "-P",
        locked.to_str().unwrap(),
        "-e",
        "inject=open,openat:error=EACCES",
    ];
    let said = w.run_by(&by, &["nightly"]);
    assert_eq!(said.code, Some(1), "{}{}", said.out, said.err);
    assert_eq!(w.files("inbox"), ["b.csv"]);
    assert_eq!(w.export("documents").len(), 1);
    w.run(&["nightly"]);
    assert_eq!(w.export("documents").len(), 2);
}

/// Readings and charts of the reports of a home, drawn on a disk with room.
fn drawn(w: &World) -> (String, Vec<String>) {
    let said = w.run(&["nightly"]);
    assert_eq!(said.code, Some(0), "{}{}", said.out, said.err);
    (readings(w), w.files("charts"))
}

#[test]
fn charts_give_way_while_there_is_still_room_for_reports() {
    let w = dropped();
    let free = rustix::fs::statfs(w.home()).unwrap();
    let free_mib = (free.f_bavail * u64::try_from(free.f_bsize).unwrap()) >> 20;
    // Reports still have room by this setting, charts do not.
    w.settings(&format!("[watch]\nsettle_seconds = 0.1\nkeep_free_mib = {}\n", free_mib * 3 / 4));
    let said = w.run(&["nightly"]);
    assert!(said.err.contains("charts wait for the next pass"), "{}{}", said.out, said.err);
    assert!(said.err.contains("the room is left to reports"), "{}", said.err);
    assert!(w.files("inbox").is_empty() && w.files("refused").is_empty() && w.files("held").is_empty());
    assert_eq!(w.files("filed").len(), 1);
    assert!(w.files("charts").is_empty(), "{:?}", w.files("charts"));
    settings(&w);
    let wanted = drawn(&dropped());
    assert!(!wanted.1.is_empty());
    assert_eq!(drawn(&w), wanted);
}

#[test]
fn a_chart_that_cannot_be_written_holds_no_report_and_is_drawn_at_the_next_pass() {
    let wanted = drawn(&dropped());
    let charts: Vec<_> = wanted.1.iter().filter(|name| !name.starts_with('.')).collect();
    for chart in [charts[0], charts[charts.len() / 2], charts[charts.len() - 1]] {
        let w = dropped();
        // No file takes the name of a folder.
        let at = w.home().join("charts").join(chart);
        fs::create_dir_all(&at).unwrap();
        let said = w.run(&["nightly"]);
        assert_eq!(said.code, Some(1), "{chart}: {}{}", said.out, said.err);
        assert!(said.err.contains("charts wait for the next pass"), "{chart}: {}", said.err);
        assert!(w.files("inbox").is_empty() && w.files("refused").is_empty() && w.files("held").is_empty());
        assert_eq!(w.files(".work"), [""; 0], "{chart}");
        fs::remove_dir(at).unwrap();
        assert_eq!(drawn(&w), wanted, "{chart}");
    }
}

/// A disk of its own for the home: it is full, has a little room, has more, and is freed; then all is as if it never was.
#[test]
fn p9_a_small_disk_that_is_full_in_the_middle_of_anything_loses_nothing() {
    if !has_tool("unshare") {
        return;
    }
    let fill = |w: &World| {
        settings(w);
        w.drop_in("a.csv", TABLE);
        w.drop_in("b.csv", TABLE.replace("R-100", "R-101").replace("2024", "2023"));
        w.drop_in("who.csv", super::unassigned());
        w.drop_in("no.txt", "good day");
    };
    let whole = World::new();
    fill(&whole);
    assert_eq!(whole.run(&["nightly"]).code, Some(3));
    let w = World::new();
    fill(&w);
    let (seed, after) = (w.home().with_file_name("seed"), w.home().with_file_name("after"));
    fs::rename(w.home(), &seed).unwrap();
    fs::create_dir(w.home()).unwrap();
    let script = format!(
        "mount -t tmpfs -o size=12m none {home} || exit 77
        cp -a {seed}/. {home}
        for left in 0 8 24 64 200 300 400 600 1000 2000; do
            free=$(df -k --output=avail {home} | tail -1)
            head -c $(((free - left) * 1024)) /dev/zero > {home}/ballast
            \"$0\" \"$@\"; echo \"left $left code $?\"
            rm {home}/ballast
        done
        \"$0\" \"$@\"; echo \"free code $?\"
        cp -a {home}/. {after}",
        home = w.home().display(),
        seed = seed.display(),
        after = after.display(),
    );
    let said = w.run_by(&["unshare", "-rm", "sh", "-c", &script], &["nightly"]);
    if said.code == Some(77) || said.err.contains("unshare:") {
        // A machine that lets nobody mount.
        return;
    }
    assert!(
        said.out.contains("left 0 code 1"),
        "nothing can be done on a full disk: {}{}",
        said.out,
        said.err
    );
    assert!(!said.err.contains("panicked") && !said.out.contains("code 101"), "{}{}", said.out, said.err);
    fs::remove_dir(w.home()).unwrap();
    fs::rename(after, w.home()).unwrap();
    assert!(w.files("inbox").is_empty(), "{}{}", said.out, said.err);
    assert_eq!(w.files("refused").len(), 2, "the original and why: {:?}", w.files("refused"));
    assert_eq!(w.export("documents").len(), 4);
    assert_eq!(readings(&w), readings(&whole));
    assert_eq!(w.files("charts"), whole.files("charts"));
    sound(&w);
}
