//! What stands at the head of a file and tells of all of it, and what the sheets of a workbook tell each of their own.

use super::super::read;
use super::{reading, reports, sample, sheets, value};
use crate::soil::{Depth, Method, Report};

fn sheet(lines: &[&str]) -> Vec<Report> {
    read(&sheets(&[("", lines)])).unwrap()
}

fn layer(top_cm: f64, bottom_cm: f64) -> Option<Depth> {
    Some(Depth { top_cm, bottom_cm })
}

const TABLE: [&str; 4] = [
    "Paddock     pH    P mg/kg   K mg/kg",
    "Ash        6.0         5       129",
    "Elder      5.4        23        78",
    "Cedar      5.4        12       336",
];

fn under(head: &[&str]) -> Vec<Report> {
    let lines: Vec<&str> = head.iter().chain(&[""]).chain(&TABLE).copied().collect();
    reports(&[&lines])
}

#[test]
fn the_day_behind_the_number_of_the_report_is_its_own() {
    let found = under(&["Quill Soils, report HX-51, 7 March 2023", "Client: Hob Hall"]);
    assert_eq!(found[0].reported_on, Some(jiff::civil::date(2023, 3, 7)), "{found:?}");
    for other in ["This replaces report HX-12 of 7 March 2019.", "Former Report, report HX-12, 7 March 2019"]
    {
        let found = under(&["Quill Soils", other, "Client: Hob Hall"]);
        assert_eq!(found[0].reported_on, None, "{other}");
    }
}

#[test]
fn a_layer_that_is_a_sentence_is_that_of_the_samples_and_one_of_two_is_not() {
    let depth = |line: &str| sample(&under(&["Quill Soils", "Client: Hob Hall", line]), "Ash").depth;
    assert_eq!(depth("Depth 0-7.5 cm. P by Olsen; K by ammonium acetate."), layer(0.0, 7.5));
    assert_eq!(depth("Sampling depth 0-15 cm (all). Columns are headed as usual."), layer(0.0, 15.0));
    assert_eq!(depth("Topsoil 0-15 cm. Subsoil 15-30 cm was not taken this time."), None);
    assert_eq!(depth("Guides hold for a topsoil 0-15 cm. They are not yours."), None);
}

#[test]
fn whose_it_is_and_the_day_stand_beside_the_laboratory_over_a_sheet() {
    let of = |head: &str, below: &str| {
        sheet(&[
            head,
            below,
            "",
            "Sample|Ref|pH|P (Olsen) mg/kg|K mg/kg",
            "Tunnel A|MG-1|6.7|16|141",
            "Tunnel B|MG-2|6.4|27|160",
        ])
    };
    let found = of("Quill Horticultural Laboratory|Report 2230|31/01/2023", "Hob Growers");
    assert_eq!(found[0].client.as_deref(), Some("Hob Growers"));
    assert_eq!(found[0].reported_on, Some(jiff::civil::date(2023, 1, 31)));
    let found = of("Quill Soil Services|CS-700 part 1: main elements|Hob Growers|15 May 2023", "");
    assert_eq!(found[0].client.as_deref(), Some("Hob Growers"));
    // Two names, and a line that does not name the laboratory.
    for head in
        ["Quill Soil Services|CS-700|Hob Growers|Moss Growers|15 May 2023", "CS-700|Hob Growers|15 May 2023"]
    {
        assert_eq!(of(head, "")[0].client, None, "{head}");
    }
}

