//! Tables whose rows are samples under a heading band, and long tables with one result a row.

pub mod control;
mod foot;
mod kind;
mod layers;
mod long;
mod names;
mod numbered;
mod statistic;
mod wrapped;

use super::align::{columns, inside};
use super::atom::{Atom, Kind};
use super::band::{Band, Leaf};
use super::below::is_not_detected;
use super::found::{Found, FoundSample};
use super::label::label;
use super::layout::Layout;
use super::number::{Decimal, PrintedNumber, first_of_several};
use super::vocabulary::{Context, Field};
use crate::place::Rect;
use crate::soil::{Analyte, Doubt, OtherMeasurement, Printed};
use long::long_row;
pub use names::{asks_for_a_name, names_a_number};
use names::{
    asks_for_several, is_of_a_heading, name_goes_on, number_apart, own_cell, part_fields, part_names,
    takes_values, without_blanks,
};
use regex::Regex;
use std::sync::LazyLock;

/// Rows that summarise or control: never a sample.
static SUMMARY: LazyLock<Option<Regex>> = LazyLock::new(|| {
    Regex::new(r"(?i)^((?:(?:grand|overall|weighted|state|county|district|regional|national) )?(?:average|avg\.?|mean|median)(?: (?:of|over|for)\b.*| values?)?|minimum|min\.?|maximum|max\.?|std\.? ?dev\.?|standard deviation|sd|expected(?: values?)?|certified(?: values?)?|reference values?|true values?|lsd\b.*|cv\b.*|c\.v\.?|recovery\b.*|n|re-?run|range|totals?(?: (?:of|for|over)\b.*)?|sums?(?: (?:of|for|over)\b.*)?|qc\b.*|check (?:sample|soil).*|control(?: (?:sample|soil|standard|chart).*)?|reference (?:soil|sample).*|(?:(?:lab|method|reagent|field|digest(?:ion)?) )?blank|(?:lab )?duplicate(?:s|(?: of)?\b.* \d.*)?|.*\bduplicate\)?$|.*\(dup\.?\)$|.*\bdup\.?$|spike\b.*|standard|(?:your )?(?:county|district)(?: (?:average|mean|median|summary|figures?|values?))?|(?:optimum|desired|target|goal|critical|sufficien(?:t|cy)|rating|ideal)s?(?: (?:ph|range|level|value|limit|index|concentration)s?)*|detection limit|reporting limit|unit|units|method|methods|mittelwert|moyenne|promedio|low|medium|high)$").ok()
});

/// True for the name of a row that is no sample.
pub fn is_summary(name: &str) -> bool {
    SUMMARY.as_ref().is_some_and(|r| r.is_match(name.trim()))
        || statistic::is_statistic(name)
        || control::is_control(name)
}

/// `Low`, `Control` with a number of the laboratory's own beside it: a plot may be called so, and was in a bag then.
fn numbered_plot(sample: &FoundSample) -> bool {
    const PLOTS: &[&str] = &["low", "medium", "high", "control"];
    let named = |f| sample.field(f).unwrap_or_default();
    PLOTS.contains(&named(Field::SampleLabel).to_lowercase().as_str())
        && named(Field::LabSample).contains(|c: char| c.is_ascii_digit())
}

fn plot_perhaps() -> Doubt {
    Doubt::new(
        "row-of-a-statistic",
        "This row may be a sample, or a limit or a control of the laboratory's own.",
    )
}

/// A row of a table: its pieces by heading.
struct Row<'a> {
    y: f32,
    cells: Vec<(usize, Vec<&'a Atom>, bool)>,
    loose: Vec<&'a Atom>,
}

