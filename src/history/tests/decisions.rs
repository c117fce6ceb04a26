//! Decisions add and can be taken back; the printed text stays.

use super::{history, id_of, rows, values};
use crate::history::examples::{K, P, PH, document, hold, sample, sha, usual};
use crate::history::{Decision, Error};
use crate::soil::{Analyte, Method, Outcome, Quantity, Status};

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
