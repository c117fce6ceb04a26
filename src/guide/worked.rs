//! Worked readings: disagreements between guides, soils that spoil a test, and the tables as a whole.

use super::standing::named;
use super::*;
use crate::soil::Site;
use proptest::prelude::*;

fn lawn() -> Site {
    Site { use_: Some("lawn".into()), texture: Some("loam".into()), ..Site::default() }
}

fn measured(analyte: Analyte, method: Method, value: f64) -> Measured {
    Measured { analyte, method, value, qualifier: None, basis: None, depth_cm: None }
}

fn ask(id: &str, reading: Measured, context: Context, site: &Site) -> Result<Level, NoLevel> {
    interpret(&reading, &context, site, guide(id).unwrap().unwrap()).unwrap()
}

fn class(id: &str, reading: Measured, site: &Site) -> (String, Standing) {
    let level = ask(id, reading, Context::default(), site).unwrap();
    (level.class, level.standing)
}

#[test]
fn every_table_and_every_source_key_is_sound() {
    let all = guides().unwrap();
    assert_eq!(all.len(), 31);
    assert!(source::sources().unwrap().len() > 60);
    for one in uses::uses().unwrap() {
        for id in one.guides.iter().chain(&one.also) {
            assert!(guide(id).unwrap().is_some(), "{id}");
        }
    }
    for (id, analyte, class) in named() {
        let found = guide(&id).unwrap().unwrap_or_else(|| panic!("no guide {id}"));
        let used = found.scales.iter().any(|scale| {
            (analyte == "*" || scale.analyte.id() == analyte) && scale.classes.iter().any(|c| c.name == class)
        });
        assert!(used, "{id} {analyte} {class} stands in no table");
    }
}

#[test]
fn the_same_potassium_is_four_things_in_four_guides() {
    // SOURCES, disagreement 1: Mehlich-3 K 60 ppm.
    let k = measured(Analyte::Potassium, Method::Mehlich3, 60.0);
    let sand = Site { texture: Some("sand".into()), ..lawn() };
    assert_eq!(class("turf-slan-2004", k, &lawn()), ("low".into(), Standing::Below));
    assert_eq!(class("turf-slan-2004", k, &sand), ("medium".into(), Standing::Within));
    assert_eq!(class("turf-mlsn", k, &lawn()), ("at or above MLSN".into(), Standing::Within));
    assert_eq!(class("lawn-rutgers-m3", k, &lawn()), ("medium".into(), Standing::Below));
    assert_eq!(class("general-udel-m3", k, &lawn()), ("low".into(), Standing::Below));
}

#[test]
fn the_same_phosphorus_differs_as_well() {
    // SOURCES, disagreement 1: Mehlich-3 P 30 ppm.
    let p = measured(Analyte::Phosphorus, Method::Mehlich3, 30.0);
    assert_eq!(class("turf-mlsn", p, &lawn()).1, Standing::Within);
    assert_eq!(class("turf-slan-2004", p, &lawn()).0, "medium");
    assert_eq!(class("general-udel-m3", p, &lawn()).0, "medium");
    assert_eq!(class("lawn-rutgers-m3", p, &lawn()).0, "medium");
    assert_eq!(class("turf-research-floors", p, &lawn()).0, "phosphorus recommended");
}

#[test]
fn edges_in_lb_per_acre_are_halved_and_shown_as_printed() {
    // Rutgers: high 72 to 137 lb/acre is the optimum.
    let level = ask(
        "lawn-rutgers-m3",
        measured(Analyte::Phosphorus, Method::Mehlich3, 40.0),
        Context::default(),
        &lawn(),
    )
    .unwrap();
    assert_eq!((level.class.as_str(), level.from, level.to), ("high", Some(36.0), Some(69.0)));
    assert_eq!(level.as_printed, "72 to below 138 lb/acre");
    assert_eq!((level.sufficient_from, level.sufficient_to), (Some(36.0), Some(69.0)));
    assert!(level.outside_region && level.cautions.iter().any(|c| c.contains("new-jersey")));
    let at_home = Site { region: Some("New Jersey".into()), ..lawn() };
    let p = measured(Analyte::Phosphorus, Method::Mehlich3, 40.0);
    assert!(!ask("lawn-rutgers-m3", p, Context::default(), &at_home).unwrap().outside_region);
}

