//! What stands beside the results and is none: sentences, second tables, columns of means and controls.

use super::{reading, reports, sample, value};
use crate::soil::Sample;

const HEAD: [&str; 4] =
    ["Soil test report", "Client: Hob Mill Trust", "Sample ID: Home field", "Date sampled: 03/14/2024"];

const RESULTS: [&str; 4] = [
    "Test                        Result    Unit",
    "pH (1:1 water)              6.4",
    "Phosphorus (Mehlich-3)      31        ppm",
    "Potassium (Mehlich-3)       142       ppm",
];

/// The sample of a page of results with these lines below.
fn beside(lines: &[&str]) -> Sample {
    let page: Vec<&str> =
        HEAD.iter().chain(&[""]).chain(&RESULTS).chain(&["", ""]).chain(lines).copied().collect();
    let found = reports(&[&page]);
    let all: Vec<_> = found.iter().flat_map(|r| &r.samples).collect();
    assert_eq!(all.len(), 1, "{lines:?}");
    sample(&found, "Home field").clone()
}

/// Readings that nothing speaks against.
fn sure(sample: &Sample) -> Vec<&'static str> {
    sample.readings.iter().filter(|r| r.doubts.is_empty()).map(|r| r.analyte.id()).collect()
}

#[test]
fn sentences_beside_a_table_are_no_results() {
    for line in [
        "Boron: 1 lb per acre for alfalfa only.",
        "Magnesium: 120 ppm or 12 % saturation is adequate.",
        "A typical soil has a pH of 6.2 and organic matter of 3.5 %.",
        "CEC is 12 meq/100g on a typical loam.",
        "Nitrate-N is 25 ppm at side-dress time in a good year.",
        "Sodium: 70 ppm",
        "K: 60 lb/acre",
    ] {
        let found = beside(&["Notes", line]);
        assert_eq!(sure(&found), ["ph", "phosphorus", "potassium"], "{line}");
        assert_eq!(value(&found, "potassium"), (142.0, true), "{line}");
    }
    let told = beside(&["Your organic matter was 3.4 %."]);
    assert!(!reading(&told, "organic_matter").doubts.is_empty(), "a person has to see it");
}

#[test]
fn a_second_table_of_rates_limits_or_means_is_no_result() {
    for (title, heading) in [
        ("Fertilizer needed", "Nutrient                    Need      Unit"),
        ("Crop removal, 180 bu corn", "Element                     Removal   Unit"),
        ("District figures", "Test                        Average   Unit"),
        ("For comparison", "Test                        Typical   Unit"),
    ] {
        let found = beside(&[
            title,
            heading,
            "Phosphorus                  40        lb/acre",
            "Zinc                        5         lb/acre",
        ]);
        assert_eq!(sure(&found), ["ph", "phosphorus", "potassium"], "{title}");
        assert_eq!(value(&found, "phosphorus"), (31.0, true), "{title}");
    }
    // The heading alone would make them results; that one names its method and the other does not tells them apart.
    let found = beside(&[
        "QC soil",
        RESULTS[0],
        "Phosphorus                  55        ppm",
        "Potassium                   131       ppm",
        "Zinc                        4         ppm",
        "Copper                      2         ppm",
    ]);
    assert_eq!(sure(&found), ["ph", "phosphorus", "potassium"]);
    assert_eq!(value(&found, "phosphorus"), (31.0, true));
    assert_eq!(sure(&found).iter().filter(|id| **id == "phosphorus").count(), 1);
}

