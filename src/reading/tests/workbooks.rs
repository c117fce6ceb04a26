//! Workbooks and exports whose rows say less than a print would: names merged over rows, codes explained on another sheet,
//! rows of a heading with titles, marks for what was not found. Names and numbers are invented.

use super::super::read;
use super::{reading, sample, sheets, value};
use crate::soil::{Depth, Method, Qualifier, Report};

fn sheet(lines: &[&str]) -> Vec<Report> {
    read(&sheets(&[("", lines)])).unwrap()
}

const HEAD: &str = "Client|Hob Mill Trust||Received|2024-03-14";

#[test]
fn a_name_merged_over_its_rows_is_that_of_all_of_them() {
    let rows = |second: &str| {
        sheet(&[
            HEAD,
            "Sample|Lab No|Depth (cm)|Analysis|Result|Units",
            "Long acre|S-31|0-10|pH (1:5 water)|6.1|",
            "|||Potassium|216|mg/kg",
            "|||C/N ratio|11|",
            "|||Magnesium|81|mg/kg",
            &format!("{second}|pH (1:5 water)|6.6|"),
            "|||Potassium|188|mg/kg",
        ])
    };
    let found = rows("Moss|S-32|0-10");
    assert_eq!(value(sample(&found, "Long acre"), "magnesium"), (81.0, true));
    assert_eq!(value(sample(&found, "Moss"), "potassium"), (188.0, true));
    // A layer of its own is one of the same ground.
    let found = rows("||10-30");
    let layers: Vec<_> = found[0].samples.iter().map(|s| (s.label.as_str(), s.depth)).collect();
    let layer = |top_cm, bottom_cm| ("Long acre", Some(Depth { top_cm, bottom_cm }));
    assert_eq!(layers, [layer(0.0, 10.0), layer(10.0, 30.0)]);
    // Of another sample that nothing names no number is taken for the first one's.
    let found = rows("||");
    assert!(found.iter().flat_map(|r| &r.samples).all(|s| !s.readings.iter().any(|r| {
        r.doubts.is_empty()
            && s.doubts.is_empty()
            && matches!(r.printed.value.as_str(), "6.6" | "188" | "216")
    })));
}

#[test]
fn a_mark_under_every_column_is_no_heading_and_its_limits_are_told_in_a_list() {
    let rows = |note: &str| {
        sheet(&[
            HEAD,
            "Lab no|Field|pH|P|K|Zn",
            "||KCl|Bray 1|NH4OAc|",
            "|||mg/kg|mg/kg|mg/kg",
            "7-1|Long acre|5.1|23|97|BD",
            "BLK|Blank||BD|BD|BD",
            "7-2|Moss|4.8|14|42|4.1",
            note,
        ])
    };
    let found = rows("BD = below detection. Detection limits (mg/kg): P 1, K 2, Zn 0.5");
    assert_eq!(value(sample(&found, "Moss"), "zinc"), (4.1, true));
    assert_eq!(value(sample(&found, "Moss"), "phosphorus"), (14.0, true));
    let zinc = reading(sample(&found, "Long acre"), "zinc");
    assert_eq!(
        (zinc.quantity.value, zinc.quantity.qualifier, zinc.doubts.len()),
        (0.5, Some(Qualifier::Below), 0)
    );
    for silent in ["Detection limits (mg/kg): P 1, K 2, Zn 0.5", "BD = below detection.", "BD: bag damaged"] {
        let found = rows(silent);
        let none = sample(&found, "Long acre").readings.iter().all(|r| r.analyte.id() != "zinc");
        assert!(none, "{silent}");
    }
    // Another unit than that of the column is no limit of it.
    let found = rows("BD = below detection. Detection limits (%): P 1, K 2, Zn 0.5");
    assert!(sample(&found, "Long acre").readings.iter().all(|r| r.analyte.id() != "zinc"));
}

#[test]
fn a_capacity_explained_as_a_sum_is_one() {
    let method = |note: &str| {
        let found = sheet(&[
            HEAD,
            "Field|pH|Ca, cmol/kg|T-value (CEC), cmol/kg",
            "Moss|5.1|3.2|6.4",
            "Elm|5.6|4.2|7.4",
            "",
            "ND: not found",
            note,
        ]);
        reading(sample(&found, "Moss"), "cec").method
    };
    for note in ["T-value = S-value + exchangeable acidity.", "CEC = Ca + Mg + K + Na + H"] {
        assert_eq!(method(note), Method::Summation, "{note}");
    }
    for note in ["Base saturation = Ca + Mg / CEC", "CEC = as ordered + invoiced", "T-value = medium"] {
        assert_eq!(method(note), Method::Unstated, "{note}");
    }
}

