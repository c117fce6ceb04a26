//! Words or cells laid out as lines of phrases, so that one geometry reads print, text and tables alike.
//!
//! A cell gets the box it would have on squared paper, a hundred points wide and twenty high: overlap, order and
//! distance then mean the same for a spreadsheet as for a printed page.

use super::fold::fold;
use super::{gutter, lane, raised};
use crate::document::{Cell, Content, Page, Turn, Word};
use crate::place::{Place, Rect};
use rustc_hash::{FxHashMap, FxHashSet};

/// A word, or the whole text of a cell.
#[derive(Debug, Clone, PartialEq)]
pub struct Token {
    /// As printed, folded.
    pub text: String,
    /// Its box.
    pub area: Rect,
    /// Where it stands on the original.
    pub place: Place,
    /// Type size in points.
    pub size: f32,
    /// Confidence of text recognition, 0 to 100.
    pub confidence: Option<f32>,
}

/// Words that belong together, or one cell.
#[derive(Debug, Clone, PartialEq)]
pub struct Phrase {
    /// Never empty.
    pub tokens: Vec<Token>,
    /// The box around all.
    pub area: Rect,
    /// Small raised marks set beside its words: footnote numbers and signs, no part of a name or a value.
    pub marks: Vec<String>,
}

/// A printed line, or a row of cells.
#[derive(Debug, Clone, PartialEq)]
pub struct Line {
    /// From left to right.
    pub phrases: Vec<Phrase>,
    /// The box around all.
    pub area: Rect,
    /// Opens with a small raised sign: a footnote, whose numbers are no values.
    pub footnote: bool,
}

/// A page laid out.
#[derive(Debug, Clone, PartialEq)]
pub struct Layout {
    /// Page or sheet, from 1.
    pub number: u32,
    /// From top to bottom.
    pub lines: Vec<Line>,
    /// Phrases that read upwards or downwards (turned headings).
    pub turned: Vec<Phrase>,
    /// The usual type size of the page, points.
    pub em: f32,
    /// True for a table file.
    pub cells: bool,
}

impl Phrase {
    fn new(tokens: Vec<Token>) -> Option<Self> {
        let area = tokens.iter().map(|t| t.area).reduce(|a, b| a.union(&b))?;
        Some(Self { tokens, area, marks: Vec::new() })
    }

    /// Its words with single spaces.
    pub fn text(&self) -> String {
        joined(&self.tokens)
    }

    /// Where it stands: the place of its words together.
    pub fn place(&self) -> Option<Place> {
        place_of(&self.tokens)
    }

    /// The words from `from` up to `to` as a phrase of their own.
    pub fn part(&self, from: usize, to: usize) -> Option<Self> {
        Self::new(self.tokens.get(from..to)?.to_vec())
    }

    /// The phrase parted before these tokens; its marks stand beside the first part, which is the name.
    pub fn parted(self, cuts: &[usize]) -> Vec<Self> {
        if cuts.is_empty() {
            return vec![self];
        }
        let mut out = Vec::new();
        let mut from = 0;
        for to in cuts.iter().copied().chain([self.tokens.len()]) {
            out.extend(self.part(from, to));
            from = to;
        }
        if let Some(first) = out.first_mut() {
            first.marks = self.marks;
        }
        out
    }
}

/// Words with single spaces.
pub fn joined(tokens: &[Token]) -> String {
    let mut text = String::with_capacity(tokens.iter().map(|token| token.text.len() + 1).sum());
    for (at, token) in tokens.iter().enumerate() {
        if at > 0 {
            text.push(' ');
        }
        text.push_str(&token.text);
    }
    text
}

/// The place that covers all tokens; for cells that of the first.
pub fn place_of(tokens: &[Token]) -> Option<Place> {
    let mut places = tokens.iter().map(|t| t.place);
    let first = places.next()?;
    Some(places.fold(first, |a, b| match (a, b) {
        (Place::Page { page, area }, Place::Page { area: other, .. }) => {
            Place::Page { page, area: area.union(&other) }
        }
        (a, _) => a,
    }))
}

