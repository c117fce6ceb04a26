//! Notes of pages and of sheets that tell each their own: `Nutrients on this page are in ppm`, or in a workbook `TOPSOIL. Phosphorus: Olsen.` over one table, `SUBSOIL.
//! Phosphorus: Bray 2.` over another.

use super::super::layout::Layout;
use super::super::lost;
use super::super::notes::{NoteLine, Notes, notes};
use super::super::vocabulary::Context;
use super::super::words::List;
use super::{Gathered, line_text};
use std::collections::HashMap;

/// The notes of each page with results, where one speaks of `this page` alone: what it says is said of no other. Of sheets
/// the same, where those of the whole workbook give two methods to one measurement, and each
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
    let several = pages.iter().filter(|p| holds(p.number)).count() > 1;
    let bound = |line: &NoteLine| List::OfPage.within(&line.text.to_lowercase());
    if several && lines.iter().any(bound) {
        let own = |page: &Layout| {
            let here = on.iter().zip(lines).filter(|(on, line)| **on == page.number || !bound(line));
            let own: Vec<NoteLine> = here.map(|(_, line)| line.clone()).collect();
            (page.number, of_page(page, notes(&own, borne, context), all))
        };
        return pages.iter().filter(|p| holds(p.number)).map(own).collect();
    }
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
        out.insert(sheet.number, of_page(sheet, own, all));
    }
    out
}

/// The notes of one page or sheet, with what the whole report says besides.
fn of_page(page: &Layout, mut own: Notes, all: &Gathered) -> Notes {
    own.titled = all.notes.titled.clone();
    own.letters.clone_from(&all.notes.letters);
    let text: Vec<String> = page.lines.iter().map(line_text).collect();
    let samples: Vec<_> = all.samples.iter().filter(|s| s.page == page.number).cloned().collect();
    own.lost = lost::extracts(&text, std::slice::from_ref(page), &samples, &own);
    own
}
