//! Our own colours and sizes. Every colour has a shape or a word beside it that says the same.
//!
//! Brown, blue and ochre differ in lightness as well as hue, so they stay apart without red-green vision and in grey.

use super::input::Width;
use super::scene::Color;

const fn solid(r: u8, g: u8, b: u8) -> Color {
    Color { rgb: (r, g, b), alpha: 1.0 }
}

/// Words and axes.
pub(super) const INK: Color = solid(0x2B, 0x24, 0x1D);
/// Lesser words.
pub(super) const SOFT: Color = solid(0x5F, 0x56, 0x4C);
/// Grid.
pub(super) const GRID: Color = solid(0xE4, 0xDF, 0xD8);
/// Frame and ticks.
pub(super) const FRAME: Color = solid(0xA3, 0x99, 0x8C);
/// Ground of the sufficiency zone.
pub(super) const ZONE: Color = solid(0xE6, 0xEC, 0xD3);
/// Edge of the zone and its numbers.
pub(super) const ZONE_EDGE: Color = solid(0x56, 0x68, 0x2B);
/// Below the zone, flags, `act`.
pub(super) const ALERT: Color = solid(0xA6, 0x36, 0x12);
/// `watch`.
pub(super) const CARE: Color = solid(0x8A, 0x5A, 0x00);
/// Paper.
pub(super) const PAPER: Color = solid(0xFF, 0xFF, 0xFF);

/// Colour of a line by its place among the lines of a panel.
pub(super) fn line_color(index: usize) -> Color {
    match index % 3 {
        0 => solid(0x5B, 0x3A, 0x22),
        1 => solid(0x1F, 0x63, 0x8F),
        _ => solid(0xB5, 0x7B, 0x12),
    }
}

/// The same colour, see-through.
pub(super) const fn faint(color: Color, alpha: f64) -> Color {
    Color { rgb: color.rgb, alpha }
}

/// Sizes for a width.
#[derive(Debug, Clone, Copy)]
pub(super) struct Look {
    /// Width of the drawing.
    pub width: f64,
    /// Space at its edges.
    pub edge: f64,
    /// Type of the title.
    pub title: f64,
    /// Type of a panel's head.
    pub head: f64,
    /// All other type.
    pub small: f64,
    /// Height of the plotted rectangle.
    pub plot: f64,
    /// Half size of a marker.
    pub mark: f64,
}

impl Look {
    pub(super) fn of(width: Width) -> Self {
        match width {
            Width::Wide => Self {
                width: 960.0,
                edge: 20.0,
                title: 20.0,
                head: 15.0,
                small: 13.0,
                plot: 200.0,
                mark: 4.6,
            },
            Width::Narrow => Self {
                width: 360.0,
                edge: 10.0,
                title: 17.0,
                head: 14.0,
                small: 12.0,
                plot: 170.0,
                mark: 4.6,
            },
        }
    }

    /// Height of a line of small type.
    pub(super) fn row(&self) -> f64 {
        (self.small * 1.4).round()
    }
}
