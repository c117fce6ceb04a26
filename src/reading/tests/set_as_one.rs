//! What stands in one line or one cell and says several things: a number and a name, a name with its day and layer,
//! sentences side by side.

use super::{reading, reports, sample, sheets, value};
use crate::reading::read;
use crate::soil::{Depth, Method, Report};

fn day(text: &str) -> Option<jiff::civil::Date> {
    Some(text.parse().unwrap())
}

fn form(lines: &[&'static str]) -> Vec<Report> {
    let rows = [
        "",
        "Test                    Result   Unit",
        "pH (1:1 water)          6.3",
        "Potassium (K)           264      ppm",
        "Magnesium (Mg)          208      ppm",
    ];
    let all: Vec<&str> = lines.iter().copied().chain(rows).collect();
    reports(&[&all])
}

#[test]
fn a_number_and_a_name_behind_the_word_for_a_sample() {
    for line in ["Sample 66120-1: Rose bed", "Soil test report 66120    Sample 66120-1: Rose bed"] {
        let found = form(&["Hob Mill Soil Clinic", "", line, "Report no. 66120", "Name: Ada Fernshaw"]);
        let own = sample(&found, "Rose bed");
        assert_eq!(value(own, "potassium"), (264.0, true), "{line}");
        assert_eq!(own.lab_number.as_deref(), Some("66120-1"), "{line}");
        assert_eq!(found[0].client.as_deref(), Some("Ada Fernshaw"), "{line}");
    }
}

#[test]
fn a_quoted_name_with_its_day_and_layer_behind_it() {
    let found = form(&[
        "Hob Mill Soil Bureau",
        "",
        "Prepared for Mrs. Ada Quern",
        "Samples came in on April 17, 2023; this report was written on April 24, 2023.",
        "",
        "SAMPLE 8823-A   \"Rose bed\"    taken April 14, 2023, top 6 inches",
    ]);
    let own = sample(&found, "Rose bed");
    assert_eq!((own.lab_number.as_deref(), own.sampled_on), (Some("8823-A"), day("2023-04-14")));
    assert_eq!(own.depth, Some(Depth::inches(0.0, 6.0)));
    assert_eq!((found[0].received_on, found[0].reported_on), (day("2023-04-17"), day("2023-04-24")));
    let found = form(&[
        "Hob Mill Soil Bureau",
        "",
        "Sample: Rose bed, 0-6 in, taken May 3, 2023, received May 9, 2023",
    ]);
    assert_eq!(sample(&found, "Rose bed").sampled_on, day("2023-05-03"));
    assert_eq!(found[0].received_on, day("2023-05-09"));
    // A day that is no sampling's, and a layer that is none.
    let found =
        form(&["Hob Mill Soil Bureau", "", "SAMPLE 8823-A   \"Rose bed\"   limed April 14, 2023, 6 roses"]);
    let own = sample(&found, "Rose bed");
    assert_eq!((own.sampled_on, own.depth), (None, None));
}

#[test]
fn a_layer_behind_the_day_of_a_sample_is_no_part_of_the_day() {
    for line in ["Sampled: 14 October 2021, depth 0-40 cm", "Prelievo: 14/10/2021, profondità 0-40 cm"] {
        let found = form(&["Hob Mill Soil Bureau", "", "Sample: Rose bed", line]);
        let own = sample(&found, "Rose bed");
        assert_eq!(own.sampled_on, day("2021-10-14"), "{line}");
        assert_eq!(own.depth, Some(Depth { top_cm: 0.0, bottom_cm: 40.0 }), "{line}");
    }
}

#[test]
fn sentences_side_by_side_over_a_heading_are_no_line_of_it() {
    for line in [
        "Extractant: Mehlich-1.  Soil pH in 1:1 water.  Buffer: Adams-Evans.",
        "Soil pH in 1:1 water.  Buffer: Adams-Evans.  Extractant: Mehlich-1.",
    ] {
        let found = reports(&[&[
            "Hob Mill Soil Laboratory",
            "Grower: Quern Produce          Report: 22-0417",
            "Received: 02/18/2022",
            line,
            "",
            "Lab     Sample            Soil  Buffer     P      K     Ca     Mg    CEC    O.M.",
            "No.     Name              pH    pH       lb/A   lb/A   lb/A   lb/A  meq/100g  %",
            "4170    Berry 1           5.4   7.64       34    318   1788    244    8.9     2.2",
            "4171    Berry 2           6.6              18    142   1826    342    6.6     6.2",
            "4172    Kale house        5.2   7.59       18    292   1628    216    8.8     4.0",
        ]]);
        let own = sample(&found, "Kale house");
        assert_eq!(reading(own, "phosphorus").method, Method::Mehlich1, "{line}");
        assert_eq!(reading(own, "buffer_ph").method, Method::AdamsEvans, "{line}");
        assert_eq!(value(own, "magnesium"), (108.0, true), "{line}");
        assert!(value(own, "buffer_ph").1);
    }
}

#[test]
fn a_unit_that_a_sentence_gives_to_what_it_names() {
    let table = [
        "",
        "Client: Ada Quern",
        "Lab ref | Field       | pH  | P   | P ix | K   | Mg  | OM % ",
        "29101   | Lower lawn  | 6.7 | 5.0 | 3    | 104 | 130 | 2.7  ",
        "29102   | Well field  | 6.4 | 3.1 | 2    | 103 | 243 | 5.9  ",
    ];
    let of = |note: &'static str| {
        let lines: Vec<&str> = ["Hob Mill Analysts", note].into_iter().chain(table).collect();
        read(&sheets(&[("", &lines)])).unwrap()
    };
    for note in [
        "P, K and Mg by Morgan's extractant, all in mg per litre of soil. pH in water 1:2.",
        "P, K and Mg are given in milligrams per litre of soil (Morgan's reagent).",
    ] {
        let found = of(note);
        let own = sample(&found, "Well field");
        let r = reading(own, "potassium");
        assert_eq!(
            (r.method, r.quantity.basis),
            (Method::Morgan, Some(crate::soil::Basis::Volume)),
            "{note}"
        );
        assert_eq!(value(own, "magnesium"), (243.0, true), "{note}");
    }
    let found = of("P, K and Mg by Morgan's extractant, 25 mg per litre of soil is the limit for K.");
    assert!(!value(sample(&found, "Well field"), "magnesium").1);
}

