//! A scene put on paper: SVG, or PNG drawn larger and scaled down.

use super::font::{self, BOX_PER_EM};
use super::scene::{Anchor, Color, Scene, Shape, Text, clean};
use plotters::prelude::{BitMapBackend, DrawingBackend, SVGBackend};
use plotters::style::text_anchor::{HPos, Pos, VPos};
use plotters::style::{RGBAColor, ShapeStyle, TextStyle};
use std::io::Cursor;

/// Why a scene could not be painted: always a fault of the program, never of the data.
#[derive(Debug, thiserror::Error)]
pub enum PaintError {
    /// The embedded font cannot be used.
    #[error("the embedded font cannot be used")]
    Font,
    /// The drawing surface refused.
    #[error("the drawing could not be painted: {0}")]
    Surface(String),
    /// Larger than any chart may be.
    #[error("the drawing of {0} by {1} units is too large to paint")]
    Size(f64, f64),
}

/// The surfaces count in whole units: SVG is drawn at this many steps a unit.
const SVG_STEPS: f64 = 10.0;
/// Pixels a unit of a finished PNG, so that it is sharp in print and on dense displays.
const PNG_DENSITY: u32 = 2;
/// A PNG is drawn so many times larger and scaled down: the surface smooths edges poorly by itself.
const PNG_OVERSAMPLE: u32 = 2;
/// Pixels drawn at most (three bytes each); a drawing that needs more is drawn at its final size.
const PNG_PIXELS: f64 = 60.0e6;
/// Largest side in units: every analyte of a site below another on a telephone takes less than half.
const LARGEST: f64 = 20_000.0;
/// The SVG surface divides the size of a font by this.
const SVG_FONT_DIVISOR: f64 = 1.24;
/// Where it puts the baseline below the position of a text anchored at the top, in em.
const SVG_BASELINE_EM: f64 = 0.76;

/// The scene as one SVG file: scales to any width, carries title and description.
///
/// # Errors
/// The font or the size; see [`PaintError`].
pub fn svg(scene: &Scene) -> Result<String, PaintError> {
    let (width, height) = size(scene, SVG_STEPS)?;
    let mut out = String::new();
    let mut surface = SVGBackend::with_string(&mut out, (width, height));
    let pen = Pen { steps: SVG_STEPS, box_per_em: SVG_FONT_DIVISOR, baseline_per_em: SVG_BASELINE_EM };
    paint(scene, &mut surface, &pen)?;
    surface.present().map_err(|e| PaintError::Surface(e.to_string()))?;
    drop(surface);
    // The library's own first tag has neither words for a screen reader nor a size in our units.
    let body = out.split_once(">\n").map_or("", |(_, body)| body);
    Ok(format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 {width} {height}\" width=\"{}\" height=\"{}\" \
         style=\"max-width:100%;height:auto\" role=\"img\">\n<title>{}</title>\n<desc>{}</desc>\n{body}",
        scene.width.round(),
        scene.height.round(),
        escaped(&scene.title),
        escaped(&scene.description),
    ))
}

/// The scene as a PNG file, two pixels a unit.
///
/// # Errors
/// The font or the size; see [`PaintError`].
pub fn png(scene: &Scene) -> Result<Vec<u8>, PaintError> {
    let pixels_at =
        |oversample: u32| scene.width * scene.height * f64::from(PNG_DENSITY * oversample).powi(2);
    let fits = |oversample: &u32| pixels_at(*oversample) <= PNG_PIXELS;
    let oversample =
        [PNG_OVERSAMPLE, 1].into_iter().find(fits).ok_or(PaintError::Size(scene.width, scene.height))?;
    let steps = f64::from(PNG_DENSITY * oversample);
    let (width, height) = size(scene, steps)?;
    // Whole final pixels: every one is made of the same number of drawn ones.
    let (width, height) = (width.next_multiple_of(oversample), height.next_multiple_of(oversample));
    let mut pixels = vec![255; width as usize * height as usize * 3];
    let mut surface = BitMapBackend::with_buffer(&mut pixels, (width, height));
    let pen = Pen { steps, box_per_em: BOX_PER_EM, baseline_per_em: BOX_PER_EM / 2.0 };
    paint(scene, &mut surface, &pen)?;
    surface.present().map_err(|e| PaintError::Surface(e.to_string()))?;
    drop(surface);
    let large = image::RgbImage::from_raw(width, height, pixels)
        .ok_or(PaintError::Size(scene.width, scene.height))?;
    let small = image::imageops::thumbnail(&large, width / oversample, height / oversample);
    let mut file = Cursor::new(Vec::new());
    small.write_to(&mut file, image::ImageFormat::Png).map_err(|e| PaintError::Surface(e.to_string()))?;
    Ok(file.into_inner())
}

