//! Which column holds the results, and which an index, a rating, a limit or a range.

use super::{reading, reports, sample, value};
use crate::soil::Method;

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
fn a_short_name_at_the_left_edge_of_the_names_is_one_though_its_heading_begins_further_right() {
    let found = reports(&[&[
        "Soil test report",
        "",
        "Lab No.          Sample        pH      K ppm    Mg ppm",
        "4101     Birch bank east       5.3     74       98",
        "4102     Birch bank west       5.9     84       106",
        "4103     Cotter's long strip   6.0     96       88",
        "4104     Elm                   6.7     88       120",
    ]]);
    assert_eq!(value(sample(&found, "Elm"), "potassium"), (88.0, true));
    assert_eq!(sample(&found, "Elm").lab_number.as_deref(), Some("4104"));
}

#[test]
fn letters_in_brackets_give_columns_their_notes() {
    let page = |notes: &str| {
        let (first, second) = notes.split_once('|').unwrap_or((notes, ""));
        reports(&[&[
            "Soil analysis report",
            "",
            "Sample           pH (a)    P (b)     K (c)     Ca (c)    Zn (d)",
            "                           mg/kg     mg/kg     mg/kg     mg/kg",
            "Leeks lower      6.2       16        86        1774      4.87",
            "Strawberries     5.7       52        171       2191      2.41",
            "",
            first,
            second,
        ]])
    };
    let found = page("(a) in 1 M KCl (b) Bray no. 2 (c) 1 M ammonium acetate, pH 7 (d) DTPA");
    let s = sample(&found, "Strawberries");
    assert_eq!((value(s, "ph"), value(s, "calcium")), ((5.7, true), (2191.0, true)));
    let methods = ["ph", "phosphorus", "potassium", "zinc"].map(|id| reading(s, id).method);
    assert_eq!(methods, [Method::Kcl, Method::BrayP2, Method::AmmoniumAcetate, Method::Dtpa]);
    // A note that is understood by half hides the extract.
    let found = page("(a) in 1 M KCl (b) Bray variant 9 (c) 1 M ammonium acetate, pH 7 (d) DTPA");
    assert_eq!(value(sample(&found, "Strawberries"), "phosphorus"), (52.0, false));
    assert_eq!(value(sample(&found, "Strawberries"), "zinc"), (2.41, true));
    // Two notes under one letter explain nothing, whatever the text names besides.
    let found = page("(a) in 1 M KCl (b) Bray no. 2 (c) DTPA|(a) in water (b) Olsen");
    assert!(!value(sample(&found, "Strawberries"), "phosphorus").1);
    // A letter that no note explains is a word that nobody knows.
    let found = page("(a) in 1 M KCl (b) Bray no. 2");
    let all = found.iter().flat_map(|r| &r.samples).flat_map(|s| &s.readings);
    assert!(all.filter(|r| r.analyte.id() == "calcium").all(|r| !r.doubts.is_empty()));
}

#[test]
fn indices_in_short_are_no_second_column_of_their_element() {
    let rows = |index: &str| {
        let head =
            format!("Lab ref   Field        pH     P mg/kg   K mg/kg   Mg mg/kg   P {index}   Mg {index}");
        reports(&[&[
            "Hob Farm soil analysis",
            "",
            &head,
            "1902A     Low Ings     6.8    20        172       233        2        4",
            "1902B     Paddock      7.4    5         282       331        0        4",
        ]])
    };
    let found = rows("ind.");
    let s = sample(&found, "Low Ings");
    assert_eq!(s.readings.len(), 4, "{s:?}");
    assert_eq!(value(s, "magnesium"), (233.0, true));
    // What else may stand behind the symbol is not known to be none.
    assert!(!value(sample(&rows("inx."), "Low Ings"), "magnesium").1);
}

