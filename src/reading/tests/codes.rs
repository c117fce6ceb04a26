//! Columns headed by codes of a laboratory's own that a legend over the table explains.

use super::{reading, reports, sheets, value};
use crate::reading::read;
use crate::soil::{Depth, Method, Report, Sample};

const NOTE: &str = "NO3N: nitrate-N, lb/ac (ppm x 2 for 0-6 in, ppm x 6 for 6-24 in); PO = Olsen P ppm; KA = K ppm, \
    ammonium acetate; SOM = organic matter % by ignition";

fn of(note: &str) -> Vec<Report> {
    let lines = [
        "Quern Soil Services",
        "For: | Quern Farms",
        "Report | MR-21-3302 | Rec'd | 2021 Oct 13 | Printed | 2021 Oct 20",
        note,
        "Columns ending in a year are former results of the same quarter. N_REC: lb/ac for the crop named.",
        "",
        "LABNO | QUARTER | TOP_IN | BOT_IN | PH | SOM | NO3N | PO | KA | PO_2019 | KA_2019 | CROP | N_REC | K2O_REC",
        "21-801 | NE-14 home | 0 | 6 | 7.6 | 1.5 | 11 | 15 | 163 | 18 | 149 | canola | 95 | 0",
        "21-802 | NE-14 home | 6 | 24 | 7.9 | | 13 | | | | | | | ",
        "21-803 | SW-14 | 0 | 6 | 6.9 | 4.4 | 25 | 19 | 292 | 22 | 278 | canola | 95 | 0",
        "21-804 | SW-14 | 6 | 24 | 7.2 | | 30 | | | | | | | ",
    ];
    read(&sheets(&[("", &lines)])).unwrap()
}

fn layer<'a>(found: &'a [Report], label: &str, top: f64) -> &'a Sample {
    let layer = if top == 0.0 { Depth::inches(0.0, 6.0) } else { Depth::inches(6.0, 24.0) };
    let mut all = found.iter().flat_map(|r| &r.samples);
    all.find(|s| s.label == label && s.depth == Some(layer)).unwrap_or_else(|| panic!("{found:?}"))
}

#[test]
fn a_code_is_what_the_legend_says_and_with_a_year_a_former_result() {
    let found = of(NOTE);
    let own = layer(&found, "SW-14", 0.0);
    assert_eq!(own.lab_number.as_deref(), Some("21-803"));
    assert_eq!(reading(own, "phosphorus").method, Method::Olsen);
    assert_eq!(reading(own, "potassium").method, Method::AmmoniumAcetate);
    assert_eq!((value(own, "phosphorus"), value(own, "potassium")), ((19.0, true), (292.0, true)));
    assert_eq!(value(own, "organic_matter"), (4.4, true));
    assert_eq!(reading(own, "organic_matter").method, Method::LossOnIgnition);
    assert_eq!(own.readings.len(), 5, "{own:?}");
    assert_eq!(found[0].received_on, Some("2021-10-13".parse().unwrap()));
    // What no legend explains, or explains twice, is nothing.
    for note in [
        "All results are of this year.",
        "PO = Olsen P ppm; PO = potassium ppm; KA = K ppm, ammonium acetate",
        "PO = post office; KA = K ppm, ammonium acetate",
    ] {
        let found = of(note);
        let all = found.iter().flat_map(|r| &r.samples).flat_map(|s| &s.readings);
        let sure = all.filter(|r| r.analyte.id() == "phosphorus" && r.doubts.is_empty()).count();
        assert_eq!(sure, 0, "{note}");
    }
}

#[test]
fn pounds_of_a_layer_are_counted_by_the_factor_stated_for_it() {
    let found = of(NOTE);
    assert_eq!(value(layer(&found, "SW-14", 0.0), "nitrate_n"), (12.5, true));
    assert_eq!(value(layer(&found, "SW-14", 6.0), "nitrate_n"), (5.0, true));
    // A factor of one layer says nothing of another.
    let found = of("NO3N: nitrate-N, lb/ac (ppm x 2 for 0-6 in).");
    assert_eq!(value(layer(&found, "SW-14", 0.0), "nitrate_n"), (12.5, true));
    assert!(!value(layer(&found, "SW-14", 6.0), "nitrate_n").1);
}

