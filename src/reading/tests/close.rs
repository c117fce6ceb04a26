//! Headings, names and values set so close, or so far apart, that words of two columns stand as one.

use super::{reading, reports, sample};
use crate::soil::Sample;

/// True where nothing speaks against a reading.
fn sure(sample: &Sample, id: &str) -> bool {
    reading(sample, id).doubts.is_empty()
}

#[test]
fn what_stands_below_another_heading_is_not_sure_under_the_first() {
    let found = reports(&[&[
        "Soil test report",
        "Client: Hob Mill Trust",
        "",
        "Sample    pH     Mg     Zn     OM",
        "ID        1:1    ppm    ppm    %",
        "Tee 1     6.4    17     1.2    3.1",
        "",
        "ID        g soil mg/kg  mg/kg  mg/kg",
        "Tee 2     5.1    421    0.9    1.2",
    ]]);
    assert!(sure(sample(&found, "Tee 1"), "magnesium"));
    assert!(!sure(sample(&found, "Tee 2"), "magnesium"), "{found:?}");
}

#[test]
fn values_that_run_into_a_name_are_no_part_of_it() {
    let found = reports(&[&[
        "Soil test report",
        "Client: Hob Mill Trust",
        "",
        "Lab No.  Location    P     K     pH    OM, %",
        "30874    Back bed 1 42 101       7.1   3.2",
        "30875    Back bed 2 32 113       6.8   2.9",
    ]]);
    let names: Vec<&str> = found.iter().flat_map(|r| &r.samples).map(|s| s.label.as_str()).collect();
    assert!(names.iter().all(|n| !n.contains("101") && !n.contains("113")), "{names:?}");
    let found = reports(&[&[
        "Soil test report",
        "Client: Hob Mill Trust",
        "",
        "Field ID   Rating   K     pH    OM, %",
        "North 40 3 Very High 217  7.1   3.2",
    ]]);
    let mut names = found.iter().flat_map(|r| &r.samples).map(|s| s.label.as_str());
    assert!(names.all(|n| !n.contains("High")), "{found:?}");
}

#[test]
fn two_numbers_in_one_cell_are_not_sure() {
    let page = reports(&[&[
        "Soil test report",
        "Client: Hob Mill Trust",
        "",
        "Sample    Lab no   pH           Mg ppm       Zn ppm",
        "Tee 1     4101     6.3 / 6.1    137 / 116    1.2",
        "Tee 2     4102     6.0 / 5.8    128 / 109    0.9",
    ]]);
    let rows = "Soil results\nClient,Hob Mill Trust\n\n\
                Sample,Lab no,pH,Mg ppm,Zn ppm\n\
                Tee 1,4101,6.3 / 6.1,137/116,1.2\n\
                Tee 2,4102,6.0 / 5.8,128/109,0.9\n";
    let document = crate::document::open(rows.as_bytes(), &crate::document::Limits::default()).unwrap();
    for found in [page, super::super::read(&document).unwrap()] {
        for name in ["Tee 1", "Tee 2"] {
            assert!(
                !sure(sample(&found, name), "ph") && !sure(sample(&found, name), "magnesium"),
                "{found:?}"
            );
            assert!(sure(sample(&found, name), "zinc"), "{found:?}");
        }
    }
}

#[test]
fn words_of_a_heading_over_no_values_may_be_its_neighbours() {
    let found = reports(&[&[
        "Soil test report",
        "Client: Hob Mill Trust",
        "",
        "Sample    pH     acetate   K, ppm    Zn (DTPA), ppm",
        "Tee 1     6.4              117       1.2",
        "Tee 2     6.1              142       0.9",
    ]]);
    assert!(!sure(sample(&found, "Tee 1"), "potassium"), "{found:?}");
    assert!(sure(sample(&found, "Tee 1"), "zinc"), "{found:?}");
}

#[test]
fn a_unit_that_counts_no_ph_is_seen() {
    let found = reports(&[&[
        "Soil test report",
        "Sample ID: Tee 1",
        "",
        "Test          Result   Unit",
        "Buffer pH     7.2      me/100 g",
        "Soil pH       6.4",
        "Calcium       900      ppm",
    ]]);
    assert!(!sure(sample(&found, "Tee 1"), "buffer_ph"), "{found:?}");
    assert!(sure(sample(&found, "Tee 1"), "ph"));
}

