//! Topics `cec/*`, `check/*`, `sodic/*` but gypsum.

use super::Inputs;
use super::units::bases;
use loamline::soil::Method;
use loamline::soil::chemistry::*;
use loamline::soil::closure::*;
use loamline::soil::convert::{GYPSUM_G_PER_EQUIVALENT, lb_per_acre_to_mg_per_kg_by_convention};
use serde_json::{Value, json};

pub fn answer(topic: &str, i: &Inputs) -> Option<Value> {
    let n = |key| i.number(key);
    Some(match topic {
        "cec/summation_adams_evans" => {
            let method = Method::from_id(i.text("buffer")).unwrap();
            let acidity = acidity(method, n("buffer_ph"));
            let b = bases(&i.part("lb_acre")).divided_by(bases(&i.part("divisors")));
            json!({"acidity": acidity, "K": b.potassium, "Mg": b.magnesium, "Ca": b.calcium, "Na": b.sodium,
                "cec": cec_by_summation(b, acidity)})
        }
        "cec/base_saturation_pct" => {
            json!({"base_saturation_pct": base_saturation_percent(n("bases_meq"), n("cec"))})
        }
        "cec/acidity_adams_evans" => json!({"acidity": acidity(Method::AdamsEvans, n("buffer_ph"))}),
        "cec/acidity_mehlich" => json!({"acidity": acidity(Method::MehlichBuffer, n("buffer_ph"))}),
        "cec/acidity_smp_type" | "cec/acidity_smp_type_floor" => {
            let (smp, sikora) =
                (acidity(Method::Smp, n("buffer_ph")), acidity(Method::Sikora, n("buffer_ph")));
            assert_eq!(smp, sikora, "Sikora is read on the SMP scale");
            json!({"acidity": smp})
        }
        "cec/lime_test_index" => {
            let buffer_ph = lime_index_to_buffer_ph(n("lime_index"));
            json!({"buffer_ph": buffer_ph, "acidity_smp_type": acidity(Method::Smp, buffer_ph)})
        }
        "cec/summation_neutral" => summation(i, n("acidity")),
        "cec/summation_acid_smp_type" => {
            let acidity = acidity(Method::Smp, n("buffer_ph"));
            assert!((acidity - n("acidity")).abs() < 1e-9);
            summation(i, acidity)
        }
        "cec/effect_of_rounded_constants" => {
            let mg_kg = bases(&i.part("mg_kg"));
            let a = cec_by_summation(mg_kg.cmol_from_mg_per_kg(), n("acidity"));
            let b = cec_by_summation(mg_kg.divided_by(bases(&i.part("constants_b"))), n("acidity"));
            json!({"cec_a": a, "cec_b": b, "difference": b - a})
        }
        "cec/sum_of_cations_dataset" => {
            let b = bases(&i.part("meq"));
            json!({"sum": b.sum(), "na_pct_of_bases": saturation_percent(b.sodium, b.sum())})
        }
        "check/cec_closure" => {
            let cec = cec_by_summation(bases(&i.part("mg_kg")).cmol_from_mg_per_kg(), n("acidity"));
            let closure = tables().cec_closure(cec, n("cec_printed"));
            json!({"cec_calc": closure.calculated, "ok": closure.closes, "ratio_calc_to_printed": closure.ratio()})
        }
        "check/saturation_sum" => {
            let printed: Vec<f64> =
                i.part("sat").0.as_object().unwrap().values().map(|v| v.as_f64().unwrap()).collect();
            let closure = tables().saturation_sum(&printed, n("decimals") as u8);
            json!({"sum": closure.calculated, "ok": closure.closes})
        }
        "check/saturation_sum_rounding_limit" => json!({"max_abs_deviation_by_rounding":
            widest_rounding_of_sum(n("parts") as u32, n("decimals") as u8)}),
        "check/texture_sum" => {
            let closure = tables().texture_sum(n("sand"), n("silt"), n("clay"));
            json!({"sum": closure.calculated, "ok": closure.closes})
        }
        "check/buffer_ph_expected" => {
            let doubt = |case: &Inputs| {
                !case.0["buffer_ph"].is_null() && !tables().buffer_expected(case.number("ph"))
            };
            json!({"doubt": i.list("cases").iter().map(doubt).collect::<Vec<_>>()})
        }
        "check/extractable_P_not_above_total" => {
            let ceiling = tables().phosphorus_ceiling_mg_per_kg();
            assert_eq!(ceiling, lb_per_acre_to_mg_per_kg_by_convention(n("total_p_lb_acre_max")));
            json!({"mg_kg_ceiling": ceiling})
        }
        "check/buffer_ph_start" => {
            let doubt = |case: &Inputs| {
                let method = Method::from_id(case.text("buffer")).unwrap();
                !buffer_start(method, case.number("buffer_ph")).unwrap().unwrap().closes
            };
            json!({"doubt": i.list("cases").iter().map(doubt).collect::<Vec<_>>()})
        }
        "sodic/sar_meq" => json!({"sar": sar_from_meq_per_l(n("na_meq_l"), n("ca_meq_l"), n("mg_meq_l"))}),
        "sodic/sar_mg_l" => json!({"sar": sar_from_mg_per_l(n("na"), n("ca"), n("mg"))}),
        "sodic/esp_from_sar" => json!({"esp": esp_percent_from_sar(n("sar"))}),
        "sodic/sar_threshold" => {
            let from = sodic_from_sar();
            json!({"dispersion_risk": i.numbers("sar").iter().map(|sar| *sar >= from).collect::<Vec<_>>()})
        }
        // Mg/ha of gypsum for 1 m, 1 g/cm3 and 1 cmol/kg at 1 %: a tenth of the equivalent mass.
        "sodic/oster_constant" => json!({"constant": GYPSUM_G_PER_EQUIVALENT / 10.0}),
        _ => return None,
    })
}

fn tables() -> &'static Tolerances {
    Tolerances::built_in().unwrap()
}

fn acidity(method: Method, buffer_ph: f64) -> f64 {
    acidity_from_buffer(method, buffer_ph).unwrap().unwrap().meq_per_100
}

fn summation(i: &Inputs, acidity: f64) -> Value {
    let cmol = bases(&i.part("mg_kg")).cmol_from_mg_per_kg();
    let s = saturations_percent(cmol, acidity).unwrap();
    json!({"cec": cec_by_summation(cmol, acidity), "sat_k": s.bases.potassium, "sat_ca": s.bases.calcium,
        "sat_mg": s.bases.magnesium, "sat_na": s.bases.sodium, "sat_h": s.hydrogen})
}

/// The edge of the class `sodic` for SAR in the guide table that the flags follow.
fn sodic_from_sar() -> f64 {
    let text = include_str!("../../src/guide/tables/sodium-hazard.csv");
    let mut table = csv::Reader::from_reader(text.as_bytes());
    let columns = table.headers().unwrap().clone();
    let column = |name| columns.iter().position(|c| c == name).unwrap();
    let rows: Vec<csv::StringRecord> = table.records().map(Result::unwrap).collect();
    let sodic =
        |row: &&csv::StringRecord| &row[column("analyte")] == "sar" && &row[column("class")] == "sodic";
    rows.iter().find(sodic).unwrap()[column("from")].parse().unwrap()
}
