//! Any bytes, in bounds: every target of `fuzz/` gets its seeds, changed at random but by a fixed seed.
//!
//! `LOAMLINE_FUZZ_RUNS` is how often the cheapest are called (the dearer ones less), `LOAMLINE_FUZZ_SECONDS` ends each
//! earlier, `LOAMLINE_FUZZ_SEED` tries others. What makes a target panic is written below `target/tmp/fuzz/`.

#[path = "../fuzz/src/lib.rs"]
mod targets;

use std::fs;
use std::path::{Path, PathBuf};
use std::str::FromStr;
use std::time::{Duration, Instant};
use targets::{TARGETS, Target};

/// How often the cheapest target is called in `cargo test`.
const RUNS: u64 = 1_000;

/// Nobody waits longer for one small document, in seconds of the processor.
const MOST_SECONDS: u64 = 20;

fn asked<T: FromStr>(name: &str) -> Option<T> {
    std::env::var(name).ok()?.parse().ok()
}

fn root() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).to_owned()
}

/// SplitMix64: G. L. Steele, D. Lea, C. H. Flood, "Fast splittable pseudorandom number generators", 2014; from memory.
struct Chance(u64);

impl Chance {
    fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let z = (self.0 ^ (self.0 >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        let z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        z ^ (z >> 31)
    }

    fn below(&mut self, end: usize) -> usize {
        if end == 0 { 0 } else { usize::try_from(self.next() % end as u64).unwrap() }
    }

    fn range(&mut self, length: usize) -> std::ops::Range<usize> {
        let from = self.below(length + 1);
        let most = (length - from).min(1 << self.below(10));
        from..from + self.below(most + 1)
    }
}

/// Words of `fuzz/words.dict`, in the form of libFuzzer: `"..."` a line, with `\xNN`, `\\` and `\"`.
fn dictionary() -> Vec<Vec<u8>> {
    let text = fs::read_to_string(root().join("fuzz/words.dict")).unwrap();
    let quoted = |line: &str| line.strip_prefix('"')?.strip_suffix('"').map(unescaped);
    text.lines().filter_map(quoted).collect()
}

fn unescaped(text: &str) -> Vec<u8> {
    let (mut out, mut rest) = (Vec::new(), text.as_bytes());
    while let Some((first, after)) = rest.split_first() {
        match (first, after) {
            (b'\\', [b'x', a, b, after @ ..]) => {
                let digit = |c: &u8| char::from(*c).to_digit(16).unwrap() as u8;
                out.push(digit(a) * 16 + digit(b));
                rest = after;
            }
            (b'\\', [c, after @ ..]) => {
                out.push(*c);
                rest = after;
            }
            _ => {
                out.push(*first);
                rest = after;
            }
        }
    }
    out
}

/// The seeds of a target: its own, and the fixtures of its kind.
fn seeds(name: &str) -> Vec<Vec<u8>> {
    let kinds: &[&str] = match name {
        "delimited" => &["csv", "tsv"],
        "monospaced" => &["txt", "csv"],
        "html" => &["html"],
        "mail" => &["eml"],
        "workbook" => &["xlsx", "ods"],
        "pdf" => &["pdf"],
        "document" => &["csv", "tsv", "txt", "html", "eml", "xlsx", "ods", "pdf"],
        "settings" | "products" => &["toml"],
        _ => &[],
    };
    let mut paths = Vec::new();
    for folder in ["fixtures/layouts", "fixtures/demo", "fixtures/demo/home"] {
        paths.extend(fs::read_dir(root().join(folder)).unwrap().map(|e| e.unwrap().path()).filter(|p| {
            let kind = p.extension().and_then(|e| e.to_str()).unwrap_or_default();
            kinds.contains(&kind) && !p.to_string_lossy().ends_with(".readings.csv")
        }));
    }
    if let Ok(own) = fs::read_dir(root().join("fuzz/corpus").join(name)) {
        paths.extend(own.map(|e| e.unwrap().path()));
    }
    paths.sort();
    let mut seeds: Vec<_> = paths.iter().map(|p| fs::read(p).unwrap()).filter(|s| s.len() < 20_000).collect();
    if name == "parts" {
        seeds.extend((0..targets::documents::PARTS.len()).map(targets::documents::part));
    }
    assert!(!seeds.is_empty(), "{name} has no seeds");
    seeds
}

/// Changes a few places.
fn change(input: &mut Vec<u8>, chance: &mut Chance, words: &[Vec<u8>], seeds: &[Vec<u8>]) {
    const EDGES: [u8; 12] = [0, 1, 9, 10, b'0', b'9', b'.', b',', 0x7f, 0x80, 0xc2, 0xff];
    for _ in 0..=chance.below(5) {
        let range = chance.range(input.len());
        let at = range.start;
        match chance.below(9) {
            0 if at < input.len() => input[at] ^= 1 << chance.below(8),
            1 if at < input.len() => input[at] = chance.next() as u8,
            2 if at < input.len() => input[at] = EDGES[chance.below(EDGES.len())],
            3 => drop(input.drain(range)),
            4 => {
                let again = input[range].to_vec();
                let at = chance.below(input.len() + 1);
                drop(input.splice(at..at, again));
            }
            5 => drop(input.splice(at..at, words[chance.below(words.len())].iter().copied())),
            6 => drop(input.splice(range, words[chance.below(words.len())].iter().copied())),
            7 => {
                let other = &seeds[chance.below(seeds.len())];
                let part = other[chance.range(other.len())].to_vec();
                drop(input.splice(range, part));
            }
            _ => {
                let noise: Vec<u8> = (0..chance.below(8)).map(|_| chance.next() as u8).collect();
                drop(input.splice(at..at, noise));
            }
        }
    }
    input.truncate(1 << 16);
}

fn panics(target: Target, input: &[u8]) -> bool {
    std::panic::catch_unwind(|| target(input)).is_err()
}

/// A find without what it does not need.
fn shortened(target: Target, input: &[u8]) -> Vec<u8> {
    let (mut least, mut step, mut tries) = (input.to_vec(), input.len() / 2, 0);
    while step > 0 && tries < 400 {
        let mut at = 0;
        while at < least.len() && tries < 400 {
            let mut less = least.clone();
            less.drain(at..(at + step).min(least.len()));
            tries += 1;
            if panics(target, &less) { least = less } else { at += step }
        }
        step /= 2;
    }
    least
}

/// Seconds of the processor that this thread used so far.
fn used() -> Duration {
    let text = fs::read_to_string("/proc/thread-self/schedstat").unwrap_or_default();
    Duration::from_nanos(text.split(' ').next().and_then(|t| t.parse().ok()).unwrap_or(0))
}

fn find(name: &str, what: &str, input: &[u8]) -> ! {
    let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).join("fuzz");
    fs::create_dir_all(&folder).unwrap();
    let at = folder.join(name);
    fs::write(&at, input).unwrap();
    let shown = input.get(..600).unwrap_or(input).escape_ascii();
    panic!("{name} {what} on {} bytes, kept as {}: {shown}", input.len(), at.display());
}

