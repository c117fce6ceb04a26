//! Notes of the sheets of a workbook that tell each their own: `TOPSOIL. Phosphorus: Olsen.` over one table, `SUBSOIL.
//! Phosphorus: Bray 2.` over another.

use super::super::layout::Layout;
use super::super::lost;
use super::super::notes::{NoteLine, Notes, notes};
use super::super::vocabulary::Context;
use super::{Gathered, line_text};
use std::collections::HashMap;

/// The notes of each sheet with results, where those of the whole workbook give two methods to one measurement, and each
/// sheet names extracts. What another sheet alone speaks of has no sure method on this one. Sheets without results speak of all.
pub(super) fn of_each(
    pages: &[Layout],
    on: &[u32],
    lines: &[NoteLine],
    borne: &[String],
    all: &Gathered,
    context: Context,
) -> HashMap<u32, Notes> {
    let mut out = HashMap::new();
    let holds = |page: u32| all.samples.iter().any(|s| s.page == page && !s.readings.is_empty());
    let sheets: Vec<&Layout> = pages.iter().filter(|p| p.cells && holds(p.number)).collect();
    if sheets.len() < 2 || all.notes.methods.values().all(Option::is_some) {
        return out;
    }
    for sheet in sheets {
        let here = |page: u32| page == sheet.number || !holds(page);
        let own: Vec<NoteLine> =
            on.iter().zip(lines).filter(|(page, _)| here(**page)).map(|(_, line)| line.clone()).collect();
        let mut own = notes(&own, borne, context);
        if own.methods.is_empty() {
            return HashMap::new();
        }
        for analyte in all.notes.methods.keys() {
            own.methods.entry(*analyte).or_insert(None);
        }
        own.titled = all.notes.titled.clone();
        own.letters.clone_from(&all.notes.letters);
        let text: Vec<String> = sheet.lines.iter().map(line_text).collect();
        let samples: Vec<_> = all.samples.iter().filter(|s| s.page == sheet.number).cloned().collect();
        own.lost = lost::extracts(&text, std::slice::from_ref(sheet), &samples, &own);
        out.insert(sheet.number, own);
    }
    out
}
