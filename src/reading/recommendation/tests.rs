//! Recommendations read from laid-out lines: what is certain, what is in doubt, and what is none.

use super::*;
use crate::reading::atom::atoms;
use crate::reading::layout::{layout, tests::typed};

fn of(lines: &[&str]) -> Vec<FoundNitrogen> {
    let page = layout(&typed(lines));
    let rows: Vec<Vec<Atom>> = page.lines.iter().map(|l| atoms(l, Decimal::Point)).collect();
    find(&page, &rows, Context { symbols: true, capitals: false }, Decimal::Point)
}

/// Amount in lb/1000 ft2 to the third decimal, else the doubts.
fn said(lines: &[&str]) -> Vec<Result<f64, Vec<String>>> {
    of(lines)
        .iter()
        .map(|f| match f.nitrogen.lb_per_1000_ft2() {
            Some(lb) => Ok((lb * 1_000.0).round() / 1_000.0),
            None => Err(f.nitrogen.doubts.iter().map(|d| d.reason.clone()).collect()),
        })
        .collect()
}

fn doubt(reason: &str) -> Vec<Result<f64, Vec<String>>> {
    vec![Err(vec![reason.to_owned()])]
}

#[test]
fn a_table_under_a_caption_gives_each_row_its_nitrogen() {
    let found = of(&[
        "Recommendations, pounds per acre",
        "Sample      Crop             Lime, tons    N       P2O5     K2O",
        "12          Bermuda turf     1.0           120     40       60",
        "14A         Fescue turf      0.5           100     30       60",
    ]);
    let all: Vec<_> =
        found.iter().map(|f| (f.names.join(" "), f.nitrogen.said(), f.nitrogen.doubts.len())).collect();
    assert_eq!(
        all,
        [
            ("12".to_owned(), "120 pounds per acre (Bermuda turf)".to_owned(), 0),
            ("14A".to_owned(), "100 pounds per acre (Fescue turf)".to_owned(), 0)
        ]
    );
}

#[test]
fn units_stand_in_the_heading_over_it_under_it_or_in_the_row() {
    let row = "Fescue lawn       3.0        0.8       2.4";
    assert_eq!(
        said(&["Apply for         N lb/1000 sq ft    P2O5      K2O", "Lawn      3.0        0.8       2.4"])
            .len(),
        1
    );
    assert_eq!(
        said(&["Apply for         N          P2O5      K2O", "                  lb per 1000 sq ft", row]),
        [Ok(3.0)]
    );
    assert_eq!(
        said(&[
            "We recommend, kg/ha:",
            "Use               N          P2O5      K2O",
            "Lawn              150        40        60"
        ]),
        [Ok(3.072)]
    );
    assert_eq!(
        said(&[
            "Fertilizer recommendations",
            "Nitrogen (N)      3.0   lb per 1000 sq ft",
            "Phosphate (P2O5)  1.0   lb per 1000 sq ft"
        ]),
        [Ok(3.0)]
    );
    assert_eq!(
        said(&[
            "Fertilizer recommendations, lb/acre",
            "Nitrogen          130",
            "Phosphate         40",
            "Potash            80"
        ]),
        [Ok(2.984)]
    );
    // The row's own unit goes before the caption's.
    assert_eq!(
        said(&[
            "Fertilizer recommendations, lb/acre",
            "Nitrogen          3.0   lb/1000 sq ft",
            "Phosphate         1.0   lb/1000 sq ft"
        ]),
        [Ok(3.0)]
    );
    assert_eq!(
        said(&[
            "Fertilizer recommendations, lb/acre",
            "Nitrogen          3.0   lb per bed",
            "Phosphate         1.0   lb per bed"
        ]),
        doubt("unit-missing")
    );
}

#[test]
fn without_one_unit_or_one_number_it_is_kept_in_doubt() {
    let head = "Apply for         N          P2O5      K2O";
    assert_eq!(said(&[head, "Fescue lawn       3.0        0.8       2.4"]), doubt("unit-missing"));
    assert_eq!(
        said(&["Recommendations, lb/acre or kg/ha", head, "Fescue lawn       130        30        60"]),
        doubt("unit-missing")
    );
    assert_eq!(
        said(&["Recommendations, lb/acre", head, "Fescue lawn       100-130    30        60"]),
        doubt("amount-unsure")
    );
    assert_eq!(
        said(&[
            "Recommendations, lb/acre, per application",
            head,
            "Fescue lawn       40         30        60"
        ]),
        doubt("time-unsure")
    );
}

#[test]
fn tables_that_look_alike_recommend_nothing() {
    for caption in ["Crop removal, lb/acre", "Applied last year, lb/acre", "Nutrients in the manure, lb/acre"]
    {
        let found = said(&[
            caption,
            "Crop              N          P2O5      K2O",
            "Corn              130        50        40",
        ]);
        assert_eq!(found, [], "{caption}");
    }
    assert_eq!(
        said(&[
            "Season 2023, lb/acre",
            "Crop              N          P2O5      K2O",
            "Corn              130        50        40"
        ]),
        doubt("context-unsure")
    );
    assert_eq!(
        said(&[
            "Sample    pH     NO3-N, lb/A    P, lb/A    K, lb/A",
            "12        6.1    24             38         184"
        ]),
        []
    );
    assert_eq!(said(&["Est. N Release, lb/A      128", "Total nitrogen, %         0.21"]), []);
}

