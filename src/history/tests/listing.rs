//! The list of documents, and of what waits: sorted, narrowed and counted as the documents stand now. (That what is kept
//! for it follows from the samples is held against every commit of these tests: `listing::hold_against`.)

use super::{history, id_of};
use crate::history::examples::{P, hold, sample, sha, usual};
use crate::history::listing::Listing;
use crate::history::{Decision, History, NewDocument, waiting};
use crate::soil::Outcome;

fn new(seed: u32, day: u32) -> NewDocument {
    NewDocument {
        recorded_at: format!("2024-01-{day:02}T00:00:00Z"),
        ..usual(seed, &format!("H-{seed}"), 2000 + i16::try_from(seed).unwrap())
    }
}

fn asked(words: &str, outcome: Option<Outcome>) -> Listing {
    Listing { words: words.to_owned(), outcome }
}

/// Names with what became of them, page by page.
fn names(history: &History, asked: &Listing) -> Vec<(String, Outcome)> {
    let all = history.count_documents(asked).unwrap();
    let mut found = Vec::new();
    for skip in (0..all.max(1)).step_by(2) {
        let page = history.newest_documents(asked, skip, 2).unwrap();
        found.extend(page.into_iter().map(|row| (row.source_file, row.outcome)));
    }
    assert_eq!(found.len(), all);
    found
}

fn filled() -> (tempfile::TempDir, History) {
    let (home, mut history) = history();
    let mut doubtful = new(3, 5);
    hold(&mut doubtful, 1, "31 or 3.1?");
    let refused = NewDocument {
        outcome: Outcome::Refused,
        why: Some("No report.".to_owned()),
        reports: Vec::new(),
        file: "\u{c4}rger.pdf".to_owned(),
        ..new(4, 4)
    };
    let copy = NewDocument { file: "again.pdf".to_owned(), ..new(1, 9) };
    let same = NewDocument { file: "same.csv".to_owned(), sha256: sha(7), ..new(1, 6) };
    for one in [new(1, 1), new(2, 5), doubtful, refused, copy, same] {
        history.record(&one).unwrap();
    }
    (home, history)
}

#[test]
fn the_newest_come_first_and_a_page_goes_on_where_the_one_before_ended() {
    let (_home, history) = filled();
    let all = names(&history, &Listing::default());
    let files: Vec<&str> = all.iter().map(|(file, _)| file.as_str()).collect();
    assert_eq!(
        files,
        ["again.pdf", "same.csv", "report 2.pdf", "report 3.pdf", "\u{c4}rger.pdf", "report 1.pdf"]
    );
    let key = |file: &str, why: &Option<String>, numbers: [u64; 3]| (file.to_owned(), why.clone(), numbers);
    let every = history.documents().unwrap();
    let mut every: Vec<_> = every
        .iter()
        .map(|d| match d.duplicate_of.as_ref() == Some(&d.source_sha256) {
            true => key(&d.source_file, &d.why, [0; 3]),
            false => key(&d.source_file, &d.why, [d.samples, d.readings, d.held_readings]),
        })
        .collect();
    let listed = history.newest_documents(&Listing::default(), 0, 99).unwrap();
    let mut listed: Vec<_> = listed
        .iter()
        .map(|d| key(&d.source_file, &d.why, [d.samples, d.readings, d.held_readings]))
        .collect();
    every.sort();
    listed.sort();
    assert_eq!(listed, every, "nothing is lost, and nothing said otherwise");
}

#[test]
fn words_of_any_size_and_outcomes_narrow_it_as_the_documents_stand_now() {
    let (_home, mut history) = filled();
    let files = |history: &History, words: &str, outcome| {
        names(history, &asked(words, outcome)).into_iter().map(|(file, _)| file).collect::<Vec<_>>()
    };
    assert_eq!(files(&history, "\u{e4}RGER", None), ["\u{c4}rger.pdf"]);
    assert_eq!(files(&history, " h-2 ", None), ["report 2.pdf"]);
    assert_eq!(files(&history, "larkmead", None).len(), 5, "the client of each but the refused one");
    assert_eq!(files(&history, "larkmead", Some(Outcome::Duplicate)), ["again.pdf", "same.csv"]);
    assert_eq!(files(&history, "", Some(Outcome::Refused)), ["\u{c4}rger.pdf"]);
    assert_eq!(files(&history, "", Some(Outcome::Held)), ["report 3.pdf"]);
    let held = history.waiting(0, 9).unwrap().first().unwrap().row.id;
    let accepted = history.decide(held, &Decision::Accept, "Kim", "2024-02-01T00:00:00Z").unwrap();
    assert_eq!(files(&history, "", Some(Outcome::Held)), [""; 0]);
    assert_eq!(files(&history, "", Some(Outcome::Filed)), ["report 2.pdf", "report 3.pdf", "report 1.pdf"]);
    history.undo(accepted, "Kim", "2024-02-02T00:00:00Z").unwrap();
    assert_eq!(files(&history, "", Some(Outcome::Held)), ["report 3.pdf"]);
}

