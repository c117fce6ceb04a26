//! Who, what and when of forms that ask for them in other words.

use super::reports;
use crate::soil::{Report, Sample};
use jiff::civil::date;

const RESULTS: [&str; 3] = ["Test          Result   Unit", "pH            6.4", "Potassium     142      ppm"];

fn of(fields: &[&str]) -> (Report, Sample) {
    let lines: Vec<&str> = [&["QUILL SOIL BENCH", ""], fields, &[""], RESULTS.as_slice()].concat();
    let mut found = reports(&[&lines]);
    let mut report = found.pop().unwrap();
    let sample = report.samples.pop().unwrap();
    (report, sample)
}

#[test]
fn a_club_or_a_sender_is_the_client_where_no_other_is_named() {
    let client = |fields: &[&str]| of(&[fields, &["Sample ID: Moss"]].concat()).0.client;
    assert_eq!(client(&["Club: Hob Mill Bowls"]).as_deref(), Some("Hob Mill Bowls"));
    assert_eq!(client(&["Submitted by: Ada Fernshaw"]).as_deref(), Some("Ada Fernshaw"));
    assert_eq!(
        client(&["Submitted by: Ada Fernshaw", "Club: Hob Mill Bowls"]).as_deref(),
        Some("Hob Mill Bowls")
    );
    assert_eq!(
        client(&["Club: Hob Mill Bowls", "Client: Hob Mill Trust"]).as_deref(),
        Some("Hob Mill Trust")
    );
    assert_eq!(client(&["Sampled by: Ada Fernshaw"]), None);
}

#[test]
fn a_bed_names_the_sample_where_no_other_name_stands() {
    let label = |fields: &[&str]| of(&[fields, &["Client: Ada Fernshaw"]].concat()).1.label;
    assert_eq!(label(&["Bed: Long border"]), "Long border");
    assert_eq!(label(&["Bag no.: 17"]), "17");
    assert_eq!(label(&["Bed: 4", "Sample ID: Long border"]), "Long border");
    assert_eq!(label(&["Sample condition: dry"]), "");
}

#[test]
fn a_day_says_what_was_done_that_day() {
    let dated = |field: &str| of(&["Client: Ada Fernshaw", "Sample ID: Moss", field]);
    let (report, sample) = dated("Pulled: 3 May 2023");
    assert_eq!((report.reported_on, sample.sampled_on), (None, Some(date(2023, 5, 3))));
    let (report, sample) = dated("Tested: 3 May 2023");
    assert_eq!((report.reported_on, sample.sampled_on, sample.year), (None, None, Some(2023)));
    assert_eq!(dated("Date: 3 May 2023").0.reported_on, Some(date(2023, 5, 3)));
    let (report, sample) = of(&["Client: Ada Fernshaw", "Date: 3 May 2023", "Sampled: 21 April 2023"]);
    assert_eq!((report.reported_on, sample.sampled_on), (None, Some(date(2023, 4, 21))));
    let (report, sample) = dated("Frozen: 3 May 2023");
    assert_eq!((report.reported_on, sample.sampled_on, sample.year), (None, None, None));
}

#[test]
fn a_table_tells_layers_in_millimetres_and_a_year_by_a_date_alone() {
    let found = reports(&[&[
        "Client: Ada Fernshaw",
        "",
        "Sample      Date         Depth (mm)   pH      K ppm",
        "Moss        2023-05-03   0-75         6.1     142",
        "Fern        2023-05-03   75-150       5.9     155",
    ]]);
    let fern = super::sample(&found, "Fern");
    let depth = fern.depth.unwrap();
    assert_eq!((depth.top_cm, depth.bottom_cm), (7.5, 15.0));
    assert_eq!((fern.sampled_on, fern.year), (None, Some(2023)));
}
