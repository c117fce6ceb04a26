//! What a report states of its own units, limits and procedures.

use super::{document, reading, reports, sample, value};

fn chloride(note: &str) -> Vec<(f64, bool)> {
    let found = reports(&[&[
        "Client: Moss Trust     Report: 4471",
        "Sampled: Oct 25, 2024",
        "",
        "Field         Lab no.   Depth    NO3-N   Chloride   pH",
        "                        inches   ppm     lb/acre    1:1",
        "Moss bank     30551     0-6      30.0    72         8.0",
        "Moss bank     30552     6-24     22.5    78         7.1",
        "",
        note,
    ]]);
    let samples = found.iter().flat_map(|r| &r.samples).filter(|s| s.label == "Moss bank");
    samples.map(|s| value(s, "chloride")).collect()
}

#[test]
fn pounds_of_a_layer_go_by_the_factor_that_the_report_states_for_it() {
    let near = |found: &[(f64, bool)], values: [f64; 2]| {
        found.len() == 2 && found.iter().zip(values).all(|(f, v)| f.1 && (f.0 - v).abs() < 0.01)
    };
    for note in [
        "lb/acre = ppm x 0.3 x thickness of the layer in inches (0-6 in: ppm x 1.8; 6-24 in: ppm x 5.4).",
        "lb/acre = ppm x 0.3 x depth of the layer in inches.",
        "0-6 in: ppm x 1.8. 6-24 in: ppm x 5.4.",
    ] {
        let found = chloride(note);
        assert!(near(&found, [40.0, 14.444]), "{note} {found:?}");
    }
}

#[test]
fn pounds_wait_where_the_report_states_another_rule_that_is_not_understood() {
    let held = |note: &str| chloride(note).iter().all(|(_, sure)| !sure);
    assert!(held("Pounds per acre are ppm multiplied by the weight of the layer."));
    assert!(held("lb/acre = ppm x 1.4 x 3."));
    // Of two factors for two uses nobody knows which is this sample's.
    assert!(held("We report lb/acre as ppm x 1.33 for turf and x 2 for fields."));
    // A factor of a deeper layer alone, and of a lighter soil than by the convention.
    assert!(held("24-48 in: ppm x 6.0"));
    let plain = chloride("");
    assert_eq!(plain.first(), Some(&(36.0, true)), "{plain:?}");
}

#[test]
fn a_factor_for_one_layer_of_six_inches_is_a_factor() {
    let note = "Pounds per acre are to a depth of six inches (ppm x 2).";
    assert_eq!(chloride(note).first(), Some(&(36.0, true)));
}

#[test]
fn what_is_asked_of_a_soil_is_no_sample() {
    let names = |head: &str, asked: [&str; 5]| {
        let found = reports(&[&[
            "Report GP-0419  For: Moss Country Club",
            "",
            &format!("                                     {head:<11}Green 5 mix   Green 12 mix"),
            "Lab ID                                          GP-0419-1     GP-0419-2",
            "SOIL SEPARATES, %",
            &format!("Sand                                 {:<11}91.3          93.4", asked[0]),
            &format!("Silt                                 {:<11}5.2           4.0", asked[1]),
            &format!("Clay                                 {:<11}3.5           2.6", asked[2]),
            "PHYSICAL PROPERTIES",
            &format!("Sat. hydraulic conductivity, in/hr   {:<11}14.5          15.0", asked[3]),
            "Bulk density, g/cm3                             1.31          1.41",
            &format!("Total porosity, %                    {:<11}44.0          43.9", asked[4]),
            "Organic matter (LOI), %                         0.66          1.34",
            "pH (1:1 water)                                  7.0           6.4",
        ]]);
        found.iter().flat_map(|r| &r.samples).map(|s| s.label.clone()).collect::<Vec<_>>()
    };
    for head in ["Spec", "Specs", "Guideline", "Moss mix"] {
        assert_eq!(
            names(head, [">= 85", "<= 5", "<= 3", ">= 6", "35 - 55"]),
            ["Green 5 mix", "Green 12 mix"],
            "{head}"
        );
    }
    assert_eq!(names("Spec", ["85", "5", "3", "6.5", "35 - 55"]), ["Green 5 mix", "Green 12 mix"]);
    assert_eq!(
        names("Moss mix", ["91.0", "5.1", "<= 3", "6.5", "43.1"]),
        ["Moss mix", "Green 5 mix", "Green 12 mix"]
    );
}

