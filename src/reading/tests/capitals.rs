//! Elements and units in capitals.

use super::{reports, sample, value};

#[test]
fn a_caption_in_capitals_gives_its_unit_to_those_it_names() {
    for (caption, zinc) in
        [("P, K, CA AND MG IN PPM", false), ("ALL RESULTS IN MG/KG EXCEPT PH AND O.M.", true)]
    {
        for above in [true, false] {
            let mut lines = vec!["Soil test report", "Client: Hob Mill Trust", ""];
            lines.extend(above.then_some(caption));
            lines.extend([
                "Sample       pH     OM %   P     K     Ca      Mg     Zn",
                "Moss bank    6.3    3.1    31    264   1500    140    2.1",
                "Fern bank    6.7    2.8    22    153   1800    160    3.4",
                "",
                "",
            ]);
            lines.extend((!above).then_some(caption));
            let found = reports(&[&lines]);
            let moss = sample(&found, "Moss bank");
            for (id, printed) in [("phosphorus", 31.0), ("calcium", 1500.0), ("magnesium", 140.0)] {
                assert_eq!(value(moss, id), (printed, true), "{caption} {above}");
            }
            assert_eq!(value(moss, "zinc").1, zinc, "{caption} {above}: nobody said the unit of zinc");
        }
    }
}

#[test]
fn elements_in_capitals_are_read_in_a_document_that_is_not() {
    let page = |zinc: &str| {
        let rows = [
            "Test         Result",
            "pH           6.4",
            "P            31",
            "CA           1500",
            "MG           140",
        ];
        let head =
            ["Soil test report", "Client: Hob Mill Trust", "Sample: Home", "", "P, K, CA AND MG IN PPM", ""];
        let zinc = format!("{zinc}           2.1");
        let lines: Vec<&str> = head.iter().chain(&rows).copied().chain([zinc.as_str()]).collect();
        reports(&[&lines])
    };
    let found = page("ZN");
    let home = sample(&found, "Home");
    assert_eq!(value(home, "calcium"), (1500.0, true));
    assert_eq!(value(home, "magnesium"), (140.0, true));
    assert!(!value(home, "zinc").1, "nobody said its unit");
    let found = page("Zn");
    let home = sample(&found, "Home");
    assert!(home.readings.iter().all(|r| r.analyte.id() != "calcium"), "`CA` beside `Zn` is another word");
}
