//! Forms of reports: what their headings, pages and rows look like, each with the rule that reads it.

use super::{reading, reports, sample, value};
use crate::soil::Method;

#[test]
fn a_column_of_unlike_words_before_the_results_names_the_samples() {
    let lines = |a: &str, b: &str, c: &str| {
        let row = |n: &str, name: &str, v: &str| format!("{n}     {name:<12} {v}");
        reports(&[&[
            "Quill Soil Room",
            "Client: Ada Fernshaw",
            "Lab No.  Kamp         pH      K mg/kg   Ca mg/kg",
            &row("7710", a, "5.4     79        636"),
            &row("7711", b, "5.6     73        655"),
            &row("7712", c, "5.8     74        895"),
        ]])
    };
    let found = lines("Bult 3A", "Spruit 1", "Weiding");
    assert_eq!(value(sample(&found, "Spruit 1"), "potassium"), (73.0, true));
    let found = lines("sandy loam", "clay", "silt loam");
    assert!(found.iter().flat_map(|r| &r.samples).all(|s| s.label != "clay"), "{found:?}");
    let found = lines("Weiding", "Weiding", "Bult 3A");
    assert!(found.iter().flat_map(|r| &r.samples).all(|s| s.label != "Bult 3A"), "{found:?}");
}

#[test]
fn a_lone_phrase_at_the_top_of_a_further_page_is_no_heading() {
    let head = "Sample  Lab no.   pH      K ppm     Ca ppm";
    let pages = |line: &str| {
        reports(&[
            &[
                "Client: Ada Fernshaw",
                head,
                "A1      3041      6.2     183       2137",
                "A2      3042      6.1     202       1891",
            ],
            &[
                line,
                "",
                "C1      3043      6.0     147       1638",
                "C2      3044      6.5     279       2535",
            ],
        ])
    };
    let found = pages("QX-304 Fernshaw and (continued)");
    assert_eq!(value(sample(&found, "C1"), "potassium"), (147.0, true));
    let found = pages("        cmol/kg           cmol/kg");
    assert!(found.iter().flat_map(|r| &r.samples).all(|s| s.label != "C1" || !value(s, "potassium").1));
}

#[test]
fn an_extract_known_for_another_nutrient_is_not_the_one_of_the_notes() {
    let found = reports(&[&[
        "Client: Ada Fernshaw",
        "Sample: Moss",
        "Potassium (Colwell)   115   mg/kg",
        "Calcium               840   mg/kg",
        "pH                    6.4",
        "",
        "Exchangeable cations: ammonium acetate, pH 7.",
    ]]);
    let moss = sample(&found, "Moss");
    assert_eq!(reading(moss, "calcium").method, Method::AmmoniumAcetate);
    assert_eq!(reading(moss, "potassium").method, Method::Unstated);
}

#[test]
fn a_table_under_a_title_of_advice_holds_no_results() {
    let page = |title: &str| {
        reports(&[&[
            "Client: Ada Fernshaw",
            "",
            "Sample       pH     P mg/kg  K mg/kg",
            "Moss         6.1    17       162",
            "Gorse bank   6.0    16       112",
            "",
            title,
            "",
            "Sample       Use        N      P      K",
            "Moss         Grazing    120    10     30",
            "Gorse bank   Silage     100    15     40",
        ]])
    };
    let found = page("Nutrient advice (kg/ha)");
    assert_eq!(value(sample(&found, "Moss"), "phosphorus"), (17.0, true));
    assert!(found.iter().flat_map(|r| &r.samples).flat_map(|s| &s.readings).all(|r| r.printed.value != "10"));
}

#[test]
fn phosphate_and_potash_counted_as_the_lime_beside_them_are_rates() {
    let page = |lime: &str| {
        reports(&[&[
            "Client: Ada Fernshaw",
            "",
            "Sample       pH     P mg/kg  K mg/kg",
            "Moss         6.1    17       162",
            "Gorse bank   6.0    16       112",
            "",
            "",
            "",
            &format!("Sample       {lime}     P2O5 lb/ac   K2O lb/ac"),
            "Moss         2500           70           40",
            "Gorse bank   500            15           60",
        ]])
    };
    let found = page("Lime lb/ac");
    assert_eq!(value(sample(&found, "Moss"), "phosphorus"), (17.0, true));
    assert_eq!(found.iter().flat_map(|r| &r.samples).map(|s| s.readings.len()).sum::<usize>(), 6);
    let other = page("Ca lb/ac  ");
    assert_ne!(other.iter().flat_map(|r| &r.samples).map(|s| s.readings.len()).sum::<usize>(), 6);
}

