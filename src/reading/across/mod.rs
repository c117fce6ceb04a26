//! Tables whose rows are samples under a heading band, and long tables with one result a row.

mod analytes;
mod beside;
mod cells;
mod centred;
pub mod control;
mod counted;
mod doubt;
mod edges;
mod ends;
mod foot;
mod heading;
pub mod kind;
mod layers;
mod long;
mod names;
mod numbered;
mod reissued;
mod repeat;
mod row;
mod running;
mod side_by_side;
mod statistic;
mod summary;
mod units;
mod wide;
mod wrapped;

use super::align::columns;
use super::atom::{Atom, Kind};
use super::band::Band;
use super::below::limit_of;
use super::found::FoundSample;
use super::header::leading_field;
use super::layout::{Layout, Line, Phrase};
use super::number::Decimal;
use super::vocabulary::{Context, Field};
use crate::place::Rect;
use analytes::{named_for_analytes, rows_before_analytes};
pub use control::is_title_of_controls;
use counted::{Counted, count, counted};
pub use doubt::{doubt_all, heading_unread};
use ends::{asks_again, is_of_lime, rows_of_analytes};
use heading::{
    is_another_heading, is_heading_row, is_page_line, methods_below, two_under_one, units_below,
    unread_heading, without_procedures, without_values,
};
use long::long_row;
pub use names::{asks_for_a_name, asks_for_several, may_name, names_a_number};
use names::{is_of_a_heading, part_fields, part_names, parted_in_a_name};
use row::{Row, edges, place_row, value_count};
pub use running::is_running;
pub use side_by_side::read;
pub use statistic::opens_or_ends_with_a_mean;
pub use summary::{asks, is_summary};
use summary::{numbered_plot, plot_perhaps};
use wide::wide_row;

/// `Your sample:   3` is a field of a form with its value, and no row, however numbers stand over it.
fn is_pair(line: &Line, context: Context) -> bool {
    let [name, _] = line.phrases.as_slice() else { return false };
    name.text().ends_with(':')
        && leading_field(name.text(), context).is_some_and(|(_, rest, _)| rest.is_empty())
}

/// Words of a line of running text, and how large a part of it they are at the least.
const MANY_WORDS: usize = 8;

/// The widest space between words of running text, in ems.
const WORD_SPACE: f32 = 0.95;

/// `1 as P2O5 in the dry soil 2 mean of two runs 3 repeated`: words one close behind the other, with a figure here and there,
/// are running text, wherever the columns of the table over it part them.
fn runs_on(line: &Line, page: &Layout) -> bool {
    let close = |pair: &[Phrase]| matches!(pair, [a, b] if b.area.x0 - a.area.x1 < WORD_SPACE * page.em);
    let words = || line.phrases.iter().flat_map(|p| p.tokens.iter());
    let letters = words().filter(|t| t.text.chars().filter(|c| c.is_alphabetic()).count() > 1).count();
    let count = words().count();
    !page.cells && count >= MANY_WORDS && 3 * letters >= 2 * count && line.phrases.windows(2).all(close)
}

