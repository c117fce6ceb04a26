//! Which column holds the results, and which an index, a rating, a limit or a range.

use super::{reading, reports, sample, value};

#[test]
fn an_index_column_beside_the_results_is_no_result() {
    let found = reports(&[&[
        "Soil test report",
        "Sample ID: Lower strip",
        "",
        "Determination     Result    Units    Index",
        "pH                6.5",
        "Phosphorus        19        ppm      2",
        "Potassium         134       ppm      2-",
        "Magnesium         76        ppm      2",
    ]]);
    let s = sample(&found, "Lower strip");
    assert_eq!(value(s, "phosphorus"), (19.0, true));
    assert_eq!(value(s, "magnesium"), (76.0, true));
}

#[test]
fn competing_columns_are_named_in_the_doubt() {
    let found = reports(&[&[
        "Soil test report",
        "Sample ID: Far corner",
        "",
        "pH            6.4      6.9",
        "Potassium     152      184",
        "Magnesium     172      201",
    ]]);
    let k = reading(sample(&found, "Far corner"), "potassium");
    assert_eq!(k.doubts[0].alternatives, ["152", "184"]);
}

#[test]
fn a_name_set_close_to_the_next_column_ends_where_that_column_begins() {
    let found = reports(&[&[
        "Soil test report",
        "",
        "                Lab",
        "Sample ID       ID      pH     K mg/kg   Ca mg/kg",
        "East paddock 1  34306   7.8    408       1470",
    ]]);
    assert_eq!(sample(&found, "East paddock 1").lab_number.as_deref(), Some("34306"));
}

#[test]
fn a_letter_in_a_column_of_ratings_is_no_hydrogen() {
    let found = reports(&[&[
        "Soil test report",
        "Sample: Moss bank",
        "",
        "Test             Level     Result   Unit",
        "pH               Medium    6.0",
        "Organic matter   H         3.2      %",
        "Phosphorus       Low       16       mg/kg",
        "Potassium        VH        299      mg/kg",
    ]]);
    let moss = sample(&found, "Moss bank");
    assert!(
        moss.readings.iter().all(|r| r.analyte.id() != "acidity" && r.analyte.id() != "sat_h"),
        "{moss:?}"
    );
    assert_eq!(value(moss, "organic_matter"), (3.2, true));
}

#[test]
fn a_limit_in_a_heading_set_close_is_no_result() {
    let found = reports(&[&[
        "Soil test report",
        "Sample: Moss bank",
        "",
        "Analysis Test result Unit      Detection limit Normal Range",
        "pH         7.7                       5          4.3 to 10.5",
        "OM         2.0       pct             0.5        1.5 to 3.0",
        "P          20        mg/kg           1          > 12",
        "K          298       mg/kg           5          166-396",
    ]]);
    for report in &found {
        for r in report.samples.iter().flat_map(|s| &s.readings) {
            let wrong = ["5", "0.5", "1"].contains(&r.printed.value.as_str());
            assert!(!wrong || !r.doubts.is_empty(), "{r:?}");
        }
    }
}

#[test]
fn a_range_beside_blank_values_is_no_value() {
    let found = reports(&[&[
        "Soil test report",
        "Client: Hob Mill Trust",
        "Sample: Orchard",
        "",
        "Analysis               Found   Unit       Sufficiency range",
        "pH                     6.4                4.4 - 10.1",
        "Potassium              330     ppm        259 - 465",
        "Calcium                3614    ppm        1928 - 5550",
        "Magnesium                      ppm        7 - 16",
        "Sodium                         ppm        7 - 16",
        "CEC                            meq/100 g  10 - 16",
        "Potassium saturation           percent    8 - 18",
        "Calcium saturation             percent    8 - 18",
        "Magnesium saturation           percent    > 10",
    ]]);
    let orchard = sample(&found, "Orchard");
    assert!(orchard.readings.iter().all(|r| r.analyte.id() != "sat_mg"), "{orchard:?}");
    assert_eq!(value(orchard, "calcium"), (3614.0, true));
}

#[test]
fn a_figure_of_the_next_column_is_no_layer() {
    let found = reports(&[&[
        "Soil test report",
        "Client: Hob Mill Trust",
        "",
        "Sample    Depth         ENR   pH     OM, %    Zn, ppm",
        "Moss 1    0-6 inches    0.5   6.4    6.8      0.9",
        "Moss 2    0-6 inches  5       6.2    6.9      0.7",
        "Moss 3    0-6 inches  5       6.3    6.5      0.8",
        "Moss 4    0-6 inches    0.5   6.6    6.2      0.6",
    ]]);
    for sample in found.iter().flat_map(|r| &r.samples) {
        assert!(sample.depth.is_none_or(|d| (d.bottom_cm - 15.24).abs() < 0.01), "{sample:?}");
    }
}

#[test]
fn a_blank_mark_of_the_next_column_is_no_end_of_a_name() {
    let found = reports(&[&[
        "Soil test report",
        "Client: Hob Mill Trust",
        "",
        "Location        P, ppm    K, ppm    pH     OM, %",
        "Moss bed 1      20        131       7.6    3.8",
        "Moss bed 2 n/a            399       7.4    3.4",
        "Moss bed 3      22        140       7.1    3.1",
    ]]);
    assert_eq!(value(sample(&found, "Moss bed 2"), "ph"), (7.4, true));
}

#[test]
fn a_short_name_at_the_left_edge_of_the_names_is_one_though_its_heading_begins_further_right() {
    let found = reports(&[&[
        "Soil test report",
        "",
        "Lab No.          Sample        pH      K ppm    Mg ppm",
        "4101     Birch bank east       5.3     74       98",
        "4102     Birch bank west       5.9     84       106",
        "4103     Cotter's long strip   6.0     96       88",
        "4104     Elm                   6.7     88       120",
    ]]);
    assert_eq!(value(sample(&found, "Elm"), "potassium"), (88.0, true));
    assert_eq!(sample(&found, "Elm").lab_number.as_deref(), Some("4104"));
}

#[test]
fn words_cut_short_over_narrow_columns_are_known() {
    let found = reports(&[&[
        "Client: Ada Fernshaw",
        "",
        " LAB  SAMPLE       PH  WOODRF   ORG      K      CA  NEUT.     CEC",
        " NO.  NAME       WATER  BUFFR  MATR                 ACID.",
        "                   1:1     PH     %    PPM     PPM  MEQ/100G MEQ/100G",
        "----  ---------- -----  -----  ----  -----  ------  -------- --------",
        " 413  BOTTOMS      5.7    6.7   3.1    125    1481       3.1     13.5",
        " 414  HOG LOT      6.8    7.0   2.0    110    1692       0.3     10.3",
    ]]);
    let lot = sample(&found, "HOG LOT");
    for (analyte, number) in [("buffer_ph", 7.0), ("organic_matter", 2.0), ("acidity", 0.3), ("cec", 10.3)] {
        assert_eq!(value(lot, analyte).0, number, "{analyte}");
    }
}
