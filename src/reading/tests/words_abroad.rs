//! Words of methods and forms in several languages, and words that look like them. Names and numbers are invented.

use super::{reading, reports, sample, value};
use crate::soil::{Method, Sample};

fn table(rows: &[&str], note: &str) -> Sample {
    let head = [
        "Soil test report",
        "Client: Moss Trust     Report: 4471",
        "Sampled: Oct 25, 2024",
        "",
        "Determination                       Unit         Tee 1    Tee 2",
    ];
    let lines: Vec<&str> = head.iter().chain(rows).copied().chain(["", "", note]).collect();
    sample(&reports(&[&lines]), "Tee 2").clone()
}

#[test]
fn exchangeable_bases_cut_short_are_read_and_what_interprets_is_not() {
    let s = table(
        &[
            "pH                                               6.1      6.3",
            "Calcio int.                         cmol+/kg     4.32     5.72",
            "Potasio int.                        cmol+/kg     0.15     0.35",
            "Saturación de Al                    %            3.1      2.2",
            "Exchangeable acidity (Al + H)       cmol+/kg     0.90     0.70",
        ],
        "",
    );
    assert_eq!(s.readings.len(), 4, "{:?}", s.readings);
    assert!(value(&s, "calcium").1 && value(&s, "potassium").1 && value(&s, "acidity") == (0.7, true));
    // `Fósforo int.` may be what phosphorus is taken for.
    let s = table(
        &[
            "pH                                               6.1      6.3",
            "Fósforo int.                        mg/kg        2        3",
        ],
        "",
    );
    assert!(!value(&s, "phosphorus").1);
    // A class without a unit is no amount.
    let s = table(
        &[
            "pH                                               6.1      6.3",
            "Potasio int.                                     2        3",
        ],
        "",
    );
    assert!(s.readings.iter().all(|r| r.analyte.id() != "potassium" || !r.doubts.is_empty()));
}

#[test]
fn shares_of_the_effective_capacity_are_shares() {
    let s = table(
        &[
            "pH                                               6.1      6.3",
            "Exchangeable calcium                cmol(+)/kg   4.36     8.41",
            "Effective CEC (sum of cations)      cmol(+)/kg   8.1      12.4",
            "Calcium saturation                  % of ECEC    54.1     67.7",
            "Magnesium saturation                % of ECEC    17.3     13.7",
        ],
        "",
    );
    assert_eq!((value(&s, "sat_ca"), value(&s, "sat_mg")), ((67.7, true), (13.7, true)));
    assert_eq!(value(&s, "cec"), (12.4, true));
}

#[test]
fn what_something_is_counted_as_is_told_in_italian_too() {
    let of = |row: &str| {
        let s = table(&["pH                                               6.1      6.3", row], "");
        let r = s.readings.iter().find(|r| r.analyte.id() != "ph").cloned().unwrap();
        (r.quantity.value, r.doubts.is_empty())
    };
    assert_eq!(of("Fosforo assimilabile come P         mg/kg        12       19"), (19.0, true));
    let (oxide, _) = of("Fosforo assimilabile come P2O5      mg/kg        12       19");
    assert!((oxide - 8.29).abs() < 0.05, "{oxide}");
    // The ion or what is in it, nobody knows.
    assert!(!of("Azoto nitrico come NO3              mg/kg        12       19").1);
}

#[test]
fn a_small_word_is_no_extract() {
    let method = |note: &str| {
        let s = table(
            &[
                "pH                                               6.1      6.3",
                "P                                   mg/kg        12       19",
            ],
            note,
        );
        (reading(&s, "phosphorus").method, value(&s, "phosphorus").1)
    };
    assert_eq!(method("Advies: strooi 250 kg/ha kalk op de baan."), (Method::Unstated, true));
    assert_eq!(method("P: bepaald op droge grond"), (Method::Unstated, true));
    assert_eq!(method("P by Olsen"), (Method::Olsen, true));
}

#[test]
fn an_extract_outside_the_contract_leaves_its_results_without_a_method() {
    for note in [
        "P, K : extraction au lactate d'ammonium (AL).",
        "P, K: estrazione con lattato ammonico",
        "P y K: lactato de amonio",
    ] {
        let s = table(
            &[
                "pH (KCl)                                         6.1      6.3",
                "P                                   mg/kg        12       19",
                "K                                   mg/kg        112      119",
            ],
            note,
        );
        for id in ["phosphorus", "potassium"] {
            assert_eq!((reading(&s, id).method, value(&s, id).1), (Method::Unstated, true), "{note} {id}");
        }
    }
}

#[test]
fn kilograms_of_an_area_by_a_factor_before_rates_are_reckoned() {
    let of = |note: &str| {
        let s = table(
            &[
                "pH                                               6.1      6.3",
                "P (Olsen)                           kg/ha        12.1     22.4",
                "Zinc (DTPA)                         ppm          1.2      2.4",
            ],
            note,
        );
        assert_eq!(s.readings.len(), 3, "{:?}", s.readings);
        value(&s, "phosphorus")
    };
    let rates = "Dose for groundnut: 10 kg N, 20 kg P2O5, 30 kg K2O per acre.";
    let (number, sure) = of(&format!("1 ppm = 2.24 kg/ha (furrow slice 0-15 cm). {rates}"));
    assert!((number - 10.0).abs() < 1e-9 && sure, "{number}");
    // Without a factor, or with two, nobody knows.
    assert!(!of(rates).1);
    assert!(!of(&format!("1 ppm = 2.24 kg/ha, or 1 ppm = 2 kg/ha in sand. {rates}")).1);
}

#[test]
fn the_title_over_a_table_of_numbered_samples_names_none() {
    let found = reports(&[&[
        "Client: Moss Golf Club",
        "Report No: KT-4471",
        "",
        "Mehlich 3 nutrients",
        "Sample                   #1        #4        #7        #11",
        "Lab #                    K9010     K9011     K9012     K9013",
        "Phosphorus     ppm       18        17        37        26",
        "Potassium      ppm       75        69        55        111",
        "",
        "",
        "Other determinations",
        "Sample                   #1        #4        #7        #11",
        "Lab #                    K9010     K9011     K9012     K9013",
        "pH                       7.4       7.4       7.0       7.2",
    ]]);
    let s = sample(&found, "#1");
    assert!(s.doubts.is_empty() && value(s, "ph") == (7.4, true), "{:?}", s.doubts);
}
