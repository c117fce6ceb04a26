//! Notes, marks and sites; questions about one of them stay quick.

use super::history;
use crate::history::examples::{K, document, sha, site, usual};
use crate::history::{Filter, InboxNote, NameOfSite, NewDocument, Purpose};
use crate::soil::Status;
use std::path::PathBuf;

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
    let known = crate::history::KnownName { name: name.clone(), roster: false };
    assert_eq!(history.names_of_sites().unwrap(), [known]);
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
        ("site", crate::history::reading::statement(&Filter::counting("lawn"))),
        (
            "document",
            crate::history::reading::statement(&Filter { sha256: Some(sha(1)), ..Filter::default() }),
        ),
        (
            "held",
            crate::history::reading::statement(&Filter { statuses: vec![Status::Held], ..Filter::default() }),
        ),
        ("one document", crate::history::document::ONE.to_owned()),
        ("many sites", crate::history::bulk::STATEMENT.to_owned()),
        ("same by number", crate::history::lookup::CANDIDATES[0].to_owned()),
        ("same by the laboratory's number", crate::history::lookup::CANDIDATES[1].to_owned()),
        ("same by day", crate::history::lookup::CANDIDATES[2].to_owned()),
        ("past", crate::history::past::CHANGED.to_owned()),
        ("samples of a site", crate::history::past::SAMPLES.to_owned()),
        ("readings of a sample", crate::history::past::READINGS.to_owned()),
        ("misplaced", crate::history::moves::MISPLACED.to_owned()),
    ] {
        let plan = plan(&sql);
        // Walked on purpose: indexes that hold nothing but what waits, and the inner result of one document.
        let small = ["_held", "contradictions", "past_doubts", "per", "SUBQUERY", "wanted"];
        let walks: Vec<_> = plan
            .iter()
            .filter(|line| line.starts_with("SCAN") && !small.iter().any(|name| line.contains(name)))
            .collect();
        assert!(walks.is_empty(), "{name}: {plan:#?}");
    }
}