/// Reads the lines `from..to` of a page under a band. Lines that fit no column are left for others:
/// the second value lists the lines that were taken.
pub fn read(
    page: &Layout,
    atoms: &[Vec<Atom>],
    band: &Band,
    lines: std::ops::Range<usize>,
    context: Context,
    decimal: Decimal,
) -> (Vec<FoundSample>, Vec<usize>) {
    let from = lines.start;
    let end = super::another::begins(page, atoms, lines.clone()).filter(|_| !band.long());
    let lines = lines.start..end.unwrap_or(lines.end);
    let rows: Vec<Vec<Atom>> = lines
        .map(|i| {
            // A sentence below a table is no row of it, whatever figures it holds.
            let sentence = page.lines.get(i).is_some_and(|l| {
                let [phrase] = l.phrases.as_slice() else { return false };
                phrase.text().split(' ').count() > 5 && band.leaves.len() > 2
            });
            if sentence { Vec::new() } else { atoms.get(i).cloned().unwrap_or_default() }
        })
        .map(|row| if value_count(&row) > 0 { row } else { Vec::new() })
        .collect();
    let headings: Vec<Rect> = band.leaves.iter().map(|l| l.area).collect();
    let is_value = |a: &Atom| !matches!(a.kind, Kind::Text);
    let before = columns(&rows, &headings, page.em, &is_value);
    let rows: Vec<Vec<Atom>> =
        rows.into_iter().map(|row| part_names(row, &before, page.em, decimal)).collect();
    let rows: Vec<Vec<Atom>> = rows.into_iter().map(|row| part_fields(row, band, page, decimal)).collect();
    let mut columns = columns(&rows, &headings, page.em, &is_value);
    two_under_one(&mut columns, &headings);
    let band = &without_values(band, &columns, &rows);
    let band = &names::named_by_place(band, &rows);
    let mut samples: Vec<FoundSample> = Vec::new();
    let mut taken = Vec::new();
    let mut named = None;
    let placed: Vec<(usize, Row<'_>)> = rows
        .iter()
        .enumerate()
        .filter(|(_, atoms)| !atoms.is_empty())
        .map(|(offset, atoms)| (from + offset, place_row(atoms, &columns, band)))
        .collect();
    let band = &numbered::numbered(band, &placed);
    let wraps = wrapped::wraps(page, &placed, from..from + rows.len(), band);
    let mut blank: Vec<bool> = Vec::new();
    let mut another = false;
    let mut controls = false;
    let mut aside = Vec::new();
    let mut placed = placed.iter().peekable();
    for (line, atoms) in (from..).zip(&rows) {
        let read = taken.is_empty() || taken.contains(&line);
        another |= !read && !band.long() && is_another_heading(page, line, atoms);
        let Some((_, row)) = placed.next_if(|(at, _)| *at == line) else { continue };
        let below = (!band.long()).then(|| units_below(page, line + 1, band)).flatten();
        let own = below.as_ref().unwrap_or(band);
        let found =
            if band.long() { long_row(page, row, band, context) } else { wide_row(page, row, own, decimal) };
        let Some(sample) = found else { continue };
        if below.is_some() {
            taken.push(line + 1);
        }
        let mut sample = sample;
        for reading in &mut sample.readings {
            reading.caption = band.caption;
        }
        if another {
            doubt_all(std::slice::from_mut(&mut sample), Some(&heading_unread()));
        }
        if let Some(wrap) = wraps.get(&line) {
            sample.named_by_table = true;
            sample.fields.retain(|(field, _)| *field != Field::SampleLabel);
            sample.fields.extend(wrap.name.clone().map(|name| (Field::SampleLabel, name)));
        }
        let heading = sample.field(Field::SampleLabel).is_some_and(is_of_a_heading);
        if heading || samples.is_empty() && is_heading_row(&sample) {
            continue;
        }
        taken.push(line);
        if named.is_none() && (sample.field(Field::SampleLabel).or(sample.field(Field::LabSample))).is_some()
        {
            named = Some(line);
        }
        let summary = sample.field(Field::SampleLabel).is_some_and(is_summary)
            || sample.fields.is_empty() && row.loose.first().is_some_and(|a| is_summary(&a.text))
            || layers::is_sum(&sample);
        let control = kind::is_control(&sample);
        controls |= control;
        if summary && !control && numbered_plot(&sample) {
            doubt_all(std::slice::from_mut(&mut sample), Some(&plot_perhaps()));
        } else if summary || control {
            // What has a laboratory's number may be ground of the client's, which a mean was reckoned from too.
            if sample.field(Field::LabSample).is_some() && !control && !band.long() {
                aside.push((samples.len(), sample));
            }
            continue;
        }
        match statistic::judge(&sample, &samples) {
            statistic::Row::Sample => {}
            statistic::Row::Reckoned => continue,
            statistic::Row::Unsure(doubt) => doubt_all(std::slice::from_mut(&mut sample), Some(&doubt)),
        }
        match samples.last_mut() {
            Some(last) if band.long() && last.fields == sample.fields => {
                last.readings.extend(sample.readings);
                last.others.extend(sample.others);
            }
            _ => {
                blank.push(!wraps.contains_key(&line) && wrapped::names(row, band).is_empty());
                samples.push(sample);
            }
        }
    }
    layers::name_deeper(&mut samples, &blank);
    kind::doubt_controls(&mut samples, controls);
    control::doubt_controls(&mut samples);
    foot::settle(&mut samples, &aside);
    // `5` among `0-6 inches` is the next column's, and no layer.
    let spoken = |text: &str| text.contains(char::is_alphabetic);
    let layers: Vec<bool> = samples.iter().filter_map(|s| s.field(Field::DepthTop)).map(spoken).collect();
    if layers.contains(&true) && layers.contains(&false) {
        for sample in &mut samples {
            sample.fields.retain(|(field, text)| *field != Field::DepthTop || spoken(text));
        }
    }
    // `Phosphorus   40   20` below the rows of samples begins a table of its own.
    if let Some(end) = rows_before_analytes(&samples, context) {
        let below = samples.get(end).map_or(f32::INFINITY, |s| s.y);
        samples.truncate(end);
        taken.retain(|i| page.lines.get(*i).is_some_and(|l| l.area.y0 + 1.0 < below));
    } else if named_for_analytes(&samples, context) {
        // `P1   P2   F3` over rows called pH, P and K are names of samples, however like an extract they look.
        return (Vec::new(), Vec::new());
    }
    // A line of figures without a name may be the rest of the heading: `1   0.0125`.
    let first = named.or(taken.first().copied());
    // At the top of a further page a lone phrase is that of the page: `Report 12 (continued)`.
    let continued = from != band.end;
    if let Some(first) = first
        && (from..first).any(|i| unread_heading(page, i, band) && !(continued && is_page_line(page, i)))
    {
        doubt_all(&mut samples, Some(&heading_unread()));
    }
    // A column of numbers under an extract alone lost its name: the heading was not understood.
    let nameless =
        |i: usize| band.leaves.get(i).is_some_and(|l| !l.label.names_column() && !l.label.methods.is_empty());
    if columns.iter().filter_map(|c| c.heading).any(nameless) {
        doubt_all(&mut samples, Some(&heading_unread()));
    }
    // Under `Location Date Sampled` set as one nobody knows where the name ends.
    if band.leaves.iter().any(|l| asks_for_several(&l.text)) {
        for sample in &mut samples {
            sample.fields.retain(|(field, _)| *field != Field::SampleLabel);
        }
    }
    // `Green 1 80211`, `Green 2 80212` under a heading that asks for the laboratory's number too, where no column has it.
    if names_with_numbers(page, band, &samples) {
        for sample in &mut samples {
            sample.fields.retain(|(field, _)| *field != Field::SampleLabel);
        }
    }
    // So does a name under `Lab ID 1:2 water pH`, a heading that was not parted, that ends in a long number.
    if band.leaves.iter().any(|l| l.label.analyte.is_some() && names_a_number(&l.text)) {
        let long = |text: &str| {
            let last = text.rsplit(' ').next().unwrap_or_default();
            last.len() >= 4 && last.chars().all(|c| c.is_ascii_digit()) && last != text
        };
        for sample in &mut samples {
            sample.fields.retain(|(field, text)| *field != Field::SampleLabel || !long(text));
        }
    }
    (samples, taken)
}

/// True where every name ends in a long number of its own, and the heading asks for one that no row has.
fn names_with_numbers(page: &Layout, band: &Band, samples: &[FoundSample]) -> bool {
    let number = |s: &FoundSample| {
        let (_, last) = s.field(Field::SampleLabel)?.rsplit_once(' ')?;
        (last.len() > 3 && last.chars().all(|c| c.is_ascii_digit())).then(|| last.to_owned())
    };
    let numbers: Vec<String> = samples.iter().filter_map(number).collect();
    let mut unlike = numbers.clone();
    unlike.sort_unstable();
    unlike.dedup();
    let asked = || {
        let lines = page.lines.get(band.first..band.end).unwrap_or_default().iter();
        let words =
            lines.flat_map(|l| &l.phrases).map(|p| p.text().to_lowercase()).collect::<Vec<_>>().join(" ");
        words.contains("lab")
            && ["no", "number", "#", "id"].iter().any(|w| words.split([' ', '.']).any(|o| o == *w))
    };
    !samples.is_empty()
        && numbers.len() == samples.len()
        && unlike.len() == numbers.len()
        && samples.iter().all(|s| s.field(Field::LabSample).is_none())
        && asked()
}

/// What a name of a sample measures, where it is that of a measurement.
fn measured(name: &str, context: Context) -> Option<Analyte> {
    let said = label(name, Context { symbols: true, ..context });
    said.analyte.filter(|_| said.is_result() && said.unknown.is_empty() && said.field.is_none())
}

/// How many rows of samples stand above rows that are all called for what was measured; none where these begin.
fn rows_before_analytes(samples: &[FoundSample], context: Context) -> Option<usize> {
    // A bed may be called P1; none is called for an element by its word.
    let word = |name: &&str| name.chars().filter(|c| c.is_alphabetic()).count() > 3;
    let named = |s: &FoundSample| {
        s.field(Field::SampleLabel).filter(word).and_then(|n| measured(n, context)).is_some()
    };
    let first = samples.iter().position(named)?;
    let called = |s: &FoundSample| s.field(Field::SampleLabel).and_then(|n| measured(n, context)).is_some();
    let above = samples.get(..first).unwrap_or_default();
    (!above.is_empty() && !above.iter().any(called) && samples.iter().skip(first).all(named)).then_some(first)
}

/// True where most rows are called for what was measured: their table is one of analytes.
fn named_for_analytes(samples: &[FoundSample], context: Context) -> bool {
    let names: Vec<&str> = samples.iter().filter_map(|s| s.field(Field::SampleLabel)).collect();
    let named: Vec<Analyte> = names.iter().filter_map(|name| measured(name, context)).collect();
    // Beds called P1 and P2 are beds.
    let mut unlike = named.clone();
    unlike.sort_unstable();
    unlike.dedup();
    unlike.len() > 2 && named.len() * 2 > names.len()
}

/// Said of every number under a heading that was not read to its end.
pub fn heading_unread() -> Doubt {
    Doubt::new("heading-unread", "A line at the heading of this table was not understood.")
}

/// Adds a doubt to every reading that has it not yet.
pub fn doubt_all(samples: &mut [FoundSample], doubt: Option<&Doubt>) {
    let Some(doubt) = doubt else { return };
    for reading in samples.iter_mut().flat_map(|s| &mut s.readings) {
        if !reading.doubts.contains(doubt) {
            reading.doubts.push(doubt.clone());
        }
    }
}

/// `ID` or `No.` where a name should stand: a line of the heading whose figures look like values.
fn is_heading_row(sample: &FoundSample) -> bool {
    sample
        .fields
        .iter()
        .any(|(field, text)| matches!(field, Field::SampleLabel | Field::LabSample) && asks_for_a_name(text))
        // `Location` alone asks for a name where the figures beside it stand for no values.
        || sample.field(Field::SampleLabel).is_some_and(|text| {
            let said = label(text, Context { symbols: false, capitals: false });
            said.field.is_some() && said.unknown.is_empty() && !text.contains(' ')
        }) && sample.readings.iter().all(|r| r.number.decimals == 0)
}

/// A form of boxes: name over value over unit. The heading with the units of the line right below its row, each given to
/// the box it stands in; nothing where that line holds anything else.
fn units_below(page: &Layout, line: usize, band: &Band) -> Option<Band> {
    let (row, below) = (page.lines.get(line.checked_sub(1)?)?, page.lines.get(line)?);
    if page.cells || below.area.y0 - row.area.y1 > 0.8 * page.em || below.phrases.len() > band.leaves.len() {
        return None;
    }
    let mut out = band.clone();
    let mut last = None;
    for phrase in &below.phrases {
        let said = label(&phrase.text(), Context { symbols: false, capitals: false });
        if said.unit.is_none() || !said.unknown.is_empty() || said.analyte.is_some() {
            return None;
        }
        let at = band.leaves.iter().rposition(|l| l.area.x0 <= phrase.area.x0 + 1.0)?;
        let leaf = out.leaves.get_mut(at)?;
        if last == Some(at) || leaf.label.unit.is_some() {
            return None;
        }
        last = Some(at);
        leaf.label.unit = said.unit;
    }
    last.map(|_| out)
}

/// Words of the heading that name no column and stand over no values are a neighbour's: neither of the two is sure of the
/// method, the unit or the season that it does not name itself.
fn without_values(band: &Band, columns: &[super::align::Column], rows: &[Vec<Atom>]) -> Band {
    let mut out = band.clone();
    let words = |i: usize| {
        let mut words = rows.iter().flatten().filter(|a| matches!(a.kind, Kind::Text));
        words.any(|a| text_heading(a, band) == Some(i))
    };
    for (i, leaf) in band.leaves.iter().enumerate() {
        if leaf.label.names_column() || columns.iter().any(|c| c.heading == Some(i)) || words(i) {
            continue;
        }
        let said = &leaf.label;
        let procedure = !said.methods.is_empty() || !said.unknown.is_empty();
        for beside in [i.checked_sub(1), i.checked_add(1)].into_iter().flatten() {
            if let Some(l) = out.leaves.get_mut(beside).map(|l| &mut l.label).filter(|l| l.is_result())
                && (said.year.is_some() && l.year.is_none()
                    || procedure && l.methods.is_empty()
                    || said.unit.is_some() && l.unit.is_none())
            {
                l.unknown.push("words beside it".to_owned());
            }
        }
    }
    out
}

/// A heading over two columns of values of which the other found no heading of its own: either may be the value.
fn two_under_one(columns: &mut [super::align::Column], headings: &[Rect]) {
    let all = columns.to_vec();
    let own = |c: &super::align::Column| {
        c.heading.and_then(|h| headings.get(h)).is_some_and(|h| h.overlap_x(&c.area) > 0.0)
    };
    for (i, column) in columns.iter_mut().enumerate() {
        let Some(heading) = column.heading.and_then(|h| headings.get(h)) else { continue };
        let other = all.iter().enumerate().any(|(k, c)| k != i && !own(c) && c.area.overlap_x(heading) > 0.0);
        column.sure &= !other;
    }
}

/// A line among the rows that names what stands in columns: what follows may have another heading, which was not read.
fn is_another_heading(page: &Layout, line: usize, atoms: &[Atom]) -> bool {
    let names = |p: &&super::layout::Phrase| {
        let said = label(&p.text(), Context { symbols: false, capitals: false });
        let column = said.analyte.is_some() || said.unit.is_some() || !said.methods.is_empty();
        (column || said.field.is_some() || said.role.is_some()) && said.unknown.is_empty()
    };
    let named = page.lines.get(line).map_or(0, |l| l.phrases.iter().filter(names).count());
    named > 1 && named > value_count(atoms)
}

/// Words under two or more of the headings, close below them: a part of the heading that was not taken in.
fn unread_heading(page: &Layout, line: usize, band: &Band) -> bool {
    page.lines.get(line).is_some_and(|l| {
        let under = |p: &&super::layout::Phrase| {
            p.text().chars().any(char::is_alphabetic)
                && band.leaves.iter().any(|leaf| leaf.label.is_result() && leaf.area.overlap_x(&p.area) > 0.0)
        };
        l.phrases.iter().filter(under).count() >= 1
    })
}

/// A lone phrase that says nothing of how a column was measured or counted.
fn is_page_line(page: &Layout, line: usize) -> bool {
    let Some([phrase]) = page.lines.get(line).map(|l| l.phrases.as_slice()) else { return false };
    let said = label(&phrase.text(), Context { symbols: false, capitals: false });
    phrase.tokens.len() > 1
        && said.unit.is_none()
        && said.methods.is_empty()
        && !said.saturation
        && said.analyte.is_none()
}

fn value_count(row: &[Atom]) -> usize {
    row.iter().filter(|a| matches!(a.kind, Kind::Number(_))).count()
}

/// Numbers go to their column's heading; words go to the heading they stand under, or that starts before them.
fn place_row<'a>(atoms: &'a [Atom], columns: &[super::align::Column], band: &Band) -> Row<'a> {
    let mut row = Row { y: atoms.first().map_or(0.0, |a| a.area.y0), cells: Vec::new(), loose: Vec::new() };
    for atom in atoms {
        let (heading, sure) = match atom.kind {
            Kind::Text => (text_heading(atom, band).or_else(|| unit_of_last(&row, atom)), true),
            _ => match columns.iter().find(|c| inside(&c.area, &atom.area)) {
                Some(column) => (column.heading, column.sure),
                None => (None, false),
            },
        };
        match heading {
            Some(h) => match row.cells.iter_mut().find(|(i, ..)| *i == h) {
                Some((_, list, all_sure)) => {
                    list.push(atom);
                    *all_sure &= sure;
                }
                None => row.cells.push((h, vec![atom], sure)),
            },
            None => row.loose.push(atom),
        }
    }
    row
}

