//! Sheets and exports as programs of laboratories write them: a result a row, methods and layers in columns of their own.

use super::super::read;
use super::{reading, sample, sheets, value};
use crate::soil::{Depth, Method, Report};

fn sheet(lines: &[&str]) -> Vec<Report> {
    read(&sheets(&[("", lines)])).unwrap()
}

/// A long table of one sample; each row is `name | method | unit | result`.
fn long(method: &str, rows: &[&str]) -> Vec<Report> {
    let head = format!("Client|Sample|Lab No|Date sampled|Analysis|{method}|Units|Result");
    let rows: Vec<String> =
        rows.iter().map(|row| format!("Hob Mill Trust|Long acre|S-31|2024-03-14|{row}")).collect();
    let lines: Vec<&str> = std::iter::once(head.as_str()).chain(rows.iter().map(String::as_str)).collect();
    sheet(&lines)
}

#[test]
fn a_code_in_the_column_of_methods_is_read_in_its_parts() {
    for (code, method) in [
        ("NH4OAC-7", Method::AmmoniumAcetate),
        ("NH4OAc-ICP", Method::AmmoniumAcetate),
        ("AcNH4", Method::AmmoniumAcetate),
        ("NH4OAc pH 4.8", Method::ModifiedMorgan),
        ("Mehlich3/ICP", Method::Mehlich3),
    ] {
        let found =
            long("MethodCode", &["pH|1:1 water||6.1", &format!("Potassium, exchangeable|{code}|mg/kg|216")]);
        let k = reading(sample(&found, "Long acre"), "potassium");
        assert_eq!((k.method, k.doubts.is_empty()), (method, true), "{code}: {k:?}");
    }
}

#[test]
fn a_method_column_that_is_not_understood_leaves_no_result_that_it_may_change() {
    for code in ["NH4OAC-4.8", "NH4OAc-QZ", "NH4OAc/CaCl2", "Quibble extract"] {
        let found = long(
            "Technique",
            &[
                "pH|1:1 water||6.1",
                &format!("Potassium|{code}|mg/kg|216"),
                &format!("Nitrate-N|{code}|mg/kg|12"),
            ],
        );
        let s = sample(&found, "Long acre");
        assert!(!value(s, "potassium").1, "{code}: {s:?}");
        assert!(value(s, "nitrate_n").1 && value(s, "ph").1, "{code}: {s:?}");
    }
    // A name that says its method needs no code to be understood, and an extract of two reagents is none of the two.
    let found = long("Technique", &["Phosphorus, Bray P1|QZ-44|mg/kg|31", "Potassium|NH4OAc-EDTA|mg/kg|216"]);
    let s = sample(&found, "Long acre");
    assert!(value(s, "phosphorus").1, "{s:?}");
    assert_eq!(reading(s, "potassium").method, Method::Unstated);
    for (code, method) in [
        ("NH4OAc pH 8.2", Method::Unstated),
        ("ammonium acetate, pH4.65", Method::Unstated),
        ("NH4OAc, pH 7,0", Method::AmmoniumAcetate),
        ("Flame AAS", Method::Unstated),
        ("QZ-44", Method::Unstated),
    ] {
        let found = long("Technique", &["pH|1:1 water||6.1", &format!("Potassium|{code}|mg/kg|216")]);
        let k = reading(sample(&found, "Long acre"), "potassium");
        assert_eq!((k.method, k.doubts.is_empty()), (method, true), "{code}: {k:?}");
    }
}

#[test]
fn an_extract_named_in_a_column_is_of_its_row_alone() {
    let found = long(
        "Technique",
        &[
            "Phosphorus|Colwell|mg/kg|31",
            "Potassium|Colwell|mg/kg|216",
            "Zinc|DTPA|mg/kg|1.4",
            "Boron|Hot CaCl2|mg/kg|0.6",
        ],
    );
    let s = sample(&found, "Long acre");
    let methods: Vec<Method> = s.readings.iter().map(|r| r.method).collect();
    assert_eq!(methods, [Method::Colwell, Method::Unstated, Method::Dtpa, Method::Unstated]);
    assert!(s.readings.iter().all(|r| r.doubts.is_empty()), "{s:?}");
}

