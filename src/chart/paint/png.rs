//! A scene as PNG: each edge smoothed where it is drawn, so that nothing is drawn larger and scaled down.

use super::super::font;
use super::super::scene::{Anchor, Color, Scene, Shape, Text};
use super::{PaintError, refused, size};
use image::codecs::png::{CompressionType, FilterType, PngEncoder};
use image::{ExtendedColorType, ImageEncoder};
use kurbo::{Affine, BezPath, Cap, Circle, Join, Shape as _, Stroke};
use vello_cpu::color::{AlphaColor, Srgb};
use vello_cpu::{PixmapMut, RasterizerSettings, RenderContext, RenderSettings, Resources, TargetInit};

/// Pixels a unit, so that the picture is sharp in print and on dense displays.
const DENSITY: f64 = 2.0;
/// Pixels at most, four bytes each while they are drawn.
const PIXELS: usize = 45_000_000;
/// How far a curve may lie from where it should, in units.
const TOLERANCE: f64 = 0.05;

/// The scene as a PNG file, two pixels a unit.
///
/// # Errors
/// The font or the size; see [`PaintError`].
pub fn png(scene: &Scene) -> Result<Vec<u8>, PaintError> {
    let too_large = || PaintError::Size(scene.width, scene.height);
    let (wide, high) = size(scene, DENSITY)?;
    let area = wide as usize * high as usize;
    let (Ok(width), Ok(height)) = (u16::try_from(wide), u16::try_from(high)) else {
        return Err(too_large());
    };
    if area > PIXELS {
        return Err(too_large());
    }
    let mut pen = Pen(RenderContext::new_with(width, height, RenderSettings::default()));
    pen.paint(scene)?;
    let mut pixels = vec![0; area * 4];
    let target = PixmapMut::new(width, height, &mut pixels).ok_or_else(too_large)?;
    let paper = TargetInit::Clear(AlphaColor::WHITE);
    pen.0.flush();
    let settings = RasterizerSettings { target_init: paper, ..RasterizerSettings::default() };
    pen.0.render_with(target, &mut Resources::new(), settings);
    drop(pen);
    opaque(&mut pixels);
    let mut file = Vec::with_capacity(area / 16);
    // Most rows of a chart are those above them: this filter turns them into zeros, which cost nearly nothing.
    PngEncoder::new_with_quality(&mut file, CompressionType::Fast, FilterType::Up)
        .write_image(&pixels, wide, high, ExtendedColorType::Rgb8)
        .map_err(refused)?;
    Ok(file)
}

/// Paper lies below everything, so that no pixel is seen through: leaves three bytes of every four.
fn opaque(pixels: &mut Vec<u8>) {
    let (mut from, mut to) = (0, 0);
    while let Some([r, g, b]) = pixels.get(from..from + 3).and_then(|seen| <[u8; 3]>::try_from(seen).ok()) {
        if let Some(kept) = pixels.get_mut(to..to + 3) {
            kept.copy_from_slice(&[r, g, b]);
        }
        (from, to) = (from + 4, to + 3);
    }
    pixels.truncate(to);
}

struct Pen(RenderContext);

impl Pen {
    fn paint(&mut self, scene: &Scene) -> Result<(), PaintError> {
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
