//! Values of form fields that the file leaves to the viewer to draw.

use super::area;
use crate::document::{Turn, Word};
use hayro_interpret::hayro_syntax::object::{Array, Dict, Name, Rect as Box, Stream, String as Text};
use hayro_interpret::hayro_syntax::page::Page;
use hayro_interpret::kurbo::Rect;
use hayro_interpret::{RectExt as _, TransformExt as _};

/// Not to be shown on the page (ISO 32000-1, table 165: hidden, no view).
const UNSEEN: u32 = 1 << 1 | 1 << 5;

/// Width of a letter and a space in em, where no font is at hand.
const LETTER: f64 = 0.5;

/// Words of the text fields without a drawn appearance, at the place of the field.
pub(super) fn undrawn(page: &Page<'_>) -> Vec<Word> {
    let Some(notes) = page.raw().get::<Array<'_>>("Annots") else { return Vec::new() };
    let to_page = page.initial_transform(true).to_kurbo();
    let mut words = Vec::new();
    for field in notes.iter::<Dict<'_>>() {
        let drawn = field.get::<Dict<'_>>("AP").is_some_and(|looks| looks.get::<Stream<'_>>("N").is_some());
        let unseen = field.get::<u32>("F").unwrap_or(0) & UNSEEN != 0;
        let Some(place) = field.get::<Box>("Rect").filter(|_| !drawn && !unseen) else { continue };
        if let Some(value) = value(&field) {
            let place = to_page.transform_rect_bbox(place.to_kurbo());
            words.extend(set(&value, place));
        }
    }
    words
}

/// The value of a text or choice field; it may stand with the parent of the box.
fn value(field: &Dict<'_>) -> Option<String> {
    let parent = field.get::<Dict<'_>>("Parent");
    let kind = field.get::<Name<'_>>("FT").or_else(|| parent.as_ref()?.get("FT"))?;
    if !matches!(kind.as_ref(), b"Tx" | b"Ch") {
        return None;
    }
    let value = field.get::<Text<'_>>("V").or_else(|| parent?.get("V"))?;
    Some(decoded(value.as_bytes()))
}

/// UTF-16 and UTF-8 by their marks, else one byte a letter (ISO 32000-2, 7.9.2.2; equal to Latin-1 for
/// what reports print).
fn decoded(bytes: &[u8]) -> String {
    if let Some(rest) = bytes.strip_prefix(b"\xFE\xFF") {
        let units = rest.chunks_exact(2).filter_map(|pair| Some(u16::from_be_bytes(pair.try_into().ok()?)));
        char::decode_utf16(units).map(|letter| letter.unwrap_or(char::REPLACEMENT_CHARACTER)).collect()
    } else if let Some(rest) = bytes.strip_prefix(b"\xEF\xBB\xBF") {
        String::from_utf8_lossy(rest).into_owned()
    } else {
        bytes.iter().map(|byte| char::from(*byte)).collect()
    }
}

/// Sets the lines of a value into its box, evenly from the top, letters of one width.
fn set(value: &str, place: Rect) -> Vec<Word> {
    let lines: Vec<&str> = value.lines().filter(|line| !line.trim().is_empty()).collect();
    let mut words = Vec::new();
    let mut top = place.y0;
    for line in &lines {
        // A form has few lines and letters.
        #[allow(clippy::cast_precision_loss)]
        let (height, letters) = (place.height() / lines.len() as f64, line.chars().count().max(1) as f64);
        let em = (height * 0.8).min(12.0);
        let pitch = (em * LETTER).min(place.width() / letters);
        let mut left = place.x0;
        for part in line.split_inclusive(char::is_whitespace) {
            let text: String = part.trim().chars().filter(|letter| !letter.is_control()).collect();
            #[allow(clippy::cast_precision_loss)]
            let (inked, taken) = (text.chars().count() as f64 * pitch, part.chars().count() as f64 * pitch);
            if !text.is_empty() {
                let middle = top + height / 2.0;
                let rect = Rect::new(left, middle - em / 2.0, left + inked, middle + em / 2.0);
                #[allow(clippy::cast_possible_truncation)]
                words.push(Word {
                    text,
                    area: area(rect),
                    size: em as f32,
                    turn: Turn::None,
                    confidence: None,
                });
            }
            left += taken;
        }
        top += height;
    }
    words
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_value_is_set_word_by_word_inside_its_box() {
        let words = set("Field 7b", Rect::new(100.0, 50.0, 200.0, 62.0));
        let texts: Vec<&str> = words.iter().map(|word| word.text.as_str()).collect();
        assert_eq!(texts, ["Field", "7b"]);
        assert!(
            words.iter().all(|word| word.area.x0 >= 100.0 && word.area.x1 <= 200.0 && word.area.y0 >= 50.0)
        );
    }

    #[test]
    fn both_ways_of_writing_a_value_are_read() {
        assert_eq!(decoded(b"\xFE\xFF\x00p\x00H"), "pH");
        assert_eq!(decoded(b"6.4 \xB5"), "6.4 µ");
    }
}
