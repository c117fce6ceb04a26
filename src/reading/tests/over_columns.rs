//! Names of samples over columns and over each other: whole, in two lines, two set as one.

use super::{reading, reports, sample, value};

#[test]
fn names_over_their_values_make_a_list() {
    let found = reports(&[&[
        "Soil test report",
        "Sample ID: Front beds",
        "",
        "Soil pH",
        "6.2 slightly acid",
        "Potassium, Mehlich 3",
        "139 ppm medium",
        "Magnesium, Mehlich 3",
        "172 ppm high",
    ]]);
    assert_eq!(value(sample(&found, "Front beds"), "potassium"), (139.0, true));
}

#[test]
fn of_two_columns_of_names_the_long_number_is_the_laboratorys() {
    let found = reports(&[&[
        "Soil test report",
        "Sample No.   Field        pH     P ppm    K ppm",
        "52201        Upper Ried   6.5    24       141",
        "52202        Kiln side    7.1    31       205",
    ]]);
    let sample = sample(&found, "Upper Ried");
    assert_eq!(
        (sample.lab_number.as_deref(), reading(sample, "phosphorus").quantity.value),
        (Some("52201"), 24.0)
    );
}

#[test]
fn a_name_and_a_figure_behind_what_asks_for_names_are_a_name() {
    let found = reports(&[&[
        "Soil test report",
        "Client: Hob Mill Trust",
        "",
        "                       Block",
        "Sample       Unit      K 1",
        "Lab No.                30578",
        "pH                     7.5",
        "OM           %         2.3",
        "Ca           mg/kg     2010",
        "CEC          cmol/kg   11.7",
    ]]);
    assert_eq!(value(sample(&found, "Block K 1"), "ph"), (7.5, true));
}

#[test]
fn a_word_set_apart_over_half_a_name_asks_for_no_name() {
    let found = reports(&[&[
        "Soil test report",
        "Client: Hob Mill Trust",
        "",
        "             Block",
        "Nothing      Quoin 1",
        "pH           7.5",
        "OM           2.3",
        "Ca  mg/kg    2010",
    ]]);
    let labels: Vec<&str> = found.iter().flat_map(|r| &r.samples).map(|s| s.label.as_str()).collect();
    assert!(!labels.contains(&"Quoin"), "{labels:?}");
}

#[test]
fn two_names_set_as_one_name_no_column() {
    let found = reports(&[&[
        "Soil test report",
        "Client: Hob Mill Trust",
        "",
        "Sample       North 40 3 Front lawn 3",
        "pH           5.6        6.4",
        "OM           6.1        5.6",
        "CEC          10.3       8.2",
    ]]);
    for sample in found.iter().flat_map(|r| &r.samples) {
        assert!(!sample.label.contains("3 Front"), "{}", sample.label);
        assert!(
            sample.readings.iter().all(|r| !r.doubts.is_empty()) || sample.label != "North 40 3",
            "{sample:?}"
        );
    }
}

#[test]
fn names_that_look_like_an_extract_head_the_columns_of_samples() {
    let found = reports(&[&[
        "Soil test report",
        "Client: Hob Mill Trust",
        "",
        "Sample                P1     P2     F3",
        "pH                    5.8    6.3    6.1",
        "P  (Mehlich 3) ppm    28     22     61",
        "K  (Mehlich 3) ppm    110    121    119",
        "Ca (Mehlich 3) ppm    1059   1191   1959",
    ]]);
    let labels: Vec<&str> = found.iter().flat_map(|r| &r.samples).map(|s| s.label.as_str()).collect();
    assert!(labels.iter().all(|l| ["P1", "P2", "F3", ""].contains(l)), "{labels:?}");
}

#[test]
fn names_of_which_the_upper_words_are_set_with_a_heading_name_none() {
    let found = reports(&[&[
        "Soil test report",
        "Client: Hob Mill Trust",
        "",
        "                             Front",
        "                       North lawn Tee  Optimum",
        "Determination   Unit   40 3  3    3    Range",
        "Lab No.                2002  2003 2004",
        "pH                     5.6   5.6  6.4  4.8 - 7.4",
        "OM              %      5.5   6.1  5.6  4.0 - 8.1",
        "Ca              ppm    409   519  466  290 - 513",
    ]]);
    let labels: Vec<&str> = found.iter().flat_map(|r| &r.samples).map(|s| s.label.as_str()).collect();
    let whole = ["North 40 3", "Front lawn 3", "Tee 3", ""];
    assert!(labels.iter().all(|l| whole.contains(l)), "{labels:?}");
}

