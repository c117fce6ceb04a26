//! The webhook: signed, once a change, the same key at every try, and nowhere else.

use super::stub::{Act, Heard, Stub, answer, status};
use super::world;
use crate::world::{TABLE, World, eventually};
use hmac::{Hmac, KeyInit, Mac};
use std::time::{Duration, Instant};

const LOOPBACK: &str = "allowed = [\"127.0.0.0/8\"]\n";

fn hooked(stub: &Stub, more: &str) -> World {
    world(&format!("[webhook]\nurl = \"{}\"\nsecret = \"hush-hush\"\n{more}", stub.url()))
}

fn fine() -> Act {
    answer(status("204 No Content"))
}

fn json(heard: &Heard) -> serde_json::Value {
    serde_json::from_str(&heard.body).unwrap()
}

/// A second report whose samples say something new.
fn later_table() -> String {
    TABLE.replace("R-100", "R-101").replace("2024", "2025").replace("6.4,3.9,31,142", "6.4,3.9,19,120")
}

#[test]
fn each_change_is_told_once_and_signed() {
    let stub = Stub::new(vec![fine()]);
    let w = hooked(&stub, LOOPBACK);
    w.drop_in("a.csv", TABLE);
    w.drop_in("b.pdf", "no pdf at all");
    let said = w.run(&["--as-of", "2024-06-01", "nightly"]);
    assert_eq!(said.code, Some(3), "{}{}", said.out, said.err);
    assert_eq!(w.run(&["--as-of", "2024-06-02", "nightly"]).code, Some(0));
    let heard = stub.heard();
    assert_eq!(heard.len(), 1, "an old change is not told again");
    let (body, moment) = (json(&heard[0]), heard[0].header("loamline-timestamp").unwrap());
    assert_eq!(heard[0].header("idempotency-key").unwrap(), body["id"].to_string());
    assert_eq!((&body["counts"]["reports"], &body["counts"]["refused"]), (&1.into(), &1.into()));
    assert!(body["text"].as_str().unwrap().contains("a.csv: Example Soil Room"), "{body}");
    let mut mac = Hmac::<sha2::Sha256>::new_from_slice(b"hush-hush").unwrap();
    mac.update(format!("{moment}.{}", heard[0].body).as_bytes());
    let digits: String = mac.finalize().into_bytes().iter().map(|b| format!("{b:02x}")).collect();
    assert_eq!(heard[0].header("loamline-signature").unwrap(), format!("v1={digits}"));
    w.drop_in("c.csv", later_table());
    w.run(&["--as-of", "2025-06-03", "nightly"]);
    let heard = stub.heard();
    assert_eq!(heard.len(), 2);
    let counts = json(&heard[1])["counts"].clone();
    assert_eq!((&counts["reports"], &counts["refused"]), (&1.into(), &0.into()));
    assert!(counts["act"].as_u64().unwrap() + counts["watch"].as_u64().unwrap() > 0, "{counts}");
    assert_ne!(heard[0].header("idempotency-key"), heard[1].header("idempotency-key"));
}

#[test]
fn a_day_alone_makes_a_sampling_due_and_it_is_told_once() {
    let stub = Stub::new(vec![fine()]);
    let w = hooked(&stub, LOOPBACK);
    w.drop_in("a.csv", TABLE);
    w.run(&["--as-of", "2024-06-01", "nightly"]);
    w.run(&["--as-of", "2024-06-02", "nightly"]);
    assert_eq!(stub.heard().len(), 1);
    w.run(&["--as-of", "2031-06-01", "nightly"]);
    w.run(&["--as-of", "2031-06-02", "nightly"]);
    let heard = stub.heard();
    assert_eq!(heard.len(), 2);
    assert_eq!(json(&heard[1])["counts"]["retests"], 4);
}

#[test]
fn sites_that_are_perhaps_one_are_told_once() {
    let stub = Stub::new(vec![fine()]);
    let w = hooked(&stub, LOOPBACK);
    w.drop_in("a.csv", TABLE);
    w.run(&["--as-of", "2024-06-01", "nightly"]);
    let other = later_table().replace("Front lawn", "Frnt lawn");
    assert_ne!(other, later_table());
    w.drop_in("b.csv", other);
    w.run(&["--as-of", "2025-06-01", "nightly"]);
    // A site of the pair has news again, and the pair stands as before.
    w.drop_in("c.csv", later_table().replace("2025", "2026"));
    w.run(&["--as-of", "2026-06-03", "nightly"]);
    let heard = stub.heard();
    let told: Vec<_> = heard.iter().map(|heard| json(heard)["counts"]["alike"].clone()).collect();
    assert_eq!(told, [0, 1, 0]);
    let text = json(&heard[1])["text"].as_str().unwrap().to_owned();
    assert!(text.contains("1 pair of sites perhaps one") && text.contains("loamline sites join "), "{text}");
}

#[test]
fn a_failing_server_is_tried_three_times_with_one_key() {
    let stub = Stub::new(vec![answer(status("500 Oops")), Act::Reset, answer(status("503 Later")), fine()]);
    let w = hooked(&stub, LOOPBACK);
    w.drop_in("a.csv", TABLE);
    let said = w.run(&["nightly"]);
    assert_eq!(said.code, Some(1), "{}{}", said.out, said.err);
    assert!(said.out.contains("Not sent, tried again later"), "{}", said.out);
    assert_eq!(w.export("readings").len(), 16, "the history is whole whatever the server does");
    assert_eq!(w.run(&["nightly"]).code, Some(0));
    let heard = stub.heard();
    let of = |name| heard.iter().map(|h| h.header(name).unwrap().to_owned()).collect::<Vec<_>>();
    assert_eq!(of("loamline-attempt"), ["1", "3", "4"]);
    assert_eq!(of("idempotency-key").iter().collect::<std::collections::BTreeSet<_>>().len(), 1);
}

