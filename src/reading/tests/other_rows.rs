//! Lines among the rows of samples that are none, and lines over them that name one.

use super::{reports, sample, value};

#[test]
fn a_check_soil_whose_words_stand_for_a_number_is_no_sample() {
    let found = reports(&[&[
        "Soil test report",
        "Client: Hob Mill Trust",
        "",
        "Lab No.       Sample       pH     K ppm    Zn ppm",
        "TX61204       Moss         6.2    120      2.1",
        "TX61205       Hob mill     6.4    130      2.2",
        "Check soil    ES-9         6.9    150      2.9",
    ]]);
    let names: Vec<_> = found.iter().flat_map(|r| &r.samples).map(|s| s.label.as_str()).collect();
    assert_eq!(names, ["Moss", "Hob mill"]);
}

#[test]
fn controls_repeats_and_means_in_other_languages_are_no_samples() {
    let names = |rows: [&'static str; 4]| {
        let found = reports(&[&[
            "Bodenlabor Quill",
            "Auftraggeber: Gut Hob    Prüfbericht: HM-77    Ausgang: 14.03.2025",
            "",
            "Probe                  pH       P mg/kg   K mg/kg",
            "Am Moos                5,2      23        364",
            "Hinterm Farn           4,8      108       160",
            "Breite Wiese           4,7      46        175",
            rows[0],
            rows[1],
            "Ochsenkamp             5,5      39        314",
            rows[2],
            rows[3],
        ]]);
        let sure =
            |s: &&crate::soil::Sample| s.doubts.is_empty() && s.readings.iter().any(|r| r.doubts.is_empty());
        found.iter().flat_map(|r| &r.samples).filter(sure).map(|s| s.label.clone()).collect::<Vec<_>>()
    };
    let own = ["Am Moos", "Hinterm Farn", "Breite Wiese", "Ochsenkamp"];
    assert_eq!(
        names([
            " Wdh. Breite Wiese     4,7      50        172",
            "Kontrollboden KB-7     6,2      141       188",
            "Mittel                 5,2      72        271",
            "Richtwert (Klasse C)   5,8      150       180",
        ]),
        own
    );
    assert_eq!(
        names([
            "Breite Wiese duplo     4,7      50        172",
            "Lot 7 Referenzboden    6,2      141       188",
            "Gennemsnit             5,2      72        271",
            "Próbka kontrolna 2     5,8      150       180",
        ]),
        own
    );
    // Ground that is called after what lies there is the client's.
    let ground = names([
        "Kontrollturm           4,7      50        172",
        "Referenzhof 2          6,2      141       188",
        "Mittelfeld             5,2      72        271",
        "Wiederholz             5,8      150       180",
    ]);
    assert_eq!(ground.len(), 8, "{ground:?}");
}

#[test]
fn the_ground_of_the_rows_below_is_no_part_of_their_heading() {
    let page = |ground: &str| {
        reports(&[&[
            "Soil test report",
            "Client: Hob Mill Trust",
            "",
            "Lab #     Sample ID    pH     K ppm    Zn ppm",
            ground,
            "550231    HQ-Zone 1    6.2    120      2.1",
            "550232    HQ-Zone 2    6.4    130      2.2",
        ]])
    };
    let found = page("Field: Home quarter (oats before)");
    assert_eq!(value(sample(&found, "HQ-Zone 1"), "potassium"), (120.0, true));
}

#[test]
fn rows_below_the_words_that_ask_for_names_again_are_of_another_table() {
    let found = reports(&[&[
        "Soil test report",
        "Client: Hob Mill Trust",
        "",
        "Sample      Sand %    Silt %    Clay %    Zn ppm",
        "Moss        61        22        17        2.1",
        "Hob mill    52        28        20        2.2",
        "Sieves retained",
        "Sample      2 mm      1 mm      0.5 mm    0.1 mm",
        "Moss        6.1       2.2       1.7       2.1",
        "Hob mill    5.2       2.8       2.0       2.2",
    ]]);
    let all: Vec<_> = found.iter().flat_map(|r| &r.samples).collect();
    assert_eq!((all.len(), value(sample(&found, "Moss"), "zinc")), (2, (2.1, true)), "{all:?}");
}

#[test]
fn a_name_in_any_quotation_marks_behind_what_says_it_is_called_so_is_the_samples() {
    let found = reports(&[&[
        "Analisi del terreno",
        "Committente: Vivai Quern",
        "Campione n. 22-3341: terreno denominato «Prato grande»",
        "",
        "Parametro            Metodo        U.M.      Valore",
        "Zinco                DTPA          mg/kg     3,6",
        "Rame                 DTPA          mg/kg     4,3",
        "Ferro                DTPA          mg/kg     152,8",
    ]]);
    let own = sample(&found, "Prato grande");
    assert_eq!((own.lab_number.as_deref(), value(own, "zinc")), (Some("22-3341"), (3.6, true)));
}
