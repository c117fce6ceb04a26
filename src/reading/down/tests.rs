//! Tables of analytes as reports set them, and which samples and results they hold.

use super::super::atom::atoms;
use super::super::found::Found;
use super::super::layout::{layout, tests::typed};
use super::super::number::Decimal;
use super::super::vocabulary::{Context, Field};
use super::*;
use crate::soil::{Analyte, Method};

fn of(lines: &[&str]) -> Vec<FoundSample> {
    let page = layout(&typed(lines));
    let pieces: Vec<Vec<Atom>> = page.lines.iter().map(|l| atoms(l, Decimal::Point)).collect();
    let context = Context { symbols: true, capitals: false };
    let around = Around { context, decimal: Decimal::Point, text: "", year: None };
    read(&page, &pieces, &vec![true; pieces.len()], around, &mut None).0
}

#[test]
fn a_heading_of_earlier_results_over_several_columns_leaves_these_out() {
    let values = |last: &str| {
        let found = of(&[
            &format!("Test and method       Unit   Earlier results, same field      {last}"),
            "                             6/12/2019  6/9/2021  6/14/2023   6/8/2025",
            "pH                           6.2        6.0       6.0         6.1",
            "K, ammonium acetate   ppm    202        147       195         92",
            "Zn, DTPA              ppm    0.71       2.89      3.37        2.99",
        ]);
        let values = found.iter().flat_map(|s| &s.readings).map(|r| r.printed.clone()).collect::<Vec<_>>();
        (values, found.iter().flat_map(|s| &s.readings).all(|r| r.doubts.is_empty()))
    };
    assert_eq!(values("This sample"), (vec!["6.1".into(), "92".into(), "2.99".into()], true));
    assert!(!values("Guide").1, "which of the years is the present one nobody knows: {:?}", values("Guide"));
}

#[test]
fn a_heading_broken_into_lab_and_no_gives_the_laboratorys_number_and_no_name() {
    let found = of(&[
        "Lab",
        "No.              47702    47703    47704",
        "pH               5.9      5.7      5.4",
        "Potassium, ppm   110      92       64",
        "Calcium, ppm     1943     1093     1155",
    ]);
    assert!(found.iter().all(|s| s.field(Field::SampleLabel).is_none()), "{found:?}");
    assert_eq!(found.first().and_then(|s| s.field(Field::LabSample)), Some("47702"));
}

#[test]
fn codes_under_names_are_the_laboratorys_numbers() {
    let found = of(&[
        "                 Pit 1    Verge    Bank top",
        "Test             SB7001   SB7002   SB7003",
        "pH               5.9      5.7      5.4",
        "Potassium, ppm   110      92       64",
        "Calcium, ppm     1943     1093     1155",
    ]);
    let names: Vec<_> = found.iter().map(|s| s.field(Field::SampleLabel)).collect();
    assert_eq!(names, [Some("Pit 1"), Some("Verge"), Some("Bank top")], "{found:?}");
    assert_eq!(found.first().and_then(|s| s.field(Field::LabSample)), Some("SB7001"));
}

#[test]
fn a_title_gives_its_rows_their_method_though_another_table_stands_beside() {
    let found = of(&[
        "Acidity",
        "pH (water, 1:1)    6.7",
        "Organic matter     1.6 %         Base saturation",
        "                                 Potassium, K   3.1 %",
        "Nutrients, Mehlich-3             Magnesium, Mg  14.2 %",
        "Phosphorus         41  mg/kg     Calcium, Ca    70.1 %",
        "Potassium          120 mg/kg     Hydrogen, H    12.6 %",
        "Micronutrients, DTPA",
        "Zinc               1.9 mg/kg",
    ]);
    let caption = |analyte| {
        let mut readings = found.iter().flat_map(|s| &s.readings);
        readings.find(|r| r.label.analyte == Some(analyte)).map(|r| r.caption)
    };
    assert_eq!(caption(Analyte::Phosphorus), Some(Some(Method::Mehlich3)), "{found:?}");
    assert_eq!(caption(Analyte::Potassium), Some(Some(Method::Mehlich3)));
    assert_eq!(caption(Analyte::Zinc), Some(Some(Method::Dtpa)));
    assert_eq!(caption(Analyte::Ph), Some(None));
    assert_eq!(caption(Analyte::Calcium), Some(None));
}

