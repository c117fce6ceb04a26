//! A scene as SVG, written by the plotting library's surface.

use super::super::font::family;
use super::super::scene::{Anchor, Color, Scene, Shape, Text, clean};
use super::{PaintError, refused, size};
use plotters::prelude::{DrawingBackend, SVGBackend};
use plotters::style::text_anchor::{HPos, Pos, VPos};
use plotters::style::{RGBAColor, ShapeStyle, TextStyle};

/// The surface counts in whole units: it is drawn at this many steps a unit.
const STEPS: f64 = 10.0;
/// The surface divides the size of a font by this.
const FONT_DIVISOR: f64 = 1.24;
/// Where it puts the baseline below the position of a text anchored at the top, in em.
const BASELINE_EM: f64 = 0.76;

/// The scene as one SVG file: scales to any width, carries title and description.
///
/// # Errors
/// The size, or what the surface says; see [`PaintError`].
pub fn svg(scene: &Scene) -> Result<String, PaintError> {
    let (width, height) = size(scene, STEPS)?;
    let mut out = String::new();
    let mut surface = SVGBackend::with_string(&mut out, (width, height));
    paint(scene, &mut surface)?;
    surface.present().map_err(refused)?;
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

fn point((x, y): (f64, f64)) -> (i32, i32) {
    ((x * STEPS).round() as i32, (y * STEPS).round() as i32)
}

fn length(units: f64) -> u32 {
    ((units * STEPS).round() as u32).max(1)
}

fn style(color: Color, width: f64, filled: bool) -> ShapeStyle {
    ShapeStyle { color: ink(color), filled, stroke_width: length(width) }
}

fn ink(color: Color) -> RGBAColor {
    let (r, g, b) = color.rgb;
    RGBAColor(r, g, b, color.alpha)
}

fn paint(scene: &Scene, surface: &mut SVGBackend<'_>) -> Result<(), PaintError> {
    let paper = Color { rgb: (255, 255, 255), alpha: 1.0 };
    let corner = point((scene.width, scene.height));
    surface.draw_rect((0, 0), corner, &style(paper, 1.0, true), true).map_err(refused)?;
    for shape in &scene.shapes {
        match shape {
            Shape::Polyline { points, width, color } => surface
                .draw_path(points.iter().map(|at| point(*at)), &style(*color, *width, false))
                .map_err(refused)?,
            Shape::Polygon { points, color } => surface
                .fill_polygon(points.iter().map(|at| point(*at)), &style(*color, 1.0, true))
                .map_err(refused)?,
            Shape::Circle { center, radius, color } => surface
                .draw_circle(point(*center), length(*radius), &style(*color, 1.0, true), true)
                .map_err(refused)?,
            Shape::Ring { center, radius, width, color } => {
                // A closed path: the surface draws the outline of a circle one step thin.
                let around = (0..=48).map(|step| {
                    let angle = f64::from(step) * std::f64::consts::TAU / 48.0;
                    point((center.0 + radius * angle.cos(), center.1 + radius * angle.sin()))
                });
                surface.draw_path(around, &style(*color, *width, false)).map_err(refused)?;
            }
            Shape::Text(text) => write(text, surface)?,
        }
    }
    Ok(())
}

fn write(text: &Text, surface: &mut SVGBackend<'_>) -> Result<(), PaintError> {
    let h_pos = match text.anchor {
        Anchor::Start => HPos::Left,
        Anchor::Middle => HPos::Center,
        Anchor::End => HPos::Right,
    };
    let color = ink(text.color);
    let font = family(text.em * STEPS * FONT_DIVISOR, text.bold);
    let style = TextStyle::from(font).pos(Pos::new(h_pos, VPos::Top)).color(&color);
    let top = (text.at.0, text.at.1 - text.em * BASELINE_EM);
    surface.draw_text(&text.words, &style, point(top)).map_err(refused)
}

fn escaped(words: &str) -> String {
    clean(words).replace('&', "&amp;").replace('<', "&lt;").replace('>', "&gt;").replace('"', "&quot;")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn title_and_description_are_escaped() {
        let mut scene = Scene::new(10.0, "A & B <b>", "\"x\"");
        scene.height = 10.0;
        let drawn = svg(&scene).unwrap();
        assert!(drawn.contains("<title>A &amp; B &lt;b&gt;</title>\n<desc>&quot;x&quot;</desc>"), "{drawn}");
    }
}
