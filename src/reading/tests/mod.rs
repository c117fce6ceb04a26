//! Whole pages, set as on a typewriter: what becomes of them. Names and numbers are invented.

mod abroad;

mod asides;
mod forms;

mod blank_rows;

mod capitals;

mod close;

mod goes_on;

mod names;

mod procedures;

mod letters;

mod none_of_these;

use super::layout::tests::typed;
use super::read;
use crate::document::{Document, Format, Page};
use crate::soil::{Method, Reading, Report, Sample};

fn document(pages: &[&[&str]]) -> Document {
    let pages: Vec<Page> =
        pages.iter().zip(1..).map(|(lines, number)| Page { number, ..typed(lines) }).collect();
    Document { format: Format::Pdf, pages, members: Vec::new(), notes: Vec::new() }
}

fn reports(pages: &[&[&str]]) -> Vec<Report> {
    read(&document(pages)).unwrap()
}

fn sample<'a>(reports: &'a [Report], label: &str) -> &'a Sample {
    let all = || reports.iter().flat_map(|r| &r.samples);
    all()
        .find(|s| s.label == label)
        .unwrap_or_else(|| panic!("{:?}", all().map(|s| &s.label).collect::<Vec<_>>()))
}

fn reading<'a>(sample: &'a Sample, id: &str) -> &'a Reading {
    sample.readings.iter().find(|r| r.analyte.id() == id).unwrap()
}

/// Value, and whether nothing speaks against it.
fn value(sample: &Sample, id: &str) -> (f64, bool) {
    let r = reading(sample, id);
    (r.quantity.value, r.doubts.is_empty())
}

#[test]
fn a_table_of_analytes_goes_on_over_the_page_under_the_same_samples() {
    let found = reports(&[
        &[
            "Soil test report",
            "Client: Hob Mill Trust",
            "",
            "                          Paddock    Orchard",
            "                          H-101      H-102",
            "pH                        6.4        5.9",
            "Potassium       mg/kg     152        84",
            "Calcium         mg/kg     1490       860",
            "CEC             cmol/kg   10.3       6.8",
        ],
        &["Magnesium       mg/kg     172        92", "Sodium          mg/kg     18         13"],
    ]);
    assert_eq!(value(sample(&found, "Paddock"), "magnesium"), (172.0, true));
    assert_eq!(value(sample(&found, "Orchard"), "sodium"), (13.0, true));
}

#[test]
fn rates_beside_results_silence_no_result_and_are_none() {
    let found = reports(&[&[
        "Soil test report",
        "Client: Hob Mill Trust",
        "",
        "                                      Recommendations, lb/acre",
        "Sample    pH     OM %    P ppm        N      P2O5     K2O",
        "Tee       6.4    3.1     22           40     20       30",
        "Green     6.2    2.8     31           50     10       25",
    ]]);
    assert_eq!(value(sample(&found, "Tee"), "phosphorus"), (22.0, true));
    assert!(found[0].samples.iter().flat_map(|s| &s.readings).all(|r| r.analyte.id() != "potassium"));
}

#[test]
fn neutralizable_acidity_is_no_blank_and_a_salt_ph_no_water_ph() {
    let found = reports(&[&[
        "Soil test report",
        "Sample ID: Long strip",
        "",
        "TEST               RESULT   UNIT",
        "pHs (salt)         5.2",
        "Water pH           5.7",
        "N.A.               4.0      meq/100g",
        "K                  260      ppm",
        "",
        "pHs is measured in 0.01 M CaCl2.",
    ]]);
    let s = sample(&found, "Long strip");
    assert_eq!(value(s, "acidity"), (4.0, true));
    let ph: Vec<(f64, Method)> =
        s.readings.iter().filter(|r| r.analyte.id() == "ph").map(|r| (r.quantity.value, r.method)).collect();
    assert_eq!(ph, [(5.2, Method::Cacl2), (5.7, Method::Unstated)]);
}

