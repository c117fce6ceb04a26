//! Text recognition: turns the pictures of a document into words, each number read twice.
//!
//! The error that hurts is the decimal point lost without any doubt of the program (`6.4` read as `64`).
//! Two readings of differently prepared pixels seldom lose the same point, so a number counts only where
//! both agree.

mod engine;

mod sheet;

mod table;

use crate::document::{Content, Document, Limits, Picture, Refusal, Turn, Word};
use crate::place::Rect;
use engine::{Failure, Manner, installed, run};
use sheet::Sheet;
use std::path::Path;
use std::time::{Duration, Instant};
use table::Seen;

/// Dots an inch at which text is recognised best.
const FINE: f32 = 400.0;

/// Most a sheet is enlarged: coarser pictures gain nothing more.
const MOST_SCALE: f32 = 4.0;

/// Words of the pictures of a document in place of the pictures. A picture that cannot be recognised
/// stays, and a note says why: the program is missing, failed, or took too long.
///
/// The boxes are those of the straightened page (turned about its middle until its lines are level), so
/// that what stands in one row keeps to one height.
///
/// # Errors
/// None today: whatever fails leaves the picture with a note.
pub fn recognise(document: &mut Document, limits: &Limits) -> Result<(), Refusal> {
    recognise_with(installed().as_deref(), document, limits);
    Ok(())
}

fn recognise_with(program: Option<&Path>, document: &mut Document, limits: &Limits) {
    let end = Instant::now() + Duration::from_secs(limits.ocr_seconds);
    let mut notes = Vec::new();
    let scanned = |content: &Content| matches!(content, Content::Picture(_));
    for page in document.pages.iter_mut().filter(|page| scanned(&page.content)) {
        let Content::Picture(picture) = &page.content else { continue };
        let Some(program) = program else {
            notes.push(
                "The document is a scan, and the program that recognises text is not installed. \
                 Install \"tesseract-ocr\", then the document is read."
                    .to_owned(),
            );
            break;
        };
        if Instant::now() >= end {
            notes.push(format!(
                "Text recognition stopped at page {} after {} seconds. Send the pages with the results alone.",
                page.number, limits.ocr_seconds
            ));
            break;
        }
        match read(program, picture, limits, end) {
            Ok(words) => page.content = Content::Words(words),
            Err(failure) => notes.push(format!("Text recognition of page {} {failure}.", page.number)),
        }
    }
    document.notes.append(&mut notes);
}

/// The words of a picture.
fn read(program: &Path, picture: &Picture, limits: &Limits, end: Instant) -> Result<Vec<Word>, Failure> {
    let sheet = Sheet::of(picture);
    let fineness = fineness(picture);
    let slope = sheet.slope(fineness);
    // Pixels are far fewer than an f32 can tell apart to a useful share.
    #[allow(clippy::cast_precision_loss)]
    let room = (limits.pixels as f32 / sheet.grey.len().max(1) as f32).sqrt();
    let scale = (FINE / fineness).min(MOST_SCALE).min(room);
    let [first, second] = PASSES.map(|pass| {
        let sheet = &sheet;
        move || {
            let ready = pass.prepare(sheet, slope, scale);
            let deadline = end.min(Instant::now() + Duration::from_secs(limits.ocr_page_seconds));
            pass.words(program, &ready, scale, fineness, deadline)
        }
    });
    let (first, second) = std::thread::scope(|scope| {
        let second = scope.spawn(second);
        (first(), second.join().unwrap_or(Err(Failure::Broken)))
    });
    let area = picture.area;
    Ok(table::settle(first?, &second?).into_iter().map(|seen| placed(seen, &sheet, area)).collect())
}

/// Dots an inch of a picture.
// Sizes of pictures are exact in an f32.
#[allow(clippy::cast_precision_loss)]
fn fineness(picture: &Picture) -> f32 {
    let dots = picture.width as f32 * 72.0 / picture.area.width().max(1.0);
    dots.clamp(50.0, 1_200.0)
}

/// A way of preparing and reading a sheet.
#[derive(Clone, Copy)]
struct Pass {
    black_and_white: bool,
    /// Of the best size.
    size: f32,
    layout: &'static str,
}

/// The two readings. They differ in pixels, size and layout: with one layout for both, measured on scans
/// of 200 and 300 dots an inch, both lost the same points. Taking specks away first lost more points of
/// decimals than it gained.
const PASSES: [Pass; 2] = [
    Pass { black_and_white: false, size: 1.0, layout: "6" },
    Pass { black_and_white: true, size: 0.75, layout: "11" },
];

