//! Codes of a laboratory's own in a column of methods, `SM-14`, and the note that says what each is: `SM-14 ammonium acetate
//! pH 7. SM-15 DTPA.`

use super::super::label::label;
use super::super::layout::{Layout, Phrase};
use super::super::vocabulary::Context;
use rustc_hash::FxHashMap;

const PLAIN: Context = Context { symbols: false, capitals: false };

/// More letters make a word.
const MOST_LETTERS: usize = 5;

/// `SM-14`, `MA 101`: letters and a number.
fn is_code(text: &str) -> bool {
    let letters = text.chars().take_while(char::is_ascii_uppercase).count();
    let Some(rest) = text.get(letters..).map(|rest| rest.trim_start_matches(['-', ' ', '.'])) else {
        return false;
    };
    (1..=MOST_LETTERS).contains(&letters)
        && (1..=MOST_LETTERS).contains(&rest.len())
        && rest.chars().all(|c| c.is_ascii_digit())
}

/// The code that a sentence opens with, and the method it gives it; none that is understood makes nothing of the code.
fn explains(sentence: &str) -> Option<(String, Option<String>)> {
    let words: Vec<&str> = sentence.split(' ').filter(|w| !w.is_empty()).collect();
    let bare = |words: &[&str]| words.join(" ").trim_end_matches([':', '=', '-', ',']).trim().to_owned();
    let (code, rest) = [1, 2].into_iter().find_map(|n| {
        let code = bare(words.get(..n)?);
        is_code(&code).then(|| words.get(n..).map(|rest| (code, rest)))?
    })?;
    let rest: Vec<&str> = rest.iter().copied().skip_while(|w| matches!(*w, "=" | "-" | ":")).collect();
    // `pH in water 1:2`: what is measured stands in the row.
    let meaning = (0..rest.len()).find_map(|from| {
        let text = rest.get(from..)?.join(" ");
        let text = text.trim_end_matches(['.', ';', ',']).to_owned();
        let said = label(&text, PLAIN);
        (said.analyte.is_none() && said.methods.len() == 1).then_some(text)
    });
    (!rest.is_empty()).then_some((code, meaning))
}

/// What codes mean that notes give one method each; none that is told two ways.
fn explained(pages: &[Layout]) -> FxHashMap<String, String> {
    let mut out: FxHashMap<String, Option<String>> = FxHashMap::default();
    let lines = pages.iter().flat_map(|p| &p.lines);
    let texts = lines.map(|l| l.phrases.iter().map(Phrase::text).collect::<Vec<_>>().join(" "));
    for text in texts {
        // `Methods: SM-01 pH in water`.
        let text = text
            .split_once(": ")
            .filter(|(head, _)| !head.contains(' ') && !is_code(head))
            .map_or(text.as_str(), |(_, rest)| rest);
        for (code, meaning) in
            text.split(". ").flat_map(|part| part.split(';')).filter_map(|s| explains(s.trim()))
        {
            out.entry(code)
                .and_modify(|kept| {
                    if *kept != meaning {
                        *kept = None;
                    }
                })
                .or_insert(meaning);
        }
    }
    out.into_iter().filter_map(|(code, meaning)| Some((code, meaning?))).collect()
}

/// The pages with every such code behind a number of a row in the words of the note.
pub(super) fn spelled(mut pages: Vec<Layout>) -> Vec<Layout> {
    let codes = explained(&pages);
    if codes.is_empty() {
        return pages;
    }
    for line in pages.iter_mut().flat_map(|p| &mut p.lines) {
        let figure = |p: &Phrase| {
            p.text().split(' ').any(|w| w.trim_start_matches('<').replace(',', ".").parse::<f64>().is_ok())
        };
        let row = line.phrases.len() > 2 && line.phrases.iter().skip(1).any(figure);
        for phrase in line.phrases.iter_mut().skip(1).filter(|_| row) {
            // `10 SM-02`: set close behind the limit before it.
            let at = (0..phrase.tokens.len()).find(|i| {
                let words = phrase.tokens.get(*i..).unwrap_or_default();
                codes.contains_key(&words.iter().map(|t| t.text.as_str()).collect::<Vec<_>>().join(" "))
            });
            let Some(at) = at else { continue };
            let code = phrase
                .tokens
                .get(at..)
                .unwrap_or_default()
                .iter()
                .map(|t| t.text.as_str())
                .collect::<Vec<_>>()
                .join(" ");
            let area =
                phrase.tokens.get(at..).unwrap_or_default().iter().map(|t| t.area).reduce(|a, b| a.union(&b));
            phrase.tokens.truncate(at + 1);
            if let (Some(token), Some(meaning), Some(area)) =
                (phrase.tokens.last_mut(), codes.get(&code), area)
            {
                token.text = meaning.into();
                token.area = area;
            }
        }
    }
    pages
}

#[cfg(test)]
mod tests {
    use super::super::super::layout::{layout, tests::typed};
    use super::*;

    fn of(note: &str, row: &str) -> String {
        let pages = vec![layout(&typed(&[row, "", note]))];
        let pages = spelled(pages);
        pages[0].lines[0].phrases.iter().map(Phrase::text).collect::<Vec<_>>().join("|")
    }

    #[test]
    fn codes_of_methods_are_spelled_out_by_the_note_on_them() {
        let note = "Methods: SM-01 pH in water 1:2 (w/v). SM-14 ammonium acetate pH 7. SM-15 DTPA.";
        assert_eq!(
            of(note, "Potassium    188    mg/kg    SM-14"),
            "Potassium|188|mg/kg|ammonium acetate pH 7"
        );
        assert_eq!(of(note, "pH           7.4             SM-01"), "pH|7.4|in water 1:2 (w/v)");
        assert_eq!(
            of(note, "Potassium    188    mg/kg    5 SM-14"),
            "Potassium|188|mg/kg|5 ammonium acetate pH 7"
        );
        for silent in ["SM-14 is accredited. SM-15 too.", "SM-14 DTPA. SM-14 Olsen."] {
            assert_eq!(
                of(silent, "Potassium    188    mg/kg    SM-14"),
                "Potassium|188|mg/kg|SM-14",
                "{silent}"
            );
        }
    }
}
