//! One panel: head, methods, zone in words, the changes above the frame, the plot, seasons, and what is said below.

use super::axis::{Scale, Seasons, amounts, decimals, ticks};
use super::font::{fit, width, wrap};
use super::input::{Break, Panel};
use super::legend::{self, MARK};
use super::look::{ALERT, FRAME, GRID, INK, Look, PAPER, SOFT, ZONE_EDGE};
use super::mark;
use super::plotted::{self, Frame};
use super::scene::{Anchor, Scene};
use super::words;

/// Room for the numbers left of the frame.
const LEFT: f64 = 42.0;
/// Room for the edges of the zone right of it.
const RIGHT: f64 = 44.0;

/// A panel with its words broken into lines, before it has a place.
pub(super) struct Set<'a> {
    panel: &'a Panel,
    methods: Vec<(String, f64, usize)>,
    zone: Vec<String>,
    changes: Vec<Change>,
    foot: Vec<String>,
    rows: Rows,
}

/// How many rows each part takes; panels side by side share them, so that their frames line up.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub(super) struct Rows {
    methods: usize,
    zone: usize,
    changes: usize,
    foot: usize,
}

impl Rows {
    pub(super) fn most(self, other: Self) -> Self {
        Self {
            methods: self.methods.max(other.methods),
            zone: self.zone.max(other.zone),
            changes: self.changes.max(other.changes),
            foot: self.foot.max(other.foot),
        }
    }

    /// Height of a panel with so many rows.
    pub(super) fn height(&self, look: &Look) -> f64 {
        self.above(look) + look.plot + look.row() * (1.3 + self.foot as f64)
    }

    fn above(&self, look: &Look) -> f64 {
        look.head * 1.4 + look.row() * (self.methods + self.zone + self.changes) as f64 + 6.0
    }
}

/// A change with its label above the frame.
struct Change {
    /// Place of the upright, from the panel's left.
    x: f64,
    /// Both ends of the label.
    label: (f64, f64),
    row: usize,
    words: String,
    method: bool,
}

fn season_scale(seasons: &Seasons, panel_width: f64) -> Scale {
    Scale {
        from: (f64::from(seasons.first) - 0.5, f64::from(seasons.shown) + 0.5),
        to: (LEFT, panel_width - RIGHT),
    }
}

/// Breaks the words of a panel for a width.
pub(super) fn set<'a>(panel: &'a Panel, seasons: &Seasons, look: &Look, panel_width: f64) -> Set<'a> {
    let labels: Vec<String> = panel
        .lines
        .iter()
        .map(|line| {
            let method = if line.method.is_empty() { &panel.method } else { &line.method };
            match &line.lab {
                Some(lab) => format!("{method} ({lab})"),
                None => method.clone(),
            }
        })
        .collect();
    let labels =
        if labels.is_empty() && !panel.method.is_empty() { vec![panel.method.clone()] } else { labels };
    let labels: Vec<String> = labels.iter().map(|l| fit(l, look.small, false, panel_width - MARK)).collect();
    let widths: Vec<f64> = labels.iter().map(|label| MARK + width(label, look.small, false)).collect();
    let methods: Vec<(String, f64, usize)> = labels
        .into_iter()
        .zip(legend::flow(&widths, panel_width))
        .map(|(label, (x, row))| (label, x, row))
        .collect();
    let zone = panel
        .zone
        .iter()
        .flat_map(|zone| wrap(&words::zone(zone, panel.analyte), look.small, false, panel_width - MARK, 2))
        .collect::<Vec<_>>();
    let changes = changes(panel, &season_scale(seasons, panel_width), look, panel_width);
    let crossing = panel.crossing.iter().map(|c| words::crossing(c, panel.zone.as_ref(), panel.analyte));
    let said = crossing.chain(panel.note.clone());
    let foot: Vec<String> = said.flat_map(|one| wrap(&one, look.small, false, panel_width, 3)).collect();
    let rows = Rows {
        methods: methods.iter().map(|(_, _, row)| row + 1).max().unwrap_or(0),
        zone: zone.len(),
        changes: changes.iter().map(|change| change.row + 1).max().unwrap_or(0),
        foot: foot.len(),
    };
    Set { panel, methods, zone, changes, foot, rows }
}

