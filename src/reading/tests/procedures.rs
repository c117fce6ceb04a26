//! What notes and names say of procedures, in the ways of several countries.

use super::{reading, reports, sample, value};
use crate::soil::Method;

#[test]
fn a_note_on_the_lactate_extract_gives_its_method_to_phosphorus_alone() {
    for note in [
        "P2O5 und K2O im CAL-Auszug.",
        "P2O5 und K2O nach CAL-Methode bestimmt.",
        "Phosphor und Kalium nach CAL.",
        "P2O5, K2O: CAL-Extrakt",
    ] {
        let found = reports(&[&[
            "Prüfbericht Bodenuntersuchung",
            "Auftraggeber: Hob Mill Trust",
            "",
            "Probe        pH-Wert    P2O5 mg/100g    K2O mg/100g    Mg mg/100g",
            "Moosrain     6.3        18              22             11",
            "Farnrain     6.7        12              15             9",
            "",
            "",
            note,
        ]]);
        let moss = sample(&found, "Moosrain");
        assert_eq!(reading(moss, "phosphorus").method, Method::Cal, "{note}");
        assert_eq!(reading(moss, "potassium").method, Method::Unstated, "{note}");
        assert!(moss.readings.iter().all(|r| r.doubts.is_empty()), "{note}: {moss:?}");
    }
}

#[test]
fn exchangeable_names_no_extractant() {
    let found = reports(&[&[
        "Analyse de sol",
        "Client: Hob Mill Trust",
        "Parcelle: Home field",
        "",
        "Paramètre                  Résultat    Unité",
        "pH eau                     6.4",
        "K éch.                     142         mg/kg",
        "Ca éch.                    1866        mg/kg",
        "Magnésium échangeable      110         mg/kg",
        "Sodium échangeable         12          mg/kg",
    ]]);
    let home = sample(&found, "Home field");
    for id in ["potassium", "calcium", "magnesium", "sodium"] {
        assert_eq!(reading(home, id).method, Method::Unstated, "{id}");
        assert!(value(home, id).1, "{id}");
    }
}

#[test]
fn a_sum_in_the_method_column_is_the_method_of_the_exchange_capacity() {
    for (word, method) in [("suma", Method::Summation), ("acetato amónico", Method::AmmoniumAcetate)] {
        let row = format!("Capacidad de intercambio (CIC)   meq/100 g   {word:<18} 13,4     15,9");
        let found = reports(&[&[
            "Informe de análisis de suelo",
            "Cliente: Hob Mill Trust",
            "",
            "Parámetro                        Unidades    Método             Tee 1    Tee 2",
            "pH (1:2,5)                                   agua               6,7      6,6",
            "Calcio de cambio                 meq/100 g   acetato amónico    9,82     12,28",
            &row,
        ]]);
        let cec = reading(sample(&found, "Tee 2"), "cec");
        assert_eq!((cec.method, cec.quantity.value), (method, 15.9), "{cec:?}");
        assert!(cec.doubts.is_empty(), "{cec:?}");
    }
}

#[test]
fn a_short_name_with_two_meanings_is_told_by_its_unit() {
    let found = |unit: &str| {
        reports(&[&[
            "Client: Ada Fernshaw",
            "Sample: Moss",
            &format!("PSI                   4.1   {unit}"),
            "Calcium               840   mg/kg",
            "pH                    6.4",
        ]])
    };
    assert_eq!(value(sample(&found("%"), "Moss"), "sat_na"), (4.1, true));
    assert_eq!(value(sample(&found(""), "Moss"), "sat_na"), (4.1, false));
}

#[test]
fn a_result_whose_method_nobody_knows_waits_and_takes_none_from_a_note() {
    let page = |method: &str| {
        let row = format!("Phosphorus (P)     31     mg/kg     {method}");
        let found = reports(&[&[
            "Soil test report",
            "Client: Hob Mill Trust",
            "Sample: Home field",
            "",
            "Test               Result Unit      Method",
            "pH                 6.4              1:1 water",
            &row,
            "Potassium (K)      142    mg/kg     Olsen-Hob",
            "Calcium (Ca)       1866   mg/kg     ICP-OES",
            "",
            "Nutrients are extracted with Mehlich 3.",
        ]]);
        let home = sample(&found, "Home field");
        let p = reading(home, "phosphorus");
        (p.method, value(home, "phosphorus").1, value(home, "calcium").1)
    };
    assert_eq!(page("Quibbler-Nagy"), (Method::Unstated, false, true));
    assert_eq!(page("Hobmill shaking"), (Method::Unstated, false, true));
    for known in ["ICP-OES", "colorimetric", "SOP-15", "ISO 17294-2", "in-house method", "calculated"] {
        assert_eq!(page(known), (Method::Mehlich3, true, true), "{known}");
    }
    assert_eq!(page("Olsen"), (Method::Olsen, true, true));
}