#[test]
fn what_waits_is_gone_through_file_by_file_and_begins_again_at_the_end() {
    let (_home, mut history) = history();
    for seed in [1, 2, 3] {
        let mut new = new(seed, seed);
        hold(&mut new, 1, "31 or 3.1?");
        hold(&mut new, 2, "118 or 11.8?");
        sample(&mut new).sample.label = format!("lawn {seed}");
        history.record(&new).unwrap();
    }
    assert_eq!(history.count_waiting().unwrap(), 6);
    let all = history.waiting(0, 99).unwrap();
    let (mut sorted, keys): (Vec<_>, Vec<i64>) =
        (history.held().unwrap(), all.iter().map(|h| h.row.id).collect());
    sorted.sort_by(|a, b| {
        (&a.row.source_file, &a.row.doubt, a.row.id).cmp(&(&b.row.source_file, &b.row.doubt, b.row.id))
    });
    assert_eq!(all, sorted);
    for skip in 0..7 {
        let part = history.waiting(skip, 2).unwrap();
        assert_eq!(part, all.get(skip..(skip + 2).min(6)).unwrap_or_default(), "after {skip}");
    }
    for (at, held) in all.iter().enumerate() {
        assert_eq!(history.waiting_after(held).unwrap(), keys.get((at + 1) % 6).copied());
    }
    let settled = history.reading(keys[5]).unwrap().unwrap();
    for key in &keys[4..] {
        history.decide(*key, &Decision::Accept, "Kim", "2024-02-01T00:00:00Z").unwrap();
    }
    assert_eq!(
        history.waiting_after(&settled).unwrap(),
        Some(keys[0]),
        "its file is settled, and was the last"
    );
    for key in &keys[..4] {
        history.decide(*key, &Decision::Accept, "Kim", "2024-02-01T00:00:00Z").unwrap();
    }
    assert_eq!((history.count_waiting().unwrap(), history.waiting_after(&settled).unwrap()), (0, None));
    assert!(history.decide(id_of(&history, P), &Decision::Reject, "Kim", "2024-02-01T00:00:00Z").is_ok());
}

#[test]
fn a_mail_waits_as_long_as_something_in_it_does() {
    let (_home, mut history) = history();
    let mail = NewDocument { reports: Vec::new(), file: "mail.eml".to_owned(), ..new(8, 1) };
    let mut inside = NewDocument { inside_of: Some(sha(8)), ..new(1, 1) };
    hold(&mut inside, 1, "31 or 3.1?");
    history.record_all(&[mail, inside]).unwrap();
    let held = |history: &History| history.count_documents(&asked("", Some(Outcome::Held))).unwrap();
    assert_eq!(held(&history), 2);
    let waits = history.waiting(0, 9).unwrap().first().unwrap().row.id;
    history.decide(waits, &Decision::Accept, "Kim", "2024-02-01T00:00:00Z").unwrap();
    assert_eq!(held(&history), 0, "the mail is seen anew with what it brought");
}

/// The bytes of an attachment came before: the mail around them waits with them and no longer, and one whose attachments
/// all wait for nobody is filed.
#[test]
fn a_mail_of_what_came_before_waits_as_long_as_that_does() {
    let (_home, mut history) = history();
    let format = crate::document::Format::Mail;
    let mail = |seed: u32, outcome| NewDocument {
        reports: Vec::new(),
        file: format!("mail {seed}.eml"),
        format,
        outcome,
        ..new(seed, 1)
    };
    let mut alone = new(1, 1);
    hold(&mut alone, 1, "31 or 3.1?");
    let again = |seed| NewDocument { inside_of: Some(sha(seed)), ..new(1, 2) };
    history.record(&alone).unwrap();
    history.record_all(&[mail(8, Outcome::Held), again(8)]).unwrap();
    let named = |history: &History, outcome| {
        let named = names(history, &asked("mail", Some(outcome))).into_iter().map(|(file, _)| file);
        named.collect::<Vec<_>>()
    };
    assert_eq!(named(&history, Outcome::Held), ["mail 8.eml"]);
    let waits = history.waiting(0, 9).unwrap().first().unwrap().row.id;
    let accepted = history.decide(waits, &Decision::Accept, "Kim", "2024-02-01T00:00:00Z").unwrap();
    assert_eq!(named(&history, Outcome::Filed), ["mail 8.eml"]);
    history.record_all(&[mail(9, Outcome::Filed), again(9)]).unwrap();
    assert_eq!(named(&history, Outcome::Filed), ["mail 8.eml", "mail 9.eml"]);
    history.undo(accepted, "Kim", "2024-02-02T00:00:00Z").unwrap();
    assert_eq!(named(&history, Outcome::Held), ["mail 8.eml", "mail 9.eml"]);
}

