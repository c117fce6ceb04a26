//! Plain text in fixed columns: every letter has the same width, so a column is a place on a page.

use super::{Cause, Content, Document, Format, Limits, Page, Refusal, Turn, Word, decode, wording};
use crate::place::Rect;

/// Width of a letter in points.
const ADVANCE: f32 = 6.0;
/// From one line to the next in points.
const LEADING: f32 = 12.0;
/// Size of the type in points.
const SIZE: f32 = 10.0;
/// Columns between two stops of the tabulator.
const TAB: usize = 8;

/// Lays the document out: words with boxes, a form feed starts a new page.
///
/// # Errors
/// A [`Refusal`] where the bytes are no text or the text passes a limit.
pub fn open(bytes: &[u8], limits: &Limits) -> Result<Document, Refusal> {
    let text = decode::text(bytes).ok_or_else(|| wording::not_text(Format::Text))?;
    let pages = pages(&text, Format::Text, limits)?;
    Ok(Document { format: Format::Text, pages, members: Vec::new(), notes: Vec::new() })
}

/// The pages of a text.
///
/// # Errors
/// A [`Refusal`] that names the limit of lines, words, pages or length of a line.
pub(super) fn pages(text: &str, format: Format, limits: &Limits) -> Result<Vec<Page>, Refusal> {
    let (mut pages, mut lines, mut words) = (Vec::new(), 0usize, 0usize);
    for part in text.trim_end().split('\u{c}') {
        if pages.len() >= limits.pages {
            let what =
                format!("Only reports of up to {} pages are read.", wording::grouped(limits.pages as u64));
            return Err(Refusal::new(Cause::Limit, format, what, "Send the pages with the results alone."));
        }
        let mut page = Vec::new();
        let (mut widest, mut down) = (0usize, 0usize);
        for line in part.split('\n') {
            lines += 1;
            down += 1;
            if lines > limits.rows as usize {
                let what = format!("The text has more than {} lines.", wording::grouped(limits.rows.into()));
                return Err(Refusal::new(
                    Cause::Limit,
                    format,
                    what,
                    "Send the pages with the results alone.",
                ));
            }
            if line.len() > limits.cell_bytes {
                return Err(wording::cell_too_long(format, limits));
            }
            widest = widest.max(set_line(line, down - 1, &mut page));
            if words + page.len() > limits.cells {
                return Err(wording::too_many_cells(format, limits));
            }
        }
        words += page.len();
        pages.push(Page {
            number: u32::try_from(pages.len() + 1).unwrap_or(u32::MAX),
            width: widest as f32 * ADVANCE,
            height: down as f32 * LEADING,
            name: None,
            content: Content::Words(page),
        });
    }
    Ok(pages)
}

/// Sets the words of a line and gives its width in columns.
fn set_line(line: &str, row: usize, words: &mut Vec<Word>) -> usize {
    let mut column = 0usize;
    let mut open: Option<(usize, String)> = None;
    for letter in line.chars() {
        if letter.is_whitespace() || is_drawn(letter) {
            words.extend(open.take().map(|(start, text)| word(text, start, column, row)));
            column = if letter == '\t' { (column / TAB + 1) * TAB } else { column + 1 };
        } else if !letter.is_control() {
            open.get_or_insert_with(|| (column, String::new())).1.push(letter);
            column += 1;
        }
    }
    words.extend(open.map(|(start, text)| word(text, start, column, row)));
    column
}

/// True for lines of a box and the blocks of a bar, which are drawn in letters and say nothing.
fn is_drawn(letter: char) -> bool {
    ('\u{2500}'..='\u{259f}').contains(&letter)
}

fn word(text: String, start: usize, end: usize, row: usize) -> Word {
    let top = row as f32 * LEADING;
    Word {
        text,
        area: Rect::new(start as f32 * ADVANCE, top, end as f32 * ADVANCE, top + SIZE),
        size: SIZE,
        turn: Turn::None,
        confidence: None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn words(document: &Document, page: usize) -> &[Word] {
        match &document.pages[page].content {
            Content::Words(words) => words,
            _ => panic!("words expected"),
        }
    }

    #[test]
    fn a_word_stands_where_its_columns_stand() {
        let document = open(b"SAMPLE   PH\r\nNORTH\t 6.4\r\n", &Limits::default()).unwrap();
        let found = words(&document, 0);
        let texts: Vec<&str> = found.iter().map(|w| w.text.as_str()).collect();
        assert_eq!(texts, ["SAMPLE", "PH", "NORTH", "6.4"]);
        assert_eq!(found[1].area, Rect::new(54.0, 0.0, 66.0, 10.0));
        assert_eq!(found[3].area, Rect::new(54.0, 12.0, 72.0, 22.0));
        assert_eq!(document.pages[0].width, 72.0);
        assert_eq!(document.pages[0].height, 24.0);
    }

    #[test]
    fn what_is_drawn_with_letters_is_no_word() {
        let text = "┌──────┬─────┐\n│ pH   │ 6.4 │\n│ Iron │ ███ │\n└──────┴─────┘\n";
        let document = open(text.as_bytes(), &Limits::default()).unwrap();
        let found = words(&document, 0);
        assert_eq!(found.iter().map(|w| w.text.as_str()).collect::<Vec<_>>(), ["pH", "6.4", "Iron"]);
        assert_eq!(found[1].area.x0, 54.0);
    }

    #[test]
    fn a_form_feed_starts_a_page() {
        let document = open(b"one\n\x0ctwo words\n\x0c", &Limits::default()).unwrap();
        assert_eq!(document.pages.len(), 2);
        assert_eq!(document.pages[1].number, 2);
        assert_eq!(words(&document, 1)[0].area.y0, 0.0);
    }

    #[test]
    fn control_characters_never_reach_a_word() {
        let document =
            open(b"pH 6.4 and more text to be taken for text\x1b[31m", &Limits::default()).unwrap();
        assert!(words(&document, 0).iter().all(|w| !w.text.contains(char::is_control)));
    }

    #[test]
    fn lines_words_pages_and_widths_are_bounded() {
        let small = Limits { rows: 3, cells: 5, pages: 2, cell_bytes: 20, ..Limits::default() };
        let what = |bytes: &[u8]| open(bytes, &small).unwrap_err().what;
        assert!(what(b"a\nb\nc\nd\n").contains("3 lines"));
        assert!(what(b"a b c d e f").contains("5 cells"));
        assert!(what(b"a\x0cb\x0cc").contains("2 pages"));
        assert!(what(b"abcdefghijklmnopqrstuvwxyz").contains("line"));
    }
}
