//! Headings in several lines, and lines of a heading among the rows.

use super::{document, reading, reports, sample, value};
use crate::soil::{Method, Reading, Report};

#[test]
fn what_is_named_by_the_title_of_a_part_waits() {
    let found = reports(&[&[
        "SOIL TEST REPORT",
        "SAMPLE ID: ORCHARD HILL",
        "",
        "MAJOR NUTRIENTS (MEHLICH 1)                OTHER TESTS",
        "PHOSPHORUS         164 LB/A     H          SOIL PH           6.2",
        "POTASSIUM          242 LB/A     M          ORGANIC MATTER    6.1 %",
        "CALCIUM           2878 LB/A     H          NITRATE-N         12 PPM",
    ]]);
    for sample in found.iter().flat_map(|r| &r.samples) {
        assert!(sample.label == "ORCHARD HILL" || !sample.doubts.is_empty(), "{}", sample.label);
    }
}

#[test]
fn a_heading_in_several_lines_is_one_and_its_methods_are_not_lost() {
    let found = reports(&[&[
        "Soil test report",
        "",
        "             P Bray                  Fe DTPA",
        "Lab   pH     1        Walkley-Black  extractable",
        "No.   H2O    mg/dm3   OM percent     mg/dm3",
        "1372  8.0    17       3.3            12",
        "1373  7.5    21       3.2            15",
        "1374  7.4    9        3.4            14",
    ]]);
    let organic: Vec<&Reading> = found
        .iter()
        .flat_map(|r| &r.samples)
        .flat_map(|s| &s.readings)
        .filter(|r| r.analyte.id() == "organic_matter")
        .collect();
    assert!(!organic.is_empty());
    assert!(organic.iter().all(|r| r.method == Method::WalkleyBlack), "{organic:?}");
}

#[test]
fn words_of_a_heading_name_no_sample() {
    use super::super::header::reads_like_a_heading;
    for heading in [
        "mg/kg",
        "Your",
        "% OM",
        "Extractable P",
        "OM, % p/p",
        "Result",
        "Mehlich 3",
        "Description Lab # Nutrient Result Unit",
        "Zone",
        "Field",
    ] {
        assert!(reads_like_a_heading(heading), "{heading}");
    }
    for name in ["P1", "K 1", "North 40 3", "Green 7", "Critical slope", "Bank top", "Moss"] {
        assert!(!reads_like_a_heading(name), "{name}");
    }
}

#[test]
fn a_line_that_asks_for_names_is_no_sample() {
    let found = reports(&[&[
        "Soil test report",
        "Client: Hob Mill Trust",
        "",
        "              Laboratory  Total  Water  OM      Mehlich",
        "Field ID      Number      N      pH     LOI %   3 K, ppm",
        "Field ID      Number      0.5    3      1       2",
        "Moss          67999       0.5    6.2    7.0     85",
        "Tee           68000       0.4    6.8    6.8     72",
    ]]);
    let labels: Vec<&str> = found.iter().flat_map(|r| &r.samples).map(|s| s.label.as_str()).collect();
    assert!(labels.iter().all(|l| !l.contains("Field") && !l.contains("Number")), "{labels:?}");
    assert!(labels.contains(&"Moss"), "{labels:?}");
}

#[test]
fn a_year_under_a_name_ends_no_heading() {
    let found = reports(&[&[
        "Soil test report",
        "Client: Hob Mill Trust",
        "",
        "               pH in     EC        OM",
        "Area Sampled   water     2023      %",
        "               1:1",
        "Moss           6.9       0.92      3.3",
        "Tee            7.0       0.10      3.1",
    ]]);
    assert_eq!(reading(sample(&found, "Moss"), "ph").method, Method::Water1to1);
    let labels: Vec<&str> = found.iter().flat_map(|r| &r.samples).map(|s| s.label.as_str()).collect();
    assert!(!labels.contains(&"Area Sampled"), "{labels:?}");
}

#[test]
fn the_line_of_a_heading_holds_no_results() {
    let found = super::super::read(&document(&[&[
        "Soil test report",
        "Client: Hob Mill Trust",
        "",
        "Walkley-Black  P        K     Mehlich          Mehlich              Est.",
        "OM             3 ICP    M3K   3 Ca     M3-Mg   3          Nitrate   CEC",
        "something      odd      here  and      no      value      below     it",
    ]]));
    let readings = found.into_iter().flatten().flat_map(|r| r.samples).flat_map(|s| s.readings);
    assert!(readings.filter(|r| r.doubts.is_empty()).count() == 0);
}

/// A table with these words over its heading.
fn with_words_over(over: &str) -> Vec<Report> {
    reports(&[&[
        "Soil test report",
        "Client: Hob Mill Trust",
        "",
        over,
        "Lab no.   Field     pH        P        K        Ca       Mg       Clay",
        "                              mg/kg    mg/kg    mg/kg    mg/kg    %",
        "23110     Moss      6.1       24       152      1240     210      18",
        "23111     Tee       5.8       31       117      874      183      22",
    ]])
}

