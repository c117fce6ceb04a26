//! Columns set closer than two phrases usually stand: a gap clearly wider than the spaces of the page, which the lines
//! around leave blank at the same place, is a lane between two columns.

use super::layout::{Line, Token};

/// A lane is this many times as wide as the usual space of the page.
const WIDER_THAN_SPACES: f32 = 1.7;
/// And at least this wide, in ems: justified lines stretch their spaces, but not in the same place.
const LEAST: f32 = 0.55;
/// How well edges agree, in ems.
const SAME_EDGE: f32 = 0.1;
/// Other lines that must show the lane.
const WITNESSES: usize = 3;
/// How far up and down lines bear witness, in lines.
const NEAR: usize = 8;

/// A stretch without ink between two words of one line.
#[derive(Clone, Copy)]
struct Gap {
    left: f32,
    right: f32,
}

/// Parts phrases at lanes.
pub fn part(lines: &mut [Line], em: f32) {
    let Some(width) = lane_width(lines, em) else { return };
    let gaps: Vec<Vec<Gap>> = lines.iter().map(|l| gaps(l, width)).collect();
    let extents: Vec<(f32, f32)> = lines.iter().map(|l| (l.area.x0, l.area.x1)).collect();
    for (i, line) in lines.iter_mut().enumerate() {
        // The last line of a sentence.
        let [first, ..] = line.phrases.as_slice() else { continue };
        if line.phrases.len() == 1 && first.tokens.last().is_some_and(|t| t.text.ends_with('.')) {
            continue;
        }
        line.phrases = std::mem::take(&mut line.phrases)
            .into_iter()
            .flat_map(|phrase| {
                let cuts: Vec<usize> = (1..phrase.tokens.len())
                    .filter(|at| {
                        gap_before(&phrase.tokens, *at)
                            .is_some_and(|g| g.right - g.left >= width && seen(i, g, &gaps, &extents, em))
                    })
                    .collect();
                phrase.parted(&cuts)
            })
            .collect();
    }
}

/// The least width of a lane: by the usual space between words, where the page has words enough to tell.
fn lane_width(lines: &[Line], em: f32) -> Option<f32> {
    let mut spaces: Vec<f32> = lines
        .iter()
        .flat_map(|l| &l.phrases)
        .flat_map(|p| p.tokens.windows(2))
        .filter_map(|w| match w {
            [a, b] => Some(b.area.x0 - a.area.x1),
            _ => None,
        })
        .collect();
    spaces.sort_by(f32::total_cmp);
    let usual = spaces.get(spaces.len() / 3)?;
    Some((WIDER_THAN_SPACES * usual).max(LEAST * em))
}

fn gap_before(tokens: &[Token], at: usize) -> Option<Gap> {
    let (before, token) = (tokens.get(at.checked_sub(1)?)?, tokens.get(at)?);
    Some(Gap { left: before.area.x1, right: token.area.x0 })
}

/// The wide gaps of a line, those between its phrases too.
fn gaps(line: &Line, width: f32) -> Vec<Gap> {
    let tokens: Vec<&Token> = line.phrases.iter().flat_map(|p| &p.tokens).collect();
    tokens
        .windows(2)
        .filter_map(|w| match w {
            [a, b] => Some(Gap { left: a.area.x1, right: b.area.x0 }),
            _ => None,
        })
        .filter(|g| g.right - g.left >= width)
        .collect()
}

/// True where lines around begin (or end) a column at the same edge, or the lines next to it all leave the gap blank.
fn seen(line: usize, gap: Gap, gaps: &[Vec<Gap>], extents: &[(f32, f32)], em: f32) -> bool {
    let near = line.saturating_sub(NEAR)..(line + NEAR + 1).min(gaps.len());
    let others = || near.clone().filter(|i| *i != line).filter_map(|i| gaps.get(i));
    let left = others().filter(|g| g.iter().any(|o| (o.right - gap.right).abs() < SAME_EDGE * em)).count();
    let right = others().filter(|g| g.iter().any(|o| (o.left - gap.left).abs() < SAME_EDGE * em)).count();
    if left >= WITNESSES || right >= WITNESSES {
        return true;
    }
    // Centred words share no edge: here the strip itself must stay blank from line to line.
    let blank = |i: &usize| {
        let across = extents.get(*i).is_some_and(|(x0, x1)| *x0 < gap.left && *x1 > gap.right);
        let strip = |o: &Gap| o.right.min(gap.right) - o.left.max(gap.left) >= 0.6 * (gap.right - gap.left);
        across && gaps.get(*i).is_some_and(|g| g.iter().any(strip))
    };
    let below = (line + 1..gaps.len()).take_while(blank).count();
    let above = (0..line).rev().take_while(blank).count();
    above + below > WITNESSES
}

#[cfg(test)]
mod tests {
    use super::super::layout::layout;
    use crate::document::{Content, Page, Turn, Word};
    use crate::place::Rect;

    /// Words at their left edges in type of ten points, five points a letter, three a space.
    fn set(lines: &[&[(f32, &str)]]) -> Vec<Vec<String>> {
        let mut words = Vec::new();
        for (row, line) in lines.iter().enumerate() {
            for (left, text) in *line {
                let mut x = *left;
                for part in text.split(' ') {
                    let width = part.chars().count() as f32 * 5.0;
                    let y = row as f32 * 14.0;
                    words.push(Word {
                        text: part.to_owned(),
                        area: Rect::new(x, y, x + width, y + 10.0),
                        size: 10.0,
                        turn: Turn::None,
                        confidence: None,
                    });
                    x += width + 3.0;
                }
            }
        }
        let page =
            Page { number: 1, width: 612.0, height: 792.0, name: None, content: Content::Words(words) };
        layout(&page).lines.iter().map(|l| l.phrases.iter().map(|p| p.text().to_owned()).collect()).collect()
    }

    #[test]
    fn names_set_close_over_columns_come_apart() {
        let found = set(&[
            &[(50.0, "Analysis of soil"), (200.0, "Bay 1"), (234.0, "Bay 2"), (268.0, "Lower bay")],
            &[(50.0, "Soil reaction"), (200.0, "7.8"), (234.0, "8.1"), (268.0, "7.6")],
            &[(50.0, "Organic matter"), (200.0, "5.2"), (234.0, "1.6"), (268.0, "5.8")],
            &[(50.0, "Clay and silt"), (200.0, "52"), (234.0, "51"), (268.0, "71")],
        ]);
        assert_eq!(found[0], ["Analysis of soil", "Bay 1", "Bay 2", "Lower bay"]);
    }

    #[test]
    fn a_wide_space_that_no_line_around_shares_parts_nothing() {
        let found = set(&[
            &[(50.0, "Lower bay of the"), (131.0, "north side")],
            &[(50.0, "is to be limed in autumn by hand")],
            &[(50.0, "and left for a year before a new"), (203.0, "test")],
            &[(50.0, "then cut as usual and fed again")],
        ]);
        assert!(found.iter().all(|line| line.len() == 1), "{found:?}");
    }
}