/// Labels in as few rows as keep them apart.
fn changes(panel: &Panel, scale: &Scale, look: &Look, panel_width: f64) -> Vec<Change> {
    let upright = |change: &Break| scale.at(plotted::changed(panel, change.season));
    let method = panel.breaks.iter().map(|change| (change, true));
    let lab = panel.lab_changes.iter().map(|change| (change, false));
    let mut all: Vec<(&Break, bool)> = method.chain(lab).collect();
    // The earliest takes the top row: its upright then passes left of the labels below.
    all.sort_by_key(|(change, _)| change.season);
    let mut taken: Vec<(usize, f64, f64)> = Vec::new();
    all.into_iter()
        .map(|(change, method)| {
            let words = format!("{}: {}", if method { "from here" } else { "lab" }, change.label);
            let x = upright(change);
            let (right, left) = (panel_width - x - 3.0, x - 3.0);
            let wide = width(&words, look.small, method);
            let (anchor, at) = if wide <= right || right >= left {
                (Anchor::Start, x + 3.0)
            } else {
                (Anchor::End, x - 3.0)
            };
            let words = fit(&words, look.small, method, if anchor == Anchor::Start { right } else { left });
            let wide = width(&words, look.small, method);
            let (from, to) = if anchor == Anchor::Start { (at, at + wide) } else { (at - wide, at) };
            let free =
                |row: usize| !taken.iter().any(|(r, a, b)| *r == row && from < b + 8.0 && to + 8.0 > *a);
            let row = (0..).find(|row| free(*row)).unwrap_or(0);
            taken.push((row, from, to));
            Change { x, label: (from, to), row, words, method }
        })
        .collect()
}

