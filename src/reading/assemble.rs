//! Puts samples, fields and notes together into reports.

use super::found::FoundSample;
use super::gather::Gathered;
use super::header::{FieldValue, day, depth, names_a_part, reads_like_a_heading};
use super::label::label;
use super::matter::revised;
use super::normalise::{Around, normalise};
use super::recommendation::{Owner, attach};
use super::units::{Rule, conversion};
use super::vocabulary::{Context, Field};
use crate::soil::{Analyte, Doubt, Method, Reading, Report, Sample, Unit};
use std::collections::HashMap;

/// The reports of a document: one for each laboratory, client and report number in it.
pub fn assemble(gathered: &Gathered) -> Vec<Report> {
    let mut reports: Vec<Report> = Vec::new();
    let mut by_head: HashMap<Head, usize> = HashMap::new();
    let mut owners: Vec<(usize, Owner)> = Vec::new();
    let forms = &Forms::of(gathered);
    for found in join_tables(gathered, forms, merge_forms(gathered, forms)) {
        let head = head(gathered, forms, &found);
        let sample = sample(gathered, forms, &found);
        if sample.readings.is_empty() && sample.others.is_empty() {
            continue;
        }
        let own = (head.lab.clone(), head.client.clone(), head.number.clone());
        let place = *by_head.entry(own).or_insert(reports.len());
        if !sample.readings.is_empty() {
            let (label, lab_number) = (sample.label.clone(), sample.lab_number.clone());
            owners.push((place, Owner { page: found.page, y: found.y, label, lab_number }));
        }
        match reports.get_mut(place) {
            Some(report) => report.samples.push(sample),
            None => reports.push(Report { samples: vec![sample], ..head }),
        }
    }
    for report in &mut reports {
        report.samples.retain(|s| !s.readings.is_empty());
        repeated_names(report);
        super::stems::doubt_numbers_in_names(report);
    }
    recommended(&mut reports, gathered, owners);
    reports.retain(|r| !r.samples.is_empty());
    reports
}

/// Gives each sample the nitrogen that is recommended for it; `owners` are the samples with readings, each with its
/// report, in the order they have there.
fn recommended(reports: &mut [Report], gathered: &Gathered, owners: Vec<(usize, Owner)>) {
    if gathered.nitrogen.is_empty() {
        return;
    }
    let (places, owners): (Vec<usize>, Vec<Owner>) = owners.into_iter().unzip();
    let mut next: Vec<_> = reports.iter_mut().map(|r| r.samples.iter_mut()).collect();
    for (place, nitrogen) in places.into_iter().zip(attach(&gathered.nitrogen, &owners)) {
        if let Some(sample) = next.get_mut(place).and_then(Iterator::next) {
            sample.nitrogen = nitrogen;
        }
    }
}

/// Laboratory, client and number: what tells one report from another.
type Head = (Option<String>, Option<String>, Option<String>);

/// Samples of one name that are looked at for a form to go on with. Forms lie close together; a long table of rows
/// under one name must not take the square of its length.
const FORMS_OF_A_NAME: usize = 64;

/// The value of a field for a sample: its own, else the nearest above on its page, else the last before, else the
/// only one in the document.
fn value<'a>(gathered: &'a Gathered, forms: &Forms, found: &'a FoundSample, field: Field) -> Option<&'a str> {
    if let Some(own) = found.field(field) {
        return Some(own);
    }
    if found.named_by_table && matches!(field, Field::SampleLabel | Field::LabSample) {
        return None;
    }
    // In a table with a day for each sample a blank is no day of another.
    let dated = |s: &FoundSample| s.named_by_table && s.field(Field::SampledOn).is_some();
    let any_dated = || *gathered.dated_by_table.get_or_init(|| gathered.samples.iter().any(dated));
    if field == Field::SampledOn && found.named_by_table && any_dated() {
        return None;
    }
    let all: Vec<&FieldValue> = gathered.fields.iter().filter(|f| f.field == field).collect();
    let firm: Vec<&FieldValue> = all.iter().copied().filter(|f| f.firm).collect();
    let mut candidates = if firm.is_empty() { all } else { firm };
    if matches!(field, Field::SampledOn | Field::LabSample) {
        own_form(forms, found, &mut candidates);
    }
    let above = candidates.iter().rev().find(|f| f.page == found.page && f.area.y0 <= found.y + 1.0);
    if matches!(field, Field::SampleLabel | Field::LabSample)
        && let Some(name) = named_beside(gathered, forms, found, field, above.map_or(0.0, |f| f.area.y0))
    {
        return name;
    }
    let above = above.map(|last| beside(&candidates, last, found));
    let on_page = candidates.iter().find(|f| f.page == found.page);
    let before = candidates.iter().rev().find(|f| f.page < found.page);
    // Where several forms name their samples, the name of the next form is not this one's.
    if field == Field::SampleLabel
        && above.or(before).is_none()
        && candidates.iter().any(|f| candidates.first().is_some_and(|first| first.text != f.text))
    {
        return None;
    }
    above.or(on_page).or(before).or(candidates.first()).map(|f| f.text.as_str())
}