#[test]
fn a_season_set_apart_from_its_name_leaves_the_name_unsure() {
    let found = reports(&[&[
        "Soil test report",
        "Client: Hob Mill Trust",
        "",
        "Sample    pH       buffer pH    2023    OM",
        "          CaCl2                         %",
        "Tee 1     6.7      8.7                  1.8",
        "Tee 2     5.8      7.5                  2.8",
    ]]);
    assert!(!sure(sample(&found, "Tee 2"), "buffer_ph"), "{found:?}");
}

#[test]
fn a_figure_under_another_heading_ends_no_name_and_a_blank_no_number() {
    let found = reports(&[&[
        "Soil test report",
        "Client: Hob Mill Trust",
        "",
        "Sample       Arena percent ENR   OM, %   pH    BI",
        "House field 1 67           0.1   6.8     6.9   7.0",
        "House field 2 63           5     1.8     5.5   6.9",
    ]]);
    let mut names = found.iter().flat_map(|r| &r.samples).map(|s| s.label.as_str());
    assert!(names.all(|n| !n.contains("67")), "{found:?}");
    let found = reports(&[&[
        "Soil test report",
        "Client: Hob Mill Trust",
        "",
        "Sample      Lab ID  pH     OM, %",
        "            ",
        "Front lawn  9749 NT 6.4    3.1",
        "North lawn  9748    6.6    2.9",
    ]]);
    let mut numbers = found.iter().flat_map(|r| &r.samples).filter_map(|s| s.lab_number.as_deref());
    assert!(numbers.all(|n| !n.contains("NT")), "{found:?}");
}

/// A long table whose depths stand as close to the names of what was measured as words do.
const DEEP: [&str; 11] = [
    "Soil test report",
    "Client: Hob Mill Trust",
    "",
    "Field ID  Lab ID  Depth   Nutrient             Value",
    "K1        44779   0-15 cm pHw                  7.5",
    "K1        44779   0-15 cm Organic Matter (%)   6.2",
    "K1        44779   0-15 cm P ppm                97",
    "K1        44779   0-15 cm Ca ppm               4056",
    "K1        44779   0-15 cm CEC, cmol/kg         18.7",
    "",
    "All nutrients by Mehlich 3 extraction.",
];

#[test]
fn a_depth_set_close_to_a_name_takes_no_row_out_of_its_table() {
    let found = reports(&[&DEEP]);
    let bed = sample(&found, "K1");
    assert_eq!(bed.readings.len(), 5, "{:?}", bed.readings);
    assert_eq!(reading(bed, "calcium").method, crate::soil::Method::Mehlich3);
    assert!(sure(bed, "calcium") && sure(bed, "cec"));
    assert!(bed.depth.is_some());
}

#[test]
fn a_row_that_was_not_read_goes_on_in_no_note() {
    let found = reports(&[
        &[
            "Soil test report",
            "Client: Hob Mill Trust",
            "",
            "Sample    pH     P ppm   K ppm",
            "Moss      6.4    31      142",
            "Fern      6.6    27      160",
        ],
        &[
            "P5        44783     quibbled layer CEC cmol/kg       40.3",
            "All nutrients by Mehlich 3 extraction.",
        ],
    ]);
    assert_eq!(reading(sample(&found, "Moss"), "potassium").method, crate::soil::Method::Mehlich3);
}

#[test]
fn of_two_columns_under_one_name_and_a_wish_neither_is_sure() {
    let found = reports(&[&[
        "Soil test report",
        "Client: Hob Mill Trust",
        "",
        "Sample    pH     K ppm   Percent Sand, Target   Silt    Clay",
        "                         %        sand          %       %",
        "Tee 1     6.4    142     75       76            7       18",
        "Tee 2     6.6    160     35       28            31      34",
    ]]);
    let tee = sample(&found, "Tee 1");
    assert!(tee.readings.iter().all(|r| r.analyte.id() != "sand" || !r.doubts.is_empty()), "{tee:?}");
}

#[test]
fn a_limit_and_a_result_headed_in_one_phrase_are_told_apart_by_their_columns() {
    let found = reports(&[&[
        "Soil test report",
        "Client: Hob Mill Trust",
        "Sample ID: Home field",
        "",
        "                   Test",
        "Determination LOQ result Unit",
        "pH             1   8.0",
        "P              0.1 38       ppm",
        "K              0.1 366      ppm",
        "Zn             1   0.9      ppm",
    ]]);
    let home = sample(&found, "Home field");
    assert!(
        home.readings
            .iter()
            .all(|r| !["1", "0.1"].contains(&r.printed.value.as_str()) || !r.doubts.is_empty()),
        "{home:?}"
    );
}