impl Pass {
    /// The sheet as this reading wants it.
    fn prepare(self, sheet: &Sheet, slope: f32, scale: f32) -> Sheet {
        let ready = sheet.straightened(slope, scale * self.size);
        if self.black_and_white { ready.black_and_white() } else { ready }
    }

    /// The words of a sheet made ready at this scale, their boxes in pixels of the straightened picture.
    fn words(
        self,
        program: &Path,
        ready: &Sheet,
        scale: f32,
        fineness: f32,
        deadline: Instant,
    ) -> Result<Vec<Seen>, Failure> {
        let scale = scale * self.size;
        // A resolution of a few hundred fits.
        #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
        let dots_an_inch = (fineness * scale).round() as u32;
        let table = run(program, ready, &Manner { layout: self.layout, dots_an_inch }, deadline)?;
        let unscaled = |seen: Seen| Seen {
            area: Rect::new(
                seen.area.x0 / scale,
                seen.area.y0 / scale,
                seen.area.x1 / scale,
                seen.area.y1 / scale,
            ),
            ..seen
        };
        Ok(table::words(&table).into_iter().map(unscaled).collect())
    }
}

/// A word at its place on the page.
// Sizes of pictures are exact in an f32.
#[allow(clippy::cast_precision_loss)]
fn placed(seen: Seen, sheet: &Sheet, area: Rect) -> Word {
    let across = area.width() / (sheet.width.max(1) as f32);
    let down = area.height() / (sheet.height.max(1) as f32);
    let area = Rect::new(
        area.x0 + seen.area.x0 * across,
        area.y0 + seen.area.y0 * down,
        area.x0 + seen.area.x1 * across,
        area.y0 + seen.area.y1 * down,
    );
    let size = area.height() / height_in_em(&seen.text);
    Word { text: seen.text, area, size, turn: Turn::None, confidence: Some(seen.confidence) }
}

/// Height of the inked box of a text in em, by the letters in it; usual proportions of text faces.
fn height_in_em(text: &str) -> f32 {
    let descends = text.chars().any(|letter| "gjpqy,;()[]|Q".contains(letter));
    let ascends = text.chars().any(|letter| !"acemnorsuvwxzgpqy.,;:-_~+=".contains(letter));
    match (ascends, descends) {
        (true, true) => 0.93,
        (true, false) => 0.72,
        (false, true) => 0.73,
        (false, false) => 0.52,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::document::{Format, Page};

    fn scan() -> Document {
        let picture =
            Picture { width: 60, height: 30, grey: vec![255; 1_800], area: Rect::new(0.0, 0.0, 60.0, 30.0) };
        let page = |number| Page {
            number,
            width: 60.0,
            height: 30.0,
            name: None,
            content: Content::Picture(picture.clone()),
        };
        Document {
            format: Format::Scan,
            pages: vec![page(1), page(2)],
            members: Vec::new(),
            notes: Vec::new(),
        }
    }

    #[test]
    fn without_the_program_the_pictures_stay_and_one_note_says_what_to_install() {
        let mut document = scan();
        recognise_with(None, &mut document, &Limits::default());
        assert!(document.pages.iter().all(|page| matches!(page.content, Content::Picture(_))));
        assert_eq!(document.notes.len(), 1);
        assert!(document.notes[0].contains("\"tesseract-ocr\""));
    }

    #[test]
    fn a_program_that_fails_leaves_the_picture_and_a_note_for_each_page() {
        let mut document = scan();
        recognise_with(Some(Path::new("/nowhere/tesseract")), &mut document, &Limits::default());
        assert_eq!(document.notes.len(), 2);
        assert!(document.pages.iter().all(|page| matches!(page.content, Content::Picture(_))));
    }

    #[test]
    fn no_time_is_said() {
        let mut document = scan();
        let limits = Limits { ocr_seconds: 0, ..Limits::default() };
        recognise_with(Some(Path::new("/nowhere/tesseract")), &mut document, &limits);
        assert_eq!(document.notes.len(), 1);
        assert!(document.notes[0].contains("stopped at page 1"));
    }

    #[test]
    fn boxes_are_in_points_of_the_page() {
        let sheet = Sheet { width: 200, height: 100, grey: Vec::new() };
        let seen = Seen { text: "6.4".into(), area: Rect::new(20.0, 10.0, 40.0, 20.0), confidence: 90.0 };
        let word = placed(seen, &sheet, Rect::new(10.0, 0.0, 110.0, 50.0));
        assert_eq!(word.area, Rect::new(20.0, 5.0, 30.0, 10.0));
        assert_eq!((word.size * 100.0).round(), 694.0);
    }
}