#[test]
fn the_last_line_of_a_form_says_nothing_of_the_columns_below_it() {
    let found = reports(&[&[
        "Client      Ada Fernshaw     Report no.   QS-55",
        "Sample ID   Kitchen plot     Lab number   R551",
        "Received    May 6, 2024      Reported     May 15, 2024",
        "Use         Vegetables       Texture      Clay loam",
        "",
        "Test               Result    Units        Interpretation",
        "pH (1:1)           7.1                    Slightly alkaline",
        "Organic matter     2.3       %            Medium",
        "Phosphorus         4.9       ppm          Adequate",
        "Potassium          291       ppm          Adequate",
    ]]);
    assert_eq!(value(sample(&found, "Kitchen plot"), "potassium"), (291.0, true));
}

#[test]
fn what_is_wished_for_beside_the_last_name_takes_no_name_and_is_no_sample() {
    let found = reports(&[&[
        "Client: Ada Fernshaw",
        "",
        "Sample name                 Gorse lea   Thrift block  Guideline",
        "Laboratory number   Unit    402/1       402/2         pasture",
        "pH CaCl2                    5.2         5.1           5.0-6.5",
        "Zinc (DTPA)         mg/kg   5.19        2.91          >0.5",
        "Copper (DTPA)       mg/kg   1.08        0.91          >0.3",
    ]]);
    let thrift = sample(&found, "Thrift block");
    assert_eq!(thrift.lab_number.as_deref(), Some("402/2"));
    assert_eq!(found.iter().flat_map(|r| &r.samples).count(), 2);
}

#[test]
fn a_farm_and_an_account_are_the_client_only_where_nothing_else_names_one() {
    let client = |lines: &[&str]| {
        let mut page: Vec<&str> = lines.to_vec();
        page.extend([
            "",
            "Field   pH    K ppm   Ca ppm",
            "Moss    6.1   162     1200",
            "Gorse   6.0   112     1310",
        ]);
        reports(&[&page])[0].client.clone()
    };
    let of = |lines: &[&str], name: &str| assert_eq!(client(lines).as_deref(), Some(name), "{lines:?}");
    of(&["Grower: Hob Mill Trust", "Farm: Upper quarter"], "Hob Mill Trust");
    of(&["Farm: Upper quarter", "Owner: Hob Mill Trust"], "Hob Mill Trust");
    of(&["Farm: Upper quarter"], "Upper quarter");
    of(&["Account: Hob Mill Trust", "Farm: Upper quarter"], "Hob Mill Trust");
    of(&["Account: Hob Mill Trust"], "Hob Mill Trust");
    of(&["Customer: Ada Fernshaw", "Account: Hob Mill Trust"], "Ada Fernshaw");
    assert_eq!(client(&["Account: 10442"]), None);
    assert_eq!(client(&["Account: HM 10442"]), None);
}

#[test]
fn one_name_on_two_farms_of_a_client_is_no_one_place() {
    let page = |farm: &'static str, k: &'static str| {
        vec!["Grower: Hob Mill Trust", farm, "Field: Moss", "", "pH    6.1", k]
    };
    let (one, two) = (page("Farm: Upper", "K     162  ppm"), page("Farm: Lower", "Mg    101  ppm"));
    let found = reports(&[&one, &two]);
    let samples: Vec<_> = found.iter().flat_map(|r| &r.samples).collect();
    assert!(found.iter().all(|r| r.client.as_deref() == Some("Hob Mill Trust")), "{found:?}");
    assert!(samples.len() == 2 && samples.iter().all(|s| !s.doubts.is_empty()), "{found:?}");
}