#[test]
fn an_index_column_beside_the_results_is_no_result() {
    let found = reports(&[&[
        "Soil test report",
        "Sample ID: Lower strip",
        "",
        "Determination     Result    Units    Index",
        "pH                6.5",
        "Phosphorus        19        ppm      2",
        "Potassium         134       ppm      2-",
        "Magnesium         76        ppm      2",
    ]]);
    let s = sample(&found, "Lower strip");
    assert_eq!(value(s, "phosphorus"), (19.0, true));
    assert_eq!(value(s, "magnesium"), (76.0, true));
}

#[test]
fn not_detected_takes_the_limit_of_its_line_and_stays_in_doubt_where_two_could_be_meant() {
    let page = |legend: &'static str| {
        reports(&[&[
            "Certificate of soil analysis",
            "Sample ID: Trial bed",
            "",
            "Analyte      Result    Units     RL      MDL",
            "pH           7.3                 0.1",
            "Zinc         1.92      mg/kg     0.10    0.02",
            "Copper       ND        mg/kg     0.20    0.05",
            "",
            legend,
        ]])
    };
    let found = page("ND: not detected at the reporting limit.");
    let copper = reading(sample(&found, "Trial bed"), "copper");
    assert_eq!((copper.quantity.value, copper.quantity.qualifier.map(|q| q.id())), (0.2, Some("<")));
    assert!(copper.doubts.is_empty(), "{:?}", copper.doubts);
    let found = page("ND: not detected.");
    let copper = reading(sample(&found, "Trial bed"), "copper");
    assert_eq!(copper.doubts[0].alternatives, ["< 0.2", "< 0.05"]);
    let found = page("RL: reporting limit.");
    assert!(sample(&found, "Trial bed").readings.iter().all(|r| r.analyte.id() != "copper"));
}

#[test]
fn competing_columns_are_named_in_the_doubt() {
    let found = reports(&[&[
        "Soil test report",
        "Sample ID: Far corner",
        "",
        "pH            6.4      6.9",
        "Potassium     152      184",
        "Magnesium     172      201",
    ]]);
    let k = reading(sample(&found, "Far corner"), "potassium");
    assert_eq!(k.doubts[0].alternatives, ["152", "184"]);
}

#[test]
fn one_reading_in_two_units_of_its_layer_is_one_reading() {
    let found = reports(&[&[
        "Soil test report",
        "Sample ID: East quarter",
        "",
        "Depth    pH     OM     NO3-N   NO3-N     K",
        "inches          %      ppm     lb/acre   ppm",
        "0-6      6.9    3.2    11.5    20.7      240",
    ]]);
    let s = sample(&found, "East quarter");
    assert_eq!(value(s, "nitrate_n"), (11.5, true));
}

#[test]
fn ratings_glued_to_values_come_off_where_the_legend_explains_them() {
    let found = reports(&[&[
        "Soil test report",
        "Sample ID: Back bed",
        "",
        "Element         Found",
        "pH              6.3L",
        "Organic Matter  4.1 M %",
        "K (M3)          142M ppm",
        "Zn (M3)         3.9H   ppm",
        "",
        "Legend: L low, M medium, H high.",
    ]]);
    let s = sample(&found, "Back bed");
    assert_eq!(value(s, "potassium"), (142.0, true));
    assert_eq!(value(s, "organic_matter"), (4.1, true));
}

#[test]
fn the_season_of_the_report_is_read_and_former_ones_are_not() {
    for last in ["2024", "2024 (this report)"] {
        let head = format!("Test              Unit    2020    2022    {last}");
        let found = reports(&[&[
            "Soil test report",
            "Sample ID: Rink 7",
            "Date sampled: October 3, 2024",
            "",
            &head,
            "pH                        6.0     6.1     6.3",
            "Potassium         ppm     101     118     148",
            "Magnesium         ppm     150     158     171",
        ]]);
        let s = sample(&found, "Rink 7");
        // Whether anything speaks against it is another question; a former season is never taken for this one.
        assert_eq!(value(s, "potassium").0, 148.0, "{last}");
        assert_eq!(s.readings.len(), 3, "{last}");
    }
}