#[test]
fn what_ph_was_measured_in_stands_in_the_line_of_units() {
    let found = read(&sheets(&[(
        "",
        &[
            "Laboratório Quern",
            "Proprietário: | Ada Quern",
            "Entrada: | 13/06/2024",
            "",
            "Lab. | Amostra | Prof. | pH | pH | M.O. | K | Ca | H+Al | CTC pH 7 | V | m | Zn | Argila",
            " | | cm | H2O | CaCl2 | dag/kg | mg/dm3 | cmolc/dm3 | cmolc/dm3 | cmolc/dm3 | % | % | mg/dm3 | %",
            "9-1 | Horta | 0-20 | 6,1 | 5,5 | 5,0 | 162 | 6,60 | 1,80 | 10,23 | 82,4 | 0,0 | 5,0 | 18",
            "9-2 | Horta | 20-40 | 5,7 | 5,3 | 6,1 | 169 | 5,42 | 2,60 | 9,82 | 73,5 | 0,0 | 1,1 | 21",
            "9-3 | Pomar | 0-20 | 5,8 | 5,2 | 2,8 | 117 | 4,83 | 2,10 | 8,76 | 76,0 | 0,0 | 2,1 | 19",
            "",
            "pH em água 1:2,5; K, Zn: extrator Mehlich-1; Ca: KCl 1 mol/L; H+Al: acetato de cálcio pH 7",
        ],
    )]))
    .unwrap();
    let own = sample(&found, "Pomar");
    assert_eq!(own.depth, Some(Depth { top_cm: 0.0, bottom_cm: 20.0 }));
    assert_eq!(value(own, "potassium"), (117.0, true));
    let of = |method| own.readings.iter().find(|r| r.method == method).map(|r| r.quantity.value);
    assert_eq!((of(Method::Water1to2_5), of(Method::Cacl2)), (Some(5.8), Some(5.2)));
    assert_eq!(value(own, "cec"), (8.76, true));
    let layers: Vec<_> = found[0].samples.iter().filter(|s| s.label == "Horta").map(|s| s.depth).collect();
    assert_eq!(layers.len(), 2);
    assert_ne!(layers[0], layers[1]);
}

