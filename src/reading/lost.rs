//! Extracts, and ways to find organic matter, that a document names and that no result was given to: what they belong to was not understood.

use super::fold::pieces;
use super::found::{Found, FoundSample};
use super::kept::{Kept, kept};
use super::layout::Layout;
use super::notes::{Notes, adapt};
use super::vocabulary::{Context, Meaning, Sought, hits_where, may_open};
use super::words::List;
use crate::soil::{Analyte, Method};
use compact_str::CompactString;
use std::cell::RefCell;

/// Shorter names (`M3`, `AA`) may be codes of something else.
const LETTERS: usize = 4;

/// Extracts named in these lines, less those that some result, note or title has.
pub fn extracts(lines: &[String], pages: &[Layout], samples: &[FoundSample], notes: &Notes) -> Vec<Method> {
    let found = || samples.iter().flat_map(|s| &s.readings);
    let open = |r: &Found| r.label.methods.is_empty() && r.caption.is_none();
    if notes.extractant.is_some() || !found().any(open) {
        return Vec::new();
    }
    let extracted = [
        Analyte::Phosphorus,
        Analyte::Potassium,
        Analyte::Zinc,
        Analyte::Boron,
        Analyte::OrganicMatter,
        Analyte::Ph,
        Analyte::SolubleSalts,
    ];
    let extract = |m: &Method| extracted.iter().any(|a| m.measures(*a));
    let mut out: Vec<Method> = lines.iter().flat_map(|line| named(line)).filter(extract).collect();
    out.sort_unstable_by_key(|m| m.id());
    out.dedup();
    // A name over the column beside its own gives that one nothing.
    let measures = |r: &Found, m: &Method| r.label.analyte.is_some_and(|a| adapt(*m, a).is_some());
    let of_a_result = |m: &Method| {
        found()
            .filter(|r| measures(r, m))
            .any(|r| r.caption == Some(*m) || r.label.methods.contains(&Some(*m)))
    };
    let borne = |mark: &String| found().any(|r| r.marks.contains(mark));
    let of_a_note = |m: &Method| {
        notes.methods.values().any(|v| *v == Some(*m))
            || notes.marked.iter().any(|(mark, text)| borne(mark) && named(text).contains(m))
            || extracted.iter().any(|a| notes.titled.method(*a).is_ok_and(|titled| titled == Some(*m)))
    };
    out.retain(|m| !of_a_result(m) && !of_a_note(m));
    out.extend(under_marks_of_nothing(pages, notes).into_iter().filter(extract));
    out
}

/// Methods of footnotes whose marks stand beside words that name no result: `Exchangeable cations¹` over rows, of which
/// nobody knows how many are meant.
fn under_marks_of_nothing(pages: &[Layout], notes: &Notes) -> Vec<Method> {
    let phrases = pages.iter().flat_map(|p| &p.lines).filter(|l| !l.footnote).flat_map(|l| &l.phrases);
    let context = Context { symbols: true, capitals: false };
    phrases
        .filter(|p| !p.marks.is_empty() && p.text().contains(char::is_alphabetic))
        .filter(|p| !p.label(context).is_result())
        .flat_map(|p| &p.marks)
        .filter_map(|mark| notes.marked.get(mark))
        .flat_map(|text| named(text))
        .collect()
}

thread_local! {
    static NAMED: RefCell<Kept<Vec<Method>>> = RefCell::default();
}

/// The methods that a text names.
pub fn named(text: &str) -> Vec<Method> {
    let context = Context { symbols: false, capitals: false };
    kept(&NAMED, text, context, || find_named(text, context))
}

/// Languages with cases end the names of people whom extracts are called after: `podle Mehlicha 3`, `metoda Olsena`.
const ENDINGS: [&str; 6] = ["ova", "ovy", "em", "a", "u", "s"];

/// The name in an inflected one of an extract.
fn uninflected(word: CompactString) -> CompactString {
    let stem = |ending: &&str| word.strip_suffix(*ending).filter(|s| List::Inventor.has(&s.to_lowercase()));
    match ENDINGS.iter().find_map(stem) {
        Some(stem) => stem.into(),
        None => word,
    }
}

fn find_named(text: &str, context: Context) -> Vec<Method> {
    let opens = |word: &str| may_open(&uninflected(word.into()), Sought::Method, context);
    if !text.split(' ').any(opens) {
        return Vec::new();
    }
    let words: Vec<CompactString> = pieces(text).into_iter().map(uninflected).collect();
    let long = |start: usize, end: usize| {
        words.get(start..end).unwrap_or_default().iter().map(|w| w.chars().count()).sum::<usize>() >= LETTERS
    };
    let hits = hits_where(&words, context, &|m| matches!(m, Meaning::Method(_)));
    let method = |meaning| if let Meaning::Method(method) = meaning { method } else { None };
    hits.iter().filter(|h| long(h.start, h.end)).filter_map(|h| method(h.meaning)).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn extracts_are_named_in_full() {
        for text in [
            "Nutrients extracted with Mehlich-3.",
            "by Mehlich III",
            "Mehlich-3 extract, ppm",
            "podle Mehlicha 3",
        ] {
            assert_eq!(named(text), [Method::Mehlich3], "{text}");
        }
        assert!(named("Bed M3, AA, P2").is_empty());
        assert!(named("AAE10 = Ammoniumacetat + EDTA").is_empty(), "an extract of its own");
    }
}
