//! The tables of a page.

use super::super::align::{self, inside};
use super::super::another::{self, Aside};
use super::super::atom::{Atom, Kind, atoms};
use super::super::band::{Band, Leaf, bands};
use super::super::layout::Layout;
use super::super::number::Decimal;
use super::super::vocabulary::{Context, Field, Role};
use super::super::{across, down, former, former_rows, recommendation, whole};
use super::advice::{is_advice, quiet_rates, titled_advice};
use super::{Gathered, line_text};
use crate::place::Rect;
use crate::soil::Doubt;

/// Tables that may go on at the top of the next page.
#[derive(Default)]
pub(super) struct Open {
    across: Option<Carried>,
    down: Option<down::Carried>,
}

/// A table that may go on at the top of the next page without its heading.
struct Carried {
    band: Band,
    columns: Vec<(Rect, usize)>,
    /// What of its heading was not understood.
    doubt: Option<Doubt>,
}

pub(super) fn page_samples(
    page: &Layout,
    context: Context,
    decimal: Decimal,
    carried: &mut Open,
    out: &mut Gathered,
) -> Vec<bool> {
    let mut rows: Vec<Vec<Atom>> = page.lines.iter().map(|l| atoms(l, decimal)).collect();
    let prices = another::priced(page, &rows);
    for row in prices.iter().copied() {
        if let Some(row) = rows.get_mut(row) {
            row.clear();
        }
    }
    let mut taken = vec![false; page.lines.len()];
    let take = |taken: &mut Vec<bool>, lines: &[usize]| {
        for i in lines {
            if let Some(t) = taken.get_mut(*i) {
                *t = true;
            }
        }
    };
    take(&mut taken, &prices);
    let found = bands(page, context, decimal);
    if let Some(before) = carried.across.take() {
        let end = found.first().map_or(page.lines.len(), |b| b.first);
        if continues(&before, rows.get(..end).unwrap_or_default()) {
            let (mut samples, lines) = across::read(page, &rows, &before.band, 0..end, context, decimal);
            across::doubt_all(&mut samples, before.doubt.as_ref());
            take(&mut taken, &lines);
            out.samples.extend(samples);
            if found.is_empty() {
                carried.across = Some(before);
            }
        }
    }
    for (i, band) in found.iter().enumerate() {
        let end = found.get(i + 1).map_or(page.lines.len(), |b| b.first);
        // A heading of names and results alone, without a sample of its own, is read row by row below.
        if band.long() && !names_samples(band) {
            continue;
        }
        let mut band = band.clone();
        quiet_rates(&mut band);
        let band = &band;
        if is_advice(band, titled_advice(page, band)) {
            let end = (band.first..end).find(|l| heads_results(page, *l, context)).unwrap_or(end);
            take(
                &mut taken,
                &(band.first..end)
                    .filter(|l| {
                        *l < band.end
                            || rows.get(*l).is_some_and(|r| {
                                r.iter().any(|a| a.number().is_some())
                                    && !is_row_beside(r, band, page.em, context)
                            })
                    })
                    .collect::<Vec<_>>(),
            );
            continue;
        }
        let (mut samples, lines) = across::read(page, &rows, band, band.end..end, context, decimal);
        former_rows::by_a_column_of_years(band, &rows, &lines, &mut samples);
        let strange = another::begins(page, &rows, band.end..end).filter(|_| !band.long());
        if let Some(at) = strange {
            take(&mut taken, &another::rows_of_no_results(page, &rows, at, end));
        }
        let aside = another::aside(page, band, &out.samples)
            .filter(|aside| *aside == Aside::Matter || !another::share_names(page, &lines, &out.samples));
        let former = former::titled(page, band.first, out.year)
            .map(|(before, doubt)| (before || former::each_row_before(&rows, &lines, out.year), doubt));
        if aside == Some(Aside::Matter)
            && let Some(title) = band.first.checked_sub(1).and_then(|i| page.lines.get(i))
        {
            out.other_matter.push(line_text(title));
        }
        if aside.is_some() || former.as_ref().is_some_and(|(before, _)| *before) && !out.samples.is_empty() {
            take(&mut taken, &(band.first..band.end).collect::<Vec<_>>());
            take(&mut taken, &lines);
            continue;
        }
        across::doubt_all(&mut samples, former.map(|(_, doubt)| doubt).as_ref());
        if band.unread_above(page, decimal) {
            across::doubt_all(&mut samples, Some(&across::heading_unread()));
        }
        if samples.is_empty() && lines.is_empty() {
            continue;
        }
        // What stands between a heading and its first row, in several columns, is no note.
        let first = lines.first().copied().unwrap_or(band.end).max(band.end);
        let columns = |i: &usize| page.lines.get(*i).is_some_and(|l| l.phrases.len() > 1);
        take(&mut taken, &(band.first..band.end).collect::<Vec<_>>());
        take(&mut taken, &(band.end..first).filter(columns).collect::<Vec<_>>());
        take(&mut taken, &lines);
        if !samples.is_empty() && !page.cells {
            let doubts = samples.iter().flat_map(|s| &s.readings).flat_map(|r| &r.doubts);
            let doubt = doubts.into_iter().find(|d| **d == across::heading_unread()).cloned();
            let numbers: Vec<&str> = samples.iter().filter_map(|s| s.field(Field::LabSample)).collect();
            carried.across = carry(&told(band, &numbers, &lines, &rows), &lines, &rows, page.em, doubt);
        }
        out.samples.extend(samples);
    }
    let free: Vec<bool> = taken.iter().map(|t| !t).collect();
    let around = down::Around { context, decimal, text: &out.text, year: out.year };
    let (samples, lines) = down::read(page, &rows, &free, around, &mut carried.down);
    take(&mut taken, &lines);
    out.samples.extend(samples);
    let here = out.samples.iter().position(|s| s.page == page.number).unwrap_or(out.samples.len());
    whole::drop_halves(page, out.samples.get_mut(here..).unwrap_or_default());
    out.nitrogen.extend(recommendation::find(page, &rows, context, decimal));
    out.samples.sort_by(|a, b| a.page.cmp(&b.page).then(a.y.total_cmp(&b.y)));
    taken
}

