//! Values and their signs: below a limit, with a rating, in two units, printed twice.

use super::{reading, reports, sample, value};

#[test]
fn not_detected_takes_the_limit_of_its_line_and_stays_in_doubt_where_two_could_be_meant() {
    let page = |legend: &'static str| {
        reports(&[&[
            "Certificate of soil analysis",
            "Sample ID: Trial bed",
            "",
            "Analyte      Result    Units     RL      MDL",
            "pH           7.3                 0.1",
            "Zinc         1.92      mg/kg     0.10    0.02",
            "Copper       ND        mg/kg     0.20    0.05",
            "",
            legend,
        ]])
    };
    let found = page("ND: not detected at the reporting limit.");
    let copper = reading(sample(&found, "Trial bed"), "copper");
    assert_eq!((copper.quantity.value, copper.quantity.qualifier.map(|q| q.id())), (0.2, Some("<")));
    assert!(copper.doubts.is_empty(), "{:?}", copper.doubts);
    let found = page("ND: not detected.");
    let copper = reading(sample(&found, "Trial bed"), "copper");
    assert_eq!(copper.doubts[0].alternatives, ["< 0.2", "< 0.05"]);
    let found = page("RL: reporting limit.");
    assert!(sample(&found, "Trial bed").readings.iter().all(|r| r.analyte.id() != "copper"));
}

#[test]
fn one_reading_in_two_units_of_its_layer_is_one_reading() {
    let found = reports(&[&[
        "Soil test report",
        "Sample ID: East quarter",
        "",
        "Depth    pH     OM     NO3-N   NO3-N     K",
        "inches          %      ppm     lb/acre   ppm",
        "0-6      6.9    3.2    11.5    20.7      240",
    ]]);
    let s = sample(&found, "East quarter");
    assert_eq!(value(s, "nitrate_n"), (11.5, true));
}

#[test]
fn ratings_glued_to_values_come_off_where_the_legend_explains_them() {
    let found = reports(&[&[
        "Soil test report",
        "Sample ID: Back bed",
        "",
        "Element         Found",
        "pH              6.3L",
        "Organic Matter  4.1 M %",
        "K (M3)          142M ppm",
        "Zn (M3)         3.9H   ppm",
        "",
        "Legend: L low, M medium, H high.",
    ]]);
    let s = sample(&found, "Back bed");
    assert_eq!(value(s, "potassium"), (142.0, true));
    assert_eq!(value(s, "organic_matter"), (4.1, true));
}

#[test]
fn a_qualifier_in_a_column_of_its_own_belongs_to_the_number() {
    let found = reports(&[&[
        "Soil test report",
        "Sample ID    Lab No    Analyte     Qualifier    Result    Units",
        "Plot 3       S-31      Zinc                     3.3       mg/kg",
        "Plot 3       S-31      Boron       <            0.2       mg/kg",
        "Plot 3       S-31      Copper      J            0.4       mg/kg",
    ]]);
    let s = sample(&found, "Plot 3");
    assert_eq!(reading(s, "boron").quantity.qualifier.map(|q| q.id()), Some("<"));
    assert_eq!(reading(s, "copper").doubts[0].reason, "flagged");
    assert!(reading(s, "zinc").doubts.is_empty());
}

#[test]
fn what_was_printed_twice_with_unlike_values_is_of_two_samples() {
    let found = reports(&[&[
        "Soil test report",
        "Sample: Moss bank",
        "",
        "pH            6.4",
        "Potassium     152   mg/kg",
        "Zinc          1.9   mg/kg",
        "",
        "pH            5.9",
        "Potassium     84    mg/kg",
    ]]);
    let moss = sample(&found, "Moss bank");
    assert!(!value(moss, "zinc").1, "{moss:?}");
}

#[test]
fn charges_of_exchangeable_aluminum_are_counted_by_its_ion() {
    let found = reports(&[&[
        "Soil test report",
        "Sample ID: Far corner",
        "",
        "Exch. Calcium       5.10    cmol(+)/kg",
        "Exch. Magnesium     1.21    cmol(+)/kg",
        "Exch. Aluminium     0.50    cmol(+)/kg",
    ]]);
    assert_eq!(value(sample(&found, "Far corner"), "aluminum"), (44.97, true));
}

#[test]
fn millimoles_of_calcium_wait_unless_they_are_said_to_be_of_charge() {
    let found = |unit: &str| {
        let lines = [
            "Client: Ada Fernshaw",
            "Sample: Moss",
            "",
            "pH    6.4",
            &format!("Calcium   42   {unit}"),
            "Potassium   3   mmol/kg",
        ];
        reports(&[&lines])
    };
    let calcium = |unit| value(sample(&found(unit), "Moss"), "calcium").1;
    assert!(!calcium("mmol/kg") && calcium("mmolc/kg") && calcium("mmol(+)/kg"));
    assert!(value(sample(&found("mmolc/kg"), "Moss"), "potassium").1);
}

