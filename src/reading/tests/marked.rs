//! Marks beside names and titles: what their notes say is said of what they stand beside, and what nobody could place lets
//! results wait.

use super::super::read;
use super::{reading, reports, sample, sheets, value};
use crate::soil::Method;

#[test]
fn a_sign_behind_a_name_gives_it_the_method_of_its_note() {
    let of = |notes: &str| {
        let found = reports(&[&[
            "Client: Moss Trust     Report: 4471",
            "Sampled: Oct 25, 2024",
            "",
            "Field         Lab no.   pH*     EC*         OM†    P‡     Zn‡",
            "                                mmhos/cm    %      ppm    ppm",
            "Moss bank     30551     7.5     0.6         5.7    4.3    8.2",
            "Hob mill      30552     7.8     1.2         3.9    10.5   8.1",
            "",
            notes,
        ]]);
        let moss = sample(&found, "Moss bank").clone();
        ["ph", "soluble_salts", "organic_matter", "phosphorus", "zinc"]
            .map(|id| (reading(&moss, id).method, value(&moss, id).1))
    };
    let told = of("* saturated paste † loss on ignition ‡ AB-DTPA extract");
    let wanted = [
        Method::SaturatedPaste,
        Method::SaturatedPaste,
        Method::LossOnIgnition,
        Method::AbDtpa,
        Method::AbDtpa,
    ];
    assert_eq!(told, wanted.map(|method| (method, true)));
    // A note in words that are not known hides a method.
    let strange = of("* saturated paste † loss on ignition ‡ quibblate of hob");
    assert!(!strange[3].1 && !strange[4].1, "{strange:?}");
}

fn bases(title: &str, rows: [&str; 2], notes: &str) -> Vec<(Method, bool)> {
    let found = reports(&[&[
        "Soil test report",
        "Client: Moss Trust     Report: 4471",
        "Sampled: Oct 25, 2024",
        "",
        "Determination              Unit        Tee 1    Tee 2",
        "pH (water)                             6.7      6.6",
        "Available K (1)            mg/kg       249      292",
        title,
        rows[0],
        rows[1],
        "Micronutrients (DTPA)",
        "Zn                         mg/kg       1.2      1.4",
        "",
        "",
        notes,
    ]]);
    let tee = sample(&found, "Tee 2");
    ["calcium", "magnesium", "zinc"].map(|id| (reading(tee, id).method, value(tee, id).1)).to_vec()
}

#[test]
fn a_mark_behind_a_title_is_that_of_its_rows() {
    let rows = [
        "Ca                         mg/kg       1371     1562",
        "Mg                         mg/kg       314      197",
    ];
    let notes = "(1) 1 M ammonium acetate, pH 7. (2) Mehlich-3.";
    let of = |title: &str, rows| bases(title, rows, notes);
    let own = |method| (method, true);
    assert_eq!(of("Cations²", rows), [own(Method::Mehlich3), own(Method::Mehlich3), own(Method::Dtpa)]);
    // A row's own mark goes before that of its title.
    let marked = ["Ca (1)                     mg/kg       1371     1562", rows[1]];
    assert_eq!(
        of("Cations²", marked),
        [own(Method::AmmoniumAcetate), own(Method::Mehlich3), own(Method::Dtpa)]
    );
    // The note was not found.
    let lost = of("Cations³", rows);
    assert!(!lost[0].1 && !lost[1].1 && lost[2].1, "{lost:?}");
}

#[test]
fn a_note_under_a_mark_that_no_result_bears_lets_results_wait() {
    let of = |notes: &str| {
        let found = reports(&[&[
            "Client: Moss Trust     Report: 4471",
            "Sampled: Oct 25, 2024",
            "",
            "Field         Lab no.   pH      P      K      EC, dS/m",
            "                                ppm    ppm",
            "Moss bank     30551     7.5     43     93     0.4",
            "Hob mill      30552     7.8     10     238    0.6",
            "",
            "",
            notes,
        ]]);
        let moss = sample(&found, "Moss bank").clone();
        ["ph", "phosphorus", "potassium", "soluble_salts"].map(|id| value(&moss, id).1)
    };
    assert_eq!(of("All samples were air-dried."), [true; 4]);
    assert_eq!(of("¹ Mehlich-3"), [true, false, false, true]);
    assert_eq!(of("¹ saturated paste"), [false, true, true, false]);
}

#[test]
fn raised_figures_by_themselves_open_notes_below_a_table_of_advice() {
    let found = reports(&[&[
        "Client: Moss Trust     Report: 4471",
        "Sampled: Oct 25, 2024",
        "",
        "Field         Lab no.   pH¹     O.M.²    P³     K³",
        "                                %        ppm    ppm",
        "Moss bank     30551     7.5     5.7      43     93",
        "Hob mill      30552     7.8     3.9      10     238",
        "",
        "Fertilizer advice",
        "Crop / area               N lb/A    P2O5      K2O",
        "Moss bank                 140       70        20",
        "",
        "¹ 1:1 soil:water, dried at 40 °C. ² Loss on ignition, 360 °C. ³ Mehlich-3",
    ]]);
    let moss = sample(&found, "Moss bank");
    for (id, method) in [
        ("ph", Method::Water1to1),
        ("organic_matter", Method::LossOnIgnition),
        ("phosphorus", Method::Mehlich3),
        ("potassium", Method::Mehlich3),
    ] {
        assert_eq!((reading(moss, id).method, value(moss, id).1), (method, true), "{id}");
    }
    assert_eq!(moss.readings.len(), 4, "{moss:?}");
}

