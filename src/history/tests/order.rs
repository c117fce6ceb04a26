//! The set of originals decides, never the order or the batches in which they came.

use super::{history, rows};
use crate::document::Format;
use crate::history::NewDocument;
use crate::history::examples::{K, P, PH, day, document, head, hold, sample, sha, usual};
use proptest::prelude::*;

fn corpus() -> Vec<NewDocument> {
    let mut csv = usual(4, "H-1", 2021);
    csv.format = Format::Csv;
    let mut short = document(5, "H-1", "Front lawn", 2021, &[(PH, "6.4"), (P, "31.0")]);
    head(&mut short).lab = None;
    let mut later = document(6, "H-2", "Front lawn", 2022, &[(PH, "6.1"), (P, "13"), (K, "118")]);
    head(&mut later).reported_on = day(2022, 6, 1);
    let mut scan = usual(8, "H-3", 2023);
    scan.format = Format::Scan;
    hold(&mut scan, 1, "Poorly printed.");
    let mut member = document(9, "H-9", "Green 4", 2022, &[(PH, "7.0"), (K, "80")]);
    member.inside_of = Some(sha(1));
    sample(&mut member).site = None;
    // A third issue of H-2, a table of the second, and another printing of H-4 that contradicts it.
    let mut third = document(10, "H-2", "Front lawn", 2022, &[(PH, "6.1"), (P, "13"), (K, "121")]);
    head(&mut third).reported_on = day(2022, 7, 1);
    let mut table = document(11, "H-2", "Front lawn", 2022, &[(PH, "6.1"), (P, "13"), (K, "118")]);
    (table.format, head(&mut table).reported_on) = (Format::Csv, None);
    let other = document(12, "H-4", "Front lawn", 2024, &[(PH, "6.4"), (P, "81"), (K, "118")]);
    let (first, second, fourth) = (usual(1, "H-1", 2021), usual(2, "H-2", 2022), usual(7, "H-4", 2024));
    vec![first, second, usual(3, "H-3", 2023), csv, short, later, fourth, scan, member, third, table, other]
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 16, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn any_order_and_any_split_into_batches_gives_the_same_readings(
        order in Just((0..12_usize).collect::<Vec<_>>()).prop_shuffle(),
        again in 0..12_usize,
    ) {
        let corpus = corpus();
        let (_a, mut straight) = history();
        for new in &corpus {
            straight.record(new).unwrap();
        }
        let (_b, mut shuffled) = history();
        for index in order.iter().chain([&again]) {
            shuffled.record(corpus.get(*index).unwrap()).unwrap();
        }
        prop_assert_eq!(rows(&straight), rows(&shuffled));
        prop_assert_eq!(straight.documents().unwrap(), shuffled.documents().unwrap());
    }

    #[test]
    fn any_split_into_transactions_gives_the_same_readings(
        order in Just((0..12_usize).collect::<Vec<_>>()).prop_shuffle(),
        size in 1..12_usize,
    ) {
        let corpus = corpus();
        let (_a, mut straight) = history();
        straight.record_all(&corpus).unwrap();
        let (_b, mut shuffled) = history();
        for batch in order.chunks(size) {
            let batch: Vec<_> = batch.iter().map(|index| corpus.get(*index).unwrap().clone()).collect();
            shuffled.record_all(&batch).unwrap();
        }
        prop_assert_eq!(rows(&straight), rows(&shuffled));
    }
}
