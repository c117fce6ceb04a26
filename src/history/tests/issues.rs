//! The same report again: duplicates, issues, contradictions, and what a document is then.

use super::{history, id_of, rows};
use crate::document::Format;
use crate::history::examples::{K, P, PH, day, document, head, hold, sha, usual};
use crate::history::{Decision, NewDocument};
use crate::soil::{Outcome, Status};

#[test]
fn the_same_numbers_in_another_file_count_once_and_the_fuller_file_counts() {
    let (_home, mut history) = history();
    let mut table = document(2, "H-1", "FRONT LAWN", 2021, &[(PH, "6.4"), (P, "31.2")]);
    table.format = Format::Csv;
    head(&mut table).lab = None;
    head(&mut table).reported_on = None;
    history.record(&table).unwrap();
    let page = usual(1, "h 1", 2021);
    assert_eq!(history.record(&page).unwrap().outcome, Outcome::Filed);
    assert_eq!(rows(&history).len(), 3);
    let shorter = history.document(&sha(2)).unwrap().unwrap();
    assert_eq!((shorter.outcome, shorter.duplicate_of), (Outcome::Duplicate, Some(sha(1))));
    assert!(shorter.why.unwrap().contains("report 1.pdf"));
}

#[test]
fn next_years_report_of_the_same_bag_name_is_no_duplicate_and_no_issue() {
    let (_home, mut history) = history();
    history.record(&usual(1, "H-1", 2021)).unwrap();
    let next = usual(2, "H-2", 2022);
    history.record(&next).unwrap();
    assert_eq!(rows(&history).len(), 6);
}

#[test]
fn a_corrected_issue_replaces_the_older_until_taken_back() {
    let (_home, mut history) = history();
    history.record(&usual(1, "H-1", 2021)).unwrap();
    let mut later = document(2, "H-1", "Front lawn", 2021, &[(PH, "6.4"), (P, "13"), (K, "118")]);
    head(&mut later).reported_on = day(2021, 5, 2);
    history.record(&later).unwrap();
    assert_eq!(
        history.past_for("lawn").unwrap().iter().map(|row| row.value).collect::<Vec<_>>(),
        [6.4, 13.0, 118.0]
    );
    let old: Vec<_> = rows(&history).into_iter().filter(|row| row.source_sha256 == sha(1)).collect();
    assert!(old.iter().all(|row| row.status == Status::Rejected));
    assert_eq!(old.first().unwrap().doubt.as_deref(), Some("superseded by report 2.pdf"));
    let (old, new) =
        (history.document(&sha(1)).unwrap().unwrap(), history.document(&sha(2)).unwrap().unwrap());
    assert_eq!((old.superseded_by, new.supersedes), (Some(sha(2)), Some(sha(1))));
    history.restore_superseded(&sha(1), &sha(2)).unwrap();
    assert_eq!(history.past_for("lawn").unwrap().len(), 6);
}

#[test]
fn issues_that_contradict_each_other_hold_both_values_until_a_person_or_a_later_issue_says() {
    let (_home, mut history) = history();
    history.record(&usual(1, "H-1", 2021)).unwrap();
    let other = document(2, "H-1", "Front lawn", 2021, &[(PH, "6.4"), (P, "13"), (K, "118")]);
    assert_eq!(history.record(&other).unwrap().outcome, Outcome::Held);
    for seed in [1, 2] {
        let row = history.document(&sha(seed)).unwrap().unwrap();
        assert_eq!((row.outcome, row.held_readings), (Outcome::Held, 1));
        let why = row.why.unwrap();
        assert!(why.starts_with("1 of 3 readings wait for a person. For this sample"), "{why}");
    }
    let held = history.held().unwrap();
    assert_eq!(
        held.iter().map(|held| (held.row.analyte, held.row.value)).collect::<Vec<_>>(),
        [(P, 31.0), (P, 13.0)]
    );
    let doubt = held.first().unwrap().row.doubt.clone().unwrap();
    assert!(
        doubt.contains("`report 1.pdf` gives 31") && doubt.contains("`report 2.pdf` gives 13"),
        "{doubt}"
    );
    let accepted = history.decide(held.first().unwrap().row.id, &Decision::Accept, "keeper", "2024").unwrap();
    assert_eq!(history.held().unwrap().len(), 1);
    history.undo(accepted, "keeper", "2024").unwrap();
    assert_eq!(history.held().unwrap(), held);
    let mut later = document(3, "H-1", "Front lawn", 2021, &[(PH, "6.4"), (P, "30"), (K, "118")]);
    head(&mut later).reported_on = day(2021, 6, 1);
    history.record(&later).unwrap();
    assert!(history.held().unwrap().is_empty());
    assert_eq!(
        history.past_for("lawn").unwrap().iter().map(|row| row.value).collect::<Vec<_>>(),
        [6.4, 30.0, 118.0]
    );
}