#[test]
fn columns_of_replicates_controls_and_days_are_no_samples() {
    let page = |heading: &str| {
        let mut lines: Vec<&str> = HEAD.to_vec();
        lines.extend(["", heading]);
        lines.extend([
            "pH (1:1 water)              6.3          6.5",
            "Phosphorus (Mehlich-3) ppm  30           38",
        ]);
        reports(&[&lines]).into_iter().flat_map(|r| r.samples).collect::<Vec<_>>()
    };
    for heading in [
        "Test                        Rep 1        Rep 2",
        "Test                        Autumn       Hillside",
        "Test                        3/10/2024    9/14/2024",
    ] {
        let found = page(heading);
        let labels: Vec<&str> = found.iter().map(|s| s.label.as_str()).collect();
        assert!(labels.iter().all(|l| ["", "Home field"].contains(l)), "{heading}: {labels:?}");
        assert!(found.iter().all(|s| sure(s).is_empty() || s.label.is_empty()), "{heading}");
    }
    for aside in ["Control", "Standard", "CV %", "Spike %", "Your county"] {
        let heading = format!("Test                        North     {aside}");
        let lines = ["Soil test report", "Client: Hob Mill Trust", "", &heading];
        let lines: Vec<&str> = lines
            .into_iter()
            .chain(["pH                          6.3       6.5", "Potassium ppm               30        38"])
            .collect();
        let labels: Vec<String> =
            reports(&[&lines]).into_iter().flat_map(|r| r.samples).map(|s| s.label).collect();
        assert_eq!(labels, ["North"], "{aside}");
    }
    let former = page("Test                        3/10/2021    3/14/2024");
    assert_eq!(former.len(), 1);
    assert_eq!(value(&former[0], "phosphorus"), (38.0, true), "the season of the report counts");
}

#[test]
fn a_table_of_rates_under_its_title_says_nothing_of_the_samples_above_it() {
    let found = reports(&[
        &[
            "Soil test report",
            "Client: Hob Mill Trust",
            "",
            "Sample                    North 40   Creek 1",
            "pH                        6.4        5.9",
            "Phosphorus      ppm       31         20",
            "Potassium       ppm       152        84",
        ],
        &[
            "Magnesium       ppm       172        92",
            "",
            "Fertilizer suggestions, lb per acre",
            "Crop                      wheat      hay",
            "Nitrogen N                90         50",
            "Phosphate P2O5            40         60",
            "Potash K2O                60         110",
        ],
    ]);
    let north = sample(&found, "North 40");
    assert_eq!(value(north, "phosphorus"), (31.0, true));
    assert_eq!(value(north, "magnesium"), (172.0, true));
    assert_eq!(north.readings.len(), 4, "{north:?}");
    assert_eq!(found.iter().flat_map(|r| &r.samples).count(), 2);
}

#[test]
fn the_right_half_of_a_form_names_no_column_of_the_table_below_it() {
    let found = reports(&[&[
        "Soil fertility report",
        "",
        "Grower     Hob Mill Trust               Sampled    03/14/2024",
        "Field      Home meadow                  Received   03/18/2024",
        "Report     SR88                         Depth      7 in",
        "",
        "Test       Result   Unit                Test       Result   Unit",
        "Soil pH    6.4                          CEC        13.4     meq/100g",
        "Potassium  145      ppm                 Zinc       3.3      ppm",
        "Calcium    1866     ppm                 Iron       26       ppm",
    ]]);
    let meadow = sample(&found, "Home meadow");
    assert_eq!(value(meadow, "zinc"), (3.3, true));
    assert_eq!(value(meadow, "potassium"), (145.0, true));
    assert_eq!(found[0].number.as_deref(), Some("SR88"));
}

#[test]
fn rows_of_means_are_no_samples_and_places_called_like_them_are() {
    let labels = |name: &str| {
        let row = format!("{name:<24}6.5     3.1     38        77");
        let page = [
            "Soil test report",
            "Client: Hob Mill Trust",
            "",
            "Sample                  pH      OM %    P ppm     K ppm",
            "Green 1                 6.4     3.0     31        70",
            "Green 2                 6.6     3.2     45        84",
            &row,
        ];
        reports(&[&page]).into_iter().flat_map(|r| r.samples).map(|s| s.label).collect::<Vec<_>>()
    };
    for name in [
        "Mean of greens",
        "Average of 2",
        "LSD 5 %",
        "CV, %",
        "State median",
        "Lab blank",
        "Control",
        "Total",
    ] {
        assert_eq!(labels(name), ["Green 1", "Green 2"], "{name}");
    }
    for name in ["Optimum Way", "Target Rd", "Control tower", "Total Acres West", "Meanwell"] {
        assert_eq!(labels(name), ["Green 1", "Green 2", name]);
    }
}

