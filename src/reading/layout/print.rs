//! The words of a printed page as lines of phrases.

use super::super::fold::fold;
use super::super::words::List;
use super::super::{gutter, lane};
use super::mark::{mark_apart, opens_footnote, without_marks};
use super::ruled::{self, Border};
use super::subscript::with_subscripts;
use super::{Layout, Line, Phrase, Token};
use crate::document::{Turn, Word};
use crate::place::{Place, Rect};

/// Gap, in ems, from which two words of a line are two phrases. A space is a quarter to a third of an em, justified
/// lines stretch it to two thirds, and columns stand further apart; typewriter spaces are six tenths each.
const PHRASE_GAP_EM: f32 = 0.95;

pub(super) fn words_layout(number: u32, words: &[Word]) -> Layout {
    let token = |w: &Word| Token {
        text: fold(&w.text).into(),
        area: w.area,
        place: Place::Page { page: number, area: w.area },
        size: w.size,
        confidence: w.confidence,
    };
    let upright: Vec<Token> = words
        .iter()
        .filter(|w| w.turn == Turn::None)
        .flat_map(|w| mark_apart(w, token(w)))
        .filter(|t| !t.text.is_empty())
        .collect();
    let em = median_size(&upright);
    let (mut upright, borders) = ruled::borders(upright, em);
    upright = with_subscripts(upright);
    upright.sort_by(|a, b| a.area.mid_y().total_cmp(&b.area.mid_y()).then(a.area.x0.total_cmp(&b.area.x0)));
    let mut lines: Vec<Vec<Token>> = Vec::new();
    let mut band = Band::default();
    for token in upright {
        let same = !lines.is_empty() && {
            let line = band.area();
            line.overlap_y(&token.area) > 0.5 * token.area.height().min(line.height())
        };
        if !same {
            band = Band::default();
        }
        band.add(&token.area);
        match lines.last_mut() {
            Some(line) if same => line.push(token),
            _ => lines.push(vec![token]),
        }
    }
    let mut lines: Vec<Line> =
        settled(lines).into_iter().flat_map(apart).filter_map(|tokens| line(tokens, em, &borders)).collect();
    lane::part(&mut lines, em);
    gutter::part(&mut lines, em);
    lines.iter_mut().for_each(|line| title_of_a_table(line, em));
    Layout { number, lines, turned: turned(number, words), em, cells: false }
}

/// The band a line's words share: the median box, so that one tall word does not swallow its neighbours.
#[derive(Default)]
struct Band {
    /// In order, as are the bottoms.
    tops: Vec<f32>,
    bottoms: Vec<f32>,
}

impl Band {
    fn add(&mut self, word: &Rect) {
        for (edges, edge) in [(&mut self.tops, word.y0), (&mut self.bottoms, word.y1)] {
            let at = edges.partition_point(|other| other.total_cmp(&edge).is_lt());
            edges.insert(at, edge);
        }
    }

    fn area(&self) -> Rect {
        let middle = |edges: &[f32]| edges.get(edges.len() / 2).copied().unwrap_or_default();
        Rect::new(0.0, middle(&self.tops), 1.0, middle(&self.bottoms))
    }
}

/// How much of its height a word shares at most with a line that it is not of.
const FOREIGN: f32 = 0.75;

/// And how much of it, at the least, with the line that it is of: baselines of two sizes differ a little.
const WHOLLY: f32 = 0.9;

/// Small words of a line that runs into the one before or behind, as in two lists side by side, where they stand wholly
/// within that other line and not in their own, are of the other.
fn settled(mut lines: Vec<Vec<Token>>) -> Vec<Vec<Token>> {
    let bands: Vec<Rect> = lines
        .iter()
        .map(|line| {
            let mut band = Band::default();
            line.iter().for_each(|t| band.add(&t.area));
            band.area()
        })
        .collect();
    for (at, pair) in bands.windows(2).enumerate() {
        let [above, below] = pair else { continue };
        if above.overlap_y(below) <= 0.0 {
            continue;
        }
        for (from, to, own, other) in [(at, at + 1, above, below), (at + 1, at, below, above)] {
            let strays = |t: &Token| {
                let height = t.area.height();
                other.overlap_y(&t.area) > WHOLLY * height && own.overlap_y(&t.area) < FOREIGN * height
            };
            let (gone, kept): (Vec<Token>, Vec<Token>) =
                lines.get(from).cloned().unwrap_or_default().into_iter().partition(strays);
            if gone.is_empty() || kept.is_empty() {
                continue;
            }
            if let Some(line) = lines.get_mut(to) {
                line.extend(gone);
            }
            if let Some(line) = lines.get_mut(from) {
                *line = kept;
            }
        }
    }
    lines
}

/// Words one over the other that share no height are of two lines, which a taller word beside them had drawn into one.
fn apart(mut tokens: Vec<Token>) -> Vec<Vec<Token>> {
    tokens.sort_by(|a, b| a.area.x0.total_cmp(&b.area.x0));
    let over = |a: &Rect, b: &Rect| {
        a.overlap_x(b) > SHARED * a.width().min(b.width())
            && a.overlap_y(b) < NOT_SHARED * a.height().min(b.height())
    };
    let cut = tokens.windows(2).find_map(|pair| match pair {
        [a, b] if over(&a.area, &b.area) => Some(f32::midpoint(a.area.mid_y(), b.area.mid_y())),
        _ => None,
    });
    let Some(cut) = cut else { return vec![tokens] };
    let (upper, lower) = tokens.into_iter().partition(|t: &Token| t.area.mid_y() < cut);
    vec![upper, lower]
}

