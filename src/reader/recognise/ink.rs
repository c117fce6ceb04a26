//! What the ink itself says of a number: how many figures stand in it, and where a point does.
//!
//! Recognition loses the point of `6.4` while it is sure of `64`. The patches of ink do not: a small one on the
//! line between two tall ones is a point, and figures that stand wider apart than figures do leave room for one.

use super::sheet::Sheet;
use crate::place::Rect;

/// What the ink says of a text.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Ink {
    /// Figures and points in this order.
    Agrees,
    /// A point that was not read.
    Contradicts,
    /// Figures that touch or are broken, a point that is not seen, or room for one.
    Unclear,
}

/// Shares of the height of a figure.
mod share {
    /// From here a patch is a figure.
    pub(super) const FIGURE: f32 = 0.72;
    /// Up to here, both ways, a point or a comma.
    pub(super) const POINT_HIGH: f32 = 0.45;
    pub(super) const POINT_WIDE: f32 = 0.42;
    /// Wider than this: two figures that touch.
    pub(super) const TOUCHING: f32 = 0.95;
    /// Middles of neighbouring figures stand at most this far apart: a point between them needs more. Common
    /// proportions of text faces; figures of one face are equally wide.
    pub(super) const APART: f32 = 1.04;
    /// Smaller than this: a speck.
    pub(super) const SPECK: f32 = 0.055;
}

