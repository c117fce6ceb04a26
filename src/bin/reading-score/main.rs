//! Reads report files straight through document, reading and check. With a truth beside the files
//! (`X.readings.csv`) it prints a score by file; with `--rows` JSON lines in the columns of `export readings`;
//! `--notes` lists what was wrong, held or missing; `--no-pictures` leaves text recognition out.
//!
//! ```text
//! cargo run --bin reading-score -- fixtures/demo fixtures/layouts --notes
//! ```

mod compare;
mod rows;

use compare::{Score, compare};
use rows::read;
use serde_json::Value;
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
