//! What notes leave out of what they say of all, and where their sentences end.

use super::{reading, reports, sample};
use crate::soil::{Method, Report};

fn noted(note: &str) -> Vec<Report> {
    reports(&[&[
        "Soil test report",
        "Client: Hob Mill Trust",
        "",
        "Sample      pH     P ppm    K ppm    Mn ppm   Zn ppm",
        "Moss        6.2    21       120      12       2.1",
        "Hob mill    6.4    33       130      22       2.2",
        "",
        "",
        note,
    ]])
}

/// Methods of phosphorus, manganese and zinc, none for what waits.
fn methods(note: &str) -> [Option<Method>; 3] {
    let found = noted(note);
    let moss = sample(&found, "Moss");
    ["phosphorus", "manganese", "zinc"].map(|id| {
        let r = reading(moss, id);
        r.doubts.is_empty().then_some(r.method)
    })
}

#[test]
fn what_is_excepted_behind_its_name_has_the_method_beside_it_and_the_others_that_of_all() {
    let all = Some(Method::Mehlich3);
    for note in [
        "Extraction: everything Mehlich 3, Mn excepted (DTPA).",
        "Everything by Mehlich 3, Mn excluded (DTPA).",
        "All nutrients Mehlich 3, manganese excepted (DTPA).",
        "Everything Mehlich 3 except Mn (DTPA).",
    ] {
        assert_eq!(methods(note), [all, Some(Method::Dtpa), all], "{note}");
    }
    assert_eq!(
        methods("Everything Mehlich 3, Mn and Zn excepted (DTPA)."),
        [all, Some(Method::Dtpa), Some(Method::Dtpa)]
    );
    // Nobody knows how it was had, or what is meant.
    assert_eq!(methods("Everything Mehlich 3, Mn excepted."), [all, None, all]);
    for note in [
        "Everything Mehlich 3, the quibbles excepted (DTPA).",
        "Everything Mehlich 3, quibbles and Mn excepted (DTPA).",
    ] {
        let [p, mn, zn] = methods(note);
        assert!(p != Some(Method::Dtpa) && mn != all && zn != all, "{note}: {p:?} {mn:?} {zn:?}");
        assert!(p.is_none_or(|m| m == Method::Mehlich3) && zn.is_none(), "{note}: {p:?} {mn:?} {zn:?}");
    }
}

#[test]
fn a_sentence_ends_behind_a_formula() {
    let table = [
        "Prüfbericht",
        "Auftraggeber: Hob Mill Trust",
        "",
        "Schlag      pH     P2O5 mg/100g   K2O mg/100g    Ca mg/kg   Mg mg/kg",
        "Moor        6.2    21             12             1200       121",
        "Hof         6.4    33             13             1300       122",
        "",
        "",
    ];
    let own = |note: &str| {
        let lines: Vec<&str> = table.iter().copied().chain([note]).collect();
        let found = reports(&[&lines]);
        let moor = sample(&found, "Moor");
        ["potassium", "calcium", "magnesium"].map(|id| {
            let r = reading(moor, id);
            r.doubts.is_empty().then_some(r.method)
        })
    };
    let acetate = Some(Method::AmmoniumAcetate);
    let unstated = Some(Method::Unstated);
    for note in [
        "K und K2O sind dasselbe Ergebnis. Ca, Mg: Ammoniumacetat-Auszug.",
        "P und P2O5 sind dasselbe, ebenso K und K2O. Ca, Mg: Ammoniumacetat-Auszug. Humus durch Verbrennung.",
    ] {
        assert_eq!(own(note), [unstated, acetate, acetate], "{note}");
    }
    let of_all = own("Ca, Mg, K2O: Ammoniumacetat-Auszug.");
    assert_eq!(of_all, [acetate, acetate, acetate]);
}