/// A table of the same form whose own heading names the sample, below any name that a field gives: its name counts for
/// the tables beside and below it; none where it names several. `None` without such a table.
fn named_beside<'a>(
    gathered: &'a Gathered,
    forms: &Forms,
    found: &FoundSample,
    field: Field,
    below: f32,
) -> Option<Option<&'a str>> {
    let end = forms.headed.partition_point(|(at, _)| order(at, &(found.page, found.y + 1.0)).is_le());
    let (last, _) = *forms.headed.get(end.checked_sub(1)?)?;
    if last.0 != found.page || last.1 <= below {
        return None;
    }
    let beside = forms.headed.get(..end).unwrap_or_default().iter().rev().take_while(|(at, _)| *at == last);
    let mut names: Vec<Option<&str>> =
        beside.filter_map(|(_, i)| gathered.samples.get(*i)).map(|s| s.field(field)).collect();
    names.dedup();
    Some(if let [one] = names.as_slice() { *one } else { None })
}

/// Of fields of one kind on one line, over forms that stand side by side, the first from the form's left edge on.
fn beside<'a, 'b>(
    candidates: &'b [&'a FieldValue],
    last: &'b &'a FieldValue,
    found: &FoundSample,
) -> &'b &'a FieldValue {
    candidates
        .iter()
        .filter(|f| f.page == last.page && (f.area.y0 - last.area.y0).abs() < 3.0)
        .filter(|f| !found.named_by_table && f.area.x0 > found.x - 12.0)
        .min_by(|a, b| a.area.x0.total_cmp(&b.area.x0))
        .unwrap_or(last)
}

/// A place in reading order: page, and points from its top.
type At = (u32, f32);

fn order(a: &At, b: &At) -> std::cmp::Ordering {
    a.0.cmp(&b.0).then(a.1.total_cmp(&b.1))
}

/// Where the forms of a document have their tables and their names, in reading order. Rows of a table of samples name
/// themselves and are no forms.
#[derive(Debug, Default)]
struct Forms {
    tables: Vec<At>,
    names: Vec<At>,
    /// Tables whose own heading names their samples, by place; indices into the samples.
    headed: Vec<(At, usize)>,
}

fn is_form(found: &FoundSample) -> bool {
    !found.named_by_table || found.x > 0.0
}

impl Forms {
    fn of(gathered: &Gathered) -> Self {
        let samples = || gathered.samples.iter().enumerate().filter(|(_, s)| is_form(s));
        let mut tables: Vec<At> = samples().map(|(_, s)| (s.page, s.y)).collect();
        let headed = samples().filter(|(_, s)| s.named_by_table && s.field(Field::SampleLabel).is_some());
        let mut headed: Vec<(At, usize)> = headed.map(|(i, s)| ((s.page, s.y), i)).collect();
        // The name over the columns of a table stands right above its first row.
        let mut names: Vec<At> = headed.iter().map(|((page, y), _)| (*page, *y - 1.0)).collect();
        let firm = gathered.fields.iter().filter(|f| f.field == Field::SampleLabel && f.firm);
        names.extend(firm.map(|f| (f.page, f.area.y0)));
        tables.sort_by(order);
        names.sort_by(order);
        headed.sort_by(|a, b| order(&a.0, &b.0));
        Self { tables, names, headed }
    }