#[test]
fn a_sentence_counts_where_it_speaks_of_the_season_for_certain() {
    for (text, lb) in [
        ("Apply 3 lb N per 1000 sq ft per year.", 3.0),
        ("Apply 3 lb N per 1000 sq. ft. per year.", 3.0),
        ("Nitrogen recommendation: 130 lb/acre", 2.984),
        ("Recommended nitrogen: 15 g/m2", 3.072),
        (
            "Please apply 2 pounds of nitrogen for each 1000 square feet, half of it in May and half in July.",
            2.0,
        ),
        ("We suggest nitrogen at 150 kg/ha a year, in three splits.", 3.072),
        ("Apply 130 lb/acre of nitrogen and 40 lb/acre of phosphate.", 2.984),
        ("Apply 40 lb/acre of phosphate, 60 lb/acre of potash and 130 lb/acre of nitrogen.", 2.984),
    ] {
        assert_eq!(said(&[text]), [Ok(lb)], "{text}");
    }
}

#[test]
fn a_part_a_limit_or_a_condition_is_in_doubt() {
    for text in [
        "Apply 1 lb N per 1000 sq ft in May.",
        "Apply 1 lb N per 1000 sq ft.",
        "Apply 1 lb of nitrogen per 1000 sq ft each time, three times a year.",
        "Use no more than 1 lb N per 1000 sq ft a year.",
        "If clippings are removed apply 4 lb N per 1000 sq ft a year.",
        "Nitrogen: 2 to 3 pounds for 1000 square feet in a year, in several parts.",
        "Apply 40 lb N per acre at planting.",
        "Apply 3 lb N per 1000 sq ft a year. Repeat it where traffic is heavy.",
    ] {
        assert!(matches!(said(&[text]).as_slice(), [Err(_)]), "{text}: {:?}", said(&[text]));
    }
}

#[test]
fn other_nutrients_products_and_results_are_no_nitrogen() {
    for text in [
        "Apply 40 pounds of ground limestone for each 1000 square feet this autumn.",
        "A 10-0-10 fertilizer at 10 lb per 1000 square feet in May supplies 1 lb of nitrogen and 1 lb of potash.",
        "Nitrate nitrogen 24 lb/acre",
        "Nitrogen: 24 lb/acre",
        "Your nitrogen is fine. Apply 3 lb/1000 sq ft of potash a year.",
        "For nitrogen see below; apply potash at 3 lb/1000 sq ft a year.",
        "The soil can release nitrogen of 80 lb/acre a year.",
        "Apply 2 pounds for a lawn.",
    ] {
        assert_eq!(said(&[text]), [], "{text}");
    }
}

#[test]
fn a_figure_out_of_a_picture_is_never_reckoned_with() {
    let mut page = layout(&typed(&["Nitrogen recommendation: 130 lb/acre"]));
    for token in page.lines.iter_mut().flat_map(|l| &mut l.phrases).flat_map(|p| &mut p.tokens) {
        token.confidence = Some(96.0);
    }
    let found = find(&page, &[], Context { symbols: true, capitals: false }, Decimal::Point);
    assert_eq!(found.first().map(|f| f.nitrogen.lb_per_1000_ft2()), Some(None));
}

fn one(names: &[&str], page: u32, y: f32) -> FoundNitrogen {
    let mut found = of(&["Nitrogen recommendation: 130 lb/acre"]).remove(0);
    (found.names, found.page, found.y) = (names.iter().map(|n| (*n).to_owned()).collect(), page, y);
    found
}

fn owners() -> Vec<Owner> {
    let owner = |label: &str, number: &str, y| Owner {
        page: 1,
        y,
        label: label.to_owned(),
        lab_number: Some(number.to_owned()),
    };
    vec![owner("North", "101", 100.0), owner("South", "102", 300.0)]
}

/// For each owner: how many, and whether all of them are sure.
fn given(found: &[FoundNitrogen], owners: &[Owner]) -> Vec<(usize, bool)> {
    attach(found, owners).iter().map(|own| (own.len(), own.iter().all(|n| n.doubts.is_empty()))).collect()
}

#[test]
fn a_row_names_its_sample_by_name_or_number_and_an_unnamed_one_of_two_is_in_doubt() {
    assert_eq!(given(&[one(&["SOUTH"], 1, 50.0)], &owners()), [(0, true), (1, true)]);
    assert_eq!(given(&[one(&["101"], 2, 50.0)], &owners()), [(1, true), (0, true)]);
    assert_eq!(given(&[one(&["West"], 1, 400.0)], &owners()), [(0, true), (1, false)]);
    assert_eq!(given(&[one(&[], 1, 200.0)], &owners()), [(1, false), (0, true)]);
    assert_eq!(given(&[one(&[], 3, 200.0)], &owners()[..1]), [(1, true)]);
    assert_eq!(given(&[one(&["West"], 1, 200.0)], &owners()[..1]), [(1, false)]);
    assert_eq!(given(&[one(&["North"], 1, 1.0)], &[]), []);
}

#[test]
fn several_crops_for_one_sample_are_all_in_doubt() {
    let several = [one(&[], 1, 200.0), one(&[], 1, 220.0)];
    let own = attach(&several, &owners()[..1]);
    assert!(own[0].iter().all(|n| n.lb_per_1000_ft2().is_none() && n.doubts[0].alternatives.len() == 2));
}
