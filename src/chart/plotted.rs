//! What stands inside the frame of a panel: zone, trend, lines, points.

use super::axis::{Scale, Seasons};
use super::font;
use super::input::{Line, Panel, Point, TrendLine, Zone};
use super::look::{ALERT, FRAME, INK, Look, PAPER, SOFT, ZONE, ZONE_EDGE, faint, line_color};
use super::mark;
use super::scene::{Anchor, Scene};
use super::words;

/// The frame with its scales.
#[derive(Debug, Clone, Copy)]
pub(super) struct Frame {
    /// Seasons to places.
    pub x: Scale,
    /// Amounts to places; the lowest amount stands at the bottom, the larger number.
    pub y: Scale,
}

impl Frame {
    fn place(&self, season: f64, amount: f64) -> (f64, f64) {
        (self.x.at(season), self.y.at(amount))
    }

    fn held(&self, amount: f64) -> f64 {
        amount.clamp(self.y.from.0, self.y.from.1)
    }
}

/// The ground of the zone and its edges.
pub(super) fn zone(scene: &mut Scene, panel: &Panel, frame: &Frame, look: &Look) {
    let Some(zone) = &panel.zone else { return };
    let (low, high) = frame.y.from;
    let (from, to) = (frame.held(zone.from), frame.held(zone.to.unwrap_or(high)));
    let (_, right) = frame.x.to;
    let left = zone_from(panel, frame);
    if to > from {
        scene.rectangle((left, frame.y.at(to)), (right, frame.y.at(from)), ZONE);
    }
    bands(scene, zone, frame, left, look);
    let mut above: Option<f64> = None;
    for edge in [zone.to, Some(zone.from)].into_iter().flatten().filter(|edge| (low..=high).contains(edge)) {
        let y = frame.y.at(edge);
        scene.line((left, y), (right, y), 1.2, ZONE_EDGE);
        if above.is_none_or(|before| (y - before).abs() > look.small) {
            let number = super::axis::written(edge, panel.analyte);
            scene.text(
                (right + 5.0, y + look.small * 0.35),
                Anchor::Start,
                (look.small, true),
                ZONE_EDGE,
                &number,
            );
            above = Some(y);
        }
    }
}

/// The guide's classes by name, each in its band, with a fine line where one ends and the next begins.
fn bands(scene: &mut Scene, zone: &Zone, frame: &Frame, left: f64, look: &Look) {
    let (_, right) = frame.x.to;
    let (low, high) = frame.y.from;
    let size = look.small - 1.0;
    for band in &zone.classes {
        let (from, to) = (frame.held(band.from.unwrap_or(low)), frame.held(band.to.unwrap_or(high)));
        let (bottom, top) = (frame.y.at(from), frame.y.at(to));
        let own = |edge: f64| edge == zone.from || Some(edge) == zone.to;
        if let Some(edge) = band.from.filter(|edge| *edge > low && *edge < high && !own(*edge)) {
            let y = frame.y.at(edge);
            scene.dashed((left, y), (right, y), 0.8, FRAME, (2.0, 3.0));
        }
        // Words stand at the edge of their band that divides it from its neighbour, where they have room: the open
        // side is where the points of a site in order lie.
        if bottom - top >= size * 1.4 {
            let name = font::fit(&band.name, size, false, right - left - 8.0);
            let y = if band.from.is_some() { bottom - size * 0.4 } else { top + size * 1.1 };
            scene.text((left + 4.0, y), Anchor::Start, (size, false), SOFT, &name);
        }
    }
}

/// Where the zone begins: at the change of method it holds from, half-way between the measured seasons around it.
fn zone_from(panel: &Panel, frame: &Frame) -> f64 {
    let Some(since) = panel.zone.as_ref().and_then(|zone| zone.since) else { return frame.x.to.0 };
    frame.x.at(changed(panel, since)).max(frame.x.to.0)
}

/// The moment of a change whose first season this is, drawn half-way from the last measured season before it.
pub(super) fn changed(panel: &Panel, season: i16) -> f64 {
    let measured = panel.lines.iter().flat_map(|line| &line.points).map(|point| point.season);
    let before = measured.filter(|before| *before < season).max().map_or(f64::from(season) - 1.0, f64::from);
    (before + f64::from(season)) / 2.0
}