#[test]
fn a_wide_title_between_names_and_the_first_row_is_no_word_of_these() {
    let found = reports(&[&[
        "Soil test report",
        "Client: Hob Mill Trust",
        "",
        "Analysis        Units    Bed 1    Bed 2    Method",
        "                         4401     4402",
        "PASTE AND WHAT COMES OF IT",
        "Oddness         %        43       44",
        "pH                       7.9      8.0      saturated paste",
        "Potassium       mg/kg    214      188      ammonium acetate",
        "Zinc            mg/kg    1.7      0.9      DTPA",
    ]]);
    assert_eq!(value(sample(&found, "Bed 1"), "potassium"), (214.0, true));
    assert_eq!(sample(&found, "Bed 2").lab_number.as_deref(), Some("4402"));
}

#[test]
fn numbers_at_the_left_edge_of_names_over_figures_set_to_the_right_are_theirs() {
    let found = reports(&[&[
        "Soil test report",
        "Client: Hob Mill Trust",
        "",
        "Test              Unit     Guideline    Upper Rill   Lower Rill",
        "                                        SB4401       SB4402",
        "pH                         6.0 - 7.0           6.4          7.1",
        "Potassium         mg/kg    110 - 190           154          203",
        "Zinc (DTPA)       mg/kg                       3.18         2.92",
    ]]);
    assert_eq!(value(sample(&found, "Upper Rill"), "potassium"), (154.0, true));
    assert_eq!(sample(&found, "Lower Rill").lab_number.as_deref(), Some("SB4402"));
}

#[test]
fn what_grows_there_in_a_row_of_its_own_is_no_end_of_the_names() {
    let sheet = |grows: &str| {
        reports(&[&[
            "Soil test report",
            "Client: Hob Mill Trust",
            "",
            "                             Upper        Long",
            "Test             Unit",
            "                             Ried         Acre        Orchard",
            grows,
            "pH (1:1 water)               6.3          6.7         6.9",
            "Potassium        ppm         264          153         177",
            "Magnesium        ppm         208          154         133",
        ]])
    };
    let found = sheet("                             Oats         Clover      Rye");
    assert_eq!(value(sample(&found, "Upper Ried"), "potassium"), (264.0, true));
    assert_eq!(value(sample(&found, "Orchard"), "potassium"), (177.0, true));
    // Where not all of the words are known to grow, nobody can say.
    let found = sheet("                             Oats         Clover      End");
    let all: Vec<_> = found.iter().flat_map(|r| &r.samples).collect();
    assert!(all.iter().all(|s| !s.doubts.is_empty()), "{all:?}");
    let found = sheet("Land use                     Oats         Sward       End");
    assert_eq!(value(sample(&found, "Long Acre"), "potassium"), (153.0, true));
}

#[test]
fn layers_over_columns_are_those_of_the_one_sample_of_the_page() {
    let of = |layers: [&str; 3], name: &str| {
        let head = format!("Analysis         Units     {}    {}   {}", layers[0], layers[1], layers[2]);
        reports(&[&[
            "Soil test report",
            "Client: Quern Farms",
            name,
            "Sampled: October 3, 2024",
            "",
            &head,
            "pH (1:1)                   6.1        6.3         6.6",
            "Potassium        ppm       118        148         99",
            "Chloride         ppm       -          160         70",
        ]])
    };
    let found = of(["0-10 cm", "10-30 cm", "30-60 cm"], "Paddock: Moss East");
    let samples: Vec<_> = found.iter().flat_map(|r| &r.samples).collect();
    let layers: Vec<_> = samples.iter().filter_map(|s| s.depth.map(|d| (d.top_cm, d.bottom_cm))).collect();
    assert_eq!(layers, [(0.0, 10.0), (10.0, 30.0), (30.0, 60.0)]);
    assert!(samples.iter().all(|s| s.label == "Moss East"));
    let none = |found: Vec<crate::soil::Report>| {
        found
            .iter()
            .flat_map(|r| &r.samples)
            .all(|s| s.label.is_empty() || s.readings.iter().all(|r| !r.doubts.is_empty()))
    };
    // Layers that do not go on are perhaps of several places.
    assert!(none(of(["0-10 cm", "0-10 cm", "0-30 cm"], "Paddock: Moss East")));
    assert!(none(of(["0-10 cm", "10-30 cm", "30-60 cm"], "")));
}
