//! Paper made white and ruled lines taken away, so that only letters are left.

use super::sheet::Sheet;

/// Tiles an inch in which the paper's grey is measured: finer than a shaded band is high.
const TILES_AN_INCH: f32 = 12.0;

/// Share of a tile's pixels, from the darkest, at which the paper begins: letters cover less.
const INK_SHARE: usize = 75;

/// A tile whose paper is darker than this is light print on a dark band.
const DARK_PAPER: u8 = 110;

/// Inches from which a stroke across, or from top to bottom, is a ruled line and no letter.
const RULE_ACROSS: f32 = 0.4;
const RULE_DOWN: f32 = 0.25;

/// Times as far a pale line must run.
const PALE_TIMES: f32 = 2.5;

/// Inches up to which a ruled line is thick.
const RULE_THICK: f32 = 0.03;

/// Specks of paper inside a ruled line, pixels.
const BREAK: usize = 3;

/// The paper of a tile: its grey, and whether it is dark.
#[derive(Clone, Copy)]
struct Tile {
    paper: u8,
    dark: bool,
}

impl Sheet {
    /// The paper made white everywhere: shades, shadows and grey bands go, and light print on a dark band
    /// becomes dark print.
    pub(super) fn on_white(&self, dots_an_inch: f32) -> Self {
        // A tile is a few pixels at least; sizes of pictures are far below where an f32 loses a pixel.
        #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
        let side = ((dots_an_inch / TILES_AN_INCH).round() as usize).max(4);
        let across = self.width.div_ceil(side).max(1);
        let tiles = self.tiles(side, across);
        let mut grey = Vec::with_capacity(self.grey.len());
        for (row, y) in self.grey.chunks_exact(self.width.max(1)).zip(0..) {
            let line = tiles.get(y / side * across..).unwrap_or_default();
            for (pixels, tile) in row.chunks(side).zip(line) {
                grey.extend(pixels.iter().map(|pixel| tile.whitened(*pixel)));
            }
        }
        grey.resize(self.grey.len(), u8::MAX);
        Self { grey, ..*self }
    }

    fn tiles(&self, side: usize, across: usize) -> Vec<Tile> {
        let mut tiles = Vec::new();
        for rows in self.grey.chunks(self.width.max(1) * side) {
            let mut counts = vec![[0_u32; 256]; across];
            for row in rows.chunks(self.width.max(1)) {
                for (pixels, count) in row.chunks(side).zip(&mut counts) {
                    for pixel in pixels {
                        if let Some(count) = count.get_mut(usize::from(*pixel)) {
                            *count += 1;
                        }
                    }
                }
            }
            tiles.extend(counts.iter().map(Tile::of));
        }
        tiles
    }
}

impl Tile {
    fn of(counts: &[u32; 256]) -> Self {
        let total: u32 = counts.iter().sum();
        let at = |share: usize| {
            let wanted = u32::try_from(share).unwrap_or(0) * total / 100;
            let mut sum = 0;
            counts
                .iter()
                .zip(0_u8..=u8::MAX)
                .find(|(count, _)| {
                    sum += **count;
                    sum > wanted
                })
                .map_or(u8::MAX, |(_, grey)| grey)
        };
        let paper = at(INK_SHARE);
        if paper < DARK_PAPER {
            Self { paper: at(100 - INK_SHARE).min(254), dark: true }
        } else {
            Self { paper, dark: false }
        }
    }

    fn whitened(self, pixel: u8) -> u8 {
        let (pixel, paper) = (u32::from(pixel), u32::from(self.paper));
        let white = if self.dark {
            255 - (pixel.saturating_sub(paper) * 255 / (255 - paper)).min(255)
        } else {
            (pixel * 255 / paper.max(1)).min(255)
        };
        u8::try_from(white).unwrap_or(u8::MAX)
    }
}

impl Sheet {
    /// Takes ruled lines away, except where a letter crosses them. The lines must run straight.
    // Inches times dots are small whole numbers.
    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
    pub(super) fn without_rules(mut self, dots_an_inch: f32, edge: u8) -> Self {
        let pixels = |inches: f32| ((inches * dots_an_inch).round() as usize).max(2);
        let thick = pixels(RULE_THICK);
        let (width, height) = (self.width, self.height);
        let across =
            Way { lines: height, line: width, along: 1, length: width, least: pixels(RULE_ACROSS), thick };
        let down =
            Way { lines: width, line: 1, along: width, length: height, least: pixels(RULE_DOWN), thick };
        // A thin line on a coarse or slanted scan is paler than letters are; what is so pale is taken for a line
        // only where it runs further than a word's letters could touch.
        let pale = edge + (u8::MAX - edge) / 2;
        let (far_across, far_down) = (
            Way { least: pixels(PALE_TIMES * RULE_ACROSS), ..across },
            Way { least: pixels(PALE_TIMES * RULE_DOWN), ..down },
        );
        for (way, edge) in [(across, edge), (down, edge), (far_across, pale), (far_down, pale)] {
            for at in way.rules(&self.grey, edge) {
                if let Some(pixel) = self.grey.get_mut(at) {
                    *pixel = u8::MAX;
                }
            }
        }
        self
    }
}

