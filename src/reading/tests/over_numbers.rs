//! What stands over columns of numbers and is no name: the laboratory's numbers, sizes, words that judge, methods before
//! the names; and advice below.

use super::{reading, reports, sample, value};
use crate::soil::Method;

const HEAD: [&str; 3] = ["Soil results", "Client: Hob Mill Trust", ""];

#[test]
fn a_column_of_methods_before_the_names_says_how_each_row_was_measured() {
    let rows = [
        "Método            Determinación        Unidad        Norte      Sur",
        "Potenciometría    pH                                 7,1        6,8",
        "Olsen             Fósforo              mg/kg         12         18",
        "Acetato amónico   Potasio              mg/kg         180        210",
        "Quibble           Calcio               mg/kg         1500       1800",
        "DTPA              Hierro               mg/kg         5,1        6,3",
    ];
    let found = reports(&[&[&HEAD[..], &rows[..]].concat()]);
    let south = sample(&found, "Sur");
    assert_eq!(reading(south, "phosphorus").method, Method::Olsen);
    assert_eq!(reading(south, "potassium").method, Method::AmmoniumAcetate);
    assert_eq!(reading(south, "iron").method, Method::Dtpa);
    assert_eq!((value(south, "potassium"), value(south, "calcium").1), ((210.0, true), false));
}

#[test]
fn long_numbers_over_names_are_the_laboratorys() {
    let page = |over: &str, names: &str| {
        let rows = [
            "pH                6.4        6.6",
            "Phosphorus mg/kg  31         22",
            "Potassium mg/kg   120        140",
        ];
        reports(&[&[&HEAD[..], &[over, names], &rows[..]].concat()])
    };
    let found = page("                  95201      95202", "Test              Home       Mill");
    assert_eq!(sample(&found, "Mill").lab_number.as_deref(), Some("95202"));
    let found = reports(&[&[
        &HEAD[..],
        &[
            "                                        95201      95202",
            "Método      Determinación     Unidad",
            "                                        Norte      Sur",
            "Olsen       Fósforo           mg/kg     12         18",
            "Olsen       pH                          7,1        6,8",
            "Olsen       Potasio           mg/kg     120        180",
        ][..],
    ]
    .concat()]);
    assert_eq!(sample(&found, "Sur").lab_number.as_deref(), Some("95202"));
    // Over names that are alike they may be plots'.
    let found = reports(&[&[
        &HEAD[..],
        &[
            "                                        1041       1042",
            "Método      Determinación     Unidad",
            "                                        North      North",
            "Olsen       Fósforo           mg/kg     12         18",
            "Olsen       pH                          7,1        6,8",
            "Olsen       Potasio           mg/kg     120        180",
        ][..],
    ]
    .concat()]);
    assert!(found.iter().flat_map(|r| &r.samples).all(|s| !s.doubts.is_empty()), "{found:?}");
    let found = page("                  2023       2024", "Test              Home       Mill");
    assert!(found.iter().flat_map(|r| &r.samples).all(|s| s.lab_number.is_none()));
    let found = page("                  North      Front", "Test              40 3       3");
    assert!(found.iter().flat_map(|r| &r.samples).all(|s| s.label != "40 3" && s.label != "3"), "{found:?}");
}

#[test]
fn the_size_of_a_field_is_not_its_name() {
    for size in [
        "Area (ha)           3.36       3.36",
        "Area (ha)           3          4",
        "Field size, acres   3.4        3.4",
        "Hectares            3.4        5.1",
    ] {
        let rows = [
            "Field               Home       Mill",
            size,
            "pH                  6.4        6.6",
            "Phosphorus mg/kg    31         22",
            "Potassium mg/kg     120        140",
        ];
        let found = reports(&[&[&HEAD[..], &rows[..]].concat()]);
        assert_eq!(value(sample(&found, "Mill"), "potassium"), (140.0, true), "{size}");
        assert!(sample(&found, "Home").doubts.is_empty(), "{size}");
    }
}

#[test]
fn a_heading_over_words_alone_takes_no_numbers() {
    // The numbers stand at the right edge of their column, nearer to the next heading than to their own.
    let rows = [
        "Test              Unit      Value        Verdict",
        "pH                                  6.4  neutral",
        "Phosphorus        mg/kg              31  medium",
        "Potassium         mg/kg             120  low",
        "Sand              %                  41",
    ];
    for verdict in ["Verdict", "Rating ", "Comment"] {
        let rows = rows.map(|r| r.replace("Verdict", verdict));
        let mut lines = HEAD.to_vec();
        lines.insert(2, "Sample: Home field");
        lines.extend(rows.iter().map(String::as_str));
        let found = reports(&[&lines]);
        assert_eq!(value(sample(&found, "Home field"), "potassium"), (120.0, true), "{verdict}");
    }
}

#[test]
fn advice_counted_on_an_area_under_its_title_is_no_result() {
    let with = |title: &str| {
        let rows = [
            "Field             Home       Mill",
            "pH                6.4        6.6",
            "Phosphorus mg/kg  31         22",
            "Potassium mg/kg   120        140",
            "",
            title,
            "",
            "Field             Home       Mill",
            "N                 140        140",
            "P                 14         14",
            "K                 60         60",
        ];
        reports(&[&[&HEAD[..], &rows[..]].concat()])
    };
    for title in ["Nutrient advice for grazing, kg/ha", "Fertiliser recommendation (lb/acre)"] {
        let found = with(title);
        let home = sample(&found, "Home");
        assert_eq!(value(home, "potassium"), (120.0, true), "{title}");
        assert!(home.doubts.is_empty() && home.readings.len() == 3, "{title}: {home:?}");
    }
    // Without a rate's unit nobody knows.
    let found = with("Nutrients and advice");
    let all = || found.iter().flat_map(|r| &r.samples);
    assert!(all().any(|s| !s.doubts.is_empty() || s.readings.iter().any(|r| !r.doubts.is_empty())));
}

#[test]
fn what_was_reckoned_is_no_calcium() {
    let rows = [
        "Test              Unit                Home    Mill",
        "pH                          4A1       6.4     6.6",
        "Calcium           mg/kg     15D3      1500    1600",
        "Potassium         mg/kg     15D3      120     140",
        "Ca : Mg                     Calc.     5.4     6.1",
        "Zinc              mg/kg     12A1      1.4     2.1",
    ];
    let found = reports(&[&[&HEAD[..], &rows[..]].concat()]);
    assert_eq!(value(sample(&found, "Home"), "calcium"), (1500.0, true));
    let all: Vec<_> = found.iter().flat_map(|r| &r.samples).flat_map(|s| &s.readings).collect();
    assert!(all.iter().all(|r| r.printed.value != "5.4") && all.len() == 8, "{all:?}");
}

#[test]
fn the_plain_word_name_over_a_table_of_samples_asks_for_people() {
    let client = |name: &str, column: &str| {
        let line = format!("Name: {name}     Report no: SU-44     Date in: 1/22/2015");
        let heading = format!("{column}      pH     P ppm    K ppm");
        reports(&[&[
            "Soil results",
            &line,
            "",
            &heading,
            "Home        6.4    31       120",
            "Mill        6.6    22       140",
        ]])
        .iter()
        .find_map(|r| r.client.clone())
    };
    assert_eq!(client("Quern Farms", "Field").as_deref(), Some("Quern Farms"));
    assert_eq!(client("J. & L. Quern", "Field").as_deref(), Some("J. & L. Quern"));
    assert_eq!(client("South Forty", "Field"), None);
    assert_eq!(client("Bottom field", "Field"), None);
}
