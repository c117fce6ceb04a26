//! Pick-up: what an address gives lands whole in the inbox, once, and only from where the settings say.

use super::stub::{Act, Stub, answer, file, status};
use super::world;
use crate::world::{TABLE, World, eventually};
use std::time::Duration;

fn fetching(stub: &Stub, more: &str) -> World {
    world(&format!(
        "[limits]\nfile_mib = 1\n[[pick_up]]\nname = \"Soil Room\"\nurl = \"{}/latest.csv\"\nallowed = [\"127.0.0.1\"]\n{more}",
        stub.url()
    ))
}

#[test]
fn a_report_is_fetched_once_and_asked_for_by_its_tag() {
    let stub = Stub::new(vec![
        answer(file("ETag: \"v1\"\r\nLast-Modified: Mon, 06 May 2024 07:08:09 GMT\r\n", TABLE)),
        answer(status("304 Not Modified")),
    ]);
    let w = fetching(&stub, "bearer = \"hush-hush\"\n");
    let said = w.run(&["nightly"]);
    assert_eq!(said.code, Some(0), "{}{}", said.out, said.err);
    assert!(said.out.contains("Pick-up: 1 new file, 0 without news"), "{}", said.out);
    let documents = w.export("documents");
    assert_eq!((documents.len(), documents[0]["readings"].as_i64()), (1, Some(16)));
    assert!(documents[0]["source_file"].as_str().unwrap().starts_with("Soil-Room-"));
    let said = w.run(&["nightly"]);
    assert!(said.out.contains("0 new files, 1 without news"), "{}", said.out);
    let heard = stub.heard();
    assert_eq!(heard[0].header("if-none-match"), None);
    assert_eq!(heard[0].header("authorization"), Some("Bearer hush-hush"));
    assert_eq!(heard[1].header("if-none-match"), Some("\"v1\""));
    assert_eq!(heard[1].header("if-modified-since"), Some("Mon, 06 May 2024 07:08:09 GMT"));
    assert!(w.files("inbox").is_empty());
}

#[test]
fn the_same_bytes_without_a_tag_land_once() {
    let stub = Stub::new(vec![answer(file("", TABLE))]);
    let w = fetching(&stub, "");
    w.run(&["nightly"]);
    let said = w.run(&["nightly"]);
    assert!(said.out.contains("0 new files, 1 without news"), "{}", said.out);
    assert_eq!(w.export("documents").len(), 1);
}

#[test]
fn what_is_too_large_torn_empty_or_refused_leaves_nothing_behind() {
    let large = "x".repeat(3 << 20);
    let unsaid = format!("HTTP/1.1 200 OK\r\nConnection: close\r\n\r\n{large}").into_bytes();
    let torn = b"HTTP/1.1 200 OK\r\nContent-Length: 5000\r\nConnection: close\r\n\r\nSample,pH\n".to_vec();
    let cases = [
        (answer(file("", &large)), "more than 1 MiB"),
        (answer(unsaid), "more than 1 MiB"),
        (answer(torn), "broke off in the middle"),
        (answer(file("", "")), "an empty file"),
        (answer(status("500 Oops")), "answered 500"),
        (answer(status("301 Moved\r\nLocation: http://127.0.0.1:1/")), "points elsewhere"),
        (Act::Reset, "127.0.0.1"),
        (Act::Slow(Duration::from_secs(30)), "did not answer in time"),
    ];
    for (act, why) in cases {
        let stub = Stub::new(vec![act, answer(file("", TABLE))]);
        let w = fetching(&stub, "seconds = 0.5\n");
        let said = w.run(&["nightly"]);
        assert_eq!(said.code, Some(1), "{why}: {}", said.out);
        assert!(said.out.contains(why), "{why}: {}", said.out);
        assert!(w.files("inbox").is_empty(), "{why}");
        assert_eq!(w.export("documents").len(), 0, "{why}");
        assert_eq!(w.run(&["nightly"]).code, Some(0), "{why}: the next round is fine");
        assert_eq!(w.export("documents").len(), 1, "{why}");
    }
}

#[test]
fn an_address_of_this_machine_is_not_asked_unless_allowed() {
    let stub = Stub::new(vec![answer(file("", TABLE))]);
    let w = world(&format!("[[pick_up]]\nname = \"a\"\nurl = \"http://localhost:{}/\"\n", stub.port));
    let said = w.run(&["nightly"]);
    assert_eq!(said.code, Some(1));
    assert!(said.out.contains("not on the public internet"), "{}", said.out);
    assert_eq!(stub.heard().len(), 0);
}

#[test]
fn a_pick_up_that_was_cut_off_is_swept_and_a_watching_service_picks_up_by_itself() {
    let stub = Stub::new(vec![answer(file("ETag: \"v1\"\r\n", TABLE)), answer(status("304 Not Modified"))]);
    let w = fetching(&stub, "");
    let left = w.drop_in(".pick-up-1.part", "half");
    let running = w.start(&["watch"]);
    eventually("the report is taken", || w.home().join("filed/2024").is_dir() && w.files("inbox").is_empty());
    assert_eq!(running.stop(), Some(0));
    assert!(!left.exists());
    assert_eq!(w.export("documents").len(), 1);
}