#[test]
fn icp_and_colour_are_not_the_same_phosphorus() {
    let colour = measured(Analyte::Phosphorus, Method::Mehlich3Colorimetric, 30.0);
    let silent = ask("turf-mlsn", colour, Context::default(), &lawn()).unwrap_err();
    assert_eq!(silent.silence, Silence::Method);
}

#[test]
fn an_unstated_method_has_no_class() {
    let p = measured(Analyte::Phosphorus, Method::Unstated, 30.0);
    for id in ["turf-mlsn", "turf-slan-2004", "turf-osu-acceptable"] {
        assert_eq!(ask(id, p, Context::default(), &lawn()).unwrap_err().silence, Silence::Method, "{id}");
    }
    let ph = measured(Analyte::Ph, Method::Unstated, 5.8);
    let missouri = Site { region: Some("missouri".into()), ..lawn() };
    assert!(ask("general-udel-m3", ph, Context::default(), &missouri).is_err());
    assert!(ask("general-udel-m3", ph, Context::default(), &lawn()).is_err());
    let jersey = Site { region: Some("new-jersey".into()), ..lawn() };
    let level = ask("ph-lawns", ph, Context::default(), &jersey).unwrap();
    assert_eq!((level.standing, level.read), (Standing::Below, false));
}

#[test]
fn a_salt_ph_is_no_water_ph() {
    let jersey = Site { region: Some("new-jersey".into()), ..lawn() };
    let salt = measured(Analyte::Ph, Method::Cacl2, 5.8);
    assert!(ask("ph-lawns", salt, Context::default(), &jersey).unwrap_err().reason.contains("salt pH"));
    assert!(
        ask("ph-lawns", measured(Analyte::Ph, Method::Water1to2, 5.8), Context::default(), &jersey).is_ok()
    );
}

#[test]
fn bray_says_nothing_on_calcareous_soil() {
    let p = measured(Analyte::Phosphorus, Method::BrayP1, 6.0);
    let at = |ph| Context { water_ph: Some(ph), ..Context::default() };
    assert!(ask("turf-slan-2004", p, at(7.4), &lawn()).is_ok());
    let silent = ask("turf-slan-2004", p, at(7.5), &lawn()).unwrap_err();
    assert_eq!(silent.silence, Silence::Soil);
    assert!(silent.reason.contains("Olsen"));
    let lime = Site { calcareous: Some(true), ..lawn() };
    assert!(ask("turf-slan-2004", p, at(7.0), &lime).is_err());
    // Without a pH the class comes with the caution.
    assert!(!ask("turf-slan-2004", p, Context::default(), &lawn()).unwrap().cautions.is_empty());
}

#[test]
fn olsen_says_nothing_on_acid_soil_but_in_north_dakota() {
    let p = measured(Analyte::Phosphorus, Method::Olsen, 6.0);
    let acid = Context { water_ph: Some(5.6), ..Context::default() };
    assert!(ask("turf-mlsn", p, acid, &lawn()).is_err());
    let dakota = Site { region: Some("North Dakota".into()), ..lawn() };
    assert!(ask("turf-mlsn", p, acid, &dakota).is_ok());
}

#[test]
fn calcium_and_saturations_of_calcareous_soil_are_not_interpreted() {
    let lime = Context { water_ph: Some(7.9), ..Context::default() };
    for (analyte, method) in
        [(Analyte::Calcium, Method::Mehlich3), (Analyte::Calcium, Method::AmmoniumAcetate)]
    {
        assert!(ask("turf-mlsn", measured(analyte, method, 4000.0), lime, &lawn()).is_err());
    }
    let saturation = measured(Analyte::SatCa, Method::Unstated, 88.0);
    assert!(ask("base-saturation-information", saturation, lime, &lawn()).is_err());
    let level = ask("base-saturation-information", saturation, Context::default(), &lawn()).unwrap();
    assert_eq!(level.standing, Standing::Information);
    // Potassium itself is still classed.
    assert!(ask("turf-mlsn", measured(Analyte::Potassium, Method::Mehlich3, 90.0), lime, &lawn()).is_ok());
}

