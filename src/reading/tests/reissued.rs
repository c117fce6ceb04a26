//! Reports that print what they said before beside what they say now.

use super::super::read;
use super::{document, sheets};
use crate::soil::Report;

/// Every reading: sample, analyte, value, and whether nothing speaks against it.
fn all(reports: &[Report]) -> Vec<(String, &'static str, f64, bool)> {
    let samples = reports.iter().flat_map(|r| &r.samples);
    samples
        .flat_map(|s| {
            let sure = |r: &crate::soil::Reading| r.doubts.is_empty() && s.doubts.is_empty();
            s.readings.iter().map(move |r| (s.label.clone(), r.analyte.id(), r.quantity.value, sure(r)))
        })
        .collect()
}

fn long(headings: &str, rows: &[&str], note: &str) -> Vec<(String, &'static str, f64, bool)> {
    let rows = rows.iter().map(|r| format!("Hob mill|{r}")).collect::<Vec<_>>();
    let head = format!("Sample|Determination|Unit|{headings}");
    let mut lines = vec!["Moss Soils", "Corrected report M-12, replaces M-11", "Client: Hob Farms", note, ""];
    lines.push(&head);
    lines.extend(rows.iter().map(String::as_str));
    let read = read(&sheets(&[("", &lines)]));
    read.map(|reports| all(&reports)).unwrap_or_default()
}

fn values(found: &[(String, &'static str, f64, bool)], sure: bool) -> Vec<(&'static str, f64)> {
    found.iter().filter(|f| f.3 == sure).map(|f| (f.1, f.2)).collect()
}

#[test]
fn of_an_annulled_column_and_a_corrected_one_the_corrected_counts() {
    let rows = ["pH in water||=|6.3", "Phosphorus, Olsen|mg/kg|132|66", "Potassium|mg/kg|343|295"];
    let right = [("ph", 6.3), ("phosphorus", 66.0), ("potassium", 295.0)];
    for headings in [
        "Valor anterior (anulado)|Valor corregido",
        "Annulled value|Corrected value",
        "Old value|New value",
        "Result (withdrawn)|Result",
        "Wrong result|Result",
        "Valeur annulée|Valeur corrigée",
        "Alter Wert (ungültig)|Neuer Wert",
    ] {
        let found = long(headings, &rows, "= : unchanged");
        assert_eq!(values(&found, true), right, "{headings}: {found:?}");
        assert_eq!(found.len(), 3, "{headings}: {found:?}");
    }
    let turned = ["pH in water||6.3|=", "Phosphorus, Olsen|mg/kg|66|132", "Potassium|mg/kg|295|343"];
    let found = long("Corrected value|Superseded value", &turned, "= : unchanged");
    assert_eq!(values(&found, true), right, "{found:?}");
}

#[test]
fn what_did_not_change_counts_where_the_sign_is_explained_and_waits_elsewhere() {
    let rows = ["pH in water||6.3|=", "Phosphorus, Olsen|mg/kg|132|66", "Potassium|mg/kg|343|="];
    let headings = "Value before (annulled)|Corrected value";
    let found = long(headings, &rows, "The sign = shows that the value is unchanged.");
    assert_eq!(values(&found, true), [("ph", 6.3), ("phosphorus", 66.0), ("potassium", 343.0)]);
    for note in ["Results by letter", "= : not measured again", "All values are unchanged but those printed."]
    {
        let found = long(headings, &rows, note);
        assert_eq!(values(&found, true), [("phosphorus", 66.0)], "{note}: {found:?}");
    }
    let blank = ["pH in water||6.3|", "Phosphorus, Olsen|mg/kg|132|66", "Potassium|mg/kg|343|-"];
    let found = long(headings, &blank, "= : unchanged");
    assert_eq!(values(&found, true), [("phosphorus", 66.0)], "{found:?}");
}

#[test]
fn where_nobody_knows_which_column_counts_all_wait() {
    let rows = ["pH in water||6.1|6.3", "Phosphorus, Olsen|mg/kg|132|66", "Potassium|mg/kg|343|295"];
    for headings in [
        "Result|Corrected result",
        "Corrected value|Amended value",
        "Value|Value corrected (was wrong)",
        "Wrong value|Annulled value",
        "Result (old unit)|Result (new unit)",
        "Result before drying|Result",
    ] {
        let found = long(headings, &rows, "");
        assert_eq!(values(&found, true), [], "{headings}: {found:?}");
    }
    let twice = ["pH in water||6.1||6.3", "Phosphorus, Olsen|mg/kg|132|mg/100 g|66"];
    let found = long("Annulled value|Unit|Corrected value", &twice, "");
    assert_eq!(values(&found, true), [], "{found:?}");
    let one = ["pH in water||6.1", "Phosphorus, Olsen|mg/kg|132", "Potassium|mg/kg|343"];
    let found = long("Annulled value", &one, "");
    assert_eq!(values(&found, true), [], "{found:?}");
    let found = long("Corrected value", &one, "");
    assert_eq!(values(&found, true).len(), 3, "{found:?}");
}

#[test]
fn columns_of_analytes_tell_two_issues_as_well() {
    let of = |head: &str| {
        let head = format!("Determination        Unit      {head}");
        let lines = [
            "Moss Soils",
            "Corrected report M-12, replaces M-11 of 24 April 2023",
            "Client: Hob Farms",
            "Sample: Hob mill",
            "Received: 10 April 2023",
            "",
            &head,
            "pH in water                    6.1                 6.3",
            "Phosphorus, Olsen    mg/kg     132                 66",
            "Potassium            mg/kg     343                 295",
        ];
        all(&read(&document(&[&lines])).unwrap_or_default())
    };
    for head in [
        "Annulled value      Corrected value",
        "Valor anulado       Valor corregido",
        "Wrong result        Result",
    ] {
        let found = of(head);
        assert_eq!(
            values(&found, true),
            [("ph", 6.3), ("phosphorus", 66.0), ("potassium", 295.0)],
            "{head}: {found:?}"
        );
    }
    for head in ["Result              Corrected result", "Old                 New"] {
        let found = of(head);
        assert_eq!(values(&found, true), [], "{head}: {found:?}");
    }
}

#[test]
fn groups_of_columns_tell_two_issues_as_well() {
    for groups in ["Annulled|Annulled|Corrected|Corrected", "Withdrawn values||Corrected values|"] {
        let lines = [
            "Moss Soils",
            "Corrected report M-12, replaces M-11 of 24 April 2023",
            "Client: Hob Farms",
            "",
            &format!("|{groups}"),
            "Sample|P, mg/kg (Olsen)|K, mg/kg|P, mg/kg (Olsen)|K, mg/kg",
            "Hob mill|132|343|66|295",
            "Long acre|98|280|49|232",
        ];
        let found = all(&read(&sheets(&[("", &lines)])).unwrap_or_default());
        let wrong = |f: &&(String, &str, f64, bool)| f.3 && [132.0, 343.0, 98.0, 280.0].contains(&f.2);
        assert_eq!(found.iter().filter(wrong).count(), 0, "{found:?}");
    }
}