    /// True where a table, and behind it a name, stand between two places: what stands at the first is another form's.
    fn ended(&self, from: At, to: At) -> bool {
        let after = |list: &[At], at: At| list.partition_point(|t| order(t, &(at.0, at.1 + 0.5)).is_le());
        let Some(table) = self.tables.get(after(&self.tables, from)) else { return false };
        self.names
            .get(after(&self.names, *table))
            .is_some_and(|name| order(&(name.0, name.1 + 0.5), &to).is_lt())
    }
}

/// Where several forms name their samples, a day or number belongs to the form it stands in: what one sample lacks is
/// not another's. A form begins with the first name after a table; what stands above all names is the report's for all.
fn own_form(forms: &Forms, found: &FoundSample, candidates: &mut Vec<&FieldValue>) {
    if forms.names.len() < 2 || !is_form(found) {
        return;
    }
    let own = (found.page, found.y);
    candidates.retain(|f| {
        let at = (f.page, f.area.y0);
        let first = forms.names.first().is_some_and(|n| order(&(at.0, at.1 + 30.0), n).is_lt());
        first || order(&(at.0, at.1 + 0.5), &own).is_lt() && !forms.ended(at, own)
    });
}

/// Several tables of one form on a page (two side by side, a box below) speak of one sample.
fn merge_forms(gathered: &Gathered, forms: &Forms) -> Vec<FoundSample> {
    let mut out: Vec<FoundSample> = Vec::new();
    // What is merged has the same key, so that the key of a sample never changes.
    let mut by_key: HashMap<[Option<String>; 8], Vec<usize>> = HashMap::new();
    for found in &gathered.samples {
        let key = [
            Field::SampleLabel,
            Field::LabSample,
            Field::DepthTop,
            Field::DepthBottom,
            Field::SampledOn,
            Field::Client,
            Field::Farm,
            Field::Report,
        ]
        .map(|f| value(gathered, forms, found, f).map(str::to_owned));
        let named = by_key.entry(key).or_default();
        let aside = named
            .iter()
            .rev()
            .take(FORMS_OF_A_NAME)
            .copied()
            .find(|i| out.get(*i).is_some_and(|s| second_table(gathered, s, found)));
        if let Some(s) = aside.and_then(|i| out.get_mut(i)) {
            set_aside(s, found.clone());
            continue;
        }
        let same = named.iter().rev().take(FORMS_OF_A_NAME).copied().find(|i| {
            let Some(s) = out.get(*i) else { return false };
            // Rows or columns of one name go on over the page where they measure something else.
            let near = s.page == found.page
                || s.page + 1 == found.page && (!found.named_by_table || !overlap(s, found));
            // Rows of a table are samples of their own even where two carry one name.
            let apart = s.page == found.page && s.x == found.x && (s.y - found.y).abs() > 0.1;
            let rows = apart && overlap(s, found) && !found.lone;
            near && !rows
        });
        match same.and_then(|i| out.get_mut(i)) {
            Some(s) => go_on(s, found),
            None => {
                named.push(out.len());
                out.push(found.clone());
            }
        }
    }
    out
}

/// What a table gives a sample, or the page gives it, by which samples of one name are told apart.
const TOLD_BY: [Field; 4] = [Field::LabSample, Field::DepthTop, Field::DepthBottom, Field::SampledOn];

