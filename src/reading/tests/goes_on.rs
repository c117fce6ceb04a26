//! Tables that go on with the samples of another.

use super::{reports, sample, value};

const NUMBERED: [&str; 5] = [
    "Soil test report",
    "Client: Hob Mill Trust",
    "",
    "Sample      Lab No.   pH     OM %    P ppm    K ppm",
    "Moss bank   71204     6.3    3.1     31       264",
];

#[test]
fn a_second_table_without_numbers_goes_on_with_the_samples_of_the_first() {
    let page = |second: &[&str]| {
        let lines: Vec<&str> = NUMBERED
            .iter()
            .chain(&["Fern bank   71205     6.7    2.8     22       153", "", ""])
            .chain(second)
            .copied()
            .collect();
        reports(&[&lines])
    };
    let found = page(&[
        "Sample      Zn ppm    Mn ppm    Cu ppm    B ppm",
        "Moss bank   2.1       14        1.1       0.4",
        "Fern bank   3.4       11        0.9       0.6",
    ]);
    assert_eq!(found.iter().flat_map(|r| &r.samples).count(), 2);
    let moss = sample(&found, "Moss bank");
    assert_eq!(value(moss, "zinc"), (2.1, true));
    assert_eq!(value(moss, "potassium"), (264.0, true));
    assert_eq!(moss.lab_number.as_deref(), Some("71204"));
    assert!(moss.doubts.is_empty(), "{:?}", moss.doubts);
    // What both measure is no other half of a sample.
    let found = page(&[
        "Sample      Zn ppm    Mn ppm    K ppm",
        "Moss bank   2.1       14        181",
        "Fern bank   3.4       11        140",
    ]);
    assert!(found.iter().flat_map(|r| &r.samples).all(|s| !s.doubts.is_empty()));
    // A name that stands twice in one of the tables is nobody's.
    let found = page(&[
        "Sample      Zn ppm    Mn ppm    Cu ppm    B ppm",
        "Moss bank   2.1       14        1.1       0.4",
        "Moss bank   3.4       11        0.9       0.6",
    ]);
    let moss = || found.iter().flat_map(|r| &r.samples).filter(|s| s.label == "Moss bank");
    assert!(moss().count() > 1 && moss().all(|s| !s.doubts.is_empty()));
}

#[test]
fn a_second_part_that_repeats_the_laboratory_numbers_alone_goes_on_with_the_first() {
    let first = [
        "QUERN SOIL LABORATORY",
        "REPORT QS-20618    GROWER: QUERN SOD FARM    REC 08/14/24   OUT 08/20/24",
        "",
        "LAB NO   SAMPLE ID    PH     P-M3   K-M3",
        "                             PPM    PPM",
        "20618    SOD 1        6.2      24     79",
        "20619    SOD 2        6.4      11    138",
        "20620    NURSERY      5.6      28    183",
    ];
    let second = |last: &'static str, column: &'static str| {
        [
            "QUERN SOIL LABORATORY",
            "REPORT QS-20618    GROWER: QUERN SOD FARM    REC 08/14/24   OUT 08/20/24",
            "",
            column,
            "            PPM    PPM",
            "20618       2.6    4.1",
            "20619       1.3    3.2",
            last,
        ]
    };
    let read = |last, column| reports(&[&first, &second(last, column)]);
    let found = read("20620       3.1    2.9", "LAB NO    ZN-M3  CU-M3");
    let own = sample(&found, "NURSERY");
    assert_eq!((value(own, "zinc"), value(own, "potassium")), ((3.1, true), (183.0, true)));
    assert_eq!(found[0].received_on, Some("2024-08-14".parse().unwrap()));
    assert_eq!(found.iter().flat_map(|r| &r.samples).count(), 3);
    // A number that stands in the second part alone, or what the first part measured too: nobody knows what it is.
    for (last, column) in [
        ("20655       3.1    2.9", "LAB NO    ZN-M3  CU-M3"),
        ("20620       3.1    2.9", "LAB NO    ZN-M3   K-M3"),
    ] {
        let found = read(last, column);
        let zinc = |s: &&crate::soil::Sample| s.readings.iter().any(|r| r.analyte.id() == "zinc");
        assert!(found.iter().flat_map(|r| &r.samples).filter(zinc).all(|s| s.label.is_empty()), "{last}");
    }
}
