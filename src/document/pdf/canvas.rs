//! Listens to the drawing of a page: letters go to the grouping of words, pictures are noted by place.

use super::words::{Found, Grouper, Letter};
use hayro_interpret::font::{Glyph, GlyphRun};
use hayro_interpret::hayro_cmap::BfString;
use hayro_interpret::kurbo::{Affine, BezPath, Point, Rect, Shape};
use hayro_interpret::{BlendMode, ClipPath, Device, DrawMode, DrawProps, Image, ImageDrawProps, SoftMask};
use std::borrow::Cow;

/// A listener for one page.
pub(super) struct Canvas {
    grouper: Grouper,
    bounds: Rect,
    /// Boxes of the clips in force, each cut by those before it.
    clips: Vec<Rect>,
    /// First letter and length of the run filled last: a stroke of the same run is the same print.
    filled: Option<(Point, usize)>,
    covered: f64,
    letters: usize,
    allowed: usize,
    unreadable: usize,
    unvouched: bool,
}

impl Canvas {
    /// A listener for a page of these bounds (points) that takes no more than `allowed` letters.
    pub(super) fn new(bounds: Rect, allowed: usize) -> Self {
        Self {
            grouper: Grouper::default(),
            bounds,
            clips: Vec::new(),
            filled: None,
            covered: 0.0,
            letters: 0,
            allowed,
            unreadable: 0,
            unvouched: false,
        }
    }

    /// Area of the page under pictures, in square points.
    pub(super) fn covered(&self) -> f64 {
        self.covered
    }

    /// Letters met.
    pub(super) fn letters(&self) -> usize {
        self.letters
    }

    /// Share of the letters that carry no meaning.
    pub(super) fn unreadable_share(&self) -> f32 {
        // Counts of letters lie far below the range where an f32 loses the share.
        #[allow(clippy::cast_precision_loss)]
        if self.letters == 0 { 0.0 } else { self.unreadable as f32 / self.letters as f32 }
    }

    /// Whether any letter was read by its code alone.
    pub(super) fn unvouched(&self) -> bool {
        self.unvouched
    }

    /// The words of the page.
    pub(super) fn into_words(self) -> Vec<Found> {
        self.grouper.finish()
    }

    fn clip(&self) -> Rect {
        self.clips.last().copied().unwrap_or(self.bounds)
    }

    fn letter(&mut self, glyph: &Glyph<'_>, place: Affine, hidden: bool) {
        let mut room = [0; 4];
        let (text, vouched) = meaning(glyph, &mut room);
        let advance = match glyph {
            Glyph::Outline(outline) => outline.advance_width(),
            Glyph::Type3(shape) => shape.advance_width(),
        };
        let letter = Letter {
            start: place * Point::ZERO,
            end: place * Point::new(f64::from(advance.unwrap_or(0.0)), 0.0),
            top: place * Point::new(0.0, 1000.0),
            text: &text,
            vouched,
            hidden,
        };
        if !letter.is_blank() {
            self.letters += 1;
            self.unreadable += usize::from(text.chars().all(unreadable));
            self.unvouched |= !vouched;
        }
        self.grouper.push(&letter, self.clips.last().copied().unwrap_or(self.bounds));
    }
}

/// The text of a glyph, and whether the file itself says so. A Type 3 glyph without a name that says
/// anything falls back to its code where that is printable: such fonts are mostly bitmaps of TeX, whose
/// codes are those of the letters.
fn meaning<'r>(glyph: &Glyph<'_>, room: &'r mut [u8; 4]) -> (Cow<'r, str>, bool) {
    let one = |letter: char, room: &'r mut [u8; 4]| Cow::Borrowed(&*letter.encode_utf8(room));
    if let Some(text) = glyph.as_unicode() {
        let text = match text {
            BfString::Char(letter) => one(letter, room),
            BfString::String(letters) => Cow::Owned(letters),
        };
        return (text, true);
    }
    let printable = match glyph {
        Glyph::Type3(shape) => u8::try_from(shape.char_code()).ok().filter(u8::is_ascii_graphic),
        Glyph::Outline(_) => None,
    };
    match printable {
        Some(code) => (one(char::from(code), room), false),
        None => (one(char::REPLACEMENT_CHARACTER, room), true),
    }
}

/// Letters that say nothing: the replacement sign, control signs, private use.
fn unreadable(letter: char) -> bool {
    letter == char::REPLACEMENT_CHARACTER
        || letter.is_control()
        || ('\u{E000}'..='\u{F8FF}').contains(&letter)
}

impl<'a> Device<'a> for Canvas {
    fn draw_glyph_run(&mut self, run: &GlyphRun<'_, 'a>, props: DrawProps<'a>, mode: &DrawMode) {
        let glyphs = run.glyphs();
        let first =
            glyphs.first().map(|glyph| (props.transform * glyph.transform() * Point::ZERO, glyphs.len()));
        match mode {
            DrawMode::Stroke(_) if first.is_some() && first == self.filled.take() => return,
            DrawMode::Fill(_) => self.filled = first,
            _ => self.filled = None,
        }
        if self.letters >= self.allowed {
            return;
        }
        let hidden = matches!(mode, DrawMode::Invisible);
        for glyph in glyphs {
            self.letter(glyph, props.transform * glyph.transform(), hidden);
        }
    }

    fn draw_image(&mut self, image: Image<'a, '_>, props: ImageDrawProps<'a>) {
        let unit = Rect::new(0.0, 0.0, f64::from(image.width()), f64::from(image.height()));
        let shown = props.transform.transform_rect_bbox(unit).intersect(self.clip());
        self.covered += shown.width().max(0.0) * shown.height().max(0.0);
    }

    fn push_clip_path(&mut self, clip: &ClipPath) {
        let inner = self.clip().intersect(clip.path.bounding_box());
        self.clips.push(inner);
    }

    fn pop_clip(&mut self) {
        self.clips.pop();
    }

    fn draw_path(&mut self, _: &BezPath, _: DrawProps<'a>, _: &DrawMode) {}

    fn draw_rect(&mut self, _: &Rect, _: DrawProps<'a>, _: &DrawMode) {}

    fn push_transparency_group(&mut self, _: f32, _: Option<SoftMask<'a>>, _: BlendMode) {}

    fn pop_transparency_group(&mut self) {}
}
