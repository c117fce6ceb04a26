//! `T552-1 - Vigna Alta`, `11842-2: Back lawn`: the laboratory's number of a sample and its name, set as one.

use super::super::label::year_of;
use super::super::numbered::{FIGURES, MANY_FIGURES, Parted, figures, is_number, parted};
use crate::soil::{Doubt, Report, Sample};

/// True where a number holds the number of its report: `7706/2` in report `OLL/7706`.
pub fn holds(number: &str, report: &str) -> bool {
    let parts = |text: &str| -> Vec<String> {
        let parts = text.split(|c: char| !c.is_alphanumeric());
        parts.map(str::to_lowercase).filter(|p| figures(p) >= FIGURES && year_of(p).is_none()).collect()
    };
    let own = parts(number);
    // `T0871-1` in report `23T0871`: without the year before it.
    let year = |before: &str| matches!(before.len(), 2 | 4) && before.chars().all(|c| c.is_ascii_digit());
    let ends = |p: &String| {
        own.iter().any(|o| figures(o) >= FIGURES_OF_A_CODE && p.strip_suffix(o.as_str()).is_some_and(year))
    };
    parts(report).iter().any(|p| own.contains(p) || ends(p))
}

/// True where a number holds so long a number of its report that no field has it: `26-00418-001` in `CoA-26-00418`.
fn holds_all(number: &str, report: &str) -> bool {
    let long: Vec<&str> =
        report.split(|c: char| !c.is_alphanumeric()).filter(|p| figures(p) >= MANY_FIGURES).collect();
    let own: Vec<&str> = number.split(|c: char| !c.is_alphanumeric()).collect();
    own.len() > 1 && long.iter().any(|p| own.contains(p))
}

/// The long run of figures in a number, and the count behind or in it: `88231-4`, `880234`.
fn counted(number: &str, least: usize) -> Option<(&str, u64)> {
    let (stem, count) = stem_and_count(number);
    // `V61020`: letters of the laboratory's before a long number.
    let letters = stem.chars().all(|c| c.is_ascii_alphabetic());
    let long = figures(stem) >= least || letters && count.len() >= MANY_FIGURES;
    Some((stem, count.parse().ok()?)).filter(|_| long)
}

/// `G` and `8810` of `G8810`.
fn stem_and_count(number: &str) -> (&str, &str) {
    number.split_at(number.rfind(|c: char| !c.is_ascii_digit()).map_or(0, |i| i + 1))
}

/// True where each number is one more than the one before.
fn count_on(numbers: &[(&str, u64)]) -> bool {
    let next = |w: &[(&str, u64)]| matches!(w, [a, b] if a.0 == b.0 && a.1.checked_add(1) == Some(b.1));
    numbers.windows(2).all(next)
}

/// True where numbers run on from one another, none twice: those a laboratory gave in the order of its bags.
fn run_on(numbers: &[&str], least: usize) -> bool {
    let Some(counts) = numbers.iter().map(|n| counted(n, least)).collect::<Option<Vec<_>>>() else {
        return false;
    };
    counts.len() > 1 && count_on(&counts)
}

