//! Whose sample it is: rosters, codes on bags, near names, two spellings made one.

use super::world::{TABLE, World};
use std::collections::BTreeSet;

const ROSTER: &str = "\
Sample Names;Client;ID;Name;Phone;AREA;use;depth
Front lawn | Frnt;J. Orchard;ORC-1;Front lawn;123;8,000 sq ft;turf;0-4 in
Back lawn;J. Orchard;ORC-2;Back lawn;;0.1 acre;turf;4 in
";

fn sites_of(w: &World) -> BTreeSet<String> {
    w.export("readings").iter().map(|r| r["site"].as_str().unwrap().to_owned()).collect()
}

fn ok(w: &World, args: &[&str]) -> String {
    let said = w.run(args);
    assert_eq!(said.code, Some(0), "{args:?}: {} {}", said.out, said.err);
    said.out
}

/// The number after `decision `.
fn decision(said: &str) -> String {
    said.split("decision ").nth(1).unwrap().chars().take_while(char::is_ascii_digit).collect()
}

/// A key of a held reading of the sample with this name.
fn key_of(w: &World, label: &str) -> String {
    let rows: Vec<serde_json::Value> = serde_json::from_str(&w.run(&["held", "--json"]).out).unwrap();
    let row = rows.iter().find(|r| r["reading"]["sample_label"] == label);
    row.unwrap_or_else(|| panic!("nothing of `{label}` is held"))["reading"]["id"].to_string()
}

/// The table of one sample with another name, another season.
fn named(label: &str, year: &str) -> String {
    let head = TABLE.split("Front lawn").next().unwrap();
    format!("{head}{label},2024-04-20,6.4,3.9,31,142\n")
        .replace("2024", year)
        .replace("R-100", &format!("R-{year}"))
}

#[test]
fn a_roster_names_the_sites_before_any_report_comes() {
    let w = World::new();
    let roster = w.give("roster.csv", ROSTER);
    let roster = roster.to_str().unwrap();
    let dry = ok(&w, &["sites", "import", roster, "--dry-run"]);
    assert!(
        dry.contains("new site orc-1") && dry.contains("Phone") && dry.contains("nothing is written"),
        "{dry}"
    );
    assert!(ok(&w, &["sites"]).contains("No sites yet"));
    let said = ok(&w, &["sites", "import", roster, "--who", "Robin"]);
    w.ingest(&w.give("a.csv", TABLE));
    let sites = sites_of(&w);
    assert!(sites.contains("orc-1") && sites.contains("orc-2"), "{sites:?}");
    assert!(sites.contains("j-orchard-north-bed"), "what no roster names is a site of its own: {sites:?}");
    assert!(ok(&w, &["sites", "import", roster, "--who", "Robin"]).contains("nothing new"));
    let undo = w.run(&["undo", &decision(&said), "--who", "Robin"]);
    assert_eq!(undo.code, Some(1), "reports stand under its sites");
    assert!(undo.err.contains("orc-1"), "{}", undo.err);
    assert_eq!(w.run(&["verify"]).code, Some(0));
}

#[test]
fn a_changed_roster_updates_and_the_import_is_taken_back_whole() {
    let w = World::new();
    ok(&w, &["sites", "import", w.give("r.csv", ROSTER).to_str().unwrap(), "--who", "Robin"]);
    let before = ok(&w, &["sites", "--json"]);
    let changed = ROSTER.replace("8,000 sq ft", "9000").replace(" | Frnt", "");
    let said = ok(&w, &["sites", "import", w.give("s.csv", &changed).to_str().unwrap(), "--who", "Kim"]);
    assert!(
        said.contains("area_ft2 8000.0 -> 9000.0") && said.contains("`Frnt` means orc-1 no more"),
        "{said}"
    );
    assert!(ok(&w, &["sites", "--json"]).contains("9000"));
    ok(&w, &["undo", &decision(&said), "--who", "Robin"]);
    assert_eq!(ok(&w, &["sites", "--json"]), before);
    let log = ok(&w, &["settle", "log", "--json"]);
    assert!(log.contains("\"Kim\"") && log.contains("9000") && log.contains("8000"), "{log}");
}

