//! Former seasons and days beside the results of this one.

use super::{reports, sample, value};

#[test]
fn the_season_of_the_report_is_read_and_former_ones_are_not() {
    for last in ["2024", "2024 (this report)"] {
        let head = format!("Test              Unit    2020    2022    {last}");
        let found = reports(&[&[
            "Soil test report",
            "Sample ID: Rink 7",
            "Date sampled: October 3, 2024",
            "",
            &head,
            "pH                        6.0     6.1     6.3",
            "Potassium         ppm     101     118     148",
            "Magnesium         ppm     150     158     171",
        ]]);
        let s = sample(&found, "Rink 7");
        // Whether anything speaks against it is another question; a former season is never taken for this one.
        assert_eq!(value(s, "potassium").0, 148.0, "{last}");
        assert_eq!(s.readings.len(), 3, "{last}");
    }
}

#[test]
fn what_a_mail_quotes_is_older() {
    let found = reports(&[&[
        "Soil test report",
        "Sample ID: Croft",
        "pH 1:1: 6.1",
        "K: 96 mg/kg",
        "",
        "> Last year my pH was 5.4 and potassium was 60 mg/kg.",
    ]]);
    assert_eq!(value(sample(&found, "Croft"), "potassium"), (96.0, true));
}

#[test]
fn a_season_with_its_month_is_a_season_and_a_caption_gives_its_unit() {
    let found = reports(&[
        &[
            "Soil test report",
            "Sample: Fairway 3",
            "Sampled 5/14/2024",
            "",
            "Test          Unit   5/2020   5/2022   5/2024",
            "pH                   6.1      6.2      6.4",
            "Potassium     ppm    158      214      82",
            "Calcium       ppm    1436     2054     763",
        ],
        &[
            "Soil test report",
            "Micronutrients (DTPA), ppm",
            "Lab ID    Sample       Zn     Fe     Mn",
            "3310      B1 north     2.9    28.6   17.8",
            "3311      B1 south     3.9    16.2   3.0",
        ],
    ]);
    assert_eq!(value(sample(&found, "Fairway 3"), "potassium"), (82.0, true));
    assert_eq!(value(sample(&found, "B1 north"), "iron"), (28.6, true));
}

#[test]
fn a_former_season_alone_is_no_result() {
    let found = reports(&[&[
        "Soil test report",
        "Date reported: 20 May 2024",
        "Sample: Moss bank",
        "",
        "Test                2024    Unit     2022",
        "Phosphorus                  mg/kg    11",
        "Potassium           409     mg/kg    407",
        "Calcium             3102    mg/kg    2466",
        "Zinc                0.8     mg/kg    0.9",
    ]]);
    let former = ["11", "407", "2466", "0.9"];
    for r in found.iter().flat_map(|r| &r.samples).flat_map(|s| &s.readings) {
        assert!(!r.doubts.is_empty() || !former.contains(&r.printed.value.as_str()), "{r:?}");
    }
}

#[test]
fn a_result_and_a_former_season_set_close_together_come_apart() {
    let found = reports(&[&[
        "Soil test report",
        "Client: Hob Mill Trust",
        "Sample: Orchard",
        "",
        "Determination     Found Last test     Determination     Found Last test",
        "pH                7.4   8.2           Magnesium (ppm)   287   279",
        "Potassium (ppm)   132   167           Sodium (ppm)      46    58",
        "Calcium (ppm)     4228  3708          Iron (ppm)        14    12",
    ]]);
    let orchard = sample(&found, "Orchard");
    assert_eq!(value(orchard, "ph"), (7.4, true));
    assert_eq!(value(orchard, "magnesium"), (287.0, true));
}