/// A unit set right behind a number goes with it, also where it reaches beyond the number's heading.
fn unit_of_last(row: &Row<'_>, atom: &Atom) -> Option<usize> {
    let (heading, atoms, _) = row.cells.last()?;
    let last = atoms.last().filter(|a| a.number().is_some())?;
    let size = last.tokens.first().map_or(10.0, |t| t.size);
    let said = label(&atom.text, Context { symbols: false, capitals: false });
    let unit = said.unit.is_some() && said.unknown.is_empty() && said.analyte.is_none();
    (unit && (0.0..0.6 * size).contains(&(atom.area.x0 - last.area.x1))).then_some(*heading)
}

fn text_heading(atom: &Atom, band: &Band) -> Option<usize> {
    let under = band
        .leaves
        .iter()
        .enumerate()
        .map(|(i, l)| (i, l.area.overlap_x(&atom.area)))
        .filter(|(_, shared)| *shared > 0.0)
        .max_by(|a, b| a.1.total_cmp(&b.1));
    if let Some((i, _)) = under {
        return Some(i);
    }
    // Left-aligned words under a heading that ends before them.
    let before = band.leaves.iter().enumerate().rev().find(|(_, l)| l.area.x0 <= atom.area.x0)?;
    let next = band.leaves.get(before.0 + 1).is_none_or(|n| atom.area.x1 <= n.area.x0);
    (next && before.1.label.analyte.is_none()).then_some(before.0)
}

