//! Grey pixels made ready for recognition: straightened, scaled, set to black and white.

use crate::document::Picture;

/// Grey pixels, row by row, 0 black to 255 white.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Sheet {
    /// Pixels across.
    pub(super) width: usize,
    /// Pixels down.
    pub(super) height: usize,
    /// One byte a pixel.
    pub(super) grey: Vec<u8>,
}

impl Sheet {
    /// The pixels of a picture; what is missing is white.
    pub(super) fn of(picture: &Picture) -> Self {
        let (width, height) = (picture.width as usize, picture.height as usize);
        let mut grey = picture.grey.clone();
        grey.resize(width.saturating_mul(height), u8::MAX);
        Self { width, height, grey }
    }

    /// The pixel, or the nearest one where there is none.
    fn at(&self, x: usize, y: usize) -> u8 {
        let (x, y) = (x.min(self.width.saturating_sub(1)), y.min(self.height.saturating_sub(1)));
        self.grey.get(y * self.width + x).copied().unwrap_or(u8::MAX)
    }

    /// Straightened by `radians` (how far the lines fall to the right) about its middle, and scaled.
    pub(super) fn straightened(&self, radians: f32, scale: f32) -> Self {
        let frame = Frame::new(self.width, self.height, radians, scale);
        let (width, height) = frame.size();
        let mut grey = Vec::with_capacity(width.saturating_mul(height));
        for y in 0..height {
            for x in 0..width {
                let (from_x, from_y) = frame.back(x, y);
                grey.push(self.between(from_x, from_y));
            }
        }
        Self { width, height, grey }
    }

    /// The grey between the four pixels around a place; white outside.
    // Places are within the sheet where they are turned into whole numbers.
    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss, clippy::cast_precision_loss)]
    fn between(&self, x: f32, y: f32) -> u8 {
        if x <= -1.0 || y <= -1.0 || x >= self.width as f32 || y >= self.height as f32 {
            return u8::MAX;
        }
        let (x, y) = (x.max(0.0), y.max(0.0));
        let (left, top) = (x as usize, y as usize);
        let (right_share, low_share) = (x - left as f32, y - top as f32);
        let mix =
            |one: u8, other: u8, share: f32| f32::from(one) + (f32::from(other) - f32::from(one)) * share;
        let (right, low) =
            ((left + 1).min(self.width.saturating_sub(1)), (top + 1).min(self.height.saturating_sub(1)));
        let pixel = |x: usize, y: usize| self.grey.get(y * self.width + x).copied().unwrap_or(u8::MAX);
        let upper = mix(pixel(left, top), pixel(right, top), right_share);
        let lower = mix(pixel(left, low), pixel(right, low), right_share);
        (upper + (lower - upper) * low_share).round() as u8
    }

    /// Black and white, parted where the two groups of greys differ most (Otsu 1979).
    pub(super) fn black_and_white(&self) -> Self {
        let edge = self.edge();
        Self { grey: self.grey.iter().map(|grey| if *grey <= edge { 0 } else { u8::MAX }).collect(), ..*self }
    }

    /// The darkest grey that still counts as paper's opposite.
    #[allow(clippy::cast_precision_loss)]
    fn edge(&self) -> u8 {
        let mut counts = [0_u32; 256];
        for grey in &self.grey {
            if let Some(count) = counts.get_mut(usize::from(*grey)) {
                *count += 1;
            }
        }
        let total: f64 = self.grey.len() as f64;
        let sum: f64 =
            counts.iter().zip(0_u32..).map(|(count, grey)| f64::from(*count) * f64::from(grey)).sum();
        let (mut dark, mut dark_sum, mut best, mut edge) = (0.0, 0.0, 0.0, 127);
        for (count, grey) in counts.iter().zip(0_u8..=u8::MAX) {
            dark += f64::from(*count);
            dark_sum += f64::from(*count) * f64::from(grey);
            let light = total - dark;
            if dark == 0.0 || light == 0.0 {
                continue;
            }
            let apart = dark_sum / dark - (sum - dark_sum) / light;
            let between = dark * light * apart * apart;
            if between > best {
                (best, edge) = (between, grey);
            }
        }
        edge
    }

    /// How far the lines fall to the right, in radians, up to 5 degrees: of all slopes the one at which the
    /// dark pixels gather in the sharpest rows.
    #[allow(clippy::cast_precision_loss)]
    pub(super) fn slope(&self, dots_an_inch: f32) -> f32 {
        let small = self.straightened(0.0, (COARSE / dots_an_inch).min(1.0));
        let edge = small.edge();
        let dark: Vec<(f32, f32)> = (0..small.height)
            .flat_map(|y| (0..small.width).map(move |x| (x, y)))
            .filter(|(x, y)| small.at(*x, *y) <= edge)
            .map(|(x, y)| (x as f32, y as f32))
            .collect();
        // A dark page, or a photograph, has no lines to go by.
        if dark.len() < 50 || dark.len() * 3 > small.grey.len() {
            return 0.0;
        }
        let best = |centre: f32, step: f32| {
            (-10_i16..=10)
                .map(|count| centre + f32::from(count) * step)
                .map(|degrees| (degrees, sharpness(&dark, degrees.to_radians(), small.width, small.height)))
                .fold((0.0, f64::MIN), |best, next| if next.1 > best.1 { next } else { best })
                .0
        };
        best(best(0.0, 0.5), 0.05).to_radians()
    }
}

