//! `1 part soil to 2 parts water`: how much water the soil was stirred into, in as many words as a ratio has figures.

use super::super::layout::{Layout, Line, Phrase, Token};

/// The pages, with `1:2 soil:water` for what tells that in words.
pub(super) fn told(mut pages: Vec<Layout>) -> Vec<Layout> {
    for phrase in pages.iter_mut().flat_map(|p| &mut p.lines).flat_map(|l: &mut Line| &mut l.phrases) {
        let cells: Vec<String> = phrase.tokens.iter().map(|t| ratios(&t.text)).collect();
        for (token, text) in phrase.tokens.iter_mut().zip(cells) {
            token.text = text.into();
        }
        words(phrase);
    }
    pages
}

/// Figures in words.
const SPELLED: [(&str, &str); 5] = [("one", "1"), ("two", "2"), ("three", "3"), ("four", "4"), ("five", "5")];

/// A ratio told in the words at `at`, and how many words tell it: `1 part soil to 2 parts of water`.
fn ratio(words: &[&str], at: usize) -> Option<(String, usize)> {
    let bare = |i: usize| words.get(i).map(|w| w.trim_matches(['(', ')', ',', ':', ';', '.']).to_lowercase());
    let figure = |i: usize| {
        let word = bare(i)?;
        let spelled = SPELLED.iter().find(|(name, _)| *name == word).map(|(_, figure)| (*figure).to_owned());
        spelled.or_else(|| Some(word).filter(|w| w.parse::<f32>().is_ok_and(|n| n > 0.0)))
    };
    // `two of water` goes on from `one part soil`.
    let of = |i: usize, what: &str| -> Option<usize> {
        let part = bare(i).is_some_and(|w| w == "part" || w == "parts");
        let at = if part { i + 1 } else { i };
        let next = if bare(at).as_deref() == Some("of") { at + 1 } else { at };
        ((part || next > i) && bare(next).as_deref() == Some(what)).then_some(next + 1)
    };
    let soil = figure(at)?;
    let mut next = of(at + 1, "soil")?;
    if matches!(bare(next).as_deref(), Some("to" | "in" | "and" | "with")) {
        next += 1;
    }
    let water = figure(next)?;
    let end = of(next + 1, "water")?;
    Some((format!("{soil}:{water} soil:water"), end - at))
}

/// A whole cell.
fn ratios(text: &str) -> String {
    let words: Vec<&str> = text.split(' ').collect();
    let Some((at, (said, count))) = (0..words.len()).find_map(|at| Some((at, ratio(&words, at)?))) else {
        return text.to_owned();
    };
    let before = words.get(..at).unwrap_or_default();
    let behind = words.get(at + count..).unwrap_or_default();
    let tail = words.get(at + count - 1).and_then(|w| w.chars().last()).filter(|c| !c.is_alphanumeric());
    let said = format!("{said}{}", tail.map(String::from).unwrap_or_default());
    [before, &[said.as_str()], behind].concat().join(" ")
}

/// Words of a printed line.
fn words(phrase: &mut Phrase) {
    let texts: Vec<&str> = phrase.tokens.iter().map(|t| t.text.as_str()).collect();
    let Some((at, (said, count))) = (0..texts.len()).find_map(|at| Some((at, ratio(&texts, at)?))) else {
        return;
    };
    let told: Vec<Token> = phrase.tokens.drain(at..at + count).collect();
    if let (Some(first), Some(last)) = (told.first(), told.last()) {
        let tail = last.text.chars().last().filter(|c| !c.is_alphanumeric());
        let text = format!("{said}{}", tail.map(String::from).unwrap_or_default());
        phrase
            .tokens
            .insert(at, Token { text: text.into(), area: first.area.union(&last.area), ..first.clone() });
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn parts_are_told_in_figures_and_in_words() {
        for (text, told) in [
            ("water, one part soil to two of water; organic", "water, 1:2 soil:water; organic"),
            ("one part of soil in five parts of water", "1:5 soil:water"),
            ("1 part soil to 2.5 parts water.", "1:2.5 soil:water."),
            ("one part soil, two of sand", "one part soil, two of sand"),
            ("one of soil and two pints water", "one of soil and two pints water"),
        ] {
            assert_eq!(ratios(text), told);
        }
    }
}
