//! Pages, seasons and rows that a quick look takes for one another.

use super::{reports, sample, sheets, value};
use crate::reading::read;
use crate::soil::{Method, Report};

fn method(found: &[Report], label: &str, id: &str) -> (Method, bool) {
    let own = sample(found, label).readings.iter().find(|r| r.analyte.id() == id).unwrap();
    (own.method, own.doubts.is_empty())
}

#[test]
fn what_a_note_says_of_this_page_is_said_of_no_other() {
    let page = |note: &'static str, names: [&'static str; 2]| {
        let row = |name: &str, p: &str| format!("{name:<12}5.6    2.8    {p}     155    2217");
        let mut lines = vec!["Client: Hob Mill Trust".to_owned(), "Reported: 3 May 2022".to_owned()];
        lines.push(note.to_owned());
        lines.push(String::new());
        lines.push("Field       pH     OM %   P      K      Ca".to_owned());
        lines.extend([row(names[0], "51 "), row(names[1], "130")]);
        lines
    };
    let found = |second: &'static str| {
        let pages = [
            page("Nutrients on this page are in parts per million (ppm).", ["Home N", "Home S"]),
            page(second, ["River 1", "River 2"]),
        ];
        let lines: Vec<Vec<&str>> = pages.iter().map(|p| p.iter().map(String::as_str).collect()).collect();
        reports(&lines.iter().map(Vec::as_slice).collect::<Vec<_>>())
    };
    let other = found("At the owner's wish nutrients on this page are in POUNDS PER ACRE (ppm x 2).");
    assert_eq!(value(sample(&other, "Home N"), "phosphorus"), (51.0, true));
    let pounds = value(sample(&other, "River 2"), "phosphorus");
    assert!(pounds == (65.0, true) || !pounds.1, "{pounds:?}");
    let silent = value(sample(&found("Samples are kept for 30 days."), "River 2"), "phosphorus");
    assert!(!silent.1, "{silent:?}");
    let same = found("Nutrients on this page are in parts per million (ppm).");
    assert_eq!(value(sample(&same, "River 2"), "phosphorus"), (130.0, true));
}

#[test]
fn the_first_of_several_seasons_under_one_heading_of_results_is_not_the_present_one() {
    let found = reports(&[&[
        "Client: Hob Mill Trust",
        "Sample: Green 7     sampled April 1, 2025     depth 0-4 inches",
        "",
        "Test                   Unit    Result by sampling date",
        "                               Apr 6, 2021   Mar 29, 2023   Apr 1, 2025",
        "Soil pH (1:1 water)            6.1           6.2            6.3",
        "Phosphorus (Mehlich 3) ppm     63            21             58",
        "Potassium (Mehlich 3)  ppm     98            78             116",
        "Calcium (Mehlich 3)    ppm     1255          1286           1338",
    ]]);
    for (id, present) in [("ph", 6.3), ("phosphorus", 58.0), ("calcium", 1338.0)] {
        let read = value(sample(&found, "Green 7"), id);
        assert!(read.0 == present || !read.1, "{id} {read:?}");
    }
}

#[test]
fn cells_merged_down_that_ask_for_names_head_the_columns_under_them() {
    let of = |names: &str| {
        let lines = ["Client: Hob Mill Trust", "", names, "|||pH|P|K|Ca|Zn|Cu", "||||ppm|ppm|ppm|ppm|ppm"];
        let rows = [
            "TC50|Lawn|0-10|5.6|46|279|2625|5.2|1.6",
            "TC51|Lawn|10-20|6.7|15|417|3252|4.3|1.3",
            "TC52|Rose walk|0-10|7.5|57|209|2194|3.4|2.4",
        ];
        read(&sheets(&[("", &[&lines[..], &rows[..]].concat())])).unwrap()
    };
    let found = of("Lab no.|Sample|Depth (cm)|Reaction|Available|Exchangeable||Trace elements|");
    let rose = sample(&found, "Rose walk");
    assert_eq!((rose.lab_number.as_deref(), value(rose, "phosphorus").0), (Some("TC52"), 57.0));
}