#[test]
fn a_table_of_cations_in_two_units_and_shares_goes_on_with_its_page() {
    let page = |name: &str, magnesium: &str| {
        [
            "Client: Hob Vineyard",
            "Report: 2025-0144",
            &format!("Sample: {name} Lab ID: 0144-1 Depth: 0-45 cm"),
            "Received: 2025-05-13 Reported: 2025-05-19",
            "",
            "",
            "pH (saturated paste)                                    7.1",
            "ECe (saturated paste)                                  1.99    dS/m",
            "Organic matter (LOI)                                    4.1    %",
            "Phosphorus (Olsen)                                       21    ppm",
            "Zinc (DTPA)                                             1.3    ppm",
            "",
            "",
            "Exchangeable cations (ammonium acetate)",
            "Cation                               ppm               meq/100 g                % of CEC",
            "Calcium                             3249                      16.21                   77.3",
            &format!("Magnesium                            482                       {magnesium}                   18.9"),
            "Potassium                            272                       0.70                    3.3",
            "Sodium                                23                       0.10                    0.5",
            "CEC (summation)                                               20.97",
        ]
        .map(str::to_owned)
    };
    let read = |magnesium: &str| {
        let (one, two) = (page("Upper terrace", magnesium), page("Lower terrace", magnesium));
        let lines = [&one, &two].map(|p| p.iter().map(String::as_str).collect::<Vec<_>>());
        reports(&[&lines[0], &lines[1]])
    };
    let found = read("3.97");
    for name in ["Upper terrace", "Lower terrace"] {
        let s = sample(&found, name);
        assert_eq!(s.readings.len(), 14, "{s:?}");
        assert!(s.doubts.is_empty() && s.readings.iter().all(|r| r.doubts.is_empty()), "{s:?}");
        assert_eq!((value(s, "calcium"), value(s, "cec")), ((3249.0, true), (20.97, true)));
    }
    // Where one of them contradicts, the second table is perhaps of something else.
    assert!(!value(sample(&read("4.97"), "Upper terrace"), "cec").1);
}

#[test]
fn a_title_that_joins_measurements_gives_them_what_the_soil_was_stirred_into() {
    let page = |title: &str| {
        reports(&[&[
            "Soil analysis report",
            "Sample ID: Hole 2 green",
            "",
            title,
            "pH                              7.6",
            "ECe                 dS/m        1.84",
            "Plant nutrients",
            "Zinc                mg/kg       5.59",
        ]])
    };
    let found = page("Reaction and salts (saturated paste)");
    let s = sample(&found, "Hole 2 green");
    assert_eq!((reading(s, "ph").method, value(s, "ph")), (Method::SaturatedPaste, (7.6, true)));
    assert_eq!(reading(s, "zinc").method, Method::Unstated);
    let found = page("Reaction and salts");
    assert_eq!(reading(sample(&found, "Hole 2 green"), "ph").method, Method::Unstated);
}

#[test]
fn a_column_called_range_under_a_number_of_the_laboratory_is_a_piece_of_ground() {
    let page = |number: &str, calcium: &str| {
        let numbers = format!("Lab no.              6120       6121       {number}");
        let row = format!("Calcium    mg/kg     2340       3673       {calcium}");
        reports(&[&[
            "Soil analysis report",
            "",
            "Sample     Unit      Hole 2     Hole 9     Range",
            &numbers,
            "pH                   7.6        7.9        7.4",
            &row,
        ]])
    };
    let found = page("6122", "3577");
    assert_eq!(value(sample(&found, "Range"), "calcium"), (3577.0, true));
    for found in [page("", "3577"), page("6122", "900-3000")] {
        assert!(found.iter().flat_map(|r| &r.samples).all(|s| s.label != "Range"), "{found:?}");
    }
}

#[test]
fn words_cut_short_over_narrow_columns_are_known() {
    let found = reports(&[&[
        "Client: Ada Fernshaw",
        "",
        " LAB  SAMPLE       PH  WOODRF   ORG      K      CA  NEUT.     CEC",
        " NO.  NAME       WATER  BUFFR  MATR                 ACID.",
        "                   1:1     PH     %    PPM     PPM  MEQ/100G MEQ/100G",
        "----  ---------- -----  -----  ----  -----  ------  -------- --------",
        " 413  BOTTOMS      5.7    6.7   3.1    125    1481       3.1     13.5",
        " 414  HOG LOT      6.8    7.0   2.0    110    1692       0.3     10.3",
    ]]);
    let lot = sample(&found, "HOG LOT");
    for (analyte, number) in [("buffer_ph", 7.0), ("organic_matter", 2.0), ("acidity", 0.3), ("cec", 10.3)] {
        assert_eq!(value(lot, analyte).0, number, "{analyte}");
    }
}