#[test]
fn a_title_between_rows_ends_the_unit_before_it_and_gives_its_own() {
    let found = reports(&[&[
        "Soil test report",
        "Client: Hob Mill Trust",
        "",
        "Sample                      Pit 1     Pit 2",
        "Available nutrients, mg/kg",
        "Nitrate-N                   9.7       7.5",
        "Phosphorus, Olsen           17        27",
        "Exchangeable cations (ammonium acetate), meq/100 g",
        "Calcium                     17.4      10.8",
        "Magnesium                   2.0       2.6",
        "Recommended, lb/acre",
        "Potassium                   60        40",
    ]]);
    let pit = sample(&found, "Pit 1");
    assert_eq!(value(pit, "phosphorus"), (17.0, true));
    assert!((value(pit, "calcium").0 - 17.4 * 200.4).abs() < 1.0, "{:?}", value(pit, "calcium"));
    assert!(pit.readings.iter().all(|r| r.analyte.id() != "potassium" || !r.doubts.is_empty()));
}

#[test]
fn columns_under_words_that_name_no_sample_above_wait() {
    let found = reports(&[&[
        "Soil test report",
        "Client: Hob Mill Trust",
        "",
        "Sample                  pH      OM %    P ppm     K ppm",
        "Green 1                 6.4     3.0     31        70",
        "Green 2                 6.6     3.2     45        84",
        "",
        "",
        "Fertilizer, lb/acre     Corn    Soybean",
        "Phosphorus              40      20",
        "Potassium               60      30",
    ]]);
    let sure: Vec<&str> = found
        .iter()
        .flat_map(|r| &r.samples)
        .filter(|s| s.readings.iter().any(|r| r.doubts.is_empty()) && s.doubts.is_empty())
        .map(|s| s.label.as_str())
        .collect();
    assert_eq!(sure, ["Green 1", "Green 2"]);
}

#[test]
fn a_letter_behind_the_name_of_a_bed_is_no_rating() {
    let found = reports(&[&[
        "Soil test report",
        "Client: Hob Mill Trust",
        "",
        "Test                Unit     Bed A     Bed B     Goal",
        "pH (1:1 water)               6.3       6.7       6.5",
        "Potassium           ppm      264       153       200",
        "Magnesium           ppm      208       154       150",
    ]]);
    assert_eq!(value(sample(&found, "Bed A"), "potassium"), (264.0, true));
    assert_eq!(value(sample(&found, "Bed B"), "potassium"), (153.0, true));
}

#[test]
fn an_extract_alone_over_numbers_makes_its_table_wait() {
    let found = reports(&[&[
        "Soil test report",
        "Client: Hob Mill Trust",
        "",
        "                           Potassium, ppm      ",
        "Plot      pH     Bray P1   NH4OAc   Mehlich 3  DTPA",
        "T1        6.7    47        184      210        4.2",
        "T2        7.0    67        380      433        4.8",
    ]]);
    let all: Vec<_> = found.iter().flat_map(|r| &r.samples).flat_map(|s| &s.readings).collect();
    assert!(
        !all.is_empty() && all.iter().all(|r| !r.doubts.is_empty()),
        "what stands under DTPA is not known"
    );
}

#[test]
fn half_of_the_name_of_an_extract_waits() {
    let found = reports(&[&[
        "Soil test report",
        "Client: Hob Mill Trust",
        "",
        "Sample    pH     K ppm             S ppm",
        "                 modified Morgan   Morgan",
        "T1        6.7    184               12",
        "T2        7.0    380               10",
    ]]);
    assert_eq!(value(sample(&found, "T1"), "potassium"), (184.0, true));
    assert!(!value(sample(&found, "T1"), "sulfur").1);
}

