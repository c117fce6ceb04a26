//! The numbers of a sheet cut out and laid under each other at one size, to be read once more by themselves.

use super::sheet::Sheet;
use super::table::Seen;
use crate::place::Rect;

/// A sheet of cut-out boxes, one a line.
pub(super) struct Strip {
    /// The pixels.
    pub(super) sheet: Sheet,
    /// Pixels from one line to the next.
    pitch: usize,
    lines: usize,
}

/// White around a cut, as a share of the height it is brought to.
const ROOM: f32 = 0.25;

/// Most times wider than high a cut may be; longer ones are no numbers.
const LONGEST: f32 = 16.0;

/// Most pixels a sheet may be high: the program takes no more than 32,767 (its own limit, seen as an error beyond it).
const MOST_HIGH: usize = 30_000;

impl Strip {
    /// Boxes that one strip can take at this height, at least one.
    pub(super) fn most(high: usize) -> usize {
        (MOST_HIGH / (high * 2).max(1)).saturating_sub(1).max(1)
    }

    /// The boxes of `sheet`, each brought to `high` pixels.
    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss, clippy::cast_precision_loss)]
    pub(super) fn of(sheet: &Sheet, boxes: &[Rect], high: usize) -> Self {
        let pitch = high * 2;
        let width = (high as f32 * (LONGEST + 2.0)) as usize;
        let mut grey = vec![u8::MAX; width * pitch * (boxes.len() + 1)];
        for (line, area) in boxes.iter().enumerate() {
            let room = area.height() * ROOM;
            let scale = high as f32 / area.height().max(1.0);
            let wide = ((area.width() + 2.0 * room) * scale).min(high as f32 * LONGEST) as usize;
            let tall = ((area.height() + 2.0 * room) * scale) as usize;
            for y in 0..tall {
                let from_y = area.y0 - room + (y as f32 + 0.5) / scale - 0.5;
                let start = (line * pitch + pitch / 4 + y) * width + high;
                let Some(row) = grey.get_mut(start..start + wide) else { continue };
                for (pixel, x) in row.iter_mut().zip(0_u16..) {
                    *pixel = sheet.between(area.x0 - room + (f32::from(x) + 0.5) / scale - 0.5, from_y);
                }
            }
        }
        let height = grey.len() / width.max(1);
        Self { sheet: Sheet { width, height, grey }, pitch, lines: boxes.len() }
    }

    /// The text of each box, from the words seen on the strip; none where nothing was seen.
    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss, clippy::cast_precision_loss)]
    pub(super) fn texts(&self, mut words: Vec<Seen>) -> Vec<Option<String>> {
        words.sort_by(|one, other| one.area.x0.total_cmp(&other.area.x0));
        let mut texts: Vec<Option<String>> = vec![None; self.lines];
        for word in words {
            let line = (word.area.mid_y() / self.pitch as f32).max(0.0) as usize;
            // What is higher than a line is no word of one.
            if word.area.height() > self.pitch as f32 {
                continue;
            }
            if let Some(text) = texts.get_mut(line) {
                text.get_or_insert_default().push_str(&word.text);
            }
        }
        texts
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn each_box_gets_the_words_of_its_own_line() {
        let sheet = Sheet { width: 100, height: 100, grey: vec![0; 10_000] };
        let boxes = [Rect::new(10.0, 10.0, 40.0, 20.0), Rect::new(50.0, 60.0, 70.0, 70.0)];
        let strip = Strip::of(&sheet, &boxes, 40);
        assert_eq!(strip.sheet.height, 240);
        let seen = |text: &str, x: f32, y: f32| Seen {
            text: text.to_owned(),
            area: Rect::new(x, y - 15.0, x + 20.0, y + 15.0),
            confidence: 90.0,
        };
        assert!(Strip::of(&sheet, &vec![boxes[0]; Strip::most(32)], 32).sheet.height <= MOST_HIGH);
        let texts = strip.texts(vec![seen("4", 90.0, 40.0), seen("6.", 60.0, 42.0), seen("9", 60.0, 200.0)]);
        assert_eq!(texts, [Some("6.4".to_owned()), None]);
    }
}