fn text_of(atoms: &[&Atom]) -> String {
    atoms.iter().map(|a| a.text.as_str()).collect::<Vec<_>>().join(" ")
}

fn wide_row(page: &Layout, row: &Row<'_>, band: &Band, decimal: Decimal) -> Option<FoundSample> {
    let mut sample =
        FoundSample { page: page.number, y: row.y, named_by_table: true, ..FoundSample::default() };
    for (heading, atoms, sure) in &row.cells {
        let Some(leaf) = band.leaves.get(*heading) else { continue };
        if let Some(field) = leaf.label.field.filter(|_| leaf.label.analyte.is_none()) {
            add_field(&mut sample, field, leaf, &text_of(&own_cell(page, field, atoms)));
        } else if leaf.label.is_result() {
            sample.readings.extend(result(leaf, atoms, *sure, page.em, decimal));
            sample.undetected.extend(undetected(leaf, atoms).filter(|_| *sure));
        } else if half_understood(leaf, band) {
            sample.readings.extend(result(leaf, atoms, *sure, page.em, decimal).map(several_named));
        } else if leaf.label.other && !leaf.label.decoy {
            sample.others.extend(other(leaf, atoms));
        }
    }
    number_apart(&mut sample, row, band);
    name_goes_on(&mut sample, row, band, page);
    if !page.cells && takes_values(row, band, decimal) {
        sample.fields.retain(|(field, _)| *field != Field::SampleLabel);
    }
    // Without a heading of its own the leftmost text is the name.
    if sample.field(Field::SampleLabel).is_none()
        && let Some(name) = row.loose.iter().find(|a| matches!(a.kind, Kind::Text))
        && band.leaves.first().is_some_and(|l| name.area.x0 < l.area.x0)
    {
        sample.fields.push((Field::SampleLabel, name.text.clone()));
    }
    // A name that was not sure enough to be taken is this row's all the same: no other is.
    let asked = row.cells.iter().any(|(h, atoms, _)| {
        let asks = band.leaves.get(*h).and_then(|l| l.label.field.filter(|_| l.label.analyte.is_none()));
        matches!(asks, Some(Field::SampleLabel | Field::LabSample)) && !super::atom::is_blank(&text_of(atoms))
    });
    sample.named_by_table = asked || sample.field(Field::SampleLabel).is_some();
    let enough = if band.results() > 2 { 2 } else { 1 };
    (sample.readings.len() >= enough || (!sample.readings.is_empty() && !sample.fields.is_empty()))
        .then_some(sample)
}

