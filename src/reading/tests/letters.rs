//! Letters and mails: what they tell of samples in sentences, subjects and under quoted mails.

use super::{document, reports, sample, sheets, value};
use crate::document::{Document, Format, Page};
use crate::reading::layout::tests::typed;
use crate::reading::read;
use crate::soil::Method;

const LETTER: [&str; 16] = [
    "Hob Mill Soil Service",
    "4 Weir Row, Hobden",
    "",
    "March 21, 2024",
    "",
    "Mr A. Finch",
    "Moss End",
    "",
    "Dear Mr Finch,",
    "",
    "All nutrients below were extracted with Mehlich 3, and organic matter was found by loss on ignition.",
    "",
    "Long border (lab no. 8101). The soil pH is 6.8 and needs no lime. Organic matter is 4.5 %.",
    "Phosphorus was 21 ppm, potassium 119 ppm and magnesium 140 ppm; we should like to see 150 ppm of potassium.",
    "",
    "Near plot (lab no. 8102). The soil pH is 6.1. Organic matter is 3.9 %. Phosphorus was 33 ppm.",
];

#[test]
fn a_name_before_what_was_found_and_a_list_of_values_are_read() {
    let found = reports(&[&LETTER]);
    let long = sample(&found, "Long border");
    assert_eq!(long.lab_number.as_deref(), Some("8101"));
    assert_eq!(value(long, "ph"), (6.8, true));
    assert_eq!(value(long, "potassium"), (119.0, true));
    assert_eq!(value(long, "magnesium"), (140.0, true));
    assert_eq!(super::reading(long, "potassium").method, Method::Mehlich3);
    assert_eq!(value(sample(&found, "Near plot"), "phosphorus"), (33.0, true));
    assert_eq!(found[0].client.as_deref(), Some("Mr A. Finch"));
}

#[test]
fn an_extract_that_is_given_to_nothing_holds_the_nutrients() {
    let found = reports(&[&[
        "Soil test report",
        "Sample ID: Long border",
        "",
        "Test            Result   Unit",
        "pH              6.3",
        "Phosphorus      21       ppm",
        "Potassium       119      ppm",
        "",
        "Hobden uses Mehlich 3, the pH is read in water and Olsen only when asked.",
    ]]);
    let long = sample(&found, "Long border");
    assert!(!value(long, "potassium").1, "{long:?}");
}

#[test]
fn a_subject_names_the_sample_and_dots_lead_to_values() {
    let found = reports(&[&[
        "                                                            Hob Mill Soil Office",
        "                                                            9 Weir Row",
        "",
        "Mr T. Finch                                                 28 May 2024",
        "17 Sallow Bank",
        "",
        "Soil report HM-24-64: Far paddock, 0-15 cm, taken 19 May 2024",
        "",
        "pH in water, 1 to 2.5 ...................      6.2         slightly acid",
        "Organic matter, loss on ignition ........      3.9 %       good",
        "Phosphorus, Olsen .......................      14 mg/kg    moderate",
    ]]);
    let far = sample(&found, "Far paddock");
    assert_eq!(value(far, "organic_matter"), (3.9, true));
    assert_eq!(value(far, "ph"), (6.2, true));
    assert_eq!(super::reading(far, "ph").method, Method::Water1to2_5);
    assert_eq!(far.depth.map(|d| d.bottom_cm), Some(15.0));
    assert_eq!(found[0].client.as_deref(), Some("Mr T. Finch"));
    assert_eq!(found[0].reported_on.map(|d| d.to_string()).as_deref(), Some("2024-05-28"));
}

#[test]
fn a_subject_that_goes_on_with_more_than_layer_and_day_names_no_sample() {
    let found = reports(&[&[
        "Soil report HM-24-64: Thanks for your order, taken 19 May 2024, and for your patience",
        "",
        "Test            Result   Unit",
        "pH              6.3",
        "Potassium       119      ppm",
    ]]);
    assert!(found.iter().flat_map(|r| &r.samples).all(|s| !s.label.contains("Thanks")), "{found:?}");
}