#[test]
fn words_over_columns_that_nothing_explains_leave_a_doubt() {
    let waits = |over: &str| !value(sample(&with_words_over(over), "Moss"), "potassium").1;
    assert!(!waits(""));
    assert!(waits("                                       Quoinwater soak"));
    assert!(waits("                                       Quoinwater"));
    // A title of the page or of the whole table.
    assert!(!waits("Quoin Hollow"));
    assert!(!waits("                             Quoin Hollow"));
}

#[test]
fn a_name_in_capitals_broken_over_two_lines_is_one_word() {
    let found = reports(&[&[
        "Soil test report",
        "Client: Hob Mill Trust",
        "",
        "SAMPLE    PHOS-       MANGA-      SOIL      ZINC",
        "ID        PHORUS P    NESE Mn     pH        Zn",
        "          ppm         ppm                   ppm",
        "Moss      152         210         6.1       1.2",
        "Tee       117         183         5.8       2.4",
    ]]);
    assert_eq!(value(sample(&found, "Moss"), "phosphorus"), (152.0, true));
    assert_eq!(value(sample(&found, "Tee"), "manganese"), (183.0, true));
}

#[test]
fn a_telephone_is_no_ph() {
    for telephone in ["Ph 07 5550 0123 Fax 07 5550   124", "Ph (08) 555 0100   44"] {
        let found = reports(&[&[
            "Hob Mill Soil Laboratory",
            telephone,
            "",
            "Client: Ada Fernshaw     Sample: Moss",
            "",
            "Test                     Result",
            "pH (1:5 water)           6.6",
            "Organic matter %         3.1",
        ]]);
        assert_eq!(value(sample(&found, "Moss"), "ph"), (6.6, true), "{telephone}");
    }
}

#[test]
fn one_extract_in_two_languages_is_one_and_how_far_it_reaches_may_be_open() {
    let of = |over: &str, id: &str| {
        let found = with_words_over(over);
        let read = reading(sample(&found, "Moss"), id);
        (read.method, read.doubts.is_empty())
    };
    let over = "                                       Ammonacetat / NH4OAc";
    assert_eq!(of(over, "calcium"), (Method::AmmoniumAcetate, true));
    // The words stand over two columns, and not over the middle of these.
    let over = "                                              Ammonacetat / NH4OAc";
    assert_eq!(of(over, "calcium"), (Method::AmmoniumAcetate, true));
    assert!(!of(over, "potassium").1);
}

#[test]
fn a_word_in_capitals_that_is_broken_over_two_lines_is_one_name() {
    let found = reports(&[&[
        "QUILL COUNTY SOIL ROOM",
        "GROWER: ADA FERNSHAW        REPORT NO: 3388",
        "",
        "                   MEHLICH-1 EXTRACTABLE, POUNDS PER ACRE",
        "LAB    SAMPLE      WATER   PHOS-    POTAS-    CAL-     MAGNE-",
        "NO.    ID          PH      PHORUS   SIUM      CIUM     SIUM     ZINC",
        "7710   MOSS 1      5.7     64       158       1314     142      10.1",
        "7711   MOSS 2      6.3     72       190       1914     172      5.7",
        "7712   FERN EDGE   5.3     63       118       870      102      10.2",
    ]]);
    let moss = sample(&found, "MOSS 2");
    for (analyte, number) in
        [("phosphorus", 36.0), ("potassium", 95.0), ("calcium", 957.0), ("magnesium", 86.0)]
    {
        assert_eq!(value(moss, analyte), (number, true), "{analyte}");
    }
}

#[test]
fn the_number_of_a_table_and_its_title_are_one_title() {
    let page = |title: &str| {
        reports(&[&[
            "Client: Hob Mill Trust",
            "",
            title,
            "LAB-ID     SAMPLE     DEPTH   ZN     FE     MN",
            "                      in      ppm    ppm    ppm",
            "7061-01    TEE        0-6     1.2    31     15",
            "7061-02    TEE        6-12    0.9    22     11",
        ]])
    };
    for title in ["TABLE 1.  TRACE ELEMENTS", "Part 2:  Trace elements", "Tabelle 3   Spurenelemente"] {
        let found = page(title);
        let readings: Vec<_> = found.iter().flat_map(|r| &r.samples).flat_map(|s| &s.readings).collect();
        assert_eq!(readings.len(), 6, "{title}");
        assert!(readings.iter().all(|r| r.doubts.is_empty()), "{title}: {:?}", readings[0].doubts);
    }
    let found = page("TABLE 2.   DTPA MICRONUTRIENTS");
    assert_eq!(reading(sample(&found, "TEE"), "zinc").method, Method::Dtpa);
    // Two words over columns are no title of one table.
    for above in ["TABLE 1.                     DTPA   DTPA", "           SAMPLE     DEPTH"] {
        let found = page(above);
        let sure = found.iter().flat_map(|r| &r.samples).flat_map(|s| &s.readings);
        assert!(
            sure.into_iter()
                .all(|r| !r.doubts.is_empty() || r.method == Method::Dtpa || above.contains("SAMPLE")),
            "{above}"
        );
    }
}
