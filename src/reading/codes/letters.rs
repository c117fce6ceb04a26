//! Letters of a laboratory's own for a procedure in a heading, `BpH` over `M-M`, and the note that says what they stand for:
//! `M-M: modified Mehlich buffer`.

use super::super::label::label;
use super::super::layout::{Layout, Line, Phrase};
use super::super::vocabulary::Context;
use rustc_hash::FxHashMap;

const PLAIN: Context = Context { symbols: false, capitals: false };

/// More letters are a word.
const MOST_LETTERS: usize = 6;

/// `M-M`, `HWS`, `A.A.`: capitals alone.
fn is_code(text: &str) -> bool {
    let letters = text.chars().filter(char::is_ascii_uppercase).count();
    (2..=MOST_LETTERS).contains(&letters)
        && text.starts_with(|c: char| c.is_ascii_uppercase())
        && text.chars().all(|c| c.is_ascii_uppercase() || matches!(c, '-' | '.'))
}

/// The letters that a sentence opens with, and the one procedure it says they stand for.
fn explains(sentence: &str) -> Option<(String, String)> {
    let (code, meaning) = sentence.split_once([':', '='])?;
    let code = code.trim();
    let strange = |symbols| {
        let said = label(code, Context { symbols, capitals: symbols });
        !said.known() && !said.unknown.is_empty()
    };
    if !is_code(code) || !strange(false) || !strange(true) {
        return None;
    }
    let meaning = meaning.split([',', '(']).next()?.trim().trim_end_matches('.');
    let said = label(meaning, PLAIN);
    let told = said.methods.len() == 1 && said.method().is_some() && said.unknown.is_empty();
    (told && said.unit.is_none() && !said.decoy).then(|| (code.to_owned(), meaning.to_owned()))
}

/// What letters stand for by one note each; none that is told two ways.
fn explained(pages: &[Layout]) -> FxHashMap<String, String> {
    let mut out: FxHashMap<String, Option<String>> = FxHashMap::default();
    let texts = pages.iter().flat_map(|p| &p.lines).flat_map(|l| &l.phrases).map(Phrase::text);
    for text in texts.filter(|text| text.contains([':', '='])) {
        for (code, meaning) in text.split(". ").flat_map(|part| part.split(';')).filter_map(explains) {
            out.entry(code)
                .and_modify(|kept| {
                    if kept.as_ref() != Some(&meaning) {
                        *kept = None;
                    }
                })
                .or_insert(Some(meaning));
        }
    }
    out.into_iter().filter_map(|(code, meaning)| Some((code, meaning?))).collect()
}

/// A line over columns: some words side by side and no value.
fn is_heading(line: &Line) -> bool {
    let words = || line.phrases.iter().flat_map(|p| &p.tokens);
    line.phrases.len() > 1 && !words().any(|t| t.text.replace(',', "").parse::<f64>().is_ok())
}

/// The pages with such letters in the words of the note.
pub(super) fn spelled(mut pages: Vec<Layout>) -> Vec<Layout> {
    let codes = explained(&pages);
    if codes.is_empty() {
        return pages;
    }
    for line in pages.iter_mut().flat_map(|p| &mut p.lines).filter(|line| is_heading(line)) {
        for token in line.phrases.iter_mut().flat_map(|p| p.tokens.iter_mut()) {
            if let Some(meaning) = codes.get(token.text.as_str()) {
                token.text = meaning.into();
            }
        }
    }
    pages
}

#[cfg(test)]
mod tests {
    use super::super::super::layout::{layout, tests::typed};
    use super::*;

    fn of(note: &str, line: &str) -> String {
        let pages = spelled(vec![layout(&typed(&[line, "", note]))]);
        pages[0].lines[0].phrases.iter().map(Phrase::text).collect::<Vec<_>>().join("|")
    }

    #[test]
    fn letters_of_a_procedure_are_spelled_out_by_the_note_on_them() {
        let note = "M-M: modified Mehlich buffer, not measured above pH 7. OM by loss on ignition.";
        assert_eq!(of(note, "1:1     M-M      %"), "1:1|modified Mehlich buffer|%");
        assert_eq!(of(note, "M-M     5.8      6.1"), "M-M|5.8|6.1");
        for silent in [
            "M-M: mown in May. OM by loss on ignition.",
            "M-M: Mehlich 3 or modified Mehlich buffer.",
            "M-M: modified Mehlich buffer; M-M: Woodruff buffer",
            "OM: Mehlich 3",
        ] {
            assert_eq!(of(silent, "1:1     M-M      %"), "1:1|M-M|%", "{silent}");
        }
    }
}