/// Until which season the trend of a line is drawn: to its crossing for the last line, else to its last point.
fn drawn_until(panel: &Panel, index: usize, last: f64, seasons: &Seasons) -> f64 {
    match panel.crossing.filter(|_| index + 1 == panel.lines.len()) {
        Some(crossing) => {
            f64::from(crossing.high.unwrap_or(crossing.season).max(crossing.season).min(seasons.shown))
        }
        None => last,
    }
}

/// Interval and trend of every line, ahead as far as the crossing.
pub(super) fn trends(scene: &mut Scene, panel: &Panel, frame: &Frame, seasons: &Seasons) {
    for (index, line) in panel.lines.iter().enumerate() {
        let (Some(trend), Some(first), Some(last)) = (&line.trend, line.points.first(), line.points.last())
        else {
            continue;
        };
        let (first, last) = (f64::from(first.season), f64::from(last.season));
        let until = drawn_until(panel, index, last, seasons);
        band(scene, trend, frame, (first, until), index);
        let color = line_color(index);
        if let Some((from, to)) = visible(trend, frame, (first, last)) {
            scene.line(from, to, 1.4, faint(color, 0.75));
        }
        if let Some((from, to)) = visible(trend, frame, (last, until)) {
            scene.dashed(from, to, 1.8, color, (6.0, 4.0));
        }
    }
}

fn band(scene: &mut Scene, trend: &TrendLine, frame: &Frame, (first, until): (f64, f64), index: usize) {
    const STEPS: u32 = 16;
    let Some((low, high)) = trend.bounds else { return };
    let mut seasons: Vec<f64> =
        (0..=STEPS).map(|step| first + (until - first) * f64::from(step) / f64::from(STEPS)).collect();
    // The two bounds meet at the pivot: without it the waist would be drawn too wide.
    seasons.extend(Some(trend.pivot.0).filter(|pivot| (first..=until).contains(pivot)));
    seasons.sort_by(f64::total_cmp);
    let side = |season: f64, upper: bool| {
        let (a, b) = (low * (season - trend.pivot.0), high * (season - trend.pivot.0));
        let amount = trend.pivot.1 + if upper { a.max(b) } else { a.min(b) };
        frame.place(season, frame.held(amount))
    };
    let top = seasons.iter().map(|season| side(*season, true));
    let bottom = seasons.iter().rev().map(|season| side(*season, false));
    scene.polygon(top.chain(bottom).collect(), faint(line_color(index), 0.18));
}

/// The part of a trend within the frame between two seasons.
fn visible(trend: &TrendLine, frame: &Frame, (first, last): (f64, f64)) -> Option<((f64, f64), (f64, f64))> {
    let amount = |season: f64| trend.pivot.1 + trend.slope * (season - trend.pivot.0);
    let (mut from, mut to) = (first, last);
    if trend.slope != 0.0 {
        let meets = |edge: f64| trend.pivot.0 + (edge - trend.pivot.1) / trend.slope;
        let (a, b) = (meets(frame.y.from.0), meets(frame.y.from.1));
        (from, to) = (from.max(a.min(b)), to.min(a.max(b)));
    } else if !frame.y.shows(trend.pivot.1) {
        return None;
    }
    (to > from).then(|| (frame.place(from, amount(from)), frame.place(to, amount(to))))
}

/// The points of every line, joined within a line only: firm from one season to the next, dotted over a gap
/// and to a limit, which is no value.
pub(super) fn lines(scene: &mut Scene, panel: &Panel, frame: &Frame, look: &Look) {
    for (index, line) in panel.lines.iter().enumerate() {
        let firm =
            |a: &Point, b: &Point| b.season - a.season == 1 && a.qualifier.is_none() && b.qualifier.is_none();
        let mut before: Option<&Point> = None;
        for run in line.points.chunk_by(firm) {
            if let (Some(from), Some(to)) = (before, run.first()) {
                scene.dashed(at(frame, from), at(frame, to), 1.6, line_color(index), (1.6, 3.4));
            }
            if run.len() > 1 {
                scene.polyline(run.iter().map(|point| at(frame, point)).collect(), 2.0, line_color(index));
            }
            before = run.last();
        }
    }
    for (index, line) in panel.lines.iter().enumerate() {
        for point in &line.points {
            let (x, _) = at(frame, point);
            if let Some(noise) = point.noise.filter(|noise| *noise > 0.0) {
                let ends = (frame.held(point.value + noise), frame.held(point.value - noise));
                mark::noise(scene, x, (frame.y.at(ends.0), frame.y.at(ends.1)), SOFT);
            }
        }
        for point in &line.points {
            mark::point(scene, at(frame, point), look.mark, index, point);
        }
    }
    // An older method's last value would stand in the way of the change beside it.
    let latest = panel.lines.iter().flat_map(|line| &line.points).map(|point| point.season).max();
    for line in panel.lines.iter().filter(|line| line.points.last().map(|point| point.season) == latest) {
        last_value(scene, panel, line, frame, look);
    }
}

