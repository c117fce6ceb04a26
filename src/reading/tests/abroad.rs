//! Reports in other languages than English. Names and numbers are invented.

use super::super::read;
use super::{reading, reports, sample, value};
use crate::document::{Cell, Content, Document, Format, Page};
use crate::soil::{Basis, Method};

#[test]
fn charges_in_a_volume_of_soil_become_milligrams_in_it() {
    let found = reports(&[&[
        "Laboratório de Solos Vale Quieto                       Laudo nº 77/23",
        "Cliente: Sítio Morro Calmo     Entrada: 14/08/2023     Emissão: 21/08/2023",
        "",
        "Análise química do solo",
        "",
        "Lab.     Amostra     Prof.   pH      M.O.     P        K           Ca          Mg          H+Al        CTC         V",
        "                             CaCl2            resina",
        "                     cm              g/dm³    mg/dm³   mmolc/dm³   mmolc/dm³   mmolc/dm³   mmolc/dm³   mmolc/dm³   %",
        "",
        "7701     Talhão 1    0-20    5,2     28       21       3,3         27          9           34          73,3        54",
        "7702     Talhão 2    0-20    4,9     31       14       2,6         21          7           41          71,6        43",
    ]]);
    let s = sample(&found, "Talhão 1");
    let potassium = reading(s, "potassium");
    assert!((potassium.quantity.value - 3.3 * 39.098).abs() < 0.01, "{potassium:?}");
    assert!(potassium.quantity.basis == Some(Basis::Volume) && potassium.doubts.is_empty(), "{potassium:?}");
    assert!((value(s, "organic_matter").0 - 2.8).abs() < 1e-9);
    assert!((value(s, "cec").0 - 7.33).abs() < 1e-9);
    assert_eq!(reading(s, "ph").method, Method::Cacl2);
}

#[test]
fn shares_under_a_title_of_shares_are_sure() {
    let found = reports(&[&[
        "Grondlab Stille Veen",
        "",
        "Hof Terbrug                  Onderzoeksnummer      771204",
        "Slotweg 12                   Perceel               Achterland",
        "1234 AB Nieuwbrink            Monsterdatum          10-10-2023",
        "",
        "Onderzoek             Eenheid           Resultaat   Streeftraject",
        "Zuurgraad (pH-CaCl2)                    5,1         5,2 - 5,6",
        "Organische stof       %                 4,1",
        "P-AL                  mg P2O5/100 g     47          27 - 47",
        "Magnesium             mg Mg/kg          109         75 - 120",
        "",
        "Bezetting van het complex",
        "Ca-bezetting   Mg-bezetting   K-bezetting",
        "53,7 %         10,7 %         3,5 %",
    ]]);
    let s = sample(&found, "Achterland");
    assert_eq!(found[0].client.as_deref(), Some("Hof Terbrug"));
    for (id, is) in [("sat_ca", 53.7), ("sat_mg", 10.7), ("sat_k", 3.5), ("magnesium", 109.0)] {
        assert_eq!(value(s, id), (is, true), "{id}");
    }
    assert!((value(s, "phosphorus").0 - 470.0 * 0.4364).abs() < 0.2);
}

#[test]
fn a_name_merged_over_a_unit_and_a_class_is_that_of_the_unit() {
    let cell = |row, column, columns, text: &str| Cell {
        row,
        column,
        columns,
        rows: 1,
        numeric: false,
        text: text.to_owned(),
    };
    let mut cells = vec![
        cell(1, 1, 1, "Kunde"),
        cell(1, 2, 1, "Hof Birkenquell"),
        cell(2, 1, 1, "Probenahme"),
        cell(2, 2, 1, "2024-02-15"),
        cell(4, 1, 1, "Probe-Nr."),
        cell(4, 2, 1, "Bezeichnung"),
        cell(4, 3, 2, "pH (CaCl2)"),
        cell(4, 5, 2, "P (CAL)"),
        cell(4, 7, 2, "K (CAL)"),
        cell(4, 9, 1, "Humus"),
    ];
    for (column, text) in (3..).zip(["Wert", "Klasse", "mg/100 g", "Klasse", "mg/100 g", "Klasse", "%"]) {
        cells.push(cell(5, column, 1, text));
    }
    for (row, values) in [
        (6, ["24-1", "Vorderfeld", "6.3", "C", "7.5", "D", "6.8", "B", "2.2"]),
        (7, ["24-2", "Hinterfeld", "5.9", "B", "10.2", "D", "11.6", "C", "1.8"]),
    ] {
        cells.extend((1..).zip(values).map(|(column, text)| cell(row, column, 1, text)));
    }
    let page = Page { number: 1, width: 0.0, height: 0.0, name: None, content: Content::Cells(cells) };
    let document =
        Document { format: Format::Xlsx, pages: vec![page], members: Vec::new(), notes: Vec::new() };
    let found = read(&document).unwrap();
    let s = sample(&found, "Vorderfeld");
    assert_eq!(value(s, "ph"), (6.3, true));
    assert_eq!(value(s, "phosphorus"), (75.0, true));
    assert_eq!(value(s, "potassium"), (68.0, true));
    assert_eq!(s.readings.len(), 4, "{:?}", s.readings);
}