#[test]
fn a_wrong_roster_names_line_and_column_and_changes_nothing() {
    let w = World::new();
    let wrong = ROSTER.replace("0.1 acre", "big").replace("4 in\n", "4\n");
    let said = w.run(&["sites", "import", w.give("r.csv", wrong).to_str().unwrap(), "--who", "Robin"]);
    assert_eq!(said.code, Some(1));
    assert!(
        said.err.contains("line 3, column 6 (AREA)") && said.err.contains("line 3, column 8"),
        "{}",
        said.err
    );
    assert!(ok(&w, &["sites"]).contains("No sites yet"));
    let twice = ROSTER.replace("Back lawn;J", "Front lawn;J");
    let said = w.run(&["sites", "import", w.give("t.csv", twice).to_str().unwrap(), "--who", "Robin"]);
    assert!(said.err.contains("line 3: the sample name `Front lawn`"), "{}", said.err);
}

#[test]
fn a_lawn_spelled_three_ways_is_offered_as_one_and_never_merged_in_silence() {
    let w = World::new();
    let spelled =
        [("Front lawn", "2022"), ("Front lawn", "2021"), ("Frnt lawn", "2023"), ("Lawn, front", "2024")];
    for (label, year) in spelled {
        let table = named(&format!("\"{label}\""), year);
        let said = w.ingest(&w.give(&format!("{year}.csv"), table));
        assert_eq!(said.code, Some(0), "{label}");
        assert_eq!(said.out.contains("perhaps one: `loamline sites`"), label != "Front lawn", "{}", said.out);
    }
    let (front, frnt, lawn) = ("j-orchard-front-lawn", "j-orchard-frnt-lawn", "j-orchard-lawn-front");
    assert_eq!(sites_of(&w), [front, frnt, lawn].map(str::to_owned).into());
    for list in [&["held"][..], &["sites"]] {
        let offered = ok(&w, list);
        assert_eq!(offered.matches("are perhaps one site.").count(), 3, "{offered}");
        assert!(offered.contains(&format!("loamline sites join {front} {frnt}")), "{offered}");
    }
    ok(&w, &["sites", "join", front, frnt, "--who", "Robin"]);
    let held = ok(&w, &["held"]);
    assert_eq!(held.matches("are perhaps one site.").count(), 1, "{held}");
    assert!(held.contains(lawn), "{held}");
    let again = named("Frnt lawn", "2025");
    assert_eq!(w.ingest(&w.give("again.csv", again)).code, Some(0), "the spelling is known now");
    assert_eq!(sites_of(&w), [front, lawn].map(str::to_owned).into());
    let said = ok(&w, &["sites", "apart", front, lawn, "--who", "Robin"]);
    assert_eq!(ok(&w, &["held"]).trim(), "Nothing waits.", "a person may say they are two");
    assert!(ok(&w, &["sites", "apart", lawn, front, "--who", "Robin"]).contains("said already"));
    ok(&w, &["undo", &decision(&said), "--who", "Robin"]);
    assert_eq!(ok(&w, &["held"]), held);
    let said = w.run(&["sites", "apart", front, front, "--who", "Robin"]);
    assert_eq!(said.code, Some(1), "{}", said.err);
}

#[test]
fn a_name_nearly_one_of_the_roster_waits() {
    let w = World::new();
    assert_eq!(w.ingest(&w.give("early.csv", named("Back lwn", "2021"))).code, Some(0));
    let roster = w.give("roster.csv", ROSTER);
    ok(&w, &["sites", "import", roster.to_str().unwrap(), "--who", "Robin"]);
    let held = ok(&w, &["held"]);
    assert!(
        held.contains("loamline sites join j-orchard-back-lwn orc-2 (or"),
        "what came before is offered: {held}"
    );
    for (label, year) in [("Front lwn", "2023"), ("Lawn, front", "2024")] {
        let table = named(&format!("\"{label}\""), year);
        assert_eq!(w.ingest(&w.give(&format!("{year}.csv"), table)).code, Some(3), "{label}");
    }
    let held = ok(&w, &["held"]);
    assert_eq!(held.matches("or: site orc-1: `Front lawn`").count(), 2, "{held}");
    assert!(held.contains("a site of its own: assign j-orchard-front-lwn"), "{held}");
    assert_eq!(sites_of(&w), BTreeSet::from([String::new(), "j-orchard-back-lwn".to_owned()]));
    let key = key_of(&w, "Front lwn");
    let said = ok(&w, &["settle", "assign", "orc-1", &key, "--remember", "--who", "Robin"]);
    assert!(said.contains("remembered"), "{said}");
    let again = named("Front lwn", "2025");
    assert_eq!(w.ingest(&w.give("again.csv", again)).code, Some(0), "the spelling is known now");
    let key = key_of(&w, "Lawn, front");
    ok(&w, &["settle", "assign", "j-orchard-lawn-front", &key, "--new", "Lawn, front", "--who", "Robin"]);
    assert!(sites_of(&w).contains("j-orchard-lawn-front"), "a person may say they are two");
}

