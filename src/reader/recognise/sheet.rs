//! Grey pixels made ready for recognition: turned, straightened, scaled, set to black and white.

use super::frame::Frame;
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

    /// Turned to the right by so many quarters.
    pub(super) fn turned(&self, quarters: u8) -> Self {
        let (wide, high) = (self.width, self.height);
        let column = |x: usize| self.grey.iter().skip(x).step_by(wide.max(1)).copied();
        let grey: Vec<u8> = match quarters % 4 {
            0 => self.grey.clone(),
            1 => (0..wide).flat_map(|x| column(x).rev()).collect(),
            2 => self.grey.iter().rev().copied().collect(),
            _ => (0..wide).rev().flat_map(column).collect(),
        };
        let (width, height) = if quarters.is_multiple_of(2) { (wide, high) } else { (high, wide) };
        Self { width, height, grey }
    }

    /// Straightened by `radians` (how far the lines fall to the right) about its middle, and scaled.
    #[allow(clippy::cast_precision_loss)]
    pub(super) fn straightened(&self, radians: f32, scale: f32) -> Self {
        let frame = Frame::new(self.width, self.height, radians, scale);
        let (width, height) = frame.size();
        let mut grey = Vec::with_capacity(width.saturating_mul(height));
        for y in 0..height {
            let (start, step) = frame.row(y);
            grey.extend(
                (0..width).map(|x| self.between(start.0 + x as f32 * step.0, start.1 + x as f32 * step.1)),
            );
        }
        Self { width, height, grey }
    }

    /// The grey between the four pixels around a place; white outside.
    // Places are within the sheet where they are turned into whole numbers; mixed greys are 0 to 255.
    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss, clippy::cast_precision_loss)]
    pub(super) fn between(&self, x: f32, y: f32) -> u8 {
        if x <= -1.0 || y <= -1.0 || x >= self.width as f32 || y >= self.height as f32 {
            return u8::MAX;
        }
        let (x, y) = (x.max(0.0), y.max(0.0));
        let (left, top) = (x as usize, y as usize);
        // In 256ths: whole numbers are quick.
        let (right_share, low_share) =
            (((x - left as f32) * 256.0) as i32, ((y - top as f32) * 256.0) as i32);
        let at = top * self.width + left;
        let right = usize::from(left + 1 < self.width);
        let down = if top + 1 < self.height { self.width } else { 0 };
        let pixel = |at: usize| i32::from(self.grey.get(at).copied().unwrap_or(u8::MAX));
        let mix = |one: i32, other: i32| one * 256 + (other - one) * right_share;
        let (upper, lower) =
            (mix(pixel(at), pixel(at + right)), mix(pixel(at + down), pixel(at + down + right)));
        ((upper * 256 + (lower - upper) * low_share + 32_768) >> 16) as u8
    }

    /// Black and white, parted where the two groups of greys differ most (Otsu 1979).
    pub(super) fn black_and_white(&self) -> Self {
        let edge = self.edge();
        Self { grey: self.grey.iter().map(|grey| if *grey <= edge { 0 } else { u8::MAX }).collect(), ..*self }
    }

    /// The darkest grey that still counts as paper's opposite.
    #[allow(clippy::cast_precision_loss)]
    pub(super) fn edge(&self) -> u8 {
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
            let slope = leaning.lines(100.0).slope;
            assert!((slope.to_degrees() - degrees).abs() < 0.16, "{degrees} {}", slope.to_degrees());
            assert!(leaning.straightened(slope, 1.0).lines(100.0).slope.to_degrees().abs() < 0.2);
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
        let at = |x: usize, y: usize| sheet.grey[y * 800 + x];
        assert!(at(100, 3) < 60 && at(100, 20) > 200);
    }

    #[test]
    fn quarter_turns_go_to_the_right_and_four_are_none() {
        let sheet = Sheet { width: 3, height: 2, grey: vec![1, 2, 3, 4, 5, 6] };
        assert_eq!(sheet.turned(1), Sheet { width: 2, height: 3, grey: vec![4, 1, 5, 2, 6, 3] });
        assert_eq!(sheet.turned(2).grey, [6, 5, 4, 3, 2, 1]);
        assert_eq!(sheet.turned(1).turned(3), sheet);
    }

    #[test]
    fn a_sheet_on_its_side_is_seen() {
        let page = ruled(0.01);
        assert!(!page.lines(100.0).upright && page.turned(1).lines(100.0).upright);
    }
}
