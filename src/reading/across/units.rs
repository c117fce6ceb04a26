//! Units that stand in the row behind their numbers, `50   mg/kg   81   mg/kg`, each at the far edge of its box.

use super::super::atom::{Atom, Kind};
use super::super::found::FoundSample;
use super::super::label::Label;
use super::super::vocabulary::Context;
use super::row::Row;

/// So many numbers with a unit behind them show how the row is set.
const SHOWN: usize = 2;

/// The unit that a text is, and nothing else.
fn unit(atom: &Atom) -> Option<(&'static str, String)> {
    let said: Label = atom.label(Context { symbols: false, capitals: false });
    let alone = said.unknown.is_empty() && said.analyte.is_none() && said.field.is_none();
    said.unit.clone().filter(|_| alone && matches!(atom.kind, Kind::Text))
}

/// Gives each result without a unit the one that stands right behind its number, where the row holds numbers and units by
/// turns from its first number on: no unit stands before a number of its own.
pub(super) fn units_behind(sample: &mut FoundSample, row: &Row<'_>) {
    let atoms = row.cells.iter().flat_map(|(_, atoms, _)| atoms).chain(&row.loose);
    let mut turns: Vec<(&Atom, Option<(&'static str, String)>)> = atoms
        .filter_map(|a| {
            let unit = unit(a);
            (unit.is_some() || a.number().is_some()).then_some((*a, unit))
        })
        .collect();
    turns.sort_by(|a, b| a.0.area.x0.total_cmp(&b.0.area.x0));
    let twice = turns.windows(2).any(|w| matches!(w, [(_, Some(_)), (_, Some(_))]));
    let units = turns.iter().filter(|(_, unit)| unit.is_some()).count();
    if twice || units < SHOWN || turns.first().is_none_or(|(_, unit)| unit.is_some()) {
        return;
    }
    for reading in sample.readings.iter_mut().filter(|r| r.unit.is_none() && r.label.unit.is_none()) {
        let at = turns.iter().position(|(a, _)| a.place() == Some(reading.place));
        let behind = at.and_then(|at| turns.get(at + 1)).and_then(|(_, unit)| unit.clone());
        if behind.is_some() {
            reading.unit = behind;
        }
    }
}