const MAIL: [&str; 6] = [
    "Here are the results for report HM-480, client Finch Lawn Care, sampled 14 April 2024 (0-4 in).",
    "",
    "Sample        Lab #    pH     OM %   P ppm   K ppm",
    "Upper tee     4401     6.2    4.1    54      136",
    "Lower tee     4402     6.3    4.6    51      97",
    "",
];

#[test]
fn what_a_mail_quotes_is_not_its_own() {
    let old = [
        "Results for report HM-391, sampled 17 April 2022 (0-4 in):",
        "",
        "Sample        Lab #    pH     OM %   P ppm   K ppm",
        "Upper tee     3901     5.8    4.4    50      172",
    ];
    for introduction in ["On 24 Apr 2022 Results desk wrote:", "-----Original Message-----"] {
        let page: Vec<&str> = MAIL.iter().chain(&[introduction, ""]).chain(&old).copied().collect();
        let found = reports(&[&page]);
        assert_eq!(found.len(), 1, "{introduction}");
        assert_eq!(found[0].samples.len(), 2, "{introduction}");
        assert_eq!(found[0].number.as_deref(), Some("HM-480"));
        assert_eq!(found[0].client.as_deref(), Some("Finch Lawn Care"));
        assert_eq!(value(sample(&found, "Upper tee"), "ph"), (6.2, true));
        let layer = sample(&found, "Upper tee").depth.map(|d| (d.top_cm, d.bottom_cm));
        assert_eq!(layer, Some((0.0, 10.16)));
    }
    // Where only the quotation holds results, it is read.
    let page: Vec<&str> =
        ["See below.", "", "On 24 Apr 2022 Results desk wrote:", ""].iter().chain(&old).copied().collect();
    assert_eq!(reports(&[&page])[0].samples.len(), 1);
}

#[test]
fn a_name_in_a_cell_that_begins_with_a_number_is_whole() {
    let text =
        "Sample,Lab #,pH,OM %,K ppm\n12 Weir Way front,4401,6.2,4.1,136\n40 Hob Rise,4402,6.3,4.6,97\n";
    let document = crate::document::open(text.as_bytes(), &crate::document::Limits::default()).unwrap();
    let found = read(&document).unwrap();
    assert_eq!(value(sample(&found, "12 Weir Way front"), "potassium"), (136.0, true));
    assert_eq!(value(sample(&found, "40 Hob Rise"), "potassium"), (97.0, true));
}

#[test]
fn numbers_of_footnotes_in_brackets_give_their_methods() {
    let found = reports(&[&[
        "Soil test report",
        "Client: Hob Mill Trust",
        "",
        "Sample      Lab No.   pH (1)   OM % (2)   P ppm (3)   K ppm (3)",
        "Tee         913       6.5      3.7        23          164",
        "Green       914       5.9      4.1        22          120",
        "",
        "(1) 1:1 water (2) loss on ignition (3) Mehlich 3",
    ]]);
    let tee = sample(&found, "Tee");
    assert_eq!(value(tee, "phosphorus"), (23.0, true));
    assert_eq!(super::reading(tee, "phosphorus").method, Method::Mehlich3);
    assert_eq!(super::reading(tee, "ph").method, Method::Water1to1);
}

#[test]
fn a_number_of_the_laboratory_in_some_names_holds_all() {
    let found = reports(&[&[
        "Soil test report",
        "Client: Hob Mill Trust",
        "",
        "Sample           pH     OM %   P ppm   K ppm",
        "Pond 71204/1     6.2    4.1    54      136",
        "71204/2          6.3    4.6    51      97",
        "71204/3          6.3    4.6    51      97",
    ]]);
    assert!(found[0].samples.iter().all(|s| s.doubts.iter().any(|d| d.reason == "sample-unnamed")));
    let found = reports(&[&[
        "Soil test report",
        "Client: Hob Mill Trust",
        "",
        "Sample           pH     OM %   P ppm   K ppm",
        "71204/1          6.2    4.1    54      136",
        "71204/2          6.3    4.6    51      97",
    ]]);
    assert!(found[0].samples.iter().all(|s| s.doubts.is_empty()));
}