/// Gap, in ems, from which two words of a line are two phrases. A space is a quarter to a third of an em, justified
/// lines stretch it to two thirds, and columns stand further apart; typewriter spaces are six tenths each.
const PHRASE_GAP_EM: f32 = 0.95;

/// Lays a page out.
pub fn layout(page: &Page) -> Layout {
    match &page.content {
        Content::Words(words) => words_layout(page.number, words),
        Content::Cells(cells) => cells_layout(page.number, cells),
        Content::Picture(_) => {
            Layout { number: page.number, lines: Vec::new(), turned: Vec::new(), em: 10.0, cells: false }
        }
    }
}

fn words_layout(number: u32, words: &[Word]) -> Layout {
    let token = |w: &Word| Token {
        text: fold(&w.text),
        area: w.area,
        place: Place::Page { page: number, area: w.area },
        size: w.size,
        confidence: w.confidence,
    };
    let mut upright: Vec<Token> = words
        .iter()
        .filter(|w| w.turn == Turn::None)
        .flat_map(|w| mark_apart(w, token(w)))
        .filter(|t| !t.text.is_empty())
        .collect();
    let em = median_size(&upright);
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
    let mut lines: Vec<Line> = settled(lines).into_iter().filter_map(|tokens| line(tokens, em)).collect();
    lane::part(&mut lines, em);
    gutter::part(&mut lines, em);
    Layout { number, lines, turned: turned(number, words), em, cells: false }
}

/// A raised digit that the font has as a letter of its own (`31²`) stands behind the word as a small word would.
fn mark_apart(word: &Word, token: Token) -> Vec<Token> {
    let (own, marks) = raised::apart(&word.text);
    let [mark] = marks.as_slice() else { return vec![token] };
    let area = token.area;
    let edge = area.x1 - (0.4 * token.size).min(0.5 * area.width());
    let small = Rect::new(edge, area.y0, area.x1, area.y0 + 0.5 * area.height());
    let mark = Token { text: mark.clone(), area: small, size: 0.5 * token.size, ..token.clone() };
    vec![Token { text: fold(&own), area: Rect::new(area.x0, area.y0, edge, area.y1), ..token }, mark]
}

/// `P`, small `2`, `O`, small `5` are one formula: a lowered digit belongs to the letter it touches, and what touches
/// the digit goes on with it. Done before words become lines, as a digit may hang into the next line.
fn with_subscripts(mut tokens: Vec<Token>) -> Vec<Token> {
    tokens.sort_by(|a, b| a.area.x0.total_cmp(&b.area.x0));
    let mut out: Vec<Token> = Vec::new();
    // Which words end about here: a digit is held against these alone.
    let mut ends: FxHashMap<i32, Vec<usize>> = FxHashMap::default();
    let mut open: FxHashSet<usize> = FxHashSet::default();
    for token in tokens {
        let digits = token.text.chars().all(|c| c.is_ascii_digit());
        let may_go_on = !open.is_empty() && token.text.starts_with(|c: char| c.is_alphabetic() || c == '-');
        let at = about(token.area.x0);
        let near = (at - 1..=at + 1).filter_map(|at| ends.get(&at)).flatten().copied();
        let owner = if digits || may_go_on {
            near.rev().find(|i| {
                out.get(*i).is_some_and(|last: &Token| {
                    let level = (token.area.y1 - last.area.y1).abs() < 0.12 * last.size;
                    touches(last, &token)
                        && (digits && is_lowered(last, &token) || may_go_on && level && open.contains(i))
                })
            })
        } else {
            None
        };
        let Some((owner, last)) = owner.and_then(|i| Some((i, out.get_mut(i)?))) else {
            ends.entry(about(token.area.x1)).or_default().push(out.len());
            out.push(token);
            continue;
        };
        last.text.push_str(&token.text);
        // A lowered digit makes the word no taller: it stands in the line of its letters.
        last.area = Rect::new(last.area.x0, last.area.y0, last.area.x1.max(token.area.x1), last.area.y1);
        if let (Place::Page { page, area }, Place::Page { area: other, .. }) = (last.place, token.place) {
            last.place = Place::Page { page, area: area.union(&other) };
        }
        ends.entry(about(last.area.x1)).or_default().push(owner);
        if digits {
            open.insert(owner);
        } else {
            open.remove(&owner);
        }
    }
    out
}