/// A second table that names its samples and does not repeat their numbers, depths or days goes on with the first, where
/// each name stands once in either and the two measure unlike things.
fn join_tables(gathered: &Gathered, forms: &Forms, found: Vec<FoundSample>) -> Vec<FoundSample> {
    let get = |s: &FoundSample, field| value(gathered, forms, s, field).map(str::to_lowercase);
    let named = |s: &FoundSample| {
        let name = get(s, Field::SampleLabel).filter(|name| s.named_by_table && !name.is_empty())?;
        Some((name, get(s, Field::Client), get(s, Field::Report)))
    };
    let mut by_name: HashMap<_, Vec<usize>> = HashMap::new();
    for (i, sample) in found.iter().enumerate() {
        if let Some(key) = named(sample) {
            by_name.entry(key).or_default().push(i);
        }
    }
    // The place of each sample that goes on with another.
    let mut goes_on: HashMap<usize, usize> = HashMap::new();
    for places in by_name.into_values() {
        let [a, b] = places.as_slice() else { continue };
        let (Some(first), Some(second)) = (found.get(*a), found.get(*b)) else { continue };
        let near = first.page == second.page || first.page + 1 == second.page;
        let numbered = |s: &FoundSample| get(s, Field::LabSample).is_some();
        let repeats = |more: &FoundSample, less: &FoundSample| {
            numbered(more)
                && !numbered(less)
                && TOLD_BY.iter().all(|f| get(less, *f).is_none_or(|text| get(more, *f) == Some(text)))
        };
        let one = repeats(first, second) || repeats(second, first);
        if near && one && !overlap(first, second) && !first.lone && !second.lone {
            goes_on.insert(*b, *a);
        }
    }
    let mut out: Vec<Option<FoundSample>> = found.into_iter().map(Some).collect();
    for (from, to) in goes_on {
        let more = out.get_mut(from).and_then(Option::take);
        if let (Some(more), Some(Some(kept))) = (more, out.get_mut(to)) {
            go_on(kept, &more);
        }
    }
    out.into_iter().flatten().collect()
}

/// Takes in what another table of the same sample holds.
fn go_on(kept: &mut FoundSample, more: &FoundSample) {
    kept.readings.extend(more.readings.iter().cloned());
    kept.others.extend(more.others.iter().cloned());
    for field in &more.fields {
        if kept.field(field.0).is_none() {
            kept.fields.push(field.clone());
        }
    }
}

/// Two tables under one name that measure the same: the first holds the results, the other perhaps rates, limits or
/// means. Rows of a table are no tables, and a name that stands between two tables is of the second alone.
fn second_table(gathered: &Gathered, first: &FoundSample, second: &FoundSample) -> bool {
    let tables = is_form(first) && is_form(second) && !first.lone && !second.lone;
    let apart = first.page != second.page || (first.y - second.y).abs() > 0.1;
    let near = first.page == second.page || first.page + 1 == second.page;
    let named = first.named_by_table && second.named_by_table
        || gathered
            .fields
            .iter()
            .filter(|f| f.field == Field::SampleLabel && f.firm)
            .all(|f| f.page < first.page || f.page == first.page && f.area.y0 <= first.y + 1.0);
    tables && apart && near && named && overlap(first, second) && holds_results(first, second)
}

/// True where the first of two tables is plainly the one with the results: it alone says how it was measured, or it is
/// the longer and the other says no more of that.
fn holds_results(first: &FoundSample, second: &FoundSample) -> bool {
    let says =
        |s: &FoundSample| s.readings.iter().any(|r| !r.label.methods.is_empty() || r.caption.is_some());
    match (says(first), says(second)) {
        (true, false) => true,
        (false, true) => false,
        _ => first.readings.len() > second.readings.len(),
    }
}

/// Joins what a second table of a sample says to the first, as a doubt.
fn set_aside(kept: &mut FoundSample, mut other: FoundSample) {
    for reading in &mut other.readings {
        reading.doubts.push(Doubt::new(
            SECOND_TABLE,
            format!("`{}` stands in a second table under this sample's name.", reading.printed),
        ));
    }
    kept.readings.extend(other.readings);
}

/// Why a number of a second table waits.
const SECOND_TABLE: &str = "second-table";

/// True where two finds measure the same thing: then they are two samples, not two halves of one.
fn overlap(a: &FoundSample, b: &FoundSample) -> bool {
    a.readings.iter().any(|r| b.readings.iter().any(|o| o.label.analyte == r.label.analyte))
}

/// True where a neighbour is counted in a solution, or the table's title names the paste: milligrams a litre there are
/// not of soil.
fn dissolved(found: &FoundSample) -> bool {
    found.readings.iter().any(|r| {
        let solution = r.unit.as_ref().zip(r.label.analyte).is_some_and(|(unit, analyte)| {
            conversion(unit.0, analyte.unit()).is_some_and(|c| c.rule == Rule::Solution)
        });
        solution || r.caption == Some(Method::SaturatedPaste)
    })
}

fn clean(text: &str) -> String {
    text.trim().trim_matches(['.', ',', ';', ':']).trim().to_owned()
}

