//! Rows, sheets and tables among the results that are none of the samples': means and limits, blanks and controls,
//! former seasons, other matters, weather, products and prices.

use super::super::read;
use super::document;
use super::{reports, sample, sheets, value};
use crate::soil::Report;

fn names(found: &[Report]) -> Vec<&str> {
    found.iter().flat_map(|r| &r.samples).map(|s| s.label.as_str()).collect()
}

/// A page of rows as a typewriter sets them, below a head.
fn rows(lines: &[&str]) -> Vec<Report> {
    let head = ["Soil test report", "Client: Hob Mill Trust", "Date sampled: 03/14/2024", ""];
    let page: Vec<&str> = head.iter().chain(lines).copied().collect();
    reports(&[&page])
}

#[test]
fn rows_reckoned_from_those_above_are_no_samples() {
    let found = rows(&[
        "Sample             Lab No.   pH    OM %   P ppm   K ppm",
        "Hob 1              4101      6.1   3.2    31      140",
        "Hob 2              4102      6.5   3.6    28      161",
        "Hob 3              4103      6.0   4.0    40      152",
        "Average H                    6.2   3.6    33      151",
        "Minimum H                    6.0   3.2    28      140",
        "Maximum H                    6.5   4.0    40      161",
        "Mill 1             4104      6.8   2.2    19      90",
        "Mill 2             4105      6.6   2.8    25      110",
        "Mill side mean               6.7   2.5    22      100",
        "Farm average (n=5)           6.4   3.2    29      131",
    ]);
    assert_eq!(names(&found), ["Hob 1", "Hob 2", "Hob 3", "Mill 1", "Mill 2"]);
    assert_eq!(value(sample(&found, "Mill 2"), "phosphorus"), (25.0, true));
}

#[test]
fn a_row_that_may_be_reckoned_waits_and_one_with_a_number_is_a_sample() {
    let found = rows(&[
        "Sample             Lab No.   pH    OM %   P ppm   K ppm",
        "Hob 1              4101      6.1   3.2    31      140",
        "Mean lane          4102      6.5   3.6    28      161",
        "Hill average                 6.9   3.3    35      177",
    ]);
    assert_eq!(value(sample(&found, "Mean lane"), "phosphorus"), (28.0, true));
    assert!(!value(sample(&found, "Hill average"), "phosphorus").1);
}

#[test]
fn blanks_and_controls_of_an_export_are_no_samples() {
    let head = "CLIENT|LAB_ID|CLIENT_SAMPLE_ID|SAMPLE_TYPE|DEPTH_TOP_IN|DEPTH_BOT_IN|COLLECTED|ANALYTE|METHOD|QUALIFIER|RESULT|UNITS";
    let document = sheets(&[(
        "",
        &[
            head,
            "Hob Mill Trust|88-1|Weir field|SA|0|6|2024-03-14|pH|Water 1:1||6.3|s.u.",
            "Hob Mill Trust|88-1|Weir field|SA|0|6|2024-03-14|Boron|Hot water|<|0.2|mg/kg",
            "Hob Mill Trust|88-MB|Blank 4|MB||||Boron|Hot water|<|0.2|mg/kg",
            "Hob Mill Trust|88-LCS|Soil nine|LCS||||Boron|Hot water||1.4|mg/kg",
            "Hob Mill Trust|88-1D|Weir field|DUP||||pH|Water 1:1||6.4|s.u.",
            "Hob Mill Trust|88-7|Crib|XQ|0|6||pH|Water 1:1||6.9|s.u.",
        ],
    )]);
    let found = read(&document).unwrap();
    assert_eq!(names(&found), ["Weir field", "Crib"]);
    let weir = sample(&found, "Weir field");
    assert_eq!(value(weir, "ph"), (6.3, true));
    assert_eq!(weir.depth.map(|d| (d.top_cm, d.bottom_cm)), Some((0.0, 15.24)));
    assert_eq!(weir.sampled_on.map(|d| d.to_string()).as_deref(), Some("2024-03-14"));
    assert!(!value(sample(&found, "Crib"), "ph").1, "what `XQ` is nobody knows");
}

