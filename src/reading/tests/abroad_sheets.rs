//! Workbooks in Danish, Czech and Dutch, and cards that ask in two words. Names and numbers are invented.

use super::super::read;
use super::{reading, reports, sample, sheets, value};
use crate::soil::{Depth, Method, Report};
use jiff::civil::date;

fn sheet(lines: &[&str]) -> Vec<Report> {
    read(&sheets(&[("", lines)])).unwrap()
}

#[test]
fn a_danish_sheet_tells_whose_it_is_and_how_it_was_measured() {
    let found = sheet(&[
        "Hulebæk Jordlaboratorium|||Rapport nr.|J23-77",
        "Kunde:|Stenmark I/S||Modtaget:|14-03-2023",
        "Dybde: 0-25 cm|||Rapporteret:|21-03-2023",
        "",
        "Lab.nr.|Prøve|JB|Areal ha|pH|P|K|Cu|B|Ler|Humus",
        "|||||mg/100 g|mg/100 g|mg/kg|mg/kg|%|%",
        "7701|12-1|4|5.1|6.5|3.7|21.3|0.9|0.71|20|2.1",
        "7702|14-0|6|4.8|5.9|4.1|17|0.8|1.12|12|2.9",
        "",
        "pH: målt i 0,01 M CaCl2",
        "P: bikarbonat-ekstraktion efter Olsen",
        "K: 1 M ammoniumacetat",
        "Cu: EDTA.  B: varmt vand.",
    ]);
    let s = sample(&found, "12-1");
    assert_eq!(found[0].client.as_deref(), Some("Stenmark I/S"));
    assert_eq!(found[0].number.as_deref(), Some("J23-77"));
    assert_eq!(found[0].received_on, Some(date(2023, 3, 14)));
    assert_eq!(
        (s.lab_number.as_deref(), s.depth),
        (Some("7701"), Some(Depth { top_cm: 0.0, bottom_cm: 25.0 }))
    );
    for (id, method) in [
        ("ph", Method::Cacl2),
        ("phosphorus", Method::Olsen),
        ("potassium", Method::AmmoniumAcetate),
        ("boron", Method::HotWater),
        ("clay", Method::Unstated),
    ] {
        assert_eq!((reading(s, id).method, value(s, id).1), (method, true), "{id}");
    }
}

#[test]
fn a_czech_sheet_is_read() {
    let found = sheet(&[
        "Půdní laboratoř Tichá s.r.o.",
        "Protokol č.|77/23||Přijato:|16.10.2023",
        "Zákazník:|ZD Horní Mlýn||Vystaveno:|25.10.2023",
        "Hloubka odběru: 0-30 cm",
        "",
        "Lab. č.|Pozemek|Kultura|Datum odběru|pH/CaCl2|Fosfor P|Draslík K|Síra S|KVK",
        "|||||mg/kg|mg/kg|mg/kg|mmol(+)/kg",
        "77-1|U lesa|orná|11.10.2023|5.3|46|183|6|173",
        "77-2|Za humny|TTP|12.10.2023|6.1|51|190|8|161",
        "",
        "Metody: P, K – výluh Mehlich III; S – vodný výluh; pH v 0,01 M CaCl2.",
    ]);
    let s = sample(&found, "U lesa");
    assert_eq!(found[0].client.as_deref(), Some("ZD Horní Mlýn"));
    assert_eq!(s.sampled_on, Some(date(2023, 10, 11)));
    assert_eq!(reading(s, "ph").method, Method::Cacl2);
    assert_eq!(reading(s, "potassium").method, Method::Mehlich3);
    assert_eq!(reading(s, "sulfur").method, Method::Unstated);
    assert!((value(s, "cec").0 - 17.3).abs() < 1e-9);
    assert!(s.readings.iter().all(|r| r.doubts.is_empty()));
}

#[test]
fn a_dutch_form_tells_applicant_and_day() {
    let found = sheet(&[
        "Bodemkring Stille Beek vzw",
        "Aanvrager|Hof Terbrug",
        "Verslagnummer|V24/771",
        "Datum ontvangst|24/01/2024",
        "",
        "Perceel|Lange Akker|Labonummer|0771-1",
        "Staalname|22/01/2024|Diepte|0-23 cm",
        "Teelt|suikerbiet|Voorteelt|wintertarwe",
        "Ontleding|Resultaat|Eenheid|Streefzone|Beoordeling",
        "pH-KCl|5,3||6,2 - 6,6|laag",
        "Kalium (K)|11|mg/100 g|14 - 20|laag",
        "Borium (B)|0,73|mg/kg|0,40 - 0,80|normaal",
        "",
        "K: extractie met ammoniumlactaat (AL). B: heetwaterextract.",
    ]);
    let s = sample(&found, "Lange Akker");
    assert_eq!(found[0].client.as_deref(), Some("Hof Terbrug"));
    assert_eq!((s.lab_number.as_deref(), s.sampled_on), (Some("0771-1"), Some(date(2024, 1, 22))));
    assert_eq!(reading(s, "boron").method, Method::HotWater);
    assert_eq!(reading(s, "potassium").method, Method::Unstated);
    assert!(value(s, "potassium").1 && value(s, "boron").1);
}

