//! Notes that name an extract for some of the samples alone: `by Bray 1, but by Olsen for the Arboretum`.

use super::super::found::FoundSample;
use super::super::label::label;
use super::super::lost::named;
use super::super::notes::{NoteLine, adapt, whole_texts};
use super::super::vocabulary::{Context, Field};
use super::super::words::List;
use crate::soil::{Doubt, Method};

/// Shorter names (`B`, `12`) stand in a sentence for something else too, but for a code (`B2`).
const LETTERS: usize = 3;

fn may_be_meant(label: &str) -> bool {
    label.chars().count() >= LETTERS
        || label.contains(char::is_alphabetic) && label.contains(|c: char| c.is_ascii_digit())
}

/// Lets what a note may have named another extract for wait, where it speaks of a sample by its name. A sentence with
/// results of its own says how these were found.
pub(super) fn doubt_some(samples: &mut [FoundSample], lines: &[NoteLine]) {
    let texts = whole_texts(lines);
    let sentences = texts.iter().flat_map(|text| text.split(". ").flat_map(|s| s.split(';')));
    let told: Vec<(String, Vec<Method>)> = sentences
        .filter(|s| !holds_results(s))
        .map(|s| (spaced(s), named(s)))
        .filter(|(_, methods)| !methods.is_empty())
        .collect();
    if told.is_empty() {
        return;
    }
    for sample in samples {
        let Some(label) = sample.field(Field::SampleLabel).filter(|label| may_be_meant(label)) else {
            continue;
        };
        let name = spaced(label);
        let speaks =
            |text: &str| text.match_indices(&name).any(|(at, _)| text.get(..at).is_some_and(singles_out));
        let methods: Vec<Method> =
            told.iter().filter(|(text, _)| speaks(text)).flat_map(|(_, m)| m.clone()).collect();
        for reading in &mut sample.readings {
            let own = |m: &&Method| reading.label.analyte.is_some_and(|a| adapt(**m, a).is_some());
            if let Some(method) = methods.iter().find(own) {
                let sentence = format!(
                    "A note speaks of this sample and of {}; it is not clear how it was measured.",
                    method.id()
                );
                reading.doubts.push(Doubt::new("method-unclear", sentence));
            }
        }
    }
}

/// Small letters, every other sign a space, and one at both ends, so that whole words are compared.
fn spaced(text: &str) -> String {
    let lower = text.to_lowercase();
    let words: Vec<&str> = lower.split(|c: char| !c.is_alphanumeric()).filter(|w| !w.is_empty()).collect();
    format!(" {} ", words.join(" "))
}

/// `... by Olsen for the`: what stands before a name that something is said of.
fn singles_out(before: &str) -> bool {
    let last = before.split(' ').rev().filter(|w| !w.is_empty()).find(|w| !List::Article.has(w));
    last.is_some_and(|w| List::SinglesOut.has(w))
}

/// True where a number with decimals or a unit stands: `was 5.7`, `133 ppm`.
fn holds_results(sentence: &str) -> bool {
    let words: Vec<&str> = sentence.split(' ').collect();
    let number = |w: &str| {
        let w = w.trim_matches(|c: char| !c.is_alphanumeric());
        let figures = w.chars().all(|c| c.is_ascii_digit() || matches!(c, '.' | ','));
        (figures && !w.is_empty()).then(|| w.contains(['.', ',']))
    };
    let unit = |w: &&str| label(w, Context { symbols: false, capitals: false }).unit.is_some();
    words.iter().enumerate().any(|(i, w)| match number(w) {
        Some(decimals) => decimals || words.get(i + 1).is_some_and(unit),
        None => false,
    })
}
