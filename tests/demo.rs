//! The demo from outside: history, flags and chart of a site say what its printed reports say.

use crate::world::World;
use serde_json::Value;
use std::collections::BTreeMap;

const DAY: &str = "2026-11-25";
const LAWN: &str = "r-i-tamsett-front-and-side-lawn";

/// P of one lawn by season, from the truth beside its reports.
fn printed_p() -> BTreeMap<i64, f64> {
    let folder = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("fixtures/demo");
    let mut out = BTreeMap::new();
    for entry in std::fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        if !path.to_string_lossy().ends_with("Tamsett.pdf.readings.csv") {
            continue;
        }
        let mut reader = csv::Reader::from_path(path).unwrap();
        let at = |name: &str, headers: &csv::StringRecord| headers.iter().position(|h| h == name).unwrap();
        let headers = reader.headers().unwrap().clone();
        for row in reader.records() {
            let row = row.unwrap();
            if &row[at("analyte", &headers)] == "phosphorus" {
                let season: i64 = row[at("sampled_on", &headers)][..4].parse().unwrap();
                out.insert(season, row[at("value", &headers)].parse().unwrap());
            }
        }
    }
    out
}

#[test]
fn history_flags_and_chart_of_a_site_agree_with_its_printed_reports() {
    let world = World::new();
    let said = world.run(&["--as-of", DAY, "demo"]);
    assert_eq!(said.code, Some(0), "{}", said.err);
    let printed = printed_p();
    assert!(printed.len() >= 9);

    let history: Vec<Value> = serde_json::from_str(&world.run(&["history", LAWN, "--json"]).out).unwrap();
    let kept: BTreeMap<i64, f64> = history
        .iter()
        .filter(|r| r["analyte"] == "phosphorus" && r["status"] == "accepted")
        .map(|r| (r["season"].as_i64().unwrap(), r["value"].as_f64().unwrap()))
        .collect();
    assert_eq!(kept, printed);

    let flags: Vec<Value> =
        serde_json::from_str(&world.run(&["--as-of", DAY, "flags", "--json"]).out).unwrap();
    let flag = flags.iter().find(|f| f["site"] == LAWN && f["analyte"] == "phosphorus").unwrap();
    let last = *printed.values().last().unwrap();
    assert_eq!((flag["flag"].as_str(), flag["value"].as_f64()), (Some("drawing-down"), Some(last)));
    let pitch = flags.iter().find(|f| f["flag"] == "below-sufficiency").unwrap();
    assert_eq!((pitch["analyte"].as_str(), pitch["value"].as_f64()), (Some("potassium"), Some(32.0)));
    // The green in order, and the calcareous lawn with its high pH, show nothing.
    for quiet in ["vexley-recreation-trust-bowling-green", "limmerton-hall-terrace-lawn"] {
        assert!(flags.iter().all(|f| f["site"] != quiet), "{quiet}");
    }

    let chart = std::fs::read_to_string(world.home().join(format!("charts/{LAWN}/main.svg"))).unwrap();
    assert!(
        chart.contains(&format!("{} seasons from 2016 to 2026, last {last} mg/kg", printed.len())),
        "{chart:.900}"
    );
}

#[test]
fn a_typing_error_of_the_laboratory_waits_for_a_person() {
    let world = World::new();
    world.run(&["--as-of", DAY, "demo"]);
    let held: Vec<Value> = world.export("readings").into_iter().filter(|r| r["status"] == "held").collect();
    let analytes: Vec<&str> = held.iter().map(|r| r["analyte"].as_str().unwrap()).collect();
    assert!(analytes.contains(&"calcium") && held.iter().all(|r| r["season"] == 2022), "{held:?}");
    assert!(held[0]["doubt"].as_str().unwrap().contains("CEC"));
}
