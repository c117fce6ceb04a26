//! Tables whose rows are samples under a heading band, and long tables with one result a row.

use super::align::{columns, inside};
use super::atom::{Atom, Kind};
use super::band::{Band, Leaf};
use super::found::{Found, FoundSample};
use super::label::{Label, label};
use super::layout::Layout;
use super::number::{Decimal, number};
use super::vocabulary::{Context, Field, Role};
use crate::place::Rect;
use crate::soil::{Doubt, OtherMeasurement, Printed, Qualifier};
use regex::Regex;
use std::sync::LazyLock;

/// Rows that summarise or control: never a sample.
static SUMMARY: LazyLock<Option<Regex>> = LazyLock::new(|| {
    Regex::new(r"(?i)^(average|avg\.?|mean|median|minimum|min\.?|maximum|max\.?|std\.? ?dev\.?|standard deviation|range|totals?( .*)?|qc\b.*|check (sample|soil).*|control.*|reference (soil|sample).*|blank|method blank|(lab )?duplicate.*|.*\bduplicate\)?$|.*\(dup\.?\)$|optimum.*|desired.*|target.*|goal.*|critical.*|sufficien.*|rating.*|detection limit|reporting limit|unit|units|method|methods|mittelwert|moyenne|promedio|low|medium|high)$").ok()
});

