//! The promises of the store: the set of originals and decisions decides, nothing printed is lost, questions stay quick.

use super::examples::{K, P, PH, day, document, head, hold, reading, report, sample, sha, site, usual};
use super::*;
use crate::document::Format;
use crate::soil::{Analyte, Method, Outcome, Quantity, ReadingRow, Status};
use proptest::prelude::*;
use std::path::PathBuf;

/// A fresh history with two sites, from one made once: hundreds of stores are opened here.
fn history() -> (tempfile::TempDir, History) {
    static FRESH: std::sync::OnceLock<Vec<u8>> = std::sync::OnceLock::new();
    let home = tempfile::tempdir().unwrap();
    let path = home.path().join("loamline.db");
    let fresh = FRESH.get_or_init(|| {
        let mut history = History::open(&path).unwrap();
        for id in ["lawn", "green"] {
            history.upsert_site(&site(id)).unwrap();
        }
        let copy = home.path().join("copy.db");
        history.backup(&copy).unwrap();
        std::fs::read(copy).unwrap()
    });
    let path = home.path().join("fresh.db");
    std::fs::write(&path, fresh).unwrap();
    let history = History::open(&path).unwrap();
    // The disk is another test's matter.
    history.connection.pragma_update(None, "synchronous", "OFF").unwrap();
    (home, history)
}

/// Rows without the store's own keys.
fn rows(history: &History) -> Vec<ReadingRow> {
    let rows = history.readings(&Filter::default()).unwrap();
    rows.into_iter().map(|row| ReadingRow { id: 0, ..row }).collect()
}

fn values(history: &History) -> Vec<(Analyte, f64, Status)> {
    rows(history).iter().map(|row| (row.analyte, row.value, row.status)).collect()
}

fn id_of(history: &History, analyte: Analyte) -> i64 {
    history.readings(&Filter::default()).unwrap().iter().find(|row| row.analyte == analyte).unwrap().id
}

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
fn the_same_numbers_in_another_file_count_once_and_the_fuller_file_counts() {
    let (_home, mut history) = history();
    let mut table = document(2, "H-1", "FRONT LAWN", 2021, &[(PH, "6.4"), (P, "31.2")]);
    table.format = Format::Csv;
    head(&mut table).lab = None;
    head(&mut table).reported_on = None;
    history.record(&table).unwrap();
    let page = usual(1, "h 1", 2021);
    assert_eq!(history.same_report(&report(&page)).unwrap(), None, "it holds more");
    assert_eq!(history.record(&page).unwrap().outcome, Outcome::Filed);
    assert_eq!(history.same_report(&report(&table)).unwrap(), Some(sha(1)));
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
    assert_eq!(history.same_report(&report(&next)).unwrap(), None);
    assert_eq!(history.earlier_issue(&report(&next)).unwrap(), None);
    history.record(&next).unwrap();
    assert_eq!(rows(&history).len(), 6);
}