/// True for a heading that names several measurements, the first of which has no column of its own: its numbers are not
/// to be lost.
fn half_understood(leaf: &Leaf, band: &Band) -> bool {
    let own = |l: &Leaf| l.label.is_result() && l.label.analyte == leaf.label.analyte;
    leaf.label.names_several() && !band.leaves.iter().any(own)
}

fn several_named(mut reading: Found) -> Found {
    let doubt = Doubt::new("name-not-understood", "The heading over this result names several measurements.");
    reading.doubts.push(doubt);
    reading
}

/// Depth headings name the unit (`Depth (in)`); it goes along with the text.
fn add_field(sample: &mut FoundSample, field: Field, leaf: &Leaf, text: &str) {
    let text = match field {
        Field::DepthTop | Field::DepthBottom if !text.chars().any(char::is_alphabetic) => {
            format!("{text} {}", super::header::depth_unit(&leaf.text).unwrap_or_default())
        }
        _ => text.to_owned(),
    };
    // A column of numbers headed `Lab` names no laboratory.
    let field = match field {
        Field::Lab if text.contains(|c: char| c.is_ascii_digit()) => Field::LabSample,
        field => field,
    };
    let text = match field {
        Field::SampleLabel | Field::LabSample => without_blanks(&text).to_owned(),
        _ => text.trim().to_owned(),
    };
    if text.is_empty() || super::atom::is_blank(&text) {
        return;
    }
    match sample.fields.iter_mut().find(|(f, _)| *f == field) {
        // "Field | Sample ID": both are names; the column that says sample or name is the sample's own.
        Some((_, kept)) if field == Field::SampleLabel => {
            let own = leaf.text.to_lowercase();
            if own.contains("sample") || own.contains("name") || own.contains("description") {
                *kept = text;
            }
        }
        Some(_) => {}
        None => sample.fields.push((field, text)),
    }
}

