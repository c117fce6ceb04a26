//! Results printed a second time, in the column of another unit, and columns beside results that nobody explains.

use super::super::read;
use super::{reading, sample, sheets, value};
use crate::soil::Report;

fn sheet(lines: &[&str]) -> Vec<Report> {
    read(&sheets(&[("", lines)])).unwrap()
}

#[test]
fn a_unit_alone_over_a_column_beside_results_prints_them_again() {
    let of = |unit: &str, k: &str, ca: &str| {
        sheet(&[
            "Client|Hob Mill Trust||Sample|Long acre",
            &format!("Test|Result|Unit|{unit}|Optimum|Rating"),
            "pH (1:1 water)|6.9|||6.0 - 6.8|High",
            &format!("Potassium, NH4OAc|113|ppm|{k}|80 - 140|Optimum"),
            &format!("Calcium, NH4OAc|904|ppm|{ca}|500 - 900|High"),
            "CEC|5.9|meq/100 g||-|",
        ])
    };
    let found = of("meq/100 g", "0.29", "4.51");
    for (analyte, number) in [("potassium", 113.0), ("calcium", 904.0), ("cec", 5.9), ("ph", 6.9)] {
        assert_eq!(value(sample(&found, "Long acre"), analyte), (number, true), "{analyte}");
    }
    // A rate, or another sample, that does not agree.
    for (unit, k, ca) in [("meq/100 g", "0.45", "6.20"), ("lb/acre", "60", "0"), ("lb/acre", "40", "900")] {
        let found = of(unit, k, ca);
        assert!(!value(sample(&found, "Long acre"), "potassium").1, "{unit} {k}");
    }
}

#[test]
fn what_stands_unexplained_beside_a_result_may_take_it_back() {
    let of = |heading: &str, cell: &str| {
        let row = |sample: &str, name: &str, number: &str, cell: &str| {
            format!("Hob Mill Trust|{sample}|{name}|Olsen|{number}|mg/kg|{cell}")
        };
        let head = format!("Client|Sample|Analyte|Method|Result|Unit|{heading}");
        let rows = [row("Long acre", "Phosphorus", "22", cell), row("Moss", "Phosphorus", "31", "")];
        sheet(&[&head, &rows[0], &rows[1]])
    };
    assert_eq!(value(sample(&of("Operator", "A. Moss"), "Long acre"), "phosphorus"), (22.0, true));
    for (heading, cell) in
        [("Operator", "<"), ("Operator", "LT"), ("Status", "cancelled"), ("State", "Draft")]
    {
        let found = of(heading, cell);
        let p = reading(sample(&found, "Long acre"), "phosphorus");
        assert!(!p.doubts.is_empty() || p.quantity.qualifier.is_some(), "{heading} {cell} {p:?}");
        assert!(reading(sample(&found, "Moss"), "phosphorus").doubts.is_empty());
    }
}

#[test]
fn the_oxide_beside_its_element_agrees_with_it_or_both_wait() {
    let of = |heads: &str, k: &str| {
        let head = format!("Ref|Field|{heads}");
        let row = format!("1|Hob|{k}");
        sheet(&["Client: Moss Trust|Reported 25 Nov 2022|Depth 0-20 cm", &head, &row, "2|Moss|43|99|235|283"])
    };
    let pair = "P mg/kg|P2O5 mg/kg|K mg/kg|K2O mg/kg";
    let told = |found: &[Report], id: &str| value(sample(found, "Hob"), id);
    let found = of(pair, "19|44|147|177");
    assert_eq!((told(&found, "phosphorus"), told(&found, "potassium")), ((19.0, true), (147.0, true)));
    let turned = of("P2O5 mg/kg|P mg/kg|K2O mg/kg|K mg/kg", "44|19|177|147");
    assert_eq!((told(&turned, "phosphorus"), told(&turned, "potassium")), ((19.0, true), (147.0, true)));
    // A number that is not the same in another form may be a wish, a rate or a slip.
    let found = of(pair, "19|60|147|120");
    assert!(!told(&found, "phosphorus").1 && !told(&found, "potassium").1);
}

#[test]
fn a_unit_of_all_elements_is_that_of_each_and_one_of_some_is_not() {
    let of = |note: &str| {
        let found = super::reports(&[&[
            "Moss Soils",
            "Client: Hob Farms",
            "Received: 10/22/2018",
            note,
            "",
            "Sample       pH      P       K",
            "Creek 1      5.6     29      171",
            "Creek 2      5.5     37      233",
        ]]);
        super::value(super::sample(&found, "Creek 1"), "phosphorus")
    };
    assert_eq!(of("ALL ELEMENTS IN PPM, MEHLICH 3."), (29.0, true));
    assert_eq!(of("All nutrients in ppm."), (29.0, true));
    for note in ["All trace elements in ppm.", "All other elements in ppm.", "Elements by Mehlich 3."] {
        assert!(!of(note).1, "{note}");
    }
}
