//! Boxes of a value each, with unit and method under it.

use super::{reading, reports, sample, value};
use crate::soil::Method;

#[test]
fn the_method_under_the_unit_of_a_box_is_of_its_value() {
    let page = |methods: &str, last: &str| {
        reports(&[&[
            "Soil results",
            "Client: Hob Mill Trust",
            "Sample: Home field",
            "",
            "pH             Phosphorus     Potassium      Zinc",
            "6.4            26.8           233            2.1",
            "               mg/kg          mg/kg          mg/kg",
            methods,
            "",
            last,
        ]])
    };
    let found = page("water 1:2.5    Olsen          by laser       DTPA", "");
    let home = sample(&found, "Home field");
    for (id, method) in [
        ("ph", Method::Water1to2_5),
        ("phosphorus", Method::Olsen),
        ("potassium", Method::Unstated),
        ("zinc", Method::Dtpa),
    ] {
        assert_eq!(reading(home, id).method, method, "{id}");
        assert!(reading(home, id).doubts.is_empty(), "{id}: {home:?}");
    }
    // Words that nobody knows are a method all the same.
    let found = page("water 1:2.5    Olsen          Quibble        DTPA", "");
    let home = sample(&found, "Home field");
    assert!(!reading(home, "potassium").doubts.is_empty() && reading(home, "zinc").doubts.is_empty());
    // The names of further boxes are no methods of these.
    let found = page(
        "Calcium        Olsen P        Sodium         Boron",
        "1500           31             20             0.4",
    );
    let all: Vec<_> = found.iter().flat_map(|r| &r.samples).flat_map(|s| &s.readings).collect();
    assert!(all.iter().all(|r| r.analyte.id() != "zinc" || r.method == Method::Unstated), "{all:?}");
}

#[test]
fn a_unit_at_the_far_edge_of_its_box_is_that_of_the_number_before_it() {
    let found = reports(&[&[
        "Soil test report",
        "Client: Hob Mill Trust",
        "Sample ID: Front lawn",
        "",
        "Phosphorus, Olsen      Potassium, Mehlich 3      Calcium, Mehlich 3",
        "50            mg/kg    81              mg/kg     847              mg/kg",
    ]]);
    let own = sample(&found, "Front lawn");
    assert_eq!(value(own, "potassium"), (81.0, true));
    assert_eq!(reading(own, "phosphorus").printed.unit, "mg/kg");
}