/// `ND` alone in the cell of a result.
fn undetected(leaf: &Leaf, atoms: &[&Atom]) -> Option<Found> {
    let [atom] = atoms else { return None };
    let none = PrintedNumber { value: 0.0, qualifier: None, decimals: 0, rating: None, odd: None };
    is_not_detected(atom).then_some(())?;
    found(leaf, &Atom { kind: Kind::Number(none), ..(*atom).clone() }, None)
}

fn result(leaf: &Leaf, atoms: &[&Atom], sure: bool, em: f32, decimal: Decimal) -> Option<Found> {
    let numbers: Vec<&&Atom> = atoms.iter().filter(|a| a.number().is_some()).collect();
    if let ([], [cell]) = (numbers.as_slice(), atoms) {
        // `17/10`, which may be a number of the laboratory's elsewhere.
        let number = first_of_several(&cell.text, decimal)?;
        return found(leaf, &Atom { kind: Kind::Number(number), ..(*cell).clone() }, None);
    }
    let [atom] = numbers.as_slice() else {
        // Two numbers in one column of one row cannot both be the value.
        let first = numbers.first()?;
        let mut found = found(leaf, first, None)?;
        let all = numbers.iter().map(|a| a.text.as_str()).collect::<Vec<_>>().join(" and ");
        let mut doubt = Doubt::new(
            "two-in-a-column",
            format!("Under `{}` stand {all}; only one can be the value.", leaf.text),
        );
        doubt.alternatives = numbers.iter().map(|a| a.text.clone()).collect();
        found.doubts.push(doubt);
        return Some(found);
    };
    let unit = atoms.iter().find(|a| matches!(a.kind, Kind::Text) && a.area.x0 - atom.area.x1 < 2.0 * em);
    let mut found = found(leaf, atom, unit.map(|a| a.text.as_str()))?;
    if !sure {
        found.doubts.push(Doubt::new(
            "column-unsure",
            format!(
                "It is not clear that `{}` belongs under `{}`; a heading beside it has no value.",
                atom.text, leaf.text
            ),
        ));
    }
    Some(found)
}

