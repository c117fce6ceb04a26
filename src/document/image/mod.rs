//! PNG, JPEG and TIFF: each picture is a page waiting for text recognition.

mod directory;

mod resolution;

use super::{Cause, Content, Document, Format, Limits, Page, Picture, Refusal};
use crate::place::Rect;
use image::{DynamicImage, ImageDecoder, ImageFormat, ImageReader};
use std::io::Cursor;

/// Longer side of a page in points where the picture does not say how fine it is: 11 inch.
const PAGE_LENGTH: f32 = 792.0;

/// Lays the document out: one page, or for TIFF one a picture inside.
///
/// # Errors
/// A [`Refusal`]: damaged, of a kind of picture that is not read, beyond a limit.
pub fn open(bytes: &[u8], limits: &Limits) -> Result<Document, Refusal> {
    let mut pages = Vec::new();
    if bytes.starts_with(b"II") || bytes.starts_with(b"MM") {
        let directories = directory::walk(bytes, limits.scanned_pages).ok_or_else(damaged)?;
        if directories.len() > limits.scanned_pages {
            return Err(Refusal::new(
                Cause::Limit,
                Format::Image,
                format!("The scan has more than {} pages.", limits.scanned_pages),
                "Send the pages with the results alone.",
            ));
        }
        let mut room = limits.unpacked_bytes;
        let mut copy = bytes.to_vec();
        for (number, directory) in (1..).zip(&directories) {
            // A reader of pictures opens the first directory, so each is made the first in turn.
            directory.make_first(&mut copy);
            let limits = Limits { pixels: limits.pixels.min(room), ..limits.clone() };
            let decoded = decode(&copy, ImageFormat::Tiff, &limits)?;
            room = room.saturating_sub(decoded.grey.len() as u64);
            pages.push(decoded.page(number, directory.dots_an_inch));
        }
    } else {
        let format = image::guess_format(bytes).map_err(|_| damaged())?;
        pages.push(decode(bytes, format, limits)?.page(1, resolution::dots_an_inch(bytes)));
    }
    Ok(Document { format: Format::Image, pages, members: Vec::new(), notes: Vec::new() })
}

/// A decoded picture, upright.
struct Decoded {
    width: u32,
    height: u32,
    grey: Vec<u8>,
}

impl Decoded {
    /// The page of this picture; `dots` is how fine the file says it is.
    fn page(self, number: u32, dots: Option<f32>) -> Page {
        // Sizes are far below where an f32 loses a pixel.
        #[allow(clippy::cast_precision_loss)]
        let (width, height) = (self.width as f32, self.height as f32);
        let points = match dots {
            Some(dots) => 72.0 / dots,
            None => PAGE_LENGTH / width.max(height),
        };
        let (wide, high) = (width * points, height * points);
        let area = Rect::new(0.0, 0.0, wide, high);
        let picture = Picture { width: self.width, height: self.height, grey: self.grey, area };
        Page { number, width: wide, height: high, name: None, content: Content::Picture(picture) }
    }
}

fn decode(bytes: &[u8], format: ImageFormat, limits: &Limits) -> Result<Decoded, Refusal> {
    if !matches!(format, ImageFormat::Png | ImageFormat::Jpeg | ImageFormat::Tiff) {
        return Err(unknown_kind());
    }
    let mut reader = ImageReader::with_format(Cursor::new(bytes), format);
    let mut bounds = image::Limits::no_limits();
    // Four bytes a pixel, and as many again while one form of the pixels is made from another.
    bounds.max_alloc = Some(limits.pixels.saturating_mul(8));
    reader.limits(bounds);
    let mut decoder = reader.into_decoder().map_err(|error| refused(&error, limits))?;
    let (width, height) = decoder.dimensions();
    let pixels = u64::from(width) * u64::from(height);
    if pixels > limits.pixels {
        return Err(too_large(pixels.div_ceil(1_000_000)));
    }
    let orientation = decoder.orientation().unwrap_or(image::metadata::Orientation::NoTransforms);
    let mut picture = DynamicImage::from_decoder(decoder).map_err(|error| refused(&error, limits))?;
    picture.apply_orientation(orientation);
    let picture = on_white(picture);
    Ok(Decoded { width: picture.width(), height: picture.height(), grey: picture.into_luma8().into_raw() })
}

/// Lays a picture with see-through parts on white paper.
fn on_white(picture: DynamicImage) -> DynamicImage {
    if !picture.color().has_alpha() {
        return picture;
    }
    let mut pixels = picture.into_rgba8();
    for pixel in pixels.pixels_mut() {
        let [red, green, blue, cover] = pixel.0;
        let lay = |colour: u8| {
            let sum = u32::from(colour) * u32::from(cover) + 255 * (255 - u32::from(cover));
            u8::try_from(sum / 255).unwrap_or(u8::MAX)
        };
        pixel.0 = [lay(red), lay(green), lay(blue), u8::MAX];
    }
    DynamicImage::ImageRgba8(pixels)
}

