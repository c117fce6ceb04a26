//! Signs for `as in the line above`.

use super::super::read;
use super::{reading, reports, sample, sheets};
use crate::soil::{Method, Report};

/// Method of each, none for what waits.
fn methods(found: &[Report], ids: &[&str]) -> Vec<Option<Method>> {
    let moss = sample(found, "Moss");
    let own = |id: &&str| {
        let r = reading(moss, id);
        r.doubts.is_empty().then_some(r.method)
    };
    ids.iter().map(own).collect()
}

const IDS: [&str; 4] = ["potassium", "calcium", "iron", "copper"];

#[test]
fn a_ditto_under_a_method_is_that_method() {
    let (m3, dtpa) = (Some(Method::Mehlich3), Some(Method::Dtpa));
    for sign in ["\"", "''", "〃", "ditto", "do.", "„", "”", "-\"-"] {
        let row = |name: &str, method: &str, values: &str| format!("{name:16}mg/kg    {method:19}{values}");
        let rows = [
            row("Potassium", "Mehlich 3, ICP", "215     191"),
            row("Calcium", sign, "2768    1876"),
            row("Iron", "DTPA", "105     23"),
            row("Copper", sign, "1.6     2.8"),
        ];
        let lines: Vec<&str> = [
            "Soil test report",
            "Client: Hob Mill Trust",
            "",
            "Sample          Unit     Method             Moss    Fen",
        ]
        .into_iter()
        .chain(rows.iter().map(String::as_str))
        .collect();
        assert_eq!(methods(&reports(&[&lines]), &IDS), [m3, m3, dtpa, dtpa], "{sign}");
        let rows = [
            "Hob Mill Trust|Moss|K|Mehlich 3|mg/kg|215".to_owned(),
            format!("Hob Mill Trust|Moss|Ca|{sign}|mg/kg|2768"),
            "Hob Mill Trust|Moss|Fe|DTPA|mg/kg|105".to_owned(),
            format!("Hob Mill Trust|Moss|Cu|{sign}|mg/kg|1.6"),
        ];
        let head = "Client|Sample|Analysis|Method|Units|Result";
        let lines: Vec<&str> = std::iter::once(head).chain(rows.iter().map(String::as_str)).collect();
        let found = read(&sheets(&[("", &lines)])).unwrap();
        assert_eq!(methods(&found, &IDS), [m3, m3, dtpa, dtpa], "{sign}");
    }
}

#[test]
fn a_ditto_of_which_nobody_knows_what_stands_over_it_waits() {
    let head = "Sample          Unit     Method             Moss    Fen";
    // Under a gap, under the heading, and under the end of a method that is broken over two lines.
    let gap = ["Potassium       mg/kg                       215     191"];
    let broken = ["Potassium       mg/kg    Mehlich 3, or      215     191", "                         DTPA"];
    for above in [&gap[..], &[], &broken[..]] {
        let lines: Vec<&str> = ["Soil test report", "Client: Hob Mill Trust", "", head]
            .into_iter()
            .chain(above.iter().copied())
            .chain([
                "Calcium         mg/kg    \"                  2768    1876",
                "Iron            mg/kg    DTPA               105     23",
                "Copper          mg/kg    \"                  1.6     2.8",
            ])
            .collect();
        let found = methods(&reports(&[&lines]), &["calcium", "copper"]);
        assert_eq!(found, [None, Some(Method::Dtpa)], "{above:?}");
    }
}
