//! A file straight through document, reading and check to rows in the columns of `export readings`.

use loamline::document::{Content, Limits, open};
use loamline::soil::{Recommendation, Report, Sample};
use loamline::{check, reader, reading};
use serde_json::{Value, json};

/// Reads a file and what is inside it; one line for the outcome, one for each reading.
pub fn read(name: &str, bytes: &[u8], depth: usize, pictures: bool, out: &mut Vec<Value>) {
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
                check::check(report);
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

/// The nitrogen that a file and what is inside it recommend, each with the name of its sample; pictures are left out.
pub fn nitrogen(bytes: &[u8], depth: usize, out: &mut Vec<(String, Recommendation)>) {
    let limits = Limits::default();
    let Ok(document) = open(bytes, &limits) else { return };
    for member in document.members.iter().filter(|_| depth < limits.nesting) {
        nitrogen(&member.bytes, depth + 1, out);
    }
    let reports = reading::read(&document).unwrap_or_default();
    for sample in reports.into_iter().flat_map(|r| r.samples) {
        out.extend(sample.nitrogen.into_iter().map(|nitrogen| (sample.label.clone(), nitrogen)));
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

/// Shows each printed line as its phrases, each with its left and right edge.
pub fn lines(out: &mut impl std::io::Write, bytes: &[u8]) -> std::io::Result<()> {
    let Ok(document) = open(bytes, &Limits::default()) else { return Ok(()) };
    for page in document.pages.iter().map(reading::layout::layout) {
        writeln!(out, "page {} em {}", page.number, page.em)?;
        for line in &page.lines {
            write!(out, "{:>5.0}", line.area.y0)?;
            for p in &line.phrases {
                write!(out, " [{:.0} {} {:.0}]", p.area.x0, p.text(), p.area.x1)?;
            }
            writeln!(out)?;
        }
        for p in &page.turned {
            writeln!(
                out,
                "turned [{:.0} {} {:.0}] {:.0}-{:.0}",
                p.area.x0,
                p.text(),
                p.area.x1,
                p.area.y0,
                p.area.y1
            )?;
        }
    }
    Ok(())
}