/// Takes the laboratory's number off the names of a report that prints all of them so, where it is one beyond doubt: it
/// holds the report's number, or it is long and runs on from bag to bag. What may as well be a number of the client's own
/// waits.
pub(super) fn numbers_off_names(report: &mut Report) {
    let found: Vec<Option<Parted>> = report.samples.iter().map(|s| parted(&s.label)).collect();
    let numbers: Vec<&str> = found.iter().flatten().map(|p| p.number.as_str()).collect();
    let mut unlike = numbers.clone();
    unlike.sort_unstable();
    unlike.dedup();
    let all = numbers.len() == found.len() && unlike.len() == numbers.len();
    let holds = |p: &Parted| report.number.as_ref().is_some_and(|report| holds(&p.number, report));
    // `Hob field (0688-1)`: set apart by brackets, shorter ones that run on are no part of the name either, where the names
    // are unlike without them.
    let mut names: Vec<&str> = found.iter().flatten().map(|p| p.name.as_str()).collect();
    names.sort_unstable();
    let apart = names.windows(2).all(|w| w.first() != w.last())
        && report.samples.len() > 2
        && report.samples.iter().all(|s| s.label.ends_with(')'));
    let bracketed = apart && run_on(&numbers, FIGURES);
    let certain = all && (found.iter().flatten().all(holds) || run_on(&numbers, MANY_FIGURES) || bracketed);
    let by_itself = |p: &Parted| report.number.as_ref().is_some_and(|report| holds_all(&p.number, report));
    let by_itself: Vec<bool> = found.iter().map(|p| p.as_ref().is_some_and(by_itself)).collect();
    for ((sample, parted), by_itself) in report.samples.iter_mut().zip(&found).zip(by_itself) {
        let Some(parted) = parted else { continue };
        let own = sample.lab_number.as_ref().map(|number| *number == parted.number);
        match own {
            Some(true) => take_off(sample, parted),
            None if certain || by_itself => take_off(sample, parted),
            // Beside another number of the laboratory's this one is the client's.
            Some(false) => (),
            None if parted.first => sample.doubts.push(Doubt::new(
                "sample-unnamed",
                format!(
                    "`{}` may begin with a number of the laboratory's that is no part of the name.",
                    sample.label
                ),
            )),
            None => (),
        }
    }
}

/// So many figures a code behind a name has that no client counts his ground by.
const FIGURES_OF_A_CODE: usize = 4;

/// So many codes that count on from one another are no chance.
const RUN: usize = 3;

/// Name and code, where a label ends in one: `Blok 1A G8810`.
fn coded(label: &str) -> Option<(String, String)> {
    let (name, code) = label.rsplit_once(' ')?;
    let worded = name.contains(char::is_alphabetic) && !name.ends_with(|c: char| !c.is_alphanumeric());
    let plain = is_number(code) && code.chars().all(|c| c.is_ascii_alphanumeric());
    (worded && plain && figures(code) >= FIGURES_OF_A_CODE).then(|| (name.to_owned(), code.to_owned()))
}

/// `Blok 1A G8810`, `Blok 2C G8811`, `Lawn G8812`: names of which each ends in a code of its own. Codes that count on from
/// sample to sample are the laboratory's; any others may be.
pub(super) fn codes_off_names(report: &mut Report) {
    let Some(found) = report.samples.iter().map(|s| coded(&s.label)).collect::<Option<Vec<_>>>() else {
        return;
    };
    let unlike = |texts: Vec<&String>| {
        let mut texts = texts;
        texts.sort_unstable();
        texts.dedup();
        texts.len()
    };
    let names = unlike(found.iter().map(|f| &f.0).collect());
    let codes = unlike(found.iter().map(|f| &f.1).collect());
    // `Plot 1101`, `Plot 1102` are plots.
    if names < 2 || codes < found.len() || report.samples.iter().any(|s| s.lab_number.is_some()) {
        return;
    }
    let count = |(_, code): &(String, String)| stem_and_count(code).1.parse::<u64>().ok();
    let counts: Option<Vec<(&str, u64)>> =
        found.iter().map(|f| Some((stem_and_count(&f.1).0, count(f)?))).collect();
    let certain = found.len() >= RUN && counts.is_some_and(|counts| count_on(&counts));
    for (sample, (name, code)) in report.samples.iter_mut().zip(found) {
        if certain {
            sample.label = name;
            sample.lab_number = Some(code);
        } else {
            sample.doubts.push(Doubt::new(
                "sample-unnamed",
                format!(
                    "`{}` may end with a number of the laboratory's that is no part of the name.",
                    sample.label
                ),
            ));
        }
    }
}

/// The letters of a code behind a name, and the code: `AL-` and `AL-31` of `Long field AL-31`.
fn lettered(label: &str) -> Option<(&str, &str, &str)> {
    let (name, code) = label.rsplit_once(' ')?;
    let (letters, count) = code.split_once('-')?;
    let own = (1..=MOST_LETTERS).contains(&letters.len()) && letters.chars().all(|c| c.is_ascii_uppercase());
    let counted = count.len() >= FEWEST_FIGURES && count.chars().all(|c| c.is_ascii_digit());
    (own && counted && name.contains(char::is_alphabetic)).then_some((name, letters, code))
}

