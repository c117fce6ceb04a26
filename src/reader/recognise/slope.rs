//! How far the lines of a sheet fall, and whether they run across it or along it.

use super::sheet::Sheet;

/// Dots an inch at which the slope is sought.
const COARSE: f32 = 100.0;

/// What the dark pixels of a sheet say about its lines.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Lines {
    /// How far they fall to the right, in radians, up to 5 degrees.
    pub(super) slope: f32,
    /// True where they run from top to bottom rather than across: the sheet lies on its side.
    pub(super) upright: bool,
}

impl Sheet {
    /// The slope at which the dark pixels gather in the sharpest rows, and the way the lines run.
    pub(super) fn lines(&self, dots_an_inch: f32) -> Lines {
        let small = self.straightened(0.0, (COARSE / dots_an_inch).min(1.0));
        let dark = small.dark();
        // A dark page, or a photograph, has no lines to go by.
        if dark.len() < 50 || dark.len() * 3 > small.grey.len() {
            return Lines { slope: 0.0, upright: false };
        }
        let (slope, across) = sharpest(&dark, small.width, small.height);
        let on_side: Vec<(f32, f32)> = dark.iter().map(|(x, y)| (*y, *x)).collect();
        let (_, along) = sharpest(&on_side, small.height, small.width);
        Lines { slope, upright: along > across }
    }

    /// The places of the dark pixels.
    #[allow(clippy::cast_precision_loss)]
    fn dark(&self) -> Vec<(f32, f32)> {
        let edge = self.edge();
        self.grey
            .chunks_exact(self.width.max(1))
            .zip(0_u16..)
            .flat_map(|(row, y)| row.iter().zip(0_u16..).map(move |(grey, x)| (*grey, x, y)))
            .filter(|(grey, ..)| *grey <= edge)
            .map(|(_, x, y)| (f32::from(x), f32::from(y)))
            .collect()
    }
}

/// The best slope in radians and how sharp the rows are at it, in steps for a dark pixel.
#[allow(clippy::cast_precision_loss)]
fn sharpest(dark: &[(f32, f32)], width: usize, height: usize) -> (f32, f64) {
    let best = |centre: f32, step: f32| {
        (-10_i16..=10)
            .map(|count| centre + f32::from(count) * step)
            .map(|degrees| (degrees, sharpness(dark, degrees.to_radians(), width, height)))
            .fold((0.0, f64::MIN), |best, next| if next.1 > best.1 { next } else { best })
    };
    let (degrees, sharp) = best(best(0.0, 0.5).0, 0.05);
    (degrees.to_radians(), sharp / dark.len().max(1) as f64)
}

/// Sum of the squared steps between neighbouring rows along lines of this slope. Ruled lines, which run both
/// ways in a table, count no more than a line of text does.
#[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss, clippy::cast_precision_loss)]
fn sharpness(dark: &[(f32, f32)], radians: f32, width: usize, height: usize) -> f64 {
    let fall = radians.tan();
    let margin = width as f32 * fall.abs();
    let mut rows = vec![0_i32; height + 2 * (margin as usize + 1)];
    for (x, y) in dark {
        let row = (y - x * fall + margin).max(0.0) as usize;
        if let Some(row) = rows.get_mut(row) {
            *row += 1;
        }
    }
    rows.windows(2)
        .map(|pair| match pair {
            [one, next] => f64::from(next - one).powi(2),
            _ => 0.0,
        })
        .sum()
}
