//! Cells over the first of several columns in a table file, `Mehlich 3, ppm` over P with nothing over K, Ca and Mg: where no
//! cells can be merged, what a group says stands over its first column alone.

use super::super::label::{Label, label};
use super::super::layout::Phrase;
use super::super::vocabulary::Context;
use super::Leaf;
use super::spread::{Column, columns, same_line};
use crate::place::Rect;
use crate::soil::{Analyte, Unit};

/// The phrases, where such a cell reaches over the columns that have no unit of their own and that it can be the unit of.
/// With them come the columns of which nobody knows whether a cell with an extract reaches over them: they print a unit.
pub(super) fn opened(mut phrases: Vec<Phrase>, context: Context) -> (Vec<Phrase>, Vec<Rect>) {
    let all = phrases.clone();
    let mut unsure = Vec::new();
    for phrase in &mut phrases {
        let said = phrase.label(context);
        if phrase.area.width() > CELL || !is_of_amounts(&said) {
            continue;
        }
        let right = |p: &&Phrase| same_line(p, phrase) && p.area.x0 > phrase.area.x0 + 1.0;
        let next = all.iter().filter(right).map(|p| p.area.x0).fold(f32::INFINITY, f32::min);
        let below = columns(&all, phrase.area.mid_y());
        let run = run(&below, phrase, next, &said, context);
        if run.len() < 2 {
            continue;
        }
        let counted = |c: &&Column| label(&c.text, context).unit.is_some();
        if said.unit.is_some() && !run.iter().any(counted) {
            phrase.area.x1 = run.iter().map(|c| c.area.x1).fold(phrase.area.x1, f32::max);
        } else if !said.methods.is_empty() {
            unsure.extend(run.iter().skip(1).map(|c| c.area));
        }
    }
    (phrases, unsure)
}

/// A unit of amounts, an extract, or both, and nothing else.
fn is_of_amounts(said: &Label) -> bool {
    let amount = said.unit.as_ref().is_some_and(|u| u.0 != "%");
    (amount || said.unit.is_none() && !said.methods.is_empty())
        && said.analyte.is_none()
        && said.field.is_none()
        && !(said.decoy || said.other || said.saturation)
        && said.unknown.is_empty()
        && said.year.is_none()
}

/// Cells are a hundred points wide; wider ones are merged, and say themselves how far they reach.
const CELL: f32 = 100.0;

/// The columns from the cell on, up to the next cell of its row, as far as it can speak for them: nutrients without a method
/// of their own, side by side, each once.
fn run<'a>(
    below: &'a [Column],
    group: &Phrase,
    next: f32,
    said: &Label,
    context: Context,
) -> Vec<&'a Column> {
    let mut out: Vec<&Column> = Vec::new();
    let mut seen: Vec<Analyte> = Vec::new();
    let mut at = group.area.x0;
    for column in below.iter().filter(|c| c.area.x0 > group.area.x0 - 1.0 && c.area.x0 < next) {
        let own = label(&column.text, context);
        let nutrient =
            own.analyte.filter(|a| own.is_result() && a.unit() == Unit::MgPerKg && own.unknown.is_empty());
        let Some(analyte) = nutrient.filter(|_| own.methods.is_empty() && (column.area.x0 - at).abs() < 1.0)
        else {
            break;
        };
        let fits = said.methods.iter().all(|m| m.is_none_or(|m| m.measures(analyte)));
        if !fits || seen.contains(&analyte) {
            break;
        }
        seen.push(analyte);
        out.push(column);
        at = column.area.x0 + CELL;
    }
    out
}

/// Lets those wait.
pub(super) fn doubt(leaves: &mut [Leaf], unsure: &[Rect]) {
    let over = |l: &Leaf| unsure.iter().any(|area| area.overlap_x(&l.area) > 0.0);
    for leaf in leaves.iter_mut().filter(|l| l.label.methods.is_empty() && over(l)) {
        leaf.label.unknown.push("words over it".to_owned());
    }
}
