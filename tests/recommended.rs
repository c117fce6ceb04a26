//! What the fixture reports recommend in nitrogen, held against a list made by looking at them: nothing wrong is taken.

use crate::scoring::rows;
use std::path::Path;

/// File, sample, as printed, and lb/1000 ft2 where it is certain. Every fixture that is not named recommends no nitrogen.
const SEEN: [(&str, &str, &str, Option<f64>); 12] = [
    ("Soil letter PL18209.eml", "Fallowes lawn", "2 to 3 pounds for 1000 square feet", None),
    ("soil-letter-PL16128.pdf", "Fallowes lawn", "2 to 3 pounds for 1000 square feet", None),
    ("soil-letter-PL17897.pdf", "Fallowes lawn", "2 to 3 pounds for 1000 square feet", None),
    ("soil-letter-PL19179.pdf", "Fallowes lawn", "2 to 3 pounds for 1000 square feet", None),
    ("soil-letter-PL20478.pdf", "Fallowes lawn", "2 to 3 pounds for 1000 square feet", None),
    ("everwold-index-rates.pdf", "South border", "3.0 lb per 1000 sq ft (Fescue lawn)", None),
    ("everwold-index-rates.pdf", "South border", "1.5 lb per 1000 sq ft (Shrubs)", None),
    ("everwold-index-rates.pdf", "South border", "2.5 lb per 1000 sq ft (Vegetables)", None),
    ("jorvane-letter.pdf", "Vegetable beds", "2 pounds of nitrogen for each 1000 square feet", Some(2.0)),
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
    assert!(files > 100 && recommending == 8, "{recommending} of {files}");
}