/// Reads the lines `from..to` of a page under the band of one table. Lines that fit no column are left for others:
/// the second value lists the lines that were taken.
fn read_one(
    page: &Layout,
    atoms: &[Vec<Atom>],
    band: &Band,
    lines: std::ops::Range<usize>,
    context: Context,
    decimal: Decimal,
) -> (Vec<FoundSample>, Vec<usize>) {
    let from = lines.start;
    let end = super::another::begins(page, atoms, lines.clone());
    let others = rows_of_analytes(page, band, lines.clone());
    let end = end.into_iter().chain(asks_again(page, band, lines.clone())).chain(others).min();
    let end = end.filter(|_| !band.long());
    let lines = lines.start..end.unwrap_or(lines.end);
    let rows: Vec<Vec<Atom>> = lines
        .map(|i| {
            // A sentence below a table is no row of it, whatever figures it holds.
            let sentence = page.lines.get(i).is_some_and(|l| {
                let [phrase] = l.phrases.as_slice() else { return false };
                phrase.text().split(' ').count() > 5 && band.leaves.len() > 2
            });
            let sentence = sentence || page.lines.get(i).is_some_and(|l| runs_on(l, page));
            let sentence = sentence || page.lines.get(i).is_some_and(is_of_lime);
            if sentence || page.lines.get(i).is_some_and(|l| is_pair(l, context)) {
                Vec::new()
            } else {
                atoms.get(i).cloned().unwrap_or_default()
            }
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
    columns = cells::in_cells(columns, band);
    two_under_one(&mut columns, &headings);
    let band = &without_procedures(page, &without_values(band, &columns, &rows));
    let band = &names::named_by_place(band, &rows);
    let mut samples: Vec<FoundSample> = Vec::new();
    let mut taken = Vec::new();
    let mut named = None;
    let edges = edges(&rows, band);
    let placed: Vec<(usize, Row<'_>)> = rows
        .iter()
        .enumerate()
        .filter(|(_, atoms)| !atoms.is_empty())
        .map(|(offset, atoms)| (from + offset, place_row(atoms, &columns, band, &edges)))
        .collect();
    let band = &edges::edges(band, &placed);
    let band = &numbered::numbered(page, band, &placed);
    let running = running::running(band, &placed);
    let band = &running::without_running(band, running);
    let (band, issues) = &reissued::reissued(band);
    let band = &beside::with_methods(band, &placed);
    let band = &kind::by_words(band, &placed);
    let controls_perhaps = kind::perhaps_controls(band, &placed);
    let wraps = wrapped::wraps(page, &placed, from..from + rows.len(), band);
    let mut blank: Vec<bool> = Vec::new();
    let mut another = false;
    let mut unread = false;
    let mut controls = false;
    // The sample that rows count in several ways.
    let by_ways =
        !band.long() && placed.iter().any(|(_, row)| matches!(counted(row, band), Some(Counted::So(_))));
    let mut ways = None;
    // What the last row of a long table said of its sample.
    let mut above: Option<(usize, long::Fields)> = None;
    let mut aside = Vec::new();
    let all_placed = &placed;
    let mut placed = all_placed.iter().peekable();
    for (line, atoms) in (from..).zip(&rows) {
        let read = taken.is_empty() || taken.contains(&line);
        another |= !read && !band.long() && is_another_heading(page, line, atoms);
        let Some((_, row)) = placed.next_if(|(at, _)| *at == line) else { continue };
        let below = (!band.long()).then(|| units_below(page, line + 1, band)).flatten();
        let next = line + 1 + usize::from(below.is_some());
        let methods = (!band.long())
            .then(|| methods_below(page, next, below.as_ref().unwrap_or(band), context))
            .flatten();
        let own = methods.as_ref().or(below.as_ref()).unwrap_or(band);
        let found = if band.long() {
            long_row(
                page,
                row,
                band,
                issues,
                above.as_ref().filter(|(at, _)| long::goes_on(page, *at, line, band)).map(|(_, f)| f),
                context,
            )
        } else {
            wide_row(page, row, own, decimal)
        };
        let Some(mut sample) = found else {
            unread |= band.long() && !page.cells && !samples.is_empty() && long::has_result(row, band);
            continue;
        };
        if !band.long() {
            units::units_behind(&mut sample, row);
        }
        beside::doubt(&mut sample, row, own);
        if let Some(word) = controls_perhaps.get(&line) {
            doubt_all(std::slice::from_mut(&mut sample), Some(&control::perhaps(word)));
        }
        for reading in sample.readings.iter_mut().filter(|_| band.long()) {
            beside::strange(reading, row, band, all_placed);
            reading.doubts.extend(issues.unsure.clone());
        }
        above = Some((line, sample.fields.clone()));
        layers::with_their_unit(&mut sample);
        if below.is_some() {
            taken.push(line + 1);
        }
        if methods.is_some() {
            taken.push(next);
        }
        for reading in &mut sample.readings {
            reading.caption = band.caption;
        }
        // `Target` may be a piece of ground, where no other row is a way of counting.
        if let Some(so) = counted(row, own).filter(|_| by_ways) {
            taken.push(line);
            let Counted::So(so) = so else { continue };
            count(&mut sample, &so);
            match ways.and_then(|first: usize| samples.get_mut(first)) {
                Some(first) => first.readings.extend(sample.readings),
                None => {
                    ways = Some(samples.len());
                    blank.push(false);
                    samples.push(sample);
                }
            }
            continue;
        }
        if another {
            doubt_all(std::slice::from_mut(&mut sample), Some(&heading_unread()));
        }
        if let Some(wrap) = wraps.get(&line) {
            sample.named_by_table = true;
            sample.fields.retain(|(field, _)| *field != Field::SampleLabel);
            sample.fields.extend(wrap.name.clone().map(|name| (Field::SampleLabel, name)));
            if sample.field(Field::LabSample).is_none() {
                sample.fields.extend(wrap.number.clone().map(|number| (Field::LabSample, number)));
            }
        }
        // `Reporting limit   0.1   2   5` among the rows holds no results.
        let first = page.lines.get(line).and_then(|l| l.phrases.first()).map(Phrase::text);
        let limits = first.is_some_and(|text| text.len() > 2 && limit_of(text).is_some());
        if limits && sample.fields.len() < 2 && !band.long() {
            taken.push(line);
            continue;
        }
        let heading = sample.field(Field::SampleLabel).is_some_and(is_of_a_heading);
        // `Sampled   Sikora   burning   (MMor)   4.8`: more words that say what columns hold than values.
        let says_columns = || !band.long() && is_another_heading(page, line, atoms);
        if heading || samples.is_empty() && (is_heading_row(&sample) || says_columns()) {
            continue;
        }
        taken.push(line);
        if named.is_none() && (sample.field(Field::SampleLabel).or(sample.field(Field::LabSample))).is_some()
        {
            named = Some(line);
        }
        let summary = sample.field(Field::SampleLabel).is_some_and(is_summary)
            || sample.fields.is_empty() && row.loose.first().is_some_and(|a| is_summary(&a.text))
            || layers::is_sum(&sample)
            || !band.long() && asks(row.cells.iter().flat_map(|(_, atoms, _)| atoms.iter().copied()));
        // `Check soil   ES-9`: the first words stand where the others have the laboratory's number.
        let numbered = sample.field(Field::LabSample).is_some_and(control::is_control);
        let control = kind::is_control(&sample) || numbered;
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
    if let Some(leaf) =
        band.leaves.iter().find(|l| l.label.field == Some(Field::SampleLabel)).filter(|_| !page.cells)
    {
        let free = (from..from + rows.len()).filter(|i| !taken.contains(i));
        let free: Vec<(usize, &Line)> = free.filter_map(|i| Some((i, page.lines.get(i)?))).collect();
        let column = (leaf.area.x0, leaf.area.x1);
        taken.extend(layers::names_between(&mut samples, &mut blank, &free, column, page.em));
    }
    layers::name_cores(&mut samples, &mut blank);
    layers::name_deeper(&mut samples, &blank);
    kind::doubt_controls(&mut samples, controls);
    control::doubt_controls(&mut samples);
    repeat::settle(&mut samples);
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
    if !page.cells && !band.long() && shifted(band, all_placed, &taken) {
        doubt_all(&mut samples, Some(&heading_unread()));
    }
    if unread {
        doubt_all(&mut samples, Some(&heading_unread()));
    }
    running::unname(&mut samples, running);
    // `Green 1 80211`, `Green 2 80212` under a heading that asks for the laboratory's number too, where no column has it.
    if names_with_numbers(page, band, &samples) {
        for sample in &mut samples {
            sample.fields.retain(|(field, _)| *field != Field::SampleLabel);
        }
    }
    if !page.cells && samples.iter().any(parted_in_a_name) {
        for sample in &mut samples {
            sample.fields.retain(|(field, _)| !matches!(field, Field::SampleLabel | Field::LabSample));
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

/// True where in every row a number stands under no heading, and a heading of results, or of numbers that the laboratory
/// gave, over no number: the numbers stand
/// perhaps under the headings of their neighbours.
fn shifted(band: &Band, rows: &[(usize, Row<'_>)], taken: &[usize]) -> bool {
    let rows: Vec<&Row<'_>> = rows.iter().filter(|(at, _)| taken.contains(at)).map(|(_, row)| row).collect();
    let loose = |row: &&Row<'_>| row.loose.iter().any(|a| a.number().is_some());
    let blank = |(i, leaf): (usize, &super::band::Leaf)| {
        let numbers = leaf.label.is_result() || leaf.label.field == Some(Field::LabSample);
        numbers && rows.iter().all(|row| row.cells.iter().all(|(h, ..)| *h != i))
    };
    rows.len() > 1 && rows.iter().all(loose) && band.leaves.iter().enumerate().any(blank)
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

#[cfg(test)]
mod tests {
    use super::super::layout::{layout, tests::typed};
    use super::*;

    #[test]
    fn numbers_beside_their_headings_wait() {
        let held = |first: &str, second: &str| {
            let page = layout(&typed(&["Sample                pH     P, ppm   K, ppm", first, second]));
            let context = Context { symbols: true, capitals: false };
            let band = super::super::band::bands(&page, context, Decimal::Point).remove(0);
            let rows: Vec<_> =
                page.lines.iter().map(|l| super::super::atom::atoms(l, Decimal::Point)).collect();
            let (samples, _) = read(&page, &rows, &band, band.end..page.lines.len(), context, Decimal::Point);
            let readings: Vec<_> = samples.iter().flat_map(|s| &s.readings).collect();
            assert!(!readings.is_empty());
            readings.iter().all(|r| !r.doubts.is_empty())
        };
        let rows = ["Moss            6.1   33    120", "Hob mill        6.4   41    150"];
        assert!(held(rows[0], rows[1]));
        let numbered = |first: &str| {
            let page =
                layout(&typed(&["Sample      Lab no       pH        P, ppm      K, ppm", first, first]));
            let context = Context { symbols: true, capitals: false };
            let band = super::super::band::bands(&page, context, Decimal::Point).remove(0);
            let rows: Vec<_> =
                page.lines.iter().map(|l| super::super::atom::atoms(l, Decimal::Point)).collect();
            let (samples, _) = read(&page, &rows, &band, band.end..page.lines.len(), context, Decimal::Point);
            let readings: Vec<_> = samples.iter().flat_map(|s| &s.readings).collect();
            !readings.is_empty() && readings.iter().all(|r| !r.doubts.is_empty())
        };
        assert!(numbered("Moss                     1         5.5         3.6          30.5"));
        assert!(!numbered("Moss        1            5.5       3.6         30.5"));
        assert!(!held(
            "Moss                  6.1    33       120",
            "Hob mill              6.4    41       150"
        ));
    }

    #[test]
    fn a_pair_of_a_form_is_no_row_and_a_row_is_no_pair() {
        let pair = |line: &str| {
            let page = layout(&typed(&[line]));
            is_pair(&page.lines[0], Context { symbols: true, capitals: false })
        };
        assert!(pair("Your sample:         3") && pair("Lab no.:     4471"));
        assert!(!pair("Moss                 6.4") && !pair("Sample: Moss         6.4"));
        assert!(!pair("Your sample:         3       6.4"));
    }
}