#[test]
fn a_heading_of_titled_rows_is_read_down_to_the_line_that_asks_for_names() {
    let rows = |limits: &str| {
        sheet(&[
            HEAD,
            "",
            "Test|||pH|EC|P|K|B",
            "Method|||sat. paste|sat. paste|Olsen|Am. acetate|hot water",
            "Unit||||dS/m|mg/kg|mg/kg|mg/kg",
            limits,
            "Lab #|Sample|Depth (in)",
            "55.01|Block A|0-12|6.4|0.98|11|321|1.2",
            "55.02|Block B|12-24|7.0|0.80|5|113|-",
        ])
    };
    for limits in ["Reporting limit|||0.1|0.01|2|5|0.1", "LOR|||0.1|0.01|2|5|0.1", "MDL||||0.01|2|5|0.1"] {
        let found = rows(limits);
        let s = sample(&found, "Block A");
        assert_eq!(
            (value(s, "phosphorus"), reading(s, "phosphorus").method),
            ((11.0, true), Method::Olsen),
            "{limits}"
        );
        assert_eq!(reading(s, "ph").method, Method::SaturatedPaste);
        assert_eq!(reading(s, "boron").method, Method::HotWater);
        assert_eq!(value(sample(&found, "Block B"), "potassium"), (113.0, true));
        assert_eq!(found.iter().map(|r| r.samples.len()).sum::<usize>(), 2);
    }
}

#[test]
fn codes_over_columns_are_read_by_the_sheet_that_explains_them() {
    let data: &[&str] = &[
        "RPT|SNO|CNM|FID|DRC|BDP|A01|B11|C21|E50|E54|LIM",
        "21-7|101|Hob Mill Trust|Moss|2021-10-27|8|6.2|18|305|17.4|15.5|1.2",
        "21-7|102|Hob Mill Trust|Elm|2021-10-27|8|6.1|19|207|18.6|14.2|0",
    ];
    let key = |a01: &'static str, again: &'static str| {
        vec![
            "Explanation of codes",
            "Code|Meaning|Procedure|Unit",
            "RPT|Report number",
            "SNO|Laboratory sample number",
            "CNM|Client",
            "FID|Field / sample name",
            "DRC|Date received",
            "BDP|Bottom of sample||in",
            a01,
            "B11|Phosphorus|Bray P1|ppm",
            "C21|Potassium|Mehlich 3|ppm",
            "E50|Cation exchange capacity|sum|meq/100g",
            "E54|H saturation|calc.|%",
            "LIM|Lime to apply||ton/ac",
            again,
        ]
    };
    let all = |key: &[&str]| read(&sheets(&[("Data", data), ("Key", key)]));
    let found = all(&key("A01|Soil pH|1:1 water", "")).unwrap();
    let s = sample(&found, "Moss");
    assert_eq!((value(s, "phosphorus"), reading(s, "phosphorus").method), ((18.0, true), Method::BrayP1));
    assert_eq!((value(s, "ph"), reading(s, "ph").method), ((6.2, true), Method::Water1to1));
    assert_eq!((value(s, "cec"), value(s, "sat_h")), ((17.4, true), (15.5, true)));
    assert_eq!(s.depth, Some(Depth::inches(0.0, 8.0)));
    assert_eq!(s.readings.len(), 5, "{s:?}");
    // A code that is explained twice is none.
    let found = all(&key("A01|Soil pH|1:1 water", "B11|Potassium|Olsen|ppm")).unwrap();
    assert!(sample(&found, "Moss").readings.iter().all(|r| r.printed.value != "18" || !r.doubts.is_empty()));
    // Without the key nobody knows.
    assert!(read(&sheets(&[("Data", data)])).is_err());
}

