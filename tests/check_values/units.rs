//! Topics `unit/*`.

use super::Inputs;
use loamline::soil::chemistry::Bases;
use loamline::soil::convert::*;
use serde_json::{Value, json};

pub fn answer(topic: &str, i: &Inputs) -> Option<Value> {
    let n = |key| i.number(key);
    Some(match topic {
        "unit/ppm_to_lb_acre" => {
            json!({"lb_acre": mg_per_kg_to_lb_per_acre_at_depth_in(n("ppm"), n("depth_in"))})
        }
        "unit/lb_acre_to_ppm" => {
            json!({"ppm": lb_per_acre_to_mg_per_kg_at_depth_in(n("lb_acre"), n("depth_in"))})
        }
        "unit/ppm_to_lb_acre_two_conventions" => json!({
            "by_depth_0.3_per_inch": mg_per_kg_to_lb_per_acre_at_depth_in(n("ppm"), n("depth_in")),
            "by_2e6_lb_convention": mg_per_kg_to_lb_per_acre_by_convention(n("ppm")),
        }),
        "unit/nitrate_lb_acre" => {
            let layer = Layer { mg_per_kg: n("no3n_ppm"), top_in: 0.0, bottom_in: n("depth_in") };
            json!({"lb_acre": layers_to_lb_per_acre(&[layer])})
        }
        "unit/nitrate_lb_acre_layers" => {
            let layers: Vec<Layer> = i
                .list("layers")
                .iter()
                .map(|l| Layer {
                    mg_per_kg: l.number("ppm"),
                    top_in: l.number("top_in"),
                    bottom_in: l.number("bottom_in"),
                })
                .collect();
            json!({"lb_acre": layers_to_lb_per_acre(&layers)})
        }
        "unit/mg_kg_to_kg_ha" => {
            let kg_ha = mg_per_kg_to_kg_per_ha(n("mg_kg"), n("bulk_density"), n("depth_cm"));
            json!({"kg_ha": kg_ha, "lb_acre": kg_per_ha_to_lb_per_acre(kg_ha)})
        }
        "unit/implied_bulk_density" => {
            json!({"g_cm3": implied_bulk_density_g_per_cm3(n("soil_mass_lb_acre"), n("depth_in"))})
        }
        "unit/P_to_P2O5" => json!({"P2O5": p_to_p2o5(n("P"))}),
        "unit/P2O5_to_P" => json!({"P": p2o5_to_p(n("P2O5"))}),
        "unit/K_to_K2O" => json!({"K2O": k_to_k2o(n("K"))}),
        "unit/K2O_to_K" => json!({"K": k2o_to_k(n("K2O"))}),
        "unit/ppm_P_to_lb_P2O5_acre" => {
            let lb = mg_per_kg_to_lb_per_acre_at_depth_in(n("ppm_P"), n("depth_in"));
            json!({"lb_P_acre": lb, "lb_P2O5_acre": p_to_p2o5(lb)})
        }
        "unit/ppm_K_to_lb_K2O_acre" => {
            let lb = mg_per_kg_to_lb_per_acre_at_depth_in(n("ppm_K"), n("depth_in"));
            json!({"lb_K_acre": lb, "lb_K2O_acre": k_to_k2o(lb)})
        }
        "unit/lb_acre_to_lb_1000ft2" => json!({"lb_1000ft2": lb_per_acre_to_lb_per_1000_ft2(n("lb_acre"))}),
        "unit/split_lb_acre" => {
            let each = n("lb_acre_total") / n("splits");
            json!({"lb_acre_each": each, "lb_1000ft2_each": lb_per_acre_to_lb_per_1000_ft2(each)})
        }
        "unit/lb_1000ft2_to_lb_acre" => {
            let lb_acre = lb_per_1000_ft2_to_lb_per_acre(n("lb_1000ft2"));
            json!({"lb_acre": lb_acre, "kg_ha": lb_per_acre_to_kg_per_ha(lb_acre)})
        }
        "unit/lb_acre_to_kg_ha" => json!({"kg_ha": lb_per_acre_to_kg_per_ha(n("lb_acre"))}),
        "unit/kg_ha_to_lb_acre" => json!({"lb_acre": kg_per_ha_to_lb_per_acre(n("kg_ha"))}),
        "unit/Mg_ha_to_short_ton_acre" => {
            json!({"ton_acre": tonne_per_ha_to_short_ton_per_acre(n("Mg_ha"))})
        }
        "unit/short_ton_acre_to_lb_1000ft2" => {
            json!({"lb_1000ft2": short_ton_per_acre_to_lb_per_1000_ft2(n("ton_acre"))})
        }
        "unit/ec" => {
            let ds_m = mmho_per_cm_to_ds_per_m(n("mmho_cm"));
            json!({"dS_m": ds_m, "mS_cm": ds_m, "uS_cm": ds_per_m_to_us_per_cm(ds_m)})
        }
        "unit/inch_to_cm" => json!({"cm": inch_to_cm(n("in"))}),
        "unit/OC_to_OM" => json!({"om_pct": organic_carbon_to_matter_percent(n("oc_pct"), n("factor"))}),
        "unit/OM_to_OC" => json!({"oc_pct": organic_matter_to_carbon_percent(n("om_pct"), n("factor"))}),
        "unit/meq_to_ppm" => of_bases(bases(i).mg_per_kg_from_cmol()),
        "unit/ppm_to_meq" => of_bases(bases(i).cmol_from_mg_per_kg()),
        "unit/mg_per_meq100g" => of_bases(Bases::mg_per_cmol()),
        "unit/NO3_to_NO3N" => json!({"no3n_ppm": no3_to_n(n("no3_ppm"))}),
        "unit/SO4_to_S" => json!({"s_ppm": so4_to_s(n("so4_ppm"))}),
        "unit/Mg_to_MgO" => json!({"MgO": mg_to_mgo(n("Mg"))}),
        "unit/concentration" => {
            let percent = g_per_kg_to_percent(n("g_kg"));
            json!({"pct": percent, "mg_kg": percent_to_mg_per_kg(percent)})
        }
        "unit/soil_mass_per_inch" => {
            json!({"lb_acre_per_inch": soil_lb_per_acre_inch(n("soil_mass_lb_acre"), n("depth_in"))})
        }
        _ => return None,
    })
}

/// The four bases of a row, in whatever unit the row has them.
pub fn bases(i: &Inputs) -> Bases {
    Bases {
        potassium: i.number("K"),
        calcium: i.number("Ca"),
        magnesium: i.number("Mg"),
        sodium: i.number("Na"),
    }
}

fn of_bases(b: Bases) -> Value {
    json!({"K": b.potassium, "Ca": b.calcium, "Mg": b.magnesium, "Na": b.sodium})
}