/// So much of the narrower word's width two words share that stand one over the other, and at most so much of the height.
const SHARED: f32 = 0.3;
const NOT_SHARED: f32 = 0.1;

fn median_size(tokens: &[Token]) -> f32 {
    let mut sizes: Vec<f32> = tokens.iter().map(|t| t.size).filter(|s| *s > 0.0).collect();
    sizes.sort_by(f32::total_cmp);
    sizes.get(sizes.len() / 2).copied().unwrap_or(10.0)
}

fn line(tokens: Vec<Token>, em: f32, borders: &[Border]) -> Option<Line> {
    let whole = tokens.iter().map(|t| t.area).reduce(|a, b| a.union(&b))?;
    let borders = ruled::of_line(borders, &whole);
    let mut phrases: Vec<Vec<Token>> = Vec::new();
    for token in tokens {
        let near = phrases.last().and_then(|p| p.last()).is_some_and(|last| {
            let gap = token.area.x0 - last.area.x1;
            gap <= PHRASE_GAP_EM * last.size.max(token.size).max(0.5 * em)
                && !ruled::parts(&borders, &last.area, &token.area)
        });
        match phrases.last_mut() {
            Some(phrase) if near => phrase.push(token),
            _ => phrases.push(vec![token]),
        }
    }
    let footnote = phrases.first().is_some_and(|p| opens_footnote(p));
    let mut phrases: Vec<Phrase> = phrases.into_iter().filter_map(|p| without_marks(p, footnote)).collect();
    if !borders.is_empty() {
        ruled::widen(&mut phrases, &borders);
    }
    let area = phrases.iter().map(|p| p.area).reduce(|a, b| a.union(&b))?;
    Some(Line { phrases, area, footnote })
}

/// How far, in ems, a title stands at most from the number before it.
const TITLE_GAP_EM: f32 = 3.5;

/// `Table 1.   Fertility`, alone on its line: the number and the title of a table are one phrase, however far apart.
fn title_of_a_table(line: &mut Line, em: f32) {
    let [number, title] = line.phrases.as_slice() else { return };
    let gap = title.area.x0 - number.area.x1;
    if gap > TITLE_GAP_EM * em || !numbers_a_table(number.text()) {
        return;
    }
    let text = title.text();
    let opens = text.chars().next().is_some_and(char::is_alphabetic);
    if !opens || text.contains(':') || numbers_a_table(text) {
        return;
    }
    let tokens = line.phrases.iter().flat_map(|p| p.tokens.clone()).collect();
    let marks = line.phrases.iter().flat_map(|p| p.marks.clone()).collect();
    if let Some(whole) = Phrase::new(tokens) {
        line.phrases = vec![Phrase { marks, ..whole }];
    }
}

/// `Table 1.`, `TEIL 2:`, `Table 3b`.
fn numbers_a_table(text: &str) -> bool {
    let lower = text.to_lowercase();
    let Some((word, number)) = lower.split_once(' ') else { return false };
    let number = number.trim_end_matches(['.', ':', ')']);
    let figures = number.trim_end_matches(|c: char| c.is_ascii_lowercase());
    List::Table.has(word)
        && number.len() - figures.len() <= 1
        && (1..=2).contains(&figures.len())
        && figures.bytes().all(|b| b.is_ascii_digit())
}

/// Turned words that follow each other along their own direction form one phrase.
fn turned(number: u32, words: &[Word]) -> Vec<Phrase> {
    let mut runs: Vec<(Turn, Vec<Token>)> = Vec::new();
    let mut sorted: Vec<&Word> = words.iter().filter(|w| matches!(w.turn, Turn::Up | Turn::Down)).collect();
    sorted.sort_by(|a, b| match a.turn {
        Turn::Up => b.area.y1.total_cmp(&a.area.y1),
        _ => a.area.y0.total_cmp(&b.area.y0),
    });
    for word in sorted {
        let token = Token {
            text: fold(&word.text).into(),
            area: word.area,
            place: Place::Page { page: number, area: word.area },
            size: word.size,
            confidence: word.confidence,
        };
        let joined = runs.iter_mut().find(|(turn, run)| {
            *turn == word.turn
                && run.last().is_some_and(|last| {
                    let gap = match word.turn {
                        Turn::Up => last.area.y0 - token.area.y1,
                        _ => token.area.y0 - last.area.y1,
                    };
                    last.area.overlap_x(&token.area) > 0.5 * last.area.width().min(token.area.width())
                        && gap < PHRASE_GAP_EM * token.size
                        && gap > -0.5 * token.size
                })
        });
        match joined {
            Some((_, run)) => run.push(token),
            None => runs.push((word.turn, vec![token])),
        }
    }
    runs.into_iter().filter_map(|(_, run)| Phrase::new(run)).collect()
}