impl Set<'_> {
    /// Rows it needs by itself.
    pub(super) fn rows(&self) -> Rows {
        self.rows
    }

    /// Draws it with its upper left corner at `(left, top)`.
    pub(super) fn draw(
        &self,
        scene: &mut Scene,
        (left, top): (f64, f64),
        rows: Rows,
        seasons: &Seasons,
        look: &Look,
        panel_width: f64,
    ) {
        let panel = self.panel;
        self.head(scene, (left, top), rows, look, panel_width);
        let frame = self.frame((left, top), rows, seasons, look, panel_width);
        let (x0, x1) = frame.x.to;
        let (bottom, upper) = frame.y.to;
        plotted::zone(scene, panel, &frame, look);
        self.amounts_axis(scene, &frame, look);
        self.seasons_axis(scene, &frame, seasons, look);
        self.draw_changes(scene, &frame, left, look);
        scene.polyline(vec![(x0, upper), (x1, upper), (x1, bottom), (x0, bottom), (x0, upper)], 1.0, FRAME);
        plotted::trends(scene, panel, &frame, seasons);
        plotted::crossing(scene, panel, &frame, seasons, look);
        plotted::lines(scene, panel, &frame, look);
        if panel.lines.iter().all(|line| line.points.is_empty()) {
            let middle = ((x0 + x1) / 2.0, (upper + bottom) / 2.0);
            scene.text(middle, Anchor::Middle, (look.small, false), SOFT, "no reading");
        }
        let foot = bottom + look.row() * 1.3;
        for (index, line) in self.foot.iter().enumerate() {
            let y = foot + look.row() * (index as f64 + 0.8);
            scene.text((left, y), Anchor::Start, (look.small, false), INK, line);
        }
    }

    fn head(&self, scene: &mut Scene, (left, top): (f64, f64), rows: Rows, look: &Look, panel_width: f64) {
        let head = fit(&words::head(self.panel.analyte), look.head, true, panel_width);
        scene.text((left, top + look.head), Anchor::Start, (look.head, true), INK, &head);
        let row_top = top + look.head * 1.4;
        let middle = |row: usize| row_top + look.row() * (row as f64 + 0.5);
        for (index, (label, x, row)) in self.methods.iter().enumerate() {
            let y = middle(*row);
            if !self.panel.lines.is_empty() {
                mark::of_line(scene, (left + x + 9.0, y), look.mark, index);
            }
            let indent = if self.panel.lines.is_empty() { 0.0 } else { MARK };
            let at = (left + x + indent, y + look.small * 0.35);
            scene.text(at, Anchor::Start, (look.small, false), SOFT, label);
        }
        for (index, line) in self.zone.iter().enumerate() {
            let y = middle(rows.methods + index);
            if index == 0 {
                legend::swatch(scene, (left, y));
            }
            scene.text(
                (left + MARK, y + look.small * 0.35),
                Anchor::Start,
                (look.small, false),
                ZONE_EDGE,
                line,
            );
        }
    }

    fn frame(
        &self,
        (left, top): (f64, f64),
        rows: Rows,
        seasons: &Seasons,
        look: &Look,
        panel_width: f64,
    ) -> Frame {
        let upper = top + rows.above(look);
        let scale = season_scale(seasons, panel_width);
        Frame {
            x: Scale { from: scale.from, to: (left + scale.to.0, left + scale.to.1) },
            y: Scale { from: amounts(self.panel), to: (upper + look.plot, upper) },
        }
    }

    fn amounts_axis(&self, scene: &mut Scene, frame: &Frame, look: &Look) {
        if self.panel.lines.iter().all(|line| line.points.is_empty()) {
            return;
        }
        let places = decimals(self.panel.analyte);
        let (x0, x1) = frame.x.to;
        let most = (look.plot / 34.0).floor() as usize;
        for tick in ticks(frame.y.from.0, frame.y.from.1, most.max(3), places) {
            let y = frame.y.at(tick);
            scene.line((x0, y), (x1, y), 0.7, GRID);
            let number = format!("{tick:.places$}");
            scene.text((x0 - 6.0, y + look.small * 0.35), Anchor::End, (look.small, false), SOFT, &number);
        }
    }

    fn seasons_axis(&self, scene: &mut Scene, frame: &Frame, seasons: &Seasons, look: &Look) {
        let (x0, x1) = frame.x.to;
        let bottom = frame.y.to.0;
        let label = width("0000", look.small, false) + 8.0;
        for season in seasons.labelled(x1 - x0, label) {
            let x = frame.x.at(f64::from(season));
            scene.line((x, bottom), (x, bottom + 4.0), 1.0, FRAME);
            let y = bottom + 5.0 + look.small;
            scene.text((x, y), Anchor::Middle, (look.small, false), SOFT, &season.to_string());
        }
    }

    fn draw_changes(&self, scene: &mut Scene, frame: &Frame, left: f64, look: &Look) {
        let (bottom, upper) = frame.y.to;
        let rows = self.rows.changes as f64;
        let base = |change: &Change| upper - 4.0 - look.row() * (rows - 1.0 - change.row as f64);
        for change in &self.changes {
            let x = left + change.x;
            let head = base(change) - look.small * 0.8;
            if change.method {
                // The gap: nothing runs through it but the dashes.
                scene.rectangle((x - 3.0, upper), (x + 3.0, bottom), PAPER);
                scene.dashed((x, head), (x, bottom), 1.5, ALERT, (6.0, 4.0));
            } else {
                scene.dashed((x, head), (x, bottom), 1.2, FRAME, (1.5, 2.5));
            }
        }
        for change in &self.changes {
            let (from, to) = (left + change.label.0, left + change.label.1);
            let y = base(change);
            // Over the uprights of later changes, should one pass here.
            scene.rectangle((from - 1.0, y - look.small * 0.85), (to + 1.0, y + look.small * 0.25), PAPER);
            let color = if change.method { ALERT } else { SOFT };
            scene.text((from, y), Anchor::Start, (look.small, change.method), color, &change.words);
        }
    }
}
