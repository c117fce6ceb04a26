//! A drawing before it has a format: shapes in abstract units (one unit is one CSS pixel), origin top left.

/// A colour with its opacity from 0 to 1.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Color {
    /// Red, green, blue.
    pub rgb: (u8, u8, u8),
    /// Opacity.
    pub alpha: f64,
}

/// Which part of a text its position names; the position lies on the baseline.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Anchor {
    /// The left end.
    Start,
    /// The middle.
    Middle,
    /// The right end.
    End,
}

/// A text on the drawing.
#[derive(Debug, Clone, PartialEq)]
pub struct Text {
    /// Anchor point on the baseline.
    pub at: (f64, f64),
    /// Which part stands there.
    pub anchor: Anchor,
    /// Size of the type in units.
    pub em: f64,
    /// Bold or regular.
    pub bold: bool,
    /// Colour.
    pub color: Color,
    /// The words, unescaped.
    pub words: String,
}

/// One shape.
#[derive(Debug, Clone, PartialEq)]
pub enum Shape {
    /// A line through points.
    Polyline {
        /// Points in order.
        points: Vec<(f64, f64)>,
        /// Thickness.
        width: f64,
        /// Colour.
        color: Color,
    },
    /// A filled polygon without an outline.
    Polygon {
        /// Corners in order.
        points: Vec<(f64, f64)>,
        /// Colour.
        color: Color,
    },
    /// A filled circle.
    Circle {
        /// Centre.
        center: (f64, f64),
        /// Radius.
        radius: f64,
        /// Colour.
        color: Color,
    },
    /// The outline of a circle.
    Ring {
        /// Centre.
        center: (f64, f64),
        /// Radius.
        radius: f64,
        /// Thickness.
        width: f64,
        /// Colour.
        color: Color,
    },
    /// Words.
    Text(Text),
}

/// A whole drawing.
#[derive(Debug, Clone, PartialEq)]
pub struct Scene {
    /// Width in units.
    pub width: f64,
    /// Height in units.
    pub height: f64,
    /// What a screen reader says first.
    pub title: String,
    /// What it says then: the drawing in sentences.
    pub description: String,
    /// Shapes, the lowest first.
    pub shapes: Vec<Shape>,
}

impl Scene {
    /// An empty drawing.
    pub fn new(width: f64, title: &str, description: &str) -> Self {
        Self { width, height: 0.0, title: clean(title), description: clean(description), shapes: Vec::new() }
    }

    /// A straight line.
    pub fn line(&mut self, from: (f64, f64), to: (f64, f64), width: f64, color: Color) {
        self.polyline(vec![from, to], width, color);
    }

    /// A straight line of dashes: `on` drawn, `off` left out.
    pub fn dashed(
        &mut self,
        from: (f64, f64),
        to: (f64, f64),
        width: f64,
        color: Color,
        (on, off): (f64, f64),
    ) {
        let (dx, dy) = (to.0 - from.0, to.1 - from.1);
        let length = dx.hypot(dy);
        if length <= 0.0 || on + off <= 0.0 {
            return;
        }
        let along = |d: f64| (from.0 + dx * d / length, from.1 + dy * d / length);
        let mut start = 0.0;
        while start < length {
            self.line(along(start), along((start + on).min(length)), width, color);
            start += on + off;
        }
    }

    /// A line through points.
    pub fn polyline(&mut self, points: Vec<(f64, f64)>, width: f64, color: Color) {
        self.shapes.push(Shape::Polyline { points, width, color });
    }

    /// A filled polygon.
    pub fn polygon(&mut self, points: Vec<(f64, f64)>, color: Color) {
        self.shapes.push(Shape::Polygon { points, color });
    }

    /// A filled rectangle.
    pub fn rectangle(&mut self, (x0, y0): (f64, f64), (x1, y1): (f64, f64), color: Color) {
        self.polygon(vec![(x0, y0), (x1, y0), (x1, y1), (x0, y1)], color);
    }

    /// A filled circle.
    pub fn circle(&mut self, center: (f64, f64), radius: f64, color: Color) {
        self.shapes.push(Shape::Circle { center, radius, color });
    }

    /// The outline of a circle.
    pub fn ring(&mut self, center: (f64, f64), radius: f64, width: f64, color: Color) {
        self.shapes.push(Shape::Ring { center, radius, width, color });
    }

    /// Words with the anchor on the baseline; empty ones are not drawn.
    pub fn text(
        &mut self,
        at: (f64, f64),
        anchor: Anchor,
        (em, bold): (f64, bool),
        color: Color,
        words: &str,
    ) {
        let words = clean(words);
        if !words.is_empty() {
            self.shapes.push(Shape::Text(Text { at, anchor, em, bold, color, words }));
        }
    }
}

/// Names come from documents: without control characters (which XML forbids) and without the marks that turn the
/// direction of the text around them.
pub(super) fn clean(words: &str) -> String {
    let turns = |c: char| matches!(c, '\u{200e}' | '\u{200f}' | '\u{202a}'..='\u{202e}' | '\u{2066}'..='\u{2069}' | '\u{fffe}' | '\u{ffff}');
    words.chars().map(|c| if c.is_control() { ' ' } else { c }).filter(|c| !turns(*c)).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    const INK: Color = Color { rgb: (0, 0, 0), alpha: 1.0 };

    #[test]
    fn dashes_cover_the_line_and_end_with_it() {
        let mut scene = Scene::new(100.0, "", "");
        scene.dashed((0.0, 0.0), (10.0, 0.0), 1.0, INK, (4.0, 2.0));
        let ends: Vec<Vec<(f64, f64)>> = scene
            .shapes
            .iter()
            .filter_map(|shape| match shape {
                Shape::Polyline { points, .. } => Some(points.clone()),
                _ => None,
            })
            .collect();
        assert_eq!(ends, [vec![(0.0, 0.0), (4.0, 0.0)], vec![(6.0, 0.0), (10.0, 0.0)]]);
    }

    #[test]
    fn control_characters_and_turning_marks_do_not_reach_a_drawing() {
        assert_eq!(clean("North\u{1b}[31m\u{202e}lawn\n"), "North [31mlawn ");
    }
}