#[test]
fn each_sheet_has_the_methods_and_units_that_it_tells() {
    let table = ["Field|pH|P mg/kg|K|Ca", "Mill|5.7|35|82|1352", "Croft|5.1|36|144|2462"];
    let lower = ["Field|pH|P mg/kg|K|Ca", "Mill|5.9|12|0.21|6.75", "Croft|5.6|19|0.59|6.43"];
    let head = "Report 5582 for Hob Farms Ltd. Received 3 Sep 2021, reported 14 Sep 2021";
    let of = |second: &str| {
        let first = "TOPSOIL 0-20 cm. Phosphorus: Olsen. Cations: ammonium acetate, mg/kg. pH in 0.01 M calcium chloride.";
        let one: Vec<&str> = ["Quill Testing", head, first, ""].iter().chain(&table).copied().collect();
        let two: Vec<&str> = ["Quill Testing", head, second, ""].iter().chain(&lower).copied().collect();
        read(&sheets(&[("Top", &one), ("Sub", &two)])).unwrap()
    };
    let found = of(
        "SUBSOIL 20-40 cm. Phosphorus: Bray 2. Cations: ammonium acetate, here in cmol(+)/kg. pH in water 1:5.",
    );
    let mill: Vec<_> = found.iter().flat_map(|r| &r.samples).filter(|s| s.label == "Mill").collect();
    assert_eq!((mill[0].depth, mill[1].depth), (layer(0.0, 20.0), layer(20.0, 40.0)));
    assert_eq!(reading(mill[0], "phosphorus").method, Method::Olsen);
    assert_eq!(reading(mill[1], "phosphorus").method, Method::BrayP2);
    assert_eq!(reading(mill[1], "ph").method, Method::Water1to5);
    assert!((value(mill[0], "potassium").0 - 82.0).abs() < 1e-9);
    assert!((value(mill[1], "potassium").0 - 0.21 * 391.0).abs() < 1.0, "{:?}", value(mill[1], "potassium"));
    // A sheet that says nothing of one measurement has no sure method for it, whatever the other says.
    let found = of("SUBSOIL 20-40 cm. Phosphorus: Bray 2. Sampled with an auger.");
    let mill: Vec<_> = found.iter().flat_map(|r| &r.samples).filter(|s| s.label == "Mill").collect();
    assert!(!value(mill[1], "potassium").1 && !value(mill[1], "ph").1, "{mill:?}");
}

#[test]
fn of_two_seasons_under_each_name_the_latest_is_read() {
    let of = |a: &str, b: &str| {
        let days = format!("|{a}|{b}|{a}|{b}");
        sheet(&[
            "Quill Turf Laboratory",
            "Client: Hob Bowling Club||reported 26/09/24",
            "",
            "Green|pH||P (Mehlich 3) ppm|",
            &days,
            "Top green|6.8|7.1|97|86",
            "Nursery|6.5|6.8|107|89",
        ])
    };
    let found = of("14/09/21", "13/09/24");
    assert_eq!(value(sample(&found, "Nursery"), "ph"), (6.8, true));
    assert_eq!(value(sample(&found, "Nursery"), "phosphorus"), (89.0, true));
    let found = of("2024", "2021");
    assert_eq!(value(sample(&found, "Nursery"), "ph"), (6.5, true));
    // Two days of one season, and two seasons both past, wait.
    for (a, b) in [("13/03/24", "13/09/24"), ("2016", "2019")] {
        let found = of(a, b);
        assert!(!value(sample(&found, "Nursery"), "ph").1, "{a} {b}: {found:?}");
    }
}

#[test]
fn an_export_tells_signs_ions_and_procedures_in_columns() {
    let found = sheet(&[
        "CLIENT|SAMPLE|TAKEN|TEST|PROC|MARK|RESULT|LIMIT|UNIT",
        "Hob Trust|CV-1|28/04/2022|Potassium|Mehlich-3 ICP||98|5|mg/kg",
        "Hob Trust|CV-1|28/04/2022|Copper|DTPA|<|0.50|0.50|mg/kg",
        "Hob Trust|CV-1|28/04/2022|Ammonium as NH4|KCl||6.8|0.5|mg/kg NH4",
        "Hob Trust|CV-1|28/04/2022|Nitrate-N|KCl||12|0.5|mg/kg NO3",
        "Hob Trust|CV-2|28/04/2022|Potassium|Mehlich-3 ICP||88|5|mg/kg",
        "Hob Trust|CV-2|28/04/2022|Copper|DTPA||0.90|0.50|mg/kg",
    ]);
    let one = sample(&found, "CV-1");
    assert_eq!(reading(one, "potassium").method, Method::Mehlich3);
    let copper = reading(one, "copper");
    assert!(copper.quantity.qualifier.is_some() && copper.doubts.is_empty(), "{copper:?}");
    assert!((value(one, "ammonium_n").0 - 5.28).abs() < 0.01, "{:?}", value(one, "ammonium_n"));
    // A name of the element and a unit of the ion say two things.
    assert!(!value(one, "nitrate_n").1);
    assert!(reading(sample(&found, "CV-2"), "copper").quantity.qualifier.is_none());
}

