//! PDF: a text layer becomes words with boxes, a page without one becomes a picture.
//!
//! `gate` looks the file over under limits before anything is drawn; `canvas` listens to the drawing and
//! hands letters to `words` and pictures to `scan`; `fields` adds form fields that the file does not draw.

mod canvas;

mod fields;

mod gate;

mod load;

mod scan;

mod toll;

mod whole;

mod words;

pub mod picture;

use super::{Cause, Content, Document, Format, Limits, Page, Refusal, Word};
use crate::place::Rect;
use canvas::Canvas;
use hayro_interpret::hayro_syntax::page::Page as Source;
use hayro_interpret::hayro_syntax::{DecryptionError, LoadPdfError, Pdf};
use hayro_interpret::{Context, InterpreterCache, InterpreterSettings, TransformExt, interpret_page, kurbo};

/// Share of letters without a meaning above which a text layer is of no use.
/// Measured: 0.73 to 1.00 on fonts that cannot be read, at most 0.02 on sound files.
const UNREADABLE: f32 = 0.2;

/// Share of the page that a picture must cover to count as a scan of the page.
const COVERING: f64 = 0.5;

/// Words that may stand beside a covering picture as stamps (a page number, a line of a fax machine)
/// without being the text of the page.
const STAMP_WORDS: usize = 12;

/// Confidence of words whose letters are not vouched for by the file: an invisible text layer over a
/// scan, letters read by their code alone. Below the half, so that their numbers are held.
const UNVOUCHED: f32 = 45.0;

/// Lays the document out.
///
/// # Errors
/// A [`Refusal`]: locked, damaged, beyond a limit. A document of empty pages is no error here.
pub fn open(bytes: &[u8], limits: &Limits) -> Result<Document, Refusal> {
    let admitted = gate::admit(bytes, limits)?;
    let pdf = Pdf::new(bytes.to_vec()).map_err(|error| match error {
        LoadPdfError::Decryption(DecryptionError::PasswordProtected) => load::locked(),
        LoadPdfError::Decryption(_) => load::unknown_lock(),
        LoadPdfError::Invalid => load::damaged("Its inner index cannot be read."),
    })?;
    let sources = pdf.pages();
    if sources.len() != admitted.pages {
        return Err(load::damaged("Not all of its pages can be found."));
    }
    let mut document =
        Document { format: Format::Pdf, pages: Vec::new(), members: Vec::new(), notes: admitted.notes };
    // Scanned pages share the room of a document.
    let shares = sources.len().clamp(1, limits.scanned_pages.max(1));
    let room = limits.unpacked_bytes / u64::try_from(shares).unwrap_or(u64::MAX);
    let mut reader = Reader {
        cache: InterpreterCache::new(),
        settings: InterpreterSettings::default(),
        limits,
        letters: 0,
        room,
    };
    for (number, source) in (1..).zip(sources.iter()) {
        let page = reader.page(number, source, &mut document.notes)?;
        document.pages.push(page);
    }
    let pictures = document.pages.iter().filter(|page| matches!(page.content, Content::Picture(_))).count();
    let worded =
        document.pages.iter().any(|page| matches!(&page.content, Content::Words(words) if !words.is_empty()));
    if pictures > 0 && !worded {
        document.format = Format::Scan;
    }
    if pictures > limits.scanned_pages {
        return Err(Refusal::new(
            Cause::Limit,
            document.format,
            format!("The file holds {pictures} scanned pages; up to {} are read.", limits.scanned_pages),
            "Send the pages with the results alone.",
        ));
    }
    Ok(document)
}

/// What all pages of a file share.
struct Reader<'a, 'l> {
    /// Fonts, read once a file.
    cache: InterpreterCache<'a>,
    settings: InterpreterSettings,
    limits: &'l Limits,
    /// Letters met so far.
    letters: usize,
    /// Pixels a scanned page may keep.
    room: u64,
}

impl<'a> Reader<'a, '_> {
    fn page(&mut self, number: u32, source: &Source<'a>, notes: &mut Vec<String>) -> Result<Page, Refusal> {
        let (width, height) = source.render_dimensions();
        let bounds = kurbo::Rect::new(0.0, 0.0, f64::from(width), f64::from(height));
        let mut canvas = Canvas::new(bounds, MAX_LETTERS.saturating_sub(self.letters));
        self.draw(source, bounds, &mut canvas);
        self.letters = self.letters.saturating_add(canvas.letters());
        if self.letters >= MAX_LETTERS {
            return Err(Refusal::new(
                Cause::Limit,
                Format::Pdf,
                format!(
                    "The file holds more than {MAX_LETTERS} letters by page {number}, which no report does."
                ),
                "Send the pages with the results alone.",
            ));
        }
        let covered = canvas.covered() >= COVERING * bounds.area();
        let unreadable = canvas.unreadable_share() > UNREADABLE;
        if canvas.unvouched() {
            notes.push(format!("Page {number}: letters are given as shapes with a code and no meaning; numbers from it need a look."));
        }
        let mut found = canvas.into_words();
        if covered && found.iter().filter(|word| word.hidden).count() > found.len() / 2 {
            for word in found.iter_mut().filter(|word| word.hidden) {
                word.word.confidence = Some(UNVOUCHED);
            }
            notes.push(format!(
                "Page {number} is a scan with recognised text laid under it; numbers from it need a look."
            ));
        }
        let mut words: Vec<Word> = found.into_iter().map(|found| found.word).collect();
        words.extend(fields::undrawn(source));
        let page = |content| Page { number, width, height, name: None, content };
        if covered && (unreadable || words.len() <= STAMP_WORDS) {
            if let Some(picture) = self.picture(source, bounds)? {
                return Ok(page(Content::Picture(picture)));
            }
            notes.push(format!("Page {number}: its picture cannot be decoded."));
        }
        if unreadable {
            notes.push(format!("Page {number}: its letters carry no meaning, so its text cannot be read. Print it to a new PDF, or scan it."));
            words.clear();
        }
        Ok(page(Content::Words(words)))
    }

    /// Draws a page on something that listens.
    fn draw(&self, source: &Source<'a>, bounds: kurbo::Rect, device: &mut impl hayro_interpret::Device<'a>) {
        let transform = source.initial_transform(true).to_kurbo();
        let mut context = Context::new(transform, bounds, &self.cache, source.xref(), self.settings.clone());
        interpret_page(source, &mut context, device);
    }

    fn picture(&self, source: &Source<'a>, bounds: kurbo::Rect) -> Result<Option<super::Picture>, Refusal> {
        let mut scan = scan::Scan::new(bounds, self.limits.pixels, self.room);
        self.draw(source, bounds, &mut scan);
        scan.into_picture()
    }
}

/// Letters of a document beyond which it is no report: 500 pages of 4,000 letters.
const MAX_LETTERS: usize = 2_000_000;

/// The box in points of the words of this crate.
fn area(rect: kurbo::Rect) -> Rect {
    // Points on a page fit an f32 with room to spare.
    #[allow(clippy::cast_possible_truncation)]
    Rect::new(rect.x0 as f32, rect.y0 as f32, rect.x1 as f32, rect.y1 as f32)
}

#[cfg(test)]
mod tests;