#[test]
fn a_row_without_a_value_is_no_title() {
    let found = of(&["Calcium (Mehlich 3)", "Potassium   120", "Magnesium   88", "Sodium      12"]);
    assert!(found.iter().flat_map(|s| &s.readings).all(|r| r.caption.is_none()), "{found:?}");
}

#[test]
fn a_unit_and_a_method_set_close_before_the_value_are_both_read() {
    let found = of(&["OM   percent Walkley and Black   7.2", "pH   6.4", "K    ppm   120"]);
    let matter = found.iter().flat_map(|s| &s.readings).find(|r| r.printed == "7.2").unwrap();
    assert_eq!(matter.label.method(), Some(Method::WalkleyBlack), "{matter:?}");
    assert_eq!(matter.unit.as_ref().map(|u| u.0), Some("%"));
}

#[test]
fn a_row_with_a_guide_value_alone_is_of_the_table_below_it() {
    let found = of(&[
        "Analysis       Value   Good range   Sufficiency",
        "pH             two     parts        of",
        "STP (ppm)              > 9          VL",
        "K (ppm)        141     82-225       Low",
        "Ca (ppm)       232     191-267      VH",
    ]);
    let phosphorus =
        |s: &FoundSample| s.readings.iter().any(|r| r.label.analyte == Some(Analyte::Phosphorus));
    assert!(!found.iter().any(phosphorus), "{found:?}");
}

#[test]
fn a_rating_set_close_behind_a_method_opens_no_row() {
    let found = of(&["Zinc, ppm   3.7   Mehlich 3 L", "Iron, ppm   22    Mehlich 3 H", "OM          3.1"]);
    let iron = found.iter().flat_map(|s| &s.readings).find(|r| r.printed == "22").unwrap();
    assert_eq!(iron.label.method(), Some(Method::Mehlich3), "{iron:?}");
}

#[test]
fn the_laboratorys_number_is_no_part_of_a_name() {
    let found = of(&["Sample  1", "Lab No. 34776", "pHw     5.0", "BI      7.8", "K, ppm  133"]);
    let name = |s: &FoundSample| s.field(Field::SampleLabel).unwrap_or_default().to_owned();
    assert!(found.iter().all(|s| !name(s).contains("34776")), "{found:?}");
}

#[test]
fn two_words_as_close_as_all_of_a_page_are_one_name() {
    let found = of(&["        Green 1", "Soil water pH   5.9", "Extractable P   8", "Exch. Ca        1376"]);
    assert!(found.iter().all(|s| s.field(Field::SampleLabel) != Some("1")), "{found:?}");
}

#[test]
fn a_sign_that_ends_a_name_is_not_lost() {
    let found = of(&["Bor,> 0.35", "Zinc, ppm   1.2"]);
    let printed = |text: &str| found.iter().flat_map(|s| &s.readings).any(|r| r.printed == text);
    assert!(printed("1.2") && !printed("0.35"), "{found:?}");
}

#[test]
fn a_field_with_its_value_is_no_upper_half_of_the_name_below() {
    let found = of(&[
        "Location: B1",
        "Lab #:         40798",
        "",
        "Analysis       Results",
        "pH             6.4",
        "K, ppm         213",
        "Ca, ppm        960",
    ]);
    assert!(found.iter().all(|s| s.field(Field::SampleLabel).is_none()), "{found:?}");
}

#[test]
fn under_a_heading_of_two_columns_neither_is_the_result_for_want_of_the_other() {
    let found = of(&[
        "Test    Sufficiency 2022 2024",
        "pH      Low         7.5  5.9",
        "P, ppm  Medium      14   10",
        "K, ppm  High        122  110",
    ]);
    let sure = |r: &Found| r.doubts.is_empty();
    assert!(!found.iter().flat_map(|s| &s.readings).any(sure), "{found:?}");
}

#[test]
fn advice_in_several_cells_and_figures_in_a_row_are_no_results_and_no_names() {
    assert!(of(&["Recommendation: N 120   P2O5 40   K2O 60 lb/acre for grass."]).is_empty());
    let found = of(&[
        "                2 50 86 101    8 25 83 32",
        "pH              6.4            6.6",
        "K, ppm          120            110",
        "Ca, ppm         1200           1300",
    ]);
    assert!(found.iter().all(|s| s.field(Field::SampleLabel).is_none()), "{found:?}");
}

