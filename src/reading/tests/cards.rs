//! Cards side by side, tables that go on over pages, and what stands over the columns of samples.

use super::{reports, sample, value};

#[test]
fn the_same_name_with_its_method_is_each_cards_own() {
    let found = reports(&[&[
        "Quill Soil Laboratory",
        "Client: Moss Trust     Report no.: HM-77     in 3 May 2021, out 9 May 2021",
        "",
        "Plot 3                     Card MG/1         Plot 7                     Card MG/2",
        "",
        "pH in water (1:2.5)        5.3               pH in water (1:2.5)        6.1",
        "Organic matter             3.4     %         Organic matter             5.7     %",
        "Phosphorus (Morgan)        8.8     mg/kg     Phosphorus (Morgan)        6.4     mg/kg",
        "Potassium (Morgan)         182     mg/kg     Potassium (Morgan)         245     mg/kg",
    ]]);
    let (left, right) = (sample(&found, "Plot 3"), sample(&found, "Plot 7"));
    assert_eq!((value(left, "ph"), value(right, "ph")), ((5.3, true), (6.1, true)));
    assert_eq!((value(left, "potassium"), value(right, "potassium")), ((182.0, true), (245.0, true)));
    assert_eq!((left.lab_number.as_deref(), right.lab_number.as_deref()), (Some("MG/1"), Some("MG/2")));
    assert!(found[0].received_on.is_some() && found[0].reported_on.is_some());
}

/// Four boxes, two by two: the titles of the upper and of the lower, and the line below each.
fn boxes(upper: &str, lower: &str, layers: [&str; 2]) -> Vec<crate::soil::Report> {
    let lines = [
        "Quill Soil Laboratory",
        "Moss Golf Club     Report no.: HM-77     Reported: 3 May 2021",
        "Mehlich-3 extraction. All nutrients in ppm.",
        "",
        upper,
        layers[0],
        "",
        "pH (1:1 water)        5.6   [6.0-6.8]     pH (1:1 water)        6.2   [6.0-6.8]",
        "Phosphorus             10     [25-50]     Phosphorus             26     [25-50]",
        "Potassium             174    [75-150]     Potassium             163    [75-150]",
        "Calcium              2085  [500-1000]     Calcium              1647  [500-1000]",
        "",
        "",
        "",
        "",
        "",
        "",
        "",
        "",
        lower,
        layers[1],
        "",
        "pH (1:1 water)        6.3   [6.0-6.8]     pH (1:1 water)        6.4   [6.0-6.8]",
        "Phosphorus             58     [25-50]     Phosphorus             42     [25-50]",
        "Potassium             243    [75-150]     Potassium             202    [75-150]",
        "Calcium              2690  [500-1000]     Calcium              1559  [500-1000]",
    ];
    reports(&[&lines])
}

#[test]
fn each_of_four_boxes_has_its_own_name_or_waits() {
    let layer = "Depth 0-4 in                              Depth 0-4 in";
    let found = boxes(
        "Green 4                      Lab G4-1     Green 11                     Lab G11-1",
        "Tee 7                        Lab T7-1     Practice green               Lab PG-1",
        [layer, layer],
    );
    for (name, number, ph) in [
        ("Green 4", "G4-1", 5.6),
        ("Green 11", "G11-1", 6.2),
        ("Tee 7", "T7-1", 6.3),
        ("Practice green", "PG-1", 6.4),
    ] {
        let own = sample(&found, name);
        assert_eq!((value(own, "ph"), own.lab_number.as_deref()), ((ph, true), Some(number)), "{name}");
        assert!(own.doubts.is_empty() && own.depth.is_some(), "{own:?}");
    }
    // Titles that ask for nothing and are numbered nowhere are of no sample, and those above are none of these boxes'.
    let deeper = "Depth 0-6 in                              Depth 0-6 in";
    for (upper, lower, layers) in [
        (
            "Green 4                      Bag G4-1     Green 11                     Bag G11-1",
            "Tee 7                        Bag T7-1     Practice green               Bag PG-1",
            [layer, layer],
        ),
        (
            "Green 4                      Ref G4-1     Green 11                     Ref G11-1",
            "Tee 7                        Ref T7-1     Practice green               Ref PG-1",
            [layer, layer],
        ),
        (
            "Green 4                                   Green 11",
            "Tee 7                                     Practice green",
            [layer, deeper],
        ),
        (
            "Green 4                      Report 41    Green 11                     Report 42",
            "Tee 7                        Report 43    Practice green               Report 44",
            [layer, deeper],
        ),
        (
            "Tee 7                        Report 41    Practice green               Report 42",
            "Green 4                      Report 43    Green 11                     Report 44",
            [layer, layer],
        ),
    ] {
        let found = boxes(upper, lower, layers);
        let all = || found.iter().flat_map(|r| &r.samples);
        let right = [("Green 4", 5.6), ("Green 11", 6.2), ("Tee 7", 6.3), ("Practice green", 6.4)];
        let turned = [("Tee 7", 5.6), ("Practice green", 6.2), ("Green 4", 6.3), ("Green 11", 6.4)];
        let right = if upper.starts_with("Tee") { turned } else { right };
        for own in all().filter(|s| s.doubts.is_empty()) {
            for r in own.readings.iter().filter(|r| r.analyte.id() == "ph" && r.doubts.is_empty()) {
                assert!(
                    right.contains(&(own.label.as_str(), r.quantity.value)),
                    "{upper}: {} {}",
                    own.label,
                    r.quantity.value
                );
            }
        }
    }
}