#[test]
fn a_card_of_numbers_and_plots_is_read_by_the_reports_number() {
    let card = |number: &str| {
        sheet(&[
            &format!("Report no.|{number}||Farmer / group|Hob Growers Society"),
            "Received on|20-04-2023",
            "",
            "Sample no.|Survey / plot|Parameter|Test value|Unit|Rating|Method",
            "1907-1|Plot 112/A|pH|7.9|-|High|1:2 soil:water suspension",
            "1907-1|Plot 112/A|Available zinc (Zn)|2.89|mg/kg|Low|DTPA",
            "1907-2|Plot 118|pH|6.4|-|Low|1:2 soil:water suspension",
            "1907-2|Plot 118|Available zinc (Zn)|1.35|mg/kg|Low|DTPA",
        ])
    };
    let found = card("SKS-1907");
    let s = sample(&found, "Plot 112/A");
    assert_eq!(found[0].client.as_deref(), Some("Hob Growers Society"));
    assert_eq!((s.lab_number.as_deref(), value(s, "zinc")), (Some("1907-1"), (2.89, true)));
    // Whose numbers these are nobody says.
    assert!(
        card("SKS-33")
            .iter()
            .flat_map(|r| &r.samples)
            .all(|s| s.label != "Plot 112/A" || !s.doubts.is_empty())
    );
}

#[test]
fn days_without_colons_over_a_table_are_no_line_of_its_heading() {
    let page = |line: &str| {
        reports(&[&[
            "QUILL AGRONOMICS",
            "1400 Canal St, Melbridge   208-555-0198",
            "Report SB-6127     Two Elms Ranch",
            line,
            "",
            "Lab no    Field     Depth        pH        EC     OM    NO3-N        P       K     Zn",
            "                    inches       SP  mmhos/cm      %      ppm      ppm     ppm    ppm",
            "6127-1    Pivot 4   0-12        7.5      0.72    1.2       13        7     116    3.6",
            "6127-2    Pivot 4   12-24       7.3      0.54              31",
            "6127-3    Pivot 6   0-12        7.5      1.10    2.0        7        8     233    2.6",
            "",
            "pH and EC: saturated paste. OM: Walkley-Black. P: Olsen bicarbonate. K: ammonium acetate.",
            "Zn: DTPA.",
        ]])
    };
    let found = page("Sampled 10/30/2023   Received 11/01/2023   Reported 11/06/2023");
    let s = sample(&found, "Pivot 6");
    assert_eq!(found[0].client.as_deref(), Some("Two Elms Ranch"));
    assert_eq!(s.sampled_on, Some(date(2023, 10, 30)));
    assert!(s.readings.iter().all(|r| r.doubts.is_empty()) && s.readings.len() == 7);
    assert_eq!(reading(s, "phosphorus").method, Method::Olsen);
}

#[test]
fn a_norwegian_sheet_loses_no_column() {
    let found = sheet(&[
        "Nordvik Jordlab",
        "Oppdragsgiver: Solheim gård",
        "Mottatt: 04.11.2024||Rapportert: 18.11.2024",
        "Prøve|Skifte|pH|P-AL|Na-AL|Glødetap",
        "|||mg/100g|mg/100g|%",
        "44710|Heim|5,4|2|<5|4,0",
        "44711|Bakken|6,8|5|<5|i.a.",
        "44712|Myra|7,2|2|6|4,6",
    ]);
    assert_eq!(found[0].client.as_deref(), Some("Solheim gård"));
    let s = sample(&found, "Heim");
    assert_eq!(s.lab_number.as_deref(), Some("44710"));
    assert_eq!((value(s, "sodium"), value(s, "organic_matter")), ((50.0, true), (4.0, true)));
    assert_eq!(reading(s, "sodium").method, Method::Unstated);
    assert!(sample(&found, "Bakken").readings.iter().all(|r| r.analyte.id() != "organic_matter"));
}

