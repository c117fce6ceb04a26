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

#[test]
fn the_firm_has_a_plan_and_one_lawn_is_mostly_left_alone() {
    let world = World::new();
    let said = world.run(&["--as-of", DAY, "demo"]);
    assert!(said.out.contains("plan --all") && said.out.contains("letter "), "{}", said.out);
    let all: Value =
        serde_json::from_str(&world.run(&["--as-of", DAY, "plan", "--all", "--json"]).out).unwrap();
    // This year's feeding days are over, so that the next season is planned.
    assert_eq!(all["season"], 2027);
    let plans = all["plans"].as_array().unwrap();
    let of = |site: &str| plans.iter().find(|plan| plan["site"].as_str().unwrap().contains(site)).unwrap();
    let supplied = |site: &str, nutrient: &str| -> f64 {
        let done = of(site)["applications"].as_array().unwrap();
        done.iter().filter_map(|one| one["supplies_lb_per_1000_ft2"][nutrient].as_f64()).sum()
    };
    for plan in plans {
        let n = &plan["nitrogen"][0];
        let (season, down) = (n["account"]["season"].as_f64(), n["account"]["down"].as_f64());
        assert_eq!(down.or(n["down"].as_f64()), Some(0.0), "{n}");
        let season = season.or(n["season"].as_f64()).unwrap();
        assert!((supplied(plan["site"].as_str().unwrap(), "n") - season).abs() < 1e-9, "{plan}");
        for one in plan["applications"].as_array().unwrap() {
            assert!(one["product"].is_string() && one["total"]["lb"].as_f64().unwrap() > 0.0, "{one}");
        }
    }
    // Potash for the hungry pitch alone, phosphate where the line meets the floor alone.
    for plan in plans {
        let site = plan["site"].as_str().unwrap();
        assert_eq!(supplied(site, "k2o") > 0.0, site.contains("pitch"), "{site}");
        assert_eq!(supplied(site, "p2o5") > 0.0, site.contains("tamsett"), "{site}");
    }
    // Use 2.0 lb K and 0.14 lb short of the floor (37 - 32 mg/kg in 10 cm), as K2O.
    assert!((supplied("pitch", "k2o") - 2.57).abs() < 0.02, "{}", supplied("pitch", "k2o"));
    let terrace = of("terrace");
    let count = |list: &str| terrace[list].as_array().unwrap().len();
    assert!(count("applications") == 1 && count("leave_alone") >= 4, "{terrace}");
    // A falling pH is watched, and no rate from memory is spread.
    let court = of("court-lawn");
    assert!(court["questions"][0]["question"].as_str().unwrap().contains("lime"), "{court}");
    assert_eq!(court["retests"][0]["on"], "2027-04-08");
}

/// What is said of a site alone and of all at once must be the same to the last digit.
#[test]
fn all_sites_at_once_say_what_each_says_alone() {
    use loamline::assess::{AssessSettings, assess, assess_all};
    use loamline::history::{Filter, History};
    let world = World::new();
    assert_eq!(world.run(&["--as-of", DAY, "demo"]).code, Some(0));
    let history = History::open(&world.home().join("loamline.db")).unwrap();
    let today = DAY.parse().unwrap();
    let how = AssessSettings::built_in().unwrap();
    let sites: Vec<_> = history.sites().unwrap().into_iter().map(|site| (site, how.clone())).collect();
    let ids: Vec<&str> = sites.iter().map(|(site, _)| site.id.as_str()).collect();
    let together = assess_all(&sites, history.columns_of(&ids).unwrap(), today).unwrap();
    assert!(together.len() > 5 && together.iter().any(|one| !one.flags.is_empty()));
    for ((site, how), one) in sites.iter().zip(&together) {
        let rows = history.readings(&Filter { site: Some(site.id.clone()), ..Filter::default() }).unwrap();
        let alone = assess(site, &rows, how, today).unwrap();
        assert!(!alone.series.is_empty());
        assert_eq!(&alone, one);
    }
    let exported: Value =
        serde_json::from_str(&world.run(&["--as-of", DAY, "export", "trends", "--format", "json"]).out)
            .unwrap();
    let alone: Value =
        serde_json::from_str(&world.run(&["--as-of", DAY, "trend", LAWN, "--json"]).out).unwrap();
    let of_lawn: Vec<&Value> =
        exported.as_array().unwrap().iter().filter(|row| row["site"] == LAWN).collect();
    assert_eq!(of_lawn, alone.as_array().unwrap().iter().collect::<Vec<_>>());
}