#[test]
fn halves_of_headings_beside_the_result_name_no_sample() {
    let page = [
        "Soil test report",
        "Client: Hob Mill Trust",
        "Sample ID: Weir field",
        "",
        "                                     Uncertainty                          Date",
        "Parameter   Result   Unit     LOQ                   Method",
        "                                     (k=2)                                analysed",
        "pH          6.7               0.1    ±0.2           HM 12 (1:5 water)    03/04/2024",
        "Potassium   177      mg/kg    5      ±9 %           HM 31                03/04/2024",
        "Magnesium   270      mg/kg    5      ±9 %           HM 32                03/04/2024",
    ];
    let mut page = Page { number: 1, ..typed(&page) };
    // The lines of the heading run into each other, as cells of two lines beside cells of one do.
    if let crate::document::Content::Words(words) = &mut page.content {
        for word in words.iter_mut() {
            let row = (word.area.y0 / 12.0).round();
            let shift = if row > 6.5 {
                -6.0
            } else if row > 5.5 {
                -12.0
            } else if row > 4.5 {
                -6.0
            } else {
                0.0
            };
            word.area.y0 += shift;
            word.area.y1 += shift;
        }
    }
    let document = Document { pages: vec![page], ..document(&[]) };
    assert_eq!(document.format, Format::Pdf);
    let found = read(&document).unwrap();
    assert_eq!(value(sample(&found, "Weir field"), "potassium"), (177.0, true));
}

#[test]
fn a_method_over_and_under_its_row_is_not_passed_over() {
    let found = reports(&[&[
        "Soil test report",
        "Client: Hob Mill Trust",
        "Sample ID: Weir field",
        "",
        "Parameter   Result   Unit     Method",
        "pH          6.7               Bench 12 (1:5 water)",
        "Zinc        3.1      mg/kg    Bench 13 (DTPA)",
        "                              Bench 31 (ammonium",
        "Potassium   177      mg/kg",
        "                              acetate)",
    ]]);
    let weir = sample(&found, "Weir field");
    assert_eq!(value(weir, "zinc"), (3.1, true));
    let potassium = super::reading(weir, "potassium");
    assert!(potassium.method == Method::AmmoniumAcetate || !potassium.doubts.is_empty(), "{potassium:?}");
}

#[test]
fn what_was_not_detected_is_below_the_limit_that_a_sentence_gives() {
    let page = |note: &str| {
        reports(&[&[
            "Soil test report",
            "Client: Hob Mill Trust",
            "",
            "Sample      pH      K ppm    B ppm    Zn ppm",
            "Tee         6.5     164      0.5      ND",
            "Green       5.9     120      ND       1.4",
            "",
            note,
        ]])
    };
    let boron = |found: &[crate::soil::Report]| {
        let green = sample(found, "Green");
        let read = green.readings.iter().find(|r| r.analyte.id() == "boron");
        read.map(|r| (r.quantity.value, r.quantity.qualifier, r.doubts.is_empty()))
    };
    let found = page("ND: not detected, below 0.2 ppm for boron.");
    assert_eq!(boron(&found), Some((0.2, Some(crate::soil::Qualifier::Below), true)));
    assert!(
        sample(&found, "Tee").readings.iter().all(|r| r.analyte.id() != "zinc"),
        "no limit is given for zinc"
    );
    for note in ["ND: not determined.", "ND: not detected, below 0.2 mg/L for boron.", "ND: not detected."] {
        assert_eq!(boron(&page(note)), None, "{note}");
    }
}

