//! A scene as PNG: each edge smoothed where it is drawn, so that nothing is drawn larger and scaled down.

use super::super::font;
use super::super::scene::{Anchor, Color, Scene, Shape, Text};
use super::{PaintError, refused, size};
use hayro::vello_cpu::color::{AlphaColor, Srgb};
use hayro::vello_cpu::{PixmapMut, RasterizerSettings, RenderContext, RenderSettings, Resources, TargetInit};
use image::codecs::png::{CompressionType, FilterType, PngEncoder};
use image::{ExtendedColorType, ImageEncoder};
use kurbo::{Affine, BezPath, Cap, Circle, Join, Shape as _, Stroke};

/// Pixels a unit, so that the picture is sharp in print and on dense displays.
const DENSITY: f64 = 2.0;
/// Pixels at most: a bound of the memory that one picture takes.
const PIXELS: usize = 45_000_000;
/// Bytes a pixel while it is drawn: red, green, blue, opacity.
const BYTES: usize = 4;
/// Bytes a pixel in the file.
const OPAQUE: usize = 3;
/// How far a curve may lie from where it should, in units.
const TOLERANCE: f64 = 0.05;

/// The scene as a PNG file, two pixels a unit.
///
/// # Errors
/// The font or the size; see [`PaintError`].
pub fn png(scene: &Scene) -> Result<Vec<u8>, PaintError> {
    Easel::default().png(scene)
}

/// Draws one picture after another in the same memory.
#[derive(Debug, Default)]
pub struct Easel {
    context: Option<RenderContext>,
    pixels: Vec<u8>,
}

impl Easel {
    /// As [`png()`].
    ///
    /// # Errors
    /// The font or the size; see [`PaintError`].
    pub fn png(&mut self, scene: &Scene) -> Result<Vec<u8>, PaintError> {
        let too_large = || PaintError::Size(scene.width, scene.height);
        let (wide, high) = size(scene, DENSITY)?;
        let area = wide as usize * high as usize;
        let (Ok(width), Ok(height)) = (u16::try_from(wide), u16::try_from(high)) else {
            return Err(too_large());
        };
        if area > PIXELS {
            return Err(too_large());
        }
        let context = self
            .context
            .get_or_insert_with(|| RenderContext::new_with(width, height, RenderSettings::default()));
        context.reset_and_resize(width, height);
        Pen(context).paint(scene)?;
        // What was drawn before is painted over: every pixel has paper under it.
        self.pixels.resize(area * BYTES, 0);
        let target = PixmapMut::new(width, height, &mut self.pixels).ok_or_else(too_large)?;
        let paper = TargetInit::Clear(AlphaColor::WHITE);
        let settings = RasterizerSettings { target_init: paper, ..RasterizerSettings::default() };
        context.flush();
        context.render_with(target, &mut Resources::new(), settings);
        let pixels = opaque(&mut self.pixels);
        let mut file = Vec::with_capacity(area / 8);
        // By this filter and the quick way to pack: a chart is mostly runs of one colour, which cost next to nothing.
        PngEncoder::new_with_quality(&mut file, CompressionType::Fast, FilterType::Sub)
            .write_image(pixels, wide, high, ExtendedColorType::Rgb8)
            .map_err(refused)?;
        Ok(file)
    }
}

/// No pixel is seen through: moves three bytes of every four to the front, and gives those.
fn opaque(pixels: &mut [u8]) -> &[u8] {
    let area = pixels.len() / BYTES;
    for pixel in 0..area {
        let from = pixel * BYTES;
        pixels.copy_within(from..from + OPAQUE, pixel * OPAQUE);
    }
    pixels.get(..area * OPAQUE).unwrap_or_default()
}

struct Pen<'c>(&'c mut RenderContext);