#[test]
fn a_bottom_alone_is_from_the_surface_where_no_layer_lies_above() {
    let depth = |second: &str| {
        let found = sheet(&[
            HEAD,
            "Field|Bottom depth (in)|pH|K, ppm",
            "Moss|8|6.2|305",
            &format!("{second}|6.1|207"),
        ]);
        found[0].samples.iter().map(|s| s.depth).collect::<Vec<_>>()
    };
    let layer = Some(Depth::inches(0.0, 8.0));
    assert_eq!(depth("Elm|8"), [layer, layer]);
    assert_eq!(depth("Moss|24"), [None, None]);
}

#[test]
fn rows_of_a_former_season_below_a_tables_own_are_left_out() {
    let rows = |title: &str| {
        sheet(&[
            "Client|Hob Mill Trust||Reported|18/03/2024",
            "",
            "Sample Name|||Hill 1|Flats",
            "Depth (cm)|||0-10|0-10",
            "Test|Unit|Medium Range",
            "pH||5.8 - 6.2|5.6|6.0",
            "Olsen Phosphorus|mg/kg|20 - 30|56|32",
            "Potassium|me/100g|0.40 - 0.60|0.80|0.32",
            "",
            title,
            "pH||5.8 - 6.2|5.7|6.1",
            "Olsen Phosphorus|mg/kg|20 - 30|48|27",
        ])
    };
    for title in ["Results of March 2021 for comparison", "Previous results (2021)", "Soil test results 2022"]
    {
        let found = rows(title);
        let s = sample(&found, "Hill 1");
        assert_eq!((value(s, "ph"), value(s, "phosphorus")), ((5.6, true), (56.0, true)), "{title}");
        assert!(value(sample(&found, "Flats"), "potassium").1);
        assert_eq!(found.iter().flat_map(|r| &r.samples).map(|s| s.readings.len()).sum::<usize>(), 6);
    }
    // What does not say so is not dropped, and nothing of either is sure.
    for title in ["Duplicate results", "Results 2024"] {
        let found = rows(title);
        let sure = |s: &crate::soil::Sample| {
            s.readings.iter().any(|r| r.analyte.id() == "ph" && r.doubts.is_empty())
        };
        assert!(!found.iter().flat_map(|r| &r.samples).any(|s| s.label == "Hill 1" && sure(s)), "{title}");
    }
}

#[test]
fn running_numbers_over_columns_name_none_where_words_do() {
    let names = |lines: &[&str]| {
        let head = [HEAD, ""];
        let body = ["pH||6.1|6.2|6.3", "Potassium|mg/kg|120|130|140"];
        let all: Vec<&str> = head.iter().chain(lines).chain(&body).copied().collect();
        let found = sheet(&all);
        found.iter().flat_map(|r| &r.samples).map(|s| s.label.clone()).collect::<Vec<_>>()
    };
    let moss = ["Moss", "Hob mill", "Elm"];
    assert_eq!(names(&["Field||Moss|Hob mill|Elm", "Sample #||1|2|3"]), moss);
    assert_eq!(names(&["Sample No.||3|1|2", "Field||Moss|Hob mill|Elm"]), moss);
    // Numbers that do not run may be the client's own, and so may words that are not unlike.
    assert!(names(&["Field||Moss|Hob mill|Elm", "Sample #||12|40|7"]).iter().all(String::is_empty));
    assert!(names(&["Field||Moss|Moss|Elm", "Sample #||1|2|3"]).iter().all(String::is_empty));
    assert_eq!(
        names(&["Field||Moss|Moss|Elm", "Depth (cm)||0-10|10-30|0-10", "Sample #||1|2|3"]),
        ["Moss", "Moss", "Elm"]
    );
}

#[test]
fn a_row_without_a_value_ends_no_sample_and_an_empty_one_does() {
    let rows = |between: &str| {
        let found = sheet(&[
            HEAD,
            "Sample|Lab No|Analysis|Result|Units",
            "Long acre|S-31|pH (1:5 water)|6.1|",
            between,
            "||Potassium|216|mg/kg",
        ]);
        let s = sample(&found, "Long acre");
        s.readings.iter().filter(|r| r.doubts.is_empty()).count()
    };
    assert_eq!(rows("||Boron|not tested|"), 2);
    assert_eq!(rows(""), 1);
    assert_eq!(rows("Duplicate||Boron|not tested|"), 1);
}