/// A way in which ruled lines run.
#[derive(Clone, Copy)]
struct Way {
    /// Lines of pixels, and the step from one to the next.
    lines: usize,
    line: usize,
    /// Step from one pixel of a line to the next, and pixels of it.
    along: usize,
    length: usize,
    /// Pixels from which a run is a ruled line.
    least: usize,
    thick: usize,
}

impl Way {
    /// The pixels of ruled lines.
    fn rules(&self, grey: &[u8], edge: u8) -> Vec<usize> {
        let dark = |at: usize| grey.get(at).is_some_and(|pixel| *pixel <= edge);
        let mut found = Vec::new();
        for line in 0..self.lines {
            let start = line * self.line;
            let (mut begun, mut ink, mut paper) = (None, 0, 0);
            for step in 0..=self.length {
                if step < self.length && dark(start + step * self.along) {
                    begun.get_or_insert(step);
                    (ink, paper) = (ink + 1, 0);
                    continue;
                }
                paper += 1;
                if paper <= BREAK && step < self.length {
                    continue;
                }
                if let Some(first) = begun.take()
                    && ink >= self.least
                {
                    for step in first..step {
                        self.stroke(start + step * self.along, &dark, &mut found);
                    }
                }
                ink = 0;
            }
        }
        found
    }

    /// Adds the dark pixels through `at` across the line, where they are no thicker than a ruled line.
    fn stroke(&self, at: usize, dark: &dyn Fn(usize) -> bool, found: &mut Vec<usize>) {
        if !dark(at) {
            return;
        }
        let beside = self.line;
        let before = (1..=self.thick).take_while(|n| at.checked_sub(n * beside).is_some_and(dark)).count();
        let after = (1..=self.thick).take_while(|n| dark(at + n * beside)).count();
        if before + after < self.thick {
            // The grey rim of the line goes with it.
            let first = at.saturating_sub((before + 1) * beside);
            found.extend((0..before + after + 3).map(|n| first + n * beside));
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn sheet(width: usize, height: usize, grey: impl Fn(usize, usize) -> u8) -> Sheet {
        Sheet { width, height, grey: (0..width * height).map(|at| grey(at % width, at / width)).collect() }
    }

    #[test]
    fn shaded_and_dark_bands_become_white_with_dark_print() {
        let letter = |x: usize, y: usize| x % 20 < 3 && y % 20 < 12;
        let page = sheet(400, 300, |x, y| match (y / 100, letter(x, y)) {
            (0, true) => 40,
            (0, false) => 230,
            (1, true) => 40,
            (1, false) => 170,
            (_, true) => 250,
            (_, false) => 30,
        });
        let white = page.on_white(240.0);
        for y in [50, 150, 250] {
            let at = |x: usize, y: usize| white.grey[y * 400 + x];
            assert!(at(1, y / 20 * 20 + 2) < 80, "{y} {}", at(1, y / 20 * 20 + 2));
            assert!(at(12, y) > 240, "{y} {}", at(12, y));
        }
    }

    #[test]
    fn ruled_lines_go_and_letters_stay() {
        let page = sheet(400, 300, |x, y| {
            let rule = y.abs_diff(150) < 2 && x > 20 || x.abs_diff(200) < 2 && y > 20;
            let letter = (60..64).contains(&x) && (100..124).contains(&y);
            let crossing = (90..94).contains(&x) && (140..164).contains(&y);
            if rule || letter || crossing { 0 } else { 255 }
        });
        let bare = page.without_rules(200.0, 128);
        let dark = |x: usize, y: usize| bare.grey[y * 400 + x] == 0;
        assert!(!dark(300, 150) && !dark(200, 250));
        assert!(dark(61, 110) && dark(91, 150));
    }

    #[test]
    fn a_pale_line_goes_where_it_is_long_and_pale_letters_stay() {
        let page = sheet(400, 300, |x, y| {
            let rule = y == 150 && x > 20 || x == 200 && y > 20;
            let letter = (60..64).contains(&x) && (100..124).contains(&y);
            let word = y == 60 && (30..110).contains(&x);
            if rule || letter || word { 170 } else { 255 }
        });
        let bare = page.without_rules(200.0, 128);
        let pale = |x: usize, y: usize| bare.grey[y * 400 + x] < 255;
        assert!(!pale(300, 150) && !pale(200, 250));
        assert!(pale(61, 110) && pale(60, 60));
    }
}