#[test]
fn an_effective_exchange_capacity_is_clear_where_it_is_said_to_be_summed() {
    for (name, how) in
        [("Effective CEC", "Calculation"), ("ECEC", "Sum of cations"), ("KUK (effektief) / ECEC, som", "")]
    {
        let found = long("Technique", &["pH|1:1 water||6.1", &format!("{name}|{how}|cmol(+)/kg|6.3")]);
        let cec = reading(sample(&found, "Long acre"), "cec");
        assert_eq!((cec.method, cec.doubts.is_empty()), (Method::Summation, true), "{name}: {cec:?}");
    }
    let found = long("Technique", &["pH|1:1 water||6.1", "Effective CEC||cmol(+)/kg|6.3"]);
    assert!(!value(sample(&found, "Long acre"), "cec").1);
}

#[test]
fn a_share_of_the_exchange_capacity_is_named_in_many_ways() {
    for (name, id) in [
        ("Sodium % of ECEC", "sat_na"),
        ("SAT_NA", "sat_na"),
        ("Calcium % of CEC", "sat_ca"),
        ("% K of CEC", "sat_k"),
        ("Magnesium (% of ECEC)", "sat_mg"),
    ] {
        let found = long("Technique", &["pH|1:1 water||6.1", &format!("{name}||%|4.1")]);
        assert_eq!(value(sample(&found, "Long acre"), id), (4.1, true), "{name}");
    }
}

#[test]
fn a_layer_has_its_unit_in_a_column_of_its_own() {
    let layer = |unit: &str, from: &str, to: &str| {
        let found = sheet(&[
            "ClientName|ClientSampleID|LabSampleID|CollectDate|DepthUnits|DepthFrom|DepthTo|Analyte|MethodCode|Result|Units",
            &format!("Hob Mill Trust|Long acre|S-31|2024-03-14|{unit}|{from}|{to}|pH|WATER 1:1|6.1|SU"),
            &format!("Hob Mill Trust|Long acre|S-31|2024-03-14|{unit}|{from}|{to}|Zinc|DTPA|1.4|mg/kg"),
        ]);
        sample(&found, "Long acre").depth
    };
    assert_eq!(layer("in", "0", "6"), Some(Depth::inches(0.0, 6.0)));
    assert_eq!(layer("cm", "10", "30"), Some(Depth { top_cm: 10.0, bottom_cm: 30.0 }));
    // Nobody knows how deep so many spits are.
    assert_eq!(layer("spit", "0", "1"), None);
}

#[test]
fn a_flag_for_what_was_not_found_agrees_with_a_sign_for_less() {
    let flagged = |result: &str, flag: &str| {
        let found = sheet(&[
            "Client|Sample|Lab No|Date sampled|Analyte|Method|Result|Qual|Units",
            "Hob Mill Trust|Long acre|S-31|2024-03-14|pH|1:1 water|6.1||",
            &format!("Hob Mill Trust|Long acre|S-31|2024-03-14|Boron|Hot water|{result}|{flag}|mg/kg"),
        ]);
        reading(sample(&found, "Long acre"), "boron").doubts.is_empty()
    };
    assert!(flagged("<0.50", "U") && flagged("<0.50", "ND") && flagged("<0.50", "<") && flagged("0.91", ""));
    assert!(
        !flagged("0.50", "U") && !flagged("0.50", "ND") && !flagged("<0.50", "J") && !flagged("<0.50", ">")
    );
}

#[test]
fn layers_over_columns_have_the_unit_of_their_row() {
    for (asked, unit) in [("Diepte / Depth (cm)", ""), ("Depth", "cm"), ("Profondità", "cm")] {
        let found = sheet(&[
            "Client|Hob Mill Trust",
            "Date sampled|2024-03-14",
            "",
            "Sample||Long acre|Long acre|Moss",
            "Lab no||7120|7121|7122",
            &format!("{asked}|{unit}|0-20|20-40|0-20"),
            "pH (KCl)||5.8|5.2|4.4",
            "P Bray 1|mg/kg|9|8|42",
            "K|mg/kg|76|61|44",
            "Ca|mg/kg|1329|446|534",
        ]);
        let all: Vec<_> = found.iter().flat_map(|r| &r.samples).collect();
        let layers: Vec<_> = all.iter().filter_map(|s| s.depth).map(|d| (d.top_cm, d.bottom_cm)).collect();
        assert_eq!(layers, [(0.0, 20.0), (20.0, 40.0), (0.0, 20.0)], "{asked}");
        assert!(all.iter().all(|s| s.doubts.is_empty()), "{asked}: {all:?}");
    }
}