#[test]
fn a_line_of_methods_with_a_figure_in_it_is_no_first_row_of_samples() {
    let found = reports(&[&[
        "Client: Hob Mill Trust",
        "",
        "Area       Date         pH     B.pH      Humus      P",
        "Sampled    Sampled      1.5    Sikora    burning    (MMor)",
        "1          2024-03-17   6.6    6.8       1.2        30",
        "2          2024-03-18   6.3    6.7       6.7        96",
        "3          2024-03-19   6.4    6.6       7.1        54",
    ]]);
    assert!(!method(&found, "1", "organic_matter").1, "how it was measured was not read");
}

#[test]
fn a_result_of_a_long_table_whose_row_cannot_be_read_makes_the_others_wait() {
    let with = |row: &str| {
        reports(&[&[
            "Client: Hob Mill Trust",
            "",
            "Area Sampled   Depth     Analysis   Result   Unit",
            "North 40       0-8 in    pH         7.2",
            "North 40       0-8 in    P          107      ppm",
            "North 40       0-8 in    K          116      ppm",
            row,
            "South 40       0-8 in    P          94       ppm",
            "South 40       0-8 in    K          77       ppm",
        ]])
    };
    assert_eq!(
        value(sample(&with("South 40       0-8 in    pH         6.6"), "North 40"), "phosphorus"),
        (107.0, true)
    );
    let lost = with("South 40 0-8 in pH                  6.6");
    assert!(!value(sample(&lost, "North 40"), "phosphorus").1);
}

#[test]
fn a_number_behind_an_extract_is_of_its_name_and_no_result() {
    let found = reports(&[&[
        "Client: Hob Mill Trust",
        "",
        "Test          Units   North    South",
        "pH                    6.1      6.6",
        "P Bray nr. 2  ug/g    43       60",
        "K (Mehlich 3) ug/g    111      120",
    ]]);
    assert_eq!(method(&found, "South", "phosphorus"), (Method::BrayP2, true));
    assert_eq!(value(sample(&found, "South"), "phosphorus").0, 60.0);
}

#[test]
fn a_row_that_nobody_understands_says_nothing_of_the_others() {
    let with = |row: &str| {
        reports(&[&[
            "Client: Hob Mill Trust",
            "Sample: F1",
            "",
            "Test                             Found",
            "pH (1:2 water)                   6.2",
            "P Mehlich 1      mg/kg           13",
            "Zn               mg/kg           5.4",
            row,
            "Fe               mg/kg           71",
            "Mn               mg/kg           50",
        ]])
    };
    let unknown = with("M Mehlich-1 extract   mg/kg      3.1");
    assert_ne!(method(&unknown, "F1", "iron"), (Method::Mehlich1, true));
    assert_eq!(method(&unknown, "F1", "phosphorus"), (Method::Mehlich1, true));
}

#[test]
fn a_blank_result_takes_no_number_of_the_table_beside_it() {
    let found = reports(&[&[
        "Client: Hob Mill Trust",
        "Sample: B2",
        "",
        "Test    Found       Unit        Test          Found   Unit",
        "pH      6.0                     Magnesium     149     mg/kg",
        "OM %    6.1                     Sulfur        16      mg/kg",
        "P       26          mg/kg       Zinc          6.8     mg/kg",
        "K                   mg/kg       M             4.1     mg/kg",
        "Ca      1168        mg/kg       CEC           9.1     cmol/kg",
    ]]);
    let own = sample(&found, "B2");
    let potassium = own.readings.iter().find(|r| r.analyte.id() == "potassium");
    assert!(potassium.is_none_or(|r| !r.doubts.is_empty()), "{potassium:?}");
    assert_eq!(value(own, "zinc"), (6.8, true));
}
