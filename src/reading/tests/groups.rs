//! Groups of columns and parts of tables, and what their headings tell.

use super::{reading, reports, sample, value};

#[test]
fn a_caption_on_the_exchange_complex_gives_its_unit_to_the_capacity_too() {
    let found = reports(&[&[
        "Cliente: Moss Farms     Informe: 4411",
        "",
        "Exchange complex (ammonium acetate, pH 7), in cmol(+)/kg",
        "Sample        Ca     Mg     K     Na    CEC",
        "Moss field    12.1   2.1    0.4   0.1   18.1",
        "Hob field     13.1   2.2    0.5   0.1   19.1",
    ]]);
    let moss = sample(&found, "Moss field");
    assert_eq!(value(moss, "cec"), (18.1, true));
    assert!(value(moss, "calcium").1 && value(moss, "potassium").1);
}

#[test]
fn profiles_name_the_horizons_under_them_and_headings_at_an_edge_reach_to_the_next() {
    let page = |title: &'static str, first: &'static str, groups: &'static str| {
        [
            "Commissioned by: Moss Board. Described and sampled: 10 June 2022. Land use: arable.",
            title,
            "",
            groups,
            "Lab no.   Horizon   Depth    H2O    1:2    Ca     Mg     K      CEC    Sand   Silt   Clay   BD",
            "                    cm       1:2.5  dS/m                                                   g/cm3",
            first,
            "22-4412   Bt1       22-41    5.8    0.20   5.13   0.69   0.26   7.4    47     45     8      1.45",
        ]
    };
    let groups = "                             pH     EC     Exchange complex, cmol/kg   Particle size, %";
    let other = "                             pH     EC     Wanted quibbles, cmol/kg    Particle size, %";
    let upper =
        "22-4411   Ap        0-22     5.6    0.65   12.3   3.40   0.83   21.4   45     30     25     1.31";
    let first = page("Profile UT-03: Haplic Luvisol", upper, groups);
    let second = page("Profile UT-07: Eutric Cambisol", upper, groups);
    let found = reports(&[&first, &second]);
    let samples: Vec<_> = found.iter().flat_map(|r| &r.samples).collect();
    let names: Vec<_> = samples.iter().map(|s| s.label.as_str()).collect();
    assert_eq!(names, ["UT-03", "UT-03", "UT-07", "UT-07"]);
    let depths: Vec<_> = samples.iter().filter_map(|s| s.depth.map(|d| d.bottom_cm)).collect();
    assert_eq!(depths, [22.0, 41.0, 22.0, 41.0]);
    assert_eq!(found[0].client.as_deref(), Some("Moss Board"));
    for id in ["calcium", "cec", "clay", "bulk_density"] {
        assert!(value(samples[0], id).1, "{id} {:?}", reading(samples[0], id));
    }
    let strange = page("Profile UT-03: Haplic Luvisol", upper, other);
    let found = reports(&[&strange, &second]);
    let samples: Vec<_> = found.iter().flat_map(|r| &r.samples).collect();
    assert!(!value(samples[0], "calcium").1 && !value(samples[0], "cec").1);
}

#[test]
fn a_profile_ends_at_the_words_over_another_table() {
    let head = "Lab no.   Horizon   Depth, cm   pH (1:1 water)   Clay, %";
    let found = reports(&[&[
        "Client: Moss Board     Report: 4410",
        "Profile UT-03: Haplic Luvisol",
        head,
        "22-4411   Ap        0-22        5.6              25",
        "",
        "Profile UT-07: Eutric Cambisol",
        head,
        "22-4413   Ap        0-22        5.8              16",
        "",
        "Other samples of the same order",
        head,
        "22-4415   C         50-80       6.9              12",
    ]]);
    let of = |number: &str| {
        let mut all = found.iter().flat_map(|r| &r.samples);
        all.find(|s| s.lab_number.as_deref() == Some(number)).map(|s| s.label.clone())
    };
    assert_eq!((of("22-4411").as_deref(), of("22-4413").as_deref()), (Some("UT-03"), Some("UT-07")));
    assert_ne!(of("22-4415").as_deref(), Some("UT-07"));
}

