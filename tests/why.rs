//! `--why` from outside: what each thing said rests on, in words, in JSON and in exports; a site's own edges.

use crate::world::{TABLE, World};
use serde_json::Value;

const DAY: &str = "2024-06-01";

fn world() -> World {
    let world = World::new();
    world.settings(
        "[sites.j-orchard-front-lawn]\nuse = \"lawn\"\nregion = \"oregon\"\n\n[sites.j-orchard-front-lawn.edges]\npotassium = { method = \"mehlich-3\", from = 150, note = \"the club's wish\" }\n",
    );
    let report = world.give("table.csv", TABLE);
    assert_eq!(world.run(&["ingest", report.to_str().unwrap()]).code, Some(0));
    world
}

#[test]
fn a_flag_on_the_sites_own_edge_names_it_with_its_note_and_the_reading_behind_it() {
    let world = world();
    let said = world.run(&["--as-of", DAY, "flags", "--site", "front-lawn", "--why"]);
    assert_eq!(said.code, Some(0), "{}", said.err);
    for words in ["the site's own range (\u{201c}the club's wish\u{201d})", "table.csv", "142 ppm", "rule"] {
        assert!(said.out.contains(words), "{words} is missing:\n{}", said.out);
    }
    let flags: Value = serde_json::from_str(
        &world.run(&["--as-of", DAY, "flags", "--site", "front-lawn", "--json", "--why"]).out,
    )
    .unwrap();
    let flag = flags.as_array().unwrap().iter().find(|flag| flag["analyte"] == "potassium").unwrap();
    assert_eq!((flag["guide"].as_str(), flag["edge"].as_f64()), (Some("own-edge"), Some(150.0)));
    assert_eq!(flag["why"]["series"]["used"][0]["readings"][0]["file"], "table.csv");
    assert_eq!(flag["why"]["series"]["tables"][0]["checked"], "OWN");
    assert!(!flag["why"]["rule"].as_str().unwrap().is_empty());
}

#[test]
fn history_trend_and_exports_explain_themselves() {
    let world = world();
    let history: Value =
        serde_json::from_str(&world.run(&["history", "front-lawn", "--json", "--why"]).out).unwrap();
    assert_eq!(history["readings"].as_array().unwrap().len(), 4);
    let trend: Value =
        serde_json::from_str(&world.run(&["trend", "front-lawn", "--json", "--why"]).out).unwrap();
    let p = trend.as_array().unwrap().iter().find(|row| row["analyte"] == "phosphorus").unwrap();
    let table = &p["why"]["tables"][0];
    assert_eq!((table["guide"].as_str(), table["checked"].as_str()), (p["guide"].as_str(), Some("READ")));
    let rows: Value =
        serde_json::from_str(&world.run(&["export", "trends", "--format", "json", "--why"]).out).unwrap();
    assert!(rows.as_array().unwrap().iter().all(|row| row["why"].as_str().unwrap().contains("used: 2024")));
    assert_eq!(world.run(&["export", "sites", "--why"]).code, Some(1));
}