#[test]
fn two_names_that_one_report_has_side_by_side_are_not_offered_as_one() {
    let w = World::new();
    w.ingest(&w.give("a.csv", named("Front lawn", "2022")));
    w.ingest(&w.give("b.csv", named("Front lawns", "2023")));
    assert_eq!(ok(&w, &["held"]).matches("are perhaps one site.").count(), 1);
    let both = TABLE.replace("Back lawn", "Front lawns");
    assert_eq!(w.ingest(&w.give("c.csv", both)).code, Some(0));
    assert_eq!(ok(&w, &["held"]).trim(), "Nothing waits.");
}

#[test]
fn names_beside_each_other_in_one_report_are_sites_of_their_own() {
    let w = World::new();
    let table = TABLE.replace("Back lawn", "Front lawns");
    assert_eq!(w.ingest(&w.give("a.csv", table)).code, Some(0));
    assert_eq!(sites_of(&w).len(), 4);
}

#[test]
fn two_samples_of_one_name_wait_for_the_site_match() {
    let w = World::new();
    let table = TABLE.replace("Back lawn", "Front lawn");
    assert_eq!(w.ingest(&w.give("a.csv", table)).code, Some(3));
    let rows = w.export("readings");
    let held: Vec<_> = rows.iter().filter(|r| r["status"] == "held").collect();
    assert!(held.iter().all(|r| r["sample_label"] == "Front lawn") && held.len() == 8, "{held:?}");
    let key = held[0]["raw_value"].as_str().unwrap();
    assert!(!key.is_empty());
    let key = key_of(&w, "Front lawn");
    ok(&w, &["settle", "assign", "east", &key, "--new", "East", "--who", "Robin"]);
    let rows = w.export("readings");
    assert_eq!(rows.iter().filter(|r| r["site"] == "east" && r["status"] == "accepted").count(), 4);
}

#[test]
fn joining_two_spellings_is_on_purpose_and_comes_apart_again() {
    let w = World::new();
    w.ingest(&w.give("a.csv", TABLE));
    let before = (w.export("readings"), ok(&w, &["sites"]));
    let said = ok(&w, &["sites", "join", "j-orchard-front-lawn", "j-orchard-north-bed", "--who", "Robin"]);
    assert!(!sites_of(&w).contains("j-orchard-north-bed"));
    assert!(!ok(&w, &["sites"]).contains("north-bed"));
    assert!(ok(&w, &["history", "j-orchard-north-bed"]).contains("Front lawn"));
    w.ingest(&w.give("b.csv", named("North bed", "2025")));
    assert!(!sites_of(&w).contains("j-orchard-north-bed"), "what comes later goes there too");
    assert_eq!(w.run(&["verify"]).code, Some(0));
    ok(&w, &["undo", &decision(&said), "--who", "Robin"]);
    let later = w.export("readings");
    let later = later.iter().filter(|r| r["season"] == 2025);
    assert!(later.clone().count() > 0 && later.into_iter().all(|r| r["site"] == "j-orchard-north-bed"));
    let old: Vec<_> = w.export("readings").into_iter().filter(|r| r["season"] == 2024).collect();
    assert_eq!((old, ok(&w, &["sites"])), before);
}

