//! Topics `draw/*`, `noise/*`, `convert/*`, `rule/*`.

use super::Inputs;
use loamline::flag::FlagKind;
use loamline::soil::convert::*;
use loamline::soil::{Analyte, Method, ReadingRow, Status};
use loamline::trend::conversion::{conversions, relative_gap_percent, residual_share};
use loamline::trend::drawdown::*;
use loamline::trend::noise::*;
use loamline::trend::{rules::TrendRules, series};
use serde_json::{Value, json};

pub fn answer(topic: &str, i: &Inputs) -> Option<Value> {
    let n = |key| i.number(key);
    Some(match topic {
        "draw/P_buildup_rate_tristate" => {
            let lb = named("tri-state P").in_its_own_layer(None).unwrap();
            let a_year = build_up_lb_oxide_per_acre_per_year(1.0, lb, n("years")).unwrap();
            assert_eq!(a_year, n("lb_p2o5_per_ppm_per_year"));
            json!({"lb_p2o5_per_ppm": lb})
        }
        "draw/K_buildup_rate_tristate" => {
            json!({"lb_k2o_per_ppm": named("tri-state K").in_its_own_layer(Some(n("cec")))})
        }
        "draw/P_removal_effect" => {
            let balance = Balance { removed_lb_oxide_per_acre: n("removal_lb_p2o5"), ..Balance::default() };
            json!({"ppm_change": change_mg_per_kg_per_year(balance, n("lb_p2o5_per_ppm"))})
        }
        "draw/kgP_ha_per_mgkg_to_lbP2O5_acre_per_ppm" => {
            let lb: Vec<f64> = i
                .numbers("kg_p_ha_per_mg_kg")
                .iter()
                .map(|kg| p_to_p2o5(kg_per_ha_to_lb_per_acre(*kg)))
                .collect();
            // The figures of the data table are these conversions.
            for (lb, name) in lb.iter().zip(["Mollisols P (upper)", "Mollisols P (lower)"]) {
                assert!((lb - named(name).in_its_own_layer(None).unwrap()).abs() < 0.01, "{name}");
            }
            json!({"lb_p2o5_acre_per_ppm": lb})
        }
        "draw/half_time_from_rate" => {
            let years: Vec<_> =
                i.numbers("rate_pct_year").iter().map(|rate| half_life_years(*rate)).collect();
            json!({"half_time_years": years})
        }
        "draw/exponential_time_to_edge" => {
            json!({"years": years_to_edge(n("stp_now"), n("edge"), n("rate_pct_year"))})
        }
        "draw/clipping_ratio_removal" => {
            let parts: Vec<f64> = i.text("ratio").split(':').map(|part| part.parse().unwrap()).collect();
            let (p2o5, k2o) =
                clippings_p2o5_k2o(n("n_removed_lb_1000ft2"), (parts[0], parts[1], parts[2])).unwrap();
            json!({"p2o5_lb_1000ft2": p2o5, "k2o_lb_1000ft2": k2o,
                "p2o5_lb_acre": lb_per_1000_ft2_to_lb_per_acre(p2o5),
                "k2o_lb_acre": lb_per_1000_ft2_to_lb_per_acre(k2o)})
        }
        "draw/annual_change_mass_balance" => {
            let p = Balance {
                applied_lb_oxide_per_acre: n("applied_p2o5_lb_acre"),
                removed_lb_oxide_per_acre: n("removed_p2o5_lb_acre"),
            };
            let k = Balance {
                applied_lb_oxide_per_acre: n("applied_k2o_lb_acre"),
                removed_lb_oxide_per_acre: n("removed_k2o_lb_acre"),
            };
            json!({"dP_ppm_year": change_mg_per_kg_per_year(p, n("lb_p2o5_per_ppm")),
                "dK_ppm_year": change_mg_per_kg_per_year(k, n("lb_k2o_per_ppm"))})
        }
        "draw/buildup_plan" => {
            let lb = build_up_lb_oxide_per_acre_per_year(n("deficit_ppm"), n("lb_p2o5_per_ppm"), n("years"));
            json!({"lb_p2o5_acre_year": lb, "lb_p2o5_1000ft2_year": lb.map(lb_per_acre_to_lb_per_1000_ft2)})
        }
        "draw/decay_model_tyson" => {
            json!({"p_final": decayed_mg_per_kg(n("p_prev"), n("e_p"), n("p_fert"), n("d_p"), n("years"))})
        }
        "draw/linear_rate_observed" => {
            let fall = steady_fall_mg_per_kg(n("mg_kg_per_year"), n("years"));
            let olsen = declines().unwrap().iter().find(|line| line.method == Method::Olsen).unwrap();
            assert_eq!(olsen.fall_mg_per_kg(100.0, n("years")), (fall, fall));
            json!({"fall_mg_kg": fall})
        }
        "noise/critical_difference_abs" => {
            assert_eq!(n("confidence"), CONFIDENCE);
            json!({"critical_difference": critical_difference(n("s"), n("s"))})
        }
        "noise/critical_difference_cv" => {
            assert_eq!(n("confidence"), CONFIDENCE);
            let critical = critical_difference_of_cv(n("a"), n("b"), n("cv_pct"));
            let difference = n("b") - n("a");
            json!({"critical_difference": critical, "difference": difference,
                "beyond_noise": difference.abs() > critical})
        }
        "noise/relative_critical_difference" => {
            let percent: Vec<f64> =
                i.numbers("cv_pct").iter().map(|cv| critical_difference_of_cv(100.0, 100.0, *cv)).collect();
            json!({"pct": percent})
        }
        "noise/critical_difference_between_labs_ph" => {
            let s = n("s_between_labs");
            json!({"critical_difference": critical_difference(s, s)})
        }
        "noise/decision_minimum" => {
            let known = [
                (Analyte::Ph, Method::Unstated),
                (Analyte::Phosphorus, Method::Olsen),
                (Analyte::Potassium, Method::Unstated),
                (Analyte::Magnesium, Method::Unstated),
            ];
            let least: Vec<_> = known
                .into_iter()
                .map(|(analyte, method)| variability_of(analyte, method).unwrap().unwrap().worth_acting_on)
                .collect();
            json!({"minimum_difference": least})
        }
        "noise/combined_sd" => {
            let sampling = sampling_cv_percent(n("cv_field_pct"), n("cores") as u32).unwrap();
            json!({"cv_sampling_pct": sampling, "cv_total_pct": total_cv_percent(n("cv_lab_pct"), sampling)})
        }
        "noise/slope_standard_error" => {
            let se: Vec<_> =
                i.numbers("n").iter().map(|seasons| slope_standard_error(n("s"), *seasons as u32)).collect();
            json!({"se_slope": se})
        }
        "noise/interlab_cv_kleinman" => {
            let of = |method| variability_of(Analyte::Phosphorus, method).unwrap().unwrap();
            let any = of(Method::BrayP1);
            let share = |percent: Option<f64>| percent.map(|percent| percent / 100.0);
            json!({"cv_min": share(any.published_other_lab_cv_low), "cv_max": share(any.published_other_lab_cv_high),
                "cv_olsen": share(of(Method::Olsen).other_lab_cv_percent)})
        }
        "convert/m3icp_to_bray_ohio" => {
            json!({"bray_p1": estimate("Ohio", Analyte::Phosphorus, n("m3_icp_p")).0})
        }
        "convert/bray_to_m3_tristate" => {
            json!({"m3_p": estimate("Tri-State 2019", Analyte::Phosphorus, n("bray_p1")).0})
        }
        "convert/aa_k_to_m3_k_tristate" => {
            json!({"m3_k": estimate("Tri-State 2019", Analyte::Potassium, n("aa_k")).0})
        }
        "convert/aa_k_to_m3_k_kansas" => {
            json!({"m3_k_slope_only": estimate("Kansas 2019", Analyte::Potassium, n("aa_k")).0})
        }
        "convert/disagreement" => {
            let tri_state = estimate("Tri-State 2019", Analyte::Potassium, n("aa_k")).0;
            let kansas = estimate("Kansas 2019", Analyte::Potassium, n("aa_k")).0;
            json!({"tristate": tri_state, "kansas": kansas,
                "relative_gap_pct": relative_gap_percent(tri_state, kansas)})
        }
        "convert/bray_to_m3_alaska_slope_range" => {
            let (low, high) = estimate("Alaska 1987", Analyte::Phosphorus, n("bray_p1"));
            json!({"low": low, "high": high})
        }
        "convert/residual_spread_from_r" => {
            json!({"residual_sd_fraction": i.numbers("r").iter().map(|r| residual_share(*r)).collect::<Vec<_>>()})
        }
        "rule/no_splice" => no_splice(i),
        _ => return None,
    })
}