#[test]
fn what_a_mail_quotes_is_older() {
    let found = reports(&[&[
        "Soil test report",
        "Sample ID: Croft",
        "pH 1:1: 6.1",
        "K: 96 mg/kg",
        "",
        "> Last year my pH was 5.4 and potassium was 60 mg/kg.",
    ]]);
    assert_eq!(value(sample(&found, "Croft"), "potassium"), (96.0, true));
}

#[test]
fn names_over_their_values_make_a_list() {
    let found = reports(&[&[
        "Soil test report",
        "Sample ID: Front beds",
        "",
        "Soil pH",
        "6.2 slightly acid",
        "Potassium, Mehlich 3",
        "139 ppm medium",
        "Magnesium, Mehlich 3",
        "172 ppm high",
    ]]);
    assert_eq!(value(sample(&found, "Front beds"), "potassium"), (139.0, true));
}

#[test]
fn a_qualifier_in_a_column_of_its_own_belongs_to_the_number() {
    let found = reports(&[&[
        "Soil test report",
        "Sample ID    Lab No    Analyte     Qualifier    Result    Units",
        "Plot 3       S-31      Zinc                     3.3       mg/kg",
        "Plot 3       S-31      Boron       <            0.2       mg/kg",
        "Plot 3       S-31      Copper      J            0.4       mg/kg",
    ]]);
    let s = sample(&found, "Plot 3");
    assert_eq!(reading(s, "boron").quantity.qualifier.map(|q| q.id()), Some("<"));
    assert_eq!(reading(s, "copper").doubts[0].reason, "flagged");
    assert!(reading(s, "zinc").doubts.is_empty());
}

#[test]
fn milligrams_a_litre_beside_a_paste_extract_wait_and_its_conductivity_does_not() {
    let found = reports(&[&[
        "Soil salinity report",
        "Saturated paste extract",
        "Sample    Lab ID   pH     ECe dS/m   Ca meq/L   Na meq/L   B mg/L   SAR",
        "North     9120     8.0    3.58       17.6       13.4       0.4      4.2",
        "South     9121     7.9    5.71       17.8       37.4       0.5      11.1",
    ]]);
    assert_eq!(value(sample(&found, "North"), "soluble_salts"), (3.58, true));
    assert_eq!(value(sample(&found, "North"), "boron"), (0.4, false));
}

#[test]
fn of_two_columns_of_names_the_long_number_is_the_laboratorys() {
    let found = reports(&[&[
        "Soil test report",
        "Sample No.   Field        pH     P ppm    K ppm",
        "52201        Upper Ried   6.5    24       141",
        "52202        Kiln side    7.1    31       205",
    ]]);
    let sample = sample(&found, "Upper Ried");
    assert_eq!(
        (sample.lab_number.as_deref(), reading(sample, "phosphorus").quantity.value),
        (Some("52201"), 24.0)
    );
}

#[test]
fn rates_behind_the_results_of_a_row_are_no_results_and_take_none_away() {
    let found = reports(&[&[
        "Soil test report",
        "Field      Lab #   pH    OM %   P ppm   K ppm   Ca ppm   Mg ppm   N     P2O5   K2O   Lime T/A",
        "Silo       7061    6.5   5.0    56      85      1025     148      150   0      80    1.5",
        "Hwy 9      7062    5.3   4.6    77      202     1623     173      150   30     80    2",
    ]]);
    let silo = sample(&found, "Silo");
    assert_eq!((value(silo, "ph"), value(silo, "calcium")), ((6.5, true), (1025.0, true)));
    let sure =
        |id: &str| silo.readings.iter().filter(|r| r.analyte.id() == id && r.doubts.is_empty()).count();
    assert_eq!((sure("phosphorus") <= 1, reading(silo, "phosphorus").quantity.value), (true, 56.0));
    assert!(
        silo.readings.iter().all(|r| r.doubts.is_empty() || r.analyte.unit() == crate::soil::Unit::MgPerKg)
    );
}

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
fn a_season_with_its_month_is_a_season_and_a_caption_gives_its_unit() {
    let found = reports(&[
        &[
            "Soil test report",
            "Sample: Fairway 3",
            "Sampled 5/14/2024",
            "",
            "Test          Unit   5/2020   5/2022   5/2024",
            "pH                   6.1      6.2      6.4",
            "Potassium     ppm    158      214      82",
            "Calcium       ppm    1436     2054     763",
        ],
        &[
            "Soil test report",
            "Micronutrients (DTPA), ppm",
            "Lab ID    Sample       Zn     Fe     Mn",
            "3310      B1 north     2.9    28.6   17.8",
            "3311      B1 south     3.9    16.2   3.0",
        ],
    ]);
    assert_eq!(value(sample(&found, "Fairway 3"), "potassium"), (82.0, true));
    assert_eq!(value(sample(&found, "B1 north"), "iron"), (28.6, true));
}

