//! Figures about results, of laboratories, repeats and other years, which are none of a sample; and words that tell of a
//! result.

use super::{reading, reports, sample, value};

const HEAD: [&str; 3] = [
    "Quill Soil Laboratory",
    "Client: Moss Trust     Report: HM-77     Received: 2 April 2024   Reported: 3 May 2024     Depth: 0-15 cm",
    "",
];

fn page(lines: &[&'static str]) -> Vec<&'static str> {
    HEAD.iter().chain(lines).copied().collect()
}

#[test]
fn a_summary_over_laboratories_holds_no_sample() {
    let lines = page(&[
        "                              Test      Median         MAD         Laboratories",
        "   Phosphorus, Mehlich 3, mg/kg             57.7          2.7                 56",
        "   Potassium, Mehlich 3, mg/kg               218           7                  33",
        "   Calcium, Mehlich 3, mg/kg               1679           60                  40",
    ]);
    assert!(super::read(&super::document(&[&lines])).is_err());
}

#[test]
fn how_far_a_repeat_is_off_is_no_sample() {
    let lines = page(&[
        "Lab ID        Sample ID                  P mg/kg     K mg/kg",
        "415-1         Carrot 1                        25          203",
        "415-1D        Laboratory duplicate            28          211",
        "              Relative difference %          5.8          3.0",
        "415-3         Onion                           21          210",
    ]);
    let found = reports(&[&lines]);
    let names: Vec<&str> = found.iter().flat_map(|r| &r.samples).map(|s| s.label.as_str()).collect();
    assert_eq!(names, ["Carrot 1", "Onion"]);
}

#[test]
fn what_share_of_another_years_value_a_result_is_is_none() {
    let lines = page(&[
        "Sample: Green 3",
        "",
        " Determination                2023        2024         % of 2023",
        " Phosphorus (mg/kg)             35          42             120",
        " Potassium (mg/kg)             107         122             114",
        " Zinc (mg/kg)                  0.7         0.6              86",
    ]);
    let found = reports(&[&lines]);
    let green = sample(&found, "Green 3");
    assert_eq!(value(green, "phosphorus"), (42.0, true));
    assert_eq!(value(green, "zinc"), (0.6, true));
}

#[test]
fn the_amended_value_counts_and_not_the_one_first_issued() {
    let table = |third: &'static str| {
        let mut lines = page(&["Sample: Frame yard", "", third]);
        lines.extend([
            "Phosphorus, Olsen                   21              21       mg/kg",
            "Potassium, ammonium acetate        130             163       mg/kg",
            "Calcium, ammonium acetate                         1420       mg/kg",
            "Magnesium, ammonium acetate        101                       mg/kg",
        ]);
        lines
    };
    let found = reports(&[&table("Determination              First issued         Amended       Unit")]);
    let yard = sample(&found, "Frame yard");
    assert_eq!((value(yard, "potassium"), value(yard, "calcium")), ((163.0, true), (1420.0, true)));
    assert!(yard.readings.iter().all(|r| r.analyte.id() != "magnesium"));
    // Two words for this issue: nobody knows which counts.
    let found = reports(&[&table("Determination                   Revised         Amended       Unit")]);
    let mut all = found.iter().flat_map(|r| &r.samples).flat_map(|s| &s.readings);
    assert!(all.all(|r| !r.doubts.is_empty()));
}

#[test]
fn phosphorus_by_its_colour_is_another_measurement_beside_that_by_light() {
    let lines = page(&[
        "Sample        pH        M3-P ICP     M3-P color     M3-K",
        "              (a)         ppm           ppm          ppm",
        "Marsh 1       5.8         48             37           97",
        "Marsh 2       6.3                        49          160",
        "",
        "(a) 1:1 water (b) Adams-Evans",
    ]);
    let found = reports(&[&lines]);
    let two = reading(sample(&found, "Marsh 2"), "phosphorus");
    assert_eq!((two.method.id(), two.quantity.value), ("mehlich-3-colorimetric", 49.0));
    let one: Vec<&str> = sample(&found, "Marsh 1")
        .readings
        .iter()
        .filter(|r| r.analyte.id() == "phosphorus" && r.doubts.is_empty())
        .map(|r| r.method.id())
        .collect();
    assert_eq!(one, ["mehlich-3", "mehlich-3-colorimetric"]);
    // A letter in brackets is the mark of its note.
    let ph = reading(sample(&found, "Marsh 1"), "ph");
    assert_eq!((ph.method.id(), ph.doubts.is_empty()), ("water-1:1", true));
}

#[test]
fn a_letter_that_no_note_explains_waits() {
    let lines = page(&[
        "Sample        pH (c)     P Olsen, ppm     Zn DTPA, ppm",
        "Marsh 1       5.8             48              1.2",
        "Marsh 2       6.3             49              0.7",
        "",
        "(a) 1:1 water (b) Adams-Evans",
    ]);
    let found = reports(&[&lines]);
    assert!(!reading(sample(&found, "Marsh 1"), "ph").doubts.is_empty());
}

#[test]
fn a_name_that_was_parted_in_its_middle_is_none() {
    let lines = page(&[
        "   Lab     Sample     Ca mg/kg      Mg mg/kg",
        "90911 Ranch 1 N            14340        228",
        "90912 Ranch 1 S            20720        270",
        "90915 Drain side           11310        217",
    ]);
    let found = reports(&[&lines]);
    let names = || found.iter().flat_map(|r| &r.samples).map(|s| s.label.as_str());
    assert!(names().all(|name| name != "1 N"), "{:?}", names().collect::<Vec<_>>());
}

#[test]
fn names_with_the_laboratorys_number_behind_them_stand_over_their_tables() {
    for (first, second) in [
        ("  Effluent block lab no. 66021.1", "  Hill paddocks lab no. 66021.2"),
        ("Effluent block (lab BV311)", "Hill paddocks (lab BV312)"),
    ] {
        let lines = page(&[
            first,
            "",
            "Analysis                  Level found     Units         QT units      Medium range",
            "Olsen phosphorus               31         mg/kg                       20-35",
            "Zinc, DTPA                    0.9         mg/kg         41            0.4-0.7",
            "",
            second,
            "",
            "Analysis                  Level found     Units         QT units      Medium range",
            "Olsen phosphorus                8         mg/kg                       20-35",
            "Zinc, DTPA                    0.7         mg/kg         31            0.4-0.7",
        ]);
        let found = reports(&[&lines]);
        assert_eq!(value(sample(&found, "Effluent block"), "phosphorus"), (31.0, true), "{first}");
        assert_eq!(value(sample(&found, "Hill paddocks"), "phosphorus"), (8.0, true), "{second}");
    }
}

#[test]
fn a_dash_for_no_unit_is_no_column_and_signs_name_methods() {
    let lines = page(&[
        "Test                        Unit        Top field    Long meadow    Orchard",
        "                                        60412/1       60412/2       60412/3",
        "",
        "pH (1:1 in water)           -               6.8           5.9           6.7",
        "Organic matter (LOI)        %               2.6           3.8           2.6",
        "Phosphorus                  mg/kg            88            92            15",
        "Zinc                        mg/kg           3.9           1.0           3.6",
        "Copper †                    mg/kg           2.0           3.2           3.3",
        "",
        "Nutrients are extracted with Mehlich 3 except where marked:",
        "† DTPA extract",
    ]);
    let found = reports(&[&lines]);
    let meadow = sample(&found, "Long meadow");
    assert_eq!((value(meadow, "ph"), value(meadow, "phosphorus")), ((5.9, true), (92.0, true)));
    assert_eq!((value(meadow, "copper"), reading(meadow, "copper").method.id()), ((3.2, true), "dtpa"));
    assert_eq!(reading(meadow, "zinc").method.id(), "mehlich-3");
}

#[test]
fn what_is_dissolved_in_a_paste_goes_aside_for_the_second_table_of_the_same_samples() {
    let lines = |first: &'static str| {
        page(&[
            "Table 1. Saturated-paste extract (solution)",
            "Lab       Sample         pH (paste)    ECe dS/m      Ca meq/L      Na meq/L",
            "90911     Ranch N               8.2         2.3           3.5          17.5",
            first,
            "",
            "Table 2. Exchangeable cations (ammonium acetate)",
            "Lab       Sample         Ca me/100g    Na me/100g    CEC (NH4OAc) me/100g",
            "90911     Ranch N             14.34          2.14             19.4",
            "90912     Ranch S             20.72          1.93             26.0",
        ])
    };
    let found =
        reports(&[&lines("90912     Ranch S               7.8         7.2          25.3          31.8")]);
    let ranch = sample(&found, "Ranch S");
    assert_eq!(found.iter().flat_map(|r| &r.samples).count(), 2);
    assert_eq!((value(ranch, "ph"), value(ranch, "soluble_salts")), ((7.8, true), (7.2, true)));
    let calcium = reading(ranch, "calcium");
    assert_eq!((calcium.printed.value.as_str(), calcium.doubts.is_empty()), ("20.72", true));
    // Another number is another sample.
    let found =
        reports(&[&lines("90919     Ranch S               7.8         7.2          25.3          31.8")]);
    let south: Vec<_> = found.iter().flat_map(|r| &r.samples).filter(|s| s.label == "Ranch S").collect();
    assert!(south.len() == 2 && south.iter().all(|s| !s.doubts.is_empty()));
}
