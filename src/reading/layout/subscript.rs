//! A lowered digit belongs to the letter it touches.

use super::Token;
use super::mark::MARK_SIZE;
use crate::place::{Place, Rect};
use rustc_hash::{FxHashMap, FxHashSet};

/// `P`, small `2`, `O`, small `5` are one formula: a lowered digit belongs to the letter it touches, and what touches
/// the digit goes on with it. Done before words become lines, as a digit may hang into the next line.
pub(super) fn with_subscripts(mut tokens: Vec<Token>) -> Vec<Token> {
    tokens.sort_by(|a, b| a.area.x0.total_cmp(&b.area.x0));
    let mut out: Vec<Token> = Vec::new();
    // Which words end about here: a digit is held against these alone.
    let mut ends: FxHashMap<i32, Vec<usize>> = FxHashMap::default();
    let mut open: FxHashSet<usize> = FxHashSet::default();
    for token in tokens {
        let digits = token.text.chars().all(|c| c.is_ascii_digit());
        let may_go_on = !open.is_empty() && token.text.starts_with(|c: char| c.is_alphabetic() || c == '-');
        let at = about(token.area.x0);
        let near =
            (at.saturating_sub(1)..=at.saturating_add(1)).filter_map(|at| ends.get(&at)).flatten().copied();
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
