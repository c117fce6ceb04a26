//! What the fixture reports recommend in nitrogen, held against a list made by looking at them: nothing wrong is taken.

use crate::scoring::rows;
use crate::world::World;
use loamline::history::History;
use loamline::history::recommendation::OfSample;
use serde_json::Value;
use std::path::Path;

/// File, sample, as printed, and lb/1000 ft2 where it is certain. Every fixture that is not named recommends no nitrogen.
const SEEN: [(&str, &str, &str, Option<f64>); 20] = [
    ("Soil letter PL18209.eml", "Fallowes lawn", "2 to 3 pounds for 1000 square feet", None),
    ("soil-letter-PL16128.pdf", "Fallowes lawn", "2 to 3 pounds for 1000 square feet", None),
    ("soil-letter-PL17897.pdf", "Fallowes lawn", "2 to 3 pounds for 1000 square feet", None),
    ("soil-letter-PL19179.pdf", "Fallowes lawn", "2 to 3 pounds for 1000 square feet", None),
    ("soil-letter-PL20478.pdf", "Fallowes lawn", "2 to 3 pounds for 1000 square feet", None),
    ("everwold-index-rates.pdf", "South border", "3.0 lb per 1000 sq ft (Fescue lawn)", None),
    ("everwold-index-rates.pdf", "South border", "1.5 lb per 1000 sq ft (Shrubs)", None),
    ("everwold-index-rates.pdf", "South border", "2.5 lb per 1000 sq ft (Vegetables)", None),
    ("jorvane-letter.pdf", "Vegetable beds", "2 pounds of nitrogen for each 1000 square feet", Some(2.0)),
    ("dorrick-fields-rates.pdf", "Bottom 20", "150 lb/A", Some(150.0 / 43.56)),
    ("dorrick-fields-rates.pdf", "Silo", "150 lb/A", Some(150.0 / 43.56)),
    ("dorrick-fields-rates.pdf", "Hwy 9", "150 lb/A", Some(150.0 / 43.56)),
    ("dorrick-fields-rates.pdf", "North 40", "150 lb/A", Some(150.0 / 43.56)),
    ("dorrick-fields-rates.pdf", "K", "150 lb/A", Some(150.0 / 43.56)),
    ("dorrick-fields-rates.pdf", "Pond", "150 lb/A", Some(150.0 / 43.56)),
    ("orbrestle-boxes.pdf", "East paddock", "120 pounds per acre", Some(120.0 / 43.56)),
    ("orbrestle-boxes.pdf", "Chapel Croft", "120 pounds per acre", Some(120.0 / 43.56)),
    ("tarnwick-stacked.pdf", "12", "120 pounds per acre (Bermuda turf)", Some(120.0 / 43.56)),
    ("tarnwick-stacked.pdf", "13", "120 pounds per acre (Bermuda turf)", Some(120.0 / 43.56)),
    ("tarnwick-stacked.pdf", "14A", "100 pounds per acre (Fescue turf)", Some(100.0 / 43.56)),
];
type Said = (String, String, String, Option<i64>);

fn hundred_thousandths(lb: f64) -> i64 {
    (lb * 1e5).round() as i64
}

#[test]
fn every_fixture_recommends_what_a_person_sees_on_it_and_nothing_else() {
    let mut found: Vec<Said> = Vec::new();
    let (mut files, mut recommending) = (0, 0);
    for folder in ["demo", "layouts", "scans"] {
        let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("fixtures").join(folder);
        for entry in std::fs::read_dir(folder).unwrap().map(|e| e.unwrap().path()) {
            let name = entry.file_name().unwrap().to_string_lossy().into_owned();
            let beside = [".readings.csv", ".why.txt"].iter().any(|end| name.ends_with(end));
            if entry.is_dir() || beside || name == "TRAPS.csv" {
                continue;
            }
            files += 1;
            let mut here = Vec::new();
            rows::nitrogen(&std::fs::read(&entry).unwrap(), 0, &mut here);
            recommending += usize::from(!here.is_empty());
            found.extend(here.into_iter().map(|(label, nitrogen)| {
                let lb = nitrogen.lb_per_1000_ft2().map(hundred_thousandths);
                (name.clone(), label, nitrogen.said(), lb)
            }));
        }
    }
    let mut seen: Vec<Said> = SEEN
        .iter()
        .map(|(file, label, said, lb)| {
            ((*file).to_owned(), (*label).to_owned(), (*said).to_owned(), lb.map(hundred_thousandths))
        })
        .collect();
    found.sort();
    seen.sort();
    assert_eq!(found, seen);
    assert!(files > 100 && recommending == 10, "{recommending} of {files}");
}

const PRINTED: &str = "\
Laboratory,Example Soil Room
Client,J. Orchard
Report,R-100
Date reported,2024-05-06

Sample ID,Date sampled,pH (1:1 water),Phosphorus (Mehlich-3) ppm,Potassium (Mehlich-3) ppm,Recommended N (lb/acre)
Front lawn,2024-04-20,6.4,31,142,130
Back lawn,2024-04-20,6.1,18,97,100-130
";