#[test]
fn two_tables_side_by_side_under_one_name_and_one_number_are_of_one_sample() {
    let page = |left: &'static str, right: &'static str| {
        let head = format!("{left:<40}{right}");
        let lines = [
            "Customer  Hob Mill Trust                Report       QX-31",
            &head,
            "Sampled   2023-05-18                    Received     2023-05-22",
            "",
            "",
            "Test         Result  Unit               Test         Result  Unit",
            "",
            "pH           6.3                        Calcium      7.36    cmol/kg",
            "Phosphorus   47      mg/kg              Magnesium    1.51    cmol/kg",
            "Chloride     40      mg/kg              Sodium       0.30    cmol/kg",
        ];
        reports(&[&lines])
    };
    for (left, right) in
        [("Paddock   Gorse bank", "Sample No    31-01"), ("Sample number: 31-01", "Paddock: Gorse bank")]
    {
        let found = page(left, right);
        let all: Vec<_> = found.iter().flat_map(|r| &r.samples).collect();
        let said: Vec<_> = all.iter().map(|s| (&s.label, &s.lab_number, s.readings.len())).collect();
        assert_eq!(all.len(), 1, "{left} {said:?}");
        assert_eq!((all[0].label.as_str(), all[0].lab_number.as_deref()), ("Gorse bank", Some("31-01")));
        assert!(all[0].doubts.is_empty() && all[0].readings.len() >= 5, "{all:?}");
    }
    // Two forms side by side, each with a name, are two.
    let found = page("Paddock: Gorse bank", "Paddock: Thrift");
    assert_eq!(found.iter().flat_map(|r| &r.samples).count(), 2, "{found:?}");
}

#[test]
fn a_club_and_its_sample_on_one_line_are_two_fields() {
    for (line, client, sample) in [
        ("Club: Moss Links Sample: 2nd Green Lab ref: F229", "Moss Links", "2nd Green"),
        ("Estate: Moss Hall Sample: Rose bed Lab no: 229", "Moss Hall", "Rose bed"),
        ("Golf club: Moss Links Lab ref: F229 Sample: 2nd Green", "Moss Links", "2nd Green"),
    ] {
        let found = reports(&[&[
            line,
            "",
            "Parameter                Result    Units",
            "pH (H2O 1:2.5)           6.6",
            "Potassium (Mehlich 3)    83        mg/kg",
        ]]);
        let one = &found[0];
        assert_eq!(one.client.as_deref(), Some(client), "{line}");
        assert_eq!((one.samples[0].label.as_str(), one.samples[0].doubts.len()), (sample, 0), "{line}");
    }
}

#[test]
fn a_name_in_quotation_marks_over_a_form_is_its_samples() {
    let form = |title: &str| {
        let one = [
            title,
            "==========================================",
            "pH in water (1:1) ..............    6.7",
            "Potassium (Morgan) .............    131 mg/kg     high",
            "",
        ];
        one.map(str::to_owned)
    };
    for (first, second, number) in [
        (
            "Sample 1/88-19   \"Long bed\"   (for roses)   0-15 cm",
            "Sample 2/88-19   \"Far lawn\"   (for turf)   0-15 cm",
            true,
        ),
        (
            "Sample 1   \"Long bed\"    (for roses)     0-15 cm",
            "Sample 2   \"Far lawn\"    (for turf)   0-15 cm",
            false,
        ),
        (
            "Sample no. 7719: \"Long bed\"          0-15 cm",
            "Sample no. 7720: \"Far lawn\"          0-15 cm",
            true,
        ),
    ] {
        let lines: Vec<String> = form(first).into_iter().chain(form(second)).collect();
        let lines: Vec<&str> =
            ["Client: Ada Fernshaw", ""].into_iter().chain(lines.iter().map(String::as_str)).collect();
        let found = reports(&[&lines]);
        for name in ["Long bed", "Far lawn"] {
            let one = sample(&found, name);
            assert!(one.doubts.is_empty(), "{first} {:?}", one.doubts);
            assert_eq!(
                (value(one, "potassium"), one.lab_number.is_some()),
                ((131.0, true), number),
                "{first}"
            );
            assert_eq!(one.depth.map(|d| d.bottom_cm), Some(15.0), "{first}");
        }
    }
}

#[test]
fn a_unit_set_in_the_middle_of_its_box_is_of_the_name_over_it() {
    let found = reports(&[&[
        "Client: Ada Fernshaw      Sample: Back lawn      Received: May 20, 2024",
        "",
        "       Magnesium          Zinc            CEC",
        "          122             1.1             9.2",
        "          ppm            ppm           meq/100g",
        "",
        "Nutrients by Mehlich-3.",
    ]]);
    let lawn = sample(&found, "Back lawn");
    assert_eq!(value(lawn, "zinc"), (1.1, true));
    assert_eq!(value(lawn, "cec"), (9.2, true));
}