/// Points in steps of two.
#[allow(clippy::cast_possible_truncation)]
fn about(points: f32) -> i32 {
    (points / 2.0) as i32
}

fn touches(last: &Token, token: &Token) -> bool {
    let gap = (token.area.x0 - last.area.x1) / last.size.max(token.size);
    (-0.3..0.12).contains(&gap) && last.area.overlap_y(&token.area) > 0.0
}

/// How far below its letters, in their size, a digit of any size is a subscript.
const HANGS: f32 = 0.25;

/// True for a digit that stands lower than the letter before it.
fn is_lowered(last: &Token, token: &Token) -> bool {
    let lower = token.area.y1 - last.area.y1;
    last.text.ends_with(char::is_alphabetic)
        && (token.size < 0.95 * last.size && lower > 0.08 * last.size
            || token.size < MARK_SIZE * last.size && lower > -0.12 * last.size
            || token.size <= last.size && lower > HANGS * last.size)
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

fn median_size(tokens: &[Token]) -> f32 {
    let mut sizes: Vec<f32> = tokens.iter().map(|t| t.size).filter(|s| *s > 0.0).collect();
    sizes.sort_by(f32::total_cmp);
    sizes.get(sizes.len() / 2).copied().unwrap_or(10.0)
}

fn line(mut tokens: Vec<Token>, em: f32) -> Option<Line> {
    tokens.sort_by(|a, b| a.area.x0.total_cmp(&b.area.x0));
    let mut phrases: Vec<Vec<Token>> = Vec::new();
    for token in tokens {
        let near = phrases.last().and_then(|p| p.last()).is_some_and(|last| {
            let gap = token.area.x0 - last.area.x1;
            gap <= PHRASE_GAP_EM * last.size.max(token.size).max(0.5 * em)
        });
        match phrases.last_mut() {
            Some(phrase) if near => phrase.push(token),
            _ => phrases.push(vec![token]),
        }
    }
    let footnote = phrases.first().is_some_and(|p| opens_footnote(p));
    let phrases: Vec<Phrase> = phrases.into_iter().filter_map(|p| without_marks(p, footnote)).collect();
    let area = phrases.iter().map(|p| p.area).reduce(|a, b| a.union(&b))?;
    Some(Line { phrases, area, footnote })
}

/// How much smaller than its neighbours a raised mark is set.
const MARK_SIZE: f32 = 0.82;
/// The same for a mark that is seen to be raised: browsers set theirs at five sixths.
const RAISED_SIZE: f32 = 0.86;

fn opens_footnote(tokens: &[Token]) -> bool {
    let size = tokens.iter().map(|t| t.size).fold(0.0, f32::max);
    let bottom = tokens.iter().skip(1).map(|t| t.area.y1).fold(0.0, f32::max);
    let small = |t: &Token| {
        t.size < MARK_SIZE * size || t.size < RAISED_SIZE * size && t.area.y1 < bottom - 0.1 * size
    };
    tokens.len() > 1 && tokens.first().is_some_and(|t| small(t) && t.text.chars().count() <= 2)
}

/// Takes raised marks out of a phrase. A lone mark before words opens a footnote and stays, and so do those behind it on a
/// line of footnotes.
fn without_marks(tokens: Vec<Token>, line_of_notes: bool) -> Option<Phrase> {
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
    phrase.marks = marks.into_iter().map(|(_, t)| t.text).collect();
    Some(phrase)
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
            text: fold(&word.text),
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

fn cells_layout(number: u32, cells: &[Cell]) -> Layout {
    let mut rows: std::collections::BTreeMap<u32, Vec<Phrase>> = std::collections::BTreeMap::new();
    let mut footnotes: Vec<u32> = Vec::new();
    for cell in cells {
        if raised::opens(&cell.text) {
            footnotes.push(cell.row);
        }
        let (words, marks) = raised::apart(&cell.text);
        let text = fold(&words);
        if text.is_empty() {
            continue;
        }
        #[allow(clippy::cast_precision_loss)]
        let (x, y) = (cell.column as f32 * 100.0, cell.row as f32 * 20.0);
        #[allow(clippy::cast_precision_loss)]
        let area = Rect::new(
            x + 2.0,
            y,
            x + cell.columns.max(1) as f32 * 100.0 - 2.0,
            y + cell.rows.max(1) as f32 * 20.0 - 8.0,
        );
        let token = Token {
            text,
            area,
            place: Place::Cell { sheet: number, row: cell.row, column: cell.column },
            size: 10.0,
            confidence: None,
        };
        if let Some(phrase) = Phrase::new(vec![token]) {
            rows.entry(cell.row).or_default().push(Phrase { marks, ..phrase });
        }
    }
    let lines = rows
        .into_iter()
        .filter_map(|(row, mut phrases)| {
            phrases.sort_by(|a, b| a.area.x0.total_cmp(&b.area.x0));
            let area = phrases.iter().map(|p| p.area).reduce(|a, b| a.union(&b))?;
            let footnote = phrases.len() == 1 && footnotes.contains(&row);
            Some(Line { phrases, area, footnote })
        })
        .collect();
    Layout { number, lines, turned: Vec::new(), em: 10.0, cells: true }
}

#[cfg(test)]
pub(crate) mod tests {
    use super::*;

    /// A page set as on a typewriter: six points a letter, twelve a line.
    pub(crate) fn typed(lines: &[&str]) -> Page {
        let mut words = Vec::new();
        for (row, line) in lines.iter().enumerate() {
            let mut column = 0;
            for part in line.split(' ') {
                let length = part.chars().count();
                if length > 0 {
                    let (x, y) = (column as f32 * 6.0, row as f32 * 12.0);
                    words.push(Word {
                        text: part.to_owned(),
                        area: Rect::new(x, y, x + length as f32 * 6.0, y + 10.0),
                        size: 10.0,
                        turn: Turn::None,
                        confidence: None,
                    });
                }
                column += length + 1;
            }
        }
        Page { number: 1, width: 612.0, height: 792.0, name: None, content: Content::Words(words) }
    }

    #[test]
    fn a_raised_digit_is_no_digit_of_the_number_before_it() {
        let page = layout(&typed(&["Creek  31²  g/cm³"]));
        let found: Vec<(String, Vec<String>)> =
            page.lines[0].phrases.iter().map(|p| (p.text(), p.marks.clone())).collect();
        let of =
            |text: &str, marks: &[&str]| (text.to_owned(), marks.iter().map(|m| (*m).to_owned()).collect());
        assert_eq!(found, [of("Creek", &[]), of("31", &["2"]), of("g/cm3", &[])]);
    }

    /// Words of a size at a place: text, left edge, top, width.
    fn set(words: &[(&str, f32, f32, f32)], size: f32) -> Vec<Word> {
        let Content::Words(one) = typed(&["x"]).content else { return Vec::new() };
        let word = |(text, x, y, width): &(&str, f32, f32, f32)| Word {
            text: (*text).to_owned(),
            area: Rect::new(*x, *y, x + width, y + size),
            size,
            ..one[0].clone()
        };
        words.iter().map(word).collect()
    }

    #[test]
    fn a_hanging_digit_belongs_to_its_formula_and_not_to_the_line_below() {
        let mut words =
            set(&[("N-NO", 50.0, 100.0, 19.0), ("P", 100.0, 100.0, 5.0), ("O", 109.0, 100.0, 5.0)], 7.5);
        words
            .extend(set(&[("3", 69.0, 103.8, 4.0), ("2", 105.0, 103.8, 4.0), ("5", 114.0, 103.8, 4.0)], 7.2));
        words.extend(set(&[("Olsen", 150.0, 105.0, 20.0)], 7.5));
        let texts = |words: &[Word]| -> Vec<String> {
            words_layout(1, words).lines.iter().flat_map(|l| &l.phrases).map(Phrase::text).collect()
        };
        assert_eq!(texts(&words), ["N-NO3", "P2O5", "Olsen"]);
        // A digit of its own in the next line, and one that stands level, are none.
        let mut apart = set(&[("N-NO", 50.0, 100.0, 19.0)], 7.5);
        apart.extend(set(&[("3", 69.0, 110.0, 4.0)], 7.5));
        assert_eq!(texts(&apart), ["N-NO", "3"]);
        let level = set(&[("Bed", 50.0, 100.0, 19.0), ("3", 69.0, 100.0, 4.0)], 7.5);
        assert_eq!(texts(&level), ["Bed 3"]);
    }

    #[test]
    fn a_small_unit_is_of_the_line_it_stands_in_and_not_of_a_list_beside() {
        let mut page =
            typed(&["Magnesium  487  ppm  H", "                            Zinc (DTPA)  5.1  meq/100 g"]);
        if let Content::Words(words) = &mut page.content {
            for word in words {
                let right = word.area.x0 > 160.0;
                let small = matches!(word.text.as_str(), "ppm" | "meq/100" | "g");
                let top = if right { 5.3 } else { 0.0 };
                word.size = if small { 8.0 } else { 10.0 };
                word.area.y0 = top;
                word.area.y1 = top + if small { 8.4 } else { 10.0 };
            }
        }
        let found: Vec<String> = layout(&page)
            .lines
            .iter()
            .map(|l| l.phrases.iter().map(Phrase::text).collect::<Vec<_>>().join(" | "))
            .collect();
        assert_eq!(found, ["Magnesium | 487 | ppm | H", "Zinc (DTPA) | 5.1 | meq/100 g"]);
    }

    #[test]
    fn a_line_of_footnotes_keeps_its_numbers_and_a_mark_parts_no_unit_from_its_name() {
        // Words behind a raised number of five sixths their size.
        let set = |line: &str, raised: &[&str]| {
            let mut page = typed(&[line]);
            if let Content::Words(words) = &mut page.content {
                for word in words.iter_mut().filter(|w| raised.contains(&w.text.as_str())) {
                    word.size = 8.3;
                    word.area = Rect::new(word.area.x0 - 6.0, -2.0, word.area.x1 - 1.0, 6.3);
                }
            }
            layout(&page).lines[0].phrases.iter().map(Phrase::text).collect::<Vec<_>>()
        };
        let notes = set("1 in water 2 Sikora buffer 3   Olsen 4 DTPA", &["1", "2", "3", "4"]);
        assert_eq!(notes.join(" "), "1 in water 2 Sikora buffer 3 Olsen 4 DTPA");
        assert_eq!(set("Sample    P 4 ppm", &["4"]), ["Sample", "P ppm"]);
    }

    #[test]
    fn one_space_joins_and_two_part() {
        let page = layout(&typed(&["Creek Field  615   5.7"]));
        let texts: Vec<String> = page.lines[0].phrases.iter().map(Phrase::text).collect();
        assert_eq!(texts, ["Creek Field", "615", "5.7"]);
    }
}
