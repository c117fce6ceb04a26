//! How the pixels of a turned, straightened and scaled sheet lie on the one it came from.

use crate::place::Rect;

/// From the sheet that was read back to the picture: a slope undone about the middle, after quarter turns.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Frame {
    /// Pixels across and down before it was straightened.
    size: (f32, f32),
    sine: f32,
    cosine: f32,
    scale: f32,
    /// Quarter turns to the right that made the picture upright.
    quarters: u8,
}

impl Frame {
    /// For a sheet of this size whose lines fall to the right by `radians`.
    // Sizes of pictures are exact in an f32.
    #[allow(clippy::cast_precision_loss)]
    pub(super) fn new(width: usize, height: usize, radians: f32, scale: f32) -> Self {
        let (sine, cosine) = radians.sin_cos();
        Self { size: (width as f32, height as f32), sine, cosine, scale, quarters: 0 }
    }

    /// The same, of a picture that was first turned to the right by so many quarters.
    pub(super) fn after_quarters(self, quarters: u8) -> Self {
        Self { quarters: quarters % 4, ..self }
    }

    /// True where the picture lay on its side.
    pub(super) fn on_its_side(&self) -> bool {
        self.quarters % 2 == 1
    }

    /// Pixels across and down of the new sheet; at least one each.
    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
    pub(super) fn size(&self) -> (usize, usize) {
        let scaled = |size: f32| ((size * self.scale).round() as usize).max(1);
        (scaled(self.size.0), scaled(self.size.1))
    }

    /// Where the pixel at `x`, `y` of the new sheet comes from, and how far one to its right is from there.
    #[allow(clippy::cast_precision_loss)]
    pub(super) fn row(&self, y: usize) -> ((f32, f32), (f32, f32)) {
        let (x, y) = self.back(0.5 / self.scale, (y as f32 + 0.5) / self.scale);
        ((x - 0.5, y - 0.5), (self.cosine / self.scale, self.sine / self.scale))
    }

    /// A place of the straightened sheet (unscaled) on the sheet before.
    fn back(&self, x: f32, y: f32) -> (f32, f32) {
        let middle = (self.size.0 / 2.0, self.size.1 / 2.0);
        let (x, y) = (x - middle.0, y - middle.1);
        (x * self.cosine - y * self.sine + middle.0, x * self.sine + y * self.cosine + middle.1)
    }

    /// The box around a box of the straightened, unscaled sheet, on the picture as it came.
    pub(super) fn on_picture(&self, area: &Rect) -> Rect {
        let corners = [(area.x0, area.y0), (area.x1, area.y0), (area.x0, area.y1), (area.x1, area.y1)];
        let (width, height) = self.size;
        let back = corners.map(|(x, y)| {
            let (x, y) = self.back(x, y);
            match self.quarters {
                0 => (x, y),
                1 => (y, width - x),
                2 => (width - x, height - y),
                _ => (height - y, x),
            }
        });
        back.iter().fold(Rect::new(f32::MAX, f32::MAX, f32::MIN, f32::MIN), |hull, (x, y)| {
            Rect::new(hull.x0.min(*x), hull.y0.min(*y), hull.x1.max(*x), hull.y1.max(*y))
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_box_comes_back_to_where_it_was_before_each_turn() {
        // A picture of 200 by 100; the upright sheet is 100 by 200 where it was turned by one or three quarters.
        let area = Rect::new(10.0, 20.0, 30.0, 26.0);
        let back = |quarters, width, height| {
            Frame::new(width, height, 0.0, 1.0).after_quarters(quarters).on_picture(&area)
        };
        assert_eq!(back(0, 200, 100), area);
        assert_eq!(back(1, 100, 200), Rect::new(20.0, 70.0, 26.0, 90.0));
        assert_eq!(back(2, 200, 100), Rect::new(170.0, 74.0, 190.0, 80.0));
        assert_eq!(back(3, 100, 200), Rect::new(174.0, 10.0, 180.0, 30.0));
    }

    #[test]
    fn a_slope_is_put_back_about_the_middle() {
        let frame = Frame::new(1000, 1000, 2.0_f32.to_radians(), 1.0);
        let area = frame.on_picture(&Rect::new(900.0, 499.0, 902.0, 501.0));
        assert!((area.mid_x() - 500.0 - 401.0 * frame.cosine).abs() < 0.5, "{area:?}");
        assert!((area.mid_y() - 500.0 - 401.0 * frame.sine).abs() < 0.5, "{area:?}");
    }
}
