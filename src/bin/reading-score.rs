//! Reads report files straight through document, reading and check, and prints what came out: with a truth beside the
//! files (`X.readings.csv`) as a score by file, with `--rows` as JSON lines in the columns of `export readings`.

use loamline::document::{Limits, open};
use loamline::soil::{Report, Sample};
use loamline::{check, reader, reading};
use serde_json::json;
use std::io::Write;
use std::path::{Path, PathBuf};

fn main() -> std::process::ExitCode {
    let args: Vec<String> = std::env::args().skip(1).collect();
    let rows = args.iter().any(|a| a == "--rows");
    let mut files: Vec<PathBuf> = Vec::new();
    for path in args.iter().filter(|a| !a.starts_with("--")) {
        collect(Path::new(path), &mut files);
    }
    files.sort();
    let mut out = std::io::stdout().lock();
    for file in &files {
        let name = file.file_name().map(|n| n.to_string_lossy().into_owned()).unwrap_or_default();
        let Ok(bytes) = std::fs::read(file) else { continue };
        let mut lines = Vec::new();
        read(&name, &bytes, 0, &mut lines);
        for line in lines {
            let shown = if rows {
                line.get("status").is_some() || line.get("outcome").is_some()
            } else {
                line.get("outcome").is_some()
            };
            if shown && writeln!(out, "{line}").is_err() {
                return std::process::ExitCode::SUCCESS;
            }
        }
    }
    std::process::ExitCode::SUCCESS
}

fn collect(path: &Path, out: &mut Vec<PathBuf>) {
    if path.is_dir() {
        for entry in std::fs::read_dir(path).into_iter().flatten().flatten() {
            collect(&entry.path(), out);
        }
    } else {
        out.push(path.to_owned());
    }
}

fn read(name: &str, bytes: &[u8], depth: usize, out: &mut Vec<serde_json::Value>) {
    let limits = Limits::default();
    let mut document = match open(bytes, &limits) {
        Ok(d) => d,
        Err(refusal) => {
            out.push(json!({"source_file": name, "outcome": "refused", "why": refusal.to_string()}));
            return;
        }
    };
    let _ = reader::recognise::recognise(&mut document, &limits);
    for member in &document.members {
        if depth < limits.nesting {
            read(&format!("{name}!{}", member.name), &member.bytes, depth + 1, out);
        }
    }
    match reading::read(&document) {
        Ok(mut reports) => {
            for report in &mut reports {
                check::check(report, &[]);
            }
            let n: usize = reports.iter().flat_map(|r| &r.samples).map(|s| s.readings.len()).sum();
            let held: usize = reports
                .iter()
                .flat_map(|r| &r.samples)
                .map(|s| s.readings.iter().filter(|r| !r.doubts.is_empty() || !s.doubts.is_empty()).count())
                .sum();
            out.push(json!({"source_file": name, "outcome": if held > 0 { "held" } else { "filed" }, "readings": n, "held_readings": held}));
            for report in &reports {
                for sample in &report.samples {
                    rows(name, report, sample, out);
                }
            }
        }
        Err(refusal) if document.members.is_empty() => {
            out.push(json!({"source_file": name, "outcome": "refused", "why": refusal.to_string()}));
        }
        Err(_) => {}
    }
}

fn rows(name: &str, report: &Report, sample: &Sample, out: &mut Vec<serde_json::Value>) {
    for r in &sample.readings {
        let doubts: Vec<String> =
            sample.doubts.iter().chain(&r.doubts).map(|d| format!("{}: {}", d.reason, d.sentence)).collect();
        out.push(json!({
            "source_file": name, "client": report.client, "sample_label": sample.label, "lab_sample": sample.lab_number,
            "report": report.number, "lab": report.lab,
            "sampled_on": sample.sampled_on.map(|d| d.to_string()),
            "received_on": report.received_on.map(|d| d.to_string()),
            "reported_on": report.reported_on.map(|d| d.to_string()),
            "depth_top_cm": sample.depth.map(|d| d.top_cm), "depth_bottom_cm": sample.depth.map(|d| d.bottom_cm),
            "analyte": r.analyte.id(), "method": r.method.id(), "value": r.quantity.value, "unit": r.quantity.unit.id(),
            "basis": r.quantity.basis.map(|b| b.id()), "qualifier": r.quantity.qualifier.map(|q| q.id()),
            "raw_value": r.printed.value, "raw_unit": r.printed.unit,
            "status": if doubts.is_empty() { "accepted" } else { "held" }, "doubt": doubts.join(" | "),
            "witnesses": r.witnesses, "source_page": r.place.page(),
        }));
    }
}
