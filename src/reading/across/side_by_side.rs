//! Tables of the same columns side by side, `Sample  pH  P  K    Sample  pH  P  K`: each line holds a row of every one.

use super::super::atom::{Atom, Kind};
use super::super::band::{Band, Leaf, SECOND};
use super::super::found::FoundSample;
use super::super::layout::Layout;
use super::super::number::Decimal;
use super::super::vocabulary::{Context, Field};
use super::doubt::doubt_all;
use crate::place::Rect;
use crate::soil::Doubt;
use std::ops::Range;

/// How wide, in ems, the empty strip between two such tables is at least.
const STRIP: f32 = 1.0;

/// Fewer pieces on a line are no row.
const ROW: usize = 3;

/// Reads the lines under a band, each table by itself where several stand side by side. Where they may do so and nothing
/// parts them, everything waits.
pub fn read(
    page: &Layout,
    atoms: &[Vec<Atom>],
    band: &Band,
    lines: Range<usize>,
    context: Context,
    decimal: Decimal,
) -> (Vec<FoundSample>, Vec<usize>) {
    let whole = || super::read_one(page, atoms, band, lines.clone(), context, decimal);
    if page.cells || band.long() || !repeats(&band.leaves) {
        return whole();
    }
    let Some(parts) = parts(page, atoms, band, lines.clone()) else {
        let (mut samples, lines) = whole();
        doubt_all(&mut samples, Some(&perhaps_several()));
        return (samples, lines);
    };
    let (mut samples, mut taken) = (Vec::new(), Vec::new());
    for (own, from, to) in parts {
        let here = |area: &Rect| (from..to).contains(&area.mid_x());
        let mut half = page.clone();
        for line in &mut half.lines {
            line.phrases.retain(|p| here(&p.area));
        }
        let rows: Vec<Vec<Atom>> =
            atoms.iter().map(|row| row.iter().filter(|a| here(&a.area)).cloned().collect()).collect();
        let (found, own) = super::read_one(&half, &rows, &own, lines.clone(), context, decimal);
        samples.extend(found);
        taken.extend(own);
    }
    samples.sort_by(|a, b| a.y.total_cmp(&b.y));
    taken.sort_unstable();
    taken.dedup();
    (samples, taken)
}

fn perhaps_several() -> Doubt {
    Doubt::new(
        "tables-side-by-side",
        "The columns of this table repeat behind a second column of names; several tables may stand side by side.",
    )
}

fn asks_name(leaf: &Leaf) -> bool {
    leaf.label.field == Some(Field::SampleLabel) && leaf.label.analyte.is_none()
}

fn asks_field(leaf: &Leaf) -> bool {
    matches!(leaf.label.field, Some(Field::SampleLabel | Field::LabSample)) && leaf.label.analyte.is_none()
}

/// True where behind results stands a second column of names, and behind that a measurement from before it.
fn repeats(leaves: &[Leaf]) -> bool {
    let measured = |l: &&Leaf| l.label.is_result();
    let again = |at: usize| {
        let (before, behind) = leaves.split_at(at);
        let same = |l: &Leaf| before.iter().filter(measured).any(|b| b.label.analyte == l.label.analyte);
        behind.iter().filter(measured).any(same)
    };
    let names = || leaves.iter().enumerate().filter(|(_, l)| asks_name(l)).map(|(i, _)| i);
    names().count() > 1 && names().skip(1).any(again)
}

/// The heading of each table, and from where to where it reaches; none where the headings are not the same all along, or
/// no empty strip parts the tables.
fn parts(
    page: &Layout,
    atoms: &[Vec<Atom>],
    band: &Band,
    lines: Range<usize>,
) -> Option<Vec<(Band, f32, f32)>> {
    let all = &band.leaves;
    let long = (2..=all.len() / 2).find(|n| all.len().is_multiple_of(*n) && is_period(all, *n))?;
    // What stands over one of the tables alone may say that it is of another season.
    let over = band.first.checked_sub(1).and_then(|i| page.lines.get(i));
    let behind = all.get(long).map(|l| l.area.x0)?;
    let top = all.iter().map(|l| l.area.y0).fold(f32::INFINITY, f32::min);
    if over.is_some_and(|l| {
        top - l.area.y1 < 2.0 * page.em && l.phrases.iter().any(|p| p.area.x0 >= behind - page.em)
    }) {
        return None;
    }
    let rows = atoms
        .get(lines)?
        .iter()
        .filter(|row| row.len() >= ROW && row.iter().any(|a| matches!(a.kind, Kind::Number(_))));
    let areas: Vec<Rect> = rows.flatten().map(|a| a.area).chain(all.iter().map(|l| l.area)).collect();
    let mut out: Vec<(Band, f32, f32)> = Vec::new();
    let mut from = f32::NEG_INFINITY;
    for (k, own) in all.chunks(long).enumerate() {
        let next = all.get((k + 1) * long);
        let to = match (own.last(), next) {
            (Some(last), Some(next)) => strip(&areas, last.area.mid_x(), next.area.mid_x(), STRIP * page.em)?,
            _ => f32::INFINITY,
        };
        let leaves = own.iter().cloned().map(alone).collect();
        out.push((Band { leaves, ..band.clone() }, from, to));
        from = to;
    }
    Some(out)
}

/// True where the headings repeat themselves after so many: names first and once, and no measurement twice within.
fn is_period(leaves: &[Leaf], long: usize) -> bool {
    let Some(first) = leaves.get(..long) else { return false };
    let once = |(i, l): (usize, &Leaf)| {
        first.iter().skip(i + 1).all(|o| o.label.analyte.is_none() || o.label.analyte != l.label.analyte)
    };
    let same = |a: &Leaf, b: &Leaf| {
        a.text == b.text && a.marks == b.marks && alone(a.clone()).label == alone(b.clone()).label
    };
    first.first().is_some_and(asks_field)
        && first.iter().filter(|l| asks_name(l)).count() == 1
        && first.iter().any(|l| l.label.is_result())
        && first.iter().all(|l| l.label.year.is_none())
        && first.iter().enumerate().all(once)
        && leaves.chunks(long).all(|part| part.iter().zip(first).all(|(a, b)| same(a, b)))
}

/// The heading of a column of one table, which is the first of its name there.
fn alone(mut leaf: Leaf) -> Leaf {
    if leaf.label.unknown.iter().any(|u| u == SECOND) {
        leaf.label.unknown.retain(|u| u != SECOND);
    }
    leaf
}

/// The middle of the widest strip between two places that nothing stands in, where it is wide enough.
fn strip(areas: &[Rect], from: f32, to: f32, wide: f32) -> Option<f32> {
    let mut own: Vec<&Rect> = areas.iter().filter(|a| a.x1 > from && a.x0 < to).collect();
    own.sort_by(|a, b| a.x0.total_cmp(&b.x0));
    let mut best: Option<(f32, f32)> = None;
    let mut end = from;
    for area in own {
        let gap = area.x0 - end;
        if gap >= wide && best.is_none_or(|(_, widest)| gap > widest) {
            best = Some((end + gap / 2.0, gap));
        }
        end = end.max(area.x1);
    }
    best.map(|(middle, _)| middle)
}