#[test]
fn a_row_of_what_is_asked_is_no_sample() {
    let found = reports(&[&[
        "Client: Moss Links     Report: GP-0419",
        "",
        "Sample      Lab no.    Sand, %   Silt, %   Clay, %",
        "Green 5     GP-041     91.3      5.2       3.5",
        "Green 12    GP-042     93.4      4.0       2.6",
        "Moss mix               >= 85     <= 5      <= 3",
    ]]);
    let names: Vec<_> = found.iter().flat_map(|r| &r.samples).map(|s| s.label.clone()).collect();
    assert_eq!(names, ["Green 5", "Green 12"]);
}

#[test]
fn limits_and_uncertainties_beside_the_samples_of_a_certificate_are_none() {
    for last in ["", "U (k=2)", "Uncertainty"] {
        let unsure = if last.is_empty() { "" } else { "±9%" };
        let found = reports(&[&[
            "Client: Moss Parks     Work order: EB2407719",
            "",
            &format!("Analyte            Method   LOR   Unit     EB2407719-001   EB2407719-002   {last}"),
            "Client sample ID                           OVAL 1          OVAL 2",
            "Depth (cm)                                 0-10            0-10",
            "Sampling date                              13-Aug-2024     13-Aug-2024",
            &format!("pH 1:5 (water)     M-004    0.1   pH unit  6.7             7.1             {unsure}"),
            &format!("Chloride           M-031    2     mg/kg    84              87              {unsure}"),
            &format!("Zinc (DTPA)        M-070    0.1   mg/kg    5.5             2.1             {unsure}"),
        ]]);
        let names: Vec<_> = found.iter().flat_map(|r| &r.samples).map(|s| s.label.clone()).collect();
        assert_eq!(names, ["OVAL 1", "OVAL 2"], "{last}");
        assert_eq!(value(sample(&found, "OVAL 2"), "zinc"), (2.1, true), "{last}");
    }
}

#[test]
fn an_index_in_brackets_behind_a_value_is_none_of_it() {
    let of = |head: &str| {
        let head = format!("Lab ref    Sample       Soil pH    P {head}        K {head}");
        let lines = [
            "Grower: Moss Nurseries     Report: HI-3056",
            "Date received: 22 January 2024",
            "",
            head.as_str(),
            "3056/1     Tunnel 1     7.3        17 (2)              310 (3)",
            "3056/2     Tunnel 2     6.8        24 (2)              244 (3)",
        ];
        let found = crate::reading::read(&document(&[&lines])).unwrap_or_default();
        let all = found.iter().flat_map(|r| &r.samples).flat_map(|s| &s.readings);
        all.map(|r| r.quantity.value).collect::<Vec<_>>()
    };
    assert_eq!(of("mg/l (Index)"), [7.3, 17.0, 310.0, 6.8, 24.0, 244.0]);
    assert!(!of("Index (mg/l)").contains(&17.0));
}

#[test]
fn ends_of_what_is_wished_for_in_the_name_of_a_share_are_no_part_of_it() {
    let found = |name: &str| {
        let found = reports(&[&[
            "Client: Moss Links     Report: 5521",
            "",
            "Sample location         Green 2    Green 9",
            "Lab number              5521-1     5521-2",
            "Sample depth, inches    0-6        0-6",
            "pH                      6.6        6.6",
            "CEC, meq/100 g          5.3        8.1",
            "BASE SATURATION, %",
            &format!("{name:<24}72.1       72.7"),
            "Potassium (3 to 7.5)    3.85       4.65",
        ]]);
        let green = sample(&found, "Green 2");
        assert_eq!(green.depth.map(|d| d.bottom_cm), Some(15.24));
        value(green, "sat_ca")
    };
    for name in ["Calcium (60 to 70)", "Calcium (60 - 70)", "Calcium (over 60)"] {
        assert_eq!(found(name), (72.1, true), "{name}");
    }
    assert!(!found("Calcium (quibble)").1 && !found("Calcium (2)").1);
}

