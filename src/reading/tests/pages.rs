//! Tables over several pages, and several forms on one.

use super::{reports, sample, value};

#[test]
fn a_table_of_analytes_goes_on_over_the_page_under_the_same_samples() {
    let found = reports(&[
        &[
            "Soil test report",
            "Client: Hob Mill Trust",
            "",
            "                          Paddock    Orchard",
            "                          H-101      H-102",
            "pH                        6.4        5.9",
            "Potassium       mg/kg     152        84",
            "Calcium         mg/kg     1490       860",
            "CEC             cmol/kg   10.3       6.8",
        ],
        &["Magnesium       mg/kg     172        92", "Sodium          mg/kg     18         13"],
    ]);
    assert_eq!(value(sample(&found, "Paddock"), "magnesium"), (172.0, true));
    assert_eq!(value(sample(&found, "Orchard"), "sodium"), (13.0, true));
}

#[test]
fn the_name_of_the_next_sample_ends_a_table_and_nothing_of_one_form_is_the_others() {
    let found = reports(&[&[
        "Soil test report",
        "Date received: 24 April 2024",
        "",
        "Sample: Moss bank",
        "Test                  Result   Unit",
        "pH                    6.4",
        "Organic matter                 %",
        "Potassium             152      mg/kg",
        "Calcium               1490     mg/kg",
        "Sample: Fern walk",
        "Date Sampled: 18 March 2024",
        "Test                  Result   Unit",
        "pH                    5.9",
        "Organic matter        3.7      %",
        "Potassium             84       mg/kg",
        "Calcium               860      mg/kg",
    ]]);
    let (moss, fern) = (sample(&found, "Moss bank"), sample(&found, "Fern walk"));
    assert!(moss.readings.iter().all(|r| r.analyte.id() != "organic_matter"), "{moss:?}");
    assert_eq!(value(moss, "potassium"), (152.0, true));
    assert_eq!(value(fern, "organic_matter"), (3.7, true));
    assert_eq!((moss.sampled_on, fern.sampled_on.map(|d| d.to_string())), (None, Some("2024-03-18".into())));
}
