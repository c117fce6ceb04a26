//! Reads report files straight through document, reading and check. With a truth beside the files
//! (`X.readings.csv`) it prints a score by file; with `--rows` JSON lines in the columns of `export readings`;
//! `--notes` lists what was wrong, held or missing; `--no-pictures` leaves text recognition out.
//!
//! ```text
//! cargo run --bin reading-score -- fixtures/demo fixtures/layouts --notes
//! ```

mod compare;

use compare::{Score, compare};
use loamline::document::{Content, Limits, open};
use loamline::soil::{Report, Sample};
use loamline::{check, reader, reading};
use serde_json::{Value, json};
use std::io::Write;
use std::path::{Path, PathBuf};

fn main() -> std::process::ExitCode {
    let args: Vec<String> = std::env::args().skip(1).collect();
    let flag = |name: &str| args.iter().any(|a| a == name);
    let mut files: Vec<PathBuf> = Vec::new();
    for path in args.iter().filter(|a| !a.starts_with("--")) {
        collect(Path::new(path), &mut files);
    }
    files.sort();
    let mut out = std::io::stdout().lock();
    let mut total = Score::default();
    for file in &files {
        let name = file.file_name().map(|n| n.to_string_lossy().into_owned()).unwrap_or_default();
        let Ok(bytes) = std::fs::read(file) else { continue };
        let mut lines = Vec::new();
        let truth = std::fs::read_to_string(format!("{}.readings.csv", file.display()));
        if !flag("--rows") && truth.is_err() {
            continue;
        }
        read(&name, &bytes, 0, !flag("--no-pictures"), &mut lines);
        let done = if flag("--rows") {
            lines.iter().try_for_each(|line| writeln!(out, "{line}"))
        } else {
            let rows: Vec<Value> = lines.into_iter().filter(|l| l.get("status").is_some()).collect();
            let score = compare(&rows, &truth.unwrap_or_default());
            total.add(&score);
            print(&mut out, &name, &score, flag("--notes"))
        };
        if done.is_err() {
            return std::process::ExitCode::SUCCESS;
        }
    }
    if !flag("--rows") && print(&mut out, "all", &total, false).is_err() {
        return std::process::ExitCode::SUCCESS;
    }
    std::process::ExitCode::from(u8::from(total.bad() > 0))
}

fn print(out: &mut impl Write, name: &str, s: &Score, notes: bool) -> std::io::Result<()> {
    writeln!(
        out,
        "{name:<44} truth {:>5}  right {:>5}  WRONG {:>3}  invented {:>3}  rash {:>3}  held {:>4}  missing {:>4}",
        s.truth, s.right, s.wrong, s.invented, s.rash, s.held, s.missing
    )?;
    if notes {
        for note in &s.notes {
            writeln!(out, "    {note}")?;
        }
    }
    Ok(())
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

fn read(name: &str, bytes: &[u8], depth: usize, pictures: bool, out: &mut Vec<Value>) {
    let limits = Limits::default();
    let mut document = match open(bytes, &limits) {
        Ok(d) => d,
        Err(refusal) => {
            out.push(json!({"source_file": name, "outcome": "refused", "why": refusal.to_string()}));
            return;
        }
    };
    if pictures && document.pages.iter().any(|p| matches!(p.content, Content::Picture(_))) {
        let _ = reader::recognise::recognise(&mut document, &limits);
    }
    for member in &document.members {
        if depth < limits.nesting {
            read(&format!("{name}!{}", member.name), &member.bytes, depth + 1, pictures, out);
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

fn rows(name: &str, report: &Report, sample: &Sample, out: &mut Vec<Value>) {
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
