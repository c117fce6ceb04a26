//! Every row of `check_values.csv`: published and computed figures that the arithmetic must reproduce.
//!
//! `tolerance` is absolute and applies to every number in `expected`; keys of `inputs` that start with `_` are
//! remarks. A row whose topic nobody answers fails the test.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, clippy::indexing_slicing)]

mod exchange;
mod plan;
mod removal;
mod scipy;
mod statistics;
mod units;

use loamline::trend::mann_kendall::{pairs, upper_tail};
use serde_json::Value;

/// Rows that need data we do not carry, by id, with the reason.
const SKIPPED_FOR_DATA: &[(&str, &str)] = &[
    ("C20", "needs all 48 rows of carData::Soils, a data set under the licence of its R package"),
    ("X01", "needs LimeSoDa BB.250 (CC BY-SA 4.0), not carried"),
    ("X02", "needs LimeSoDa PC.45 (CC BY-SA 4.0), not carried"),
    ("X03", "needs LimeSoDa H.138 (CC BY-SA 4.0), not carried"),
    ("X04", "needs LimeSoDa NSW.52 (CC BY-SA 4.0), not carried"),
    ("X05", "needs LimeSoDa W.50 (CC BY-SA 4.0), not carried"),
    ("X06", "needs LimeSoDa SL.125 (CC BY-SA 4.0), not carried"),
    ("X07", "needs LimeSoDa SSP.58 (CC BY-SA 4.0), not carried"),
    ("X08", "needs LimeSoDa MG.44 (CC BY-SA 4.0), not carried"),
    ("X09", "needs LimeSoDa NRW.42 (CC BY-SA 4.0), not carried"),
];

/// Topics held to their meaning by a test of their own, with the reason.
const CHECKED_APART: &[(&str, &str)] = &[(
    "stat/mk_smax_table_alpha_0.2_one_sided",
    "prints -5 and -6 for n = 5 and 6, where S is always even and always odd: the decisions are compared, not the numbers",
)];

#[derive(serde::Deserialize)]
struct Row {
    id: String,
    topic: String,
    #[serde(rename = "inputs(json)")]
    inputs: String,
    #[serde(rename = "expected(json)")]
    expected: String,
    tolerance: f64,
}

/// The inputs of a row.
struct Inputs(Value);

impl Inputs {
    fn number(&self, key: &str) -> f64 {
        self.0[key].as_f64().unwrap_or_else(|| panic!("no number {key} in {}", self.0))
    }

    fn numbers(&self, key: &str) -> Vec<f64> {
        let list = self.0[key].as_array().unwrap_or_else(|| panic!("no list {key} in {}", self.0));
        list.iter().map(|value| value.as_f64().unwrap()).collect()
    }

    fn text(&self, key: &str) -> &str {
        self.0[key].as_str().unwrap_or_else(|| panic!("no text {key} in {}", self.0))
    }

    fn part(&self, key: &str) -> Inputs {
        Inputs(self.0[key].clone())
    }

    fn list(&self, key: &str) -> Vec<Inputs> {
        self.0[key].as_array().unwrap().iter().cloned().map(Inputs).collect()
    }
}

/// What the program answers to a row; none for an unknown topic.
fn answer(topic: &str, inputs: &Inputs) -> Option<Value> {
    units::answer(topic, inputs)
        .or_else(|| exchange::answer(topic, inputs))
        .or_else(|| statistics::answer(topic, inputs))
        .or_else(|| removal::answer(topic, inputs))
        .or_else(|| plan::answer(topic, inputs))
}

