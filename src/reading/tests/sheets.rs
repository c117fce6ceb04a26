//! Sheets whose samples are named elsewhere, and what programs write into table files.

use super::*;
use crate::soil::Method;

const HEAD: &str = "Report: 5529 | | Client: Moss Farms";

fn of(all: &[(&str, &[&str])]) -> Vec<Report> {
    read(&sheets(all)).unwrap()
}

fn top(sample: &Sample) -> f64 {
    sample.depth.map_or(-1.0, |d| d.top_cm)
}

#[test]
fn a_list_of_samples_names_the_codes_of_the_sheets_behind_it() {
    let list = [
        "Batch 5529 Grower: Moss Farms In 17/05/2022 Out 30/05/2022",
        "",
        "Code | Paddock | Present use | Depth (cm) | Date taken",
        "OG01/5529 | Windmill | Pasture | 0-10 | 12/05/2022",
        "OG02/5529 | Windmill | Pasture | 10-20 | 13/05/2022",
        "OG03/5529 | Creek flat | Lucerne | 0-10 | 12/05/2022",
    ];
    let ph = [
        "Code | pH (CaCl2) | Organic matter",
        " | - | %",
        "OG01/5529 | 4.7 | 3.4",
        "OG02/5529 | 4.8 | 3.5",
        "OG03/5529 | 5.6 | 5.4",
    ];
    let anions =
        ["Code | P Colwell | S", " | mg/kg | mg/kg", "OG01/5529 | 28 | 15.9", "OG03/5529 | 43 | 7.6"];
    let trace =
        ["Code | Cu DTPA | Zn DTPA", " | mg/kg | mg/kg", "OG03/5529 | 1.6 | 5.7", "OG01/5529 | 1.0 | 3.1"];
    let found = of(&[("", &list), ("", &ph), ("", &anions), ("", &trace)]);
    let [report] = found.as_slice() else { panic!("{found:?}") };
    assert_eq!(report.client.as_deref(), Some("Moss Farms"));
    assert!(report.received_on.is_some() && report.reported_on.is_some());
    let said: Vec<(&str, f64, usize)> =
        report.samples.iter().map(|s| (s.label.as_str(), top(s), s.readings.len())).collect();
    assert_eq!(said, [("Windmill", 0.0, 6), ("Windmill", 10.0, 2), ("Creek flat", 0.0, 6)]);
    assert_eq!(value(sample(&found, "Creek flat"), "zinc"), (5.7, true));
    assert!(report.samples.iter().all(|s| s.doubts.is_empty()), "{:?}", report.samples);
}

#[test]
fn a_code_that_the_list_does_not_hold_or_holds_twice_leaves_all_codes_alone() {
    let ph = ["Code | pH (CaCl2) | Organic matter, %", "OG01 | 4.7 | 3.4", "OG02 | 4.8 | 3.5"];
    for rows in [
        ["Code | Paddock", "OG01 | Windmill", "OG01 | Creek flat"],
        ["Code | Paddock", "OG01 | Windmill", "OG03 | Creek flat"],
    ] {
        let found = of(&[("", &rows), ("", &ph)]);
        let mut samples = found.iter().flat_map(|r| &r.samples);
        assert!(samples.all(|s| !s.doubts.is_empty() && s.lab_number.is_none()), "{found:?}");
    }
}

#[test]
fn a_number_in_brackets_behind_a_name_is_the_laboratorys_where_the_heading_asks_for_both() {
    let rows = |last: &'static str| {
        [
            HEAD,
            "",
            "Sample (our number) | pH (1:1 water) | P Mehlich 3, mg/kg",
            "1 Green [QT-40117] | 6.0 | 19",
            "7 Green (front) [QT-40118] | 6.5 | 64",
            last,
        ]
    };
    let found = of(&[("", &rows("2 Tee [QT-40119] | 6.4 | 10"))]);
    let said: Vec<(&str, Option<&str>)> =
        found.iter().flat_map(|r| &r.samples).map(|s| (s.label.as_str(), s.lab_number.as_deref())).collect();
    let own = |name, number| (name, Some(number));
    assert_eq!(
        said,
        [own("1 Green", "QT-40117"), own("7 Green (front)", "QT-40118"), own("2 Tee", "QT-40119")]
    );
    // One number twice is none of the laboratory's.
    let found = of(&[("", &rows("2 Tee [QT-40118] | 6.4 | 10"))]);
    assert!(found.iter().flat_map(|r| &r.samples).all(|s| s.label.is_empty()), "{found:?}");
}

