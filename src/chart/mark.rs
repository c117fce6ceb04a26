//! Markers: a shape for each line, and a shape of its own for what lies below sufficiency.

use super::input::{Point, State};
use super::look::{ALERT, CARE, PAPER, SOFT, ZONE_EDGE, line_color};
use super::scene::{Color, Scene};
use crate::soil::Qualifier;

/// The filled marker of a line: circle, square or diamond by its place.
pub(super) fn of_line(scene: &mut Scene, at: (f64, f64), half: f64, index: usize) {
    let color = line_color(index);
    let (x, y) = at;
    match index % 3 {
        0 => scene.circle(at, half, color),
        1 => scene.rectangle((x - half * 0.9, y - half * 0.9), (x + half * 0.9, y + half * 0.9), color),
        _ => diamond(scene, at, half * 1.25, color),
    }
}

/// Below sufficiency: an open triangle that points down.
pub(super) fn below(scene: &mut Scene, (x, y): (f64, f64), half: f64) {
    // Two fills and no outline: an outline of three points is drawn with one side short by the PNG surface.
    for (size, color) in [(half * 1.65, ALERT), (half * 0.85, PAPER)] {
        let corners = vec![(x - size, y - size * 0.6), (x + size, y - size * 0.6), (x, y + size)];
        scene.polygon(corners, color);
    }
}

/// A diamond.
pub(super) fn diamond(scene: &mut Scene, (x, y): (f64, f64), half: f64, color: Color) {
    scene.polygon(vec![(x, y - half), (x + half, y), (x, y + half), (x - half, y)], color);
}

/// A flag speaks of it: a ring around.
pub(super) fn flagged(scene: &mut Scene, at: (f64, f64), half: f64) {
    scene.ring(at, half * 2.0, 1.4, ALERT);
}

/// Outside the laboratory's range: an arrow away from the limit.
pub(super) fn outside(scene: &mut Scene, (x, y): (f64, f64), half: f64, qualifier: Qualifier, color: Color) {
    let way = match qualifier {
        Qualifier::Below => 1.0,
        Qualifier::Above => -1.0,
    };
    let (start, tip) = (y + way * half * 1.2, y + way * half * 4.2);
    scene.line((x, start), (x, tip), 1.6, color);
    scene.polyline(
        vec![(x - half * 0.8, tip - way * half), (x, tip), (x + half * 0.8, tip - way * half)],
        1.6,
        color,
    );
}

/// The noise bar: an upright with two feet.
pub(super) fn noise(scene: &mut Scene, x: f64, (top, bottom): (f64, f64), color: Color) {
    // One stroke that goes over half of each foot twice: a third of the shapes.
    let foot = |y: f64| [(x - 3.0, y), (x + 3.0, y)];
    let stroke = foot(top).into_iter().chain([(x, top), (x, bottom)]).chain(foot(bottom));
    scene.polyline(stroke.collect(), 1.0, color);
}

/// A whole point: marker, ring, arrow.
pub(super) fn point(scene: &mut Scene, at: (f64, f64), half: f64, index: usize, point: &Point) {
    if let Some(qualifier) = point.qualifier {
        let color = if point.below { ALERT } else { line_color(index) };
        outside(scene, at, half, qualifier, color);
    }
    if point.below {
        below(scene, at, half)
    } else {
        of_line(scene, at, half, index)
    }
    if point.flagged {
        flagged(scene, at, half);
    }
}

/// A state on the overview: each has a shape of its own.
pub(super) fn state(scene: &mut Scene, (x, y): (f64, f64), half: f64, state: State) {
    match state {
        State::Act => {
            let corners = vec![(x - half, y - half * 0.75), (x + half, y - half * 0.75), (x, y + half)];
            scene.polygon(corners, ALERT);
        }
        State::Watch => {
            diamond(scene, (x, y), half * 1.1, CARE);
            diamond(scene, (x, y), half * 0.62, PAPER);
        }
        State::Good => scene.circle((x, y), half * 0.7, ZONE_EDGE),
        State::Unclassed => scene.line((x - half * 0.8, y), (x + half * 0.8, y), 2.0, SOFT),
    }
}
