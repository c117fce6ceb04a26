//! What a monitor is told: `loamline health` is 0 only while the inbox is looked at and the last checks found nothing.

use crate::page::Pages;
use crate::world::{TABLE, World, eventually};
use std::fs;

#[test]
fn a_home_is_well_after_a_night_and_no_more_once_an_original_is_gone() {
    let w = World::new();
    w.settings("[watch]\nsettle_seconds = 0.05\n");
    let said = w.run(&["health"]);
    assert_eq!(said.code, Some(1), "nobody looked yet: {}", said.out);
    w.drop_in("a.csv", TABLE);
    assert_eq!(w.run(&["nightly"]).code, Some(0));
    let said = w.run(&["health"]);
    assert_eq!(said.code, Some(0), "{}", said.out);
    assert!(said.out.contains("`nightly`") && said.out.contains("sound"), "{}", said.out);
    let kept = w.export("documents")[0]["kept_at"].as_str().unwrap().to_owned();
    let aside = w.home().join("aside");
    fs::rename(w.home().join(&kept), &aside).unwrap();
    assert_eq!(w.run(&["verify"]).code, Some(1));
    let said = w.run(&["health"]);
    assert_eq!(said.code, Some(1), "{}", said.out);
    assert!(said.out.contains("is missing"), "{}", said.out);
    // The night looks at the store alone, and does not take that back.
    assert_eq!(w.run(&["nightly"]).code, Some(0));
    assert_eq!(w.run(&["health"]).code, Some(1));
    let digest = w.run(&["digest"]);
    assert!(digest.out.contains("is missing"), "{}", digest.out);
    fs::rename(&aside, w.home().join(&kept)).unwrap();
    assert_eq!(w.run(&["verify"]).code, Some(0));
    assert_eq!(w.run(&["health"]).code, Some(0));
}

#[test]
fn a_service_says_what_keeps_it_from_its_work_and_when_that_is_over() {
    let w = World::new();
    let settings = |free: u64| {
        w.settings(&format!("[watch]\nsettle_seconds = 0.1\nlist_seconds = 1\nkeep_free_mib = {free}\n"));
    };
    settings(1 << 40);
    let path = w.drop_in("a.csv", TABLE);
    let pages = Pages::of(&w);
    let health = || w.run(&["health"]);
    eventually("the service is kept from its work", || health().out.contains("MiB free"));
    assert_eq!(health().code, Some(1));
    eventually("the pages say so", || pages.get("/").text().contains("loamline health"));
    settings(1);
    eventually("the report is taken", || !path.exists());
    eventually("all is well", || health().code == Some(0));
    assert!(!pages.get("/").text().contains("loamline health"));
    assert!(health().out.contains("`serve`"));
}

#[test]
fn a_damaged_store_is_found_by_the_service_itself() {
    let w = World::new();
    w.settings("[watch]\nsettle_seconds = 0.05\nlist_seconds = 1\n");
    let path = w.give("a.csv", TABLE);
    w.ingest(&path);
    let store = rusqlite::Connection::open(w.home().join("loamline.db")).unwrap();
    store.execute_batch("PRAGMA ignore_check_constraints = ON; UPDATE documents SET bytes = -1").unwrap();
    drop(store);
    let running = w.start(&["watch"]);
    eventually("it is found", || w.run(&["health"]).out.contains("not sound"));
    assert_eq!(w.run(&["health"]).code, Some(1));
    assert_eq!(running.stop(), Some(0));
}