#[test]
fn per_volume_and_per_mass_do_not_meet() {
    let mut p = measured(Analyte::Phosphorus, Method::Olsen, 18.0);
    let corn = Site { use_: Some("corn".into()), ..Site::default() };
    assert_eq!(
        ask("grassland-and-arable-ni-olsen", p, Context::default(), &corn).unwrap_err().silence,
        Silence::Basis
    );
    p.basis = Some(Basis::Volume);
    assert!(ask("grassland-and-arable-ni-olsen", p, Context::default(), &corn).is_ok());
    assert!(ask("turf-mlsn", p, Context::default(), &lawn()).is_err());
}

#[test]
fn an_index_never_matches_a_concentration() {
    let k = measured(Analyte::Potassium, Method::Mehlich3, 60.0);
    assert_eq!(ask("lawn-ncdacs-index", k, Context::default(), &lawn()).unwrap_err().silence, Silence::Basis);
}

#[test]
fn an_unknown_condition_shows_the_outcomes_instead() {
    let k = measured(Analyte::Potassium, Method::Mehlich3, 60.0);
    let silent = ask("turf-slan-2004", k, Context::default(), &Site::default()).unwrap_err();
    assert_eq!(silent.silence, Silence::Condition);
    assert!(
        silent.reason.contains("medium if sand") && silent.reason.contains("low if not-sand"),
        "{silent:?}"
    );
    let corn = Site { use_: Some("corn".into()), ..Site::default() };
    let k = measured(Analyte::Potassium, Method::Mehlich3, 125.0);
    let at = |cec| Context { cec: Some(cec), ..Context::default() };
    assert_eq!(ask("crops-tristate-2020-m3", k, at(4.0), &corn).unwrap().class, "optimal");
    assert_eq!(ask("crops-tristate-2020-m3", k, at(5.0), &corn).unwrap().sufficient_from, Some(100.0));
    assert_eq!(ask("crops-tristate-2020-m3", k, at(12.0), &corn).unwrap().sufficient_from, Some(120.0));
    assert!(ask("crops-tristate-2020-m3", k, Context::default(), &corn).is_err());
}

#[test]
fn what_every_scale_says_needs_no_condition() {
    let open = Site { use_: Some("lawn".into()), ..Site::default() };
    // SLAN: low below 50 in sand and below 75 elsewhere; high from 117 and 177.
    let k = |value| {
        ask(
            "turf-slan-2004",
            measured(Analyte::Potassium, Method::Mehlich3, value),
            Context::default(),
            &open,
        )
    };
    let low = k(45.0).unwrap();
    assert_eq!((low.standing, low.sufficient_from), (Standing::Below, Some(50.0)));
    assert!(low.cautions.iter().any(|caution| caution.contains("texture")));
    assert_eq!(k(180.0).unwrap().from, Some(177.0));
    assert!(k(100.0).is_err() && k(150.0).is_err());
    let p = |value, site: &Site| {
        let p = measured(Analyte::Phosphorus, Method::Mehlich3, value);
        ask("phosphorus-environment", p, Context::default(), site)
    };
    // Delaware 151, Pennsylvania 201.
    assert!(p(180.0, &open).is_err());
    assert!(p(230.0, &open).unwrap().outside_region);
    let ohio = Site { region: Some("ohio".into()), ..open };
    assert!(p(230.0, &ohio).is_err());
}

#[test]
fn a_result_below_the_range_is_classed_only_where_it_is_certain() {
    let mut k = measured(Analyte::Potassium, Method::Mehlich3, 30.0);
    k.qualifier = Some(Qualifier::Below);
    assert_eq!(class("turf-mlsn", k, &lawn()).1, Standing::Below);
    k.value = 40.0;
    assert_eq!(ask("turf-mlsn", k, Context::default(), &lawn()).unwrap_err().silence, Silence::Range);
    k.qualifier = Some(Qualifier::Above);
    assert_eq!(class("turf-mlsn", k, &lawn()).1, Standing::Within);
}

