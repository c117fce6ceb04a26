//! A page of a PDF as a picture for a person's eye.

use super::super::{Cause, Format, Limits, Refusal};
use super::{gate, load};
use hayro::vello_cpu::color::palette::css::WHITE;
use hayro::{PixmapSettings, RenderCache, RenderSettings, render};
use hayro_interpret::InterpreterSettings;
use hayro_interpret::hayro_syntax::Pdf;

/// Pixels a point at most: sharp on a screen.
const FINEST: f32 = 2.0;

/// Pixels of a picture: a large sheet is drawn coarser.
const PIXELS: f32 = 4_000_000.0;

/// Pixels of a side.
const SIDE: f32 = 8_000.0;

/// A drawn page.
#[derive(Debug, Clone, PartialEq)]
pub struct Drawn {
    /// The picture as PNG.
    pub png: Vec<u8>,
    /// Width of the upright page in points.
    pub width: f32,
    /// Height of the upright page in points.
    pub height: f32,
}

/// Draws a page, counted from 1, upright: boxes of its words lie on it in points.
///
/// # Errors
/// A [`Refusal`]: what opening it says, or that it has no such page.
pub fn picture(bytes: &[u8], limits: &Limits, page: u32) -> Result<Drawn, Refusal> {
    gate::admit(bytes, limits)?;
    let damaged = || load::damaged("Its inner index cannot be read.");
    let pdf = Pdf::new(bytes.to_vec()).map_err(|_| damaged())?;
    let at = usize::try_from(page.saturating_sub(1)).unwrap_or(usize::MAX);
    let source = pdf.pages().get(at).ok_or_else(|| {
        Refusal::new(Cause::Damaged, Format::Pdf, "There is no such page.", "Look at the original itself.")
    })?;
    let (width, height) = source.render_dimensions();
    let area = (width * height).max(1.0);
    let scale = FINEST.min((PIXELS / area).sqrt()).min(SIDE / width.max(height).max(1.0));
    let sheet = PixmapSettings { x_scale: scale, y_scale: scale, bg_color: WHITE };
    let cache = RenderCache::new();
    let drawn = render(source, &cache, &InterpreterSettings::default(), &RenderSettings::default(), &sheet);
    let png = drawn.into_png().map_err(|_| damaged())?;
    Ok(Drawn { png, width, height })
}