/// A name out of a picture counts only where it looks like one: capital or digit first, no stray signs, and no
/// method's words.
fn clean_name(label: &str) -> bool {
    let first = label.chars().next().is_some_and(|c| c.is_uppercase() || c.is_ascii_digit());
    let plain = label.chars().all(|c| {
        c.is_alphanumeric() || matches!(c, ' ' | '.' | ',' | '\'' | '&' | '/' | '(' | ')' | '#' | '-')
    });
    // A footnote's mark is taken for a quotation mark: then this is the heading of a column.
    let last = label.chars().next_back().is_some_and(|c| c.is_alphanumeric() || matches!(c, ')' | '#'));
    first
        && last
        && plain
        && super::label::label(label, Context { symbols: false, capitals: false }).methods.is_empty()
}

/// True where a figure follows a letter within a word, or a capital a small letter: recognition loses the space of
/// `B 4` and `Meadow S`, and `B4` is another place.
fn space_lost(label: &str) -> bool {
    label.chars().zip(label.chars().skip(1)).any(|(one, next)| {
        one.is_alphabetic() && next.is_ascii_digit() || one.is_lowercase() && next.is_uppercase()
    })
}

/// `14526 14527`: the numbers of two samples set close together are neither's.
fn several_numbers(text: &str) -> bool {
    let mut words = text.split(' ');
    let long = |w: &str| w.len() >= 4 && w.chars().all(|c| c.is_ascii_digit());
    text.contains(' ') && words.all(long)
}

/// `North 40 1 6.0 6.8 33`: a name that ran into the numbers behind it.
fn holds_values(label: &str) -> bool {
    let numbers: Vec<&str> = label
        .split(' ')
        .filter(|w| {
            w.starts_with(|c: char| c.is_ascii_digit())
                && w.chars().all(|c| c.is_ascii_digit() || matches!(c, '.' | ','))
        })
        .collect();
    numbers.len() > 1 && numbers.iter().any(|w| w.contains(['.', ',']))
        || !numbers.is_empty() && counts_area(label)
}

/// `Lawn area 4,200 sq ft`: a name and the size of it.
fn counts_area(label: &str) -> bool {
    let lower = label.to_lowercase();
    ["sq ft", "sq. ft", "square feet", "ft2", "sq m", "square metres", "m2"]
        .iter()
        .any(|unit| lower.ends_with(unit))
}

/// `Vegetable beds (our number 2231)`: the number in brackets is the laboratory's.
fn without_number_note(label: &str) -> String {
    match label.split_once('(') {
        Some((name, note))
            if note.to_lowercase().contains("number") || note.to_lowercase().contains("no.") =>
        {
            name.trim().to_owned()
        }
        _ => label.to_owned(),
    }
}

fn head(gathered: &Gathered, forms: &Forms, found: &FoundSample) -> Report {
    let get = |field| value(gathered, forms, found, field).map(clean).filter(|t| !t.is_empty());
    Report {
        lab: get(Field::Lab).or_else(|| gathered.letterhead.clone()),
        client: get(Field::Client),
        // Better none than a wrong one.
        number: get(Field::Report).filter(|text| !gathered.unsure_of(text)),
        received_on: get(Field::ReceivedOn)
            .filter(|text| !gathered.unsure_of(text))
            .and_then(|t| day(&t, gathered.order).0),
        reported_on: get(Field::ReportedOn)
            .filter(|text| !gathered.unsure_of(text))
            .and_then(|t| day(&t, gathered.order).0),
        revised: *gathered.revised.get_or_init(|| revised(&gathered.text)),
        samples: Vec::new(),
        doubts: Vec::new(),
        layout: gathered.features.clone(),
    }
}

