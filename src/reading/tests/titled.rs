//! Lines between the names and the rows of a table, and what they say of the rows below.

use super::{reading, reports, sample, value};
use crate::soil::Method;

fn of(title: &str, sulfur: &str) -> Vec<(String, bool)> {
    let row = format!("{sulfur:<27}            20       26");
    let found = reports(&[&[
        "Soil test report",
        "Client: Moss Trust     Report: 4471",
        "Sampled: Oct 25, 2024",
        "",
        "Determination              Unit        Tee 1    Tee 2",
        "pH (water)                             6.7      6.6",
        title,
        "P (Mehlich 3)                          52       27",
        &row,
    ]]);
    let tee = sample(&found, "Tee 2");
    tee.readings.iter().map(|r| (r.printed.unit.clone(), r.doubts.is_empty())).collect()
}

#[test]
fn a_title_gives_its_unit_to_the_measurements_that_it_names() {
    let unit = |found: &[(String, bool)], at: usize| found.get(at).cloned().unwrap_or_default();
    let own = ("mg/kg".to_owned(), true);
    let found = of("Phosphorus and sulphur, mg/kg", "S (Mehlich 3)");
    assert_eq!((unit(&found, 1), unit(&found, 2)), (own.clone(), own.clone()), "{found:?}");
    // Of what it does not name it says nothing.
    let found = of("Phosphorus and sulphur, mg/kg", "K (Mehlich 3)");
    assert_eq!(unit(&found, 1), own);
    assert!(!unit(&found, 2).1, "{found:?}");
}

#[test]
fn a_row_of_what_is_no_result_parts_no_names_from_the_rows_below_it() {
    let of = |row: &str, note: &str| {
        let found = reports(&[&[
            "Soil test report",
            "Client: Moss Trust     Report: 4471",
            "Sampled: Oct 25, 2024",
            "",
            "Determination              Unit        Paddock 12    Paddock 27",
            "Lab ID                                 8842.1        8842.2",
            row,
            "pH                                     6.7           6.6",
            "Olsen P                    mg/L        52            27",
            "Potassium                  mg/kg       152           227",
            "",
            "",
            note,
        ]]);
        let paddock = sample(&found, "Paddock 27").clone();
        ["ph", "phosphorus", "potassium"]
            .map(|id| (reading(&paddock, id).quantity.value, value(&paddock, id).1))
    };
    let row = "Volume Weight (g/mL)                   0.87          1.05";
    assert_eq!(of(row, "All results on dry soil."), [(6.6, true), (27.0, true), (227.0, true)]);
    // How a mass is reckoned is told, and was not done.
    for note in [
        "Olsen P is per litre of soil; divide by the Volume Weight to obtain mg/kg.",
        "Results of P are per litre of soil; mg/kg = mg/l ÷ density.",
    ] {
        assert_eq!(of(row, note), [(6.6, true), (27.0, false), (227.0, true)], "{note}");
    }
}

#[test]
fn nutrients_in_other_tongues_are_all_of_them_and_two_reagents_are_neither() {
    let of = |note: &str| {
        let found = reports(&[&[
            "Client: Moss Trust     Report: 4471",
            "Sampled: Oct 25, 2024",
            "",
            "Field         Lab no.   pH      P        K",
            "                                mg/kg    mg/kg",
            "Moss bank     30551     7.5     43       93",
            "Hob mill      30552     7.8     10       238",
            "",
            "",
            note,
        ]]);
        let moss = sample(&found, "Moss bank").clone();
        (reading(&moss, "potassium").method, value(&moss, "potassium").1)
    };
    assert_eq!(of("Obsah přístupných živin podle Mehlicha 3."), (Method::Mehlich3, true));
    assert_eq!(of("AAE10 = Ammoniumacetat + EDTA, 1:10."), (Method::Unstated, true));
}