#[test]
fn a_sentence_tells_the_limit_of_one_measurement_in_its_own_unit() {
    let ammonium = |cell: &str, note: &str| {
        let found = reports(&[&[
            "Soil test report",
            "Sample: Moss bank     Received: 8 May 2023",
            "",
            "Test              Result    Unit    Rating",
            "pH (1:1)          5.6",
            "Nitrate-N         18.6      ppm     Medium",
            &format!("Ammonium-N        {cell:<9} ppm"),
            "Boron             0.6       ppm     Low",
            "",
            note,
        ]]);
        let moss = sample(&found, "Moss bank");
        let own = moss.readings.iter().find(|r| r.analyte.id() == "ammonium_n");
        own.map(|r| (r.quantity.value, r.quantity.qualifier.is_some(), r.doubts.is_empty()))
    };
    for note in [
        "n/d = not detected; reporting limit for ammonium-N is 1.0 ppm.",
        "N.D.: not detected. Detection limit of ammonium-N: 1.0 mg/kg",
        "ND not detected, below 1.0 ppm for ammonium-N",
    ] {
        assert_eq!(ammonium("n/d", note), Some((1.0, true, true)), "{note}");
    }
    for note in [
        "n/d = not determined; reporting limit for ammonium-N is 1.0 ppm.",
        "n/d = not detected; reporting limit for nitrate-N is 1.0 ppm.",
        "n/d = not detected; reporting limit for ammonium-N is 1.0 mg/L.",
        "n/d = not detected; reporting limit for ammonium-N is 1.0 ppm. Detection limit for ammonium-N is 0.3 ppm.",
    ] {
        assert_eq!(ammonium("n/d", note), None, "{note}");
    }
    let said = "n/d = not detected; reporting limit for ammonium-N is 1.0 ppm.";
    assert_eq!(ammonium("trace", said), None);
}

#[test]
fn a_unit_behind_the_value_that_its_name_contradicts_leaves_it_in_doubt() {
    let sure = |name: &str, unit: &str| {
        let row = format!("{name:<24}7.0       {unit}");
        let found = reports(&[&[
            "Soil test report",
            "Client: Hob Mill Trust",
            "Sample: Home field",
            "",
            "Test                    Result    Unit",
            "pH                      6.4",
            "Phosphorus (Olsen)      31        mg/kg",
            &row,
        ]]);
        let home = sample(&found, "Home field");
        home.readings.iter().filter(|r| r.doubts.is_empty()).count() == 3
    };
    assert!(sure("Ca %", "%") && sure("Ca %", "") && sure("Zinc (ppm)", "mg/kg"));
    assert!(!sure("Ca %", "mg/kg") && !sure("Zinc (ppm)", "lb/acre"));
    // As the ion or as sulfur: a third of the other.
    assert!(!sure("Sulphate", "mg/kg") && sure("Sulphate-S", "mg/kg"));
}

#[test]
fn leaders_as_close_as_words_part_a_name_from_its_value() {
    let found = reports(&[&[
        "Soil test report",
        "Client: Hob Mill Trust",
        "Came in ..... 3rd November 2022",
        "Sample: Bank",
        "",
        "pH in calcium chloride ..................... 4.4",
        "Available phosphorus (Morgan) .............. 2.7 mg/kg",
        "Loss on ignition organic matter ............ 5.4 %",
    ]]);
    let own = sample(&found, "Bank");
    assert_eq!(value(own, "ph"), (4.4, true));
    assert_eq!(value(own, "organic_matter"), (5.4, true));
    assert_eq!(found[0].received_on, Some("2022-11-03".parse().unwrap()));
}

#[test]
fn a_nitrate_that_is_counted_as_the_ion_is_nitrogen_in_it() {
    let found = reports(&[&[
        "Soil test report",
        "Client: Hob Mill Trust",
        "Sample: Bank",
        "",
        "Test                      Result   Unit",
        "pH (water 1:1)            6.3",
        "Nitrate, as NO3           53       mg/kg",
        "Phosphorus (Olsen)        25       mg/kg",
    ]]);
    let (nitrogen, sure) = value(sample(&found, "Bank"), "nitrate_n");
    // 14.007 of 62.005 parts of nitrate are nitrogen (atomic weights).
    assert!(sure && (nitrogen - 53.0 * 14.007 / 62.005).abs() < 0.01, "{nitrogen}");
}