/// Says where an answer differs from what is expected; every expected key must be answered.
fn differences(path: &str, expected: &Value, answered: &Value, tolerance: f64) -> Vec<String> {
    match (expected, answered) {
        (Value::Object(expected), Value::Object(answered)) => expected
            .iter()
            .flat_map(|(key, value)| match answered.get(key) {
                Some(answer) => differences(&format!("{path}.{key}"), value, answer, tolerance),
                None => vec![format!("{path}.{key} is not answered")],
            })
            .collect(),
        (Value::Array(expected), Value::Array(answered)) if expected.len() == answered.len() => expected
            .iter()
            .zip(answered)
            .enumerate()
            .flat_map(|(i, (value, answer))| differences(&format!("{path}[{i}]"), value, answer, tolerance))
            .collect(),
        (Value::Number(expected), Value::Number(answered)) => {
            let (e, a) = (expected.as_f64().unwrap(), answered.as_f64().unwrap());
            // The last binary digit of a tolerance is not a difference.
            if (e - a).abs() <= tolerance * (1.0 + 1e-9) + 1e-12 {
                vec![]
            } else {
                vec![format!("{path}: expected {e}, got {a}, tolerance {tolerance}")]
            }
        }
        (expected, answered) if expected == answered => vec![],
        (expected, answered) => vec![format!("{path}: expected {expected}, got {answered}")],
    }
}

fn table() -> Vec<Row> {
    let mut table = csv::Reader::from_reader(include_str!("../check_values.csv").as_bytes());
    table.deserialize().map(|row| row.expect("a row of the table")).collect()
}

#[test]
fn every_published_and_computed_figure_is_reproduced() {
    let (mut failures, mut checked, mut seen_skips) = (Vec::new(), 0, 0);
    for row in table() {
        if CHECKED_APART.iter().any(|(topic, _)| *topic == row.topic) {
            continue;
        }
        if SKIPPED_FOR_DATA.iter().any(|(id, _)| *id == row.id) {
            seen_skips += 1;
            continue;
        }
        let inputs = Inputs(serde_json::from_str(&row.inputs).expect("inputs"));
        let expected: Value = serde_json::from_str(&row.expected).expect("expected");
        match answer(&row.topic, &inputs) {
            None => failures.push(format!("{} {}: nobody answers this topic", row.id, row.topic)),
            Some(answered) => {
                checked += 1;
                let found = differences("", &expected, &answered, row.tolerance);
                failures.extend(found.into_iter().map(|line| format!("{} {}: {line}", row.id, row.topic)));
            }
        }
    }
    assert!(failures.is_empty(), "{} of {checked} rows:\n{}", failures.len(), failures.join("\n"));
    assert!(checked > 160, "only {checked} rows were checked");
    assert_eq!(seen_skips, SKIPPED_FOR_DATA.len(), "a skipped row is no longer in the table");
}

#[test]
fn the_published_table_of_limits_decides_as_the_exact_test_does() {
    // Wisconsin Administrative Code ch. NR 746, table A: one-sided 20 %.
    let rows = table();
    let row = rows.iter().find(|row| row.topic == CHECKED_APART[0].0).expect("the row");
    let seasons = Inputs(serde_json::from_str(&row.inputs).unwrap()).numbers("n");
    let limits = Inputs(serde_json::from_str(&row.expected).unwrap()).numbers("s_le");
    assert_eq!(seasons.len(), limits.len());
    for (n, limit) in seasons.into_iter().zip(limits) {
        let n = n as usize;
        let most = pairs(n) as i64;
        for s in (-most..=most).step_by(2) {
            // P(S <= s) = P(S >= -s).
            let rare = upper_tail(n, -s).unwrap() <= 0.2;
            assert_eq!(s as f64 <= limit, rare, "{n} seasons, S = {s}");
        }
    }
}

#[test]
fn the_comparison_notices_a_wrong_a_missing_and_a_null_answer() {
    let compare = |expected: &str, answered: &str| {
        differences(
            "",
            &serde_json::from_str(expected).unwrap(),
            &serde_json::from_str(answered).unwrap(),
            0.01,
        )
    };
    assert_eq!(
        compare(r#"{"a":1.0,"b":[null,2]}"#, r#"{"a":1.005,"b":[null,2],"c":3}"#),
        Vec::<String>::new()
    );
    for (expected, answered) in [
        (r#"{"a":1}"#, r#"{"a":1.02}"#),
        (r#"{"a":1}"#, r#"{"b":1}"#),
        (r#"{"a":null}"#, r#"{"a":1}"#),
        (r#"{"a":1}"#, r#"{"a":null}"#),
        (r#"{"a":[1,2]}"#, r#"{"a":[1]}"#),
        (r#"{"a":true}"#, r#"{"a":false}"#),
    ] {
        assert_eq!(compare(expected, answered).len(), 1, "{expected} {answered}");
    }
}
