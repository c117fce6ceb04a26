//! Panels one below the other over the whole width: one analyte large, or the narrow form of any chart.

use super::axis::{Seasons, seasons};
use super::font::{fit, wrap};
use super::input::{ChartInput, Panel, Width};
use super::legend;
use super::look::{INK, Look, SOFT};
use super::panel::{Rows, set};
use super::scene::{Anchor, Scene};
use super::words;

/// Space between panels.
const GAP: f64 = 26.0;
/// A lone panel on a wide drawing has this much more height than one of several.
const LARGE: f64 = 1.6;

/// Draws every panel over the whole width, one below the other; a single one is drawn larger.
pub fn single(input: &ChartInput, width: Width) -> Scene {
    let mut look = Look::of(width);
    if input.panels.len() < 2 {
        look.plot *= if width == Width::Wide { LARGE } else { 1.2 };
    }
    grid(input, &look, 1)
}

/// Draws the panels in so many columns.
pub(super) fn grid(input: &ChartInput, look: &Look, columns: usize) -> Scene {
    let mut scene = Scene::new(look.width, &words::title(input), &words::description(input));
    let top = heading(&mut scene, &input.title, &input.subtitle, look);
    let panels: Vec<&Panel> = input.panels.iter().collect();
    // Without any point the axis has nothing to say; the panels then say so in words.
    let seasons = seasons(&panels).unwrap_or(Seasons { first: 0, last: -1, shown: -1 });
    let columns = columns.max(1);
    let panel_width = (look.width - 2.0 * look.edge - GAP * (columns as f64 - 1.0)) / columns as f64;
    let sets: Vec<_> = panels.iter().map(|panel| set(panel, &seasons, look, panel_width)).collect();
    let mut y = top;
    for row in sets.chunks(columns) {
        let rows = row.iter().map(|one| one.rows()).fold(Rows::default(), Rows::most);
        for (column, one) in row.iter().enumerate() {
            let x = look.edge + column as f64 * (panel_width + GAP);
            one.draw(&mut scene, (x, y), rows, &seasons, look, panel_width);
        }
        y += rows.height(look) + GAP;
    }
    y = legend::draw(&mut scene, &panels, look, y - GAP / 2.0);
    scene.height = (y + look.edge).ceil();
    scene
}

/// Title and subtitle; where the panels begin.
pub(super) fn heading(scene: &mut Scene, title: &str, subtitle: &str, look: &Look) -> f64 {
    let room = look.width - 2.0 * look.edge;
    let mut y = look.edge;
    for line in wrap(title, look.title, true, room, 2) {
        y += look.title * 1.2;
        scene.text((look.edge, y - look.title * 0.25), Anchor::Start, (look.title, true), INK, &line);
    }
    for line in wrap(subtitle, look.small, false, room, 2) {
        y += look.row();
        let line = fit(&line, look.small, false, room);
        scene.text((look.edge, y - look.small * 0.25), Anchor::Start, (look.small, false), SOFT, &line);
    }
    y + 14.0
}