#[test]
fn a_heading_cut_short_with_a_point_is_no_name_of_a_sample() {
    for unit in ["U.M.", "Unit.", "U.M"] {
        let found = sheet(&[
            "Committente|Az. Agr. Hobbel",
            "Data ricevimento|2024-09-04",
            "",
            &format!("Parametro|{unit}|Metodo|Vigna alta|Vigna bassa|Frutteto"),
            "N. campione|||T-1|T-2|T-3",
            "Profondità|cm||0-40|0-40|0-40",
            "pH||in acqua 1:2,5|7,6|7,1|6,4",
            "Conducibilità|µS/cm|estratto 1:2|346|519|153",
            "Fosforo assimilabile (P)|mg/kg|Olsen|10|7|30",
            "Ferro assimilabile|mg/kg|DTPA|50,5|52,2|16,7",
        ]);
        let vine = sample(&found, "Vigna alta");
        assert_eq!(vine.lab_number.as_deref(), Some("T-1"), "{unit}");
        assert_eq!(vine.depth, Some(Depth { top_cm: 0.0, bottom_cm: 40.0 }), "{unit}");
        let salts = value(vine, "soluble_salts");
        assert!((salts.0 - 0.346).abs() < 1e-9 && salts.1, "{unit}: {vine:?}");
    }
}

#[test]
fn metson_is_the_ammonium_acetate_of_its_country() {
    let found = sheet(&[
        "Client|Hob Mill Trust",
        "Date de prélèvement|14/03/2024",
        "",
        "Parcelle|N° labo|pH eau|K2O éch. (mg/kg)|CEC Metson (cmol+/kg)",
        "Clos|551|7,2|151|14,1",
        "Grand Pré|552|6,2|116|9,8",
    ]);
    let clos = sample(&found, "Clos");
    assert_eq!(reading(clos, "cec").method, Method::AmmoniumAcetate);
    assert_eq!(reading(clos, "potassium").method, Method::Unstated);
}

#[test]
fn days_of_an_export_are_eight_figures() {
    let found = sheet(&[
        "CLIENT|RECD_DT|RPT_DT|LAB_NO|SMPL_ID|PH_W|OM_PCT|P_M3|K_PPM",
        "Hob Mill Trust|20240318|20240321|20240901|T1|5.5|1.5|44|182",
        "Hob Mill Trust|20240318|20240321|20240902|T2|6.8|1.6|32|121",
    ]);
    let t1 = sample(&found, "T1");
    assert_eq!((t1.year, t1.lab_number.as_deref()), (Some(2024), Some("20240901")));
}

#[test]
fn a_modified_kelowna_is_read_under_its_name() {
    let found = sheet(&[
        "Client|Hob Mill Trust",
        "Date sampled|2024-03-14",
        "",
        "Field|Lab #|Depth (cm)|Nitrate-N (mg/kg)|P - mod. Kelowna (mg/kg)|K (mg/kg)|pH 1:2",
        "Long acre|551|0-15|11|13|537|7.6",
        "Long acre|552|15-60|7|||7.8",
    ]);
    let top = sample(&found, "Long acre");
    assert_eq!(reading(top, "phosphorus").method, Method::Kelowna);
    assert!(found.iter().flat_map(|r| &r.samples).all(|s| s.doubts.is_empty()), "{found:?}");
    assert!(top.readings.iter().all(|r| r.doubts.is_empty()), "{top:?}");
}

#[test]
fn a_mean_in_the_title_of_a_list_is_no_sample() {
    for title in ["Average over all fields (0-15 cm)", "County average", "Mean of the district", "Moyenne"] {
        let found = sheet(&[
            "Client|Hob Mill Trust",
            "Date sampled|2024-03-14",
            "Sample|Long acre",
            "",
            "pH|6.1",
            "P (mg/kg)|33",
            "K (mg/kg)|185",
            "",
            title,
            "Mg (mg/kg)|85",
            "Ca (mg/kg)|1385",
            "Zn (mg/kg)|1.1",
        ]);
        let s = sample(&found, "Long acre");
        assert!(value(s, "ph").1 && value(s, "potassium").1, "{title}: {s:?}");
        assert!(!value(s, "magnesium").1 && !value(s, "zinc").1, "{title}: {s:?}");
    }
}