/// A long table whose codes lines above it explain.
fn long(second: &str, code: &str) -> Vec<Report> {
    let lines = [
        "#LAB | Quern Soil Services",
        "#ORDER | 77821",
        "#CUSTOMER | Quern Farms",
        "#RCVD | 20250519 | RPTD | 20250523",
        "#CODE | S010 | pH, soil:water 1:1 | -",
        "#CODE | S110 | Phosphorus, Olsen | mg/kg",
        second,
        "#CODE | S124 | Sodium, ammonium acetate | meq/100g",
        "SEQ | LABNO | CUSTREF | SAMPLED | CODE | Q | VALUE | UNIT",
        "0001 | 7782101 | Home 1 | 20250517 | S010 | | 6.3 | -",
        "0002 | 7782101 | Home 1 | 20250517 | S110 | | 25 | mg/kg",
        &format!("0003 | 7782101 | Home 1 | 20250517 | {code} | | 0.52 | meq/100g"),
        "0004 | 7782101 | Home 1 | 20250517 | S124 | < | 0.15 | meq/100g",
        "0005 | 7782102 | Home 2 | 20250517 | S010 | | 6.9 | -",
        "0006 | 7782102 | Home 2 | 20250517 | S110 | | 31 | mg/kg",
    ];
    read(&sheets(&[("", &lines)])).unwrap_or_default()
}

#[test]
fn codes_of_a_long_table_are_what_the_lines_above_it_say() {
    let found = long("#CODE | S121 | Potassium, ammonium acetate | meq/100g", "S121");
    let named = |name: &str| {
        let mut all = found.iter().flat_map(|r| &r.samples);
        all.find(|s| s.label == name).unwrap_or_else(|| panic!("{found:?}"))
    };
    let own = named("Home 1");
    assert_eq!(own.lab_number.as_deref(), Some("7782101"));
    assert_eq!(value(own, "ph"), (6.3, true));
    assert_eq!(reading(own, "potassium").method, Method::AmmoniumAcetate);
    assert_eq!(value(own, "phosphorus"), (25.0, true));
    assert_eq!(value(named("Home 2"), "phosphorus"), (31.0, true));
    assert_eq!(found[0].client.as_deref(), Some("Quern Farms"));
    assert_eq!(found[0].received_on, Some("2025-05-19".parse().unwrap()));
    // A code that nothing explains, or that is said to mean two things, leaves the table unread.
    for (second, code) in [
        ("#CODE | S121 | Potassium, ammonium acetate | meq/100g", "S122"),
        ("#CODE | S010 | Calcium, ammonium acetate | meq/100g", "S121"),
    ] {
        assert!(long(second, code).iter().flat_map(|r| &r.samples).all(|s| s.readings.is_empty()));
    }
}

#[test]
fn letters_over_columns_that_another_page_explains_are_no_names() {
    let found = |key: &[&str]| {
        reports(&[
            &[
                "Quill Soil Laboratory",
                "Moss Vineyards     Report no.: HM-77     Reported: 3 May 2021",
                "",
                "                  Unit         Target    A        B        C        D        E",
                "pH (1:5 water)                 6.0       5.3      5.2      5.4      5.5      5.8",
                "Bray-1 P          mg/kg        25        15       32       35       22       61",
                "Exch. K           meq/100 g    0.5       0.67     0.75     0.43     0.45     0.60",
                "Exch. Ca          meq/100 g    8         8.66     12.81    12.59    6.28     8.17",
                "",
                "The letters are explained overleaf.",
            ],
            key,
        ])
    };
    let all = found(&[
        "Key to samples, job 61409",
        "",
        "Letter    Lab number    Your name        Depth",
        "A         M-301         Pinot block 2    0-15 cm",
        "B         M-302         Pinot block 2    15-30 cm",
        "C         M-303         Syrah terrace    0-15 cm",
        "D         M-304         Syrah terrace    15-30 cm",
        "E         M-305         New planting     0-15 cm",
    ]);
    let samples: Vec<_> = all.iter().flat_map(|r| &r.samples).collect();
    let told: Vec<_> = samples
        .iter()
        .map(|s| (s.label.as_str(), s.depth.map(|d| d.bottom_cm), s.lab_number.as_deref(), value(s, "ph").0))
        .collect();
    assert_eq!(
        told,
        [
            ("Pinot block 2", Some(15.0), Some("M-301"), 5.3),
            ("Pinot block 2", Some(30.0), Some("M-302"), 5.2),
            ("Syrah terrace", Some(15.0), Some("M-303"), 5.4),
            ("Syrah terrace", Some(30.0), Some("M-304"), 5.5),
            ("New planting", Some(15.0), Some("M-305"), 5.8),
        ]
    );
    assert!(samples.iter().all(|s| s.doubts.is_empty()), "{samples:?}");
    // A key that is not understood lets them wait.
    let other = found(&[
        "A         Pinot block 2, upper rows       young",
        "B         Pinot block 2, lower rows",
        "C         Syrah terrace                   young",
        "D         Syrah terrace, below the wall",
        "E         New planting",
    ]);
    let waits =
        |s: &crate::soil::Sample| !s.doubts.is_empty() || s.readings.iter().all(|r| !r.doubts.is_empty());
    assert!(other.iter().flat_map(|r| &r.samples).all(waits), "{other:?}");
}