fn sample(gathered: &Gathered, forms: &Forms, found: &FoundSample) -> Sample {
    let get = |field| value(gathered, forms, found, field).map(clean).filter(|t| !t.is_empty());
    let depth = get(Field::DepthTop)
        .and_then(|top| depth(&top, get(Field::DepthBottom).as_deref(), gathered.inches_spoken));
    let (sampled_on, sampled_year) = get(Field::SampledOn).map_or((None, None), |t| day(&t, gathered.order));
    let year = sampled_year.or_else(|| {
        [Field::ReceivedOn, Field::ReportedOn]
            .into_iter()
            .find_map(|f| get(f).and_then(|t| day(&t, gathered.order).1))
    });
    let two_ph = found.readings.iter().filter(|r| r.label.analyte == Some(Analyte::Ph)).count() > 1;
    let around = Around { notes: &gathered.notes, depth, two_ph, dissolved: dissolved(found) };
    let mut readings: Vec<Reading> = Vec::new();
    for raw in &found.readings {
        if let Some(reading) = normalise(raw, around) {
            add_reading(&mut readings, reading, depth);
        }
    }
    two_samples_in_one(&mut readings);
    let mut readings = without_repeats(readings);
    method_left_open(&mut readings);
    // A word that asks for a name is none.
    let label = get(Field::SampleLabel)
        .map(|l| without_number_note(&l))
        .filter(|l| !super::across::asks_for_a_name(l))
        .unwrap_or_default();
    let mut doubts = Vec::new();
    if label.is_empty() {
        doubts.push(Doubt::new("sample-unnamed", "The report does not name this sample."));
    }
    if holds_values(&label) {
        doubts.push(Doubt::new(
            "sample-unnamed",
            format!("`{label}` seems to hold values of the columns beside the name."),
        ));
    }
    if names_a_part(&label) || reads_like_a_heading(&label) {
        doubts.push(Doubt::new(
            "sample-unnamed",
            format!(
                "`{label}` reads like the title or the heading of a table, and no other name stands by it."
            ),
        ));
    }
    if found.readings.iter().any(|r| r.confidence.is_some()) && (!clean_name(&label) || space_lost(&label)) {
        doubts.push(Doubt::new(
            "sample-name-unsure",
            format!("The sample's name `{label}` was read from a picture and is not sure."),
        ));
    }
    let mut unsure = |field: Field, reason: &str, what: &str| {
        if let Some(text) = value(gathered, forms, found, field)
            && gathered.unsure_of(text)
        {
            let sentence = format!("{what} `{}` was read from a picture and is not sure.", clean(text));
            if doubts.iter().all(|d: &Doubt| d.reason != reason) {
                doubts.push(Doubt::new(reason, sentence));
            }
        }
    };
    unsure(Field::SampleLabel, "sample-name-unsure", "The sample's name");
    unsure(Field::Client, "client-unsure", "The client's name");
    unsure(Field::DepthTop, "depth-unsure", "The depth");
    unsure(Field::DepthBottom, "depth-unsure", "The depth");
    let dated = [Field::SampledOn, Field::ReceivedOn, Field::ReportedOn];
    if let Some(field) = dated.into_iter().find(|field| get(*field).is_some()) {
        unsure(field, "date-unsure", "The date");
    }
    Sample {
        label,
        lab_number: get(Field::LabSample).filter(|text| !gathered.unsure_of(text) && !several_numbers(text)),
        sampled_on,
        year,
        depth,
        readings,
        others: found.others.clone(),
        nitrogen: Vec::new(),
        doubts,
    }
}

/// The same number printed twice is one reading; two numbers for one measurement wait for a person.
fn add_reading(readings: &mut Vec<Reading>, reading: Reading, depth: Option<crate::soil::Depth>) {
    let Some(kept) = readings.iter_mut().find(|r| {
        r.analyte == reading.analyte
            && r.method == reading.method
            && r.quantity.basis == reading.quantity.basis
    }) else {
        readings.push(reading);
        return;
    };
    // What a second table says takes nothing from the first.
    if reading.doubts.iter().any(|d| d.reason == SECOND_TABLE) {
        if reading.printed != kept.printed {
            readings.push(reading);
        }
        return;
    }
    let (a, b) = (kept.quantity.value, reading.quantity.value);
    // One reading printed in two units: pounds of a layer beside parts per million.
    let area = |r: &Reading| {
        label(&r.printed.unit, Context { symbols: false, capitals: false })
            .unit
            .and_then(|u| conversion(u.0, Unit::MgPerKg))
            .is_some_and(|c| matches!(c.rule, Rule::Area | Rule::AreaMetric))
    };
    if area(&reading) != area(kept) && per_area_of_the_same(kept, &reading, depth) {
        if area(kept) {
            *kept = reading;
        }
        kept.witnesses.push("printed in two units that agree".to_owned());
        return;
    }
    let same = (a - b).abs() <= 0.005 * a.abs().max(b.abs())
        && kept.quantity.qualifier == reading.quantity.qualifier;
    if same {
        kept.witnesses.push("printed twice".to_owned());
        return;
    }
    let mut doubt = Doubt::new(
        "two-values",
        format!(
            "Two different values are printed for {}: `{}` and `{}`.",
            reading.analyte.name(),
            kept.printed.value,
            reading.printed.value
        ),
    );
    doubt.alternatives = vec![kept.printed.value.clone(), reading.printed.value.clone()];
    kept.doubts.push(doubt);
}

