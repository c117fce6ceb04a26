//! What is recorded comes back whole, and recording again is harmless.

use super::{history, rows};
use crate::history::examples::{K, P, PH, day, document, hold, reading, sha, usual};
use crate::history::{Error, Filter, NewDocument};
use crate::soil::{Analyte, Method, Outcome};

#[test]
fn what_is_recorded_comes_back_whole_in_printed_order() {
    let (_home, mut history) = history();
    let mut new = usual(1, "H-1", 2021);
    hold(&mut new, 2, "The unit of K is not printed.");
    let recorded = history.record(&new).unwrap();
    assert_eq!((recorded.outcome, recorded.added), (Outcome::Held, true));
    let rows = history.readings(&Filter::counting("lawn")).unwrap();
    assert_eq!(rows.iter().map(|row| row.analyte).collect::<Vec<_>>(), [PH, P]);
    let ph = rows.first().unwrap();
    assert_eq!((ph.raw_value.as_str(), ph.season, ph.sampled_on), ("6.4", Some(2021), day(2021, 4, 7)));
    assert_eq!(ph.place, Some(reading(PH, Method::Kcl, "1").place));
    let held = history.held().unwrap();
    let held = held.first().unwrap();
    assert_eq!(held.row.doubt.as_deref(), Some("The unit of K is not printed."));
    assert_eq!((held.doubts.len(), held.witnesses.len()), (1, 1));
    let document = history.document(&sha(1)).unwrap().unwrap();
    assert_eq!((document.samples, document.readings, document.held_readings), (1, 3, 1));
    assert_eq!(history.document(&sha(9)).unwrap(), None);
}

#[test]
fn recording_again_adds_nothing_and_a_copy_under_another_name_is_a_duplicate() {
    let (_home, mut history) = history();
    let new = usual(1, "H-1", 2021);
    history.record(&new).unwrap();
    let again = history.record(&new).unwrap();
    assert_eq!((again.outcome, again.added), (Outcome::Filed, false));
    let copy = history.record(&NewDocument { file: "copy.pdf".to_owned(), ..new.clone() }).unwrap();
    assert_eq!((copy.outcome, copy.duplicate_of, copy.added), (Outcome::Duplicate, Some(sha(1)), true));
    assert!(!history.record(&NewDocument { file: "copy.pdf".to_owned(), ..new }).unwrap().added);
    assert_eq!(rows(&history).len(), 3);
    let documents = history.documents().unwrap();
    let seen: Vec<_> =
        documents.iter().map(|row| (row.source_file.as_str(), row.outcome, row.readings)).collect();
    assert_eq!(seen, [("copy.pdf", Outcome::Duplicate, 0), ("report 1.pdf", Outcome::Filed, 3)]);
}

#[test]
fn a_document_refused_before_may_be_read_later() {
    let (_home, mut history) = history();
    let new = usual(1, "H-1", 2021);
    let refused = NewDocument {
        outcome: Outcome::Refused,
        why: Some("Too large.".to_owned()),
        reports: vec![],
        ..new.clone()
    };
    assert_eq!(history.record(&refused).unwrap().outcome, Outcome::Refused);
    assert_eq!(history.record(&new).unwrap().outcome, Outcome::Filed);
    assert_eq!(history.documents().unwrap().len(), 1);
}

#[test]
fn numbers_that_cannot_be_are_held_and_not_a_number_is_an_error() {
    let (_home, mut history) = history();
    history
        .record(&document(
            1,
            "H-1",
            "Front lawn",
            2021,
            &[(PH, "64"), (P, "-3"), (Analyte::OrganicMatter, "101"), (K, "118")],
        ))
        .unwrap();
    assert_eq!(history.held().unwrap().len(), 3);
    assert_eq!(history.past_for("lawn").unwrap().len(), 1);
    assert!(matches!(
        history.record(&document(2, "H-2", "x", 2021, &[(K, "NaN")])),
        Err(Error::NotANumber { .. })
    ));
    assert_eq!(history.document(&sha(2)).unwrap(), None);
}
