//! Columns that say what was in the bag, where no heading explains them.

use super::super::read;
use super::{sample, sheets, value};
use crate::soil::Report;

/// A result a row, with a column that no heading explains before the name of what was measured.
fn bags(heading: &str, kinds: [&str; 3]) -> Vec<Report> {
    let head = format!("Client|Sample|Lab No|{heading}|Analysis|Method|Units|Result");
    let rows: Vec<String> = kinds
        .iter()
        .zip(["Daff 1|61/1", "Daff 2|61/2", "STD-7|61/3"])
        .flat_map(|(kind, name)| {
            [
                format!("Hob Mill Trust|{name}|{kind}|Phosphorus|Olsen|mg/kg|26"),
                format!("Hob Mill Trust|{name}|{kind}|Zinc|DTPA|mg/kg|2.6"),
            ]
        })
        .collect();
    let lines: Vec<&str> = std::iter::once(head.as_str()).chain(rows.iter().map(String::as_str)).collect();
    read(&sheets(&[("", &lines)])).unwrap()
}

#[test]
fn a_column_that_tells_the_client_s_bags_from_the_laboratory_s_own_needs_no_heading_that_is_known() {
    let names =
        |found: &[Report]| found.iter().flat_map(|r| &r.samples).map(|s| s.label.clone()).collect::<Vec<_>>();
    for kinds in [
        ["client", "client", "control"],
        ["Customer", "customer", "QC"],
        ["client", "client", "blank"],
        ["client sample", "client sample", "lab duplicate"],
    ] {
        let found = bags("Type", kinds);
        assert_eq!(names(&found), ["Daff 1", "Daff 2"], "{kinds:?}");
        assert!(value(sample(&found, "Daff 1"), "zinc").1, "{kinds:?}");
    }
    // A trial has a plot that was left alone, and a crop may be called anything: nobody knows, and nothing is lost.
    for kinds in [
        ["N", "N", "control"],
        ["normal", "normal", "control"],
        ["lime", "gypsum", "control"],
        ["lime", "gypsum", "QC"],
        ["lawn", "tee", "blank"],
    ] {
        let found = bags("Type", kinds);
        assert!(value(sample(&found, "Daff 1"), "zinc").1, "{kinds:?}");
        assert!(!value(sample(&found, "STD-7"), "zinc").1, "{kinds:?}");
    }
    // A word that all rows bear tells nothing of one.
    let found = bags("Service", ["standard", "standard", "standard"]);
    assert!(value(sample(&found, "STD-7"), "zinc").1);
}