#[test]
fn a_code_of_a_control_where_a_name_should_stand_waits() {
    let found = rows(&[
        "Sample             Lab No.   pH    OM %   P ppm   K ppm",
        "Hob 1              4101      6.1   3.2    31      140",
        "LCS                4102      6.5   3.6    28      161",
        "Hob 3              41-MB     6.0   4.0    40      152",
    ]);
    assert!(value(sample(&found, "Hob 1"), "ph").1);
    assert!(!value(sample(&found, "LCS"), "ph").1 && !value(sample(&found, "Hob 3"), "ph").1);
}

#[test]
fn soils_of_the_laboratory_are_no_samples_in_rows_columns_and_exports() {
    let found = rows(&[
        "Sample             Lab No.   pH    OM %   P ppm   K ppm",
        "Hob 1              4101      6.1   3.2    31      140",
        "Ref soil 12        4102      6.5   3.6    28      161",
        "Hob 3 (QC)         4103      6.5   3.6    28      161",
        "House soil 9       4104      6.0   4.0    40      152",
        "Plot 4 (control)   4105      6.0   4.0    40      152",
    ]);
    assert_eq!(names(&found), ["Hob 1", "House soil 9", "Plot 4 (control)"]);
    assert!(value(sample(&found, "Hob 1"), "ph").1);
    assert!(!value(sample(&found, "House soil 9"), "ph").1, "it may be the soil beside the house");
    assert!(!value(sample(&found, "Plot 4 (control)"), "ph").1, "it may be a plot of a trial");
    let found = rows(&[
        "Sample       Hob 1    Standard soil B   House soil",
        "Lab No.      4101     4102              4103",
        "pH           6.1      6.5               6.0",
        "OM %         3.2      3.6               4.0",
        "P ppm        31       28                40",
    ]);
    assert_eq!(names(&found), ["Hob 1", "House soil"]);
    assert!(value(sample(&found, "Hob 1"), "ph").1 && !value(sample(&found, "House soil"), "ph").1);
    let document = sheets(&[(
        "",
        &[
            "Sample|Lab number|Determination|Result|Units",
            "Hob 1|4101|pH|6.1|",
            "Hob 1|4101|Potassium|140|mg/kg",
            "In-house reference|4102|pH|6.6|",
            "In-house reference|4102|Potassium|151|mg/kg",
            "House soil 9|4103|pH|6.7|",
            "House soil 9|4103|Potassium|152|mg/kg",
        ],
    )]);
    let found = read(&document).unwrap();
    assert_eq!(names(&found), ["Hob 1", "House soil 9"]);
    assert!(value(sample(&found, "Hob 1"), "ph").1);
    assert!(
        !value(sample(&found, "House soil 9"), "ph").1
            && !value(sample(&found, "House soil 9"), "potassium").1
    );
}

#[test]
fn rows_at_the_foot_are_no_samples_whatever_their_names() {
    let found = rows(&[
        "Sample             Lab No.   pH    OM %   P ppm   K ppm",
        "Hob 1              4101      6.1   3.2    31      140",
        "Hob 2              4102      6.5   3.6    28      161",
        "Hob 3              4103      6.0   4.0    40      152",
        "Whole ground                 6.2   3.6    33      151",
        "Lowest seen                  6.0   3.2    28      140",
        "Yard tub                     6.4   3.1    35      166",
    ]);
    assert_eq!(names(&found), ["Hob 1", "Hob 2", "Hob 3", "Yard tub"]);
    assert!(value(sample(&found, "Hob 3"), "ph").1);
    assert!(!value(sample(&found, "Yard tub"), "ph").1, "it has no number where the others have one");
    let found = rows(&[
        "Sample             pH    OM %   P ppm   K ppm",
        "Hob 1              6.1   3.2    31      140",
        "Hob 2              6.5   3.6    28      161",
        "Hob 3              6.0   4.0    40      152",
        "Hob 4              6.0   3.8    39      149",
        "Whole ground       6.2   3.7    35      151",
    ]);
    assert!(value(sample(&found, "Hob 4"), "ph").1);
    assert!(!value(sample(&found, "Whole ground"), "ph").1, "it is the mean in every number");
}