#[test]
fn a_scan_never_replaces_what_a_text_layer_says() {
    let (_home, mut history) = history();
    history.record(&usual(1, "H-1", 2021)).unwrap();
    let mut scan = document(2, "H-1", "Front lawn", 2021, &[(PH, "6.4"), (P, "81"), (K, "118")]);
    scan.format = Format::Scan;
    head(&mut scan).reported_on = day(2021, 9, 1);
    history.record(&scan).unwrap();
    assert_eq!(history.held().unwrap().iter().map(|held| held.row.value).collect::<Vec<_>>(), [31.0, 81.0]);
}

#[test]
fn bags_that_share_a_name_in_one_report_are_paired_by_their_numbers() {
    let (_home, mut history) = history();
    let two = |seed, format| {
        let mut new = document(seed, "H-1", "Lawn", 2021, &[(PH, "6.4"), (P, "31"), (K, "118")]);
        let second = document(seed, "H-1", "Lawn", 2021, &[(PH, "6.0"), (P, "22"), (K, "97")]);
        let samples = second.reports.into_iter().flat_map(|report| report.samples);
        new.reports.first_mut().unwrap().samples.extend(samples);
        new.format = format;
        new
    };
    history.record(&two(1, Format::Pdf)).unwrap();
    assert_eq!(history.record(&two(2, Format::Csv)).unwrap().outcome, Outcome::Duplicate);
    assert_eq!(history.past_for("lawn").unwrap().len(), 6);
    assert!(history.held().unwrap().is_empty());
}

#[test]
fn a_mail_waits_as_long_as_something_inside_it_waits() {
    let (_home, mut history) = history();
    let mail = NewDocument {
        format: Format::Mail,
        outcome: Outcome::Held,
        why: Some("An attachment waits.".into()),
        kept_at: Some("held/mail.eml".into()),
        reports: vec![],
        ..usual(1, "", 2021)
    };
    let mut inside = NewDocument { inside_of: Some(sha(1)), kept_at: None, ..usual(2, "H-1", 2021) };
    hold(&mut inside, 1, "31 or 3.1?");
    history.record_all(&[mail, inside]).unwrap();
    assert_eq!(history.document(&sha(1)).unwrap().unwrap().outcome, Outcome::Held);
    assert!(history.misplaced().unwrap().is_empty());
    history.decide(id_of(&history, P), &Decision::Accept, "keeper", "2024").unwrap();
    let settled = history.misplaced().unwrap();
    assert_eq!(
        settled.iter().map(|row| (row.source_sha256.clone(), row.outcome)).collect::<Vec<_>>(),
        [(sha(1), Outcome::Filed)]
    );
    history.set_kept_at(&sha(1), "filed/2021/mail.eml").unwrap();
    assert!(history.misplaced().unwrap().is_empty());
}

#[test]
fn a_document_held_for_itself_stays_held_until_it_is_settled() {
    let (_home, mut history) = history();
    let new =
        NewDocument { outcome: Outcome::Held, why: Some("Page 2 is blank.".into()), ..usual(1, "H-1", 2021) };
    assert_eq!(history.record(&new).unwrap().outcome, Outcome::Held);
    history.settle(&sha(1)).unwrap();
    let row = history.document(&sha(1)).unwrap().unwrap();
    assert_eq!((row.outcome, row.why), (Outcome::Filed, None));
}
