//! The pictures of a page laid on one sheet of grey pixels.

use super::area;
use crate::document::{Cause, Format, Picture, Refusal};
use hayro_interpret::font::GlyphRun;
use hayro_interpret::kurbo::{Affine, BezPath, Point, Rect};
use hayro_interpret::{
    BlendMode, ClipPath, Device, DrawMode, DrawProps, Image, ImageData, ImageDrawProps, LumaData, Paint,
    SoftMask,
};

/// Pixels a point at most: 300 to the inch. Finer scans are thinned: recognition gains nothing from more.
const FINEST: f64 = 300.0 / 72.0;

/// Collects the pictures of one page.
pub(super) struct Scan {
    bounds: Rect,
    pixels: u64,
    room: u64,
    sheets: Vec<Sheet>,
    too_large: Option<u64>,
}

/// A decoded picture and where it lies.
struct Sheet {
    width: u32,
    height: u32,
    /// Grey of each pixel with its cover, 255 hides what lies under it.
    grey: Vec<u8>,
    cover: Option<Vec<u8>>,
    /// From pixels to points on the page.
    place: Affine,
}

impl Scan {
    /// For a page of these bounds: at most `pixels` are decoded, and the sheet is thinned to `room`.
    pub(super) fn new(bounds: Rect, pixels: u64, room: u64) -> Self {
        Self { bounds, pixels, room, sheets: Vec::new(), too_large: None }
    }

    /// The sheet; none where no picture could be decoded.
    ///
    /// # Errors
    /// A [`Refusal`] when the pictures hold more pixels than allowed.
    pub(super) fn into_picture(self) -> Result<Option<Picture>, Refusal> {
        if let Some(pixels) = self.too_large {
            return Err(too_many_pixels(pixels, Format::Scan));
        }
        let boxed = |sheet: &Sheet| sheet.place.transform_rect_bbox(sheet.extent());
        let Some(whole) = self.sheets.iter().map(boxed).reduce(|all, next| all.union(next)) else {
            return Ok(None);
        };
        let whole = whole.intersect(self.bounds);
        // Pixels are far fewer than an f64 holds.
        #[allow(clippy::cast_precision_loss)]
        let roomy = (self.room as f64 / whole.area().max(1.0)).sqrt();
        let fineness = self.sheets.iter().map(Sheet::fineness).fold(0.0, f64::max).min(FINEST).min(roomy);
        let (Some(width), Some(height)) = (count(whole.width() * fineness), count(whole.height() * fineness))
        else {
            return Ok(None);
        };
        let scale = (whole.width() / f64::from(width), whole.height() / f64::from(height));
        let to_page = Affine::translate((whole.x0, whole.y0)) * Affine::scale_non_uniform(scale.0, scale.1);
        let mut grey = vec![255_u8; width as usize * height as usize];
        for sheet in &self.sheets {
            sheet.lay(&mut grey, width, sheet.place.inverse() * to_page);
        }
        Ok(Some(Picture { width, height, grey, area: area(whole) }))
    }
}

/// The refusal of a picture with too many pixels.
pub(crate) fn too_many_pixels(pixels: u64, format: Format) -> Refusal {
    let millions = pixels.div_ceil(1_000_000);
    Refusal::new(
        Cause::Limit,
        format,
        format!("The scan has {millions} million pixels, more than is read."),
        "Scan it at 300 dpi.",
    )
}

/// A number of pixels, at least 1; none for what is no size.
fn count(size: f64) -> Option<u32> {
    // Checked to lie within the range.
    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
    (size.is_finite() && size > 0.0 && size < 100_000.0).then(|| (size.round() as u32).max(1))
}

impl Sheet {
    fn extent(&self) -> Rect {
        Rect::new(0.0, 0.0, f64::from(self.width), f64::from(self.height))
    }

    /// Pixels a point.
    fn fineness(&self) -> f64 {
        let area = self.place.determinant().abs();
        if area > 0.0 { area.sqrt().recip() } else { 0.0 }
    }

    /// Lays the sheet over `grey`, a canvas of `width` pixels a row; `back` leads from the canvas here.
    fn lay(&self, grey: &mut [u8], width: u32, back: Affine) {
        // A pixel of the canvas takes the mean of as many points as it covers pixels here each way.
        let size = back.determinant().abs().sqrt().round().clamp(1.0, 8.0);
        // Just clamped to 1 to 8.
        #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
        let points = size as u32;
        let step = back * Affine::scale(size.recip());
        for (row, line) in (0_u32..).zip(grey.chunks_exact_mut(width as usize)) {
            for (column, pixel) in (0_u32..).zip(line) {
                *pixel = if points == 1 {
                    self.over(*pixel, back * Point::new(f64::from(column) + 0.5, f64::from(row) + 0.5))
                } else {
                    let corner = (f64::from(column * points) + 0.5, f64::from(row * points) + 0.5);
                    let places = (0..points * points).map(|at| {
                        Point::new(corner.0 + f64::from(at % points), corner.1 + f64::from(at / points))
                    });
                    let sum: u32 = places.map(|at| u32::from(self.over(*pixel, step * at))).sum();
                    u8::try_from(sum / (points * points)).unwrap_or(u8::MAX)
                };
            }
        }
    }

