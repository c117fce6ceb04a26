//! Methods in a column or a line of their own: extracts named with their pH, how something was counted, a ratio alone.
//! Names and numbers are invented.

use super::super::read;
use super::{reading, sample, sheets, value};
use crate::soil::{Method, Report};

fn sheet(lines: &[&str]) -> Vec<Report> {
    read(&sheets(&[("", lines)])).unwrap()
}

const HEAD: &str = "Client|Hob Mill Trust||Received|2024-03-14";

#[test]
fn the_ph_of_an_extract_in_a_column_of_methods_is_no_row() {
    let rows = |calcium: &str| {
        sheet(&[
            HEAD,
            "Analyte|Method|Unit|Long acre|Moss",
            "Lab no|||7-1|7-2",
            "pH (water)|1:5 soil:water||6.4|6.1",
            "Organic matter|Walkley-Black|%|4.0|3.7",
            &format!("Exch. Calcium|{calcium}|cmol(+)/kg|13.24|11.83"),
            &format!("Exch. Magnesium|{calcium}|cmol(+)/kg|1.82|1.45"),
            "Zinc|DTPA|mg/kg|2.4|2.9",
        ])
    };
    for method in ["1 M ammonium acetate pH 7", "acetato de amónio pH 7"] {
        let found = rows(method);
        let (acre, moss) = (sample(&found, "Long acre"), sample(&found, "Moss"));
        assert_eq!(reading(acre, "calcium").method, Method::AmmoniumAcetate, "{method}");
        assert!(value(acre, "calcium").1 && value(moss, "magnesium").1 && value(moss, "zinc").1, "{method}");
        assert_eq!(value(acre, "ph"), (6.4, true), "{method}");
        assert_eq!(acre.readings.iter().filter(|r| r.analyte.id() == "ph").count(), 1, "{method}");
    }
    // At another pH it is another extract, and nothing is sure.
    let found = rows("1 M ammonium acetate pH 8.2");
    let neutral = |r: &crate::soil::Reading| {
        r.analyte.id() == "calcium" && r.method == Method::AmmoniumAcetate && r.doubts.is_empty()
    };
    assert!(
        !found.iter().flat_map(|r| &r.samples).any(|s| s.doubts.is_empty() && s.readings.iter().any(neutral))
    );
}

#[test]
fn how_something_was_counted_is_no_strange_word_in_a_line_of_methods() {
    let rows = |nitrate: &str, sulfur: &str| {
        sheet(&[
            HEAD,
            "Lab No|Field|pH|MO|P|N-NO3|S-SO4|Zn",
            &format!("||1:2.5 water|Walkley-Black|Bray 1|{nitrate}|{sulfur}|DTPA"),
            "|||%|mg/kg|mg/kg|mg/kg|mg/kg",
            "7-1|Long acre|7.2|2.3|45.5|6.3|16.9|3.87",
            "7-2|Moss|6.9|4.7|25.6|6.7|13.7|1.23",
        ])
    };
    let found = rows("colorimetría", "turbidimetric");
    let acre = sample(&found, "Long acre");
    for id in ["organic_matter", "phosphorus", "nitrate_n", "sulfur", "zinc"] {
        assert!(value(acre, id).1, "{id}");
    }
    assert_eq!(reading(acre, "organic_matter").method, Method::WalkleyBlack);
    // What may be the name of an extract leaves its own column unsure.
    let found = rows("Quillmar", "turbidimetric");
    assert!(!value(sample(&found, "Long acre"), "nitrate_n").1);
}

#[test]
fn phosphorus_is_told_apart_by_how_it_was_counted() {
    let found = sheet(&[
        HEAD,
        "Lab No|Field|pH|OM|Phosphorus|K|Zn",
        "||1:1 water|Walkley-Black|colorimetric|Mehlich 3|DTPA",
        "|||%|mg/kg|mg/kg|mg/kg",
        "7-1|Long acre|7.2|2.3|45|163|3.87",
        "7-2|Moss|6.9|4.7|25|167|1.23",
    ]);
    assert!(!value(sample(&found, "Long acre"), "phosphorus").1);
}

#[test]
fn ph_in_the_column_of_units_counts_ph() {
    let rows = |unit: &str, other: &str| {
        sheet(&[
            "Client|Report|LabNo|SampleName|Received|Test|Result|Units|Method",
            &format!("Hob Mill Trust|Q-7|A1|Long acre|2024-03-14|pH|7.11|{unit}|Saturated paste"),
            &format!("Hob Mill Trust|Q-7|A1|Long acre|2024-03-14|Potassium|256|{other}|Mehlich 3"),
        ])
    };
    assert_eq!(value(sample(&rows("pH", "mg/kg"), "Long acre"), "ph"), (7.11, true));
    assert!(!value(sample(&rows("mV", "mg/kg"), "Long acre"), "ph").1);
    assert!(!value(sample(&rows("pH", "pH"), "Long acre"), "potassium").1);
}

#[test]
fn a_ratio_alone_says_how_much_of_the_salt_that_the_name_tells() {
    let rows = |name: &str, method: &str| {
        let found = sheet(&[
            HEAD,
            "",
            "Lab No|||7/1|7/2",
            "Block|||Long acre|Moss",
            "Depth cm|||0-15|15-40",
            "Test|Method|Units|Result|Result",
            &format!("{name}|{method}||5.0|6.4"),
            "EC|1:5 water|dS/m|0.262|0.085",
            "Zinc|DTPA|mg/kg|2.11|3.50",
        ]);
        let ph = reading(sample(&found, "Long acre"), "ph");
        (ph.method, ph.doubts.is_empty())
    };
    assert_eq!(rows("pH in 0.01M CaCl2", "1:5"), (Method::Cacl2, true));
    assert_eq!(rows("pH", "1:1 water"), (Method::Water1to1, true));
    assert!(!rows("pH in 0.01M CaCl2", "1:5 water").1);
}