fn refused(error: &image::ImageError, limits: &Limits) -> Refusal {
    match error {
        image::ImageError::Limits(_) => too_large(limits.pixels / 1_000_000),
        image::ImageError::Unsupported(_) => unknown_kind(),
        _ => damaged(),
    }
}

fn too_large(millions: u64) -> Refusal {
    Refusal::new(
        Cause::Limit,
        Format::Image,
        format!("The scan has {millions} million pixels or more, which is more than is read."),
        "Scan it at 300 dpi.",
    )
}

fn unknown_kind() -> Refusal {
    Refusal::new(
        Cause::UnknownFormat,
        Format::Image,
        "This kind of picture is not read.",
        "Save it as PNG, or as a JPEG of good quality, and drop that.",
    )
}

fn damaged() -> Refusal {
    Refusal::new(
        Cause::Damaged,
        Format::Image,
        "The picture is damaged or cut off.",
        "Fetch it anew from where it came, or scan the page again.",
    )
}

#[cfg(test)]
mod tests {
    use super::*;
    use image::{GrayImage, Luma, Rgba, RgbaImage};

    fn written(picture: &DynamicImage, format: ImageFormat) -> Vec<u8> {
        let mut bytes = Cursor::new(Vec::new());
        picture.write_to(&mut bytes, format).unwrap();
        bytes.into_inner()
    }

    fn picture(document: &Document, page: usize) -> &Picture {
        match &document.pages[page].content {
            Content::Picture(picture) => picture,
            other => panic!("no picture: {other:?}"),
        }
    }

    #[test]
    fn a_picture_of_each_kind_becomes_a_page_of_grey_pixels() {
        let grey = GrayImage::from_fn(40, 20, |x, _| Luma([if x < 20 { 0 } else { 255 }]));
        for format in [ImageFormat::Png, ImageFormat::Jpeg, ImageFormat::Tiff] {
            let bytes = written(&DynamicImage::ImageLuma8(grey.clone()), format);
            let document = open(&bytes, &Limits::default()).unwrap();
            assert_eq!(document.format, Format::Image);
            let picture = picture(&document, 0);
            assert_eq!((picture.width, picture.height, picture.grey.len()), (40, 20, 800));
            assert!(picture.grey[5] < 10 && picture.grey[35] > 245, "{format:?}");
            assert_eq!(document.pages[0].width, 792.0);
        }
    }

    #[test]
    fn what_is_see_through_is_white() {
        let clear = RgbaImage::from_pixel(4, 4, Rgba([0, 0, 0, 0]));
        let document =
            open(&written(&DynamicImage::ImageRgba8(clear), ImageFormat::Png), &Limits::default()).unwrap();
        assert!(picture(&document, 0).grey.iter().all(|pixel| *pixel == 255));
    }

    #[test]
    fn pixels_are_counted_before_they_are_decoded() {
        let bytes = written(&DynamicImage::new_luma8(300, 300), ImageFormat::Png);
        let limits = Limits { pixels: 80_000, ..Limits::default() };
        assert_eq!(open(&bytes, &limits).unwrap_err().cause, Cause::Limit);
    }

    #[test]
    fn a_cut_or_foreign_picture_is_refused() {
        let bytes = written(&DynamicImage::new_luma8(300, 300), ImageFormat::Png);
        assert_eq!(open(&bytes[..bytes.len() / 2], &Limits::default()).unwrap_err().cause, Cause::Damaged);
        assert_eq!(open(b"II*\0\xFF\xFF\xFF\xFF", &Limits::default()).unwrap_err().cause, Cause::Damaged);
        assert_eq!(open(b"GIF89a\x01\0\x01\0", &Limits::default()).unwrap_err().cause, Cause::UnknownFormat);
    }

    #[test]
    fn every_page_of_a_tiff_is_read() {
        let first =
            written(&DynamicImage::ImageLuma8(GrayImage::from_pixel(8, 4, Luma([10]))), ImageFormat::Tiff);
        let second =
            written(&DynamicImage::ImageLuma8(GrayImage::from_pixel(6, 6, Luma([200]))), ImageFormat::Tiff);
        let document = open(&directory::join(&first, &second), &Limits::default()).unwrap();
        assert_eq!(document.pages.len(), 2);
        assert_eq!((picture(&document, 0).width, picture(&document, 0).grey[0]), (8, 10));
        assert_eq!((picture(&document, 1).width, picture(&document, 1).grey[0]), (6, 200));
        assert_eq!(document.pages[1].number, 2);
        let limits = Limits { scanned_pages: 1, ..Limits::default() };
        assert_eq!(open(&directory::join(&first, &second), &limits).unwrap_err().cause, Cause::Limit);
    }
}
