//! What is recommended beside results, and is none.

use super::{reading, reports, sample, value};

#[test]
fn rates_beside_results_silence_no_result_and_are_none() {
    let found = reports(&[&[
        "Soil test report",
        "Client: Hob Mill Trust",
        "",
        "                                      Recommendations, lb/acre",
        "Sample    pH     OM %    P ppm        N      P2O5     K2O",
        "Tee       6.4    3.1     22           40     20       30",
        "Green     6.2    2.8     31           50     10       25",
    ]]);
    assert_eq!(value(sample(&found, "Tee"), "phosphorus"), (22.0, true));
    assert!(found[0].samples.iter().flat_map(|s| &s.readings).all(|r| r.analyte.id() != "potassium"));
}

#[test]
fn rates_behind_the_results_of_a_row_are_no_results_and_take_none_away() {
    let found = reports(&[&[
        "Soil test report",
        "Field      Lab #   pH    OM %   P ppm   K ppm   Ca ppm   Mg ppm   N     P2O5   K2O   Lime T/A",
        "Silo       7061    6.5   5.0    56      85      1025     148      150   0      80    1.5",
        "Hwy 9      7062    5.3   4.6    77      202     1623     173      150   30     80    2",
    ]]);
    let silo = sample(&found, "Silo");
    assert_eq!((value(silo, "ph"), value(silo, "calcium")), ((6.5, true), (1025.0, true)));
    let sure =
        |id: &str| silo.readings.iter().filter(|r| r.analyte.id() == id && r.doubts.is_empty()).count();
    assert_eq!((sure("phosphorus") <= 1, reading(silo, "phosphorus").quantity.value), (true, 56.0));
    assert!(
        silo.readings.iter().all(|r| r.doubts.is_empty() || r.analyte.unit() == crate::soil::Unit::MgPerKg)
    );
}

#[test]
fn rates_under_one_heading_are_no_results() {
    let found = reports(&[&[
        "Soil test report",
        "Client: Hob Mill Trust",
        "",
        "                                          Fertilizer to apply, lb/acre",
        "Sample Name   pH    Mg, ppm   OM, %       N        P2O5      K2O",
        "Moss          6.9   186       5.7         0        25        25",
        "Tee           6.6   256       3.8         1.5      0         50",
    ]]);
    for sample in found.iter().flat_map(|r| &r.samples) {
        assert!(
            sample.readings.iter().all(|r| r.analyte.id() != "potassium" || !r.doubts.is_empty()),
            "{sample:?}"
        );
    }
}

#[test]
fn oxides_behind_the_goal_of_a_crop_are_rates_beside_nitrogen() {
    let found = reports(&[&[
        "Soil test report",
        "",
        "Sample   pH    P ppm   K ppm   Crop    Yield Goal   N lb/A   P2O5 lb/A   K2O lb/A",
        "Elm      6.1   38      235     Corn    220          180      0           40",
        "Ash      5.6   35      126     Corn    220          180      20          90",
    ]]);
    let potassium = |name: &str| {
        let all = sample(&found, name).readings.iter().filter(|r| r.analyte.id() == "potassium");
        all.map(|r| (r.quantity.value, r.doubts.is_empty())).collect::<Vec<_>>()
    };
    assert_eq!(potassium("Elm"), [(235.0, true)]);
    assert_eq!(potassium("Ash"), [(126.0, true)]);
}

#[test]
fn weights_of_oxides_under_a_heading_of_their_own_are_rates() {
    let page = |title: &str, heading: &str, row: &str| {
        reports(&[&[
            "Soil test report",
            "Client: Hob Mill Trust",
            "",
            "Sample    Lab no.   pH    OM %   P (ppm)   K (ppm)",
            "Tee       7061      6.4   3.1    22        152",
            "Green     7062      6.2   2.8    31        84",
            "",
            title,
            "",
            heading,
            row,
        ]])
    };
    let found = |title, heading| page(title, heading, "Tee       1.5       60       40          30");
    for (title, heading) in [
        ("Per acre", "Sample    Lime (t)  N (lb)   P2O5 (lb)   K2O (lb)"),
        ("Per hectare", "Sample    Lime (t)  Mg (kg)  P2O5 (kg)   K2O (kg)"),
        ("What to apply", "Sample    N (kg)    Mg (kg)  P2O5 (kg)   K2O (kg)"),
        ("Recommended per acre", "Sample    S (lb)    Mg (lb)  P2O5 (lb)   K2O (lb)"),
    ] {
        let found = found(title, heading);
        let samples = || found.iter().flat_map(|r| &r.samples);
        assert_eq!(samples().count(), 2, "{heading}");
        assert_eq!(samples().map(|s| s.readings.len()).sum::<usize>(), 8, "{heading}");
        assert!(samples().all(|s| s.doubts.is_empty()), "{heading}");
    }
    // Oxides by an extract are results, whatever stands beside them.
    let found = page(
        "More tests",
        "Sample    CAL P2O5 (mg/100g)   CAL K2O (mg/100g)",
        "Tee       18                   22",
    );
    let readings = || found.iter().flat_map(|r| &r.samples).flat_map(|s| &s.readings);
    assert!(readings().any(|r| r.printed.value == "18"));
}

#[test]
fn a_line_of_rates_right_over_the_results_takes_none_of_them() {
    let found = reports(&[&[
        "Soil test report",
        "Client: Hob Mill Trust",
        "Sample: Home field",
        "Nitrogen 3.0    Phosphate 1.0    Potash 2.0    lb/1000 ft2",
        "Test                       Result   Unit",
        "pH (1:1 water)             6.4",
        "Potassium (Mehlich 3)      142      ppm",
        "Calcium (Mehlich 3)        1220     ppm",
    ]]);
    let home = sample(&found, "Home field");
    assert_eq!(value(home, "potassium"), (142.0, true));
    assert_eq!(home.readings.len(), 3);
}

#[test]
fn letters_of_classes_below_results_are_no_heading_of_the_next_rows() {
    for (first, second) in [
        (
            "                  B        C         D          C",
            "                  B        B         C          C",
        ),
        (
            "                  L        H         L          H",
            "                  H        L         L          H",
        ),
    ] {
        let found = reports(&[&[
            "Soil test report",
            "Client: Quern Farms",
            "",
            "Sample            pH       P         K          B",
            "                           mg/kg     mg/kg      mg/kg",
            "Moss              6.1      21        148        0.6",
            first,
            "Hob               6.3      25        160        0.5",
            second,
            "Fern              5.9      31        171        0.4",
        ]]);
        for (name, potassium) in [("Moss", 148.0), ("Hob", 160.0), ("Fern", 171.0)] {
            assert_eq!(value(sample(&found, name), "potassium"), (potassium, true), "{name}");
        }
    }
}
