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

#[test]
fn a_second_table_that_measures_ph_otherwise_goes_on_with_the_first() {
    let tables = |first: &str, second: &str| {
        let first = format!("LAB-ID     SAMPLE     DEPTH    {first}   OM %");
        let second = format!("LAB-ID     SAMPLE     DEPTH    {second}   SAR");
        reports(&[
            &[
                "Client: Hob Mill Trust",
                "",
                &first,
                "7061-01    TEE        0-6 in    6.4        3.1",
                "7061-02    TEE        6-12 in   6.8        2.0",
            ],
            &[
                "Client: Hob Mill Trust",
                "",
                &second,
                "7061-01    TEE        0-6 in    7.1        2.2",
                "7061-02    TEE        6-12 in   7.5        4.1",
            ],
        ])
    };
    for (first, second) in [("pH (1:1)  ", "pH (paste)"), ("pH (CaCl2)", "pH (1:1)  ")] {
        let found = tables(first, second);
        let samples: Vec<_> = found.iter().flat_map(|r| &r.samples).collect();
        assert_eq!(samples.len(), 2, "{first} {second}");
        assert!(samples.iter().all(|s| s.doubts.is_empty() && s.readings.len() == 4), "{first} {second}");
        assert!(samples.iter().flat_map(|s| &s.readings).all(|r| r.doubts.is_empty()), "{first} {second}");
    }
    // Two that do not say how they differ are not sure to be of one bag.
    let found = tables("pH (1:1)  ", "pH        ");
    let sure =
        |s: &&crate::soil::Sample| s.doubts.is_empty() && s.readings.iter().all(|r| r.doubts.is_empty());
    assert_eq!(found.iter().flat_map(|r| &r.samples).filter(sure).count(), 0);
}