/// More letters are a word, fewer figures count the parts of a name.
const MOST_LETTERS: usize = 5;
const FEWEST_FIGURES: usize = 2;

/// `Long field AL-31`, `Moss AL-35`: unlike names that all end in codes of the same letters wait, where no other number is the
/// laboratory's.
pub(super) fn doubt_codes_in_names(report: &mut Report) {
    let Some(found) = report.samples.iter().map(|s| lettered(&s.label)).collect::<Option<Vec<_>>>() else {
        return;
    };
    let unlike = |mut texts: Vec<&str>| {
        texts.sort_unstable();
        texts.dedup();
        texts.len()
    };
    let names = unlike(found.iter().map(|f| f.0).collect());
    let codes = unlike(found.iter().map(|f| f.2).collect());
    let stems = unlike(found.iter().map(|f| f.1).collect());
    let numbered = report.samples.iter().any(|s| s.lab_number.is_some());
    if names < 2 || codes < found.len() || stems > 1 || numbered {
        return;
    }
    for sample in &mut report.samples {
        sample.doubts.push(Doubt::new(
            "sample-unnamed",
            format!(
                "`{}` may end with a number of the laboratory's that is no part of the name.",
                sample.label
            ),
        ));
    }
}

fn take_off(sample: &mut Sample, parted: &Parted) {
    sample.label.clone_from(&parted.name);
    sample.lab_number = Some(parted.number.clone());
}

#[cfg(test)]
mod tests {
    use super::*;

    fn of(number: Option<&str>, labels: &[&str]) -> Vec<(String, Option<String>, bool)> {
        let sample = |label: &&str| Sample {
            label: (*label).to_owned(),
            lab_number: None,
            sampled_on: None,
            year: None,
            depth: None,
            readings: Vec::new(),
            others: Vec::new(),
            nitrogen: Vec::new(),
            doubts: Vec::new(),
        };
        let mut report = Report {
            lab: None,
            client: None,
            number: number.map(str::to_owned),
            received_on: None,
            reported_on: None,
            revised: false,
            samples: labels.iter().map(sample).collect(),
            doubts: Vec::new(),
            layout: Default::default(),
        };
        numbers_off_names(&mut report);
        codes_off_names(&mut report);
        doubt_codes_in_names(&mut report);
        report.samples.into_iter().map(|s| (s.label, s.lab_number, s.doubts.is_empty())).collect()
    }

    #[test]
    fn a_number_of_the_reports_comes_off_the_names() {
        for (report, labels) in [
            ("Q881/24", ["Q881-1 - Hob field", "Q881-2 - Moss"]),
            ("HM-7706", ["7706/1: Hob field", "7706/2: Moss"]),
            ("HM-24-7706", ["24-7706-A - Hob field", "24-7706-B - Moss"]),
            ("7706", ["Hob field - 7706.1", "Moss - 7706.2"]),
            ("GO-7706", ["Hob field (sample 7706-1)", "Moss (sample 7706-2)"]),
            ("GO-7706", ["Hob field (monster 7706-1)", "Moss (Probe 7706-2)"]),
            ("23T0871", ["Hob field (sample T0871-1)", "Moss (sample T0871-2)"]),
            ("K12", ["880231 - Hob field", "880232 - Moss"]),
            ("K12", ["88023-1, Hob field", "88023-2, Moss"]),
            ("K12", ["Hob field V61020", "Moss V61021"]),
            ("GO-7706", ["Hob field (7706-1)", "Moss (7706-2)"]),
        ] {
            let found = of(Some(report), &labels);
            let names: Vec<&str> = found.iter().map(|f| f.0.as_str()).collect();
            assert_eq!(names, ["Hob field", "Moss"], "{labels:?}");
            assert!(found.iter().all(|f| f.2 && f.1.is_some()), "{found:?}");
        }
        assert_eq!(
            of(Some("7706"), &["7706-1 - Moss"]),
            [("Moss".to_owned(), Some("7706-1".to_owned()), true)]
        );
    }