fn found(leaf: &Leaf, atom: &Atom, beside: Option<&str>) -> Option<Found> {
    let unit =
        leaf.label.unit.clone().or_else(|| {
            beside.and_then(|text| label(text, Context { symbols: false, capitals: false }).unit)
        });
    Some(Found {
        label: leaf.label.clone(),
        number: atom.number()?.clone(),
        printed: atom.text.clone(),
        unit,
        place: atom.place()?,
        confidence: atom.confidence(),
        marks: leaf.marks.iter().chain(&atom.marks).cloned().collect(),
        caption: None,
        doubts: Vec::new(),
    })
}

fn other(leaf: &Leaf, atoms: &[&Atom]) -> Option<OtherMeasurement> {
    let atom = atoms.iter().find(|a| a.number().is_some())?;
    let unit = leaf.label.unit.as_ref().map(|u| u.1.clone()).unwrap_or_default();
    Some(OtherMeasurement {
        name: leaf.text.clone(),
        printed: Printed { value: atom.text.clone(), unit },
        place: atom.place()?,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn two_columns_under_one_heading_leave_it_unsure() {
        use super::super::align::Column;
        let area = |x0, x1| Rect::new(x0, 0.0, x1, 10.0);
        let column = |a, heading| Column { area: a, heading, sure: true };
        let mut columns = vec![column(area(50.0, 60.0), None), column(area(70.0, 80.0), Some(0))];
        two_under_one(&mut columns, &[area(48.0, 82.0)]);
        assert!(!columns[1].sure);
        let mut columns = vec![column(area(30.0, 50.0), None), column(area(70.0, 80.0), Some(0))];
        two_under_one(&mut columns, &[area(48.0, 82.0)]);
        assert!(!columns[1].sure);
    }
}
