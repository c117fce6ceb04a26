//! Which method, of heading, row or note, is whose.

use super::{reading, reports, sample, value};
use crate::soil::Method;

#[test]
fn neutralizable_acidity_is_no_blank_and_a_salt_ph_no_water_ph() {
    let found = reports(&[&[
        "Soil test report",
        "Sample ID: Long strip",
        "",
        "TEST               RESULT   UNIT",
        "pHs (salt)         5.2",
        "Water pH           5.7",
        "N.A.               4.0      meq/100g",
        "K                  260      ppm",
        "",
        "pHs is measured in 0.01 M CaCl2.",
    ]]);
    let s = sample(&found, "Long strip");
    assert_eq!(value(s, "acidity"), (4.0, true));
    let ph: Vec<(f64, Method)> =
        s.readings.iter().filter(|r| r.analyte.id() == "ph").map(|r| (r.quantity.value, r.method)).collect();
    assert_eq!(ph, [(5.2, Method::Cacl2), (5.7, Method::Unstated)]);
}

#[test]
fn milligrams_a_litre_beside_a_paste_extract_wait_and_its_conductivity_does_not() {
    let found = reports(&[&[
        "Soil salinity report",
        "Saturated paste extract",
        "Sample    Lab ID   pH     ECe dS/m   Ca meq/L   Na meq/L   B mg/L   SAR",
        "North     9120     8.0    3.58       17.6       13.4       0.4      4.2",
        "South     9121     7.9    5.71       17.8       37.4       0.5      11.1",
    ]]);
    assert_eq!(value(sample(&found, "North"), "soluble_salts"), (3.58, true));
    assert_eq!(value(sample(&found, "North"), "boron"), (0.4, false));
}

#[test]
fn an_extract_broken_over_two_lines_names_no_other_element() {
    let found = reports(&[&[
        "Soil test report",
        "",
        "Sample   P Sodium      K          pH",
        "         bicarbonate   (mg/kg)",
        "Tee      17            120        7.8",
        "Green    13            88         7.7",
    ]]);
    let tee = sample(&found, "Tee");
    assert!(tee.readings.iter().all(|r| r.analyte.id() != "sodium"), "{tee:?}");
    assert_eq!(reading(tee, "phosphorus").method, Method::Olsen);
}

#[test]
fn a_method_that_stands_over_no_column_makes_its_neighbours_wait() {
    let found = reports(&[&[
        "Soil test report",
        "",
        "Sample                                       pH     K mg/kg   Zn mg/kg",
        "          one part soil to one part water           Mehlich 3 Mehlich 3",
        "Tee                                          6.4    120       3.1",
        "Green                                        6.2    88        2.9",
    ]]);
    assert!(!value(sample(&found, "Tee"), "ph").1, "{found:?}");
}

#[test]
fn a_row_without_a_value_names_no_method_for_others() {
    let found = reports(&[&[
        "Soil test report",
        "Client: Hob Mill Trust",
        "Sample: Orchard",
        "",
        "Analysis                result   Unit",
        "pH                      6.3",
        "STP                     8        mg/kg",
        "Mg (M1)                 115      mg/kg",
        "Mn Mehlich 1 extract             mg/kg",
        "Cu                               mg/kg",
    ]]);
    assert_eq!(reading(sample(&found, "Orchard"), "phosphorus").method, Method::Unstated);
}

#[test]
fn an_extract_of_one_column_is_not_that_of_a_bare_neighbour() {
    let found = reports(&[&[
        "Soil test report",
        "Client: Hob Mill Trust",
        "",
        "Sample     Zn, ppm      Ca, ppm     P, ppm                   OM, %",
        "           DTPA                     Mehlich 3 extractable    LOI",
        "Moss       1.2          820         41                       3.5",
        "Tee        1.4          910         38                       3.1",
    ]]);
    assert_eq!(reading(sample(&found, "Moss"), "calcium").method, Method::Unstated);
    assert_eq!(reading(sample(&found, "Moss"), "phosphorus").method, Method::Mehlich3);
}

#[test]
fn the_method_of_a_sum_stands_close_behind_its_unit() {
    let found = reports(&[&[
        "Soil test report",
        "Client: Hob Mill Trust",
        "Sample: Orchard",
        "",
        "Parameter   Results   Unit     Method           Previous",
        "pH          7.9                1:1 in water     9.5",
        "Potassium   224       ppm      Mehlich 3        279",
        "CEC         28.2      me/100g calc.             23.5",
    ]]);
    let orchard = sample(&found, "Orchard");
    assert!(orchard.readings.iter().all(|r| r.analyte.id() != "calcium"), "{orchard:?}");
    assert_eq!(reading(orchard, "cec").method, Method::Summation);
    assert_eq!(value(orchard, "cec"), (28.2, true));
}

