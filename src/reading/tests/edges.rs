//! Tables whose headings and numbers keep to unlike edges of their cells, and headings that break or are ruled with signs.

use super::{reports, sample, value};

/// What a report over this table says of a sample and a measurement.
fn said(table: &[&str], of: &str, id: &str) -> Option<(f64, bool)> {
    let head = ["Soil test report", "Client: Hob Orchards", "Report: H-12", "Depth: 0-15 cm", ""];
    let lines: Vec<&str> = head.iter().chain(table).copied().collect();
    let found = reports(&[&lines]);
    let s = sample(&found, of);
    s.readings.iter().any(|r| r.analyte.id() == id).then(|| value(s, id))
}

#[test]
fn numbers_at_the_right_of_their_cells_are_of_the_headings_at_the_left_beside_names_of_one_length() {
    let table = [
        "Sample        pH          P mg/kg         K mg/kg         Mg mg/kg        B mg/kg         Zn mg/kg",
        "S1                    7.0             113             197             383                           8.5",
        "S2                    6.1              68              97             204                          10.5",
    ];
    for (id, number) in [("ph", 7.0), ("phosphorus", 113.0), ("potassium", 197.0), ("zinc", 8.5)] {
        assert_eq!(said(&table, "S1", id), Some((number, true)), "{id}");
    }
    assert_eq!(said(&table, "S1", "boron"), None);
}

#[test]
fn numbers_at_the_left_of_their_cells_are_of_the_headings_at_the_right() {
    let table = [
        "Plot                   pH      Phosphorus       Potassium       Magnesium            Zinc",
        "Terrace     5.6           17              281             379             6.6",
        "Saddle      6.2           153             66              1040            11.2",
    ];
    for (id, number) in [("ph", 5.6), ("phosphorus", 17.0), ("potassium", 281.0), ("zinc", 6.6)] {
        let (value, _) = said(&table, "Terrace", id).unwrap_or_default();
        assert_eq!(value, number, "{id}");
    }
    // Without numbers before the first heading each may be of the one before it: right, or asked about.
    let table = [
        "Plot                   pH      Phosphorus       Potassium       Magnesium            Zinc",
        "Terrace                   17              281             379             6.6",
        "Saddle                    153             66              1040            11.2",
    ];
    for (id, number) in [("ph", 0.0), ("phosphorus", 17.0), ("potassium", 281.0), ("magnesium", 379.0)] {
        let found = said(&table, "Terrace", id);
        assert!(found.is_none_or(|(value, sure)| value == number || !sure), "{id} {found:?}");
    }
}

#[test]
fn a_table_ruled_with_bars_keeps_a_blank_cell_blank() {
    let table = [
        "SAMPLE    |LAB   |SOIL  |P      |K      |CA",
        "          |NO.   |PH    |PPM    |PPM    |PPM",
        "----------+------+------+-------+-------+-------",
        "HOME 1    |  9001|   5.1|     62|    142|    581",
        "HOME 2    |  9002|   5.6|       |    103|    832",
        "HILL 1    |  9003|      |     30|    131|   1807",
    ];
    assert_eq!(said(&table, "HOME 1", "phosphorus"), Some((62.0, true)));
    assert_eq!(said(&table, "HOME 2", "phosphorus"), None);
    assert_eq!(said(&table, "HOME 2", "potassium"), Some((103.0, true)));
    assert_eq!(said(&table, "HILL 1", "ph"), None);
    assert_eq!(said(&table, "HILL 1", "calcium"), Some((1807.0, true)));
}

#[test]
fn the_result_between_limits_of_classes_is_the_one_under_its_heading() {
    let table = [
        "Sample: Kitchen garden",
        "",
        "P, K: Mehlich 3            very low  low       RESULT    high      very high  unit",
        "                           below     below               above     above",
        "Soil pH (1:1 water)        5.0       5.8       6.0       7.0       7.8",
        "Phosphorus                 8         25        57        50        100        ppm",
        "Potassium                  60        120       63        220       400        ppm",
    ];
    assert_eq!(said(&table, "Kitchen garden", "ph"), Some((6.0, true)));
    assert_eq!(said(&table, "Kitchen garden", "phosphorus"), Some((57.0, true)));
    // Samples called by such words are no limits.
    let table = [
        "Test                       Above     Below",
        "Soil pH (1:1 water)        5.0       5.8",
        "Phosphorus, ppm            8         25",
    ];
    assert_eq!(said(&table, "Above", "phosphorus").map(|v| v.0), Some(8.0));
}

#[test]
fn running_text_below_a_table_is_no_row_of_it() {
    let table = [
        "Sample        pH          P mg/kg         K mg/kg         Mg mg/kg        B mg/kg         Zn mg/kg",
        "S1                    7.0             113             197             383                           8.5",
        "S2                    6.1              68              97             204                          10.5",
        "",
        "1 as P in the dry soil 2 mean of two runs 3 repeated and confirmed 4 sample not fully dried",
    ];
    assert_eq!(said(&table, "S1", "ph"), Some((7.0, true)));
    assert_eq!(said(&table, "S2", "zinc"), Some((10.5, true)));
}