#[test]
fn a_row_of_limits_below_the_names_is_none_of_a_sample() {
    let found = sheet(&[
        HEAD,
        "|||pH (water 1:5)|P Olsen|K NH4OAc",
        "Units||||mg/kg|mg/kg",
        "Lab No.|Field|Depth (cm)|||",
        "Reporting limit||||1|5",
        "7.1|Moss|0-10|6.1|12|120",
        "7.2|Elm|0-10|6.2|13|130",
    ]);
    let all: Vec<&str> = found.iter().flat_map(|r| &r.samples).map(|s| s.label.as_str()).collect();
    assert_eq!(all, ["Moss", "Elm"]);
}

#[test]
fn results_of_last_year_that_repeat_none_above_are_no_former_ones() {
    let found = sheet(&[
        "Client|Hob Mill Trust||Reported|2024-01-14",
        "Soil test results 2023 - main nutrients",
        "Test|Unit|Moss|Elm",
        "pH||6.1|6.2",
        "Potassium|mg/kg|120|130",
        "",
        "Soil test results 2023 - trace elements",
        "Zinc|mg/kg|1.2|1.3",
        "Boron|mg/kg|0.5|0.6",
    ]);
    assert_eq!(value(sample(&found, "Moss"), "zinc"), (1.2, true));
}

#[test]
fn a_bicarbonate_of_sixteen_hours_is_none_of_half_an_hour() {
    let method = |name: &str, procedure: &str| {
        let found = sheet(&[
            HEAD,
            "Sample|Lab No|DepthFrom-To(cm)|Analysis|Result|Units|Procedure",
            &format!("Long acre|S-31|10-30|{name}|39|mg/kg|{procedure}"),
            "Long acre|S-31|10-30|Sulfur|12|mg/kg|Hot KCl extract",
        ]);
        let s = sample(&found, "Long acre");
        assert_eq!((s.depth, value(s, "sulfur").1), (Some(Depth { top_cm: 10.0, bottom_cm: 30.0 }), true));
        let p = reading(s, "phosphorus");
        (p.method, p.doubts.is_empty())
    };
    assert_eq!(method("Phosphorus (Colwell)", "Bicarbonate, 16 h"), (Method::Colwell, true));
    assert_eq!(method("Phosphorus", "Sodium bicarbonate (16 h)").0, Method::Colwell);
    assert_eq!(method("Phosphorus", "Bicarbonate"), (Method::Olsen, true));
    assert!(!method("Phosphorus (Colwell)", "Bicarbonate").1);
}

#[test]
fn a_dash_among_units_is_no_number_of_another_column() {
    let found = read(&sheets(&[(
        "",
        &[
            "Quill Laboratory | | | Client: Moss Club",
            "Sample: Green 4 | | | Reported: 2023-10-19",
            "",
            "pH (CaCl2) | 6.7 | - | | Mg (Am. acetate) | 65 | mg/kg",
            "P (Olsen) | 23 | mg/kg | | Na (Am. acetate) | 10 | mg/kg",
            "K (Am. acetate) | 54 | mg/kg | | Fe (DTPA) | 190 | mg/kg",
        ],
    )]))
    .unwrap();
    let own = sample(&found, "Green 4");
    for (name, printed) in [("ph", 6.7), ("phosphorus", 23.0), ("potassium", 54.0), ("iron", 190.0)] {
        assert_eq!(value(own, name), (printed, true), "{name}");
    }
}

#[test]
fn a_cation_printed_by_area_and_by_mass_is_one_reading() {
    let rows = |second: &'static str| {
        [
            "Quill Laboratory | | | Client: Moss Club",
            "Reported: 2023-10-19",
            "",
            "Bag | Field name | pH | P, lb/acre | P, ppm | K, lb/acre | K, ppm",
            "551701 | Front lawn | 5.2 | 72 | 36 | 250 | 125",
            second,
        ]
    };
    let potassium = |second| {
        let found = read(&sheets(&[("", &rows(second))])).unwrap();
        found.iter().flat_map(|r| &r.samples).find(|s| s.label == "Back lawn").map(|s| value(s, "potassium"))
    };
    assert_eq!(potassium("551702 | Back lawn | 5.2 | 50 | 25 | 406 | 203"), Some((203.0, true)));
    assert!(potassium("551702 | Back lawn | 5.2 | 50 | 25 | 406 | 103").is_some_and(|(_, sure)| !sure));
}