#[test]
fn names_of_machines_and_their_sign_for_nothing_are_read() {
    let found = of(&[(
        "",
        &[
            "# Extract NS-R4-118 for Ministry of Moss, Hobside; issued 2018-12-03",
            "# -9999 = not determined; OC = organic carbon",
            "site_name|lab_no|upper_cm|lower_cm|date|pH_H2O_1_2.5|bulk_density_g_cm3|Ca_NH4OAc_cmol_kg|P_Olsen_mg_kg|EC_1_5_mS_m",
            "Moss_1_2|R4-2201|0|18|2018-05-10|5.72|1.16|7.23|8.4|16.8",
            "Trivet Cross|R4-2203|0|25|2018-06-12|6.40|1.53|15.92|-9999|13.0",
        ],
    )]);
    assert_eq!(found[0].client.as_deref(), Some("Ministry of Moss, Hobside"));
    let moss = &found[0].samples[0];
    assert_eq!(moss.label, "Moss 1 2");
    let ph = reading(moss, "ph");
    assert!(ph.doubts.is_empty() && ph.method == Method::Water1to2_5, "{ph:?}");
    assert_eq!(value(moss, "bulk_density"), (1.16, true));
    let salts = reading(moss, "soluble_salts");
    assert!(salts.doubts.is_empty() && (salts.quantity.value - 0.168).abs() < 1e-6, "{salts:?}");
    assert_eq!(value(moss, "phosphorus"), (8.4, true));
    let calcium = reading(moss, "calcium");
    assert!((calcium.quantity.value - 7.23 * 200.4).abs() < 1.0, "{calcium:?}");
    assert!(found[0].samples[1].readings.iter().all(|r| r.analyte.id() != "phosphorus"));
}

#[test]
fn a_slurry_told_in_parts_is_a_ratio_and_no_value() {
    let found = of(&[
        ("", &[HEAD, "", "Sample | pH | P, mg/kg", "Moss | 6.0 | 19", "Fern | 6.7 | 14"]),
        ("Key", &["pH: 1 part soil to 1 part water by volume", "P: Mehlich-3"]),
    ]);
    let all: Vec<&Reading> = found
        .iter()
        .flat_map(|r| &r.samples)
        .flat_map(|s| &s.readings)
        .filter(|r| r.analyte.id() == "ph")
        .collect();
    assert_eq!(all.len(), 2);
    assert!(all.iter().all(|r| r.method == Method::Water1to1 && r.doubts.is_empty()), "{all:?}");
}

#[test]
fn rows_of_a_form_in_one_grid_name_no_columns() {
    let found = of(&[(
        "",
        &[
            "Moss Soil Clinic",
            "Client: Wendell Quern",
            "",
            "Name of area | | Front yard | | Clinic no. | 8812-1",
            "To be grown | | Fescue lawn | | Sampled | 09/30/2023",
            "Depth of cores | | 6 inches | | Last limed | 2019",
            "",
            "Test | | Result | Unit | Index",
            "Soil pH | | 5.8",
            "Phosphorus (P) | | 35 | ppm | L",
            "Potassium (K) | | 206 | ppm | M",
        ],
    )]);
    let yard = sample(&found, "Front yard");
    assert_eq!((yard.readings.len(), yard.lab_number.as_deref()), (3, Some("8812-1")));
    assert!(yard.doubts.is_empty(), "{yard:?}");
}

#[test]
fn fields_of_samples_are_named_in_any_column_left_of_their_values() {
    let found = of(&[(
        "",
        &[
            HEAD,
            "",
            " | | Sample | Rink 1 - 3 | Rink 4 - 6 | Surround | Guide",
            " | | Lab ID | P60418A | P60418B | P60418C |",
            " | | Date sampled | 30-Oct-23 | 30-Oct-23 | 30-Oct-23",
            "Test | Method | Unit | Result | Result | Result | Range",
            "Soil pH | 1:1 H2O | s.u. | 6.5 | 6.6 | 6.9 | 6.0-7.0",
            "Phosphorus | Mehlich 3 | ppm | 34 | 39 | 23 | 30-60",
            "Potassium | Mehlich 3 | ppm | 176 | 148 | 119 | 100-200",
        ],
    )]);
    let said: Vec<(&str, Option<&str>, f64)> = found
        .iter()
        .flat_map(|r| &r.samples)
        .map(|s| (s.label.as_str(), s.lab_number.as_deref(), reading(s, "phosphorus").quantity.value))
        .collect();
    assert_eq!(
        said,
        [
            ("Rink 1 - 3", Some("P60418A"), 34.0),
            ("Rink 4 - 6", Some("P60418B"), 39.0),
            ("Surround", Some("P60418C"), 23.0)
        ]
    );
}

#[test]
fn a_second_table_of_the_same_names_and_numbers_goes_on_with_the_first() {
    let found = of(&[
        (
            "",
            &[
                HEAD,
                "",
                "Core | Lab ID | Depth (in.) | Bulk density g/cc | Organic matter % (LOI)",
                "Green 2 | 055.1 | 0 to 4 | 1.32 | 2.47",
                "Green 14 | 055.3 | 0 to 4 | 1.48 | 1.86",
                "",
                "",
                "Core | Lab ID | Total sand % | Silt % | Clay %",
                "Green 2 | 055.1 | 93.0 | 4.2 | 2.8",
                "Green 14 | 055.3 | 88.1 | 7.1 | 4.8",
            ],
        ),
        ("", &["Lab ID | pH (1:1 water) | P, Mehlich 3, ppm", "055.1 | 6.6 | 29", "055.3 | 6.3 | 15"]),
    ]);
    let green = sample(&found, "Green 2");
    assert_eq!(found.iter().map(|r| r.samples.len()).sum::<usize>(), 2, "{found:?}");
    assert_eq!((green.lab_number.as_deref(), value(green, "phosphorus")), (Some("055.1"), (29.0, true)));
    assert_eq!(value(green, "sand"), (93.0, true));
}
