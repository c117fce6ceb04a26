//! The key to the marks: only those that occur, in lines as wide as the drawing.

use super::font::width;
use super::input::Panel;
use super::look::{ALERT, FRAME, INK, Look, SOFT, ZONE, ZONE_EDGE, faint, line_color};
use super::mark;
use super::scene::{Anchor, Scene};
use crate::soil::Qualifier;

/// A mark that needs a word.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum Key {
    Measured,
    Below,
    Flagged,
    UnderRange,
    OverRange,
    Noise,
    Zone,
    Trend,
    Band,
    Crossing,
    LabChange,
}

impl Key {
    const ALL: [Self; 11] = [
        Self::Measured,
        Self::Below,
        Self::Flagged,
        Self::UnderRange,
        Self::OverRange,
        Self::Noise,
        Self::Zone,
        Self::Trend,
        Self::Band,
        Self::Crossing,
        Self::LabChange,
    ];

    const fn words(self) -> &'static str {
        match self {
            Self::Measured => "measured",
            Self::Below => "below sufficiency",
            Self::Flagged => "flagged",
            Self::UnderRange => "below the lab's range (<)",
            Self::OverRange => "above the lab's range (>)",
            Self::Noise => "lab noise of one result",
            Self::Zone => "sufficient",
            Self::Trend => "trend, dashed ahead",
            Self::Band => "its interval",
            Self::Crossing => "meets the edge",
            Self::LabChange => "other laboratory",
        }
    }

    fn occurs(self, panel: &Panel) -> bool {
        let mut points = panel.lines.iter().flat_map(|line| &line.points);
        let mut trends = panel.lines.iter().filter_map(|line| line.trend.as_ref());
        match self {
            Self::Measured => points.next().is_some(),
            Self::Below => points.any(|p| p.below),
            Self::Flagged => points.any(|p| p.flagged),
            Self::UnderRange => points.any(|p| p.qualifier == Some(Qualifier::Below)),
            Self::OverRange => points.any(|p| p.qualifier == Some(Qualifier::Above)),
            Self::Noise => points.any(|p| p.noise.is_some()),
            Self::Zone => panel.zone.is_some(),
            Self::Trend => trends.next().is_some(),
            Self::Band => trends.any(|trend| trend.bounds.is_some()),
            Self::Crossing => panel.crossing.is_some(),
            Self::LabChange => !panel.lab_changes.is_empty(),
        }
    }

    fn draw(self, scene: &mut Scene, (x, y): (f64, f64), half: f64) {
        let middle = (x + 9.0, y);
        let brown = line_color(0);
        match self {
            Self::Measured => mark::of_line(scene, middle, half, 0),
            Self::Below => mark::below(scene, middle, half),
            Self::Flagged => {
                mark::of_line(scene, middle, half * 0.7, 0);
                mark::flagged(scene, middle, half * 0.8);
            }
            Self::UnderRange => mark::outside(scene, (middle.0, y - 12.0), half, Qualifier::Below, brown),
            Self::OverRange => mark::outside(scene, (middle.0, y + 12.0), half, Qualifier::Above, brown),
            Self::Noise => mark::noise(scene, middle.0, (y - 7.0, y + 7.0), SOFT),
            Self::Zone => swatch(scene, (x, y)),
            Self::Trend => {
                scene.line((x, y), (x + 9.0, y), 1.6, INK);
                scene.dashed((x + 9.0, y), (x + 19.0, y), 1.6, INK, (4.0, 3.0));
            }
            Self::Band => {
                scene.polygon(vec![(x, y), (x + 18.0, y - 7.0), (x + 18.0, y + 7.0)], faint(brown, 0.22));
            }
            Self::Crossing => {
                scene.line((x, y), (x + 18.0, y), 1.6, ALERT);
                mark::diamond(scene, middle, half * 1.2, ALERT);
            }
            Self::LabChange => {
                scene.dashed((middle.0, y - 8.0), (middle.0, y + 8.0), 1.2, FRAME, (1.5, 2.5));
            }
        }
    }
}

/// The little ground of the zone with its lower edge.
pub(super) fn swatch(scene: &mut Scene, (x, y): (f64, f64)) {
    scene.rectangle((x, y - 6.0), (x + 18.0, y + 6.0), ZONE);
    scene.line((x, y + 6.0), (x + 18.0, y + 6.0), 1.2, ZONE_EDGE);
}

/// Room for the mark before the words.
pub(super) const MARK: f64 = 24.0;
const GAP: f64 = 16.0;

/// Places for things of these widths one after the other: x from 0 and row from 0.
pub(super) fn flow(widths: &[f64], room: f64) -> Vec<(f64, usize)> {
    let (mut x, mut row) = (0.0, 0);
    let mut places = Vec::new();
    for width in widths {
        if x > 0.0 && x + width > room {
            (x, row) = (0.0, row + 1);
        }
        places.push((x, row));
        x += width + GAP;
    }
    places
}

/// Draws the key below `top`; the drawing's lower edge after it.
pub(super) fn draw(scene: &mut Scene, panels: &[&Panel], look: &Look, top: f64) -> f64 {
    let keys: Vec<Key> =
        Key::ALL.into_iter().filter(|key| panels.iter().any(|panel| key.occurs(panel))).collect();
    let widths: Vec<f64> = keys.iter().map(|key| MARK + width(key.words(), look.small, false)).collect();
    let places = flow(&widths, look.width - 2.0 * look.edge);
    let row = look.row() + 4.0;
    for (key, (x, line)) in keys.iter().zip(&places) {
        let (x, y) = (look.edge + x, top + row * (*line as f64 + 0.5));
        key.draw(scene, (x, y), look.mark);
        scene.text((x + MARK, y + look.small * 0.35), Anchor::Start, (look.small, false), SOFT, key.words());
    }
    top + row * places.last().map_or(0.0, |(_, line)| *line as f64 + 1.0)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::chart::samples;

    #[test]
    fn things_flow_into_the_next_row_when_the_room_ends() {
        assert_eq!(flow(&[50.0, 50.0, 50.0], 120.0), [(0.0, 0), (66.0, 0), (0.0, 1)]);
        assert_eq!(flow(&[500.0], 120.0), [(0.0, 0)]);
    }

    #[test]
    fn only_marks_that_occur_are_explained() {
        let plain = samples::one_season();
        assert!(
            Key::Measured.occurs(&plain) && !Key::Trend.occurs(&plain) && !Key::UnderRange.occurs(&plain)
        );
        assert!(Key::UnderRange.occurs(&samples::below_range()));
    }
}
