//! Digests and their messages are written down together; a try is counted before it begins.

use super::history;
use crate::history::examples::{P, document, sha};
use crate::history::{DigestRecord, Error, History, NewMessage, Purpose};
use crate::soil::Outcome;
use jiff::civil::date;
use std::collections::BTreeMap;

fn message(key: &str) -> NewMessage {
    NewMessage {
        key: key.to_owned(),
        channel: "webhook",
        target: String::new(),
        subject: "s".to_owned(),
        text: "t".to_owned(),
        html: "h".to_owned(),
        body: "{}".to_owned(),
        made_at: "2024-05-06T07:08:09Z".to_owned(),
    }
}

fn told(history: &History) -> DigestRecord {
    DigestRecord {
        messages: vec![message("a"), message("b")],
        sites: BTreeMap::from([(
            "lawn".to_owned(),
            (BTreeMap::from([("flag/x".to_owned(), "act".to_owned())]), Some(date(2025, 1, 2))),
        )]),
        documents: vec![(sha(1), Outcome::Filed)],
        changes: history.sites_changed_since(Purpose::Digest).unwrap(),
        made_by: "this".to_owned(),
        made_at: "2024-05-06T07:08:09Z".to_owned(),
    }
}

#[test]
fn a_digest_and_what_it_tells_are_written_down_together_or_not_at_all() {
    let (_home, mut history) = history();
    history.record(&document(1, "H-1", "Green 1", 2023, &[(P, "30")])).unwrap();
    assert_eq!(history.documents_to_tell().unwrap(), [(sha(1), None)]);
    let mut twice = told(&history);
    twice.messages = vec![message("a"), message("a")];
    assert!(history.record_digest(&twice).is_err());
    assert_eq!((history.messages_waiting().unwrap().len(), history.told("lawn").unwrap().len()), (0, 0));
    assert_eq!(history.sites_changed_since(Purpose::Digest).unwrap().len(), 2);
    let whole = told(&history);
    history.record_digest(&whole).unwrap();
    assert_eq!((history.messages_waiting().unwrap().len(), history.told("lawn").unwrap().len()), (2, 1));
    assert_eq!(
        (history.documents_to_tell().unwrap(), history.sites_changed_since(Purpose::Digest).unwrap()),
        (vec![], vec![])
    );
    assert_eq!(history.sites_due(date(2025, 1, 1)).unwrap(), [] as [&str; 0]);
    assert_eq!(history.sites_due(date(2025, 1, 2)).unwrap(), ["lawn"]);
    assert_eq!(history.last_digest().unwrap().unwrap().0, "this");
}

#[test]
fn tries_are_counted_and_what_is_done_is_not_tried_again() {
    let (_home, mut history) = history();
    let digest = DigestRecord { sites: BTreeMap::new(), documents: Vec::new(), ..told(&history) };
    history.record_digest(&digest).unwrap();
    let [first, second] = history.messages_waiting().unwrap().try_into().unwrap();
    assert_eq!((history.begin_try(first.id).unwrap(), history.begin_try(first.id).unwrap()), (1, 2));
    history.message_failed(first.id, 77, "no").unwrap();
    let waiting = history.messages_waiting().unwrap();
    assert_eq!((waiting[0].tries, waiting[0].passes, waiting[0].next_try_s), (2, 1, 77));
    history.message_sent(first.id, "2024-05-06T07:08:10Z").unwrap();
    history.message_given_up(second.id, "2024-05-06T07:08:10Z", "no").unwrap();
    assert_eq!(history.messages_waiting().unwrap(), []);
    assert!(matches!(history.begin_try(first.id), Err(Error::Unknown { .. })));
}