/// A number printed by a named method and again without one is one reading.
fn without_repeats(readings: Vec<Reading>) -> Vec<Reading> {
    let named: Vec<Reading> = readings.iter().filter(|r| r.method != Method::Unstated).cloned().collect();
    let repeats = |r: &Reading| {
        named.iter().any(|n| n.analyte == r.analyte && n.printed == r.printed && n.doubts.is_empty())
    };
    readings.into_iter().filter(|r| r.method != Method::Unstated || !repeats(r)).collect()
}

/// A second number for a measurement, by no stated method beside one that states it, may be a rate, a wish or a limit.
fn method_left_open(readings: &mut [Reading]) {
    // `pH eau` beside `pH KCl` is a second pH of its own; so is any beside one in a salt.
    let salt = |r: &Reading| matches!(r.method, Method::Cacl2 | Method::Kcl);
    let named: Vec<(Analyte, String)> = readings
        .iter()
        .filter(|r| r.method != Method::Unstated && !salt(r))
        .map(|r| (r.analyte, r.printed.value.clone()))
        .collect();
    for reading in readings.iter_mut().filter(|r| r.method == Method::Unstated) {
        if let Some((_, other)) = named.iter().find(|(analyte, _)| *analyte == reading.analyte) {
            reading.doubts.push(Doubt::new(
                "second-value",
                format!(
                    "Beside `{other}` by a named method stands `{}` for {} by none.",
                    reading.printed.value,
                    reading.analyte.name()
                ),
            ));
        }
    }
}

/// Two values for several measurements: rows of two samples came together, and no number is surely this one's.
fn two_samples_in_one(readings: &mut [Reading]) {
    let twice: Vec<Analyte> = readings
        .iter()
        .filter(|r| r.doubts.iter().any(|d| d.reason == "two-values"))
        .map(|r| r.analyte)
        .collect();
    // Rates of phosphorus and potassium stand beside results, and tell nothing of the rest.
    let rates = |a: &Analyte| matches!(a, Analyte::Phosphorus | Analyte::Potassium);
    if twice.len() < 2 || twice.iter().all(rates) {
        return;
    }
    for reading in readings.iter_mut().filter(|r| r.doubts.iter().all(|d| d.reason != "two-values")) {
        reading.doubts.push(Doubt::new(
            "two-samples",
            "Several rows of this table are printed twice with unlike values; it may hold two samples."
                .to_owned(),
        ));
    }
}

/// True where the larger of two printed numbers is the smaller counted as pounds of the layer.
fn per_area_of_the_same(a: &Reading, b: &Reading, depth: Option<crate::soil::Depth>) -> bool {
    let number = |r: &Reading| r.printed.value.replace(',', "").parse::<f64>().ok();
    let (Some(a), Some(b)) = (number(a), number(b)) else { return false };
    let ratio = a.max(b) / a.min(b).max(f64::MIN_POSITIVE);
    // 0.3 lb per inch and ppm for 2,000,000 lb in 6 2/3 inches; a third by the rounder 6-inch habit.
    let layer = depth.map(|d| d.thickness_inches());
    let near = |factor: f64| (ratio / factor - 1.0).abs() < 0.03;
    near(2.0) || layer.is_some_and(|i| near(0.3 * i) || near(i / 3.0))
}

