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

/// Hundredths of an em, in which widths are counted.
const FINE: f64 = 100.0;

/// Width of a text set at `em` units.
pub(super) fn width(text: &str, em: f64, bold: bool) -> f64 {
    let fine = match TABLES.as_ref().and_then(|tables| tables.get(usize::from(bold))) {
        Some(table) if text.bytes().all(|letter| PLAIN.contains(&letter)) => table.width(text),
        _ => match of(bold) {
            Some(font) => walk(font, text, FINE, |_, _| {}),
            None => return text.chars().count() as f64 * em * 0.6,
        },
    };
    f64::from(fine.trunc()) / FINE * em
}

/// The letters whose widths are looked up once: nearly all that is ever set.
const PLAIN: std::ops::RangeInclusive<u8> = b' '..=b'~';
const LETTERS: usize = (b'~' - b' ') as usize + 1;

/// Advances and kerning of the plain letters of a weight, in hundredths of an em: the file's own tables are searched
/// for each pair, which took a quarter of a chart's time.
struct Table {
    advances: [f32; LETTERS],
    /// By the letter before, then the letter.
    kerning: Vec<[f32; LETTERS]>,
}

static TABLES: LazyLock<Option<[Table; 2]>> =
    LazyLock::new(|| Some([Table::of(of(false)?), Table::of(of(true)?)]));

impl Table {
    fn of(font: &FontRef<'_>) -> Self {
        let font = font.as_scaled(PxScale::from((FINE * BOX_PER_EM) as f32));
        let glyphs: Vec<GlyphId> = PLAIN.map(|letter| font.glyph_id(char::from(letter))).collect();
        let row = |measure: &dyn Fn(GlyphId) -> f32| {
            let mut row = [0.0; LETTERS];
            row.iter_mut().zip(&glyphs).for_each(|(place, glyph)| *place = measure(*glyph));
            row
        };
        Self {
            advances: row(&|glyph| font.h_advance(glyph)),
            kerning: glyphs.iter().map(|before| row(&|glyph| font.kern(*before, glyph))).collect(),
        }
    }

    /// As [`walk`] adds it up, to the last digit. Letters must be plain.
    fn width(&self, text: &str) -> f32 {
        let places = text.bytes().map(|letter| usize::from(letter.saturating_sub(*PLAIN.start())));
        let (mut x, mut before) = (0.0_f32, None);
        for place in places {
            x += self.advances.get(place).copied().unwrap_or_default();
            let pairs: Option<&[f32; LETTERS]> = before.and_then(|before: usize| self.kerning.get(before));
            x += pairs.and_then(|pairs| pairs.get(place)).copied().unwrap_or_default();
            before = Some(place);
        }
        x
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
    fn what_is_looked_up_once_measures_as_the_file_does() {
        let tables = TABLES.as_ref().unwrap();
        for (bold, table) in [(false, &tables[0]), (true, &tables[1])] {
            let font = of(bold).unwrap();
            for before in PLAIN.map(char::from) {
                for after in PLAIN.map(char::from) {
                    let text = format!("{before}{after}To AV. 11{after}");
                    assert_eq!(table.width(&text), walk(font, &text, FINE, |_, _| {}), "{text}");
                }
            }
        }
        // The pair is set closer than its letters alone.
        assert!(width("AV", 10.0, false) < width("A", 10.0, false) + width("V", 10.0, false) - 0.3);
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