    /// What shows at a place of the sheet that lies over `under`.
    fn over(&self, under: u8, at: Point) -> u8 {
        let Some(index) = self.index(at) else { return under };
        let Some(ink) = self.grey.get(index) else { return under };
        match self.cover.as_ref().and_then(|cover| cover.get(index)) {
            Some(cover) => blend(under, *ink, *cover),
            None => *ink,
        }
    }

    fn index(&self, at: Point) -> Option<usize> {
        if at.x < 0.0 || at.y < 0.0 || at.x >= f64::from(self.width) || at.y >= f64::from(self.height) {
            return None;
        }
        // Just checked to be within the sheet.
        #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
        Some(at.y as usize * self.width as usize + at.x as usize)
    }
}

fn blend(under: u8, over: u8, cover: u8) -> u8 {
    let (under, over, cover) = (u32::from(under), u32::from(over), u32::from(cover));
    u8::try_from((under * (255 - cover) + over * cover) / 255).unwrap_or(u8::MAX)
}

/// Brightness of a colour as the eye weighs it (ITU-R BT.601).
pub(crate) fn brightness(red: u8, green: u8, blue: u8) -> u8 {
    let sum = 299 * u32::from(red) + 587 * u32::from(green) + 114 * u32::from(blue);
    u8::try_from(sum / 1000).unwrap_or(u8::MAX)
}

fn luma(image: ImageData) -> LumaData {
    match image {
        ImageData::Luma(luma) => luma,
        ImageData::Rgb(rgb) => LumaData {
            data: rgb
                .data
                .chunks_exact(3)
                .map(|colour| match colour {
                    [red, green, blue] => brightness(*red, *green, *blue),
                    _ => u8::MAX,
                })
                .collect(),
            width: rgb.width,
            height: rgb.height,
            interpolate: rgb.interpolate,
            scale_factors: rgb.scale_factors,
        },
    }
}

impl<'a> Device<'a> for Scan {
    fn draw_image(&mut self, image: Image<'a, '_>, props: ImageDrawProps<'a>) {
        let pixels = u64::from(image.width()) * u64::from(image.height());
        let spent: u64 =
            self.sheets.iter().map(|sheet| u64::from(sheet.width) * u64::from(sheet.height)).sum();
        if spent + pixels > self.pixels {
            self.too_large.get_or_insert(spent + pixels);
            return;
        }
        let sheets = &mut self.sheets;
        let mut add = |luma: LumaData, ink: Option<u8>, cover: Option<Vec<u8>>| {
            let scale = (f64::from(luma.scale_factors.0), f64::from(luma.scale_factors.1));
            let place = props.transform * Affine::scale_non_uniform(scale.0, scale.1);
            let (width, height) = (luma.width, luma.height);
            // A stencil gives the cover, its paint the ink.
            let (grey, cover) = match ink {
                Some(ink) => (vec![ink; luma.data.len()], Some(luma.data)),
                None => (luma.data, cover),
            };
            sheets.push(Sheet { width, height, grey, cover, place });
        };
        match image {
            Image::Stencil(stencil) => stencil.with_stencil(
                |luma, paint| {
                    let ink = match paint {
                        Paint::Color(colour) => {
                            let [red, green, blue, _] = colour.to_rgba().to_rgba8();
                            brightness(red, green, blue)
                        }
                        Paint::Pattern(_) => 0,
                    };
                    add(luma, Some(ink), None);
                },
                None,
            ),
            Image::Raster(raster) => raster.with_rgba(
                |image, alpha| {
                    let size = (image.width(), image.height());
                    let cover =
                        alpha.filter(|alpha| (alpha.width, alpha.height) == size).map(|alpha| alpha.data);
                    add(luma(image), None, cover);
                },
                None,
            ),
        }
    }

    fn draw_glyph_run(&mut self, _: &GlyphRun<'_, 'a>, _: DrawProps<'a>, _: &DrawMode) {}

    fn draw_path(&mut self, _: &BezPath, _: DrawProps<'a>, _: &DrawMode) {}

    fn draw_rect(&mut self, _: &Rect, _: DrawProps<'a>, _: &DrawMode) {}

    fn push_clip_path(&mut self, _: &ClipPath) {}

    fn pop_clip(&mut self) {}

    fn push_transparency_group(&mut self, _: f32, _: Option<SoftMask<'a>>, _: BlendMode) {}

    fn pop_transparency_group(&mut self) {}
}