#[test]
fn a_quoted_table_is_read_where_nothing_else_holds_results_and_the_older_one_in_it_is_not() {
    let found = reports(&[&[
        "See below.",
        "",
        "-----Original Message-----",
        "> From: Quillmar Soils <lab@quillmar.example>",
        "> Client:    Hob Mill Trust",
        "> Received:  16/05/2024",
        ">",
        "> Lab no   Field         pH     P mg/kg   K mg/kg",
        "> ------   ----------    ---    -------   -------",
        "> 41207    Far Twelve    6.4    31        152",
        "> 41208    Ox Leys       6.1    20        84",
        ">",
        "> On 3 May 2021 Ada Fernshaw wrote:",
        "> > Field         pH     P mg/kg   K mg/kg",
        "> > Far Twelve    5.5    9         60",
    ]]);
    assert_eq!(found[0].client.as_deref(), Some("Hob Mill Trust"));
    assert_eq!(found.iter().flat_map(|r| &r.samples).count(), 2);
    let far = sample(&found, "Far Twelve");
    assert_eq!((far.lab_number.as_deref(), value(far, "ph")), (Some("41207"), (6.4, true)));
}

#[test]
fn a_line_over_each_list_is_a_part_of_it_and_the_same_everywhere_is_not() {
    let of = |first: &str, second: &str, behind: &str| {
        let found = reports(&[&[
            "Soil results KSU/25/0662",
            "",
            "Dear Ada Fernshaw,",
            "",
            "Please find below the results for the samples we received on 13 January 2025.",
            "",
            "Sample 0662-1: Lower Bawn",
            first,
            "  Phosphorus (Morgan): 2.5 mg/l  (Index 2)",
            "  Potassium (Morgan): 116 mg/l  (Index 3)",
            behind,
            "",
            "Sample 0662-2: Bog Field",
            second,
            "  Phosphorus (Morgan): 6.1 mg/l  (Index 3)",
            "  Potassium (Morgan): 114 mg/l  (Index 3)",
            "",
            "Kind regards,",
            "Quern Soil Unit",
        ]]);
        let acid = |name: &str| {
            let own = found.iter().flat_map(|r| &r.samples).filter(|s| s.label == name);
            let mut all = own.flat_map(|s| &s.readings).filter(|r| r.analyte.id() == "ph");
            all.next().map(|r| (r.quantity.value, r.doubts.is_empty()))
        };
        (acid("Lower Bawn"), acid("Bog Field"))
    };
    assert_eq!(of("  pH: 5.4", "  pH: 6.0", ""), (Some((5.4, true)), Some((6.0, true))));
    let accepted = |found: (Option<(f64, bool)>, Option<(f64, bool)>)| {
        [found.0, found.1].into_iter().flatten().any(|(_, sure)| sure)
    };
    // The same number everywhere may be what is wanted, and one line alone a remark.
    assert!(!accepted(of("  pH: 6.5", "  pH: 6.5", "")));
    assert!(!accepted(of("  pH: 5.4", "", "")));
    // Of two numbers of one sample one is another's.
    assert!(!accepted(of("  pH: 5.4", "  pH: 6.0", "  pH: 6.5")));
}

#[test]
fn a_farm_in_the_paragraph_under_the_number_is_whose_soil_a_letter_tells_of() {
    let client = |number: &str, name: &str, behind: &str| {
        let lines = [
            "Quill Soil Laboratory",
            "",
            number,
            "",
            name,
            "",
            behind,
            "",
            "Lab no|Land|pH (KCl)|K (mg/kg)",
            "11901|Land 4A|5.3|282",
            "11902|Land 4B|5.1|91",
        ];
        read(&sheets(&[("", &lines)])).unwrap()[0].client.clone()
    };
    let received = "Samples received: 20 May 2024. Topsoil, 0-300 mm.";
    let number = "Report DV-1190 Date: 29 May 2024";
    assert_eq!(client(number, "Quillvlei Boerdery", received).as_deref(), Some("Quillvlei Boerdery"));
    assert_eq!(client(number, "Quillvlei Depot", received), None);
    assert_eq!(client("Droogvlei", "Quillvlei Boerdery", received), None);
    let named = client(number, "Quillvlei Boerdery", "Client: Quern Trust");
    assert_eq!(named.as_deref(), Some("Quern Trust"));
}