    #[test]
    fn codes_that_count_on_behind_names_are_the_laboratorys() {
        let found = of(None, &["Blok 1A G8810", "Blok 1A G8811", "Lawn G8812"]);
        let names: Vec<_> = found.iter().map(|f| (f.0.as_str(), f.1.as_deref(), f.2)).collect();
        assert_eq!(
            names,
            [
                ("Blok 1A", Some("G8810"), true),
                ("Blok 1A", Some("G8811"), true),
                ("Lawn", Some("G8812"), true)
            ]
        );
        let waits = of(None, &["Blok 1A G8810", "Blok 2C G8815", "Lawn G8812"]);
        assert!(waits.iter().all(|f| f.1.is_none() && !f.2), "{waits:?}");
        for labels in [
            ["Plot 1101", "Plot 1102", "Plot 1103"],
            ["Hob 11", "Moss 12", "Fern 13"],
            ["Hob 1101", "Moss", "Fern 1103"],
        ] {
            let whole = of(None, &labels);
            assert!(
                whole.iter().zip(labels).all(|(f, label)| f.0 == label && f.1.is_none() && f.2),
                "{whole:?}"
            );
        }
    }

    #[test]
    fn codes_of_the_same_letters_behind_unlike_names_wait() {
        let waits = |labels: [&str; 2]| {
            let mut names = of(None, &labels);
            names.retain(|f| !f.2);
            names.len()
        };
        assert_eq!(waits(["Hob field AL-31", "Moss AL-35"]), 2);
        for labels in [
            ["Plot AL-31", "Plot AL-32"],
            ["Hob field AL-31", "Moss BL-32"],
            ["Hob field AL-31", "Moss"],
            ["Hob field B-1", "Moss B-2"],
        ] {
            assert_eq!(waits(labels), 0, "{labels:?}");
        }
    }

    #[test]
    fn a_number_that_may_be_the_clients_waits_and_a_plain_name_stays_whole() {
        // A tract of land and its fields, numbers of fields, one name among others.
        for labels in [
            ["4417-1 - Hob field", "4417-2 - Moss"],
            ["101 - Hob field", "102 - Moss"],
            ["880231 - Hob field", "990117 - Moss"],
            ["7706-1 - Hob field", "7706-1 - Moss"],
        ] {
            let found = of(Some("K-7706"), &labels);
            assert!(found.iter().zip(labels).all(|(f, l)| f.0 == l && !f.2), "{found:?}");
        }
        let brackets = of(None, &["Hob field (0688-1)", "Moss (0688-2)", "Fern (0688-3)"]);
        assert!(brackets.iter().all(|f| f.1.is_some() && f.2 && !f.0.contains('(')), "{brackets:?}");
        assert!(holds("T0871-1", "23T0871") && !holds("00000", "A16-000000"), "all but one of its noughts");
        for labels in [
            ["Hob field (0688-1)", "Moss (0688-2)", "Fern (0688-4)"],
            ["Moss (0688-1)", "Moss (0688-2)", "Fern (0688-3)"],
            ["Hob field (0688-1)", "Moss (0688-2)", "Fern"],
        ] {
            assert!(of(None, &labels).iter().zip(labels).all(|(f, l)| f.0 == l), "{labels:?}");
        }
        let long = of(Some("CoA-26-00418"), &["26-00418-001 TP01 topsoil", "26-00418-002", "Moss"]);
        assert_eq!(long[0], ("TP01 topsoil".to_owned(), Some("26-00418-001".to_owned()), true));
        let mixed = of(Some("K-7706"), &["7706-1 - Hob field", "Moss"]);
        assert!(!mixed[0].2 && mixed[1].2, "{mixed:?}");
        for name in [
            "7706-1 sandy loam",
            "NE-14-27-3 - home",
            "SW14-27 - Hobside",
            "12 - Moss",
            "2019 - planting",
            "Moss - 2024",
            "Compost - Batch 3",
            "Hob-field 300",
            "Moss (sample 118)",
            "Moss (cores 2024-7)",
            "B3 - 4",
            "14526 - 14527",
        ] {
            let found = of(Some("2024-7"), &[name]);
            assert_eq!(found, [(name.to_owned(), None, true)], "{name}");
        }
    }
}
