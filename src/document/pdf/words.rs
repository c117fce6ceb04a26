//! Letters in the order of drawing -> words. A word ends at a gap, at a new baseline, size or direction.

use super::{UNVOUCHED, area};
use crate::document::{Turn, Word};
use hayro_interpret::kurbo::{Point, Rect, Vec2};
use std::collections::HashMap;
use unicode_normalization::UnicodeNormalization as _;

/// Gap, in em, that parts two words. Measured against the word boxes of another reader: a space is at
/// least 0.2 em in text fonts, kerning stays under 0.1.
const GAP: f64 = 0.14;

/// Step backwards, in em, that no kerning takes: the print starts anew.
const BACK: f64 = 0.35;

/// Shift of the baseline, in em, that makes a raised or lowered word of its own.
const SHIFT: f64 = 0.1;

/// Ratio of sizes beyond which a letter belongs to another word: a footnote mark set smaller.
const RESIZE: f64 = 1.15;

/// Cosine of the angle at which two letters no longer read the same way (about 6 degrees).
const SAME_WAY: f64 = 0.995;

/// Heights of the box over and under the baseline, in em: the drawing gives no metrics of the font.
const ASCENT: f64 = 0.8;
const DESCENT: f64 = 0.2;

/// A letter where it is drawn, in points.
pub(super) struct Letter<'t> {
    /// Start of the letter on its baseline.
    pub(super) start: Point,
    /// Where the next letter would start.
    pub(super) end: Point,
    /// One em above the start.
    pub(super) top: Point,
    /// Its text: mostly one character, more for a ligature.
    pub(super) text: &'t str,
    /// Whether the file itself gives the text.
    pub(super) vouched: bool,
    /// Whether it is drawn invisible, as text under a scan is.
    pub(super) hidden: bool,
}

impl Letter<'_> {
    /// A space of any kind.
    pub(super) fn is_blank(&self) -> bool {
        self.text.chars().all(char::is_whitespace)
    }

    /// The way it reads, of length 1; none for a letter squeezed to nothing. A letter without width
    /// reads across its upright.
    fn way(&self) -> Option<Vec2> {
        let along = self.end - self.start;
        let up = self.top - self.start;
        let way = if along.hypot() > 0.01 * up.hypot() { along } else { Vec2::new(-up.y, up.x) };
        let length = way.hypot();
        (length.is_finite() && length > 1e-6 && up.hypot() > 1e-6).then(|| way / length)
    }

    fn em(&self) -> f64 {
        (self.top - self.start).hypot()
    }

    fn area(&self) -> Rect {
        let up = self.top - self.start;
        Rect::from_points(self.start + up * ASCENT, self.end - up * DESCENT)
            .union(Rect::from_points(self.start - up * DESCENT, self.end + up * ASCENT))
    }
}

/// A word and how it was drawn.
pub(super) struct Found {
    /// The word.
    pub(super) word: Word,
    /// Drawn invisible.
    pub(super) hidden: bool,
}

/// The word in the making.
struct Open {
    text: String,
    area: Rect,
    em: f64,
    way: Vec2,
    start: Point,
    end: Point,
    shown: bool,
    vouched: bool,
    hidden: bool,
}

/// Groups letters to words.
#[derive(Default)]
pub(super) struct Grouper {
    open: Option<Open>,
    found: Vec<Found>,
    slanted: Option<Slanted>,
}

/// A line of slanted words, as headings are set over narrow columns: all of it stands over the column where it begins.
struct Slanted {
    root: Point,
    end: Point,
    way: Vec2,
}

/// Sine and cosine from which a word is slanted and reads neither along nor across the page: about 12 degrees.
const SLANTED: f64 = 0.2;

/// The widest space, in em, between two words of a slanted line.
const SPACE: f64 = 1.0;

impl Grouper {
    /// Takes the next letter; what lies wholly outside `clip` is not printed.
    pub(super) fn push(&mut self, letter: &Letter<'_>, clip: Rect) {
        if letter.is_blank() {
            self.close();
            return;
        }
        let Some(way) = letter.way() else { return };
        let area = letter.area();
        let shown = area.overlaps(clip);
        if let Some(open) = self.open.as_mut().filter(|open| open.goes_on(letter, way)) {
            open.text.push_str(letter.text);
            open.area = open.area.union(area);
            open.end = letter.end;
            open.shown |= shown;
            open.vouched &= letter.vouched;
            return;
        }
        self.close();
        self.open = Some(Open {
            text: letter.text.to_owned(),
            area,
            em: letter.em(),
            way,
            start: letter.start,
            end: letter.end,
            shown,
            vouched: letter.vouched,
            hidden: letter.hidden,
        });
    }

    /// The words, those printed twice on one spot (a heavy print by double strike) once.
    pub(super) fn finish(mut self) -> Vec<Found> {
        self.close();
        drop_double_strikes(self.found)
    }