/// True for a line that begins with a name and a value left of a table: a row of the one beside.
fn is_row_beside(row: &[Atom], band: &Band, em: f32, context: Context) -> bool {
    let left = band.leaves.iter().map(|l| l.area.x0).fold(f32::INFINITY, f32::min);
    let own: Vec<&Atom> = row.iter().filter(|a| a.area.x1 < left - em).collect();
    own.first().is_some_and(|a| a.label(context).is_result()) && own.iter().any(|a| a.number().is_some())
}

/// `Test   Result   Unit`: the heading of a table of results ends what stands over it.
fn heads_results(page: &Layout, line: usize, context: Context) -> bool {
    let context = Context { symbols: false, ..context };
    let roles = page.lines.get(line).into_iter().flat_map(|l| &l.phrases).map(|p| p.label(context));
    let (mut names, mut results) = (false, false);
    for said in roles.filter(|said| said.unknown.is_empty() && said.analyte.is_none()) {
        names |= said.role == Some(Role::Analyte);
        results |= said.role == Some(Role::Result);
    }
    names && results
}

fn names_samples(band: &Band) -> bool {
    band.leaves.iter().any(|l| matches!(l.label.field, Some(Field::SampleLabel | Field::LabSample)))
}

fn carry(band: &Band, lines: &[usize], rows: &[Vec<Atom>], em: f32, doubt: Option<Doubt>) -> Option<Carried> {
    let data: Vec<Vec<Atom>> = lines.iter().filter_map(|i| rows.get(*i).cloned()).collect();
    let headings: Vec<Rect> = band.leaves.iter().map(|l| l.area).collect();
    let columns = align::columns(&data, &headings, em, &|a| !matches!(a.kind, Kind::Text))
        .into_iter()
        .filter_map(|c| Some((c.area, c.heading?)))
        .collect();
    Some(Carried { band: band.clone(), columns, doubt })
}

/// The heading with what its rows told: a column of names all of which are the laboratory's numbers holds these on the next
/// page too.
fn told(band: &Band, numbers: &[&str], lines: &[usize], rows: &[Vec<Atom>]) -> Band {
    let mut out = band.clone();
    for leaf in out.leaves.iter_mut().filter(|l| l.label.field == Some(Field::SampleLabel)) {
        let own = lines.iter().filter_map(|i| rows.get(*i)).flatten();
        let mut own = own.filter(|a| a.area.overlap_x(&leaf.area) > 0.0).peekable();
        if own.peek().is_some() && own.all(|a| numbers.contains(&a.text.as_str())) {
            leaf.label.field = Some(Field::LabSample);
        }
    }
    out
}

/// True for a row of a long table: a sample under what asks for one, and a measurement under what asks for that.
fn is_long_row(band: &Band, row: &[Atom]) -> bool {
    let context = Context { symbols: true, capitals: false };
    let asks = |l: &&Leaf| matches!(l.label.field, Some(Field::SampleLabel | Field::LabSample));
    let measured = |l: &&Leaf| l.label.role == Some(Role::Analyte);
    let under = |leaf: &Leaf, a: &Atom| (a.area.x0 - leaf.area.x0).abs() < 1.0;
    let sample = band.leaves.iter().filter(asks).any(|l| row.iter().any(|a| under(l, a)));
    let named = |l: &Leaf| row.iter().any(|a| under(l, a) && a.label(context).is_result());
    sample && band.leaves.iter().filter(measured).any(named)
}

/// The first rows of a page go on with a table when their numbers stand in its columns.
fn continues(before: &Carried, rows: &[Vec<Atom>]) -> bool {
    let mut seen = 0;
    for row in rows {
        let numbers: Vec<&Atom> = row.iter().filter(|a| a.number().is_some()).collect();
        let long = before.band.long() && !numbers.is_empty() && is_long_row(&before.band, row);
        if numbers.len() < 3 && !long {
            continue;
        }
        let fit = numbers
            .iter()
            .filter(|a| before.columns.iter().any(|(c, _)| inside(c, &a.area) || c.overlap_x(&a.area) > 0.0))
            .count();
        if fit * 10 < numbers.len() * 9 {
            return false;
        }
        seen += 1;
    }
    seen > 0
}