#[test]
fn a_row_whose_name_ran_into_the_sample_names_no_columns() {
    let found = of(&[
        "Front lawn 3 2244 Ca     5732     5475",
        "Front lawn 3 2244 Mg     248      212",
        "Green 3      2245 pHw    7.4      6.9",
        "Green 3      2245 OM, %  3.4      3.8",
        "Green 3      2245 CEC    24.7     20.6",
    ]);
    assert!(found.iter().all(|s| s.field(Field::SampleLabel).is_none()), "{found:?}");
}

#[test]
fn a_unit_at_the_head_of_the_names_is_that_of_the_rows_that_print_none() {
    let found = of(&[
        "Trace quibbles,   Value   Optimum",
        "ppm               found   range",
        "Boron (B)         0.2     0.1-0.5",
        "Zinc (Zn)         4.1     1.0-7.6",
        "Copper, mg/dm3    0.4     0.3-0.6",
        "pH                6.1     6.0-7.0",
    ]);
    let units: Vec<_> =
        found.iter().flat_map(|s| &s.readings).map(|r| r.unit.as_ref().map(|u| u.0)).collect();
    assert_eq!(units, [Some("mg/kg"), Some("mg/kg"), Some("mg/dm3"), None], "{found:?}");
}

#[test]
fn layers_under_the_names_of_places_are_samples_of_these() {
    let found = of(&[
        "                     Gorse bank              Thrift",
        "Determination     0-10 cm    10-20 cm   0-10 cm    10-20 cm",
        "                  118-1      118-2      118-3      118-4",
        "pH (CaCl2)        5.8        5.7        5.9        6.1",
        "K mg/kg           227        107        144        88",
        "Ca mg/kg          2023       1731       1468       1566",
    ]);
    let said: Vec<_> = found
        .iter()
        .map(|s| {
            [Field::SampleLabel, Field::DepthTop, Field::LabSample].map(|f| s.field(f).unwrap_or_default())
        })
        .collect();
    assert_eq!(said.get(1), Some(&["Gorse bank", "10-20 cm", "118-2"]), "{found:?}");
    assert_eq!(said.get(2), Some(&["Thrift", "0-10 cm", "118-3"]));
    assert!(found.iter().all(|s| s.readings.len() == 3 && s.readings.iter().all(|r| r.doubts.is_empty())));
}

#[test]
fn a_name_that_is_not_known_ends_the_row_of_the_table_beside() {
    let found = of(&[
        "           Found   Desired  Unit              Result   Guide",
        "pH         6.5     6.5               CEC, cmol/kg     9.5      6 - 15",
        "K          86      110      mg/kg    Sand %           54",
        "Ca         1473    1200     mg/kg    Silt %           34",
        "Zinc       2.9     4.0      mg/kg    Quibbling mm/h   18       > 20",
    ]);
    let zinc: Vec<_> = found
        .iter()
        .flat_map(|s| &s.readings)
        .filter(|r| r.label.analyte == Some(Analyte::Zinc))
        .map(|r| (r.printed.as_str(), r.doubts.is_empty()))
        .collect();
    assert_eq!(zinc, [("2.9", true)], "{found:?}");
}

#[test]
fn shares_in_one_line_are_shares_and_a_scale_of_its_own_is_none() {
    let found = of(&[
        "Potassium           me/100g     0.41",
        "Calcium             me/100g     12.8",
        "Magnesium           me/100g     2.41",
        "Base Saturation %   K 2.2    Ca 68.1    Mg 12.8",
        "MAF Units           K 7      Ca 13      Mg 45",
    ]);
    let all: Vec<_> =
        found.iter().flat_map(|s| &s.readings).map(|r| (r.label.analyte, r.printed.as_str())).collect();
    assert!(all.contains(&(Some(Analyte::SatCa), "68.1")), "{all:?}");
    assert!(all.iter().all(|(a, p)| *a != Some(Analyte::Calcium) || *p == "12.8"), "{all:?}");
    assert!(all.iter().all(|(_, p)| *p != "45"), "{all:?}");
}

#[test]
fn half_of_a_broken_name_is_no_name() {
    let found = of(&[
        "                 Marl     Optimum",
        "Sample           40 3     Range",
        "Lab No.          60487",
        "pH               7.3      6.1-7.0",
        "Potassium, ppm   169      113-211",
        "Calcium, ppm     4256     2868-4761",
    ]);
    assert!(found.iter().all(|s| s.field(Field::SampleLabel) != Some("40 3")), "{found:?}");
}