/// Dots an inch at which the slope is sought.
const COARSE: f32 = 100.0;

/// Sum of the squared steps between neighbouring rows along lines of this slope.
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

/// How the pixels of a straightened and scaled sheet lie on the one it came from.
struct Frame {
    size: (f32, f32),
    sine: f32,
    cosine: f32,
    scale: f32,
}

impl Frame {
    #[allow(clippy::cast_precision_loss)]
    fn new(width: usize, height: usize, radians: f32, scale: f32) -> Self {
        let (sine, cosine) = radians.sin_cos();
        Self { size: (width as f32, height as f32), sine, cosine, scale }
    }

    /// Pixels across and down of the new sheet; at least one each.
    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
    fn size(&self) -> (usize, usize) {
        let scaled = |size: f32| ((size * self.scale).round() as usize).max(1);
        (scaled(self.size.0), scaled(self.size.1))
    }

    /// Where a pixel of the new sheet comes from.
    #[allow(clippy::cast_precision_loss)]
    fn back(&self, x: usize, y: usize) -> (f32, f32) {
        let middle = (self.size.0 / 2.0, self.size.1 / 2.0);
        let (x, y) = ((x as f32 + 0.5) / self.scale - middle.0, (y as f32 + 0.5) / self.scale - middle.1);
        let turned = (x * self.cosine - y * self.sine, x * self.sine + y * self.cosine);
        (turned.0 + middle.0 - 0.5, turned.1 + middle.1 - 0.5)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Black bars of 4 rows every 20, falling to the right by `fall`.
    fn ruled(fall: f32) -> Sheet {
        let (width, height) = (400_usize, 300_usize);
        let dark = |x: usize, y: usize| (y as f32 - x as f32 * fall).rem_euclid(20.0) < 4.0;
        let grey =
            (0..width * height).map(|at| if dark(at % width, at / width) { 30 } else { 220 }).collect();
        Sheet { width, height, grey }
    }

    #[test]
    fn the_slope_of_lines_is_found_and_undone() {
        for degrees in [-3.0_f32, -0.6, 0.0, 1.0, 4.2] {
            let leaning = ruled(degrees.to_radians().tan());
            let slope = leaning.slope(100.0);
            assert!((slope.to_degrees() - degrees).abs() < 0.16, "{degrees} {}", slope.to_degrees());
            assert!(leaning.straightened(slope, 1.0).slope(100.0).to_degrees().abs() < 0.2);
        }
    }

    #[test]
    fn ink_and_paper_are_parted_between_their_greys() {
        let sheet = ruled(0.0).black_and_white();
        assert_eq!((sheet.grey[0], sheet.grey[10 * 400]), (0, 255));
    }

    #[test]
    fn scaling_keeps_what_stands_where() {
        let sheet = ruled(0.0).straightened(0.0, 2.0);
        assert_eq!((sheet.width, sheet.height), (800, 600));
        assert!(sheet.at(100, 3) < 60 && sheet.at(100, 20) > 200);
    }
}