#[test]
fn lists_are_walked_along_an_index_and_not_sorted() {
    let (_home, history) = history();
    let plan = |sql: &str| {
        let mut statement = history.connection.prepare(&format!("EXPLAIN QUERY PLAN {sql}")).unwrap();
        let values = vec!["x"; statement.parameter_count()];
        let lines =
            statement.query_map(rusqlite::params_from_iter(values), |row| row.get::<_, String>(3)).unwrap();
        lines.map(rusqlite::Result::unwrap).collect::<Vec<_>>()
    };
    let every =
        [None, Some(Outcome::Held), Some(Outcome::Duplicate)].map(|outcome| asked("", outcome).newest().0);
    let one = waiting::in_documents();
    for sql in every.iter().map(String::as_str).chain([waiting::FILES, one.as_str()]) {
        let plan = plan(sql);
        // The page that was found, and the hashes that are asked for, are short.
        let short = ["SCAN g", "SCAN json_each"];
        let walks = |l: &&String| {
            l.starts_with("SCAN") && !l.contains("INDEX") && !short.iter().any(|s| l.starts_with(s))
        };
        assert!(!plan.iter().any(|l| walks(&l)), "{sql}: {plan:#?}");
        let sorts = plan.iter().filter(|l| *l == "USE TEMP B-TREE FOR ORDER BY").count();
        assert!(sorts <= usize::from(sql.contains("page g")), "only the page is sorted: {sql}: {plan:#?}");
    }
}

#[test]
fn what_went_down_and_the_area_of_a_zone_change_the_site() {
    use crate::history::{State, ZoneFacts};
    let (_home, mut history) = history();
    let mut last = history.last_change().unwrap();
    let mut changed = |history: &History| {
        let sites = history.sites_changed_after(last).unwrap();
        last = history.last_change().unwrap();
        sites.into_iter().map(|(site, _)| site).collect::<Vec<_>>()
    };
    let down = crate::plan::application::sample(jiff::civil::date(2024, 5, 5), (16.0, 4.0, 8.0), 6.25);
    let put = crate::plan::Put { site: "lawn".to_owned(), ..down.put.clone() };
    let key = history.add_applications(&[crate::plan::Application { put, ..down }], "R", "t").unwrap();
    assert_eq!(changed(&history), ["lawn"]);
    history.undo_application(key[0], "R", "t").unwrap();
    assert_eq!(changed(&history), ["lawn"]);
    let facts = |area| Some(ZoneFacts { area_ft2: Some(area), depth: None });
    for area in [100.0, 200.0] {
        let to = State { zones: [("green/east".to_owned(), facts(area))].into(), ..State::default() };
        history.change_sites(to, "import", "R", "t").unwrap();
        assert_eq!(changed(&history), ["green"]);
    }
    let decision = history.decisions().unwrap().first().map(|d| d.id).unwrap();
    assert!(history.undo(decision, "R", "t").is_err());
    assert_eq!(changed(&history), [""; 0]);
}

#[test]
fn the_last_sampling_is_that_of_a_number_that_counts() {
    use crate::history::Filter;
    let (_home, mut history) = history();
    for seed in [1, 2, 3] {
        history.record(&new(seed, seed)).unwrap();
    }
    let last = |history: &History| {
        let rows = history.readings(&Filter::counting("lawn")).unwrap();
        let slow = rows.iter().filter_map(|row| row.sampled_on).max();
        assert_eq!(history.last_sampled("lawn").unwrap(), slow);
        slow
    };
    let before = last(&history);
    let newest = history.readings(&Filter::counting("lawn")).unwrap();
    for row in newest.iter().filter(|row| row.sampled_on == before) {
        history.decide(row.id, &Decision::Reject, "Kim", "2024-02-01T00:00:00Z").unwrap();
    }
    assert!(last(&history) < before);
    assert_eq!(history.last_sampled("green").unwrap(), None);
}

#[test]
fn no_number_of_a_change_is_given_twice() {
    use crate::history::State;
    let (_home, mut history) = history();
    let kept = crate::history::KeptSite { site: crate::history::examples::site("short"), joined_into: None };
    let to = State { sites: [("short".to_owned(), Some(kept))].into(), ..State::default() };
    let made = history.change_sites(to, "new", "Kim", "t").unwrap().unwrap();
    let seen = history.last_change().unwrap();
    history.undo(made, "Kim", "t").unwrap();
    history.upsert_site(&crate::history::examples::site("lawn")).unwrap();
    let after = history.next_changed(seen, 9).unwrap();
    assert_eq!(after.iter().map(|(site, _)| site.as_str()).collect::<Vec<_>>(), ["lawn"]);
}