#[test]
fn a_row_set_close_together_keeps_no_note_from_its_words() {
    let found = reports(&[&[
        "Soil test report",
        "Client: Hob Mill Trust",
        "",
        "Determination        Bed 2    Bed 3    Bed 4",
        "pH                   6.5      6.1      6.4",
        "P mg/kg              20       21       17",
        "Ca mg/kg             2854     2246     2260",
        "Bulk thing CEC meq / 100 grams 17.0 18.5 16.5",
        "",
        "Extractant: Mehlich 3 (ICP).",
    ]]);
    assert_eq!(reading(sample(&found, "Bed 2"), "phosphorus").method, Method::Mehlich3);
}

#[test]
fn a_title_that_names_an_extract_and_its_acidity_is_read_and_a_half_known_one_leaves_its_rows_in_doubt() {
    let of = |title: &str| {
        let found = reports(&[&[
            "Informe de análisis de suelo",
            "Muestra: Huerta 4",
            "",
            "Determinación      Resultado   Unidad",
            "pH (agua 1:2,5)    7,6",
            title,
            "Calcio             14,87       cmol(+)/kg",
            "Magnesio           2,68        cmol(+)/kg",
            "C.I.C.             18,4        cmol(+)/kg",
        ]]);
        let calcium = reading(sample(&found, "Huerta 4"), "calcium").clone();
        (calcium.method, calcium.doubts.is_empty())
    };
    assert_eq!(of("Cambio (acetato amónico 1 N, pH 7)"), (Method::AmmoniumAcetate, true));
    assert_eq!(of("Cambio (acetato amónico, a pH 8,2)"), (Method::Unstated, false));
}

#[test]
fn a_figure_in_the_bracket_of_a_name_is_no_result_and_the_heading_of_units_no_number_of_a_sample() {
    let found = reports(&[&[
        "Soil analysis",
        "Lab ref.         Unit     S-11     S-12",
        "Client ref.               Rill     Holt",
        "pH (KCl 1 M)              6.8      7.3",
        "Clay             %        24       17",
        "Phosphorus       mg/kg    30.0     25.5",
    ]]);
    assert_eq!(value(sample(&found, "Rill"), "ph").0, 6.8);
    assert_eq!(found.iter().flat_map(|r| &r.samples).count(), 2);
    assert_eq!(sample(&found, "Rill").lab_number.as_deref(), Some("S-11"), "{found:?}");
}

#[test]
fn parts_of_a_titled_part_have_its_method_and_the_head_of_the_names_is_a_title() {
    let found = reports(&[&[
        "Client: Ada Fernshaw     Sample: Moss",
        "",
        "Test                     Result    Optimum",
        "pH                       6.1",
        "Morgan extract, ppm",
        "Macronutrients",
        "Phosphorus               7.6       4-14",
        "Potassium                74        100-160",
        "Micronutrients *",
        "Zinc                     2.6       1.0-7.6",
    ]]);
    let method = |id| reading(sample(&found, "Moss"), id).method;
    assert_eq!((method("phosphorus"), method("potassium")), (Method::Morgan, Method::Morgan));
    assert_eq!(method("zinc"), Method::Morgan);
    let found = reports(&[&[
        "Client: Ada Fernshaw     Sample: Moss",
        "",
        "Test (Mehlich 3 extract)     Result",
        "Phosphorus                   52 ppm",
        "Potassium                    161 ppm",
        "pH                           6.4",
    ]]);
    let method = |id| reading(sample(&found, "Moss"), id).method;
    assert_eq!((method("phosphorus"), method("ph")), (Method::Mehlich3, Method::Unstated));
}

#[test]
fn results_wait_where_an_extract_is_named_and_given_to_none() {
    let found = |line: &str| {
        reports(&[&[
            "Client: Ada Fernshaw     Sample: Moss",
            "",
            "Test            Result",
            "Potassium       161 ppm",
            "Zinc            2.1 ppm",
            "",
            line,
        ]])
    };
    let waits = |line| !value(sample(&found(line), "Moss"), "potassium").1;
    assert!(waits(
        "Rates for soils tested by Mehlich 3 are those of the handbook, table 4, and of no other."
    ));
    assert!(!waits("Rates for soils are those of the handbook, table 4, and of no other."));
}

#[test]
fn an_extract_in_the_name_goes_before_the_title_of_its_part() {
    let found = reports(&[&[
        "Soil test report",
        "Sample: Moss bank",
        "",
        "Test                        Unit       Result",
        "pH (1:5 water)                         5.8",
        "DTPA trace elements",
        "Copper                      mg/kg      1.62",
        "Zinc                        mg/kg      1.58",
        "Boron (hot CaCl2)           mg/kg      0.90",
        "Exchangeable cations (ammonium acetate)",
        "Calcium                     cmol/kg    5.10",
        "Magnesium                   cmol/kg    1.75",
        "Potassium                   cmol/kg    0.41",
        "Exchangeable acidity        cmol/kg    2.66",
        "ECEC (sum)                  cmol/kg    9.92",
    ]]);
    let moss = sample(&found, "Moss bank");
    assert_eq!(reading(moss, "zinc").method, Method::Dtpa);
    assert_eq!(reading(moss, "boron").method, Method::Unstated);
    assert_eq!((reading(moss, "cec").method, value(moss, "cec")), (Method::Summation, (9.92, true)));
}