#[test]
fn a_memory_row_is_marked() {
    let k = measured(Analyte::Potassium, Method::AmmoniumAcetate, 60.0);
    let level = ask("turf-slan-2004", k, Context::default(), &lawn()).unwrap();
    assert!(!level.read && !level.edge_read);
    // The lower edge of the Tri-State class `optimal` was read, its upper one was not.
    let corn = Site { use_: Some("corn".into()), ..Site::default() };
    let p = measured(Analyte::Phosphorus, Method::Mehlich3, 12.0);
    assert!(ask("crops-tristate-2020-m3", p, Context::default(), &corn).unwrap().read);
}

#[test]
fn the_default_guides_of_turf_come_in_order_and_home_comes_first() {
    let ids = |site: &Site, analyte, method| -> Vec<String> {
        choose(site, analyte, method).unwrap().iter().map(|guide| guide.id.clone()).collect()
    };
    let k = (Analyte::Potassium, Method::Mehlich3);
    assert_eq!(ids(&Site::default(), k.0, k.1), ["turf-mlsn", "turf-slan-2004"]);
    let delaware = Site { region: Some("Delaware".into()), ..lawn() };
    assert_eq!(ids(&delaware, k.0, k.1), ["general-udel-m3", "turf-mlsn", "turf-slan-2004"]);
    assert_eq!(ids(&lawn(), Analyte::Phosphorus, Method::ModifiedMorgan), ["general-umass-modified-morgan"]);
    assert_eq!(ids(&lawn(), Analyte::Zinc, Method::Dtpa), ["micronutrients-dtpa", "turf-slan-2004"]);
    let chosen = Site { guides: vec!["turf-slan-2004".into()], ..lawn() };
    assert_eq!(ids(&chosen, k.0, k.1), ["turf-slan-2004"]);
    let unknown = Site { use_: Some("moss".into()), ..Site::default() };
    assert!(ids(&unknown, k.0, k.1).is_empty());
}

#[test]
fn own_edges_speak_of_their_method_only() {
    let edges = [OwnEdge {
        analyte: Analyte::Potassium,
        method: Method::Mehlich3,
        sufficient_from: 80.0,
        sufficient_to: Some(200.0),
        note: None,
    }];
    let at =
        |value| own_level(&measured(Analyte::Potassium, Method::Mehlich3, value), &edges).unwrap().standing;
    assert_eq!((at(79.9), at(80.0), at(200.0)), (Standing::Below, Standing::Within, Standing::Above));
    assert!(own_level(&measured(Analyte::Potassium, Method::AmmoniumAcetate, 60.0), &edges).is_none());
}

#[test]
fn a_species_has_its_own_salt_tolerance() {
    let tall = tolerance("Tall fescue").unwrap().unwrap();
    assert_eq!((tall.from, tall.to), (Some(6.0), Some(10.0)));
    assert!(tolerance("clover").unwrap().is_none());
}

proptest! {
    #[test]
    fn more_of_it_never_stands_lower(a in 0.0..400.0f64, b in 0.0..400.0f64) {
        let (low, high) = if a <= b { (a, b) } else { (b, a) };
        for guide in guides().unwrap() {
            for scale in &guide.scales {
                if let (Some(below), Some(above)) = (scale.class_of(low), scale.class_of(high)) {
                    prop_assert!(below.from <= above.from, "{} {}", guide.id, scale.analyte);
                    prop_assert!(below.meaning.standing <= above.meaning.standing);
                }
            }
        }
    }

    #[test]
    fn a_number_lies_in_one_class_at_most(value in 0.0..400.0f64) {
        for guide in guides().unwrap() {
            for scale in &guide.scales {
                let found = scale.classes.iter().filter(|class| {
                    class.from.is_none_or(|from| value >= from) && class.to.is_none_or(|to| value < to)
                });
                prop_assert!(found.count() <= 1);
            }
        }
    }
}