#[test]
fn a_row_of_sieves_takes_no_results_from_the_rows_above_it() {
    let found = read(&sheets(&[(
        "",
        &[
            "Quill Laboratory | | | Client: Moss Club",
            "Sample: Green 4 | | | Reported: 2023-10-19",
            "",
            "Bulk density | | 1.51 | g/cm³ | target 1.35 - 1.55",
            "Organic matter (ignition) | | 1.1 | % by mass | target 1 - 3",
            "",
            "2.0 mm (gravel) | 1.0 mm | 0.50 mm | 0.25 mm | 0.15 mm | 0.05 mm",
            "1.9 | 7.5 | 24.3 | 39.2 | 14.9 | 5.6",
        ],
    )]))
    .unwrap();
    let own = sample(&found, "Green 4");
    assert_eq!((value(own, "bulk_density"), value(own, "organic_matter")), ((1.51, true), (1.1, true)));
    assert_eq!(own.readings.len(), 2);
}

#[test]
fn horizons_of_one_site_bear_its_name() {
    let found = read(&sheets(&[(
        "",
        &[
            "Quill Soil Survey | Client: Moss Board",
            "Reported: 2021-11-30",
            "",
            "Site | Lab id | Horizon | Upper (cm) | Lower (cm) | Sand, g/kg | Clay, g/kg",
            "Q-211 Heath | B40411 | Ap | 0 | 18 | 453 | 142",
            " | B40412 | Bw | 18 | 46 | 460 | 223",
            "Q-212 Flat | B40414 | Ap | 0 | 18 | 424 | 236",
            " | B40415 | Bw | 18 | 46 | 351 | 240",
            " | B40416 | BC | 60 | 80 | 411 | 214",
        ],
    )]))
    .unwrap();
    let all: Vec<(&str, Option<&str>, Option<Depth>)> = found
        .iter()
        .flat_map(|r| &r.samples)
        .map(|s| (s.label.as_str(), s.lab_number.as_deref(), s.depth))
        .collect();
    let depth = |top_cm, bottom_cm| Some(Depth { top_cm, bottom_cm });
    assert!(all.contains(&("Q-211 Heath", Some("B40412"), depth(18.0, 46.0))), "{all:?}");
    assert!(all.contains(&("Q-212 Flat", Some("B40415"), depth(18.0, 46.0))), "{all:?}");
    // A layer that does not go on with the one above may be of anybody.
    assert!(all.contains(&("", Some("B40416"), depth(60.0, 80.0))), "{all:?}");
}

#[test]
fn a_cation_by_an_extract_of_phosphorus_beside_another_waits() {
    let found = read(&sheets(&[(
        "",
        &[
            "Quill Laboratory | | | Client: Moss Club",
            "Reported: 2022-07-21",
            "",
            "Lab No | Site | pH | Colwell P, mg/kg | Colwell K, mg/kg | K exch, cmol(+)/kg",
            "60233/1 | A green | 6.7 | 14 | 164 | 0.42",
            "60233/2 | B green | 6.3 | 12 | 214 | 0.55",
        ],
    )]))
    .unwrap();
    let own = sample(&found, "A green");
    assert!(!value(own, "potassium").1);
    assert_eq!(value(own, "phosphorus"), (14.0, true));
}

#[test]
fn a_column_of_what_is_wished_for_beside_the_samples_takes_no_name_from_them() {
    let of = |head: &str, names: &str| {
        let lines = [
            "Client: Moss Trust|Reported 30 October 2023|Depth 0-25 cm",
            head,
            names,
            "pH|||5.8|6.2|4.8",
            "P|Olsen|mg/kg|30|35|25",
            "K|ammonium acetate|mg/kg|90|303|117",
        ];
        let found = read(&sheets(&[("", &lines)])).unwrap();
        let samples = found.iter().flat_map(|r| &r.samples);
        samples.map(|s| (s.label.clone(), value(s, "potassium").0)).collect::<Vec<_>>()
    };
    let named = [("Toft 1-0".to_owned(), 303.0), ("Toft 2-1".to_owned(), 117.0)];
    assert_eq!(of("Analysis|Method|Unit|Wanted level|Result of sample", "||||Toft 1-0|Toft 2-1"), named);
    // What stands over the column without a name is no wish, so that nobody knows whose the numbers are.
    let unnamed = of("Analysis|Method|Unit|Quibble|Result of sample", "||||Toft 1-0|Toft 2-1");
    assert!(unnamed.iter().all(|(name, _)| !name.starts_with("Toft")), "{unnamed:?}");
}

