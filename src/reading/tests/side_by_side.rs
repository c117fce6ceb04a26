//! Tables of the same columns side by side.

use super::{reading, reports, sample, value};

const HEAD: [&str; 4] = [
    "Quill Soil Laboratory",
    "Client: Moss Trust     Report: HM-77     Reported: 3 May 2021     Depth: 0-15 cm",
    "P: Olsen. K: ammonium acetate. pH: soil and water 1:1.",
    "",
];

fn page(lines: &[&'static str]) -> Vec<&'static str> {
    HEAD.iter().chain(lines).copied().collect()
}

#[test]
fn each_of_two_tables_side_by_side_has_its_own_rows() {
    let lines = page(&[
        "Sample        pH     P ppm   K ppm       Sample      pH    P ppm   K ppm",
        "",
        "Bed 1         6.3      19     279        Bed 8       5.7      72     142",
        "Bed 2         6.3      39     103        Bed 9       7.0             180",
        "Bed 3         7.1      57     134        Bed 10      7.0      29",
        "Bed 4         5.5      15     167",
    ]);
    let found = reports(&[&lines]);
    let of = |name: &str, id: &str| value(sample(&found, name), id);
    assert_eq!((of("Bed 1", "phosphorus"), of("Bed 8", "phosphorus")), ((19.0, true), (72.0, true)));
    assert_eq!((of("Bed 3", "potassium"), of("Bed 4", "ph")), ((134.0, true), (5.5, true)));
    // What is blank there is not taken from the table beside it.
    assert!(sample(&found, "Bed 9").readings.iter().all(|r| r.analyte.id() != "phosphorus"));
    assert!(sample(&found, "Bed 10").readings.iter().all(|r| r.analyte.id() != "potassium"));
    assert_eq!(found.iter().flat_map(|r| &r.samples).count(), 7);
}

#[test]
fn columns_that_repeat_otherwise_wait() {
    let unlike = page(&[
        "Sample        pH     P ppm   K ppm       Sample      pH    K ppm   P ppm",
        "",
        "Bed 1         6.3      19     279        Bed 8       5.7     142      72",
        "Bed 2         6.3      39     103        Bed 9       7.0     180",
        "Bed 3         7.1      57     134        Bed 10      7.0      ",
    ]);
    let titled = page(&[
        "                                         Before liming",
        "Sample        pH     P ppm   K ppm       Sample      pH    P ppm   K ppm",
        "",
        "Bed 1         6.3      19     279        Bed 8       5.7      72     142",
        "Bed 2         6.3      39     103        Bed 9       7.0             180",
        "Bed 3         7.1      57     134        Bed 10      7.0      29",
    ]);
    for lines in [unlike, titled] {
        let found = reports(&[&lines]);
        let mut all = found.iter().flat_map(|r| &r.samples).flat_map(|s| &s.readings).peekable();
        assert!(all.peek().is_some());
        assert!(all.all(|r| !r.doubts.is_empty()), "{found:?}");
    }
}

#[test]
fn two_extracts_behind_one_name_are_no_tables_side_by_side() {
    let lines = page(&[
        "Sample        pH     P Olsen, ppm   P Bray P1, ppm   K ppm",
        "",
        "Bed 1         6.3       19              24           279",
        "Bed 2         6.3       39              41           103",
    ]);
    let found = reports(&[&lines]);
    assert_eq!(value(sample(&found, "Bed 2"), "potassium"), (103.0, true));
    assert!(reading(sample(&found, "Bed 1"), "phosphorus").doubts.is_empty());
}
