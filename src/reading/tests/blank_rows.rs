//! Rows without a value.

use super::{reports, sample, value};

#[test]
fn a_letter_that_rates_a_blank_row_is_no_heading() {
    let rows = "Soil results\nClient,Hob Mill Trust\nSample No.,Home field\n\n\
                Test,Result,Unit,Class,Status\n\
                Potassium,142,ppm,Medium,H\n\
                %K,4.7,,Optimum,High\n\
                Ca%,73,,Optimum,VH\n\
                %Mg,21,,L,Low\n\
                %Na,,,Very High,H\n\
                H %,0,,L,VL\n\
                % Sand,43,,VL,Optimum\n\
                % Silt,30,,M,H\n";
    let document = crate::document::open(rows.as_bytes(), &crate::document::Limits::default()).unwrap();
    let found = super::read(&document).unwrap();
    let home = sample(&found, "Home field");
    assert!(home.readings.iter().all(|r| r.analyte.id() != "sat_na"), "{:?}", home.readings);
    assert_eq!(value(home, "sat_h"), (0.0, true));
    assert_eq!(value(home, "sand"), (43.0, true));
}

#[test]
fn a_method_behind_a_name_without_a_value_makes_no_heading() {
    let found = reports(&[&[
        "Soil test report",
        "Client: Hob Mill Trust",
        "Sample ID: Home field",
        "",
        "Nutrient             Results   Method",
        "pH                   7.1       1:1 water",
        "Buffer pH                      SMP buffer",
        "Organic matter g/kg  72        Loss-on-Ignition",
        "P ppm                71        Mehlich 3",
        "K ppm                168       Mehlich 3",
    ]]);
    let home = sample(&found, "Home field");
    assert!(home.readings.iter().all(|r| !["lime_index", "buffer_ph"].contains(&r.analyte.id())));
    assert!((value(home, "organic_matter").0 - 7.2).abs() < 1e-9 && value(home, "organic_matter").1);
    assert_eq!(value(home, "phosphorus"), (71.0, true));
}

#[test]
fn two_panels_with_a_row_of_blanks_keep_their_values() {
    let rows = "Soil results\nClient,Hob Mill Trust\nSample No.,Home field\n\n\
                Determination,Your result,,Determination,Your result\n\
                pH (calc. water),5.5,,Fe ppm,\n\
                %OM,2.2,,Cu ppm,0.9\n\
                Available Phosphorus ppm,,,Boron ppm,\n\
                K mmol/kg,13.9,,CEC meq/100 g,26.3\n\
                Ca ppm,2567,,Zn ppm,6.0\n";
    let document = crate::document::open(rows.as_bytes(), &crate::document::Limits::default()).unwrap();
    let found = super::read(&document).unwrap();
    let home = sample(&found, "Home field");
    assert!(home.readings.iter().all(|r| !["phosphorus", "boron"].contains(&r.analyte.id())));
    assert_eq!(value(home, "cec"), (26.3, true));
    assert_eq!(value(home, "calcium"), (2567.0, true));
}

#[test]
fn a_row_with_a_dash_for_its_value_is_no_line_of_a_heading() {
    let found = reports(&[&[
        "Soil test report",
        "Client: Hob Mill Trust",
        "Sample ID: Home field",
        "",
        "Test                 Soil test result",
        "Buffer pH            --",
        "Organic matter %     4.8",
        "P ppm                34",
        "K ppm                72",
        "",
        "1 lb per 1000 sq ft is 43.56 lb per acre.",
    ]]);
    assert_eq!(value(sample(&found, "Home field"), "potassium"), (72.0, true));
}