    fn close(&mut self) {
        let Some(open) = self.open.take() else { return };
        // Plain letters and signs have no other form and are all kept.
        let slanted = open.way.x.abs() > SLANTED && open.way.y.abs() > SLANTED;
        let (place, turn) = if slanted { self.slanted(&open) } else { (open.area, turn(open.way)) };
        let plain = open.text.bytes().all(|byte| matches!(byte, b' '..=b'~'));
        let text = if plain { open.text } else { open.text.nfc().filter_map(tidy).collect() };
        #[allow(clippy::cast_possible_truncation)]
        let (size, area) = (open.em as f32, area(place));
        // Letters as tall as the sky are no print, and no place on a page holds them.
        let bounded = [area.x0, area.y0, area.x1, area.y1, size].into_iter().all(f32::is_finite);
        if !open.shown || text.is_empty() || !bounded {
            return;
        }
        let word = Word { text, area, size, turn, confidence: (!open.vouched).then_some(UNVOUCHED) };
        self.found.push(Found { word, hidden: open.hidden });
    }

    /// A slanted word as one that is turned upright, over the place where its line begins. One that reads downwards, or to the
    /// left, ends over its column instead of beginning there: no heading of this reader's.
    fn slanted(&mut self, open: &Open) -> (Rect, Turn) {
        let goes_on = |before: &&Slanted| {
            let step = open.start - before.end;
            open.way.dot(before.way) >= SAME_WAY
                && step.cross(open.way).abs() <= SHIFT * open.em
                && (-BACK..=SPACE).contains(&(step.dot(open.way) / open.em))
        };
        let root = self.slanted.as_ref().filter(goes_on).map_or(open.start, |before| before.root);
        self.slanted = Some(Slanted { root, end: open.end, way: open.way });
        if open.way.x < 0.0 || open.way.y > 0.0 {
            return (open.area, Turn::Over);
        }
        let place = Rect::from_points(
            Point::new(root.x - ASCENT * open.em, open.start.y),
            Point::new(root.x + DESCENT * open.em, open.end.y),
        );
        (place, Turn::Up)
    }
}

impl Open {
    fn goes_on(&self, letter: &Letter<'_>, way: Vec2) -> bool {
        let em = letter.em();
        let step = letter.start - self.end;
        let gap = step.dot(self.way) / self.em;
        let shift = step.cross(self.way).abs() / self.em;
        let ratio = (em / self.em).max(self.em / em);
        let onward = (letter.start - self.start).dot(self.way) >= -0.05 * self.em;
        self.hidden == letter.hidden
            && ratio <= RESIZE
            && way.dot(self.way) >= SAME_WAY
            && shift <= SHIFT
            && (-BACK..=GAP).contains(&gap)
            && onward
    }
}

/// Signs that are no letters: zero-width ones vanish, the soft hyphen is printed as a hyphen, control
/// signs say nothing.
fn tidy(letter: char) -> Option<char> {
    match letter {
        '\u{200B}'..='\u{200F}' | '\u{2060}' | '\u{FEFF}' => None,
        '\u{AD}' => Some('-'),
        letter if letter.is_control() => Some(char::REPLACEMENT_CHARACTER),
        letter => Some(letter),
    }
}

/// The nearest quarter turn; the page runs downwards.
fn turn(way: Vec2) -> Turn {
    if way.x.abs() >= way.y.abs() {
        if way.x >= 0.0 { Turn::None } else { Turn::Over }
    } else if way.y < 0.0 {
        Turn::Up
    } else {
        Turn::Down
    }
}

fn drop_double_strikes(mut found: Vec<Found>) -> Vec<Found> {
    let mut seen: HashMap<(&str, i32), Vec<(f32, f32)>> = HashMap::with_capacity(found.len());
    let mut again = Vec::with_capacity(found.len());
    for word in found.iter().map(|found| &found.word) {
        let reach = word.size * 0.1;
        #[allow(clippy::cast_possible_truncation)]
        let row = (word.area.y0 / 4.0).floor() as i32;
        let twice = [row.saturating_sub(1), row, row.saturating_add(1)].into_iter().any(|row| {
            seen.get(&(word.text.as_str(), row)).is_some_and(|places| {
                places
                    .iter()
                    .any(|(x, y)| (x - word.area.x0).abs() <= reach && (y - word.area.y0).abs() <= reach)
            })
        });
        again.push(twice);
        if !twice {
            seen.entry((word.text.as_str(), row)).or_default().push((word.area.x0, word.area.y0));
        }
    }
    let mut again = again.into_iter();
    found.retain(|_| !again.next().unwrap_or_default());
    found
}

#[cfg(test)]
mod tests {
    use super::*;