fn at(frame: &Frame, point: &Point) -> (f64, f64) {
    frame.place(f64::from(point.season), frame.held(point.value))
}

/// The last value in figures: above a point reached by a fall, below one reached by a rise, where the line is not.
fn last_value(scene: &mut Scene, panel: &Panel, line: &Line, frame: &Frame, look: &Look) {
    let Some(last) = line.points.last() else { return };
    let before = line.points.iter().rev().nth(1);
    let rising = before.is_some_and(|before| before.value < last.value);
    let (x, y) = at(frame, last);
    let noise = last.noise.map_or(0.0, |noise| y - frame.y.at(frame.held(last.value + noise)));
    let clear = (look.mark * 2.4).max(noise + 4.0);
    let (above, under) = (y - clear, y + clear + look.small * 0.8);
    let (bottom, top) = frame.y.to;
    let y = if (rising && under < bottom - 2.0) || above - look.small < top { under } else { above };
    let number = words::point(last, panel.analyte);
    let half = font::width(&number, look.small, true) / 2.0;
    let x = x.clamp(frame.x.to.0 + half + 2.0, frame.x.to.1 - half - 2.0);
    scene.rectangle((x - half - 2.0, y - look.small * 0.85), (x + half + 2.0, y + 2.5), faint(PAPER, 0.75));
    scene.text((x, y), Anchor::Middle, (look.small, true), INK, &number);
}

/// Where the trend of the last line meets the lower edge: a diamond, and a bar over the seasons of the bounds.
pub(super) fn crossing(scene: &mut Scene, panel: &Panel, frame: &Frame, seasons: &Seasons, look: &Look) {
    let (Some(crossing), Some(zone)) = (&panel.crossing, &panel.zone) else { return };
    if !frame.y.shows(zone.from) {
        return;
    }
    let y = frame.y.at(zone.from);
    let end = f64::from(seasons.shown);
    let low = f64::from(crossing.low.unwrap_or(crossing.season)).min(end);
    let high = crossing.high.map(f64::from);
    let right =
        frame.x.at(high.unwrap_or(end).min(end)) + if high.is_none_or(|high| high > end) { 8.0 } else { 0.0 };
    if crossing.low.is_some() || crossing.high.is_some() {
        scene.line((frame.x.at(low), y), (right, y), 2.4, ALERT);
        // Open to the right: the bound lies beyond the drawing, or never meets the edge.
        if high.is_none_or(|high| high > end) {
            scene.polyline(vec![(right - 4.0, y - 4.0), (right, y), (right - 4.0, y + 4.0)], 1.8, ALERT);
        }
    }
    if crossing.season > seasons.shown {
        return;
    }
    let season = f64::from(crossing.season);
    let exact =
        panel.lines.last().and_then(|line| line.trend).map(|t| t.pivot.0 + (zone.from - t.pivot.1) / t.slope);
    // The season named is the one the line meets the edge in; the diamond stands where they meet.
    let x = exact.filter(|x| *x <= season && *x > season - 1.0).unwrap_or(season);
    let at = (frame.x.at(x), y);
    mark::diamond(scene, at, look.mark * 1.3, ALERT);
    let under = at.1 + look.small + look.mark * 1.4;
    let y = if under < frame.y.to.0 - 2.0 { under } else { at.1 - look.mark * 2.0 };
    let named = crossing.season.to_string();
    let half = font::width(&named, look.small, true) / 2.0;
    let x = at.0.clamp(frame.x.to.0 + half + 2.0, frame.x.to.1 - half - 2.0);
    scene.text((x, y), Anchor::Middle, (look.small, true), ALERT, &named);
}