#[test]
fn codes_over_columns_are_explained_by_a_list_below_and_by_determinations() {
    let of = |key: &[&str]| {
        let head = [
            "Quill Assays|report OA-4|for Hob Court Farms|26 March 2021",
            "Plot|F01|F02|F03",
            "Long acre|5.7|83|144",
            "Hob|5.1|60|99",
            "",
        ];
        sheet(&head.iter().chain(key).copied().collect::<Vec<_>>())
    };
    for key in [
        [
            "F01|pH in calcium chloride",
            "F02|phosphorus, Bray 1, mg/kg",
            "F03|potassium, ammonium acetate, mg/kg",
            "",
        ],
        [
            "Code|Determination|Procedure|Unit",
            "F01|pH|calcium chloride|",
            "F02|Phosphorus|Bray 1|mg/kg",
            "F03|Potassium|ammonium acetate|mg/kg",
        ],
    ] {
        let found = of(&key);
        let one = sample(&found, "Long acre");
        assert_eq!(value(one, "phosphorus"), (83.0, true), "{found:?}");
        assert_eq!(reading(one, "phosphorus").method, Method::BrayP1);
        assert_eq!(reading(one, "ph").method, Method::Cacl2);
    }
    // A code that is explained twice means neither.
    let found = read(&sheets(&[(
        "",
        &[
            "Plot|F01|F02|F03",
            "Long acre|5.7|83|144",
            "Hob|5.1|60|99",
            "",
            "F01|pH in water",
            "F02|phosphorus, Bray 1, mg/kg",
            "F03|potassium, mg/kg",
            "F02|phosphorus, Olsen, mg/kg",
        ],
    )]));
    let sure = found.iter().flatten().flat_map(|r| &r.samples).flat_map(|s| &s.readings);
    assert!(sure.filter(|r| r.analyte.id() == "phosphorus").all(|r| !r.doubts.is_empty()));
}

#[test]
fn contents_in_a_unit_are_all_of_them_and_what_is_found_stands_beside_what_is_wished_for() {
    let found = sheet(&[
        "Quill Labor",
        "Auftraggeber: Hof Hob|Entnahmetiefe 0-30 cm|Ausgang 02.03.2023",
        "Gehalte in mg/100 g Boden. pH-Wert in CaCl2.",
        "",
        "Schlag|pH-Wert||P2O5 (CAL)||K2O (CAL)|",
        "|Ist|Soll|Ist|Soll|Ist|Soll",
        "Moor|5,5|6,2|2,1|18|13,2|20",
        "Deich|5,4|6,2|9,2|18|7,5|20",
    ]);
    let moor = sample(&found, "Moor");
    assert!((value(moor, "phosphorus").0 - 9.165).abs() < 0.01 && value(moor, "phosphorus").1, "{moor:?}");
    assert!((value(moor, "ph").0 - 5.5).abs() < 1e-9);
}

#[test]
fn how_one_measurement_was_counted_stands_in_a_cell_beside_its_name() {
    let found = sheet(&[
        "Quill Soil Bureau|reported 1 Dec 2022",
        "Client: Hob Vineyards",
        "",
        "Block|pH|P mg/kg|K mg/kg",
        "Block 1|5.1|104|231",
        "Block 2|5.5|46|145",
        "",
        "P|Mehlich 3, read by colour (molybdate blue)",
        "K, Mg, Ca|Mehlich 3, ICP",
    ]);
    let one = sample(&found, "Block 1");
    assert_eq!(reading(one, "phosphorus").method, Method::Mehlich3Colorimetric, "{one:?}");
    assert_eq!(reading(one, "potassium").method, Method::Mehlich3);
}