#[test]
fn what_stands_in_the_column_of_methods_names_no_row() {
    let found = of(&[
        "Determination           Unit       Method            Moss    Fern",
        "pH                                 1:1 water         6.4     5.9",
        "Phosphorus              ppm        Mehlich 3         34      52",
        "Potassium               ppm        Mehlich 3         270     284",
        "Zinc                    ppm        DTPA              5.1     2.9",
        "Neutralizable acidity   meq/100 g  SMP buffer        1.4     2.8",
        "Calcium                 %          calc              61.0    58.2",
    ]);
    let of = |analyte| {
        let readings = found.iter().flat_map(|s| &s.readings);
        readings.filter(|r| r.label.analyte == Some(analyte)).map(|r| r.number.value).collect::<Vec<_>>()
    };
    assert_eq!(of(Analyte::Acidity), [1.4, 2.8], "{found:?}");
    assert!(of(Analyte::BufferPh).is_empty());
    assert!(of(Analyte::Calcium).is_empty() || of(Analyte::SatCa).is_empty());
    assert_eq!(found.iter().map(|s| s.readings.len()).collect::<Vec<_>>(), [6, 6]);
}

#[test]
fn layers_over_columns_are_depths_and_no_names() {
    let found = of(&[
        "           Lab number                918/1     918/2     918/3     918/4",
        "           Paddock                   Moss      Moss      Fern      Mill flat   Desirable",
        "Test                 Unit     Code   0-10 cm   10-20 cm  0-10 cm   0-10 cm",
        "Reaction",
        "pH (1:5 water)                4A1    5.6       5.2       6.4       8.1         6.0-7.5",
        "Chloride             mg/kg    5A2    57        102       51        47          <120",
        "Phosphorus (Colwell) mg/kg    9B2    28        9         41        17          30-45",
        "Zinc (DTPA)          mg/kg    12A1   5.0       2.7       2.8       2.3         >0.8",
    ]);
    let told: Vec<_> = found
        .iter()
        .map(|s| {
            [Field::SampleLabel, Field::LabSample, Field::DepthTop].map(|f| s.field(f).unwrap_or_default())
        })
        .collect();
    assert_eq!(told[1], ["Moss", "918/2", "10-20 cm"], "{told:?}");
    assert_eq!(told[3], ["Mill flat", "918/4", "0-10 cm"], "{told:?}");
    assert_eq!(told.len(), 4, "{told:?}");
}

#[test]
fn a_column_called_saturation_holds_shares_and_names_no_sample() {
    let found = of(&[
        "Cation       Saturation      Ideal",
        "CEC          6.2 meq/100g",
        "Calcium      68.5            65 - 75 %",
        "Magnesium    13.6            10 - 15 %",
        "Potassium    3.1             3 - 6 %",
    ]);
    let [sample] = found.as_slice() else { panic!("{found:?}") };
    assert_eq!(sample.field(Field::SampleLabel), None);
    let units: Vec<_> = sample.readings.iter().map(|r| r.unit.as_ref().map(|u| u.0)).collect();
    assert_eq!(units, [Some("cmol/kg"), Some("%"), Some("%"), Some("%")]);
}

#[test]
fn days_over_columns_are_seasons_and_the_present_one_is_the_result() {
    let found = of(&[
        "                             Previous results           This report",
        "Determination      Unit                                               Target",
        "                             9 Oct 2018   14 Oct 2021   11 Oct 2024",
        "pH (1:1 water)               5.6          5.9           6.1           6.0",
        "Phosphorus         ppm       49           53            57            56",
        "Potassium          ppm       254          273           386           340",
    ]);
    let all: Vec<_> = found.iter().flat_map(|s| &s.readings).map(|r| r.number.value).collect();
    assert_eq!(all, [6.1, 57.0, 386.0], "{found:?}");
}

