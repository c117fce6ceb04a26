//! Nitrogen recommended: kept with its sample, the newest report's alone spoken of.

use super::history;
use crate::history::examples::{sample, usual};
use crate::history::recommendation::OfSample;
use crate::place::Place;
use crate::soil::{Doubt, Printed, RateUnit, Recommendation};

fn of(value: &str, doubt: bool) -> Recommendation {
    Recommendation {
        crop: String::new(),
        printed: Printed { value: value.to_owned(), unit: "lb/acre".to_owned() },
        amount: value.parse().ok(),
        unit: Some(RateUnit::LbPerAcre),
        place: Place::Cell { sheet: 1, row: 2, column: 9 },
        doubts: if doubt { vec![Doubt::new("several", "Several.")] } else { Vec::new() },
    }
}

#[test]
fn what_is_recommended_comes_back_with_its_report_and_only_the_newest_speaks() {
    let (_home, mut history) = history();
    let mut old = usual(1, "A-1", 2023);
    sample(&mut old).sample.nitrogen = vec![of("120", false)];
    let mut new = usual(2, "A-2", 2024);
    sample(&mut new).sample.nitrogen = vec![of("130", false), of("0-10", true)];
    history.record(&old).unwrap();
    assert_eq!(history.recommended("lawn").unwrap()[0].nitrogen, [of("120", false)]);
    history.record(&new).unwrap();
    let told = history.recommended("lawn").unwrap();
    assert_eq!((told.len(), told[0].report.as_deref()), (1, Some("A-2")));
    assert_eq!(told[0].nitrogen, [of("130", false), of("0-10", true)]);
    assert_eq!(told[0].on.map(|d| d.to_string()).as_deref(), Some("2024-04-15"));
    // A newer report that recommends nothing: the older one is no longer the laboratory's word.
    history.record(&usual(3, "A-3", 2025)).unwrap();
    assert_eq!(history.recommended("lawn").unwrap(), []);
    assert!(history.recommended("elsewhere").unwrap().is_empty());
}

#[test]
fn of_a_sample_whose_readings_all_wait_nothing_is_recommended_yet() {
    let (_home, mut history) = history();
    let mut held = usual(1, "A-1", 2023);
    let one = sample(&mut held);
    one.sample.nitrogen = vec![of("120", false)];
    for (_, status, doubt) in &mut one.readings {
        (*status, *doubt) = (crate::soil::Status::Held, Some("Who?".to_owned()));
    }
    history.record(&held).unwrap();
    assert_eq!(history.recommended("lawn").unwrap(), []);
}

#[test]
fn a_fresh_reading_takes_the_place_of_the_former_and_print_is_never_changed() {
    let (_home, mut history) = history();
    let document = usual(1, "A-1", 2023);
    history.record(&document).unwrap();
    let now = |value: &str| {
        vec![OfSample { report: 0, label: "Front lawn".to_owned(), nitrogen: of(value, false) }]
    };
    for value in ["120", "130"] {
        history.set_recommendations(&document.sha256, &now(value)).unwrap();
        assert_eq!(history.recommendations_of(&document.sha256).unwrap(), now(value));
    }
    let changed = history.connection.execute("UPDATE recommendations SET amount = 1", []);
    assert!(changed.is_err());
    let loose = history.connection.execute("UPDATE recommendations SET doubts = '[]', amount = NULL", []);
    assert!(loose.is_err());
}
