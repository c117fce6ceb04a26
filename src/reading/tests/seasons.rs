//! Former seasons and days beside the results of this one.

use super::{reports, sample, sheets, value};
use crate::reading::read;

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

#[test]
fn a_year_over_a_name_beside_names_of_this_report_is_a_former_season() {
    let found = reports(&[&[
        "Soil test report",
        "Client: Hob Mill Trust",
        "Date reported: 8 April 2025",
        "",
        "Test                    This report                         2022",
        "                        Croft       Bank       Lower lea    Croft",
        "pH (1:2 water)          5.9         5.6        6.5          5.7",
        "Phosphorus (Olsen) ppm  14.7        15.3       17.1         14.3",
        "Zinc (DTPA) ppm         2.9         3.1        4.4          2.2",
    ]]);
    let former = ["5.7", "14.3", "2.2"];
    for r in found.iter().flat_map(|r| &r.samples).flat_map(|s| &s.readings) {
        assert!(!r.doubts.is_empty() || !former.contains(&r.printed.value.as_str()), "{r:?}");
    }
}

#[test]
fn a_column_that_is_told_to_be_an_earlier_test_is_left_out() {
    let found = reports(&[&[
        "Soil test report",
        "Client: Hob Mill Trust",
        "Date reported: 7 October 2024",
        "",
        "Sample name                 Top field   Long acre   Long acre 2021",
        "Lab number                  OX90071-A   OX90071-B   (earlier test)",
        "Determination      Unit",
        "Soil pH (water 1:1)         5.4         5.5         5.7",
        "Phosphorus (Olsen) ppm      20          26          21",
        "Zinc (DTPA)        ppm      3.4         3.2         2.7",
    ]]);
    assert_eq!(value(sample(&found, "Long acre"), "zinc"), (3.2, true));
    assert!(
        found.iter().flat_map(|r| &r.samples).all(|s| s.readings.iter().all(|r| r.printed.value != "2.7"))
    );
}

#[test]
fn a_name_with_a_year_beside_the_name_alone_waits() {
    let found = reports(&[&[
        "Soil test report",
        "Client: Hob Mill Trust",
        "Date reported: 7 October 2024",
        "",
        "Sample name                 Top field   Long acre   Long acre 2023",
        "Soil pH (water 1:1)         5.4         5.5         5.7",
        "Phosphorus (Olsen) ppm      20          26          21",
        "Zinc (DTPA)        ppm      3.4         3.2         2.7",
    ]]);
    assert_eq!(value(sample(&found, "Long acre"), "zinc"), (3.2, true));
    let all = || found.iter().flat_map(|r| &r.samples).flat_map(|s| &s.readings);
    assert!(all().filter(|r| r.printed.value == "2.7").all(|r| !r.doubts.is_empty()));
}

#[test]
fn a_table_of_earlier_tests_with_a_year_in_each_row_is_left_out() {
    let sheet = |last: &'static str| {
        [
            "Quill Laboratory",
            "Report WX-5517 for A. Moss received May 2, 2023 mailed May 10, 2023",
            "",
            "Bag | Field name | pH | P, ppm | K, ppm",
            "551701 | Front lawn | 5.2 | 36 | 125",
            "551702 | Back lawn | 5.4 | 25 | 203",
            "",
            "What your earlier tests showed",
            "",
            "Field name | Year | pH | P, ppm | K, ppm",
            "Front lawn | 2017 | 5.0 | 60 | 190",
            last,
        ]
    };
    let found = read(&sheets(&[("", &sheet("Back lawn | 2020 | 5.1 | 66 | 220"))])).unwrap();
    assert_eq!(value(sample(&found, "Front lawn"), "potassium"), (125.0, true));
    assert_eq!(found.iter().flat_map(|r| &r.samples).count(), 2);
    assert_eq!(found[0].client.as_deref(), Some("A. Moss"));
    assert_eq!(found[0].reported_on, Some("2023-05-10".parse().unwrap()));
    // A row without a year before the report's may be one of this season.
    let found = read(&sheets(&[("", &sheet("Back lawn | 2023 | 5.1 | 66 | 220"))])).unwrap();
    assert!(found.iter().flat_map(|r| &r.samples).flat_map(|s| &s.readings).any(|r| r.printed.value == "66"));
}

#[test]
fn of_two_months_over_columns_the_one_of_the_reports_own_year_is_read() {
    let of = |first: &str, second: &str| {
        let head = format!("Test              Unit    {first}    {second}");
        reports(&[&[
            "Soil test report",
            "Sample ID: Rink 7",
            "Received: October 3, 2024",
            "",
            &head,
            "pH                        6.1         6.3",
            "Potassium         ppm     118         148",
            "Magnesium         ppm     158         171",
        ]])
    };
    let found = of("Sep 2023", "Oct 2024");
    assert_eq!(value(sample(&found, "Rink 7"), "potassium"), (148.0, true));
    // Two samplings of one year.
    let found = of("Mar 2024", "Oct 2024");
    let all = found.iter().flat_map(|r| &r.samples).flat_map(|s| &s.readings);
    assert!(all.into_iter().all(|r| !r.doubts.is_empty()));
}

#[test]
fn a_name_under_this_year_and_a_former_one_is_one_sample() {
    let of = |year: &str, former: &str, blank: bool| {
        let years = format!("                        {year}        {former}        {year}       {former}");
        let last = if blank {
            "Magnesium      ppm      158                     171"
        } else {
            "Magnesium      ppm      158         159         171        172"
        };
        let found = reports(&[&[
            "Soil test report",
            "Client: Quern Farms",
            "Sampled: October 3, 2024",
            "",
            "Test           Unit     Moss end    Moss end    Hob end    Hob end",
            &years,
            "pH                      6.1         6.3         5.8        5.9",
            "Potassium      ppm      118         148         202        211",
            last,
        ]]);
        let all = || found.iter().flat_map(|r| &r.samples);
        let mut names: Vec<String> = all().map(|s| s.label.clone()).collect();
        names.sort_unstable();
        (names, all().flat_map(|s| &s.readings).all(|r| r.doubts.is_empty()))
    };
    assert_eq!(of("2024", "2022", true), (vec!["Hob end".to_owned(), "Moss end".to_owned()], true));
    // Both before the report's own year; what was planted in a year has as much as the rest.
    for other in [of("2023", "2022", true), of("2024", "2022", false)] {
        assert_eq!(other.0.len(), 4, "{other:?}");
    }
}

#[test]
fn a_row_with_a_word_for_the_past_in_the_place_of_its_number_is_left_out_or_waits() {
    let page = |second: &str| {
        reports(&[&[
            "Soil analysis report 4471   Client: Moss Trust   Received: 2024-09-24",
            "",
            "Sample     Lab no       pH     K, ppm    Zn, ppm",
            "Top bed    51120        6.4    120       2.1",
            second,
        ]])
    };
    let samples = |found: &[crate::soil::Report]| found.iter().map(|r| r.samples.len()).sum::<usize>();
    let found = page("Top bed    (previous)   6.1    110       1.9");
    assert_eq!((samples(&found), value(sample(&found, "Top bed"), "potassium")), (1, (120.0, true)));
    let found = page("Hob bed    (previous)   6.1    110       1.9");
    assert!(!value(sample(&found, "Hob bed"), "potassium").1, "{found:?}");
}
