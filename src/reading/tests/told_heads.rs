//! Heads of reports and titles of tables that tell whose soil it is and what the samples are called in words of their own.

use super::reports;

/// Client, name and laboratory's number of each sample.
fn told(pages: &[&[&str]]) -> Vec<(Option<String>, String, Option<String>)> {
    let found = reports(pages);
    found
        .iter()
        .flat_map(|r| r.samples.iter().map(|s| (r.client.clone(), s.label.clone(), s.lab_number.clone())))
        .collect()
}

fn is(client: &str, name: &str, number: &str) -> (Option<String>, String, Option<String>) {
    (Some(client.to_owned()), name.to_owned(), Some(number.to_owned()))
}

#[test]
fn strokes_part_whose_it_is_the_name_and_the_number_over_each_table() {
    let page = |title: &'static str| {
        [
            "QUILL SOIL BENCH",
            "",
            title,
            "Report QB-7720. Pulled April 1, 2024 (0-4 in.); mailed April 11, 2024.",
            "",
            "Test          Found    Unit",
            "pH            6.2",
            "Potassium     54       ppm",
        ]
    };
    let of = |second| {
        let (a, b) = (page("Moss Country Club - Green 3 - lab sample 7720-1"), page(second));
        told(&[&a, &b])
    };
    assert_eq!(
        of("Moss Country Club - Green 8 - lab sample 7720-2"),
        [is("Moss Country Club", "Green 3", "7720-1"), is("Moss Country Club", "Green 8", "7720-2")]
    );
    // Two owners, one name twice, a number twice.
    for second in [
        "Fern Country Club - Green 8 - lab sample 7720-2",
        "Moss Country Club - Green 3 - lab sample 7720-2",
        "Moss Country Club - Green 8 - lab sample 7720-1",
    ] {
        let found = of(second);
        assert!(found.iter().all(|f| f.0.is_none() || f.1.is_empty()), "{second}: {found:?}");
    }
}

#[test]
fn a_reference_beside_the_name_over_each_table_numbers_what_stands_in_it() {
    let of = |second: &str| {
        told(&[&[
            "QUILL SOIL BENCH",
            "",
            "Client: Hob District Council",
            "Report: QB-24-206",
            "",
            "Hob Primary, lower field                     Ref. 4400",
            "pH         P mg/kg      K mg/kg     Mg mg/kg",
            "6.5        43           208         305",
            "",
            second,
            "pH         P mg/kg      K mg/kg     Mg mg/kg",
            "6.2        13           172         234",
        ]])
    };
    let council = "Hob District Council";
    assert_eq!(
        of("Mill Infants                                 Ref. 4401"),
        [is(council, "Hob Primary, lower field", "4400"), is(council, "Mill Infants", "4401")]
    );
    let twice = of("Mill Infants                                 Ref. 4400");
    assert!(twice.iter().all(|f| f.1.is_empty()), "{twice:?}");
}

#[test]
fn names_at_the_left_of_a_wide_column_stand_under_the_heading_in_its_middle() {
    let of = |last: &str| {
        told(&[&[
            "QUILL SOIL BENCH",
            "",
            "Client: Hob Pastoral",
            "",
            "  Lab no               Paddock      pH      K ppm",
            "2311-01       Top Dam               5.3     120",
            "2311-02       Quarry                6.4     140",
            last,
        ]])
    };
    assert_eq!(
        of("2311-03       Gum Rise              6.3     160"),
        [
            is("Hob Pastoral", "Top Dam", "2311-01"),
            is("Hob Pastoral", "Quarry", "2311-02"),
            is("Hob Pastoral", "Gum Rise", "2311-03")
        ]
    );
    // Something else under the heading: what stands left of it may be of another column.
    let found = of("2311-03       Gum Rise  Oats        6.3     160");
    assert!(found.iter().all(|f| f.1 != "Gum Rise"), "{found:?}");
}

#[test]
fn whose_each_row_is_names_it_in_a_report_to_another() {
    let of = |client: &str, rows: [&str; 3]| {
        told(&[&[
            "QUILL SOIL BENCH",
            "",
            client,
            "",
            "Lab ID     Property       Street          pH      K ppm",
            rows[0],
            rows[1],
            rows[2],
        ]])
    };
    let rows = [
        "2209-01    Abelmoor       4 Finch Ct      6.7     188",
        "2209-02    Baldock        19 Elm Row      6.5     263",
        "2209-03    Castlemain     233 Orchard     6.1     163",
    ];
    let found = of("Client: Moss Lawns & Landscapes", rows);
    let names: Vec<&str> = found.iter().map(|f| f.1.as_str()).collect();
    assert_eq!(names, ["Abelmoor", "Baldock", "Castlemain"]);
    assert!(found.iter().all(|f| f.0.as_deref() == Some("Moss Lawns & Landscapes")), "{found:?}");
    // Without a client over them nobody knows which column is the sample's.
    let found = of("Batch: 2209", rows);
    assert!(found.iter().all(|f| f.1.is_empty()), "{found:?}");
}

#[test]
fn a_word_for_ground_in_the_name_of_a_firm_ends_no_client() {
    let of = |line: &str| {
        told(&[&["QUILL SOIL BENCH", "", line, "", "Sample    pH     K ppm", "Moss      6.4    120"]])
            .first()
            .and_then(|f| f.0.clone())
    };
    let behind = "Samples received May 16, 2024; sampled at 0-3 inches.";
    let found = of(&format!("Prepared for Pellmoor Lawn Care LLC. {behind}"));
    assert!(found.is_none_or(|c| c.starts_with("Pellmoor Lawn Care LLC")));
}
