//! Raised marks beside words: footnote numbers and signs.

use super::super::fold::fold;
use super::super::raised;
use super::{Phrase, Token};
use crate::document::Word;
use crate::place::Rect;

/// A raised digit that the font has as a letter of its own (`31²`) stands behind the word as a small word would.
pub(super) fn mark_apart(word: &Word, token: Token) -> Vec<Token> {
    // `¹ 1:1 soil:water.   ² Sikora buffer`: by itself it opens a note.
    if let Some(alone) = raised::alone(&word.text) {
        let area = Rect { y1: token.area.y0 + 0.5 * token.area.height(), ..token.area };
        return vec![Token { text: alone.into(), area, size: 0.5 * token.size, ..token }];
    }
    let (own, marks) = raised::apart(&word.text);
    let [mark] = marks.as_slice() else { return vec![token] };
    let area = token.area;
    let edge = area.x1 - (0.4 * token.size).min(0.5 * area.width());
    let small = Rect::new(edge, area.y0, area.x1, area.y0 + 0.5 * area.height());
    let mark = Token { text: mark.as_str().into(), area: small, size: 0.5 * token.size, ..token.clone() };
    vec![Token { text: fold(&own).into(), area: Rect::new(area.x0, area.y0, edge, area.y1), ..token }, mark]
}

/// How much smaller than its neighbours a raised mark is set.
pub(super) const MARK_SIZE: f32 = 0.82;

/// The same for a mark that is seen to be raised: browsers set theirs at five sixths.
const RAISED_SIZE: f32 = 0.86;

pub(super) fn opens_footnote(tokens: &[Token]) -> bool {
    let size = tokens.iter().map(|t| t.size).fold(0.0, f32::max);
    let bottom = tokens.iter().skip(1).map(|t| t.area.y1).fold(0.0, f32::max);
    let small = |t: &Token| {
        t.size < MARK_SIZE * size || t.size < RAISED_SIZE * size && t.area.y1 < bottom - 0.1 * size
    };
    tokens.len() > 1 && tokens.first().is_some_and(|t| small(t) && t.text.chars().count() <= 2)
}

/// Takes raised marks out of a phrase. A lone mark before words opens a footnote and stays, and so do those behind it on a
/// line of footnotes.
pub(super) fn without_marks(tokens: Vec<Token>, line_of_notes: bool) -> Option<Phrase> {
    let size = tokens.iter().map(|t| t.size).fold(0.0, f32::max);
    let bottom = tokens.iter().filter(|t| t.size > RAISED_SIZE * size).map(|t| t.area.y1).fold(0.0, f32::max);
    // In a footnote further small numbers open further notes.
    let footnote = line_of_notes || opens_footnote(&tokens);
    // The `g` of a small `meq/100 g` goes on in its line.
    let goes_on: Vec<bool> = tokens
        .iter()
        .enumerate()
        .map(|(i, t)| {
            let before = i.checked_sub(1).and_then(|i| tokens.get(i));
            before.is_some_and(|b| {
                let same =
                    (b.size - t.size).abs() < 0.02 * size && (b.area.y1 - t.area.y1).abs() < 0.05 * size;
                same && b.text.chars().count() > 2
            })
        })
        .collect();
    let is_mark = |i: usize, t: &Token| {
        i > 0
            && !footnote
            && goes_on.get(i) != Some(&true)
            && (t.size < RAISED_SIZE * size && t.area.y1 < bottom - 0.1 * size
                || t.size < 0.95 * size && t.area.y1 < bottom - 0.25 * size)
            && t.text.chars().count() <= 2
            && t.text
                .chars()
                .all(|c| c.is_ascii_digit() || c.is_ascii_lowercase() || matches!(c, '*' | '†' | '‡'))
    };
    let (marks, words): (Vec<(usize, Token)>, Vec<(usize, Token)>) =
        tokens.into_iter().enumerate().partition(|(i, t)| is_mark(*i, t));
    // `P` and `ppm` on both sides of a mark stand as close as two words: the mark fills the room between.
    let fills = |(i, word): &(usize, Token)| {
        let mark =
            marks.iter().find(|(at, _)| *at == i + 1).filter(|_| words.iter().any(|(k, _)| *k == i + 2));
        let x1 = mark.map_or(word.area.x1, |(_, m)| m.area.x1.max(word.area.x1));
        Token { area: Rect::new(word.area.x0, word.area.y0, x1, word.area.y1), ..word.clone() }
    };
    let mut phrase = Phrase::new(words.iter().map(fills).collect())?;
    phrase.marks = marks.into_iter().map(|(_, t)| t.text.into()).collect();
    Some(phrase)
}
