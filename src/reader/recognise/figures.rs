//! The figures of a sheet held against each other.
//!
//! Readings of one print can take the same figure for another, all alike: they learned from the same letters. The
//! figures of one sheet are of one typeface, so that a `5` taken for a `9` looks like the sheet's other fives and not
//! like its nines. What recognition learned elsewhere has no say here.

use super::sheet::Sheet;
use crate::place::Rect;

/// What the other figures of the sheet say of a number.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Alike {
    /// Each figure looks like others of its kind.
    Agrees,
    /// A figure looks like those of another kind.
    Contradicts,
    /// Too few of a kind to compare with, or as like to one as to another.
    Unclear,
}

/// Pixels across and down to which a figure is brought.
const ACROSS: usize = 14;
const DOWN: usize = 20;

/// Figures of a kind that are kept for comparison.
const MOST_OF_A_KIND: usize = 40;

/// Two figures no further apart than this differ by where they fall on the pixels.
const SAME: f32 = 6.0;

/// Two figures no further apart than this are of one kind: of one face they lie up to 15 apart, and from 28 on
/// where they are of two kinds (measured on clean, noisy and compressed sheets).
const ALIKE: f32 = 15.0;

/// A figure further from those of its kind is like none: another face, or damaged.
const LIKE_NONE: f32 = 30.0;

/// One kind must be nearer by this factor than another.
const CLEARLY: f32 = 1.5;

/// A figure cut out: its greys at one size, and how wide it is for its height.
#[derive(Debug, Clone)]
pub(super) struct Figure {
    greys: Vec<u8>,
    slim: f32,
}

impl Figure {
    /// The figure in a box of the sheet.
    #[allow(clippy::cast_precision_loss)]
    pub(super) fn of(sheet: &Sheet, area: &Rect) -> Self {
        let (across, down) = (area.width() / ACROSS as f32, area.height() / DOWN as f32);
        // The mean of a few places in each cell, so that noise and fine edges weigh little.
        const PLACES: [f32; 3] = [0.17, 0.5, 0.83];
        let cell = |x: usize, y: usize| {
            let mut sum = 0_u32;
            for up in PLACES {
                for left in PLACES {
                    let at_x = area.x0 + (x as f32 + left) * across - 0.5;
                    let at_y = area.y0 + (y as f32 + up) * down - 0.5;
                    sum += u32::from(sheet.between(at_x, at_y));
                }
            }
            u8::try_from(sum / 9).unwrap_or(u8::MAX)
        };
        let greys = (0..DOWN).flat_map(|y| (0..ACROSS).map(move |x| (x, y))).map(|(x, y)| cell(x, y));
        Self { greys: greys.collect(), slim: area.width() / area.height().max(1.0) }
    }

    /// How far two figures lie apart: the mean difference of their greys, and of their widths.
    #[allow(clippy::cast_precision_loss)]
    fn apart(&self, other: &Self) -> f32 {
        let sum: u32 =
            self.greys.iter().zip(&other.greys).map(|(one, other)| u32::from(one.abs_diff(*other))).sum();
        sum as f32 / (ACROSS * DOWN) as f32 + 100.0 * (self.slim - other.slim).abs()
    }
}

/// A figure of a number that the readings agree on.
struct Known {
    digit: char,
    /// Which number it stands in.
    number: usize,
    figure: Figure,
}

/// The figures of a sheet that are known.
#[derive(Default)]
pub(super) struct Figures {
    known: Vec<Known>,
}

impl Figures {
    /// Adds a number that the readings agree on; `figures` are those of its digits from left to right.
    pub(super) fn learn(&mut self, number: usize, text: &str, figures: Vec<Figure>) {
        for (digit, figure) in text.chars().filter(char::is_ascii_digit).zip(figures) {
            if self.known.iter().filter(|known| known.digit == digit).count() < MOST_OF_A_KIND {
                self.known.push(Known { digit, number, figure });
            }
        }
    }