#[test]
fn cells_over_columns_that_hold_a_name_a_number_and_a_layer() {
    let of = |cells: [&str; 2]| {
        let heading = format!("Determination | Units | Guideline | {} | {}", cells[0], cells[1]);
        let lines = [
            "Hob Mill Land Laboratory",
            "Certificate no. HM/7706",
            "Customer: Ada Quern",
            "Samples taken: 22 June 2023",
            "",
            &heading,
            "pH | | 6.0-6.5 | 6.4 | 6.6",
            "Available Phosphorus | mg/l | 16-25 | 15 | 11",
            "Phosphorus Index | | 2 | 1 | 1",
            "Available Potassium | mg/l | 121-180 | 249 | 286",
            "Potassium Index | | 2- | 3 | 3",
            "Organic Matter (LOI) | % w/w | > 4 | 5.2 | 1.5",
            "Sand | % | | 24 | 41",
        ];
        read(&sheets(&[("", &lines)])).unwrap()
    };
    for cells in [
        ["Ox close 7706/1 0-7.5 cm", "Mill hams 7706/2 0-15 cm"],
        ["7706/1 Ox close 0-7.5 cm", "7706/2 Mill hams 0-15 cm"],
    ] {
        let found = of(cells);
        let own = sample(&found, "Mill hams");
        assert_eq!(own.lab_number.as_deref(), Some("7706/2"));
        assert_eq!(own.depth, Some(Depth { top_cm: 0.0, bottom_cm: 15.0 }));
        assert_eq!(value(own, "potassium"), (286.0, true));
        assert_eq!(value(sample(&found, "Ox close"), "sand"), (24.0, true));
    }
}

#[test]
fn what_is_counted_by_small_areas_is_put_down_and_not_found() {
    let of = |heading: &'static str| {
        form_with(&[
            "",
            heading,
            "Ground limestone        9",
            "Nitrogen (N)            0.2",
            "Phosphate (P2O5)        0.1",
            "Potash (K2O)            0.3",
        ])
    };
    for heading in [
        "Amendment               lb per 100 sq ft",
        "Material                g/m2",
        "Apply                   pounds per 1000 square feet",
    ] {
        assert_eq!(value(sample(&of(heading), "Rose bed"), "potassium"), (264.0, true), "{heading}");
    }
    // Under a heading of results nobody knows which of the two is one.
    let found = of("Test                    Result");
    let own = sample(&found, "Rose bed").readings.iter().filter(|r| r.analyte.id() == "potassium");
    let sure: Vec<f64> = own.filter(|r| r.doubts.is_empty()).map(|r| r.quantity.value).collect();
    assert!(sure.is_empty() || sure == [264.0], "{sure:?}");
}

fn form_with(below: &[&'static str]) -> Vec<Report> {
    let above = [
        "Hob Mill Soil Clinic",
        "Client: Ada Quern",
        "Sample: Rose bed",
        "Sampled: 3 May 2023",
        "",
        "Test                    Result   Unit",
        "pH (1:1 water)          6.3",
        "Phosphorus (P)          12       ppm",
        "Potassium (K)           264      ppm",
        "Exchange acidity        1.2      meq/100 g",
    ];
    let all: Vec<&str> = above.into_iter().chain(below.iter().copied()).collect();
    reports(&[&all])
}
