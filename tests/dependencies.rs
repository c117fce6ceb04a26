//! What we build on: its licences, where it comes from, and nothing known to be harmful. Needs no network.

use serde_json::Value;
use std::collections::BTreeSet;
use std::fs;
use std::path::Path;
use std::process::Command;

fn ours(name: &str) -> String {
    fs::read_to_string(Path::new(env!("CARGO_MANIFEST_DIR")).join(name)).unwrap()
}

/// The packages of every platform; where those of others were never fetched, those of this one.
fn packages() -> Vec<Value> {
    let metadata = |filter: &[String]| {
        let out = Command::new(env!("CARGO"))
            .args(["metadata", "--offline", "--locked", "--format-version", "1", "--manifest-path"])
            .arg(Path::new(env!("CARGO_MANIFEST_DIR")).join("Cargo.toml"))
            .args(filter)
            .output()
            .unwrap();
        out.status
            .success()
            .then_some(out.stdout)
            .ok_or_else(|| String::from_utf8_lossy(&out.stderr).into_owned())
    };
    let here = || metadata(&["--filter-platform".to_owned(), host()]);
    let out = metadata(&[]).or_else(|_| here()).unwrap();
    let all: Value = serde_json::from_slice(&out).unwrap();
    all["packages"].as_array().unwrap().clone()
}

/// The name of the platform that builds this.
fn host() -> String {
    let out = Command::new(env!("CARGO")).arg("-vV").output().unwrap();
    let said = String::from_utf8(out.stdout).unwrap();
    said.lines().find_map(|line| line.strip_prefix("host: ")).unwrap().to_owned()
}

fn allowed() -> BTreeSet<String> {
    ours(".ci/licences.txt").lines().filter(|l| !l.starts_with('#')).map(str::to_owned).collect()
}

/// An expression of SPDX: `OR` under `AND` under brackets, `/` an old way to write `OR`. Gives whether it is allowed.
struct Expression<'a> {
    words: Vec<String>,
    at: usize,
    allowed: &'a BTreeSet<String>,
}

impl Expression<'_> {
    fn fits(text: &str, allowed: &BTreeSet<String>) -> bool {
        let text = text.replace('/', " OR ").replace('(', " ( ").replace(')', " ) ");
        let words = text.split_whitespace().map(str::to_owned).collect();
        let mut expression = Expression { words, at: 0, allowed };
        let fits = expression.either();
        assert_eq!(expression.at, expression.words.len(), "{text} is not understood");
        fits
    }

    fn takes(&mut self, word: &str) -> bool {
        let there = self.words.get(self.at).is_some_and(|w| w == word);
        self.at += usize::from(there);
        there
    }

    fn either(&mut self) -> bool {
        let mut fits = self.both();
        while self.takes("OR") {
            fits |= self.both();
        }
        fits
    }

    fn both(&mut self) -> bool {
        let mut fits = self.one();
        while self.takes("AND") {
            fits &= self.one();
        }
        fits
    }

    fn one(&mut self) -> bool {
        if self.takes("(") {
            let fits = self.either();
            assert!(self.takes(")"), "{:?} has an open bracket", self.words);
            return fits;
        }
        let mut name = self.words[self.at].clone();
        self.at += 1;
        if self.takes("WITH") {
            name = format!("{name} WITH {}", self.words[self.at]);
            self.at += 1;
        }
        self.allowed.contains(&name)
    }
}

#[test]
fn expressions_of_licences_are_understood() {
    let allowed = ["MIT", "ISC", "Apache-2.0 WITH LLVM-exception"].map(str::to_owned).into();
    for (text, fits) in [
        ("MIT", true),
        ("GPL-3.0-only", false),
        ("GPL-3.0-only OR MIT", true),
        ("GPL-3.0-only/MIT", true),
        ("GPL-3.0-only AND MIT", false),
        ("MIT OR GPL-3.0-only AND ISC", true),
        ("(MIT OR GPL-3.0-only) AND ISC", true),
        ("(MIT OR ISC) AND GPL-3.0-only", false),
        ("Apache-2.0", false),
        ("Apache-2.0 WITH LLVM-exception", true),
    ] {
        assert_eq!(Expression::fits(text, &allowed), fits, "{text}");
    }
}

#[test]
fn every_dependency_has_a_licence_that_we_allow() {
    let allowed = allowed();
    let wrong: Vec<_> = packages()
        .iter()
        .map(|p| (p["name"].to_string(), p["license"].as_str().unwrap_or("none").to_owned()))
        .filter(|(_, licence)| !Expression::fits(licence, &allowed))
        .collect();
    assert!(wrong.is_empty(), "not in .ci/licences.txt: {wrong:#?}");
}

#[test]
fn every_dependency_comes_from_the_public_registry_and_is_known_by_its_sum() {
    let foreign: Vec<_> = packages()
        .iter()
        .filter(|p| p["name"] != "loamline")
        .filter(|p| !p["source"].as_str().is_some_and(|s| s.starts_with("registry+")))
        .map(|p| p["name"].to_string())
        .collect();
    assert!(foreign.is_empty(), "{foreign:?}");
    let lock = ours("Cargo.lock");
    let count = |what: &str| lock.lines().filter(|l| l.starts_with(what)).count();
    assert_eq!(count("source = "), count("checksum = "));
    assert!(count("checksum = ") > 100);
}

/// The parts of a version as numbers; what stands after them (`-rc.1`) makes it older, which none of ours is.
fn version(text: &str) -> Vec<u64> {
    text.split(['.', '-', '+']).map_while(|part| part.parse().ok()).collect()
}

fn harmful(name: &str, at: &str, advisories: &[csv::StringRecord]) -> Vec<String> {
    let hits = |r: &&csv::StringRecord| r[0] == *name && (r[1].is_empty() || version(at) < version(&r[1]));
    advisories.iter().filter(hits).map(|r| format!("{name} {at}: {} {}", &r[2], &r[3])).collect()
}

#[test]
fn no_dependency_is_one_that_an_advisory_names() {
    let text = ours(".ci/advisories.csv");
    let advisories: Vec<_> =
        csv::Reader::from_reader(text.as_bytes()).records().map(Result::unwrap).collect();
    assert!(!harmful("regex", "1.5.4", &advisories).is_empty(), "the check sees what it must");
    assert!(!harmful("rsa", "0.9.6", &advisories).is_empty(), "one without a remedy too");
    assert!(harmful("regex", "1.10.0", &advisories).is_empty());
    let found: Vec<_> = packages()
        .iter()
        .flat_map(|p| harmful(p["name"].as_str().unwrap(), p["version"].as_str().unwrap(), &advisories))
        .collect();
    assert!(found.is_empty(), "{found:#?}");
}