impl Pen<'_> {
    fn paint(mut self, scene: &Scene) -> Result<(), PaintError> {
        self.0.set_transform(Affine::scale(DENSITY));
        for shape in &scene.shapes {
            match shape {
                Shape::Polyline { points, width, color } => self.stroke(&path(points), *width, *color),
                Shape::Polygon { points, color } => {
                    let mut outline = path(points);
                    outline.close_path();
                    self.fill(&outline, *color);
                }
                Shape::Circle { center, radius, color } => {
                    self.fill(&Circle::new(*center, *radius).to_path(TOLERANCE), *color);
                }
                Shape::Ring { center, radius, width, color } => {
                    self.stroke(&Circle::new(*center, *radius).to_path(TOLERANCE), *width, *color);
                }
                Shape::Text(text) => self.write(text)?,
            }
        }
        Ok(())
    }

    fn fill(&mut self, outline: &BezPath, color: Color) {
        self.0.set_paint(ink(color));
        self.0.fill_path(outline);
    }

    fn stroke(&mut self, line: &BezPath, width: f64, color: Color) {
        self.0.set_paint(ink(color));
        // Ends and corners as an SVG has them where nothing is said.
        let stroke = Stroke::new(width).with_caps(Cap::Butt).with_join(Join::Miter).with_miter_limit(4.0);
        self.0.set_stroke(stroke);
        self.0.stroke_path(line);
    }

    fn write(&mut self, text: &Text) -> Result<(), PaintError> {
        let (mut outlines, width) =
            font::outlines(&text.words, text.em, text.bold).ok_or(PaintError::Font)?;
        let before = match text.anchor {
            Anchor::Start => 0.0,
            Anchor::Middle => width / 2.0,
            Anchor::End => width,
        };
        outlines.apply_affine(Affine::translate((text.at.0 - before, text.at.1)));
        self.fill(&outlines, text.color);
        Ok(())
    }
}

fn path(points: &[(f64, f64)]) -> BezPath {
    let mut path = BezPath::new();
    for (index, at) in points.iter().enumerate() {
        match index {
            0 => path.move_to(*at),
            _ => path.line_to(*at),
        }
    }
    path
}

fn ink(color: Color) -> AlphaColor<Srgb> {
    let (r, g, b) = color.rgb;
    AlphaColor::from_rgba8(r, g, b, (color.alpha * 255.0).round() as u8)
}

#[cfg(test)]
mod tests {
    use super::*;

    const RED: Color = Color { rgb: (200, 30, 10), alpha: 1.0 };

    fn drawn(draw: impl FnOnce(&mut Scene)) -> image::RgbImage {
        let mut scene = Scene::new(60.0, "", "");
        scene.height = 30.0;
        draw(&mut scene);
        image::load_from_memory(&png(&scene).unwrap()).unwrap().to_rgb8()
    }

    #[test]
    fn a_shape_has_its_place_and_colour_and_one_that_is_seen_through_half_of_it() {
        let picture = drawn(|scene| {
            scene.rectangle((10.0, 5.0), (20.0, 15.0), RED);
            scene.rectangle((30.0, 5.0), (40.0, 15.0), Color { alpha: 0.5, ..RED });
        });
        assert_eq!(picture.get_pixel(20, 10).0, [200, 30, 10]);
        assert_eq!(picture.get_pixel(39, 29).0, [200, 30, 10]);
        assert_eq!(picture.get_pixel(19, 10).0, [255; 3]);
        assert_eq!(picture.get_pixel(40, 10).0, [255; 3]);
        let mixed = picture.get_pixel(70, 20).0.map(i32::from);
        assert!(mixed.iter().zip([228, 143, 133]).all(|(a, b)| (a - b).abs() <= 2), "{mixed:?}");
    }

    #[test]
    fn words_stand_on_their_line_and_at_their_anchor() {
        let ink = |anchor| {
            let picture = drawn(|scene| scene.text((30.0, 20.0), anchor, (12.0, true), RED, "HH"));
            let marked = |p: &(u32, u32, &image::Rgb<u8>)| p.2.0[1] < 140;
            let (columns, rows): (Vec<u32>, Vec<u32>) =
                picture.enumerate_pixels().filter(marked).map(|(x, y, _)| (x, y)).unzip();
            let ends = |places: &[u32]| (*places.iter().min().unwrap(), *places.iter().max().unwrap());
            (ends(&columns), ends(&rows))
        };
        // Capitals of this typeface are 1409 of 2048 units high, and two of these letters 2 x 1479 wide.
        let (start, rows) = ink(Anchor::Start);
        assert_eq!(rows.1, 39);
        assert!((23..=24).contains(&rows.0), "{rows:?}");
        assert!(start.0 >= 60 && start.1 <= 94, "{start:?}");
        let (middle, end) = (ink(Anchor::Middle).0, ink(Anchor::End).0);
        assert!((middle.0 + middle.1).abs_diff(120) <= 2, "{middle:?}");
        assert!(end.1 < 60 && end.0 >= 24, "{end:?}");
    }
}