#[test]
fn killed_between_send_and_mark_it_is_sent_again_under_the_same_key() {
    let stub = Stub::new(vec![Act::Slow(Duration::from_secs(60)), fine()]);
    let w = hooked(&stub, LOOPBACK);
    w.drop_in("a.csv", TABLE);
    let running = w.start(&["nightly"]);
    eventually("the server has the message", || stub.heard().len() == 1);
    drop(running); // SIGKILL
    assert_eq!(w.run(&["nightly"]).code, Some(0));
    assert_eq!(w.run(&["nightly"]).code, Some(0));
    let heard = stub.heard();
    assert_eq!(heard.len(), 2, "at least once, and no more once it is marked");
    assert_eq!(heard[0].header("idempotency-key"), heard[1].header("idempotency-key"));
    assert_eq!(heard[0].body, heard[1].body);
    assert_eq!(heard[1].header("loamline-attempt"), Some("2"));
}

#[test]
fn a_later_digest_waits_for_the_one_before() {
    let stub = Stub::new(vec![answer(status("401 No")), answer(status("401 No")), fine()]);
    let w = hooked(&stub, LOOPBACK);
    w.drop_in("a.csv", TABLE);
    assert_eq!(w.run(&["nightly"]).code, Some(1));
    w.drop_in("b.csv", later_table());
    assert_eq!(w.run(&["nightly"]).code, Some(1));
    assert_eq!(
        stub.heard().len(),
        2,
        "what somebody must mend is tried once a pass, and holds back the next"
    );
    assert_eq!(w.run(&["nightly"]).code, Some(0));
    let heard = stub.heard();
    assert_eq!(heard.len(), 4);
    let keys: Vec<_> = heard.iter().map(|h| h.header("idempotency-key").unwrap()).collect();
    assert!(keys[0] == keys[1] && keys[1] == keys[2] && keys[2] != keys[3], "{keys:?}");
}

#[test]
fn a_redirect_is_not_followed() {
    let elsewhere = Stub::new(vec![fine()]);
    let to = format!("302 Found\r\nLocation: {}", elsewhere.url());
    let stub = Stub::new(vec![answer(status(&to))]);
    let w = hooked(&stub, LOOPBACK);
    w.drop_in("a.csv", TABLE);
    let said = w.run(&["nightly"]);
    assert_eq!(said.code, Some(1));
    assert!(said.out.contains("points elsewhere, which is not followed"), "{}", said.out);
    assert_eq!((stub.heard().len(), elsewhere.heard().len()), (1, 0));
}

#[test]
fn this_machine_is_reached_only_where_the_settings_say_so() {
    let stub = Stub::new(vec![fine()]);
    for host in ["127.0.0.1", "localhost", "2130706433"] {
        let url = format!("http://{host}:{}/in", stub.port);
        let w = world(&format!(
            "[webhook]\nurl = \"{url}\"\nsecret = \"hush-hush\"\nallowed = [\"10.0.0.0/8\"]\n"
        ));
        w.drop_in("a.csv", TABLE);
        let said = w.run(&["nightly"]);
        assert_eq!(said.code, Some(1));
        assert!(said.out.contains("not on the public internet"), "{host}: {}", said.out);
    }
    assert_eq!(stub.heard().len(), 0);
}

#[test]
fn a_slow_server_costs_its_time_and_no_secret_is_logged() {
    let stub = Stub::new(vec![Act::Slow(Duration::from_secs(30))]);
    let w = hooked(&stub, "allowed = [\"127.0.0.0/8\"]\nseconds = 0.2\n");
    w.drop_in("a.csv", TABLE);
    let start = Instant::now();
    let said = w.run(&["--log-format", "json", "-vv", "nightly"]);
    assert!(start.elapsed() < Duration::from_secs(20));
    assert_eq!(said.code, Some(1));
    assert!(said.out.contains("did not answer in time"), "{}", said.out);
    assert!(said.err.lines().count() > 1);
    for line in said.err.lines() {
        let event: serde_json::Value = serde_json::from_str(line).unwrap();
        assert!(event["timestamp"].is_string() && event["level"].is_string(), "{line}");
    }
    for secret in ["hush-hush", "in-key"] {
        assert!(!said.err.contains(secret) && !said.out.contains(secret));
    }
}

#[test]
fn what_nobody_asks_for_any_more_is_given_up_and_said() {
    let stub = Stub::new(vec![answer(status("500 Oops"))]);
    let w = hooked(&stub, LOOPBACK);
    w.drop_in("a.csv", TABLE);
    w.run(&["nightly"]);
    w.settings(super::QUICK);
    let said = w.run(&["nightly"]);
    assert!(said.out.contains("Given up"), "{}", said.out);
    assert_eq!(w.run(&["nightly"]).code, Some(0));
}

#[test]
fn without_receivers_nothing_is_told_and_the_digest_can_be_looked_at() {
    let w = world("");
    w.drop_in("a.csv", TABLE);
    w.run(&["nightly"]);
    for _ in 0..2 {
        let said = w.run(&["digest"]);
        assert!(
            said.out
                .contains("New reports\n  a.csv: Example Soil Room, J. Orchard, report R-100, 16 readings"),
            "{}",
            said.out
        );
    }
    assert!(w.run(&["digest", "--html"]).out.starts_with("<!DOCTYPE html>"));
}