#[test]
fn a_scale_of_bars_heads_no_column_and_a_day_of_a_form_names_no_sample() {
    let found = of(&[
        "Lawn                 Received",
        "Fescue lawn          02/20/2024",
        "",
        "Results (Mehlich-1 extract)",
        "                              Low      Medium     High",
        "Phosphorus (P)       42",
        "Potassium (K)        142",
        "Calcium (Ca)         1664",
    ]);
    let [sample] = found.as_slice() else { panic!("{found:?}") };
    assert_eq!(sample.field(Field::SampleLabel), None, "{found:?}");
    assert!(sample.readings.len() == 3 && sample.readings.iter().all(|r| r.doubts.is_empty()), "{found:?}");
}

#[test]
fn the_strength_of_a_solution_is_no_value() {
    let rows = |line: &str| {
        let page = layout(&typed(&[line]));
        let context = Context { symbols: true, capitals: false };
        row::line_rows(0, &atoms(&page.lines[0], Decimal::Point), context, Decimal::Point, &|_| false).len()
    };
    assert_eq!(rows("Sulphate Sulphur     0.02M potassium phosphate extraction, ion chromatography"), 0);
    assert_eq!(rows("Sulphate Sulphur     12M ppm"), 1);
}

#[test]
fn a_sum_set_close_behind_its_unit_is_the_method_of_the_capacity() {
    let found = of(&[
        "Test         Result   Unit Method",
        "pH           6.4",
        "Potassium    142      ppm Mehlich 3",
        "CEC          20.9     meq/100 g sum of bases",
    ]);
    let readings = || found.iter().flat_map(|s| &s.readings);
    let cec = readings().find(|r| r.label.analyte == Some(Analyte::Cec)).unwrap();
    assert_eq!(cec.label.methods, [Some(Method::Summation)], "{found:?}");
}

#[test]
fn names_at_the_left_of_their_cells_head_the_numbers_at_the_right() {
    let named = |names: &str| {
        let found = of(&[
            names,
            "Soil pH (1:1 water)                              5.6           6.1           5.7           6.2",
            "Potassium, ppm                                    95            74            80            58",
            "Calcium, ppm                                    1616          1309          1259          1785",
        ]);
        let calcium = |s: &FoundSample| {
            let own = s.readings.iter().find(|r| r.label.analyte == Some(Analyte::Calcium));
            own.map_or(0.0, |r| r.number.value)
        };
        let name = |s: &FoundSample| s.field(Field::SampleLabel).unwrap_or_default().to_owned();
        found.iter().map(|s| (name(s), calcium(s))).collect::<Vec<_>>()
    };
    let want = [("Elm", 1616.0), ("Oak", 1309.0), ("Fir", 1259.0), ("Ash", 1785.0)];
    let own = want.map(|(name, value)| (name.to_owned(), value));
    assert_eq!(
        named("                                        Elm           Oak           Fir           Ash"),
        own
    );
    // A name is missing: nobody knows whose the numbers are.
    let found =
        named("                                        Elm           Oak                         Ash");
    assert!(
        found.iter().all(|(name, value)| name.is_empty() || own.contains(&(name.clone(), *value))),
        "{found:?}"
    );
}

#[test]
fn methods_before_the_names_and_set_in_the_middle_are_those_of_their_rows() {
    let found = of(&[
        "      Extraction          Analysis        Unit       Result",
        "       Bray P-1          Phosphorus       ug/g         20",
        "        NH4OAc             Sodium         ug/g         31",
        "         DTPA               Zinc          ug/g        5.09",
    ]);
    let method = |analyte| {
        let own = found.iter().flat_map(|s| &s.readings).find(|r| r.label.analyte == Some(analyte));
        own.and_then(|r| r.label.method())
    };
    assert_eq!(method(Analyte::Phosphorus), Some(Method::BrayP1), "{found:?}");
    assert_eq!(method(Analyte::Sodium), Some(Method::AmmoniumAcetate));
    assert_eq!(method(Analyte::Zinc), Some(Method::Dtpa));
}

#[test]
fn a_number_that_is_perhaps_of_another_column_names_the_others_of_its_row() {
    let page = layout(&typed(&["Potassium   mg/kg   Low   60   72"]));
    let context = Context { symbols: true, capitals: false };
    let atoms = atoms(page.lines.first().unwrap(), Decimal::Point);
    let rows = line_rows(0, &atoms, context, Decimal::Point, &|_| false);
    let row = rows.first().unwrap();
    let last = row.cells.last().unwrap();
    // Chemistry frees no number that others compete with: a former season's agree among themselves as well.
    assert_eq!(results::perhaps_of_another(row, last).alternatives, ["60"]);
}
