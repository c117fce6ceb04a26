//! Sheets of the north: words that only a table asks for names with. Names and numbers are invented.

use super::{reading, reports, value};
use crate::soil::{Method, Sample};

fn rows(heading: &str, names: [&str; 3]) -> Vec<Sample> {
    let row = |name: &str, rest: &str| format!("{name:<12}{rest}");
    let lines = [
        "Markkartering".to_owned(),
        "Kund: Moss AB     Rapport: GJ-4471".to_owned(),
        "Provtagningsdjup: 0-20 cm".to_owned(),
        String::new(),
        row(heading, "Lab.nr     pH (H2O)    Lerhalt"),
        row("", "           1:5         %"),
        row(names[0], "88201      6,6         21"),
        row(names[1], "88202      7,1         18"),
        row(names[2], "88203      6,4         17"),
    ];
    let lines: Vec<&str> = lines.iter().map(String::as_str).collect();
    reports(&[&lines]).into_iter().flat_map(|r| r.samples).collect()
}

#[test]
fn a_word_over_a_column_of_unlike_codes_asks_for_the_names_of_rows() {
    for (heading, names) in
        [("Prov", ["3:1", "3:2", "4:1"]), ("Mark", ["1-0", "2-0", "5-0 Syd"]), ("Mark", ["1", "2", "5"])]
    {
        let found = rows(heading, names);
        let said: Vec<&str> = found.iter().map(|s| s.label.as_str()).collect();
        assert_eq!(said, names, "{heading}");
        assert!(found.iter().all(|s| value(s, "ph").1 && value(s, "clay").1), "{found:?}");
    }
    // What two rows bear alike is a class or a mark given to the soil.
    for (heading, names) in [("Mark", ["1-0", "2-0", "1-0"]), ("Rack", ["1-0", "2-0", "5-0"])] {
        assert!(rows(heading, names).iter().all(|s| s.label.is_empty()), "{heading}");
    }
}

#[test]
fn a_norwegian_form_of_one_line_each_is_read() {
    let found = reports(&[&[
        "Analyserapport jord",
        "Oppdragsgiver                Vikeby Idrettslag",
        "Rapportnummer                SJ-5521",
        "Prøvemerking                 Gressbane midt",
        "Labnummer                    5521-1",
        "Prøvedato                    24.08.2023",
        "Mottatt                      28.08.2023",
        "Rapportdato                  06.09.2023",
        "Dybde                        0-15 cm",
        "",
        "pH (vann 1:2,5)                                   6,2",
        "P-AL                                              9,3   mg/100 g",
        "Na-AL                                             1,2   mg/100 g",
        "Glødetap                                          3,7   % TS",
        "Leire                                             13    %",
    ]]);
    let s = &found[0].samples[0];
    assert_eq!((s.label.as_str(), found[0].client.as_deref()), ("Gressbane midt", Some("Vikeby Idrettslag")));
    for (id, number, method) in [
        ("ph", 6.2, Method::Water1to2_5),
        ("phosphorus", 93.0, Method::Unstated),
        ("sodium", 12.0, Method::Unstated),
        ("organic_matter", 3.7, Method::LossOnIgnition),
        ("clay", 13.0, Method::Unstated),
    ] {
        assert_eq!((value(s, id), reading(s, id).method), ((number, true), method), "{id}");
    }
}