#[test]
fn the_name_of_the_next_sample_ends_a_table_and_nothing_of_one_form_is_the_others() {
    let found = reports(&[&[
        "Soil test report",
        "Date received: 24 April 2024",
        "",
        "Sample: Moss bank",
        "Test                  Result   Unit",
        "pH                    6.4",
        "Organic matter                 %",
        "Potassium             152      mg/kg",
        "Calcium               1490     mg/kg",
        "Sample: Fern walk",
        "Date Sampled: 18 March 2024",
        "Test                  Result   Unit",
        "pH                    5.9",
        "Organic matter        3.7      %",
        "Potassium             84       mg/kg",
        "Calcium               860      mg/kg",
    ]]);
    let (moss, fern) = (sample(&found, "Moss bank"), sample(&found, "Fern walk"));
    assert!(moss.readings.iter().all(|r| r.analyte.id() != "organic_matter"), "{moss:?}");
    assert_eq!(value(moss, "potassium"), (152.0, true));
    assert_eq!(value(fern, "organic_matter"), (3.7, true));
    assert_eq!((moss.sampled_on, fern.sampled_on.map(|d| d.to_string())), (None, Some("2024-03-18".into())));
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
fn an_extract_broken_over_two_lines_names_no_other_element() {
    let found = reports(&[&[
        "Soil test report",
        "",
        "Sample   P Sodium      K          pH",
        "         bicarbonate   (mg/kg)",
        "Tee      17            120        7.8",
        "Green    13            88         7.7",
    ]]);
    let tee = sample(&found, "Tee");
    assert!(tee.readings.iter().all(|r| r.analyte.id() != "sodium"), "{tee:?}");
    assert_eq!(reading(tee, "phosphorus").method, Method::Olsen);
}

#[test]
fn a_method_that_stands_over_no_column_makes_its_neighbours_wait() {
    let found = reports(&[&[
        "Soil test report",
        "",
        "Sample                                       pH     K mg/kg   Zn mg/kg",
        "          one part soil to one part water           Mehlich 3 Mehlich 3",
        "Tee                                          6.4    120       3.1",
        "Green                                        6.2    88        2.9",
    ]]);
    assert!(!value(sample(&found, "Tee"), "ph").1, "{found:?}");
}

#[test]
fn a_name_set_close_to_the_next_column_ends_where_that_column_begins() {
    let found = reports(&[&[
        "Soil test report",
        "",
        "                Lab",
        "Sample ID       ID      pH     K mg/kg   Ca mg/kg",
        "East paddock 1  34306   7.8    408       1470",
    ]]);
    assert_eq!(sample(&found, "East paddock 1").lab_number.as_deref(), Some("34306"));
}

#[test]
fn words_of_a_heading_name_no_sample() {
    use super::header::reads_like_a_heading;
    for heading in [
        "mg/kg",
        "Your",
        "% OM",
        "Extractable P",
        "Result",
        "Mehlich 3",
        "Description Lab # Nutrient Result Unit",
    ] {
        assert!(reads_like_a_heading(heading), "{heading}");
    }
    for name in ["P1", "K 1", "North 40 3", "Green 7", "Critical slope", "Bank top", "Moss"] {
        assert!(!reads_like_a_heading(name), "{name}");
    }
}

#[test]
fn what_was_printed_twice_with_unlike_values_is_of_two_samples() {
    let found = reports(&[&[
        "Soil test report",
        "Sample: Moss bank",
        "",
        "pH            6.4",
        "Potassium     152   mg/kg",
        "Zinc          1.9   mg/kg",
        "",
        "pH            5.9",
        "Potassium     84    mg/kg",
    ]]);
    let moss = sample(&found, "Moss bank");
    assert!(!value(moss, "zinc").1, "{moss:?}");
}

#[test]
fn a_letter_in_a_column_of_ratings_is_no_hydrogen() {
    let found = reports(&[&[
        "Soil test report",
        "Sample: Moss bank",
        "",
        "Test             Level     Result   Unit",
        "pH               Medium    6.0",
        "Organic matter   H         3.2      %",
        "Phosphorus       Low       16       mg/kg",
        "Potassium        VH        299      mg/kg",
    ]]);
    let moss = sample(&found, "Moss bank");
    assert!(
        moss.readings.iter().all(|r| r.analyte.id() != "acidity" && r.analyte.id() != "sat_h"),
        "{moss:?}"
    );
    assert_eq!(value(moss, "organic_matter"), (3.2, true));
}

#[test]
fn a_limit_in_a_heading_set_close_is_no_result() {
    let found = reports(&[&[
        "Soil test report",
        "Sample: Moss bank",
        "",
        "Analysis Test result Unit      Detection limit Normal Range",
        "pH         7.7                       5          4.3 to 10.5",
        "OM         2.0       pct             0.5        1.5 to 3.0",
        "P          20        mg/kg           1          > 12",
        "K          298       mg/kg           5          166-396",
    ]]);
    for report in &found {
        for r in report.samples.iter().flat_map(|s| &s.readings) {
            let wrong = ["5", "0.5", "1"].contains(&r.printed.value.as_str());
            assert!(!wrong || !r.doubts.is_empty(), "{r:?}");
        }
    }
}

#[test]
fn a_former_season_alone_is_no_result() {
    let found = reports(&[&[
        "Soil test report",
        "Date reported: 20 May 2024",
        "Sample: Moss bank",
        "",
        "Test                2024    Unit     2022",
        "Phosphorus                  mg/kg    11",
        "Potassium           409     mg/kg    407",
        "Calcium             3102    mg/kg    2466",
        "Zinc                0.8     mg/kg    0.9",
    ]]);
    let former = ["11", "407", "2466", "0.9"];
    for r in found.iter().flat_map(|r| &r.samples).flat_map(|s| &s.readings) {
        assert!(!r.doubts.is_empty() || !former.contains(&r.printed.value.as_str()), "{r:?}");
    }
}

#[test]
fn a_name_and_a_figure_behind_what_asks_for_names_are_a_name() {
    let found = reports(&[&[
        "Soil test report",
        "Client: Hob Mill Trust",
        "",
        "                       Block",
        "Sample       Unit      K 1",
        "Lab No.                30578",
        "pH                     7.5",
        "OM           %         2.3",
        "Ca           mg/kg     2010",
        "CEC          cmol/kg   11.7",
    ]]);
    assert_eq!(value(sample(&found, "Block K 1"), "ph"), (7.5, true));
}

#[test]
fn a_word_set_apart_over_half_a_name_asks_for_no_name() {
    let found = reports(&[&[
        "Soil test report",
        "Client: Hob Mill Trust",
        "",
        "             Block",
        "Nothing      Quoin 1",
        "pH           7.5",
        "OM           2.3",
        "Ca  mg/kg    2010",
    ]]);
    let labels: Vec<&str> = found.iter().flat_map(|r| &r.samples).map(|s| s.label.as_str()).collect();
    assert!(!labels.contains(&"Quoin"), "{labels:?}");
}

#[test]
fn a_result_and_a_former_season_set_close_together_come_apart() {
    let found = reports(&[&[
        "Soil test report",
        "Client: Hob Mill Trust",
        "Sample: Orchard",
        "",
        "Determination     Found Last test     Determination     Found Last test",
        "pH                7.4   8.2           Magnesium (ppm)   287   279",
        "Potassium (ppm)   132   167           Sodium (ppm)      46    58",
        "Calcium (ppm)     4228  3708          Iron (ppm)        14    12",
    ]]);
    let orchard = sample(&found, "Orchard");
    assert_eq!(value(orchard, "ph"), (7.4, true));
    assert_eq!(value(orchard, "magnesium"), (287.0, true));
}

#[test]
fn two_names_set_as_one_name_no_column() {
    let found = reports(&[&[
        "Soil test report",
        "Client: Hob Mill Trust",
        "",
        "Sample       North 40 3 Front lawn 3",
        "pH           5.6        6.4",
        "OM           6.1        5.6",
        "CEC          10.3       8.2",
    ]]);
    for sample in found.iter().flat_map(|r| &r.samples) {
        assert!(!sample.label.contains("3 Front"), "{}", sample.label);
        assert!(
            sample.readings.iter().all(|r| !r.doubts.is_empty()) || sample.label != "North 40 3",
            "{sample:?}"
        );
    }
}

#[test]
fn a_row_without_a_value_names_no_method_for_others() {
    let found = reports(&[&[
        "Soil test report",
        "Client: Hob Mill Trust",
        "Sample: Orchard",
        "",
        "Analysis                result   Unit",
        "pH                      6.3",
        "STP                     8        mg/kg",
        "Mg (M1)                 115      mg/kg",
        "Mn Mehlich 1 extract             mg/kg",
        "Cu                               mg/kg",
    ]]);
    assert_eq!(reading(sample(&found, "Orchard"), "phosphorus").method, Method::Unstated);
}

#[test]
fn a_range_beside_blank_values_is_no_value() {
    let found = reports(&[&[
        "Soil test report",
        "Client: Hob Mill Trust",
        "Sample: Orchard",
        "",
        "Analysis               Found   Unit       Sufficiency range",
        "pH                     6.4                4.4 - 10.1",
        "Potassium              330     ppm        259 - 465",
        "Calcium                3614    ppm        1928 - 5550",
        "Magnesium                      ppm        7 - 16",
        "Sodium                         ppm        7 - 16",
        "CEC                            meq/100 g  10 - 16",
        "Potassium saturation           percent    8 - 18",
        "Calcium saturation             percent    8 - 18",
        "Magnesium saturation           percent    > 10",
    ]]);
    let orchard = sample(&found, "Orchard");
    assert!(orchard.readings.iter().all(|r| r.analyte.id() != "sat_mg"), "{orchard:?}");
    assert_eq!(value(orchard, "calcium"), (3614.0, true));
}

#[test]
fn a_figure_of_the_next_column_is_no_layer() {
    let found = reports(&[&[
        "Soil test report",
        "Client: Hob Mill Trust",
        "",
        "Sample    Depth         ENR   pH     OM, %    Zn, ppm",
        "Moss 1    0-6 inches    0.5   6.4    6.8      0.9",
        "Moss 2    0-6 inches  5       6.2    6.9      0.7",
        "Moss 3    0-6 inches  5       6.3    6.5      0.8",
        "Moss 4    0-6 inches    0.5   6.6    6.2      0.6",
    ]]);
    for sample in found.iter().flat_map(|r| &r.samples) {
        assert!(sample.depth.is_none_or(|d| (d.bottom_cm - 15.24).abs() < 0.01), "{sample:?}");
    }
}

#[test]
fn names_that_look_like_an_extract_head_the_columns_of_samples() {
    let found = reports(&[&[
        "Soil test report",
        "Client: Hob Mill Trust",
        "",
        "Sample                P1     P2     F3",
        "pH                    5.8    6.3    6.1",
        "P  (Mehlich 3) ppm    28     22     61",
        "K  (Mehlich 3) ppm    110    121    119",
        "Ca (Mehlich 3) ppm    1059   1191   1959",
    ]]);
    let labels: Vec<&str> = found.iter().flat_map(|r| &r.samples).map(|s| s.label.as_str()).collect();
    assert!(labels.iter().all(|l| ["P1", "P2", "F3", ""].contains(l)), "{labels:?}");
}

#[test]
fn a_blank_mark_of_the_next_column_is_no_end_of_a_name() {
    let found = reports(&[&[
        "Soil test report",
        "Client: Hob Mill Trust",
        "",
        "Location        P, ppm    K, ppm    pH     OM, %",
        "Moss bed 1      20        131       7.6    3.8",
        "Moss bed 2 n/a            399       7.4    3.4",
        "Moss bed 3      22        140       7.1    3.1",
    ]]);
    assert_eq!(value(sample(&found, "Moss bed 2"), "ph"), (7.4, true));
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
fn an_extract_of_one_column_is_not_that_of_a_bare_neighbour() {
    let found = reports(&[&[
        "Soil test report",
        "Client: Hob Mill Trust",
        "",
        "Sample     Zn, ppm      Ca, ppm     P, ppm                   OM, %",
        "           DTPA                     Mehlich 3 extractable    LOI",
        "Moss       1.2          820         41                       3.5",
        "Tee        1.4          910         38                       3.1",
    ]]);
    assert_eq!(reading(sample(&found, "Moss"), "calcium").method, Method::Unstated);
    assert_eq!(reading(sample(&found, "Moss"), "phosphorus").method, Method::Mehlich3);
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
fn the_method_of_a_sum_stands_close_behind_its_unit() {
    let found = reports(&[&[
        "Soil test report",
        "Client: Hob Mill Trust",
        "Sample: Orchard",
        "",
        "Parameter   Results   Unit     Method           Previous",
        "pH          7.9                1:1 in water     9.5",
        "Potassium   224       ppm      Mehlich 3        279",
        "CEC         28.2      me/100g calc.             23.5",
    ]]);
    let orchard = sample(&found, "Orchard");
    assert!(orchard.readings.iter().all(|r| r.analyte.id() != "calcium"), "{orchard:?}");
    assert_eq!(reading(orchard, "cec").method, Method::Summation);
    assert_eq!(value(orchard, "cec"), (28.2, true));
}

#[test]
fn names_of_which_the_upper_words_are_set_with_a_heading_name_none() {
    let found = reports(&[&[
        "Soil test report",
        "Client: Hob Mill Trust",
        "",
        "                             Front",
        "                       North lawn Tee  Optimum",
        "Determination   Unit   40 3  3    3    Range",
        "Lab No.                2002  2003 2004",
        "pH                     5.6   5.6  6.4  4.8 - 7.4",
        "OM              %      5.5   6.1  5.6  4.0 - 8.1",
        "Ca              ppm    409   519  466  290 - 513",
    ]]);
    let labels: Vec<&str> = found.iter().flat_map(|r| &r.samples).map(|s| s.label.as_str()).collect();
    let whole = ["North 40 3", "Front lawn 3", "Tee 3", ""];
    assert!(labels.iter().all(|l| whole.contains(l)), "{labels:?}");
}

#[test]
fn rates_under_one_heading_are_no_results() {
    let found = reports(&[&[
        "Soil test report",
        "Client: Hob Mill Trust",
        "",
        "                                          Fertilizer to apply, lb/acre",
        "Sample Name   pH    Mg, ppm   OM, %       N        P2O5      K2O",
        "Moss          6.9   186       5.7         0        25        25",
        "Tee           6.6   256       3.8         1.5      0         50",
    ]]);
    for sample in found.iter().flat_map(|r| &r.samples) {
        assert!(
            sample.readings.iter().all(|r| r.analyte.id() != "potassium" || !r.doubts.is_empty()),
            "{sample:?}"
        );
    }
}

#[test]
fn the_line_of_a_heading_holds_no_results() {
    let found = super::read(&document(&[&[
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

#[test]
fn a_row_set_close_together_keeps_no_note_from_its_words() {
    let found = reports(&[&[
        "Soil test report",
        "Client: Hob Mill Trust",
        "",
        "Determination        Bed 2    Bed 3    Bed 4",
        "pH                   6.5      6.1      6.4",
        "P mg/kg              20       21       17",
        "Ca mg/kg             2854     2246     2260",
        "Bulk thing CEC meq / 100 grams 17.0 18.5 16.5",
        "",
        "Extractant: Mehlich 3 (ICP).",
    ]]);
    assert_eq!(reading(sample(&found, "Bed 2"), "phosphorus").method, Method::Mehlich3);
}
