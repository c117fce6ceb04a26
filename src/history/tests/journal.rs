//! What people said is in the journal, whoever said it, and comes back from it.

use super::{history, id_of, rows};
use crate::history::examples::{K, P, PH, document, hold, sample, site, usual};
use crate::history::replay::Line;
use crate::history::{Decision, History, NameOfSite};
use crate::soil::{Quantity, Site};

fn said(history: &mut History) {
    let mut new = usual(1, "H-1", 2021);
    hold(&mut new, 1, "31 or 3.1?");
    history.record(&new).unwrap();
    let mut homeless = document(2, "H-2", "Green 4", 2022, &[(PH, "7.0"), (K, "80")]);
    sample(&mut homeless).site = None;
    history.record(&homeless).unwrap();
    let full = Site { area_ft2: Some(1.0 / 3.0), note: Some("by the \"old\" oak\n".into()), ..site("green") };
    history.upsert_site(&full).unwrap();
    let (p, ph) = (id_of(history, P), history.readings(&Default::default()).unwrap().first().unwrap().id);
    let quantity = Quantity { value: 3.1, unit: P.unit(), qualifier: None, basis: None };
    let correct = Decision::Correct { analyte: P, method: crate::soil::Method::Olsen, quantity };
    history.decide(p, &correct, "Robin", "2024-02-01T00:00:00Z").unwrap();
    let assign = Decision::Assign { site: "green".into(), zone: "north".into() };
    history.decide(ph, &assign, "Robin", "2024-02-02T00:00:00Z").unwrap();
    let reject = history.decide(id_of(history, K), &Decision::Reject, "Kim", "2024-02-03T00:00:00Z").unwrap();
    history.undo(reject, "Kim", "2024-02-04T00:00:00Z").unwrap();
    let name = NameOfSite {
        client: Some("Larkmead".into()),
        label: "Front".into(),
        site: "lawn".into(),
        zone: "whole".into(),
    };
    history.name_site(&name).unwrap();
}

/// The file beside the store, line by line.
fn file(history: &History) -> Vec<String> {
    let text = std::fs::read_to_string(crate::history::journal::beside(history.path())).unwrap();
    text.lines().map(str::to_owned).collect()
}

#[test]
fn what_people_said_comes_back_on_a_history_read_anew() {
    let (_home, mut first) = history();
    said(&mut first);
    let lines: Vec<Line> = file(&first).iter().map(|line| Line::parse(line).unwrap()).collect();
    assert_eq!(lines, first.journal().unwrap());
    let (_other, mut second) = history();
    let mut new = usual(1, "H-1", 2021);
    hold(&mut new, 1, "31 or 3.1?");
    let mut homeless = document(2, "H-2", "Green 4", 2022, &[(PH, "7.0"), (K, "80")]);
    sample(&mut homeless).site = None;
    second.record_all(&[homeless, new]).unwrap();
    assert_eq!(second.replay(&lines).unwrap(), [] as [i64; 0]);
    assert_eq!(rows(&first), rows(&second));
    assert_eq!(first.sites().unwrap(), second.sites().unwrap());
    assert_eq!(first.names_of_sites().unwrap(), second.names_of_sites().unwrap());
    let book = |history: &History| {
        let rows = history.decisions().unwrap();
        rows.into_iter()
            .map(|d| (d.id, d.action, d.undoes, d.who, d.at, d.before, d.after))
            .collect::<Vec<_>>()
    };
    assert_eq!(book(&first), book(&second));
}

#[test]
fn a_torn_line_is_cut_off_and_what_is_missing_is_caught_up() {
    let (_home, mut history) = history();
    said(&mut history);
    let (path, whole) = (crate::history::journal::beside(history.path()), file(&history));
    for keep in [0, 7, whole.iter().map(|line| line.len() + 1).sum::<usize>() - 3] {
        let text = whole.iter().map(|line| format!("{line}\n")).collect::<String>();
        std::fs::write(&path, &text[..keep]).unwrap();
        assert!(!history.journal_is_written().unwrap());
        drop(History::open(history.path()).unwrap());
        assert_eq!(file(&history), whole);
        assert!(history.journal_is_written().unwrap());
    }
}

#[test]
fn the_journal_of_another_store_is_kept_under_another_name() {
    let (home, history) = history();
    let path = crate::history::journal::beside(history.path());
    std::fs::write(&path, "{\"n\":3,\"put\":\"sites\"}\n").unwrap();
    drop(History::open(history.path()).unwrap());
    assert_eq!(file(&history).len(), 2, "the two sites of the fresh store");
    assert!(home.path().join("journal.before-1.jsonl").exists());
}

#[test]
fn lines_for_what_is_not_there_are_named_and_foreign_tables_are_not_written() {
    let (_home, mut history) = history();
    let line = |text: &str| Line::parse(text).unwrap();
    let gone = line(r#"{"n":7,"take":"standing","reading":["00",0,0,"Front",0,"6.4"]}"#);
    assert_eq!(history.replay(&[gone]).unwrap(), [7]);
    assert!(history.replay(&[line(r#"{"n":8,"put":"documents","row":{"id":1}}"#)]).is_err());
}

/// Whoever adds a table says whether people or the program fill it.
#[test]
fn every_table_is_either_journaled_or_made_by_the_program() {
    let (_home, history) = history();
    let made = [
        "documents",
        "copies",
        "reports",
        "readings",
        "recommendations",
        "samples",
        "contradictions",
        "past",
        "passes",
        "inbox_notes",
        "moves",
        "to_copy",
        "told_sites",
        "told_documents",
        "due_sites",
        "digests",
        "outbox",
        "pick_ups",
        "site_changes",
        "site_done",
        "journal",
        "standing",
        "decisions",
    ];
    let mut statement = history
        .connection
        .prepare("SELECT name FROM pragma_table_list WHERE schema = 'main' AND type = 'table' AND name NOT LIKE 'sqlite_%'")
        .unwrap();
    for name in statement.query_map([], |row| row.get::<_, String>(0)).unwrap() {
        let name = name.unwrap();
        let journaled = crate::history::journal::SAID.contains(&name.as_str());
        assert!(journaled || made.contains(&name.as_str()), "{name}: say in history/journal.rs who fills it");
    }
}