/// A patch of ink.
#[derive(Debug, Clone, Copy)]
struct Patch {
    x0: f32,
    y0: f32,
    x1: f32,
    y1: f32,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Kind {
    Figure,
    Point,
    Other,
}

/// What the ink in a box of the sheet says of the text read there; pixels up to `edge` are ink.
pub(super) fn says(sheet: &Sheet, area: &Rect, edge: u8, text: &str) -> Ink {
    let Some(wanted) = wanted(text) else { return Ink::Unclear };
    let mut patches = patches(sheet, area, edge);
    patches.sort_by(|one, other| (one.x0 + one.x1).total_cmp(&(other.x0 + other.x1)));
    let Some((kinds, height)) = kinds(&patches) else { return Ink::Unclear };
    let count = |kinds: &[Kind], kind: Kind| kinds.iter().filter(|one| **one == kind).count();
    if kinds.contains(&Kind::Other) && !wanted.contains(&Kind::Other) {
        return Ink::Unclear;
    }
    if count(&kinds, Kind::Figure) != count(&wanted, Kind::Figure) {
        return Ink::Unclear;
    }
    if kinds != wanted {
        // A point may run into the figure beside it; one in the ink that nobody read is the error to find.
        return if count(&kinds, Kind::Point) > count(&wanted, Kind::Point) {
            Ink::Contradicts
        } else {
            Ink::Unclear
        };
    }
    if room_for_a_point(&patches, &kinds, height) { Ink::Unclear } else { Ink::Agrees }
}

/// The boxes of the figures in a box of the sheet, from left to right; none where they are not as many as the text
/// has digits, or touch.
pub(super) fn figures(sheet: &Sheet, area: &Rect, edge: u8, text: &str) -> Option<Vec<Rect>> {
    let digits = text.chars().filter(char::is_ascii_digit).count();
    let mut patches = patches(sheet, area, edge);
    patches.sort_by(|one, other| (one.x0 + one.x1).total_cmp(&(other.x0 + other.x1)));
    let (kinds, _) = kinds(&patches)?;
    let found: Vec<Rect> = patches
        .iter()
        .zip(kinds)
        .filter(|(_, kind)| *kind == Kind::Figure)
        .map(|(patch, _)| Rect::new(patch.x0, patch.y0, patch.x1, patch.y1))
        .collect();
    (found.len() == digits).then_some(found)
}

/// The kinds of a printed number's signs; none for what is no number.
fn wanted(text: &str) -> Option<Vec<Kind>> {
    text.chars()
        .map(|sign| match sign {
            '0'..='9' => Some(Kind::Figure),
            '.' | ',' => Some(Kind::Point),
            '<' | '>' | '-' | '+' => Some(Kind::Other),
            _ => None,
        })
        .collect()
}

/// What each patch is, and the height of a figure; none where nothing is tall enough to compare with.
fn kinds(patches: &[Patch]) -> Option<(Vec<Kind>, f32)> {
    let height = patches.iter().map(|patch| patch.y1 - patch.y0).fold(0.0, f32::max);
    let tall = |patch: &&Patch| patch.y1 - patch.y0 >= share::FIGURE * height;
    let feet = patches.iter().filter(tall).map(|patch| patch.y1);
    let line = feet.clone().sum::<f32>() / patches.iter().filter(tall).count().max(1) as f32;
    if height < 8.0 {
        return None;
    }
    let kind = |patch: &Patch| {
        let (wide, high) = (patch.x1 - patch.x0, patch.y1 - patch.y0);
        if high >= share::FIGURE * height {
            if wide > share::TOUCHING * height { Kind::Other } else { Kind::Figure }
        } else if high <= share::POINT_HIGH * height
            && wide <= share::POINT_WIDE * height
            && patch.y1 >= line - 0.12 * height
            && patch.y0 >= line - share::POINT_HIGH * height
        {
            Kind::Point
        } else {
            Kind::Other
        }
    };
    Some((patches.iter().map(kind).collect(), height))
}

fn room_for_a_point(patches: &[Patch], kinds: &[Kind], height: f32) -> bool {
    let middle = |patch: &Patch| (patch.x0 + patch.x1) / 2.0;
    patches.windows(2).zip(kinds.windows(2)).any(|(pair, kinds)| match (pair, kinds) {
        ([one, next], [Kind::Figure, Kind::Figure]) => middle(next) - middle(one) > share::APART * height,
        _ => false,
    })
}

/// The patches of ink whose middle lies in the box, specks left out.
#[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss, clippy::cast_precision_loss)]
fn patches(sheet: &Sheet, area: &Rect, edge: u8) -> Vec<Patch> {
    let high = area.height().max(1.0);
    let near = |place: f32, most: usize| (place.max(0.0) as usize).min(most);
    let (left, right) =
        (near(area.x0 - 0.5 * high, sheet.width), near(area.x1 + 0.5 * high + 1.0, sheet.width));
    let (top, bottom) =
        (near(area.y0 - 0.3 * high, sheet.height), near(area.y1 + 0.4 * high + 1.0, sheet.height));
    let (wide, tall) = (right.saturating_sub(left), bottom.saturating_sub(top));
    let mut ink: Vec<bool> = (0..wide * tall)
        .map(|at| {
            let (x, y) = (left + at % wide, top + at / wide);
            sheet.grey.get(y * sheet.width + x).is_some_and(|pixel| *pixel <= edge)
        })
        .collect();
    let mut found = Vec::new();
    let mut open = Vec::new();
    for start in 0..ink.len() {
        if !ink.get(start).copied().unwrap_or(false) {
            continue;
        }
        let (mut x0, mut x1, mut y0, mut y1) = (usize::MAX, 0, usize::MAX, 0);
        open.push(start);
        while let Some(at) = open.pop() {
            match ink.get_mut(at) {
                Some(dark) if *dark => *dark = false,
                _ => continue,
            }
            let (x, y) = (at % wide, at / wide);
            (x0, x1, y0, y1) = (x0.min(x), x1.max(x), y0.min(y), y1.max(y));
            for row in y.saturating_sub(1)..=(y + 1).min(tall - 1) {
                for column in x.saturating_sub(1)..=(x + 1).min(wide - 1) {
                    open.push(row * wide + column);
                }
            }
        }
        let patch = Patch {
            x0: (left + x0) as f32,
            y0: (top + y0) as f32,
            x1: (left + x1 + 1) as f32,
            y1: (top + y1 + 1) as f32,
        };
        let (x, y) = ((patch.x0 + patch.x1) / 2.0, (patch.y0 + patch.y1) / 2.0);
        let slack = 0.15 * high;
        let inside = x >= area.x0 - slack
            && x <= area.x1 + slack
            && y >= area.y0 - slack
            && y <= area.y1 + 2.0 * slack;
        let speck = (patch.x1 - patch.x0).max(patch.y1 - patch.y0) < share::SPECK * high;
        if inside && !speck {
            found.push(patch);
        }
    }
    found
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Figures as blocks 12 wide and 20 high every 15, points as blocks of 4 in a cell of 8.
    fn printed(text: &str) -> (Sheet, Rect) {
        let (width, height) = (300, 60);
        let mut grey = vec![255_u8; width * height];
        let mut pen = 30;
        for sign in text.chars() {
            let (blob, step) = match sign {
                '.' => ((pen + 1..pen + 5, 36..40), 8),
                ' ' => ((0..0, 0..0), 8),
                _ => ((pen..pen + 12, 20..40), 15),
            };
            for y in blob.1 {
                for x in blob.0.clone() {
                    grey[y * width + x] = 0;
                }
            }
            pen += step;
        }
        (Sheet { width, height, grey }, Rect::new(30.0, 20.0, pen as f32 - 3.0, 40.0))
    }

    fn told(printed_as: &str, read_as: &str) -> Ink {
        let (sheet, area) = printed(printed_as);
        says(&sheet, &area, 128, read_as)
    }

    #[test]
    fn a_point_in_the_ink_is_seen_whatever_was_read() {
        assert_eq!(told("6.4", "6.4"), Ink::Agrees);
        assert_eq!(told("6.4", "64"), Ink::Contradicts);
        assert_eq!(told("64", "6.4"), Ink::Unclear);
        assert_eq!(told("64", "64"), Ink::Agrees);
        assert_eq!(told("1.234", "12.34"), Ink::Unclear);
    }

    #[test]
    fn room_for_a_point_that_is_not_seen_leaves_it_unclear() {
        assert_eq!(told("6 4", "64"), Ink::Unclear);
    }

    #[test]
    fn more_or_fewer_figures_than_read_say_nothing() {
        assert_eq!(told("643", "64"), Ink::Unclear);
        assert_eq!(told("64", "lime"), Ink::Unclear);
    }
}
