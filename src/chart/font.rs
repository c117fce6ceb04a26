//! The embedded typeface: the outlines of its letters, the width of a text, and texts cut or wrapped to a width.
//!
//! Liberation Sans has the advance widths of Arial and Helvetica, so that an SVG looks the same where a reader's
//! machine has any of the three. Licence: `font/OFL.txt`.

use ab_glyph::{Font, FontRef, GlyphId, OutlineCurve, PxScale, ScaleFont};
use kurbo::{BezPath, Point};
use plotters::style::{FontDesc, FontFamily, FontStyle};
use std::sync::LazyLock;

/// The family as SVG names it, fallbacks included.
const FAMILY: &str = "Liberation Sans, Arial, Helvetica, sans-serif";

/// Height of the font's line box in em (ascent 0.905, descent 0.212, from the file's `hhea` table): the library that
/// measures type counts by it.
const BOX_PER_EM: f64 = 1.117;

static WEIGHTS: LazyLock<Option<[FontRef<'static>; 2]>> = LazyLock::new(|| {
    let regular = FontRef::try_from_slice(include_bytes!("font/LiberationSans-Regular.ttf")).ok()?;
    let bold = FontRef::try_from_slice(include_bytes!("font/LiberationSans-Bold.ttf")).ok()?;
    Some([regular, bold])
});

fn of(bold: bool) -> Option<&'static FontRef<'static>> {
    WEIGHTS.as_ref().map(|[regular, heavy]| if bold { heavy } else { regular })
}

/// The family at a size, as the surface for SVG takes it.
pub(super) fn family(size: f64, bold: bool) -> FontDesc<'static> {
    let style = if bold { FontStyle::Bold } else { FontStyle::Normal };
    FontDesc::new(FontFamily::Name(FAMILY), size, style)
}

/// The outlines of a text set at `em` units that begins at `(0, 0)` on its baseline, and its width; none where the
/// embedded file cannot be used.
pub(super) fn outlines(text: &str, em: f64, bold: bool) -> Option<(BezPath, f64)> {
    let font = of(bold)?;
    let scale = em / f64::from(font.units_per_em()?);
    let mut path = BezPath::new();
    let width = walk(font, text, em, |glyph, x| {
        // The file counts upwards.
        let at =
            |p: ab_glyph::Point| Point::new(f64::from(x) + f64::from(p.x) * scale, -f64::from(p.y) * scale);
        let mut pen = None;
        for curve in font.outline(glyph).into_iter().flat_map(|outline| outline.curves) {
            let (from, to) = ends(&curve);
            if pen != Some(from) {
                path.move_to(at(from));
            }
            match curve {
                OutlineCurve::Line(..) => path.line_to(at(to)),
                OutlineCurve::Quad(_, by, _) => path.quad_to(at(by), at(to)),
                OutlineCurve::Cubic(_, first, second, _) => path.curve_to(at(first), at(second), at(to)),
            }
            pen = Some(to);
        }
    });
    Some((path, f64::from(width)))
}

fn ends(curve: &OutlineCurve) -> (ab_glyph::Point, ab_glyph::Point) {
    match curve {
        OutlineCurve::Line(from, to)
        | OutlineCurve::Quad(from, _, to)
        | OutlineCurve::Cubic(from, _, _, to) => (*from, *to),
    }
}

/// Tells each letter with its place, and gives the width.
fn walk(font: &FontRef<'_>, text: &str, em: f64, mut each: impl FnMut(GlyphId, f32)) -> f32 {
    let font = font.as_scaled(PxScale::from((em * BOX_PER_EM) as f32));
    let (mut x, mut before) = (0.0_f32, None);
    for letter in text.chars() {
        let glyph = font.glyph_id(letter);
        let kern = before.map_or(0.0, |before| font.kern(before, glyph));
        each(glyph, x + kern);
        // In this order: the measure must not change by its last digit.
        x += font.h_advance(glyph);
        x += kern;
        before = Some(glyph);
    }
    x
}

/// Width of a text set at `em` units.
pub(super) fn width(text: &str, em: f64, bold: bool) -> f64 {
    // Counted in whole hundredths of an em.
    const FINE: f64 = 100.0;
    match of(bold) {
        Some(font) => f64::from(walk(font, text, FINE, |_, _| {}).trunc()) / FINE * em,
        None => text.chars().count() as f64 * em * 0.6,
    }
}

/// The text, or as much of its beginning as fits with an ellipsis.
pub(super) fn fit(text: &str, em: f64, bold: bool, room: f64) -> String {
    if width(text, em, bold) <= room {
        return text.to_owned();
    }
    let mut kept: Vec<char> = text.chars().collect();
    while kept.pop().is_some() {
        let cut = format!("{}…", kept.iter().collect::<String>().trim_end());
        if width(&cut, em, bold) <= room {
            return cut;
        }
    }
    String::new()
}

/// The text in at most `lines` lines, broken at spaces; what does not fit the last one is cut with an ellipsis.
pub(super) fn wrap(text: &str, em: f64, bold: bool, room: f64, lines: usize) -> Vec<String> {
    let mut done: Vec<String> = Vec::new();
    let mut line = String::new();
    for word in text.split_whitespace() {
        let longer = if line.is_empty() { word.to_owned() } else { format!("{line} {word}") };
        let last = done.len() + 1 >= lines;
        if last || line.is_empty() || width(&longer, em, bold) <= room {
            line = longer;
        } else {
            done.push(fit(&line, em, bold, room));
            line = word.to_owned();
        }
    }
    if !line.is_empty() {
        done.push(fit(&line, em, bold, room));
    }
    done
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_embedded_font_is_usable_and_measures() {
        assert!(outlines("7", 12.0, false).is_some() && outlines("7", 12.0, true).is_some());
        // Advance of a digit in the font file: 1139 of 2048 units.
        assert!((width("0000", 10.0, false) - 4.0 * 10.0 * 1139.0 / 2048.0).abs() < 0.2);
        assert!(width("iiii", 10.0, false) < width("mmmm", 10.0, false));
    }

    #[test]
    fn a_text_too_long_is_cut_with_an_ellipsis_and_fits() {
        let cut = fit("Sufficient for cool-season turf", 12.0, false, 80.0);
        assert!(cut.ends_with('…') && width(&cut, 12.0, false) <= 80.0);
        assert_eq!(fit("pH", 12.0, true, 80.0), "pH");
        assert_eq!(fit("pH", 12.0, true, 1.0), "");
    }

    #[test]
    fn wrapping_breaks_at_spaces_and_keeps_to_the_lines_allowed() {
        let lines = wrap("no table speaks of Colwell phosphorus on this soil", 12.0, false, 120.0, 2);
        assert_eq!(lines.len(), 2);
        assert!(lines.iter().all(|line| width(line, 12.0, false) <= 120.0));
        assert!(wrap("", 12.0, false, 100.0, 2).is_empty());
    }
}