fn named(name: &str) -> &'static Buffering {
    buffering().unwrap().iter().find(|line| line.name == name).unwrap()
}

fn estimate(name: &str, analyte: Analyte, measured: f64) -> (f64, f64) {
    let line =
        conversions().unwrap().iter().find(|line| line.name == name && line.analyte == analyte).unwrap();
    let estimate = line.estimate(measured).unwrap();
    (estimate.low, estimate.high)
}

/// Readings by two extractants never become one series. That the change is flagged is the flags' own promise; here
/// the keys of the series must differ in the method and in nothing else, which is what that flag looks for.
fn no_splice(i: &Inputs) -> Value {
    let rows: Vec<ReadingRow> = (1..).zip(i.list("series")).map(|(id, reading)| row(id, &reading)).collect();
    let built = series::build(&rows, &TrendRules::built_in().unwrap());
    let methods: std::collections::BTreeSet<Method> = built.iter().map(|series| series.key.method).collect();
    let mut keys: Vec<_> = built.iter().map(|series| series.key.clone()).collect();
    keys.iter_mut().for_each(|key| key.method = Method::Unstated);
    keys.dedup();
    let changed = methods.len() > 1 && keys.len() == 1;
    let whole = built.iter().find(|series| series.values.len() == rows.len());
    json!({"series_count": built.len(), "flag": changed.then_some(FlagKind::MethodChanged.id()),
        "trend_across_methods": whole.map(|series| loamline::trend::trend(series).slope)})
}

fn row(id: i64, reading: &Inputs) -> ReadingRow {
    ReadingRow {
        id,
        site: "north".to_owned(),
        zone: "whole".to_owned(),
        client: None,
        sample_label: "North".to_owned(),
        lab_sample: None,
        report: None,
        lab: None,
        sampled_on: None,
        received_on: None,
        reported_on: None,
        season: Some(reading.number("season") as i16),
        depth_top_cm: None,
        depth_bottom_cm: None,
        analyte: Analyte::Phosphorus,
        method: Method::from_id(reading.text("method")).unwrap(),
        value: reading.number("value"),
        basis: None,
        qualifier: None,
        raw_value: String::new(),
        raw_unit: String::new(),
        status: Status::Accepted,
        doubt: None,
        source_file: String::new(),
        source_sha256: String::new(),
        place: None,
    }
}