#[test]
fn cards_side_by_side_name_a_sample_and_its_number_and_tell_its_texture() {
    let card = |a: &str, b: &str| {
        [
            format!("{a:<36}{b}"),
            "Acidity (pH in water) 6.2           Acidity (pH in water) 6.4".to_owned(),
            "Available P      32   mg/kg         Available P      56   mg/kg".to_owned(),
            "Available K      138  mg/kg         Available K      322  mg/kg".to_owned(),
            "Soil texture     Clay loam          Soil texture     Sandy loam".to_owned(),
            String::new(),
            String::new(),
        ]
    };
    let mut lines = vec![
        "Hob Mill Soil Desk".to_owned(),
        "For: Hob Mill Society - Batch HM-0216".to_owned(),
        "Arrived Mon 19 Feb 2024 - sent out Mon 26 Feb 2024".to_owned(),
        String::new(),
    ];
    lines.extend(card("Plot 4 ref HM311", "Plot 11a ref HM312"));
    lines.extend(card("Plot 17 ref HM313", "Plot 22 ref HM314"));
    lines.push("P by Olsen's method.".to_owned());
    let lines: Vec<&str> = lines.iter().map(String::as_str).collect();
    let found = reports(&[&lines]);
    for (name, number, phosphorus) in [
        ("Plot 4", "HM311", 32.0),
        ("Plot 11a", "HM312", 56.0),
        ("Plot 17", "HM313", 32.0),
        ("Plot 22", "HM314", 56.0),
    ] {
        let own = sample(&found, name);
        assert_eq!(own.lab_number.as_deref(), Some(number), "{found:?}");
        assert_eq!(value(own, "phosphorus"), (phosphorus, true));
        assert_eq!(reading(own, "phosphorus").method, Method::Olsen);
        assert_eq!(own.readings.len(), 3);
    }
    assert_eq!(found[0].client.as_deref(), Some("Hob Mill Society"));
    assert_eq!(found[0].received_on.map(|d| d.to_string()).as_deref(), Some("2024-02-19"));
}

#[test]
fn a_report_of_a_french_speaking_province_names_its_producer_and_its_factor() {
    let found = reports(&[&[
        "Laboratoire Ruisseau-Clair",
        "Producteur : Ferme Hob-Vallon inc.        Rapport : Q-12        Reçu le : 2023-10-30",
        "",
        "N° labo    Identification    pH eau   pH tampon   M.O.   P       K",
        "                                      SMP         %      kg/ha   kg/ha",
        "5581-01    Champ 1           6,0      6,8         4,3    95      514",
        "5581-02    Champ 2           6,4      6,9         4,0    112     627",
        "",
        "P et K : extraction Mehlich-3. kg/ha = mg/kg x 2,24. M.O. : perte au feu.",
    ]]);
    assert_eq!(found[0].client.as_deref(), Some("Ferme Hob-Vallon inc"));
    let own = sample(&found, "Champ 1");
    assert_eq!(value(own, "buffer_ph"), (6.8, true));
    assert!((value(own, "potassium").0 - 514.0 / 2.24).abs() < 0.01 && value(own, "potassium").1);
}

#[test]
fn a_name_between_two_layers_is_of_both() {
    let table = |first: &str, second: &str| {
        reports(&[&[
            "Client: Fern Trust    Received: 9 Sep 2024",
            "",
            "Field ID     Lab ID    Depth   Nitrate-N   K       pH",
            "                       in      ppm         ppm",
            "             5501-1    0-6     23          215     7.1",
            first,
            "             5501-2    6-24    12                  7.6",
            "             5501-3    0-6     18          338     7.0",
            second,
            "             5501-4    6-24    9                   7.5",
        ]])
    };
    let found = table("Hob", "Fern end");
    let layers = |name: &str| found.iter().flat_map(|r| &r.samples).filter(|s| s.label == name).count();
    assert_eq!((layers("Hob"), layers("Fern end")), (2, 2), "{found:?}");
    assert_eq!(value(sample(&found, "Fern end"), "nitrate_n"), (18.0, true));
    let found = table("Hob", "");
    assert!(found.iter().flat_map(|r| &r.samples).all(|s| s.label.is_empty()), "{found:?}");
}

#[test]
fn a_tables_own_number_goes_before_one_behind_the_name() {
    let found = reports(&[&[
        "Client: Fern Trust    Received: 9 Sep 2024",
        "",
        "Sample ID            Lab no.   pH      K ppm   Ca ppm",
        "Plot 4 ref HM311     5501      6.1     79      636",
        "Plot 5 ref HM312     5502      6.2     81      655",
    ]]);
    assert_eq!(sample(&found, "Plot 4").lab_number.as_deref(), Some("5501"), "{found:?}");
}