    fn letter(text: &str, x: f64, y: f64, width: f64, em: f64) -> Letter<'_> {
        Letter {
            start: Point::new(x, y),
            end: Point::new(x + width, y),
            top: Point::new(x, y - em),
            text,
            vouched: true,
            hidden: false,
        }
    }

    #[test]
    fn a_slanted_line_stands_upright_where_it_begins() {
        let slanted = |text, x: f64, y: f64| Letter {
            start: Point::new(x, y),
            end: Point::new(x + 5.0, y - 5.0),
            top: Point::new(x - 6.0, y - 6.0),
            ..letter(text, 0.0, 0.0, 0.0, 0.0)
        };
        let mut grouper = Grouper::default();
        let line = [
            slanted("Z", 100.0, 200.0),
            slanted("n", 105.0, 195.0),
            slanted("m", 113.0, 187.0),
            slanted("g", 118.0, 182.0),
        ];
        line.iter().for_each(|letter| grouper.push(letter, Rect::new(0.0, 0.0, 600.0, 800.0)));
        grouper.push(&slanted("P", 135.0, 200.0), Rect::new(0.0, 0.0, 600.0, 800.0));
        let found: Vec<Word> = grouper.finish().into_iter().map(|found| found.word).collect();
        let texts: Vec<&str> = found.iter().map(|w| w.text.as_str()).collect();
        assert_eq!(texts, ["Zn", "mg", "P"]);
        assert!(found.iter().all(|w| w.turn == Turn::Up));
        assert_eq!(found[0].area.x0, found[1].area.x0);
        assert!(
            (found[2].area.x0 - found[0].area.x0 - 35.0).abs() < 0.01 && found[1].area.y1 < found[0].area.y1
        );
        let down = Letter {
            end: Point::new(105.0, 205.0),
            top: Point::new(106.0, 194.0),
            ..slanted("K", 100.0, 200.0)
        };
        let mut grouper = Grouper::default();
        grouper.push(&down, Rect::new(0.0, 0.0, 600.0, 800.0));
        assert_eq!(grouper.finish()[0].word.turn, Turn::Over);
    }

    fn words(letters: &[Letter<'_>]) -> Vec<String> {
        let mut grouper = Grouper::default();
        letters.iter().for_each(|letter| grouper.push(letter, Rect::new(0.0, 0.0, 600.0, 800.0)));
        grouper.finish().into_iter().map(|found| found.word.text).collect()
    }

    #[test]
    fn a_raised_small_mark_is_not_glued_to_its_number() {
        let one = letter("1", 10.0, 100.0, 5.0, 10.0);
        let two = letter("2", 15.0, 100.0, 5.0, 10.0);
        let raised = letter("2", 20.0, 97.0, 3.0, 6.0);
        assert_eq!(words(&[one, two, raised]), ["12", "2"]);
    }

    #[test]
    fn a_raised_mark_of_full_size_or_a_small_one_on_the_line_is_parted_too() {
        let at = |y, em| words(&[letter("7", 10.0, 100.0, 5.0, 10.0), letter("a", 15.0, y, 5.0, em)]);
        assert_eq!(at(98.0, 10.0), ["7", "a"]);
        assert_eq!(at(100.0, 8.0), ["7", "a"]);
        assert_eq!(at(100.0, 10.0), ["7a"]);
    }

    #[test]
    fn a_gap_parts_and_kerning_does_not() {
        let after =
            |gap| words(&[letter("A", 10.0, 100.0, 6.0, 10.0), letter("V", 16.0 + gap, 100.0, 6.0, 10.0)]);
        assert_eq!(after(2.0), ["A", "V"]);
        assert_eq!(after(-1.0), ["AV"]);
        assert_eq!(after(1.0), ["AV"]);
    }

    #[test]
    fn a_word_printed_twice_on_one_spot_counts_once() {
        let first = letter("pH", 10.0, 100.0, 12.0, 10.0);
        let again = letter("pH", 10.3, 100.0, 12.0, 10.0);
        let below = letter("pH", 10.0, 112.0, 12.0, 10.0);
        assert_eq!(words(&[first, again, below]), ["pH", "pH"]);
    }

    #[test]
    fn what_lies_outside_the_page_is_not_printed() {
        assert_eq!(words(&[letter("secret", -90.0, 100.0, 40.0, 10.0)]), Vec::<String>::new());
    }

    #[test]
    fn letters_and_their_marks_become_one_sign() {
        assert_eq!(words(&[letter("e\u{301}", 10.0, 100.0, 5.0, 10.0)]), ["é"]);
    }

    #[test]
    fn a_word_set_upwards_reads_upwards() {
        let mut grouper = Grouper::default();
        let up = |text, y: f64| Letter {
            start: Point::new(50.0, y),
            end: Point::new(50.0, y - 5.0),
            top: Point::new(40.0, y),
            text,
            vouched: true,
            hidden: false,
        };
        grouper.push(&up("p", 100.0), Rect::new(0.0, 0.0, 600.0, 800.0));
        grouper.push(&up("H", 95.0), Rect::new(0.0, 0.0, 600.0, 800.0));
        let found = grouper.finish();
        assert_eq!(found.len(), 1);
        assert_eq!((found[0].word.text.as_str(), found[0].word.turn), ("pH", Turn::Up));
        assert_eq!(found[0].word.area, crate::place::Rect::new(42.0, 90.0, 52.0, 100.0));
    }
}