#[test]
fn a_name_a_number_of_the_report_and_a_layer_stand_over_three_tables_of_one_sample() {
    let table = |title: &'static str| {
        [
            title,
            "Saturated paste extract   Exchangeable (NH4OAc)      Available",
            "pH of paste   7.9         Ca, ppm   3255             P (Olsen), ppm   11",
            "ECe, dS/m     2.9         Mg, ppm   278              Zn (DTPA), ppm   4.6",
            "SAR           3.5         K, ppm    361              Fe (DTPA), ppm   48",
            "HCO3, meq/L   3.6",
            "",
        ]
    };
    let head = ["For Moss Resort   Report SP-2210", ""];
    let first = table("Fairway 3 SP-2210-A 0-10 cm sampled 3 July 2024");
    let mut second = table("Fairway 8 SP-2210-B 0-10 cm sampled 3 July 2024");
    second[2] = "pH of paste   8.0         Ca, ppm   1794             P (Olsen), ppm   73";
    let page: Vec<&str> = head.iter().chain(&first).chain(&second).copied().collect();
    let found = reports(&[&page]);
    let (three, eight) = (sample(&found, "Fairway 3"), sample(&found, "Fairway 8"));
    assert_eq!(three.lab_number.as_deref(), Some("SP-2210-A"));
    assert_eq!((value(three, "ph"), value(eight, "ph")), ((7.9, true), (8.0, true)));
    assert_eq!((value(three, "calcium"), value(eight, "calcium")), ((3255.0, true), (1794.0, true)));
    assert_eq!(value(eight, "phosphorus"), (73.0, true));
}

#[test]
fn what_asks_for_the_number_of_a_title_is_no_part_of_its_name() {
    let table = |title: &'static str| [title, "pH (1:1 water)     6.4", "Organic matter, %  2.1", ""];
    let head = ["Client: Moss Links", "Report no.: SP-2210", ""];
    for titles in [
        ["Green 2   Lab no   SP-2210-A", "Green 7   Lab no   SP-2210-B"],
        ["Green 2 Lab no SP-2210-A 0-10 cm", "Green 7 Lab no SP-2210-B 0-10 cm"],
    ] {
        let (first, second) = (table(titles[0]), table(titles[1]));
        let page: Vec<&str> = head.iter().chain(&first).chain(&second).copied().collect();
        for report in reports(&[&page]) {
            for sample in report.samples {
                let named = !sample.label.to_lowercase().contains("lab no");
                let waits = sample.readings.iter().all(|r| !r.doubts.is_empty()) || !sample.doubts.is_empty();
                assert!(named || waits, "{}", sample.label);
            }
        }
    }
}

#[test]
fn rows_of_unknown_names_in_its_columns_lead_on_to_the_next_part_of_a_table() {
    let sieves = |names: &[&'static str]| {
        let head = [
            "Client: Moss Links     Report: GP-0419",
            "",
            "                       Green 5       Green 12",
            "Lab ID                 GP-0419-1     GP-0419-2",
            "Sand, %                91.3          93.4",
            "Silt, %                5.2           4.0",
            "SIEVE ANALYSIS, % retained",
        ];
        let tail = ["PHYSICAL PROPERTIES", "Bulk density, g/cm3    1.31          1.41"];
        let page: Vec<&str> = head.iter().chain(names).chain(&tail).copied().collect();
        let found = reports(&[&page]);
        let last = found.iter().flat_map(|r| &r.samples).rfind(|s| s.label == "Green 12");
        last.and_then(|s| s.readings.iter().find(|r| r.analyte.id() == "bulk_density"))
            .map(|r| r.quantity.value)
    };
    let rows = ["Quibbles 2.0 mm        0.4           0.8"; 8];
    assert_eq!(sieves(&rows), Some(1.41));
    let prose = ["We thank you for sending these samples to us and hope to see you again soon."; 8];
    assert_eq!(sieves(&prose), None);
}

#[test]
fn a_class_beside_a_ph_and_a_unit_under_four_names_leave_both_read() {
    let found = reports(&[&[
        "Auftraggeber: Hof Moos     Prüfbericht Nr. B-0714",
        "",
        "Probe-Nr.  Schlag      pH-Wert      P2O5            Mg            B    Cu   Mn   Zn     Humus",
        "                       (CaCl2)      (CAL)         (CaCl2)",
        "                            GK    mg/100 g  GK   mg/100 g  GK           mg/kg             %",
        "71400      Langer Hof  7,1  D       9       D      13,8    D      0,7  1,7  36   2,0    4,6",
        "71401      Moosacker   7,5  E       4       C      8,3     D      1,1  2,0  44   5,5    4,7",
    ]]);
    let moss = sample(&found, "Moosacker");
    assert_eq!(value(moss, "ph"), (7.5, true));
    assert_eq!(reading(moss, "ph").method.id(), "cacl2");
    for (id, amount) in [("boron", 1.1), ("copper", 2.0), ("manganese", 44.0), ("zinc", 5.5)] {
        assert_eq!(value(moss, id), (amount, true), "{id}");
    }
}

#[test]
fn nutrients_over_the_first_of_several_names_is_no_part_of_it() {
    let found = |title: &str| {
        let found = reports(&[&[
            "Client: Moss Farms     Report: 4411",
            "",
            &format!("                             {title}"),
            "Lab no.   Sample    pH       Bray P1   K      Mg",
            "                             ppm       ppm    ppm",
            "41207     Moss      7.4      57        170    262",
            "41208     Hob       6.4      35        131    236",
        ]]);
        value(sample(&found, "Moss"), "phosphorus")
    };
    assert_eq!(found("Nutrients"), (57.0, true));
    assert!(!found("Quibbles").1);
}
