//! What a site's earlier seasons say holds in whatever order the seasons come.

use super::{history, rows};
use crate::history::examples::{K, P, PH, document, sample};
use crate::history::{Decision, History, NewDocument};
use crate::soil::{Analyte, Status};
use proptest::prelude::*;

const CA: Analyte = Analyte::Calcium;

/// Four seasons of one site; the second is printed in pounds per acre.
fn seasons() -> Vec<NewDocument> {
    let year = |seed: u32, year, ph: &str, values: [&str; 3]| {
        let values = [(PH, ph), (P, values[0]), (K, values[1]), (CA, values[2])];
        document(seed, &format!("H-{seed}"), "Front lawn", year, &values)
    };
    vec![
        year(1, 2021, "6.4", ["31", "118", "1240"]),
        year(2, 2022, "6.3", ["62", "236", "2480"]),
        year(3, 2023, "6.4", ["31", "117", "1230"]),
        year(4, 2024, "6.2", ["28", "112", "1190"]),
    ]
}

fn held(history: &History) -> Vec<(i16, Analyte)> {
    let rows = rows(history);
    rows.iter().filter(|r| r.status == Status::Held).map(|r| (r.season.unwrap(), r.analyte)).collect()
}

#[test]
fn a_season_in_another_unit_is_held_and_is_no_measure_for_the_next() {
    let (_home, mut history) = history();
    for new in seasons() {
        history.record(&new).unwrap();
    }
    assert_eq!(held(&history), [(2022, P), (2022, K), (2022, CA)]);
    let waits = history.held().unwrap();
    assert!(waits.first().unwrap().row.doubt.as_deref().unwrap().contains("pounds per acre"));
    let document = history.document(&waits.first().unwrap().row.source_sha256).unwrap().unwrap();
    assert_eq!(document.outcome, crate::soil::Outcome::Held);
    assert!(document.why.unwrap().contains("3 of 4 readings"));
}

#[test]
fn an_earlier_season_that_comes_later_speaks_against_what_was_let_in() {
    let (_home, mut history) = history();
    let seasons = seasons();
    history.record(&seasons[1]).unwrap();
    assert!(held(&history).is_empty());
    history.record(&seasons[0]).unwrap();
    assert_eq!(held(&history), [(2022, P), (2022, K), (2022, CA)]);
    assert_eq!(history.misplaced().unwrap().len(), 1, "its original belongs to what waits");
}

#[test]
fn a_persons_word_stands_against_the_past_and_the_later_seasons_are_measured_by_it() {
    let (_home, mut history) = history();
    for new in seasons() {
        history.record(&new).unwrap();
    }
    let mut taken = Vec::new();
    for waits in history.held().unwrap() {
        taken.push(history.decide(waits.row.id, &Decision::Accept, "Robin", "2024-06-01T00:00:00Z").unwrap());
    }
    assert_eq!(
        held(&history),
        [(2023, P), (2023, K), (2023, CA), (2024, P), (2024, K), (2024, CA)],
        "now the third season is half of the second, and so is the fourth, drift or not"
    );
    for id in taken {
        history.undo(id, "Robin", "2024-06-02T00:00:00Z").unwrap();
    }
    assert_eq!(held(&history), [(2022, P), (2022, K), (2022, CA)]);
}

#[test]
fn zones_are_measured_by_themselves() {
    let (_home, mut history) = history();
    let mut seasons = seasons();
    sample(&mut seasons[1]).zone = "north".to_owned();
    for new in &seasons {
        history.record(new).unwrap();
    }
    assert!(held(&history).is_empty());
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 24, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn any_order_of_the_seasons_holds_the_same(
        order in Just((0..4_usize).collect::<Vec<_>>()).prop_shuffle(),
        size in 1..4_usize,
    ) {
        let seasons = seasons();
        let (_a, mut straight) = history();
        straight.record_all(&seasons).unwrap();
        let (_b, mut shuffled) = history();
        for batch in order.chunks(size) {
            let batch: Vec<_> = batch.iter().map(|at| seasons[*at].clone()).collect();
            shuffled.record_all(&batch).unwrap();
        }
        prop_assert_eq!(rows(&straight), rows(&shuffled));
        prop_assert_eq!(straight.documents().unwrap(), shuffled.documents().unwrap());
    }
}