/// True for the name of a row that is no sample.
pub fn is_summary(name: &str) -> bool {
    SUMMARY.as_ref().is_some_and(|r| r.is_match(name.trim()))
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
    let mut samples: Vec<FoundSample> = Vec::new();
    let mut taken = Vec::new();
    let mut named = None;
    for (offset, atoms) in rows.iter().enumerate() {
        if atoms.is_empty() {
            continue;
        }
        let row = place_row(atoms, &columns, band);
        let below = (!band.long()).then(|| units_below(page, from + offset + 1, band)).flatten();
        let own = below.as_ref().unwrap_or(band);
        let found = if band.long() { long_row(page, &row, band, context) } else { wide_row(page, &row, own) };
        let Some(sample) = found else { continue };
        if below.is_some() {
            taken.push(from + offset + 1);
        }
        let mut sample = sample;
        for reading in &mut sample.readings {
            reading.caption = band.caption;
        }
        if samples.is_empty() && is_heading_row(&sample) {
            continue;
        }
        taken.push(from + offset);
        if named.is_none() && (sample.field(Field::SampleLabel).or(sample.field(Field::LabSample))).is_some()
        {
            named = Some(from + offset);
        }
        let summary = sample.field(Field::SampleLabel).is_some_and(is_summary)
            || sample.fields.is_empty() && row.loose.first().is_some_and(|a| is_summary(&a.text));
        if summary {
            continue;
        }
        match samples.last_mut() {
            Some(last) if band.long() && last.fields == sample.fields => {
                last.readings.extend(sample.readings);
                last.others.extend(sample.others);
            }
            _ => samples.push(sample),
        }
    }
    // A line of figures without a name may be the rest of the heading: `1   0.0125`.
    let first = named.or(taken.first().copied());
    if let Some(first) = first
        && (from..first).any(|i| unread_heading(page, i, band))
    {
        doubt_all(&mut samples, Some(&heading_unread()));
    }
    // Under `Location Date Sampled` set as one nobody knows where the name ends.
    if band.leaves.iter().any(|l| asks_for_several(&l.text)) {
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

/// True where the laboratory's number is asked for in a text.
fn names_a_number(text: &str) -> bool {
    use super::vocabulary::{Meaning, hits_where};
    let context = Context { symbols: false, capitals: false };
    let words = super::fold::pieces(text);
    !hits_where(&words, context, &|m| matches!(m, Meaning::Field(Field::LabSample))).is_empty()
}

/// True for a heading that asks for a sample's name and for its number, layer or day besides.
fn asks_for_several(text: &str) -> bool {
    use super::vocabulary::{Meaning, hits_where};
    let context = Context { symbols: false, capitals: false };
    let words = super::fold::pieces(text);
    let mut asked: Vec<Field> = hits_where(&words, context, &|m| matches!(m, Meaning::Field(_)))
        .iter()
        .filter_map(|h| if let Meaning::Field(field) = h.meaning { Some(field) } else { None })
        .filter(|f| matches!(f, Field::SampleLabel | Field::LabSample | Field::SampledOn | Field::DepthTop))
        .collect();
    asked.dedup();
    asked.len() > 1 && asked.contains(&Field::SampleLabel)
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

/// `Sample ID`, `No.`: words of headings that ask for a name.
pub fn asks_for_a_name(text: &str) -> bool {
    const ASKING: &[&str] = &[
        "id",
        "no",
        "number",
        "name",
        "#",
        "sample",
        "lab",
        "laboratory",
        "description",
        "identification",
        "code",
    ];
    !text.is_empty()
        && text.split(' ').all(|w| ASKING.contains(&w.trim_end_matches(['.', ':']).to_lowercase().as_str()))
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

/// A heading over two columns of values of which the other found no heading of its own: either may be the value.
fn two_under_one(columns: &mut [super::align::Column], headings: &[Rect]) {
    let all = columns.to_vec();
    let own = |c: &super::align::Column| {
        c.heading.and_then(|h| headings.get(h)).is_some_and(|h| h.overlap_x(&c.area) > 0.0)
    };
    for (i, column) in columns.iter_mut().enumerate() {
        let Some(heading) = column.heading.and_then(|h| headings.get(h)) else { continue };
        let other = all
            .iter()
            .enumerate()
            .any(|(k, c)| k != i && !own(c) && c.area.overlap_x(heading) > 0.5 * c.area.width().max(1.0));
        column.sure &= !other;
    }
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

/// A long name that reaches up to the next column swallows that column's number (`Softball Outfield 641`): the last
/// word is a value of its own where it stands in a column of numbers that other rows form.
fn part_names(row: Vec<Atom>, columns: &[super::align::Column], em: f32, decimal: Decimal) -> Vec<Atom> {
    row.into_iter()
        .flat_map(|atom| {
            let last = atom.tokens.last().cloned();
            let (Kind::Text, Some(last)) = (&atom.kind, last) else { return vec![atom] };
            let stands_in = columns.iter().any(|c| {
                inside(&c.area, &last.area)
                    && last.area.x0 >= c.area.x0 - 0.5 * em
                    && last.area.x1 <= c.area.x1 + 0.5 * em
            });
            match number(&last.text, decimal) {
                Some(n) if stands_in && atom.tokens.len() > 1 => {
                    let names = atom.tokens.split_last().map(|(_, names)| names.to_vec()).unwrap_or_default();
                    Atom::new(Kind::Text, names)
                        .into_iter()
                        .chain(Atom::new(Kind::Number(n), vec![last]))
                        .collect()
                }
                _ => vec![atom],
            }
        })
        .collect()
}

/// `East paddock 1 34306` under `Sample ID` and `Lab ID`: a name set close to the next column goes no further than the
/// heading of that column, where nothing else in the row stands under it.
fn part_fields(row: Vec<Atom>, band: &Band, page: &Layout, decimal: Decimal) -> Vec<Atom> {
    if page.cells {
        return row;
    }
    let fields: Vec<&Leaf> =
        band.leaves.iter().filter(|l| l.label.field.is_some() && l.label.analyte.is_none()).collect();
    let covers = |leaf: &Leaf, area: &Rect| {
        leaf.area.overlap_x(area) > 0.5 * leaf.area.width().min(area.width()).max(1.0)
    };
    let areas: Vec<Rect> = row.iter().map(|a| a.area).collect();
    row.into_iter()
        .enumerate()
        .flat_map(|(own, atom)| {
            let cut = (1..atom.tokens.len()).find(|i| {
                let (Some(before), Some(token)) = (atom.tokens.get(..*i), atom.tokens.get(*i)) else {
                    return false;
                };
                fields.iter().any(|leaf| {
                    covers(leaf, &token.area)
                        && before.iter().all(|t| t.area.x1 <= token.area.x0 && !covers(leaf, &t.area))
                        && fields.iter().any(|other| {
                            other.area.x1 <= leaf.area.x0 && before.iter().any(|t| covers(other, &t.area))
                        })
                        && areas.iter().enumerate().all(|(k, a)| k == own || leaf.area.overlap_x(a) <= 0.0)
                })
            });
            let Some(cut) = cut.filter(|_| matches!(atom.kind, Kind::Text)) else { return vec![atom] };
            let (name, rest) = atom.tokens.split_at(cut);
            let text = rest.iter().map(|t| t.text.as_str()).collect::<Vec<_>>().join(" ");
            let kind = number(&text, decimal).map_or(Kind::Text, Kind::Number);
            Atom::new(Kind::Text, name.to_vec()).into_iter().chain(Atom::new(kind, rest.to_vec())).collect()
        })
        .collect()
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

fn wide_row(page: &Layout, row: &Row<'_>, band: &Band) -> Option<FoundSample> {
    let mut sample =
        FoundSample { page: page.number, y: row.y, named_by_table: true, ..FoundSample::default() };
    for (heading, atoms, sure) in &row.cells {
        let Some(leaf) = band.leaves.get(*heading) else { continue };
        if let Some(field) = leaf.label.field.filter(|_| leaf.label.analyte.is_none()) {
            add_field(&mut sample, field, leaf, &text_of(&own_cell(page, field, atoms)));
        } else if leaf.label.is_result() {
            sample.readings.extend(result(leaf, atoms, *sure, page.em));
        } else if leaf.label.other && !leaf.label.decoy {
            sample.others.extend(other(leaf, atoms));
        }
    }
    number_apart(&mut sample, row, band);
    name_goes_on(&mut sample, row, band, page);
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

/// `Sample No. 52201   Field Upper Ried`: of two columns of names the long number under a heading that asks for a number
/// is the laboratory's, and the words are the name.
fn number_apart(sample: &mut FoundSample, row: &Row<'_>, band: &Band) {
    let asks = |leaf: &Leaf| {
        leaf.text.split(' ').any(|w| {
            matches!(
                w.to_lowercase().trim_matches(['.', ':']),
                "no" | "nr" | "number" | "#" | "nummer" | "n°"
            )
        })
    };
    let names: Vec<(bool, String)> = row
        .cells
        .iter()
        .filter_map(|(h, atoms, _)| {
            let leaf = band.leaves.get(*h)?;
            let name = leaf.label.field == Some(Field::SampleLabel) && leaf.label.analyte.is_none();
            name.then(|| (asks(leaf), text_of(atoms)))
        })
        .collect();
    let long = |text: &str| text.len() >= 4 && text.chars().all(|c| c.is_ascii_digit());
    let (number, name) = match names.as_slice() {
        [(true, number), (false, name)] | [(false, name), (true, number)] => (number, name),
        _ => return,
    };
    if sample.field(Field::LabSample).is_none() && long(number) && name.chars().any(char::is_alphabetic) {
        sample.fields.retain(|(f, _)| *f != Field::SampleLabel);
        sample.fields.push((Field::SampleLabel, name.clone()));
        sample.fields.push((Field::LabSample, number.clone()));
    }
}

/// `North 40 3` set tight behind a number came apart: a figure that no column takes, one space behind the words of a
/// name, is its end. Of two columns of unlike names, one of long numbers, nobody knows which is the client's.
fn name_goes_on(sample: &mut FoundSample, row: &Row<'_>, band: &Band, page: &Layout) {
    let names: Vec<&Vec<&Atom>> = row
        .cells
        .iter()
        .filter(|(h, ..)| {
            let leaf = band.leaves.get(*h);
            leaf.is_some_and(|l| l.label.field == Some(Field::SampleLabel) && l.label.analyte.is_none())
        })
        .map(|(_, atoms, _)| atoms)
        .collect();
    let long = |atoms: &&&Vec<&Atom>| {
        let text = text_of(atoms);
        text.len() >= 4 && text.chars().all(|c| c.is_ascii_digit())
    };
    let unlike = names.len() > 1 && names.iter().filter(long).count() == 1;
    if unlike && sample.field(Field::LabSample).is_none() {
        sample.fields.retain(|(f, _)| *f != Field::SampleLabel);
        return;
    }
    let Some(last) = names.first().and_then(|atoms| atoms.last()).filter(|_| !page.cells) else { return };
    let space = word_gap(last, page.em);
    let mut end = last.area.x1;
    let mut rest = String::new();
    for figure in row.loose.iter().filter(|a| a.number().is_some_and(|n| n.decimals == 0)) {
        if (0.0..space).contains(&(figure.area.x0 - end)) {
            rest = format!("{rest} {}", figure.text);
            end = figure.area.x1;
        }
    }
    if let Some((_, name)) = sample.fields.iter_mut().find(|(f, _)| *f == Field::SampleLabel) {
        name.push_str(&rest);
    }
    // A figure one space behind the name that a column took may be its end all the same.
    let own = names.first().copied().cloned().unwrap_or_default();
    let beside = row.cells.iter().flat_map(|(_, atoms, _)| atoms).filter(|a| !own.contains(a));
    if beside
        .filter(|a| a.number().is_some_and(|n| n.decimals == 0))
        .any(|a| (0.0..space).contains(&(a.area.x0 - end)))
    {
        sample.fields.retain(|(f, _)| *f != Field::SampleLabel);
    }
}

/// The widest gap between the words of an atom, with a little room.
fn word_gap(atom: &Atom, em: f32) -> f32 {
    let gaps = atom
        .tokens
        .windows(2)
        .filter_map(|w| if let [a, b] = w { Some(b.area.x0 - a.area.x1) } else { None });
    1.1 * gaps.fold(0.56 * em, f32::max)
}

/// The words of a name, without a number of the next column that fell to it.
fn own_cell<'a>(page: &Layout, field: Field, atoms: &[&'a Atom]) -> Vec<&'a Atom> {
    if !matches!(field, Field::SampleLabel | Field::LabSample) {
        return atoms.to_vec();
    }
    // A figure is no part of a name where it stands wider apart than the words of it.
    let gap = |a: &Atom, b: &Atom| {
        let near = if b.number().is_some() { word_gap(a, page.em) } else { page.em };
        page.cells || b.area.x0 - a.area.x1 > near || b.number().is_some_and(|n| n.decimals > 0)
    };
    let end = atoms.windows(2).position(|w| matches!(w, [a, b] if gap(a, b))).map_or(atoms.len(), |i| i + 1);
    atoms.iter().take(end).copied().collect()
}

/// Depth headings name the unit (`Depth (in)`); it goes along with the text.
fn add_field(sample: &mut FoundSample, field: Field, leaf: &Leaf, text: &str) {
    let text = match field {
        Field::DepthTop | Field::DepthBottom if !text.chars().any(char::is_alphabetic) => {
            format!("{text} {}", super::header::depth_unit(&leaf.text).unwrap_or_default())
        }
        _ => text.to_owned(),
    };
    let text = text.trim().to_owned();
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

fn result(leaf: &Leaf, atoms: &[&Atom], sure: bool, em: f32) -> Option<Found> {
    let numbers: Vec<&&Atom> = atoms.iter().filter(|a| a.number().is_some()).collect();
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

/// One result a row: the name stands in a column of its own, with unit and method beside it.
fn long_row(page: &Layout, row: &Row<'_>, band: &Band, context: Context) -> Option<FoundSample> {
    let cell = |role| {
        row.cells.iter().find(|(h, ..)| {
            band.leaves.get(*h).is_some_and(|l| {
                l.label.role == Some(role) && l.label.analyte.is_none() && l.label.field.is_none()
            })
        })
    };
    // `Test code | Test description`: of several columns of names the one that is understood.
    let names = row.cells.iter().filter(|(h, ..)| {
        band.leaves.get(*h).is_some_and(|l| {
            l.label.role == Some(Role::Analyte) && l.label.analyte.is_none() && l.label.field.is_none()
        })
    });
    let understood = |atoms: &[&Atom]| {
        let said = label(&text_of(atoms), Context { symbols: true, ..context });
        (said.is_result() || said.other, said.unknown.is_empty(), said.methods.len())
    };
    let (_, name, _) = names.rev().max_by_key(|(_, atoms, _)| understood(atoms))?;
    let (_, values, sure) = cell(Role::Result)?;
    let name_text = text_of(name);
    let mut name_label: Label = label(&name_text, Context { symbols: true, ..context });
    if let Some((_, method, _)) = cell(Role::Method) {
        let text = text_of(method);
        if let Some(analyte) = name_label.analyte {
            name_label.methods.extend(super::notes::method_in(&text, analyte, context));
        }
    }
    let unit_text = cell(Role::Unit).map(|(_, unit, _)| text_of(unit)).filter(|t| !super::atom::is_blank(t));
    let mut sample =
        FoundSample { page: page.number, y: row.y, named_by_table: true, ..FoundSample::default() };
    for (heading, atoms, _) in &row.cells {
        let Some(leaf) = band.leaves.get(*heading) else { continue };
        if let Some(field) = leaf.label.field {
            add_field(&mut sample, field, leaf, &text_of(atoms));
        }
    }
    sample.named_by_table =
        sample.field(Field::SampleLabel).is_some() || sample.field(Field::LabSample).is_some();
    if !sample.named_by_table {
        return None;
    }
    let atom = values.iter().find(|a| a.number().is_some());
    if !name_label.is_result() {
        if name_label.other || name_label.analyte.is_none() {
            sample.others.extend(atom.and_then(|a| {
                Some(OtherMeasurement {
                    name: name_text.clone(),
                    printed: Printed { value: a.text.clone(), unit: unit_text.clone().unwrap_or_default() },
                    place: a.place()?,
                })
            }));
        }
        return Some(sample);
    }
    let Some(atom) = atom else { return Some(sample) };
    let leaf = Leaf {
        area: atom.area,
        text: name_text,
        label: name_label,
        marks: name.iter().flat_map(|a| a.marks.clone()).collect(),
    };
    let mut reading = found(&leaf, atom, unit_text.as_deref())?;
    if let Some(text) = &unit_text
        && reading.unit.is_none()
    {
        reading.doubts.push(Doubt::new("unit-unknown", format!("The unit `{text}` is not known.")));
    }
    if !sure {
        reading.doubts.push(Doubt::new(
            "column-unsure",
            format!("It is not clear that `{}` is the result.", atom.text),
        ));
    }
    if let Some((_, flags, _)) = cell(Role::Qualifier) {
        qualify(&mut reading, &text_of(flags));
    }
    sample.readings.push(reading);
    Some(sample)
}

/// A qualifier in a column of its own: `<` and `>` belong to the number, any other flag needs a look.
fn qualify(reading: &mut Found, flag: &str) {
    let said = match flag.trim() {
        "" | "=" => return,
        "<" | "≤" | "<=" => Qualifier::Below,
        ">" | "≥" | ">=" => Qualifier::Above,
        text if super::atom::is_blank(text) => return,
        text => {
            reading.doubts.push(Doubt::new(
                "flagged",
                format!("The laboratory flags `{}` with `{text}`.", reading.printed),
            ));
            return;
        }
    };
    if reading.number.qualifier.is_none() {
        reading.number.qualifier = Some(said);
    } else if reading.number.qualifier != Some(said) {
        reading.doubts.push(Doubt::new(
            "flagged",
            format!("`{}` and its flag `{flag}` say different things.", reading.printed),
        ));
    }
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
    }
}