fn size(scene: &Scene, steps: f64) -> Result<(u32, u32), PaintError> {
    let sound = |side: f64| (1.0..=LARGEST).contains(&side);
    if !sound(scene.width) || !sound(scene.height) {
        return Err(PaintError::Size(scene.width, scene.height));
    }
    Ok(((scene.width * steps).round() as u32, (scene.height * steps).round() as u32))
}

/// How one surface counts.
struct Pen {
    /// Steps of the surface a unit.
    steps: f64,
    /// The surface's font size for one em.
    box_per_em: f64,
    /// The baseline below the top anchor, in em.
    baseline_per_em: f64,
}

impl Pen {
    fn point(&self, (x, y): (f64, f64)) -> (i32, i32) {
        ((x * self.steps).round() as i32, (y * self.steps).round() as i32)
    }

    fn length(&self, units: f64) -> u32 {
        ((units * self.steps).round() as u32).max(1)
    }

    fn shape(&self, color: Color, width: f64, filled: bool) -> ShapeStyle {
        ShapeStyle { color: ink(color), filled, stroke_width: self.length(width) }
    }
}

fn ink(color: Color) -> RGBAColor {
    let (r, g, b) = color.rgb;
    RGBAColor(r, g, b, color.alpha)
}

fn paint<B: DrawingBackend>(scene: &Scene, surface: &mut B, pen: &Pen) -> Result<(), PaintError> {
    let paper = Color { rgb: (255, 255, 255), alpha: 1.0 };
    let corner = pen.point((scene.width, scene.height));
    surface.draw_rect((0, 0), corner, &pen.shape(paper, 1.0, true), true).map_err(refused)?;
    for shape in &scene.shapes {
        match shape {
            Shape::Polyline { points, width, color } => surface
                .draw_path(points.iter().map(|at| pen.point(*at)), &pen.shape(*color, *width, false))
                .map_err(refused)?,
            Shape::Polygon { points, color } => surface
                .fill_polygon(points.iter().map(|at| pen.point(*at)), &pen.shape(*color, 1.0, true))
                .map_err(refused)?,
            Shape::Circle { center, radius, color } => surface
                .draw_circle(pen.point(*center), pen.length(*radius), &pen.shape(*color, 1.0, true), true)
                .map_err(refused)?,
            Shape::Ring { center, radius, width, color } => {
                // A closed path: the PNG surface draws the outline of a circle one pixel thin.
                let around = (0..=48).map(|step| {
                    let angle = f64::from(step) * std::f64::consts::TAU / 48.0;
                    pen.point((center.0 + radius * angle.cos(), center.1 + radius * angle.sin()))
                });
                surface.draw_path(around, &pen.shape(*color, *width, false)).map_err(refused)?;
            }
            Shape::Text(text) => write(text, surface, pen)?,
        }
    }
    Ok(())
}

fn write<B: DrawingBackend>(text: &Text, surface: &mut B, pen: &Pen) -> Result<(), PaintError> {
    let (font, usable) = font::font(text.em * pen.steps * pen.box_per_em, text.bold);
    if !usable {
        return Err(PaintError::Font);
    }
    let h_pos = match text.anchor {
        Anchor::Start => HPos::Left,
        Anchor::Middle => HPos::Center,
        Anchor::End => HPos::Right,
    };
    let color = ink(text.color);
    let style = TextStyle::from(font).pos(Pos::new(h_pos, VPos::Top)).color(&color);
    let top = (text.at.0, text.at.1 - text.em * pen.baseline_per_em);
    surface.draw_text(&text.words, &style, pen.point(top)).map_err(refused)
}

fn refused(error: impl std::fmt::Display) -> PaintError {
    PaintError::Surface(error.to_string())
}

fn escaped(words: &str) -> String {
    clean(words).replace('&', "&amp;").replace('<', "&lt;").replace('>', "&gt;").replace('"', "&quot;")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_drawing_without_height_or_too_large_is_refused_before_memory_is_taken() {
        let mut scene = Scene::new(960.0, "", "");
        assert!(matches!(svg(&scene), Err(PaintError::Size(..))));
        scene.height = 19_000.0;
        assert!(svg(&scene).is_ok());
        assert!(matches!(png(&scene), Err(PaintError::Size(..))));
        scene.height = f64::NAN;
        assert!(matches!(png(&scene), Err(PaintError::Size(..))));
    }

    #[test]
    fn title_and_description_are_escaped() {
        let mut scene = Scene::new(10.0, "A & B <b>", "\"x\"");
        scene.height = 10.0;
        let drawn = svg(&scene).unwrap();
        assert!(drawn.contains("<title>A &amp; B &lt;b&gt;</title>\n<desc>&quot;x&quot;</desc>"), "{drawn}");
    }
}
