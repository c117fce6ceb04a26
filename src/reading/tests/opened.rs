//! Cells that speak for more than their own column, and columns that nobody explains, in table files.

use super::sheets;
use crate::reading::read;
use crate::soil::{Method, Reading};

/// Method of each reading of a sample, and whether nothing speaks against it.
fn of(lines: &[&str], label: &str) -> Vec<(String, Method, bool)> {
    let found = read(&sheets(&[("", lines)])).unwrap();
    let told = |r: &Reading| (r.analyte.id().to_owned(), r.method, r.doubts.is_empty());
    super::sample(&found, label).readings.iter().map(told).collect()
}

fn is(found: &[(String, Method, bool)], id: &str) -> Option<(Method, bool)> {
    found.iter().find(|(own, ..)| own == id).map(|(_, m, sure)| (*m, *sure))
}

const CLIENT: &str = "Client: Moss Trust|Reported 2021-06-18|Depth 0-8 inches";

#[test]
fn a_cell_with_unit_and_extract_over_the_first_of_its_columns_speaks_for_those_without_a_unit() {
    let sheet = |over: &str, names: &str| {
        let (over, names) = (format!("||{over}"), format!("Lab No|Plot|{names}"));
        of(&[CLIENT, &over, &names, "1|Hob|5.9|15|245|1881|49", "2|Moss|6.9|34|133|2104|41"], "Hob")
    };
    let mehlich = Some((Method::Mehlich3, true));
    let found = sheet("|Mehlich 3, ppm||||", "pH|P|K|Ca|Na");
    for id in ["phosphorus", "potassium", "calcium", "sodium"] {
        assert_eq!(is(&found, id), mehlich, "{id}");
    }
    // Where the columns print units of their own nobody knows how far the extract reaches.
    let found = sheet("|Mehlich 3|||", "pH|P ppm|K ppm|Ca ppm|Na ppm");
    assert_eq!(is(&found, "phosphorus"), mehlich);
    for id in ["potassium", "calcium", "sodium"] {
        assert_eq!(is(&found, id), Some((Method::Unstated, false)), "{id}");
    }
    // It ends before the next cell, before an extract of its own, and before what it cannot measure.
    let found = sheet("|Mehlich 3, ppm||DTPA, ppm|", "pH|P|K|Zn|Cu");
    assert_eq!((is(&found, "potassium"), is(&found, "copper")), (mehlich, Some((Method::Dtpa, true))));
    let found = sheet("|Mehlich 3, ppm|||", "pH|P|K|NO3-N|Ca");
    assert_eq!(is(&found, "potassium"), mehlich);
    for id in ["nitrate_n", "calcium"] {
        assert_eq!(is(&found, id).map(|(_, sure)| sure), Some(false), "{id}");
    }
}

#[test]
fn a_column_of_methods_that_no_heading_names_gives_them_or_lets_results_wait() {
    let long = |cells: [&str; 3], heading: &str| {
        let row = |name: &str, cell: &str| format!("1|Pan 1|{name}|2.5|mg/kg|{cell}");
        let head = format!("lab_no|sample|parameter|result|unit|{heading}");
        let (p, b, z) = (row("Phosphorus", cells[0]), row("Boron", cells[1]), row("Zinc", cells[2]));
        of(&[CLIENT, "All elements by Mehlich 3", &head, &p, &b, &z], "Pan 1")
    };
    let found = long(["Bray P1", "hot water", ""], "exception");
    assert_eq!(is(&found, "phosphorus"), Some((Method::BrayP1, true)));
    assert_eq!(is(&found, "boron"), Some((Method::HotWater, true)));
    assert_eq!(is(&found, "zinc"), Some((Method::Mehlich3, true)));
    // Words beside methods may be one too, and a code may be that of a block.
    let found = long(["Bray P1", "", "quibblate"], "exception");
    assert_eq!(is(&found, "boron"), Some((Method::Mehlich3, true)));
    for id in ["phosphorus", "zinc"] {
        assert_eq!(is(&found, id).map(|(_, sure)| sure), Some(false), "{id}");
    }
    assert_eq!(is(&long(["P1", "P1", "P1"], "rep"), "phosphorus").map(|(_, sure)| sure), Some(false));
}

#[test]
fn a_word_for_a_method_beside_a_row_of_results_lets_those_wait_that_it_may_be_of() {
    for heading in ["exception", "remarks", ""] {
        let head = format!("Lab no|Sample|pH|P mg/kg|K mg/kg|B mg/kg|{heading}");
        let lines = [
            CLIENT,
            &head,
            "1|Pan 1|7.1|23|120|0.5|",
            "2|Pan 2|6.1|33|130|0.6|P by Olsen",
            "All elements by Mehlich 3",
        ];
        assert_eq!(is(&of(&lines, "Pan 1"), "phosphorus"), Some((Method::Mehlich3, true)), "{heading}");
        let told = of(&lines, "Pan 2");
        assert_eq!(is(&told, "phosphorus").map(|(_, sure)| sure), Some(false), "{heading}");
        assert_eq!(is(&told, "potassium"), Some((Method::Mehlich3, true)), "{heading}");
    }
}

#[test]
fn of_two_notes_on_the_ph_each_is_of_the_column_that_names_its_liquid() {
    let sheet = |note: &str| {
        let head = "Ref|Field|pH water|pH KCl|P mg/kg";
        of(&[CLIENT, head, "1|Hob|6.6|5.9|12", "2|Moss|7.6|6.5|14", "", note], "Hob")
    };
    let ph = |note: &str| {
        let found = sheet(note);
        found.iter().filter(|(id, ..)| id == "ph").map(|(_, m, sure)| (*m, *sure)).collect::<Vec<_>>()
    };
    let both = ph("Methods: pH water 1:5 ; pH in KCl 1 mol/L ; P by Olsen");
    assert_eq!(both, [(Method::Water1to5, true), (Method::Kcl, true)]);
    // Two in water: nobody knows which.
    let unclear = ph("Methods: pH water 1:5 ; pH water 1:1 ; pH in KCl 1 mol/L");
    assert_eq!(unclear.first(), Some(&(Method::Unstated, false)));
}
