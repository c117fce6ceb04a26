//! Topics `fert/*`, `lime/*`, `sodic/gypsum*`.

use super::Inputs;
use loamline::plan::fertiliser::*;
use loamline::plan::gypsum::{Sodic, moist, ton_per_acre, tonne_per_ha};
use loamline::plan::lime::*;
use loamline::plan::lime_table::{LimeTable, table};
use loamline::plan::nutrients::{Nutrient, Nutrients};
use loamline::soil::Method;
use loamline::soil::chemistry::acidity_from_buffer;
use loamline::soil::convert::*;
use serde_json::{Value, json};

pub fn answer(topic: &str, i: &Inputs) -> Option<Value> {
    let n = |key| i.number(key);
    Some(match topic {
        "fert/product_for_N" => {
            let percent = i.0["grade"]
                .as_str()
                .map_or_else(|| n("n_pct"), |grade| Nutrients::from_grade(grade).unwrap().get(Nutrient::N));
            json!({"product_lb_1000ft2": product_for(n("n_lb_1000ft2"), percent)})
        }
        "fert/product_for_N_area" => {
            let rate = product_for(n("n_lb_1000ft2"), grade(i).get(Nutrient::N)).unwrap();
            json!({"product_lb_1000ft2": rate, "product_lb": for_area(rate, n("area_ft2"))})
        }
        "fert/area_and_bags" => {
            let total = for_area(n("product_lb_1000ft2"), acres_to_ft2(n("acres")));
            json!({"lb_acre": lb_per_1000_ft2_to_lb_per_acre(n("product_lb_1000ft2")), "lb_total": total,
                "bags": packages(total, n("bag_lb"))})
        }
        "fert/nutrients_supplied" => {
            let all = supplied_by(n("product_lb"), &grade(i));
            json!({"N": all.get(Nutrient::N), "P2O5": all.get(Nutrient::P2o5), "K2O": all.get(Nutrient::K2o)})
        }
        "fert/oxide_to_element" => json!({"P": p2o5_to_p(n("P2O5")), "K": k2o_to_k(n("K2O"))}),
        "fert/liquid_n_per_gal" => {
            json!({"lb_n_per_gal": lb_nutrient_per_gal(n("n_pct"), n("lb_per_gal"))})
        }
        "fert/liquid_n_applied" => {
            json!({"lb_n_acre": lb_nutrient_per_gal(n("n_pct"), n("lb_per_gal")) * n("gal_acre")})
        }
        "fert/liquid_gal_needed" => {
            let lb = product_for(n("lb_n_acre"), n("n_pct")).unwrap();
            let gal = gal_of_lb(lb, n("lb_per_gal")).unwrap();
            json!({"gal_acre": gal, "gal_total": gal * n("acres")})
        }
        "fert/liquid_turf" => {
            let density = kg_per_l_to_lb_per_gal(n("density_kg_l"));
            let lb = product_for(n("n_lb_1000ft2"), n("n_pct")).unwrap();
            let gal = gal_of_lb(lb, density).unwrap();
            let all = supplied_by(lb, &Nutrients::grade(n("n_pct"), n("p2o5_pct"), n("k2o_pct")));
            json!({"lb_per_gal": density, "gal_1000ft2": gal, "fl_oz_1000ft2": gal * FL_OZ_PER_GAL,
                "p2o5_lb_1000ft2": all.get(Nutrient::P2o5), "k2o_lb_1000ft2": all.get(Nutrient::K2o)})
        }
        "fert/nutrients_with_N_target" => {
            let lb = product_for(n("n_lb_1000ft2"), grade(i).get(Nutrient::N)).unwrap();
            let all = supplied_by(lb, &grade(i));
            json!({"product_lb_1000ft2": lb, "P2O5": all.get(Nutrient::P2o5), "K2O": all.get(Nutrient::K2o)})
        }
        "fert/splits" => {
            let parts = splits(n("n_annual_lb_1000ft2"), n("max_single")).unwrap();
            json!({"applications": parts.applications, "each": parts.each})
        }
        "fert/credit" | "fert/credit_over" => {
            let left = remaining(n("n_annual_lb_1000ft2"), n("n_already_lb_1000ft2"));
            // A season that is over needs no limit to be split by.
            let limit = i.0["max_single"].as_f64().unwrap_or(1.0);
            let parts = splits(left.amount, limit).unwrap();
            json!({"n_remaining": left.amount, "applications": parts.applications, "each": parts.each,
                "over_by": left.over_by})
        }
        "fert/slow_release_fraction" => json!({"slow_fraction": slow_share(n("n_pct"), n("win_pct"))}),
        "fert/area_scale" => {
            let area = n("area_m2") * FT2_PER_M2;
            let lb = for_area(n("product_lb_1000ft2"), area);
            json!({"area_ft2": area, "product_lb": lb, "product_kg": lb * KG_PER_LB})
        }
        "fert/urea_lb_acre_split" => {
            let nitrogen = n("n_lb_acre") / n("splits");
            let product = product_for(nitrogen, grade(i).get(Nutrient::N)).unwrap();
            json!({"product_lb_acre_each": product,
                "product_lb_1000ft2_each": lb_per_acre_to_lb_per_1000_ft2(product),
                "n_lb_1000ft2_each": lb_per_acre_to_lb_per_1000_ft2(nitrogen)})
        }
        "lime/mehlich_factor" => json!({"factor": mehlich_factor(n("ph"), n("target_ph")).unwrap()}),
        "lime/mehlich_ncda" => {
            let acidity = i.0["acidity"].as_f64().unwrap_or_else(|| {
                acidity_from_buffer(Method::MehlichBuffer, n("buffer_ph")).unwrap().unwrap().meq_per_100
            });
            let (ph, target) = (n("ph"), n("target_ph"));
            let ton = mehlich_ton_per_acre(acidity, ph, target, n("residual_credit")).unwrap();
            if let Some(buffer_ph) = i.0["buffer_ph"].as_f64() {
                // The table of the plan gives the same.
                let rate = named("mehlich-ncda").rate(buffer_ph, ph, target).unwrap().unwrap();
                assert!((rate - ton).abs() < 1e-9);
            }
            json!({"ton_acre": ton, "acidity": acidity, "factor": mehlich_factor(ph, target).unwrap(),
                "lb_1000ft2": short_ton_per_acre_to_lb_per_1000_ft2(ton)})
        }
        "lime/psu_turf_table" => {
            json!({"lb_cce_1000ft2": named("penn-state-turf").rate(n("acidity_meq_100g"), 4.5, n("ph_goal")).unwrap()})
        }
        "lime/cce_adjust" => match i.0["lb_1000ft2"].as_f64() {
            Some(lb) => json!({"product_lb_1000ft2": for_quality(lb, 100.0, n("cce_pct"))}),
            None => json!({"product_lb_100ft2": for_quality(n("lb_100ft2"), 100.0, n("cce_pct"))}),
        },
        "lime/sikora_oregon_table" => {
            let oregon = named("sikora-oregon-2025");
            assert_eq!((oregon.depth_in, oregon.cce_percent), (Some(n("depth_in")), n("lime_score")));
            json!({"ton_acre": oregon.rate(n("buffer_ph"), 4.5, n("target_ph")).unwrap()})
        }
        "lime/nv_adjust_tristate1995" => {
            json!({"ton_acre": for_quality(n("ton_acre"), n("nv_base"), n("nv"))})
        }
        "lime/depth_half_tristate1995" => {
            json!({"ton_acre": for_depth(n("ton_acre_8in"), 8.0, n("depth_in"))})
        }
        "lime/depth_scale" => json!({"ton_acre": for_depth(n("ton_acre"), n("from_in"), n("to_in"))}),
        "lime/ton_acre_to_lb_1000ft2" => {
            json!({"lb_1000ft2": short_ton_per_acre_to_lb_per_1000_ft2(n("ton_acre"))})
        }
        "lime/split" => {
            let parts = split(n("lb_1000ft2"), n("max_single")).unwrap();
            json!({"applications": parts.applications, "each_lb_1000ft2": parts.each})
        }
        "lime/enm" => json!({"ton_acre": by_effective_material(n("enm_required"), n("enm_per_ton"))}),
        "lime/enp" => json!({"ton_acre": by_neutralising_power(n("ton_acre_2000enp"), n("enp_lb_per_ton"))}),
        "lime/env_cornell" => {
            let (fineness, env) =
                fineness_and_env(n("pass20_pct"), n("pass60_pct"), n("pass100_pct"), n("cce_pct"));
            json!({"fineness_pct": fineness, "env_pct": env})
        }
        "lime/adams_evans" => {
            let found = adams_evans(n("ph"), n("buffer_ph"), n("target_ph")).unwrap().unwrap();
            json!({"hsat1": found.hydrogen_now, "hsat2": found.hydrogen_at_target,
                "lb_caco3_acre": found.lb_caco3_per_acre})
        }
        "lime/smp_tristate1995_equation" => {
            let equation = named("smp-tristate-1995");
            json!({"ton_acre": equation.rate(n("lime_index") / 10.0, 4.5, n("target_ph")).unwrap()})
        }
        "lime/smp_table_8in_nv90" => {
            let printed = named("smp-8-inch");
            assert_eq!((printed.depth_in, printed.cce_percent), (Some(n("depth_in")), n("nv_pct")));
            let to = |target| printed.rate(n("buffer_ph"), 4.5, target).unwrap();
            json!({"ton_acre_to_6.5": to(6.5), "ton_acre_to_6.0": to(6.0)})
        }
        "lime/stoichiometry" => {
            let lb = acidity_to_lb_caco3_per_acre(n("acidity_meq_100g"), n("soil_mass_lb_acre"));
            let by_depth = all_acidity_lb_per_1000_ft2(n("acidity_meq_100g"), FURROW_SLICE_IN);
            assert!((by_depth - lb_per_acre_to_lb_per_1000_ft2(lb)).abs() < 1e-9);
            json!({"lb_caco3_acre": lb, "lb_caco3_1000ft2": by_depth})
        }
        "lime/not_needed" => {
            let penn = named("penn-state-turf");
            json!({"lb_1000ft2": penn.rate(2.0, n("ph"), n("target_ph")).unwrap()})
        }
        "lime/woodruff_acidity" => {
            let acidity = acidity_from_buffer(Method::Woodruff, n("buffer_ph")).unwrap();
            json!({"acidity": acidity.map(|acidity| acidity.meq_per_100)})
        }
        "sodic/gypsum_oster" => {
            let sodic = Sodic {
                factor: n("F"),
                depth_m: n("depth_m"),
                bulk_density_g_per_cm3: n("bulk_density"),
                cec_cmol: n("cec"),
                esp_percent: n("esp_now"),
                target_esp_percent: n("esp_target"),
                purity_percent: n("purity_pct"),
            };
            let ton = ton_per_acre(&sodic);
            json!({"Mg_ha": tonne_per_ha(&sodic), "ton_acre": ton,
                "lb_1000ft2": short_ton_per_acre_to_lb_per_1000_ft2(ton)})
        }
        "sodic/gypsum_per_meq" => {
            let lb = sodium_to_lb_gypsum_per_acre(n("na_meq_100g"), n("soil_mass_lb_acre"));
            json!({"ton_acre_pure_gypsum": lb / LB_PER_SHORT_TON})
        }
        "sodic/gypsum_not_needed" => {
            let sodic = Sodic {
                factor: 1.1,
                depth_m: 0.15,
                bulk_density_g_per_cm3: 1.3,
                cec_cmol: 20.0,
                esp_percent: n("esp_now"),
                target_esp_percent: n("esp_target"),
                purity_percent: 90.0,
            };
            json!({"Mg_ha": tonne_per_ha(&sodic)})
        }
        "sodic/gypsum_moisture" => json!({"Mg_ha_moist": moist(n("Mg_ha"), n("moisture_pct"))}),
        _ => return None,
    })
}

fn grade(i: &Inputs) -> Nutrients {
    Nutrients::from_grade(i.text("grade")).unwrap()
}

fn named(id: &str) -> &'static LimeTable {
    table(id).unwrap().unwrap()
}
