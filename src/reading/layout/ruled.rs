//! Tables ruled with signs, as on a typewriter: upright bars that stand over each other are the borders of columns.

use super::{Phrase, Token};
use crate::place::{Place, Rect};

/// From so many bars over each other they are a border, and from so many borders a table.
const BARS: usize = 3;
const BORDERS: usize = 2;

/// Bars over each other stand no further apart than this, in ems.
const SAME_PLACE: f32 = 0.15;

/// A border of a table: where it stands, and at which heights it has a bar.
pub(super) struct Border {
    x: f32,
    heights: Vec<f32>,
}

impl Border {
    /// True where it has a bar in a line of this box.
    fn in_line(&self, area: &Rect) -> bool {
        self.heights.iter().any(|y| (area.y0..area.y1).contains(y))
    }
}

/// The borders of tables ruled with bars, and the words without the bars and the ruled lines between rows. A page without
/// such a table keeps its words as they are.
pub(super) fn borders(tokens: Vec<Token>, em: f32) -> (Vec<Token>, Vec<Border>) {
    let mut bars: Vec<(f32, f32)> = tokens.iter().flat_map(bars_of).collect();
    bars.sort_by(|a, b| a.0.total_cmp(&b.0));
    let mut groups: Vec<(f32, Border)> = Vec::new();
    for (x, y) in bars {
        match groups.last_mut() {
            Some((last, border)) if x - *last < SAME_PLACE * em => {
                *last = x;
                border.heights.push(y);
            }
            _ => groups.push((x, Border { x, heights: vec![y] })),
        }
    }
    let mut out: Vec<Border> =
        groups.into_iter().map(|(_, border)| border).filter(|b| b.heights.len() >= BARS).collect();
    if out.len() < BORDERS {
        return (tokens, Vec::new());
    }
    let is_border = |x: f32| out.iter().any(|b| (b.x - x).abs() < 2.0 * SAME_PLACE * em);
    let rule =
        |t: &Token| t.text.len() >= BARS && t.text.chars().all(|c| matches!(c, '-' | '+' | '=' | '|' | '_'));
    let kept: Vec<Token> =
        tokens.into_iter().filter(|t| !rule(t)).flat_map(|t| without_bars(t, &is_border)).collect();
    let heights: Vec<f32> = out.iter().flat_map(|b| b.heights.clone()).collect();
    let in_table = |t: &&Token| heights.iter().any(|y| (t.area.y0..t.area.y1).contains(y));
    let right = kept.iter().filter(in_table).map(|t| t.area.x1).reduce(f32::max);
    let last = out.last().map(|b| b.x);
    // A table without a bar at its right end ends where its words do.
    out.extend(right.filter(|x| last.is_some_and(|l| *x > l)).map(|x| Border { x, heights }));
    (kept, out)
}

/// The bars among the letters of a word: the middle of each.
fn bars_of(token: &Token) -> Vec<(f32, f32)> {
    if !token.text.contains('|') {
        return Vec::new();
    }
    let width = letter(token);
    let bars = token.text.chars().enumerate().filter(|(_, c)| *c == '|');
    bars.map(|(i, _)| (token.area.x0 + (i as f32 + 0.5) * width, token.area.mid_y())).collect()
}

fn letter(token: &Token) -> f32 {
    token.area.width() / token.text.chars().count().max(1) as f32
}

/// The words between the bars of a word that are borders.
fn without_bars(token: Token, is_border: &dyn Fn(f32) -> bool) -> Vec<Token> {
    if !token.text.contains('|') {
        return vec![token];
    }
    let width = letter(&token);
    let at = |i: usize| token.area.x0 + i as f32 * width;
    let letters: Vec<char> = token.text.chars().collect();
    let mut out = Vec::new();
    let mut from = 0;
    for to in 0..=letters.len() {
        let bar = letters.get(to).is_none_or(|c| *c == '|' && is_border(at(to) + 0.5 * width));
        if !bar {
            continue;
        }
        let part: String = letters.get(from..to).unwrap_or_default().iter().collect();
        if !part.is_empty() {
            let cut = |area: Rect| Rect::new(at(from), area.y0, at(to), area.y1);
            let place = match token.place {
                Place::Page { page, area } => Place::Page { page, area: cut(area) },
                other => other,
            };
            out.push(Token { text: part.into(), area: cut(token.area), place, ..token.clone() });
        }
        from = to + 1;
    }
    out
}

/// The borders with a bar in a line of this box.
pub(super) fn of_line(borders: &[Border], area: &Rect) -> Vec<f32> {
    borders.iter().filter(|b| b.in_line(area)).map(|b| b.x).collect()
}

/// True where a border stands between two words.
pub(super) fn parts(borders: &[f32], left: &Rect, right: &Rect) -> bool {
    borders.iter().any(|x| *x > left.mid_x() && *x < right.mid_x())
}

/// Phrases alone in a cell are as wide as it, so that what stands anywhere in a cell stands under its heading.
pub(super) fn widen(phrases: &mut [Phrase], borders: &[f32]) {
    let cell = |area: &Rect| {
        let left = borders.iter().copied().filter(|x| *x < area.mid_x()).fold(f32::NEG_INFINITY, f32::max);
        let right = borders.iter().copied().filter(|x| *x > area.mid_x()).fold(f32::INFINITY, f32::min);
        (left, right)
    };
    let cells: Vec<(f32, f32)> = phrases.iter().map(|p| cell(&p.area)).collect();
    for (phrase, own) in phrases.iter_mut().zip(&cells) {
        if cells.iter().filter(|other| *other == own).count() == 1 {
            let (left, right) = *own;
            phrase.area.x0 = if left.is_finite() { left + INSIDE } else { phrase.area.x0 };
            phrase.area.x1 = if right.is_finite() { right - INSIDE } else { phrase.area.x1 };
        }
    }
}

/// How far, in points, a cell keeps from its border.
const INSIDE: f32 = 1.0;

#[cfg(test)]
mod tests {
    use super::super::{layout, tests::typed};

    #[test]
    fn bars_over_each_other_are_borders_and_no_letters() {
        let page = layout(&typed(&[
            "SAMPLE |LAB  |SOIL   |PHOSPHORUS|K",
            "       |NO.  |PH     |PPM       |PPM",
            "-------+-----+-------+----------+------",
            "HOME 1 | 9001|    5.1|        62|   142",
            "HOME 2 | 9002|       |        30|    77",
        ]));
        let texts: Vec<Vec<&str>> =
            page.lines.iter().map(|l| l.phrases.iter().map(|p| p.text()).collect()).collect();
        let want: [&[&str]; 4] = [
            &["SAMPLE", "LAB", "SOIL", "PHOSPHORUS", "K"],
            &["NO.", "PH", "PPM", "PPM"],
            &["HOME 1", "9001", "5.1", "62", "142"],
            &["HOME 2", "9002", "30", "77"],
        ];
        assert_eq!(texts, want);
        let head = page.lines[0].phrases[4].area;
        assert!(head.overlap_x(&page.lines[2].phrases[4].area) > 0.0);
        // A bar here and there is a letter.
        let page = layout(&typed(&["A|B  5.1", "C|D  6.1", "North  4.2 | 7"]));
        assert_eq!(page.lines[0].phrases[0].text(), "A|B");
    }
}
