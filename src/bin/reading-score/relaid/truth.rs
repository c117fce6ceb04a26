//! The truth of a variant, in the columns that a fixture's truth has.

use super::column::Verdict;
use loamline::soil::Analyte;

/// The identity of a sample as printed.
#[derive(Debug, Clone, Default)]
pub struct Identity {
    /// The client's name for it.
    pub label: String,
    /// The laboratory's number.
    pub lab: String,
    /// Days, ISO; empty where not printed.
    pub sampled: String,
    /// As above.
    pub received: String,
    /// As above.
    pub reported: String,
    /// Lower edge of the layer in centimetres.
    pub depth_cm: Option<f64>,
}

/// One reading of the truth.
#[derive(Debug, Clone)]
pub struct Row {
    /// What.
    pub analyte: Analyte,
    /// Method id.
    pub method: &'static str,
    /// Canonical value.
    pub value: f64,
    /// Printed number.
    pub raw: String,
    /// `<`, `>` or nothing.
    pub qualifier: &'static str,
    /// Per volume of soil.
    pub volume: bool,
    /// What a careful reader does.
    pub verdict: Verdict,
}

/// The truth as CSV.
pub fn csv(samples: &[(Identity, Vec<Row>)]) -> String {
    let mut writer = csv::Writer::from_writer(Vec::new());
    let head = [
        "sample_label",
        "lab_sample",
        "sampled_on",
        "received_on",
        "reported_on",
        "depth_bottom_cm",
        "analyte",
        "method",
        "value",
        "unit",
        "basis",
        "qualifier",
        "raw_value",
        "status",
    ];
    let _ = writer.write_record(head);
    for (id, rows) in samples {
        for row in rows {
            let _ = writer.write_record([
                id.label.as_str(),
                &id.lab,
                &id.sampled,
                &id.received,
                &id.reported,
                &id.depth_cm.map(|d| format!("{d:.2}")).unwrap_or_default(),
                row.analyte.id(),
                row.method,
                &format!("{}", row.value),
                row.analyte.unit().id(),
                if row.volume { "volume" } else { "" },
                row.qualifier,
                &row.raw,
                row.verdict.word(),
            ]);
        }
    }
    String::from_utf8(writer.into_inner().unwrap_or_default()).unwrap_or_default()
}