#[test]
fn a_corrected_issue_is_told_with_what_changed_and_replaces_the_older_until_taken_back() {
    let (_home, mut history) = history();
    history.record(&usual(1, "H-1", 2021)).unwrap();
    let mut later = document(2, "H-1", "Front lawn", 2021, &[(PH, "6.4"), (P, "13"), (K, "118")]);
    head(&mut later).reported_on = day(2021, 5, 2);
    let issue = history.earlier_issue(&report(&later)).unwrap().unwrap();
    assert_eq!((issue.sha256, issue.order), (sha(1), Order::GivenIsLater));
    let changed: Vec<_> = issue.changed.iter().map(|c| (c.analyte, c.before, c.after)).collect();
    assert_eq!(changed, [(P, 31.0, 13.0)]);
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
    assert!(history.settled().unwrap().is_empty());
    history.decide(id_of(&history, P), &Decision::Accept, "keeper", "2024").unwrap();
    let settled = history.settled().unwrap();
    assert_eq!(
        settled.iter().map(|row| (row.source_sha256.clone(), row.outcome)).collect::<Vec<_>>(),
        [(sha(1), Outcome::Filed)]
    );
    history.set_kept_at(&sha(1), "filed/2021/mail.eml").unwrap();
    assert!(history.settled().unwrap().is_empty());
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

#[test]
fn a_correction_adds_and_an_undo_brings_back_while_the_printed_text_stays() {
    let (_home, mut history) = history();
    let mut new = usual(1, "H-1", 2021);
    hold(&mut new, 1, "31 or 3.1?");
    history.record(&new).unwrap();
    let before = rows(&history);
    let p = id_of(&history, P);
    let quantity = Quantity { value: 3.1, unit: P.unit(), qualifier: None, basis: None };
    let correction = Decision::Correct { analyte: P, method: Method::Olsen, quantity };
    let id = history.decide(p, &correction, "keeper", "2024-02-01T00:00:00Z").unwrap();
    let now = rows(&history);
    let row = now.iter().find(|row| row.analyte == P).unwrap();
    assert_eq!((row.value, row.method, row.status), (3.1, Method::Olsen, Status::Corrected));
    assert_eq!((row.raw_value.as_str(), row.doubt.as_deref()), ("31", None));
    assert_eq!(history.document(&sha(1)).unwrap().unwrap().outcome, Outcome::Filed);
    let reject = history.decide(p, &Decision::Reject, "keeper", "2024-02-02T00:00:00Z").unwrap();
    assert!(matches!(history.undo(id, "keeper", "x"), Err(Error::Refused(_))), "a later one stands on it");
    history.undo(reject, "keeper", "2024-02-03T00:00:00Z").unwrap();
    assert_eq!(rows(&history), now);
    history.undo(id, "keeper", "2024-02-04T00:00:00Z").unwrap();
    assert_eq!(rows(&history), before);
    assert!(history.undo(id, "keeper", "x").is_err());
    assert_eq!(history.decisions_on(p).unwrap().len(), 4);
    assert!(history.connection.execute("UPDATE readings SET raw_value = 'x'", []).is_err());
    assert!(history.connection.execute("DELETE FROM decisions", []).is_err());
}

#[test]
fn decisions_that_cannot_be_are_refused_with_a_sentence() {
    let (_home, mut history) = history();
    history.record(&usual(1, "H-1", 2021)).unwrap();
    let ph = id_of(&history, PH);
    let to = |analyte: Analyte, method, value| Decision::Correct {
        analyte,
        method,
        quantity: Quantity { value, unit: PH.unit(), qualifier: None, basis: None },
    };
    for wrong in [
        to(PH, Method::Water1to1, 64.0),
        to(PH, Method::Olsen, 6.4),
        to(P, Method::Olsen, 6.4),
        to(PH, Method::Kcl, f64::NAN),
    ] {
        assert!(matches!(history.decide(ph, &wrong, "keeper", "x"), Err(Error::Refused(_))));
    }
    assert!(matches!(history.decide(999, &Decision::Accept, "keeper", "x"), Err(Error::Unknown { .. })));
    assert_eq!(history.decisions().unwrap(), []);
}

#[test]
fn a_sample_without_a_site_is_let_in_by_assigning_one() {
    let (_home, mut history) = history();
    let mut new = usual(1, "H-1", 2021);
    sample(&mut new).site = None;
    for (_, status, doubt) in &mut sample(&mut new).readings {
        (*status, *doubt) = (Status::Held, Some("Whose soil is `Front lawn`?".to_owned()));
    }
    hold(&mut new, 2, "The unit of K is not printed.");
    assert_eq!(history.record(&new).unwrap().outcome, Outcome::Held);
    let before = rows(&history);
    let assign = Decision::Assign { site: "green".to_owned(), zone: "north".to_owned() };
    assert!(
        history
            .decide(1, &Decision::Assign { site: "nowhere".to_owned(), zone: String::new() }, "k", "x")
            .is_err()
    );
    let id = history.decide(id_of(&history, P), &assign, "keeper", "2024").unwrap();
    let past = history.past_for("green").unwrap();
    assert_eq!(
        past.iter().map(|row| (row.analyte, row.zone.as_str())).collect::<Vec<_>>(),
        [(PH, "north"), (P, "north")]
    );
    assert_eq!(history.held().unwrap().len(), 1, "K has a doubt of its own");
    history.undo(id, "keeper", "2024").unwrap();
    assert_eq!(rows(&history), before);
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

#[test]
fn a_decision_holds_for_whichever_printing_counts() {
    let (_home, mut history) = history();
    history.record(&document(2, "H-1", "Front lawn", 2021, &[(PH, "6.4"), (P, "31")])).unwrap();
    history.decide(id_of(&history, P), &Decision::Reject, "keeper", "2024").unwrap();
    history.record(&usual(1, "H-1", 2021)).unwrap();
    assert_eq!(
        values(&history),
        [(PH, 6.4, Status::Accepted), (P, 31.0, Status::Rejected), (K, 118.0, Status::Accepted)]
    );
}

#[test]
fn checks_made_anew_move_undecided_readings_alone() {
    let (_home, mut history) = history();
    history.record(&usual(1, "H-1", 2021)).unwrap();
    let (p, k) = (id_of(&history, P), id_of(&history, K));
    history.decide(k, &Decision::Accept, "keeper", "2024").unwrap();
    let doubt = Some("Half of last year's.".to_owned());
    history.reassess(&[(p, Status::Held, doubt.clone()), (k, Status::Held, doubt.clone())]).unwrap();
    assert_eq!(
        values(&history).iter().map(|v| v.2).collect::<Vec<_>>(),
        [Status::Accepted, Status::Held, Status::Accepted]
    );
    history.reassess(&[(p, Status::Accepted, None)]).unwrap();
    assert!(history.held().unwrap().is_empty());
}

#[test]
fn notes_of_the_inbox_live_in_the_transaction_of_the_record() {
    let (_home, mut history) = history();
    let note = InboxNote {
        path: PathBuf::from("/inbox/a.pdf"),
        device: u64::MAX,
        inode: 7,
        size: 12,
        mtime_s: -1,
        mtime_ns: 5,
    };
    let new = NewDocument { inbox_note: Some(note.clone()), ..usual(1, "H-1", 2021) };
    history.record(&new).unwrap();
    history.record(&new).unwrap();
    assert_eq!(history.notes_to_finish().unwrap(), [(note.clone(), sha(1))]);
    let broken = document(2, "H-2", "x", 2021, &[(K, "NaN")]);
    assert!(history.record_all(&[usual(3, "H-3", 2023), broken]).is_err());
    assert_eq!(history.document(&sha(3)).unwrap(), None, "all or none");
    history.clear_note(&note).unwrap();
    assert!(history.notes_to_finish().unwrap().is_empty());
}

#[test]
fn a_site_changed_while_its_chart_was_drawn_stays_to_do() {
    let (_home, mut history) = history();
    history.record(&usual(1, "H-1", 2021)).unwrap();
    let todo = history.sites_changed_since(Purpose::Charts).unwrap();
    assert_eq!(todo.iter().map(|(site, _)| site.as_str()).collect::<Vec<_>>(), ["green", "lawn"]);
    history.record(&usual(2, "H-2", 2022)).unwrap();
    history.mark(Purpose::Charts, &todo).unwrap();
    let left = history.sites_changed_since(Purpose::Charts).unwrap();
    assert_eq!(left.iter().map(|(site, _)| site.as_str()).collect::<Vec<_>>(), ["lawn"]);
    history.mark(Purpose::Charts, &left).unwrap();
    assert!(history.sites_changed_since(Purpose::Charts).unwrap().is_empty());
    assert_eq!(history.sites_changed_since(Purpose::Digest).unwrap().len(), 2);
}

#[test]
fn sites_and_printed_names_come_back() {
    let (_home, mut history) = history();
    let full = crate::soil::Site {
        area_ft2: Some(5400.5),
        calcareous: Some(true),
        guides: vec!["turf".into()],
        ..site("lawn")
    };
    history.upsert_site(&full).unwrap();
    assert_eq!(history.site("lawn").unwrap(), Some(full));
    assert_eq!(history.sites().unwrap().len(), 2);
    let name = NameOfSite {
        client: Some("Larkmead".into()),
        label: "Front Lawn".into(),
        site: "lawn".into(),
        zone: "whole".into(),
    };
    history.name_site(&name).unwrap();
    assert_eq!(history.site_for(Some("LARKMEAD"), "front lawn").unwrap(), Some(name.clone()));
    assert_eq!(history.site_for(None, "front lawn").unwrap(), None);
    assert_eq!(history.names_of_sites().unwrap(), [name.clone()]);
    assert!(history.name_site(&NameOfSite { site: "nowhere".into(), ..name }).is_err());
}

/// The plan of every question that is asked for a site, a document or a report must not walk a whole table.
#[test]
fn questions_about_one_site_or_document_use_an_index() {
    let (_home, history) = history();
    let plan = |sql: &str| {
        let mut statement = history.connection.prepare(&format!("EXPLAIN QUERY PLAN {sql}")).unwrap();
        let n = statement.parameter_count();
        let lines = statement
            .query_map(rusqlite::params_from_iter(vec!["x"; n]), |row| row.get::<_, String>(3))
            .unwrap();
        lines.map(rusqlite::Result::unwrap).collect::<Vec<_>>()
    };
    for (name, sql) in [
        ("site", reading::statement(&Filter::counting("lawn"))),
        ("document", reading::statement(&Filter { sha256: Some(sha(1)), ..Filter::default() })),
        ("one document", document::ONE.to_owned()),
        ("same", same::CANDIDATES.to_owned()),
    ] {
        let plan = plan(&sql);
        let walks: Vec<_> = plan
            .iter()
            .filter(|line| line.starts_with("SCAN") && !line.contains("per") && !line.contains("SUBQUERY"))
            .collect();
        assert!(walks.is_empty(), "{name}: {plan:#?}");
    }
}

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