#[test]
fn two_reagents_in_a_note_are_neither_of_them() {
    let found = |note: &str| {
        let found = reports(&[&[
            "Client: Moss Farms     Report: 4411",
            "",
            "Sample       pH     Ca, mg/kg   B, mg/kg",
            "Moss field   6.4    1909        0.95",
            "Hob field    6.1    954         1.30",
            "",
            note,
        ]]);
        let moss = sample(&found, "Moss field");
        ["calcium", "boron"].map(|id| {
            let r = reading(moss, id);
            (r.method.id(), r.doubts.is_empty())
        })
    };
    assert_eq!(
        found("Ca in ammonium acetate with EDTA; boron in hot water with CaCl2."),
        [("unstated", false), ("unstated", false)]
    );
    assert_eq!(
        found("Ca in ammonium acetate; boron in hot water."),
        [("ammonium-acetate", true), ("hot-water", true)]
    );
}

#[test]
fn letters_for_a_procedure_end_a_sentence() {
    let found = reports(&[&[
        "Client: Moss Farms     Report: 4411",
        "",
        "Sample       pH     Ca, mg/kg   P, mg/kg",
        "Moss field   6.4    1909        31",
        "Hob field    6.1    954         13",
        "",
        "Mehlich-3 extraction by ICP. pH in 1:1 water; organic matter by loss on ignition.",
    ]]);
    let moss = sample(&found, "Moss field");
    assert_eq!(reading(moss, "calcium").method.id(), "mehlich-3");
    assert!(value(moss, "phosphorus").1 && value(moss, "calcium").1);
}

#[test]
fn what_a_note_says_of_one_sample_is_not_said_of_all() {
    let found = |note: &str| {
        let page = [
            "Quill Soil Laboratory",
            "Client: Moss Trust      Report: AD-640      Reported: 5 September 2023",
            note,
            "",
            "Sample              P (mg/kg)     K (mg/kg)     Mg (mg/kg)",
            "Walled garden       81            227           245",
            "Paddock             16            383           436",
            "Arboretum           36            133           546",
        ];
        let reports = reports(&[&page]);
        ["Paddock", "Arboretum"].map(|name| {
            ["phosphorus", "potassium"].map(|id| {
                let r = reading(sample(&reports, name), id);
                (r.method.id(), r.doubts.is_empty())
            })
        })
    };
    let two = found(
        "Phosphorus was extracted by Bray 1, but by Olsen for the Arboretum; potassium and magnesium by ammonium acetate.",
    );
    assert!(!two[1][0].1, "{two:?}");
    assert_eq!((two[0][0], two[1][1]), (("bray-p1", true), ("ammonium-acetate", true)));
    let all = found("Phosphorus was extracted by Bray 1; potassium and magnesium by ammonium acetate.");
    assert_eq!(all[1], [("bray-p1", true), ("ammonium-acetate", true)]);
    // A short code names a sample as well as a word does.
    let page = [
        "Quill Soil Laboratory",
        "Client: Moss Trust      Report: AD-640      Reported: 5 September 2023",
        "Phosphorus was extracted by Bray 1, but by Olsen for B2.",
        "",
        "Sample              P (mg/kg)     K (mg/kg)     Mg (mg/kg)",
        "B1                  81            227           245",
        "B2                  16            383           436",
    ];
    let codes = reports(&[&page]);
    assert!(!value(sample(&codes, "B2"), "phosphorus").1);
    assert!(value(sample(&codes, "B1"), "phosphorus").1);
}

#[test]
fn a_unit_of_all_others_is_none_of_what_has_its_own() {
    let page = [
        "Quill Soil Laboratory",
        "Client: Moss Trust      Report: BD-330      Reported: 5 September 2023",
        "Nitrate-N and chloride are lb/acre = ppm x 2 x (layer in inches / 6). All other results are ppm.",
        "",
        "Field               NO3-N         Cl            P (Olsen)",
        "North end           27            29            12",
        "Paddock             39            35            16",
    ];
    let reports = reports(&[&page]);
    assert_eq!(value(sample(&reports, "Paddock"), "phosphorus"), (16.0, true));
    for id in ["nitrate_n", "chloride"] {
        assert!(!value(sample(&reports, "Paddock"), id).1, "{id}");
    }
}