const SITES: &str = "[sites.j-orchard-front-lawn]\nuse = \"lawn\"\nspecies = \"tall fescue\"\n\
    [sites.j-orchard-back-lawn]\nuse = \"lawn\"\nspecies = \"tall fescue\"\n";

fn planned(world: &World, site: &str) -> Value {
    let said = world.run(&["--as-of", "2024-05-20", "plan", site, "--json"]);
    assert_eq!(said.code, Some(0), "{}", said.err);
    serde_json::from_str(&said.out).unwrap()
}

#[test]
fn a_plan_rests_on_what_the_report_prints_unless_it_is_unsure_or_the_keeper_decides() {
    let world = World::new();
    world.settings(SITES);
    let path = world.give("r.csv", PRINTED);
    assert_eq!(world.ingest(&path).code, Some(0));
    let of = |plan: &Value| {
        (
            plan["nitrogen"][0]["target"]["source"].as_str().unwrap().to_owned(),
            plan["nitrogen"][0]["target"]["lb_per_1000_ft2"].as_f64().unwrap(),
        )
    };
    let front = planned(&world, "front-lawn");
    let (source, lb) = of(&front);
    assert!(source == "laboratory" && (lb - 130.0 / 43.56).abs() < 1e-9, "{front}");
    assert_eq!(
        front["nitrogen"][0]["target"]["reason"],
        "The laboratory recommends 130 lb/acre (2.98 lb/1000 ft2) of nitrogen, report R-100, 2024-05-06."
    );
    // A span is asked about, and the guide's figure stands meanwhile.
    let back = planned(&world, "back-lawn");
    assert_eq!(of(&back).0, "va-dcr-lawn");
    let asked = back["questions"].as_array().unwrap().iter().find(|q| q["source"] == "laboratory").unwrap();
    assert!(asked["question"].as_str().unwrap().contains("100-130 lb/acre"), "{asked}");
    let history = world.run(&["history", "front-lawn"]).out;
    assert!(history.contains("recommends 130 lb/acre (2.98 lb/1000 ft2)"), "{history}");
    // No reading came of it, and the settings go before the report.
    assert_eq!(world.export("readings").len(), 6);
    world.settings(&SITES.replacen("use", "n_lb_per_1000_ft2 = 1.5\nuse", 1).replace(
        "[sites.j-orchard-back-lawn]\n",
        "[sites.j-orchard-back-lawn]\nlab_nitrogen = \"120 lb/acre\"\n",
    ));
    assert_eq!(of(&planned(&world, "front-lawn")), ("keeper".to_owned(), 1.5));
    let settled = planned(&world, "back-lawn");
    assert!((of(&settled).1 - 120.0 / 43.56).abs() < 1e-9);
    let asked = settled["questions"].as_array().unwrap();
    let of_lab = |q: &Value| q["question"].as_str().unwrap().contains("lab_nitrogen");
    assert!(!asked.iter().any(of_lab), "{settled}");
}

#[test]
fn a_fresh_reading_finds_what_differs_and_a_history_made_anew_has_it_all() {
    let world = World::new();
    let path = world.give("r.csv", PRINTED);
    assert_eq!(world.ingest(&path).code, Some(0));
    let store = |world: &World| History::open(&world.home().join("loamline.db")).unwrap();
    let sha = store(&world).documents().unwrap()[0].source_sha256.clone();
    let first = store(&world).recommendations_of(&sha).unwrap();
    assert_eq!(first.len(), 2);
    assert_eq!(world.run(&["verify", "--all"]).code, Some(0));
    // As a program left it that read none: named, and nothing is wrong.
    store(&world).set_recommendations(&sha, &[]).unwrap();
    let said = world.run(&["verify", "--all"]);
    assert!(
        said.code == Some(0) && said.out.contains("read-otherwise") && said.out.contains("130"),
        "{}",
        said.out
    );
    // A figure that a plan may rest on and the original does not say.
    let mut wrong: Vec<OfSample> = first.clone();
    wrong[0].nitrogen.amount = Some(310.0);
    store(&world).set_recommendations(&sha, &wrong).unwrap();
    let said = world.run(&["verify", "--all"]);
    assert!(said.code == Some(1) && said.out.contains("number-differs"), "{}", said.out);
    assert_eq!(world.run(&["reread", "--all", "--apply", "--who", "Robin"]).code, Some(0));
    assert_eq!(store(&world).recommendations_of(&sha).unwrap(), first);
    assert_eq!(world.run(&["verify", "--all"]).code, Some(0));
    let anew = world.home().with_file_name("anew");
    let said = world.run(&["rebuild", anew.to_str().unwrap()]);
    assert_eq!(said.code, Some(0), "{}{}", said.out, said.err);
    let made = History::open(&anew.join("loamline.db")).unwrap();
    assert_eq!(made.recommendations_of(&sha).unwrap(), first);
}