#[test]
fn a_long_table_goes_on_over_the_page() {
    let found = reports(&[
        &[
            "Quill Soil Laboratory",
            "Job: 77120      Client: Moss Trust      Reported: 3 May 2021",
            "",
            "Sample    Client ID       Analysis           Result Units         LOD",
            "77120-1   LAWN-E          Phosphorus           20.3 mg/kg         2.0",
            "77120-1   LAWN-E          Potassium             188 mg/kg           5",
            "77120-2   HOB BED         Phosphorus           31.4 mg/kg         2.0",
            "77120-2   HOB BED         Potassium             140 mg/kg           5",
        ],
        &[
            "77120-2   HOB BED         Magnesium             308 mg/kg           5",
            "77120-2   HOB BED         Sodium                 41 mg/kg           5",
        ],
    ]);
    let bed = sample(&found, "HOB BED");
    assert_eq!(value(bed, "phosphorus"), (31.4, true));
    assert_eq!(value(bed, "magnesium"), (308.0, true));
    assert_eq!(bed.lab_number.as_deref(), Some("77120-2"));
}

#[test]
fn layers_with_their_unit_in_a_column_of_its_own_tell_samples_of_one_name_apart() {
    let found = reports(&[&[
        "Quill Soil Laboratory",
        "Client: Moss Trust     Batch: HM-77     Reported: 3 May 2021",
        "",
        "Sample name                         Oval A      Oval A      Range tee",
        "Laboratory code                     W208-1      W208-2      W208-3",
        "Depth                    cm         0-10        10-20       0-10",
        "Colour                              BR          GRBR        BR",
        "pH (1:5 water)                      5.6         6.8         6.6",
        "Phosphorus Colwell       mg/kg      75          24          32",
        "Exc. calcium             meq/100g   3.81        7.40        8.83",
    ]]);
    let tee = sample(&found, "Range tee");
    assert_eq!(value(tee, "ph"), (6.6, true));
    assert_eq!(tee.lab_number.as_deref(), Some("W208-3"));
    let ovals: Vec<_> = found.iter().flat_map(|r| &r.samples).filter(|s| s.label == "Oval A").collect();
    let layers: Vec<_> = ovals.iter().filter_map(|s| s.depth).map(|d| (d.top_cm, d.bottom_cm)).collect();
    assert_eq!(layers, [(0.0, 10.0), (10.0, 20.0)]);
    assert!(ovals.iter().all(|s| s.doubts.is_empty()));
}

#[test]
fn controls_of_the_laboratory_are_none_of_the_samples() {
    let found = reports(&[
        &[
            "Quill Soil Laboratory",
            "Client: Moss Trust     Certificate no.: CoA-26-00418     Reported: 3 May 2021",
            "",
            "Sample 26-00418-001 Moss bank",
            "",
            "Determinand              Result      Units",
            "pH in water (1:2.5)      6.5",
            "Phosphorus, Olsen        30.8        mg/kg",
        ],
        &[
            "Batch quality control",
            "",
            "Determinand              Blank       Control soil found      Control soil assigned",
            "Phosphorus, Olsen        <1.0        31.2                    30.0",
            "Potassium                <10         214                     210",
        ],
    ]);
    let bank = sample(&found, "Moss bank");
    assert_eq!(value(bank, "phosphorus"), (30.8, true));
    assert_eq!(found.iter().flat_map(|r| &r.samples).count(), 1);
    assert!(bank.readings.iter().all(|r| r.analyte.id() != "potassium"));
}
