//! Reads report files straight through document, reading and check. With a truth beside the files
//! (`X.readings.csv`) it prints a score by file; with `--rows` JSON lines in the columns of `export readings`;
//! `--notes` lists what was wrong, held or missing; `--lines` shows how words fall into lines and phrases;
//! `--nitrogen` lists what is recommended, with what is in doubt about it;
//! `--no-pictures` leaves text recognition out.
//!
//! ```text
//! cargo run --bin reading-score -- fixtures/demo fixtures/layouts --notes
//! cargo run --bin reading-score -- --relaid 2000 --seed 7 --why
//! cargo run --bin reading-score -- --relaid 1 --from 812 --seed 7 --notes --save DIR
//! ```
//!
//! `--mutations 20` changes one number at a time in so many reports that close, and says how much of that is held.
//! `--relaid` lays known soils out anew in so many ways and scores them by arrangement and format.

mod compare;
mod mutation;
mod relaid;
mod rows;

use compare::{Score, compare};
use rows::read;
use serde_json::Value;
use std::io::Write;
use std::path::{Path, PathBuf};

fn main() -> std::process::ExitCode {
    let args: Vec<String> = std::env::args().skip(1).collect();
    let flag = |name: &str| args.iter().any(|a| a == name);
    if flag("--relaid") {
        return relaid_bench(&args, &mut std::io::stdout().lock()).unwrap_or(std::process::ExitCode::SUCCESS);
    }
    if flag("--mutations") {
        return mutation_bench(&args, &mut std::io::stdout().lock())
            .unwrap_or(std::process::ExitCode::SUCCESS);
    }
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
        if flag("--lines") {
            if rows::lines(&mut out, &bytes).is_err() {
                return std::process::ExitCode::SUCCESS;
            }
            continue;
        }
        if flag("--nitrogen") {
            let mut found = Vec::new();
            rows::nitrogen(&bytes, 0, &mut found);
            for (label, one) in found {
                let doubts: Vec<&str> = one.doubts.iter().map(|d| d.reason.as_str()).collect();
                let _ =
                    writeln!(out, "{name}: {label}: {} {:?} {doubts:?}", one.said(), one.lb_per_1000_ft2());
            }
            continue;
        }
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

/// The value after an option.
fn option<'a>(args: &'a [String], name: &str) -> Option<&'a str> {
    let at = args.iter().position(|a| a == name)?;
    args.get(at + 1).map(String::as_str)
}

fn mutation_bench(args: &[String], out: &mut impl Write) -> std::io::Result<std::process::ExitCode> {
    let number = |name: &str, other: u64| option(args, name).and_then(|n| n.parse().ok()).unwrap_or(other);
    let (counts, clean) = mutation::run(number("--seed", 1), number("--mutations", 20));
    writeln!(out, "one number changed: share held of those tried, by the witnesses the report has")?;
    let share = |(tried, caught): (usize, usize)| {
        format!("{:>5.1} % of {tried:>5}", 100.0 * caught as f64 / tried.max(1) as f64)
    };
    for analyte in loamline::soil::Analyte::ALL {
        let cell = |w| counts.get(&(w, *analyte)).map(|c| share(*c)).unwrap_or_default();
        let [few, panel, past] =
            [mutation::Witnesses::Few, mutation::Witnesses::Panel, mutation::Witnesses::Past].map(cell);
        if !panel.is_empty() {
            writeln!(
                out,
                "{:<16} few {few:>16}   panel {panel:>16}   panel and past {past:>16}",
                analyte.id()
            )?;
        }
    }
    for (witnesses, (accepted, all)) in clean {
        writeln!(out, "unchanged, {witnesses:?}: {accepted} of {all} accepted")?;
    }
    Ok(std::process::ExitCode::SUCCESS)
}

fn relaid_bench(args: &[String], out: &mut impl Write) -> std::io::Result<std::process::ExitCode> {
    let number = |name: &str, other: u64| option(args, name).and_then(|n| n.parse().ok()).unwrap_or(other);
    let (seed, from) = (number("--seed", 1), number("--from", 0));
    let flag = |name: &str| args.iter().any(|a| a == name);
    let count = number("--relaid", 200);
    if let Some(folder) = option(args, "--save") {
        for made in (from..from + count).map(|i| relaid::variant(seed, i)) {
            let path = Path::new(folder).join(&made.name);
            std::fs::write(&path, &made.bytes)?;
            std::fs::write(format!("{}.readings.csv", path.display()), &made.truth)?;
        }
    }
    let outcome = relaid::run(seed, from..from + count);
    for (form, score) in &outcome.by_form {
        print(out, form, score, false)?;
    }
    print(out, "all", &outcome.all, false)?;
    let share = 100 * outcome.all.right / outcome.all.truth.max(1);
    writeln!(out, "{count} variants of seed {seed}: {share} % accepted without a person")?;
    for (index, name, score) in &outcome.bad {
        print(out, &format!("{index} {name}"), score, false)?;
        let bad = |n: &&String| ["WRONG", "INVENTED", "rash"].iter().any(|w| n.starts_with(w));
        for note in score.notes.iter().filter(bad).take(3) {
            writeln!(out, "    {note}")?;
        }
    }
    if flag("--notes") {
        for (index, form, score) in &outcome.every {
            print(out, &format!("{index} {form}"), score, true)?;
        }
    }
    if flag("--why") {
        for (why, n) in relaid::reasons(&outcome).into_iter().take(40) {
            writeln!(out, "{n:>6}  {why}")?;
        }
    }
    Ok(std::process::ExitCode::from(u8::from(outcome.all.bad() > 0)))
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