/// Method of each, and whether nothing speaks against it, in a sheet with these headings, values and notes.
fn in_a_sheet(headings: &str, values: &str, notes: &[&str]) -> Vec<(String, Method, bool)> {
    let head = format!("Lab#|Sample|pH|P ppm|{headings}");
    let row = format!("4471-1|Hob mill|6.8|82|{values}");
    let mut lines =
        vec!["Client: Moss Trust|Reported 2021-06-18|Depth 0-8 inches", head.as_str(), row.as_str(), ""];
    lines.extend(notes);
    let found = super::read(&super::sheets(&[("", &lines)])).unwrap();
    let hob = sample(&found, "Hob mill");
    hob.readings.iter().map(|r| (r.analyte.id().to_owned(), r.method, r.doubts.is_empty())).collect()
}

#[test]
fn a_note_for_all_that_is_not_marked_gives_nothing_to_what_is_marked() {
    let (mehlich, acetate) = (Method::Mehlich3, Method::AmmoniumAcetate);
    let notes = ["All elements by Mehlich 3 unless marked.", "* ammonium acetate", "** DTPA"];
    let of = |found: &[(String, Method, bool)], id: &str| {
        found.iter().find(|(own, ..)| own == id).map(|(_, m, sure)| (*m, *sure)).unwrap()
    };
    let found = in_a_sheet(
        "K* ppm|*Ca (ppm)|Na ppm (*)|Zn ** (ppm)|Cu† ppm|Mg ppm",
        "170|2490|27|0.75|1.2|210",
        &notes,
    );
    assert_eq!(of(&found, "phosphorus"), (mehlich, true));
    assert_eq!(of(&found, "magnesium"), (mehlich, true));
    for id in ["potassium", "calcium", "sodium"] {
        assert_eq!(of(&found, id), (acetate, true), "{id}");
    }
    assert_eq!(of(&found, "zinc"), (Method::Dtpa, true));
    // Nobody explains this sign, or the note of it tells of no method: what is said of the rest is not said of these.
    assert_eq!(of(&found, "copper"), (Method::Unstated, false));
    let found = in_a_sheet("K* ppm", "170", &["Nutrients by Mehlich 3, except where noted.", "* sent out"]);
    assert_eq!(of(&found, "potassium"), (Method::Unstated, false));
    // The same beside a number, and over a group.
    let found = in_a_sheet("K ppm|Ca ppm", "170*|2490", &notes);
    assert_eq!((of(&found, "potassium"), of(&found, "calcium")), ((acetate, true), (mehlich, true)));
    let found = in_a_sheet("K ppm|Ca ppm", "170**|2490", &notes[..2]);
    assert!(!of(&found, "potassium").1, "its own sign has no note: {found:?}");
    // In a sentence, and close to the note.
    let inside = ["Nutrients by Mehlich 3 except as marked: * ammonium acetate, ** DTPA"];
    let found = in_a_sheet("K* ppm|Zn** ppm", "170|0.75", &inside);
    assert_eq!((of(&found, "potassium"), of(&found, "zinc")), ((acetate, true), (Method::Dtpa, true)));
    let found =
        in_a_sheet("K* ppm|Zn ppm", "170|0.75", &["Nutrients by Mehlich 3", "*Ammonium acetate extract"]);
    assert_eq!((of(&found, "potassium"), of(&found, "zinc")), ((acetate, true), (mehlich, true)));
}

#[test]
fn a_sign_apart_behind_a_number_stands_for_a_note() {
    let found = |note: &str| {
        let rows = [
            "Client:|Moss Trust",
            "Report:|LP-3071|Reported:|2024-11-08",
            "Sample|Depth (in)|pH|P ppm|K ppm",
            "North end|0-6|6.5|25|278",
            "South end|0-6|7.6|13 *|165",
            "",
            note,
        ];
        let reports = read(&sheets(&[("Results", &rows)])).unwrap();
        ["North end", "South end"].map(|name| {
            let r = reading(sample(&reports, name), "phosphorus");
            (r.method.id(), r.doubts.is_empty())
        })
    };
    assert_eq!(found("P: Bray P1"), [("bray-p1", true), ("bray-p1", false)]);
    let [own, marked] = found("P: Bray P1, except values marked * which are Olsen");
    assert_eq!(own, ("bray-p1", true));
    assert!(!marked.1 || marked.0 == "olsen", "{marked:?}");
}

#[test]
fn what_stands_behind_a_sign_in_a_note_is_said_of_what_bears_it_alone() {
    let found = |south: &str, note: &str| {
        let page = [
            "Quill Soil Laboratory",
            "Client: Moss Trust      Report: LP-3071      Reported: 2024-11-08",
            "",
            "Sample              pH            P mg/kg       K mg/kg",
            "North end           6.4           31            140",
            &format!("South end           6.1           {south}          155"),
            "",
            note,
        ];
        let found = reports(&[&page]);
        ["North end", "South end"].map(|name| {
            let r = reading(sample(&found, name), "phosphorus");
            (r.method.id(), r.doubts.is_empty())
        })
    };
    let note = "Elements by Mehlich 3. * Olsen.";
    assert_eq!(found("28 *", note), [("mehlich-3", true), ("olsen", true)]);
    assert_eq!(found("28*", note)[0], ("mehlich-3", true));
    // Where nothing bears it, the sign is none of a note's.
    assert_ne!(found("28", "* P by Olsen.")[0].0, "unstated");
}