    /// What the sheet's other numbers say of `text`, read where these figures stand.
    pub(super) fn says(&self, number: usize, text: &str, figures: &[Figure]) -> Alike {
        let digits: Vec<char> = text.chars().filter(char::is_ascii_digit).collect();
        if digits.len() != figures.len() || digits.is_empty() {
            return Alike::Unclear;
        }
        let each: Vec<Alike> =
            digits.iter().zip(figures).map(|(digit, figure)| self.of_one(number, *digit, figure)).collect();
        if each.contains(&Alike::Contradicts) {
            Alike::Contradicts
        } else if each.contains(&Alike::Unclear) {
            Alike::Unclear
        } else {
            Alike::Agrees
        }
    }

    fn of_one(&self, number: usize, digit: char, figure: &Figure) -> Alike {
        let mut others: Vec<(f32, char)> = self
            .known
            .iter()
            .filter(|known| known.number != number)
            .map(|known| (known.figure.apart(figure), known.digit))
            .collect();
        others.sort_by(|one, other| one.0.total_cmp(&other.0));
        let own = others.iter().find(|(_, kind)| *kind == digit).map(|(apart, _)| apart.max(SAME));
        // One figure may have been learned wrong, so that the second nearest of another kind counts.
        let mut seen: Vec<char> = Vec::new();
        let other = others.iter().filter(|(_, kind)| *kind != digit).find_map(|(apart, kind)| {
            let before = seen.contains(kind);
            seen.push(*kind);
            before.then_some(apart.max(SAME))
        });
        match (own, other) {
            (own, Some(other)) if other < ALIKE && own.is_none_or(|own| own > CLEARLY * other) => {
                Alike::Contradicts
            }
            (Some(own), other) if own < LIKE_NONE && other.is_none_or(|other| other > CLEARLY * own) => {
                Alike::Agrees
            }
            _ => Alike::Unclear,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A figure whose left half is dark (`1`), right half (`2`) or top half (`3`), a little apart by `shade`.
    fn figure(kind: char, shade: u8) -> Figure {
        let dark = |x: usize, y: usize| match kind {
            '1' => x < ACROSS / 2,
            '2' => x >= ACROSS / 2,
            _ => y < DOWN / 2,
        };
        let greys = (0..DOWN)
            .flat_map(|y| (0..ACROSS).map(move |x| (x, y)))
            .map(|(x, y)| if dark(x, y) { shade } else { 255 - shade })
            .collect();
        Figure { greys, slim: 0.6 }
    }

    fn sheet() -> Figures {
        let mut figures = Figures::default();
        for number in 0..4_u8 {
            let shade = 10 + number;
            let glyphs = vec![figure('1', shade), figure('2', shade)];
            figures.learn(usize::from(number), "1.2", glyphs);
        }
        figures
    }

    #[test]
    fn a_figure_that_looks_like_those_of_another_kind_contradicts() {
        let sheet = sheet();
        let seen = [figure('1', 20), figure('2', 20)];
        assert_eq!(sheet.says(9, "1.2", &seen), Alike::Agrees);
        assert_eq!(sheet.says(9, "1.1", &seen), Alike::Contradicts);
    }

    #[test]
    fn a_figure_that_stands_nowhere_else_on_the_sheet_says_nothing() {
        let sheet = sheet();
        assert_eq!(sheet.says(9, "3", &[figure('3', 20)]), Alike::Unclear);
        assert_eq!(sheet.says(9, "12", &[figure('1', 20)]), Alike::Unclear);
        assert_eq!(Figures::default().says(0, "1", &[figure('1', 20)]), Alike::Unclear);
    }

    #[test]
    fn a_number_is_no_witness_to_itself() {
        let mut figures = Figures::default();
        figures.learn(0, "3", vec![figure('3', 10)]);
        assert_eq!(figures.says(0, "3", &[figure('3', 10)]), Alike::Unclear);
    }
}
