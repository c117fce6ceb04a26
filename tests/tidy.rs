//! The rules of the house that a machine can check: one direction, a purpose line, a pure zone.

use std::fs;
use std::path::{Path, PathBuf};

fn root() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).to_owned()
}

/// Modules of the crate in the order of `lib.rs`.
fn order() -> Vec<String> {
    let lib = fs::read_to_string(root().join("src/lib.rs")).unwrap();
    let name =
        |l: &str| Some(l.trim_start_matches("pub ").strip_prefix("mod ")?.strip_suffix(';')?.to_owned());
    lib.lines().filter_map(name).collect()
}

/// Every Rust file below `src`, with the module it belongs to.
fn files() -> Vec<(PathBuf, String)> {
    let (src, mut all, mut todo) = (root().join("src"), Vec::new(), vec![root().join("src")]);
    while let Some(dir) = todo.pop() {
        for path in fs::read_dir(dir).unwrap().map(|e| e.unwrap().path()) {
            if path.is_dir() {
                todo.push(path);
            } else if path.extension().is_some_and(|e| e == "rs") {
                let first = path.strip_prefix(&src).unwrap().components().next().unwrap();
                let module = first.as_os_str().to_str().unwrap().trim_end_matches(".rs").to_owned();
                all.push((path, module));
            }
        }
    }
    all
}

/// The code of a file without its tests and comments.
fn code(path: &Path) -> String {
    let text = fs::read_to_string(path).unwrap();
    let text = text.split("#[cfg(test)]").next().unwrap();
    text.lines().filter(|l| !l.trim_start().starts_with("//")).collect::<Vec<_>>().join("\n")
}

/// Modules a text names after `crate::`, braces included.
fn names(code: &str) -> Vec<String> {
    let mut found = Vec::new();
    for rest in code.split("crate::").skip(1) {
        let word = |s: &str| s.chars().take_while(|c| c.is_alphanumeric() || *c == '_').collect::<String>();
        match rest.strip_prefix('{') {
            None => found.push(word(rest)),
            Some(list) => found.extend(list.split('}').next().unwrap().split(',').map(|s| word(s.trim()))),
        }
    }
    found
}

#[test]
fn a_module_names_only_what_stands_above_it() {
    let order = order();
    assert!(order.len() > 15, "{order:?}");
    let place = |m: &str| order.iter().position(|o| o == m);
    let mut wrong = Vec::new();
    for (path, module) in files() {
        let Some(own) = place(&module) else { continue };
        for other in names(&code(&path)) {
            if place(&other).is_some_and(|p| p > own) {
                wrong.push(format!("{} names {other}", path.display()));
            }
        }
    }
    assert!(wrong.is_empty(), "{wrong:#?}");
}

#[test]
fn the_naming_test_sees_what_it_must() {
    assert_eq!(names("use crate::cli::x; use crate::{home, soil::Y};"), ["cli", "home", "soil"]);
}

#[test]
fn every_file_opens_with_its_purpose() {
    let without: Vec<_> =
        files().into_iter().filter(|(p, _)| !fs::read_to_string(p).unwrap().starts_with("//! ")).collect();
    assert!(without.is_empty(), "{without:#?}");
}

#[test]
fn the_pure_steps_touch_no_file_clock_network_or_database() {
    let order = order();
    let end = order.iter().position(|m| m == "history").unwrap();
    let pure = order.get(..end).unwrap();
    const FORBIDDEN: [&str; 9] = [
        "std::fs",
        "std::net",
        "std::process",
        "std::env",
        "SystemTime",
        "Instant::now",
        "Timestamp::now",
        "rusqlite",
        "tokio",
    ];
    let mut wrong = Vec::new();
    for (path, module) in files() {
        if pure.contains(&module) {
            let code = code(&path);
            wrong.extend(
                FORBIDDEN.iter().filter(|f| code.contains(**f)).map(|f| format!("{}: {f}", path.display())),
            );
        }
    }
    assert!(wrong.is_empty(), "{wrong:#?}");
}