#[test]
fn two_extracts_of_one_nutrient_are_two_results_where_each_is_named() {
    let found = long(
        "Technique",
        &[
            "pH|1:5 water||6.1",
            "Potassium|Colwell|mg/kg|120",
            "Exchangeable Potassium|NH4OAc|cmol(+)/kg|0.30",
        ],
    );
    let s = sample(&found, "Long acre");
    let all: Vec<_> = s.readings.iter().filter(|r| r.analyte.id() == "potassium").collect();
    assert!(all.len() == 2 && all.iter().all(|r| r.doubts.is_empty()), "{s:?}");
    // By no method at all it may be a rate or a wish.
    let found = long(
        "Technique",
        &["pH|1:5 water||6.1", "Potassium||mg/kg|120", "Exchangeable Potassium|NH4OAc|cmol(+)/kg|0.30"],
    );
    let s = sample(&found, "Long acre");
    assert!(s.readings.iter().any(|r| r.analyte.id() == "potassium" && !r.doubts.is_empty()), "{s:?}");
}

#[test]
fn an_extract_joined_to_one_without_a_name_of_ours_is_not_surely_either() {
    let potassium = |heading: &str| {
        let found = sheet(&[
            "Client|Hob Mill Trust",
            "Date sampled|2024-03-14",
            "",
            &format!("Sample|Lab No|pH|{heading}|Organic matter (%)"),
            "Long acre|S-31|6.1|216|3.1",
            "Moss|S-32|6.4|181|4.4",
        ]);
        let k = reading(sample(&found, "Long acre"), "potassium").clone();
        (k.method, k.doubts.is_empty())
    };
    for heading in ["K AcNH4-EDTA (mg/kg)", "K (ammonium acetate and EDTA) mg/kg", "K NH4OAc resin mg/kg"] {
        let (method, sure) = potassium(heading);
        assert!(!sure || method == Method::Unstated, "{heading}: {method:?}");
    }
    assert_eq!(potassium("K AcNH4 (mg/kg)"), (Method::AmmoniumAcetate, true));
    assert_eq!(potassium("K EDTA (mg/kg)"), (Method::Unstated, true));
    // How the extract was read afterwards makes no other of it.
    assert_eq!(potassium("K AcNH4, espectrofotometría (mg/kg)"), (Method::AmmoniumAcetate, true));
}

#[test]
fn a_limit_as_a_power_of_ten_is_a_number_and_no_word_of_the_heading() {
    let of = |limit: &str| {
        let limit = format!("LOD||1|2|{limit}");
        let lines = [
            "Moss Soils",
            "Client|Hob Farms",
            "Received|2022-05-03",
            "",
            "Sample|pH|P (Olsen)|K|Cu",
            "|-|mg/kg|mg/kg|mg/kg",
            limit.as_str(),
            "Hob mill|6.1|5.20E+01|4.1E+02|3.3E+00",
            "Long acre|6.0|2.0E+01|4.0E+02|1.2E+00",
        ];
        value(sample(&sheet(&lines), "Hob mill"), "phosphorus")
    };
    assert_eq!(of("2.0E-01"), (52.0, true));
    assert_eq!(of("<2E-1"), (52.0, true));
    for word in ["ICP", "wet", "EDTA"] {
        assert!(!of(word).1, "{word}");
    }
}

#[test]
fn a_sample_may_be_called_as_in_belgium_and_a_duplicate_of_it_waits() {
    let found = sheet(&[
        "Klant|Rapport|Type|Labonr|Staal|Bepaling|Methode|Resultaat|Eenheid|Datum rapport",
        "Hob Farms|RB-881|staal|230501|Akker 1|Fosfor (P)|Olsen|63|mg/kg|17/11/2023",
        "Hob Farms|RB-881|staal|230502|Akker 2|Fosfor (P)|Olsen|24|mg/kg|17/11/2023",
        "Hob Farms|RB-881|duplo|230502D|Akker 2|Fosfor (P)|Olsen|26|mg/kg|17/11/2023",
    ]);
    assert_eq!(value(sample(&found, "Akker 1"), "phosphorus"), (63.0, true));
    let sure = |s: &&crate::soil::Sample| s.doubts.is_empty() && value(s, "phosphorus").1;
    let samples = found.iter().flat_map(|r| &r.samples).filter(|s| s.label == "Akker 2");
    assert_eq!(samples.filter(sure).count(), 0, "{found:?}");
}
