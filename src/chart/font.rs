//! The embedded typeface: its registration, the width of a text, and texts cut or wrapped to a width.
//!
//! Liberation Sans has the advance widths of Arial and Helvetica, so that an SVG looks the same where a reader's
//! machine has any of the three. Licence: `font/OFL.txt`.

use plotters::style::{FontDesc, FontFamily, FontStyle, register_font};
use std::sync::LazyLock;

/// The family as SVG names it, fallbacks included; the embedded font is registered under this very text.
pub(super) const FAMILY: &str = "Liberation Sans, Arial, Helvetica, sans-serif";

/// Height of the font's line box in em (ascent 0.905, descent 0.212, from the file's `hhea` table): the rasteriser
/// measures type by it.
pub(super) const BOX_PER_EM: f64 = 1.117;

static REGISTERED: LazyLock<bool> = LazyLock::new(|| {
    let regular: &'static [u8] = include_bytes!("font/LiberationSans-Regular.ttf");
    let bold: &'static [u8] = include_bytes!("font/LiberationSans-Bold.ttf");
    register_font(FAMILY, FontStyle::Normal, regular).is_ok()
        && register_font(FAMILY, FontStyle::Bold, bold).is_ok()
});

/// The font at a size of the line box; false in the second place where the embedded file cannot be used.
pub(super) fn font(box_size: f64, bold: bool) -> (FontDesc<'static>, bool) {
    let usable = *REGISTERED;
    let style = if bold { FontStyle::Bold } else { FontStyle::Normal };
    (FontDesc::new(FontFamily::Name(FAMILY), box_size, style), usable)
}

/// Width of a text set at `em` units.
pub(super) fn width(text: &str, em: f64, bold: bool) -> f64 {
    // The library answers in whole units: ask at a hundred times the size of one.
    const FINE: f64 = 100.0;
    let (font, _) = font(FINE * BOX_PER_EM, bold);
    match font.layout_box(text) {
        Ok(((left, _), (right, _))) => f64::from(right - left) / FINE * em,
        Err(_) => text.chars().count() as f64 * em * 0.6,
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
        assert!(font(12.0, false).1);
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
