//! Readings against the truth beside a file (`X.readings.csv`): right, wrong, held, missing, invented.

use serde_json::Value;
use std::collections::HashMap;

/// Counts of one file or of all.
#[derive(Debug, Default, Clone, PartialEq, Eq)]
pub struct Score {
    /// Readings of the truth that need no person.
    pub truth: usize,
    /// Accepted and right.
    pub right: usize,
    /// Accepted though wrong in value, unit, method, qualifier or sample.
    pub wrong: usize,
    /// Held though the truth says a careful reader may accept it.
    pub held: usize,
    /// Not there.
    pub missing: usize,
    /// Accepted, and no reading of the truth answers to it.
    pub invented: usize,
    /// Accepted though the truth says that a person must look.
    pub rash: usize,
    /// One line for each wrong, invented, rash or missing reading.
    pub notes: Vec<String>,
    /// For each held or missing reading, the reasons.
    pub whys: Vec<String>,
}

impl Score {
    /// Adds another score.
    pub fn add(&mut self, other: &Score) {
        self.truth += other.truth;
        self.right += other.right;
        self.wrong += other.wrong;
        self.held += other.held;
        self.missing += other.missing;
        self.invented += other.invented;
        self.rash += other.rash;
    }

    /// Accepted that should not be.
    pub fn bad(&self) -> usize {
        self.wrong + self.invented + self.rash
    }
}

fn fold(text: &str) -> String {
    text.chars().filter(|c| c.is_alphanumeric()).flat_map(char::to_lowercase).collect()
}

fn text<'a>(row: &'a Value, key: &str) -> &'a str {
    row.get(key).and_then(Value::as_str).unwrap_or_default()
}

/// Compares the rows read from a file with the truth (CSV text).
pub fn compare(rows: &[Value], truth: &str) -> Score {
    let mut score = Score::default();
    let mut reader = csv::Reader::from_reader(truth.as_bytes());
    let headers = reader.headers().cloned().unwrap_or_default();
    let truths: Vec<HashMap<String, String>> = reader
        .records()
        .flatten()
        .map(|r| headers.iter().zip(r.iter()).map(|(h, v)| (h.to_owned(), v.to_owned())).collect())
        .collect();
    let mut used = vec![false; rows.len()];
    for t in &truths {
        let get = |key: &str| t.get(key).map(String::as_str).unwrap_or_default();
        let must_hold = get("status") == "held";
        // Where a careful reader may do either, only a wrong number counts.
        let free = get("status") == "free";
        score.truth += usize::from(!must_hold && !free);
        let name =
            format!("{} {} {} {}", get("sample_label"), get("lab_sample"), get("analyte"), get("raw_value"));
        let best = rows
            .iter()
            .enumerate()
            .filter(|(i, r)| used.get(*i) == Some(&false) && text(r, "analyte") == get("analyte"))
            .filter(|(_, r)| same_sample(r, &get))
            .min_by_key(|(_, r)| wrongs(r, &get).len());
        let Some((i, row)) = best else {
            if !must_hold && !free {
                score.missing += 1;
                score.whys.push("missing".to_owned());
                score.notes.push(format!("missing   {name}"));
            }
            continue;
        };
        if let Some(u) = used.get_mut(i) {
            *u = true;
        }
        let wrongs = wrongs(row, &get);
        match (text(row, "status") == "accepted", must_hold, wrongs.is_empty()) {
            (true, true, _) => {
                score.rash += 1;
                score.notes.push(format!("rash      {name}"));
            }
            (true, false, true) => score.right += usize::from(!free),
            (true, false, false) => {
                score.wrong += 1;
                score.notes.push(format!(
                    "WRONG     {name}: {} (read {} {}, truth {} {})",
                    wrongs.join(", "),
                    row.get("value").unwrap_or(&Value::Null),
                    text(row, "method"),
                    get("value"),
                    get("method")
                ));
            }
            (false, false, _) if !free => {
                score.held += 1;
                let reasons = text(row, "doubt").split(" | ").filter_map(|d| d.split(':').next());
                score.whys.push(format!("held {}", reasons.collect::<Vec<_>>().join(" ")));
                score.notes.push(format!("held      {name}: {}", text(row, "doubt")));
            }
            (false, ..) => {}
        }
    }
    for (row, used) in rows.iter().zip(&used) {
        if !used && text(row, "status") == "accepted" {
            score.invented += 1;
            score.notes.push(format!(
                "INVENTED  {} {} {} {}",
                text(row, "sample_label"),
                text(row, "lab_sample"),
                text(row, "analyte"),
                text(row, "raw_value")
            ));
        }
    }
    score
}

/// The same name, and the same laboratory number or layer where the truth gives them.
fn same_sample<'a>(row: &Value, get: &dyn Fn(&str) -> &'a str) -> bool {
    let same_name = fold(text(row, "sample_label")) == fold(get("sample_label"));
    let lab = get("lab_sample");
    let same_lab =
        lab.is_empty() || text(row, "lab_sample").is_empty() || fold(text(row, "lab_sample")) == fold(lab);
    let depth = get("depth_bottom_cm").parse::<f64>().ok();
    let own = row.get("depth_bottom_cm").and_then(Value::as_f64);
    let same_depth = match (depth, own) {
        (Some(a), Some(b)) => (a - b).abs() < 1.1,
        _ => true,
    };
    same_name && same_lab && same_depth
}

fn wrongs<'a>(row: &Value, get: &dyn Fn(&str) -> &'a str) -> Vec<&'static str> {
    let mut out = Vec::new();
    let value = row.get("value").and_then(Value::as_f64).unwrap_or(f64::NAN);
    let wanted: f64 = get("value").parse().unwrap_or(f64::NAN);
    // Not a number compares false, and so is wrong.
    let right = (value - wanted).abs() <= 0.005 * wanted.abs() + 1e-9;
    if !right {
        out.push("value");
    }
    if text(row, "unit") != get("unit") {
        out.push("unit");
    }
    if text(row, "method") != get("method") {
        out.push("method");
    }
    if text(row, "qualifier") != get("qualifier") {
        out.push("qualifier");
    }
    if (text(row, "basis") == "volume") != (get("basis") == "volume") {
        out.push("basis");
    }
    for key in ["sampled_on", "received_on", "reported_on"] {
        // A wrong date is wrong; a missing one is not known.
        if !text(row, key).is_empty() && text(row, key) != get(key) {
            out.push("date");
        }
    }
    out
}