#[test]
fn a_paragraph_beside_a_table_hides_neither_its_heading_nor_that_its_numbers_are_shares() {
    let found = reports(&[&[
        "Soil test report",
        "Sample ID: Far corner",
        "",
        "Nutrients (Mehlich 3)",
        "Calcium      1165 ppm",
        "Magnesium    90 ppm",
        "Potassium    115 ppm",
        "",
        "",
        "",
        "",
        "",
        "Base saturation                               Next season",
        "Cation       % of CEC   Target",
        "                                              Apply 2.5 lb of potash in four light",
        "Calcium      83.5       65-75                 dressings, and gypsum as well after",
        "Magnesium    10.6       10-18                 the holes are filled again.",
        "Potassium    4.2        3-7",
    ]]);
    let s = sample(&found, "Far corner");
    assert_eq!(value(s, "calcium"), (1165.0, true));
    assert_eq!(value(s, "sat_ca"), (83.5, true));
    assert_eq!(value(s, "sat_k"), (4.2, true));
}

#[test]
fn a_title_that_speaks_of_shares_is_no_group_over_columns_with_units_of_their_own() {
    let table = |title: &str, heading: &str| {
        let lines = [
            "Soil test report",
            "Client: Hob Mill Trust",
            "",
            title,
            heading,
            "T1        4411      2.3    70.0    5.7",
            "T2        4412      2.6    61.0    3.0",
        ];
        let found = reports(&[&lines]);
        let all: Vec<_> = found.iter().flat_map(|r| &r.samples).flat_map(|s| &s.readings).collect();
        all.iter().any(|r| r.doubts.iter().any(|d| d.reason == "heading-unread"))
    };
    let titled = "Saturation and micronutrients";
    assert!(!table(titled, "Sample    Lab no.   % K    % Ca    Zn ppm"));
    assert!(table(titled, "Sample    Lab no.   K      Ca      Zn ppm"), "shares, or not");
}

#[test]
fn a_table_of_advice_takes_no_rows_of_the_table_beside_it() {
    let found = reports(&[&[
        "Soil test report",
        "Client: Hob Mill Trust",
        "Sample: Green 2",
        "",
        "Test              Result    Unit     Optimum          Cation       Saturation",
        "Soil pH           6.4                6.0 - 6.8        Calcium      68.5 %",
        "Phosphorus        38        ppm      25 - 55          Magnesium    13.6 %",
        "Potassium         76        ppm      75 - 175         Potassium    3.1 %",
        "Sodium            26        ppm      0 - 80           APPLY PER SEASON (lb / 1000 sq ft)",
        "                                                      N       P2O5     K2O      Lime",
        "                                                      3.5     0.5      4.0      0",
        "Iron              181       ppm      75 - 200",
        "Zinc              5.2       ppm      2 - 10           1000 sq ft keeps its colour.",
    ]]);
    let green = sample(&found, "Green 2");
    assert_eq!(value(green, "iron"), (181.0, true));
    assert_eq!(value(green, "zinc"), (5.2, true));
    assert_eq!(green.readings.iter().filter(|r| r.analyte.id() == "potassium").count(), 1);
}

#[test]
fn a_line_that_strange_words_open_tells_nothing_of_the_sample() {
    for opening in ["Irrigation water", "Tissue analysis", "Neighbour's lawn", "Hobmill spring"] {
        let line = format!("{opening}      pH 7.8     Na 44 ppm    Ca 62 ppm");
        for (over, under) in [(line.as_str(), ""), ("", line.as_str())] {
            let found = reports(&[&[
                "Soil test report",
                "Client: Hob Mill Trust",
                "Sample: Home field",
                over,
                "",
                "Test                Result   Unit",
                "pH                  6.4",
                "Potassium (K)       142      ppm",
                "Calcium (Ca)        1220     ppm",
                "",
                under,
            ]]);
            let all = || found.iter().flat_map(|r| &r.samples).flat_map(|s| &s.readings);
            let foreign = |r: &&crate::soil::Reading| [7.8, 44.0, 62.0].contains(&r.quantity.value);
            assert!(all().filter(foreign).all(|r| !r.doubts.is_empty()), "{opening}: {found:?}");
        }
    }
}