#[test]
fn a_mean_of_all_rows_is_told_where_one_is_called_control() {
    let found = rows(&[
        "Sample             Lab No.   pH    OM %   P ppm   K ppm",
        "Hob 1              4101      6.1   3.2    31      140",
        "Control            4102      6.5   3.6    28      161",
        "Hob 3              4103      6.0   4.0    40      152",
        "Hob 4              4104      6.2   4.4    45      123",
        "Whole ground                 6.2   3.8    36      144",
        "Lowest seen                  6.0   3.2    28      123",
    ]);
    assert_eq!(names(&found), ["Hob 1", "Control", "Hob 3", "Hob 4"]);
    assert!(!value(sample(&found, "Control"), "ph").1, "a plot or the laboratory's own");
}

#[test]
fn a_row_without_a_number_is_a_sample_where_others_have_none_or_it_repeats_a_name() {
    let found = rows(&[
        "Sample             Lab No.   pH    OM %   P ppm   K ppm",
        "Hob 1              4101      6.1   3.2    31      140",
        "Hob 2              4102      6.5   3.6    28      161",
        "Hob 3                        6.0   4.0    40      152",
        "Hob 4                        6.3   4.4    41      99",
    ]);
    assert!(value(sample(&found, "Hob 4"), "ph").1);
    let found = rows(&[
        "Sample             pH    OM %   P ppm   K ppm",
        "Hob 1              6.1   3.2    31      140",
        "Hob 2              6.1   3.2    31      140",
        "Hob 3              6.1   3.2    31      140",
        "Hob 4              6.1   3.2    31      140",
    ]);
    assert!(value(sample(&found, "Hob 4"), "ph").1, "columns of one number prove nothing");
}

#[test]
fn a_sheet_of_a_former_year_is_not_this_report() {
    let own: &[&str] = &[
        "Hob Mill Trust soil test",
        "Date sampled|2024-03-14",
        "Sample|pH|P ppm|K ppm",
        "Tee|6.1|31|140",
        "Green|6.4|22|120",
    ];
    let table = ["Sample|pH|P ppm|K ppm", "Tee|5.7|44|150", "Green|5.9|35|160"];
    for (name, title) in
        [("2022", None), ("Results 2022", None), ("Before", Some("Results 2022, for comparison"))]
    {
        let lines: Vec<&str> = title.into_iter().chain(table).collect();
        let found = read(&sheets(&[("Results", own), (name, &lines)])).unwrap();
        assert_eq!(names(&found), ["Tee", "Green"], "{name}");
        assert_eq!(value(sample(&found, "Tee"), "phosphorus"), (31.0, true), "{name}");
    }
    for (name, title) in [("2026", None), ("Sheet2", Some("Previous results"))] {
        let lines: Vec<&str> = title.into_iter().chain(table).collect();
        let found = read(&sheets(&[("Results", own), (name, &lines)])).unwrap();
        let sure = found.iter().flat_map(|r| &r.samples).flat_map(|s| &s.readings);
        let sure = sure.filter(|r| r.doubts.is_empty() && r.quantity.value == 44.0).count();
        assert_eq!(sure, 0, "{name}");
    }
}

#[test]
fn a_row_of_a_former_year_under_a_sample_is_none() {
    let found = rows(&[
        "Sample             Lab No.   pH    OM %   P ppm   K ppm",
        "Hob 1              4101      6.1   3.2    31      140",
        "in 2021                      6.5   3.6    28      161",
        "Hob 2              4102      6.2   3.4    35      144",
        "2021                         6.4   3.8    24      166",
    ]);
    assert_eq!(names(&found), ["Hob 1", "Hob 2", "2021"]);
    assert!(value(sample(&found, "Hob 1"), "ph").1);
    assert!(!value(sample(&found, "2021"), "ph").1, "a year alone may be the number of a bag");
}

const SOIL: [&str; 3] = [
    "Sample             Lab No.   pH    OM %   P ppm   K ppm   CEC meq/100g",
    "Hob 1              4101      6.1   3.2    31      140     11.2",
    "Hob 2              4102      6.5   3.6    28      161     12.4",
];

