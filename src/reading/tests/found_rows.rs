//! Samples as columns: rows in threes, and titles between the names and the rows.

use super::{reading, reports, sample, value};

const THREES: &[&str] = &[
    "Soil test report",
    "Client: Hob Mill Trust",
    "",
    "Sample                        Fairway 1   Tee 6",
    "Lab number                    5521-1      5521-2",
    "CEC (meq/100 g)               16.24       18.78",
    "EXCHANGEABLE CATIONS, lb/acre",
    "Calcium: Desired value        4427        5119",
    "         Value found          4276        4249",
    "         Deficit              -151        -869",
    "Potassium: Desired value      508         587",
    "         Value found          542         651",
    "         Deficit                          -24",
    "BASE SATURATION, PERCENT",
    "Calcium                       65.7        56.4",
    "Potassium                     4.3         4.4",
    "Exchangeable Hydrogen         18.3        23.4",
];

#[test]
fn of_rows_in_threes_what_was_found_is_read_for_every_sample() {
    let found = reports(&[THREES]);
    for (name, calcium, potassium, share, hydrogen) in
        [("Fairway 1", 2138.0, 271.0, 65.7, 18.3), ("Tee 6", 2124.5, 325.5, 56.4, 23.4)]
    {
        let sample = sample(&found, name);
        assert_eq!(value(sample, "calcium"), (calcium, true));
        assert_eq!(value(sample, "potassium"), (potassium, true));
        assert_eq!(value(sample, "sat_ca"), (share, true));
        assert_eq!(value(sample, "sat_h"), (hydrogen, true));
        assert_eq!(sample.readings.iter().filter(|r| r.analyte.id() == "calcium").count(), 1);
    }
}

#[test]
fn of_rows_in_threes_with_other_words_nothing_is_accepted_that_was_wished_for() {
    let page: Vec<String> = THREES.iter().map(|l| l.replace("Value found", "Quibbled   ")).collect();
    let page: Vec<&str> = page.iter().map(String::as_str).collect();
    let found = reports(&[&page]);
    let sure = |value: f64| {
        found
            .iter()
            .flat_map(|r| &r.samples)
            .flat_map(|s| &s.readings)
            .any(|r| r.quantity.value == value && r.doubts.is_empty())
    };
    for wished in [4427.0, 2213.5, 5119.0, 2559.5, 508.0, 254.0, 587.0, 293.5] {
        assert!(!sure(wished), "{wished}");
    }
}

#[test]
fn the_title_of_a_part_between_the_names_and_the_rows_is_no_end_of_the_names() {
    let found = reports(&[&[
        "Soil test report",
        "Client: Hob Mill Trust",
        "",
        "Sample               East Blk    East Blk    Pond Blk    Unit",
        "Lab ID               4016-1      4016-2      4016-4",
        "Depth                0-12        12-24       0-12        inches",
        "",
        "Salts",
        "pH                   7.75        7.73        7.63",
        "Nitrate-N            14.8        12.3        9.6         ppm",
        "",
        "Fertility",
        "Potassium            164         125         190         ppm",
        "Zinc, DTPA           3.8         <0.2        4.8         ppm",
    ]]);
    let of = |lab: &str, id: &str| {
        let own = found.iter().flat_map(|r| &r.samples).find(|s| s.lab_number.as_deref() == Some(lab));
        let own = own.unwrap();
        (own.label.clone(), own.depth.map(|d| d.top_cm.round()), value(own, id))
    };
    assert_eq!(of("4016-1", "ph"), ("East Blk".to_owned(), Some(0.0), (7.75, true)));
    assert_eq!(of("4016-2", "potassium"), ("East Blk".to_owned(), Some(30.0), (125.0, true)));
    assert_eq!(of("4016-4", "zinc"), ("Pond Blk".to_owned(), Some(0.0), (4.8, true)));
    assert_eq!(reading(sample(&found, "Pond Blk"), "nitrate_n").printed.unit, "ppm");
}
