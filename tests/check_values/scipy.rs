//! The computed rows once more by SciPy, where Python with SciPy is there; elsewhere the stored figures stand, which were
//! computed with Python 3.11, SciPy 1.17.1 and NumPy 2.4.6.

use super::{Inputs, answer, differences, table};
use loamline::trend::noise::critical_difference;
use serde_json::Value;
use std::process::Command;

/// The interpreter to ask: `LOAMLINE_PYTHON`, else `python3`.
fn recomputed() -> Option<Value> {
    let python = std::env::var("LOAMLINE_PYTHON").unwrap_or_else(|_| "python3".to_owned());
    let has_scipy =
        Command::new(&python).args(["-c", "import scipy"]).output().is_ok_and(|o| o.status.success());
    if !has_scipy {
        return None;
    }
    let here = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("tests");
    let ran = Command::new(&python)
        .arg(here.join("check_values/recompute.py"))
        .arg(here.join("check_values.csv"))
        .output()
        .unwrap();
    assert!(ran.status.success(), "{}", String::from_utf8_lossy(&ran.stderr));
    Some(serde_json::from_slice(&ran.stdout).unwrap())
}

#[test]
fn scipy_computes_what_the_table_holds_and_the_program_answers() {
    let Some(found) = recomputed() else {
        assert!(std::env::var("LOAMLINE_PYTHON").is_err(), "LOAMLINE_PYTHON names no Python with SciPy");
        return;
    };
    let (mut failures, mut figures) = (Vec::new(), 0);
    for row in table() {
        let Some(computed) = found["rows"].get(&row.id).and_then(Value::as_object) else { continue };
        let expected: Value = serde_json::from_str(&row.expected).unwrap();
        let ours = answer(&row.topic, &Inputs(serde_json::from_str(&row.inputs).unwrap())).unwrap();
        for (key, figure) in computed {
            if key == "z" {
                let z = figure.as_f64().unwrap();
                assert!((critical_difference(1.0, 0.0) - z).abs() < 1e-9, "{z}");
                continue;
            }
            for (whose, held) in [("table", expected.get(key)), ("program", ours.get(key))] {
                let (Some(held), true) = (held, expected.get(key).is_some()) else { continue };
                figures += 1;
                let path = format!("{} {} {key}", row.id, row.topic);
                failures.extend(
                    differences(&path, figure, held, row.tolerance).iter().map(|d| format!("{whose}: {d}")),
                );
            }
        }
    }
    assert!(failures.is_empty(), "with {}:\n{}", found["versions"], failures.join("\n"));
    assert!(figures > 250, "only {figures} figures were compared");
}