#[test]
fn a_code_on_the_bag_finds_its_site_and_a_misread_one_is_offered() {
    let w = World::new();
    w.ingest(&w.give("a.csv", TABLE));
    let site = "j-orchard-front-lawn";
    let said = ok(&w, &["bag", site, "--season", "2025", "--who", "Robin"]);
    let code = said.split_whitespace().next().unwrap().to_owned();
    assert!(said.contains("Cores: at least") && said.contains("Depth:"), "{said}");
    assert_eq!(
        said,
        ok(&w, &["bag", site, "--season", "2025", "--who", "Kim"]),
        "asked again it is the same"
    );
    assert_ne!(said, ok(&w, &["bag", site, "--season", "2026", "--who", "Kim"]));
    let spoken = code.to_lowercase().replace('-', " ");
    for (label, year) in [(format!("{code} lawn"), "2025"), (spoken, "2026")] {
        let strange = named(&label, year).replace("J. Orchard", "Greenacre Lawn Care");
        assert_eq!(w.ingest(&w.give(&format!("{year}.csv"), strange)).code, Some(0), "{label}");
    }
    assert!(w.export("readings").iter().filter(|r| r["season"] != 2024).all(|r| r["site"] == site));
    let mut misread: Vec<char> = code.chars().collect();
    misread[5] = if misread[5] == '8' { 'B' } else { '8' };
    let misread: String = misread.into_iter().collect();
    assert_eq!(w.ingest(&w.give("2027.csv", named(&misread, "2027"))).code, Some(3));
    let held = ok(&w, &["held"]);
    assert!(held.contains(&format!("or: site {site}, bag {code}")), "{held}");
    let copy = w.home().parent().unwrap().join("copy");
    ok(&w, &["backup", copy.to_str().unwrap()]);
    std::fs::rename(w.home(), w.home().with_extension("old")).unwrap();
    ok(&w, &["restore", copy.to_str().unwrap()]);
    assert_eq!(said, ok(&w, &["bag", site, "--season", "2025", "--who", "Robin"]), "codes survive a copy");
}

#[test]
fn a_report_without_a_client_is_offered_the_site_of_that_name_and_the_roster_finds_it() {
    let w = World::new();
    let bare = named("ORC 7", "2024").replace("Client,J. Orchard\n", "");
    assert_eq!(w.ingest(&w.give("a.csv", bare)).code, Some(3));
    let roster = "id,client,name,codes\norc-7,J. Orchard,Paddock,ORC-7\n";
    let said = ok(&w, &["sites", "import", w.give("r.csv", roster).to_str().unwrap(), "--who", "Robin"]);
    assert!(said.contains("`ORC 7` of `a.csv` waited and is of orc-7 now"), "{said}");
    assert!(w.export("readings").iter().all(|r| r["site"] == "orc-7" && r["status"] == "accepted"));
    let bare = named("Paddock", "2025").replace("Client,J. Orchard\n", "");
    assert_eq!(w.ingest(&w.give("b.csv", bare)).code, Some(3));
    assert!(ok(&w, &["held"]).contains("or: site orc-7: `Paddock`"));
}

#[test]
fn a_site_is_changed_by_key_and_value_and_the_change_is_taken_back() {
    let w = World::new();
    w.ingest(&w.give("a.csv", TABLE));
    let site = "j-orchard-front-lawn";
    let before = ok(&w, &["sites", "--json"]);
    let said = ok(&w, &["sites", "set", site, "area=0.5 acre", "sample=Vorderrasen", "--who", "Robin"]);
    assert!(said.contains("area_ft2 nothing -> 21780.0"), "{said}");
    w.ingest(&w.give("b.csv", named("Vorderrasen", "2025")));
    assert!(w.export("readings").iter().any(|r| r["season"] == 2025 && r["site"] == site));
    ok(&w, &["undo", &decision(&said), "--who", "Robin"]);
    assert_eq!(ok(&w, &["sites", "--json"]), before);
    for wrong in ["use=moonscape", "colour=red", "area", "guides=none-such"] {
        assert_eq!(w.run(&["sites", "set", site, wrong, "--who", "Robin"]).code, Some(1), "{wrong}");
    }
}

#[test]
fn a_roster_with_zones_gives_each_its_name_depth_and_area() {
    let w = World::new();
    let roster = "id,client,name,zone,area,sample names,depth\n\
        vale,J. Orchard,Vale,front,5000,Front lawn,0-4 in\nvale,J. Orchard,Vale,back,3000,Back lawn,0-6 in\n";
    ok(&w, &["sites", "import", w.give("r.csv", roster).to_str().unwrap(), "--who", "Robin"]);
    w.ingest(&w.give("a.csv", TABLE));
    let rows = w.export("readings");
    let zone = |label: &str| rows.iter().find(|r| r["sample_label"] == label).unwrap()["zone"].clone();
    assert_eq!((zone("Front lawn"), zone("Back lawn")), ("front".into(), "back".into()));
    assert!(ok(&w, &["sites"]).contains("8000"));
    let bag = ok(&w, &["bag", "vale", "--zone", "back", "--who", "Robin"]);
    assert!(bag.contains("zone back") && bag.contains("0.0 to 6.0 in"), "{bag}");
    assert_eq!(w.run(&["bag", "vale", "--zone", "side", "--who", "Robin"]).code, Some(1));
}