#[test]
fn headings_of_two_words_or_letters_abroad_lose_no_column() {
    let found = sheet(&[
        "Cliente: Huerta Sol",
        "Muestra|Nº lab|pH 1:2,5 en agua|CE 1:5|P Olsen",
        "||-|dS/m|ppm",
        "Olivar|25S1|7,2|0,53|20",
        "La Vega|25S2|7,5|0,51|40",
    ]);
    assert_eq!(value(sample(&found, "Olivar"), "soluble_salts"), (0.53, true));
    let found = sheet(&[
        "Client : EARL du Tilleul",
        "N° labo|Parcelle|pH eau|MO|CEC Metson",
        "|||g/kg|cmol+/kg",
        "T1|Les Vernes|5,6|22,8|14,9",
        "T2|Le Clos|5,4|32,8|20,2",
    ]);
    assert_eq!(value(sample(&found, "Le Clos"), "organic_matter"), (3.28, true));
    // Molybdenum is no organic matter.
    let found =
        sheet(&["CLIENT: MOSS FARM", "SAMPLE|PH|P|MO", "||PPM|PPM", "NORTH|6.1|22|0.3", "SOUTH|6.4|25|0.2"]);
    assert!(found[0].samples.iter().flat_map(|s| &s.readings).all(|r| r.analyte.id() != "organic_matter"));
}

#[test]
fn what_is_wanted_is_written_as_the_language_does_and_tells_nothing_of_the_results() {
    let of = |value_of_k: &str, wanted: &str| {
        let found = sheet(&[
            "Opdrachtgever: Maatschap Hulst",
            &format!("Bepaling|Methode|Eenheid|Bij huis|Hoge es|{wanted}"),
            "Zuurgraad (pH)|1 M KCl|-|6.5|5.8|5,2 - 5,8",
            "Organische stof|gloeiverlies|%|4.8|2.2|> 3,0",
            &format!("Kali|0,01 M CaCl2|mg K/kg|{value_of_k}|74|70 - 110"),
        ]);
        let s = sample(&found, "Bij huis");
        (value(s, "ph"), value(s, "potassium").1)
    };
    assert_eq!(of("116", "Streefwaarde"), ((6.5, true), true));
    // A comma among the results is a decimal or thousands, and nobody knows which.
    assert!(!of("1,160", "Streefwaarde").1);
    assert!(!of("11,6", "Streefwaarde").1);
    assert!(!of("1.160", "Streefwaarde").1);
    // Under a heading that nobody knows stand results perhaps.
    assert!(!of("116", "Qwert").0.1);
}

#[test]
fn danish_numbers_are_what_the_legend_says_and_no_ph() {
    let found = sheet(&[
        "Rekvirent: Vestkær I/S",
        "Dybde: 0-25 cm",
        "Prøve nr.|Mark|Rt|Pt|Kt|Mgt|Cut|Ler %",
        "92-1|Mark 1-0|5,7|3,5|19,6|23,3|2,4|29",
        "92-2|Engen|5,8|2,7|38,9|46,6|2,6|28",
        "92-3|Mark 2-0|6,9|5,4|11,8|23,7|1,4|20",
        "Rt: reaktionstal = pH (CaCl2) + 0,5",
        "Pt: fosfortal, mg P pr. 100 g jord, Olsen",
        "Kt: kaliumtal, mg K pr. 100 g jord",
        "Mgt: magnesiumtal, mg Mg pr. 100 g jord",
        "Cut: kobbertal, mg Cu pr. kg jord (EDTA)",
    ]);
    let s = sample(&found, "Engen");
    assert_eq!(s.lab_number.as_deref(), Some("92-2"));
    assert!(s.readings.iter().all(|r| r.analyte.id() != "ph"));
    for (id, amount) in [("phosphorus", 27.0), ("potassium", 389.0), ("magnesium", 466.0), ("copper", 2.6)] {
        assert_eq!(value(s, id), (amount, true), "{id}");
    }
    assert_eq!(reading(s, "phosphorus").method, Method::Olsen);
}

#[test]
fn a_letter_that_the_note_explains_is_the_capacity() {
    let of = |note: &str| {
        let found = sheet(&[
            "Produtor: Fazenda Boa Vista",
            "Amostra|Nº Lab|pH H2O|Ca|Mg|T",
            "|||cmolc/dm³|cmolc/dm³|cmolc/dm³",
            "Talhão 01|33910|5,7|4,88|1,40|7,8",
            "Talhão 02|33911|5,6|4,64|0,84|7,1",
            note,
        ]);
        let s = sample(&found, "Talhão 01");
        s.readings.iter().find(|r| r.analyte.id() == "cec").map(|r| (r.method, r.quantity.value))
    };
    let sum = Some((Method::Summation, 7.8));
    assert_eq!(of("T = soma de Ca, Mg, K e H+Al.  V = saturação por bases."), sum);
    assert_eq!(of("T: soma de Ca, Mg, K e H+Al."), None);
    assert_eq!(of("T = temperatura da sala."), None);
}