/// One name twice in a report: with the same laboratory number it is a repeat, with another it is another sample
/// whose site a person must tell. Layers of one name are told apart by their depth.
fn repeated_names(report: &mut Report) {
    let key = |s: &Sample| (s.label.to_lowercase(), s.depth.map(|d| format!("{d:?}")), s.sampled_on);
    // One bag is not drawn on two days.
    let bag = |s: &Sample| (s.label.to_lowercase(), s.depth.map(|d| format!("{d:?}")), s.lab_number.clone());
    let mut times: HashMap<_, usize> = HashMap::new();
    let mut bags: HashMap<_, usize> = HashMap::new();
    for sample in &report.samples {
        *times.entry(key(sample)).or_default() += 1;
        *bags.entry(bag(sample)).or_default() += 1;
    }
    for sample in &mut report.samples {
        let twice = times.get(&key(sample)).is_some_and(|n| *n > 1)
            || sample.lab_number.is_some() && bags.get(&bag(sample)).is_some_and(|n| *n > 1);
        if !sample.label.is_empty() && twice {
            sample.doubts.push(Doubt::new(
                "name-repeated",
                format!("The name `{}` stands twice in this report.", sample.label),
            ));
        }
    }
}

#[cfg(test)]
mod tests {
    use super::super::found::Found;
    use super::super::label::Label;
    use super::super::number::{Decimal, number};
    use super::*;
    use crate::place::Place;

    #[test]
    fn a_long_table_of_one_name_takes_no_square_of_its_length() {
        let reading = |row: u32| Found {
            label: Label::default(),
            number: number("6.5", Decimal::default()).unwrap(),
            printed: "6.5".to_owned(),
            unit: None,
            place: Place::Cell { sheet: 1, row, column: 2 },
            confidence: None,
            marks: Vec::new(),
            caption: None,
            doubts: Vec::new(),
        };
        let row = |row: u16| FoundSample {
            page: 1,
            y: f32::from(row),
            fields: vec![(Field::SampleLabel, "bed".to_owned())],
            named_by_table: true,
            readings: vec![reading(u32::from(row))],
            ..FoundSample::default()
        };
        let gathered = Gathered { samples: (0..40_000).map(row).collect(), ..Gathered::default() };
        let begun = std::time::Instant::now();
        assert_eq!(
            merge_forms(&gathered, &Forms::of(&gathered)).len(),
            40_000,
            "rows of a table are samples of their own"
        );
        // A square of the length would take minutes.
        assert!(begun.elapsed() < std::time::Duration::from_secs(20));
    }

    #[test]
    fn a_name_whose_space_may_be_lost_is_seen() {
        assert!(space_lost("B4") && space_lost("MeadowS") && space_lost("HayLower"));
        assert!(clean_name("Sam's Lawn") && !clean_name("Result'"));
        assert!(!space_lost("B 4") && !space_lost("Meadow S") && !space_lost("NORTH LAWN"));
    }

    #[test]
    fn a_name_that_ran_into_values_is_seen() {
        assert!(holds_values("Lawn area 4,200 sq ft") && !holds_values("North 40 acres"));
        assert!(holds_values("North 40 1 6.0 6.8 33") && holds_values("Front 3 1,04"));
        assert!(several_numbers("14526 14527") && !several_numbers("14526") && !several_numbers("A 14526"));
        assert!(!holds_values("North 40 3") && !holds_values("Plot 3.1") && !holds_values("12 Mill Lane"));
    }

    #[test]
    fn a_form_never_takes_the_name_of_the_next() {
        let name = |text: &str, y: f32| FieldValue {
            field: Field::SampleLabel,
            text: text.to_owned(),
            page: 1,
            area: crate::place::Rect::new(0.0, y, 50.0, y + 10.0),
            firm: true,
        };
        let two = Gathered { fields: vec![name("Moss", 300.0), name("Fern", 600.0)], ..Gathered::default() };
        let found = FoundSample { page: 1, y: 100.0, ..FoundSample::default() };
        assert_eq!(value(&two, &Forms::of(&two), &found, Field::SampleLabel), None);
        let one = Gathered { fields: vec![name("Moss", 300.0)], ..Gathered::default() };
        assert_eq!(value(&one, &Forms::of(&one), &found, Field::SampleLabel), Some("Moss"));
    }
}