#[test]
fn other_tables_below_the_results_are_no_samples() {
    for lines in [
        &[
            "Leaf analysis, same trees",
            "Block              N %    P %    K %    Mg %   B ppm",
            "A                  2.4    0.2    1.3    0.3    30",
        ][..],
        &[
            "Weather",
            "Station            Rain mm   Hail   Frost nights",
            "Upper              40        4.1    6",
            "Lower              44        5.2    3",
        ],
        &["Removal, lb per ton", "Crop     N    P    K    Mg", "Rye      38   7    11   3"],
        &[
            "Charges",
            "Test     Number    Each      Total",
            "pH       2         6.00      12.00",
            "Organic matter   2   9.00   18.00",
        ],
        &[
            "Irrigation water, pond",
            "Source   pH    EC dS/m   Ca mg/L   K mg/L",
            "Pond     7.2   0.61      44        5",
        ],
    ] {
        let page: Vec<&str> = SOIL.iter().chain(&["", ""]).chain(lines).copied().collect();
        let found = rows(&page);
        assert_eq!(names(&found), ["Hob 1", "Hob 2"], "{lines:?}");
        assert_eq!(value(sample(&found, "Hob 2"), "ph"), (6.5, true), "{lines:?}");
    }
}

#[test]
fn a_leaf_analysis_alone_is_refused_and_soil_of_another_name_is_read() {
    let leaf = [
        "Leaf analysis",
        "Block    N %    P %    K %",
        "A        2.4    0.2    1.3",
        "B        2.1    0.3    1.2",
    ];
    let page = super::document(&[&leaf]);
    assert!(read(&page).is_err());
    let page: Vec<&str> = SOIL
        .iter()
        .chain(&["", "", "Second lot", "Crop     pH    P ppm   K ppm", "Hob 1    6.3   30      141"])
        .copied()
        .collect();
    let found = rows(&page);
    assert!(
        found.iter().flat_map(|r| &r.samples).flat_map(|s| &s.readings).any(|r| r.quantity.value == 141.0),
        "rows called as a sample above are not dropped"
    );
}

#[test]
fn leaves_beside_soil_wait_and_leaves_alone_are_refused() {
    let leaves = [
        "Clippings       N %    P %    K %    Ca %   Zn ppm",
        "Hob 1           3.6    0.41   1.9    0.6    41",
        "Hob 2           3.9    0.44   2.1    0.7    44",
    ];
    let soil = [
        "Soil test report",
        "Client: Hob Mill Trust",
        "",
        "Sample          Lab No.   pH    CEC meq/100 g   Zn ppm",
        "Weir            4101      6.1   9.8             2.2",
        "Crib            4102      6.5   9.1             3.1",
        "",
        "",
        "",
    ];
    let both: Vec<&str> = soil.iter().chain(&leaves).copied().collect();
    let found = reports(&[&both]);
    assert_eq!(value(sample(&found, "Weir"), "zinc"), (2.2, true));
    let accepted = |r: &&crate::soil::Reading| r.doubts.is_empty();
    let samples = found.iter().flat_map(|r| &r.samples).filter(|s| s.label != "Weir" && s.label != "Crib");
    assert_eq!(samples.flat_map(|s| &s.readings).filter(accepted).count(), 0);
    let alone: Vec<&str> =
        ["Report 12", "Client: Hob Mill Trust", ""].iter().chain(&leaves).copied().collect();
    assert!(read(&super::document(&[&alone])).is_err());
}

#[test]
fn what_tests_cost_is_no_result() {
    for heading in [
        "Test             Method            Reported in   Samples   Each    Total",
        "Test             Method            Unit          Number    Price   Sum",
        "Prüfung          Methode           Einheit       Anzahl    Preis   Betrag",
    ] {
        let page = [
            "Hobmill Laboratory",
            "Quotation Q-14        Date: 14 March 2024",
            "For: Hob Mill Trust   Soil analysis, season 2024",
            "",
            heading,
            "Soil pH          1:2.5 water                     24        4.50    108.00",
            "Phosphorus       Olsen             mg/kg         24        6.20    148.80",
            "Zinc             DTPA              mg/kg         6         7.90    47.40",
            "                                                          Sum     304.20",
        ];
        assert!(read(&document(&[&page])).is_err(), "{heading}");
    }
}
