//! `PH IN 1:1 WATER.  BUFFER PH BY MEHLICH.`: sentences of one line of a typewriter's, with two spaces between, which are
//! running text and no headings side by side.

use super::layout::{Layout, Line, Phrase, Token};
use super::words::List;

/// So many words make a sentence.
const WORDS: usize = 3;

/// Letters of the last word of a sentence, at the least: `lbs.` and `ac.` are cut short.
const LAST_WORD: usize = 5;

/// The widest space between two sentences, in ems.
const WIDEST: f32 = 2.0;

/// The page with the sentences of each such line made one phrase.
pub fn sentences_joined(mut page: Layout) -> Layout {
    if page.cells {
        return page;
    }
    for line in page.lines.iter_mut().filter(|l| l.phrases.len() > 1) {
        if is_text(line, page.em) {
            line.phrases = vec![whole(line)];
        }
    }
    page
}

fn whole(line: &Line) -> Phrase {
    let tokens: Vec<Token> = line.phrases.iter().flat_map(|p| p.tokens.to_vec()).collect();
    let marks = line.phrases.iter().flat_map(|p| p.marks.clone()).collect();
    Phrase { tokens: tokens.into(), area: line.area, marks }
}

fn is_text(line: &Line, em: f32) -> bool {
    let close = |pair: &[Phrase]| matches!(pair, [a, b] if b.area.x0 - a.area.x1 < WIDEST * em);
    line.phrases.iter().all(is_sentence) && line.phrases.windows(2).all(close)
}

/// Words that tell how something was done, or what it equals, up to a full stop.
fn is_sentence(phrase: &Phrase) -> bool {
    let words: Vec<String> = phrase.text().split(' ').map(str::to_lowercase).collect();
    let tells = |w: &String| List::TellsHow.has(w) || List::TellsIn.has(w) || w == "=";
    let last = words.last().and_then(|w| w.strip_suffix('.'));
    let whole = |w: &str| w.chars().count() >= LAST_WORD || w.parse::<f64>().is_ok();
    words.len() >= WORDS && words.iter().any(tells) && last.is_some_and(whole)
}

#[cfg(test)]
mod tests {
    use super::super::layout::{layout, tests::typed};
    use super::*;

    fn phrases(line: &str) -> usize {
        sentences_joined(layout(&typed(&[line]))).lines.iter().map(|l| l.phrases.len()).sum()
    }

    #[test]
    fn sentences_two_spaces_apart_are_one_text() {
        assert_eq!(phrases("PH IN 1:1 SOIL-WATER.  BUFFER PH BY ADAMS-EVANS.  LBS PER ACRE = PPM X 2."), 1);
        for heads in [
            "P in lbs.  K in lbs.",
            "Organic matter.  Phosphorus, ppm.  Potassium.",
            "P in water.  Potassium",
            "pH in 1:1 soil-water.           Buffer pH by Adams-Evans.",
        ] {
            assert!(phrases(heads) > 1, "{heads}");
        }
    }
}