/// Calls a target with every seed and then with changed ones; gives how often.
fn run(name: &str, dearness: u64) -> u64 {
    let target = TARGETS.iter().find(|(n, _)| *n == name).unwrap().1;
    let (words, seeds) = (dictionary(), seeds(name));
    let most = asked("LOAMLINE_FUZZ_RUNS").unwrap_or(RUNS) / dearness;
    let end = asked("LOAMLINE_FUZZ_SECONDS").map(|s| Instant::now() + Duration::from_secs(s));
    let own = name.bytes().fold(0, |sum: u64, b| sum.wrapping_mul(31).wrapping_add(b.into()));
    let mut chance = Chance(own ^ asked::<u64>("LOAMLINE_FUZZ_SEED").unwrap_or(0).wrapping_mul(0x2545_f491));
    let mut count = 0;
    while count < most.max(10) && end.is_none_or(|e| Instant::now() < e) {
        let mut input = match (seeds.get(usize::try_from(count).unwrap()), chance.below(16)) {
            (Some(seed), _) if asked::<u64>("LOAMLINE_FUZZ_SEED").is_none() => seed.clone(),
            (_, 0) => (0..chance.below(64)).map(|_| chance.next() as u8).collect(),
            (_, 1) => (0..chance.below(6)).flat_map(|_| words[chance.below(words.len())].clone()).collect(),
            _ => seeds[chance.below(seeds.len())].clone(),
        };
        if count >= seeds.len() as u64 {
            change(&mut input, &mut chance, &words, &seeds);
        }
        let begun = Instant::now();
        if panics(target, &input) {
            find(name, "panics", &shortened(target, &input));
        }
        // The clock runs on while the machine is busy with others: the second time only our own work counts.
        if begun.elapsed() > Duration::from_secs(MOST_SECONDS) {
            let before = used();
            target(&input);
            if used() - before > Duration::from_secs(MOST_SECONDS) {
                find(name, "takes too long", &input);
            }
        }
        count += 1;
    }
    count
}

macro_rules! every_target {
    ($($name:ident: $dearness:literal,)*) => {
        $(#[test]
        fn $name() {
            println!("{}: {} runs", stringify!($name), run(stringify!($name), $dearness));
        })*

        #[test]
        fn every_target_is_driven() {
            let driven = [$(stringify!($name)),*];
            assert!(TARGETS.iter().map(|t| t.0).eq(driven), "{driven:?}");
            let crate_of_its_own = fs::read_to_string(root().join("fuzz/Cargo.toml")).unwrap();
            for name in driven {
                assert!(crate_of_its_own.contains(&format!("\nname = \"{name}\"\n")), "{name} in fuzz/Cargo.toml");
            }
        }
    };
}

every_target! {
    numbers: 1, dates: 1, labels: 2, units: 1, names: 1, queries: 1, settings: 4, products: 4, roster: 2, frames: 1,
    delimited: 20, monospaced: 20, html: 20, exchange: 10, mail: 20, archive: 20, workbook: 20, parts: 40, image: 5,
    pdf: 50, glyphs: 20, document: 40,
}

#[test]
fn the_driver_finds_and_shortens_what_panics() {
    let target: Target = |data| assert!(!data.windows(2).any(|w| w == b"pH"));
    let (words, seeds) = (dictionary(), vec![b"a b c d".to_vec()]);
    let mut chance = Chance(1);
    let found = (0..100_000).find_map(|_| {
        let mut input = seeds[0].clone();
        change(&mut input, &mut chance, &words, &seeds);
        panics(target, &input).then_some(input)
    });
    assert_eq!(shortened(target, &found.unwrap()), b"pH");
}