#[test]
fn of_seasons_under_a_name_merged_over_them_the_latest_is_read_and_what_is_wished_for_is_none() {
    let of = |under: &str| {
        let lines = format!(
            "Client: Moss Trust|Sampled 28 February 2024|Depth 0-15 cm\nLab no.|Field|pH|||P mg/kg||\n||{under}|{under}\n\
             1|Hob|6.5|6.1|6.9|50|82|93\n2|Moss|6.5|5.0|5.5|50|54|72"
        );
        let lines: Vec<&str> = lines.split('\n').collect();
        let mut document = sheets(&[("", &lines)]);
        if let crate::document::Content::Cells(cells) = &mut document.pages[0].content {
            cells.iter_mut().filter(|c| c.row == 2 && c.column > 2).for_each(|c| c.columns = 3);
        }
        let found = read(&document).map_err(|e| format!("{e:?}"))?;
        let hob = found.iter().flat_map(|r| &r.samples).find(|s| s.label == "Hob").cloned();
        let told = |r: &crate::soil::Reading| (r.quantity.value, r.doubts.is_empty());
        Ok::<_, String>(hob.map(|s| s.readings.iter().map(told).collect::<Vec<_>>()).unwrap_or_default())
    };
    assert_eq!(of("Target|2021|2024"), Ok(vec![(6.9, true), (93.0, true)]));
    assert_eq!(of("2021|2024|Target"), Ok(vec![(6.1, true), (82.0, true)]));
    assert_eq!(of("2018|2021|2024"), Ok(vec![(6.9, true), (93.0, true)]));
    // A year after the report's own is one of a plan.
    assert!(of("2024|2025|2026").unwrap_or_default().iter().all(|(_, sure)| !sure));
}

#[test]
fn a_number_in_the_last_line_of_a_cell_is_no_part_of_the_name() {
    let of = |cells: [&str; 3]| {
        let head = format!("Determination|Target|{}|{}|{}", cells[0], cells[1], cells[2]);
        let lines = [
            "Moss Soils",
            "Report 556/22",
            "Client: Hob Farms",
            "Received: 7 November 2022",
            "",
            head.as_str(),
            "pH in water (1:2.5)|6.2|5.3|5.6|5.1",
            "Phosphorus, Olsen, mg/kg|20|67|22|50",
            "Potassium, ammonium acetate, mg/kg|150|143|239|199",
        ];
        let found = read(&sheets(&[("", &lines)])).unwrap();
        let samples = found.iter().flat_map(|r| &r.samples);
        samples
            .map(|s| {
                let sure = s.doubts.is_empty() && s.readings.iter().all(|r| r.doubts.is_empty());
                let p = s.readings.iter().find(|r| r.analyte.id() == "phosphorus").map(|r| r.quantity.value);
                (s.label.clone(), s.lab_number.clone(), p, sure)
            })
            .collect::<Vec<_>>()
    };
    let own = |name: &str, number: &str, p: f64| (name.to_owned(), Some(number.to_owned()), Some(p), true);
    let expected = [
        own("Long Field behind the church", "AL-31", 67.0),
        own("Long Field below the pylon", "AL-32", 22.0),
        own("Mill (reseed)", "AL-33", 50.0),
    ];
    let found = of([
        "Long Field behind\nthe church\nAL-31",
        "Long Field below the pylon\nAL-32",
        "Mill (reseed)\nAL-33",
    ]);
    assert_eq!(found, expected);
    // Of numbers that do not count on nobody knows whose they are.
    let found = of(["Long Field\nAL-31", "Hob field\nAL-35", "Mill\nAL-33"]);
    assert!(found.iter().all(|f| !f.3), "{found:?}");
    let rows = [
        "Moss Soils",
        "Report 556/22",
        "Client: Hob Farms",
        "Received: 7 November 2022",
        "",
        "Sample|pH in water (1:2.5)|P, Olsen, mg/kg",
        "Long Field\nAL-31|5.3|67",
        "Hob field\nAL-32|5.6|22",
        "Mill\nAL-33|5.1|50",
    ];
    let found = read(&sheets(&[("", &rows)])).unwrap();
    assert!(found.iter().flat_map(|r| &r.samples).all(|s| !s.doubts.is_empty()), "{found:?}");
}
