//! The fields of a report: laboratory, client, numbers, dates, depth; from `name: value` pairs, stacked pairs and prose.

use super::cut::cut;
use super::date::{DayOrder, PrintedDate, date};
use super::fold::{fold, is_punctuation, pieces};
use super::kept::{Kept, kept};
use super::layout::{Layout, Line, Phrase};
use super::vocabulary::{Context, Field, Hit, Meaning, hits_where};
use crate::place::Rect;
use crate::soil::Depth;
use regex::Regex;
use std::cell::RefCell;
use std::sync::LazyLock;

/// A field with its value, where it stands.
#[derive(Debug, Clone, PartialEq)]
pub struct FieldValue {
    /// Which.
    pub field: Field,
    /// Its text.
    pub text: String,
    /// Page.
    pub page: u32,
    /// Box of the name.
    pub area: Rect,
    /// True where a colon or an own column ties the value to the name.
    pub firm: bool,
}

/// The fields of a page, top to bottom.
pub fn fields(page: &Layout, taken: &[bool], context: Context) -> Vec<FieldValue> {
    let mut out = Vec::new();
    for (row, line) in page.lines.iter().enumerate() {
        // The rows and headings of tables are no pairs of a form.
        if taken.get(row) == Some(&true) || asks_side_by_side(line, context) {
            continue;
        }
        let mut at = 0;
        while let Some(phrase) = line.phrases.get(at) {
            let next = line.phrases.get(at + 1);
            let below = page.lines.get(row + 1).map(|l| l.phrases.as_slice()).unwrap_or_default();
            let parts = pairs_apart(phrase, context);
            if parts.len() > 1 {
                out.extend(parts.iter().filter_map(|p| phrase_field(page, p, None, &[], false, context).0));
                at += 1;
                continue;
            }
            let (found, used_next) =
                phrase_field(page, phrase, next, below, line.phrases.len() == 2, context);
            out.extend(found);
            at += if used_next { 2 } else { 1 };
        }
        out.extend(prose(page.number, &line.phrases));
    }
    out
}

/// `Lab   Sample   100   P`: names of fields side by side without a value, among other words, are the heading of a table.
fn asks_side_by_side(line: &Line, context: Context) -> bool {
    let asks = |p: &Phrase| {
        leading_field(&p.text(), context).is_some_and(|(_, rest, colon)| rest.is_empty() && !colon)
    };
    line.phrases.len() > 3
        && line.phrases.windows(2).any(|w| w.iter().all(asks))
        && line.phrases.iter().any(|p| leading_field(&p.text(), context).is_none())
}

/// `Sample ID: Tunnel 3 Lab # 66120 Report # 2023-66` set close together: cut before each further name that a colon
/// or number sign follows.
fn pairs_apart(phrase: &Phrase, context: Context) -> Vec<Phrase> {
    let cut = cut(&phrase.tokens);
    let words = &cut.pieces;
    let context = Context { symbols: false, ..context };
    let hits = hits_where(words, context, &|m| matches!(m, Meaning::Field(_)));
    let firm = |end: usize, start: usize| {
        words.get(end).is_some_and(|w| w == ":" || w == "#")
            || words
                .get(start..end)
                .unwrap_or_default()
                .iter()
                .any(|w| w == "#" || w.eq_ignore_ascii_case("no.") || w.eq_ignore_ascii_case("number"))
    };
    // `Client Somebody Sample Green 7 Lab no. 55120`: bold names without colons, told by their number and capitals.
    // A second word of a kind already asked for (`Green`) is part of a value.
    let capital = |start: usize| words.get(start).is_some_and(|w| w.starts_with(char::is_uppercase));
    let mut kinds: Vec<(Field, usize)> = Vec::new();
    for hit in hits.iter().filter(|h| capital(h.start)) {
        if let Meaning::Field(field) = hit.meaning
            && field != Field::Ignored
            && kinds.iter().all(|(f, _)| *f != field)
        {
            kinds.push((field, hit.start));
        }
    }
    let named = |h: &&Hit| kinds.len() >= 3 && kinds.iter().any(|(_, start)| *start == h.start);
    let mut cuts: Vec<usize> = hits
        .iter()
        .filter(|h| h.start > 0 && (firm(h.end, h.start) || named(h)))
        .filter_map(|h| cut.owner(h.start))
        .filter(|i| *i > 0)
        .collect();
    if hits.first().is_none_or(|h| h.start > 0) {
        cuts.clear();
    }
    cuts.dedup();
    let mut out = Vec::new();
    let mut from = 0;
    for cut in cuts.into_iter().chain([phrase.tokens.len()]) {
        out.extend(phrase.part(from, cut));
        from = cut;
    }
    out
}

/// Words that make a field's name longer without changing what it asks for.
const NAME_WORDS: &[&str] = &[
    "mark",
    "name",
    "id",
    "code",
    "reference",
    "ref",
    "label",
    "designation",
    "identification",
    "description",
];

/// The field a phrase starts with, the words after it, and whether a colon stands between.
pub fn leading_field(text: &str, context: Context) -> Option<(Field, String, bool)> {
    kept(&LEADING, text, context, || find_leading_field(text, context))
}

thread_local! {
    static LEADING: RefCell<Kept<Option<(Field, String, bool)>>> = RefCell::default();
}

fn find_leading_field(text: &str, context: Context) -> Option<(Field, String, bool)> {
    let words = pieces(text);
    let context = Context { symbols: false, ..context };
    let hit = hits_where(&words, context, &|m| matches!(m, Meaning::Field(_)))
        .into_iter()
        .find(|h| h.start == 0)?;
    let Meaning::Field(field) = hit.meaning else { return None };
    let colon = words.get(hit.end..).unwrap_or_default().iter().take(2).any(|w| w == ":" || w == "=")
        || words.get(hit.end - 1).is_some_and(|w| w == ":");
    // `Sample mark: Rosary`: a word for a name before the colon still belongs to the field's name.
    let name_end = (hit.end..words.len().min(hit.end + 5))
        .find(|i| words.get(*i).is_some_and(|w| w == ":"))
        .filter(|end| {
            let between = words.get(hit.end..*end).unwrap_or_default();
            between.iter().all(|w| NAME_WORDS.contains(&w.to_lowercase().trim_end_matches('.')))
        })
        .unwrap_or(hit.end);
    let colon = colon || name_end > hit.end;
    let rest: Vec<&str> = words
        .get(name_end..)
        .unwrap_or_default()
        .iter()
        .map(String::as_str)
        .skip_while(|w| {
            is_punctuation(w) && *w != "(" && *w != "\""
                || *w == "#"
                || w.eq_ignore_ascii_case("no")
                || w.eq_ignore_ascii_case("no.")
        })
        .collect();
    let mut rest = after_words(text, rest.len());
    if rest.is_empty() && colon {
        rest = String::new();
    }
    Some((field, rest, colon))
}

/// `Report no. HT-24   Sampled 2024-10-03   Reported 2024-10-14`: two or more unlike fields, each with a value that it
/// can have, are a line of a form, also without colons.
pub fn is_form_line<'a>(phrases: impl Iterator<Item = &'a str>, context: Context) -> bool {
    let mut fields: Vec<Field> = phrases
        .filter_map(|text| leading_field(text, context))
        .filter(|(field, rest, _)| {
            !matches!(field, Field::Ignored | Field::SampleLabel)
                && !rest.is_empty()
                && plausible(*field, rest, false)
        })
        .map(|(field, ..)| field)
        .collect();
    fields.dedup();
    fields.len() >= 2
}

/// The last `count` pieces of a text as printed.
fn after_words(text: &str, count: usize) -> String {
    let folded = fold(text);
    if count == 0 {
        return String::new();
    }
    let mut start = folded.len();
    for (i, _) in folded.char_indices().rev() {
        if folded.get(i..).is_some_and(|tail| pieces(tail).len() <= count) {
            start = i;
        } else {
            break;
        }
    }
    folded.get(start..).unwrap_or_default().trim().to_owned()
}

fn phrase_field(
    page: &Layout,
    phrase: &Phrase,
    next: Option<&Phrase>,
    below: &[Phrase],
    alone: bool,
    context: Context,
) -> (Option<FieldValue>, bool) {
    let text = phrase.text();
    let Some((field, rest, colon)) = leading_field(&text, context) else { return (None, false) };
    // `0-8 in` is a depth by itself and names none beside or below it.
    if is_depth(&text) {
        let value =
            FieldValue { field: Field::DepthTop, text, page: page.number, area: phrase.area, firm: false };
        return (Some(value), false);
    }
    let make = |text: String, firm| FieldValue { field, text, page: page.number, area: phrase.area, firm };
    if !rest.is_empty() && !colon && is_place(&text) && field == Field::SampleLabel {
        // `Green 3`, `Block K 1`: the word belongs to the name.
        return (plausible(field, &text, false).then(|| make(text, false)), false);
    }
    if !rest.is_empty() {
        let firm = colon;
        let named = plausible(field, &rest, firm) || firm && field == Field::SampleLabel && is_code(&rest);
        // A name that is none leaves its form unnamed: better than the name of the form before.
        let unread = firm && field == Field::SampleLabel && !is_heading(&rest);
        return match (named, unread) {
            (true, _) => (Some(make(rest, firm)), false),
            (false, true) => (Some(make(String::new(), true)), false),
            _ => (None, false),
        };
    }
    if let Some(next) = next {
        // `Location: B1` is a bed's code, whatever extract goes by that name; alone on its line it is no heading.
        if field == Field::SampleLabel && (colon || alone) && is_code(&next.text()) {
            return (Some(make(next.text(), true)), true);
        }
        let value = next.text();
        let is_field = leading_field(&value, context)
            .is_some_and(|(_, rest, colon)| colon || rest.is_empty())
            && !is_depth(&value);
        if !is_field && plausible(field, &value, true) {
            return (Some(make(value, true)), true);
        }
    }
    let under = below.iter().find(|p| {
        p.area.overlap_x(&phrase.area) > 0.0
            && (p.area.x0 - phrase.area.x0).abs() < 1.5 * page.em
            && p.area.y0 - phrase.area.y1 < if page.cells { 3.0 * page.em } else { page.em }
    });
    let value =
        under.map(Phrase::text).filter(|v| plausible(field, v, true) && leading_field(v, context).is_none());
    (value.map(|v| make(v, true)), false)
}

/// A value that can be what the field asks for.
fn plausible(field: Field, value: &str, firm: bool) -> bool {
    let value = value.trim();
    let first = value.split(' ').next().unwrap_or_default();
    let digits = value.chars().any(|c| c.is_ascii_digit());
    let words = value.split(' ').count();
    match field {
        Field::Report | Field::LabSample => digits && words <= 4,
        Field::SampledOn | Field::ReceivedOn | Field::ReportedOn => {
            words <= 8 && date(value, DayOrder::Unknown).is_some()
        }
        Field::DepthTop | Field::DepthBottom => digits && words <= 8,
        Field::SampleLabel | Field::Client | Field::Lab => {
            !value.is_empty()
                && !is_heading(value)
                && words <= 9
                && (firm || first.chars().next().is_some_and(|c| c.is_uppercase() || c.is_ascii_digit()))
                && !value.ends_with(':')
                && !is_size(value)
        }
        Field::Ignored => true,
    }
}

/// `MAJOR NUTRIENTS (MEHLICH 1)` over a table is the title of its part, and never the name of a sample.
pub fn names_a_part(name: &str) -> bool {
    const PARTS: &[&str] = &[
        "nutrients",
        "macronutrients",
        "micronutrients",
        "elements",
        "cations",
        "tests",
        "results",
        "analysis",
    ];
    name.to_lowercase().split(|c: char| !c.is_alphabetic()).any(|word| PARTS.contains(&word))
}

/// `mg/kg`, `Your`, `Critical`: words of a heading, and never the name of a sample. A code (`P1`) is a name, whatever
/// extract goes by it.
pub fn reads_like_a_heading(name: &str) -> bool {
    const ALONE: &[&str] =
        &["your", "critical", "reporting", "test", "previous", "desired", "normal", "this", "last"];
    let l = super::label::label(name, Context { symbols: false, capitals: false });
    let heading = l.unit.is_some() || l.role.is_some() || l.decoy || l.rating || !l.methods.is_empty();
    let words = pieces(name);
    let asks = |m: &Meaning| matches!(m, Meaning::Role(_) | Meaning::Field(_) | Meaning::Decoy);
    let asked = hits_where(&words, Context { symbols: false, capitals: false }, &asks).len();
    ALONE.contains(&name.to_lowercase().as_str())
        || asked >= 3
        || (heading || l.analyte.is_some()) && l.unknown.is_empty() && !is_code(name)
}

/// True for a name that opens with a word for a place: without a colon the word is part of the name.
pub fn is_place(text: &str) -> bool {
    const PLACES: &[&str] = &[
        "green", "lawn", "plot", "block", "zone", "field", "area", "site", "paddock", "schlag", "parcelle",
        "parcela",
    ];
    text.split(' ').next().is_some_and(|w| PLACES.contains(&w.to_lowercase().as_str())) && text.contains(' ')
}

/// `0-8 in`, `6 inches`: a layer, whatever it names.
fn is_depth(value: &str) -> bool {
    value.starts_with(|c: char| c.is_ascii_digit()) && depth(value, None, true).is_some()
}

/// `Unit`, `Method`, `Optimum range`: the next heading of a table, not a name.
fn is_heading(value: &str) -> bool {
    let l = super::label::label(value, Context { symbols: false, capitals: false });
    l.unknown.is_empty() && (l.role.is_some() || l.decoy || l.analyte.is_some())
}

/// `B1`, `P-2`, `K10x`: letters and a count, as beds and greens are numbered.
fn is_code(value: &str) -> bool {
    static CODE: LazyLock<Option<Regex>> =
        LazyLock::new(|| Regex::new(r"^[A-Z]{1,2}[- ]?\d{1,3}[a-z]?$").ok());
    CODE.as_ref().is_some_and(|r| r.is_match(value.trim()))
}

/// True for a line that names the sample, the client or the report: it says nothing of procedures.
pub fn names_sample(text: &str, context: Context) -> bool {
    leading_field(text, context).is_some_and(|(field, rest, _)| {
        matches!(field, Field::SampleLabel | Field::LabSample | Field::Client | Field::Report)
            && (1..=4).contains(&rest.split(' ').filter(|w| !w.is_empty()).count())
    })
}

/// `6,500 sq ft`, `2.4 acres`: how large, not which.
fn is_size(value: &str) -> bool {
    static SIZE: LazyLock<Option<Regex>> = LazyLock::new(|| {
        Regex::new(r"(?i)^[0-9.,]+ ?(sq\.? ?(ft|feet|m|yd)|square|ft2|m2|acres?|ac\b|ha\b|hectares?)").ok()
    });
    SIZE.as_ref().is_some_and(|r| r.is_match(value))
}

static SAMPLED: LazyLock<Option<Regex>> =
    LazyLock::new(|| Regex::new(r"(?i)\b(?:sampled|taken|took|collected|pulled)(?: on)?:? (.{6,22})").ok());
static RECEIVED: LazyLock<Option<Regex>> =
    LazyLock::new(|| Regex::new(r"(?i)\breceived(?: on)?:? (.{6,22})").ok());
static REPORTED: LazyLock<Option<Regex>> =
    LazyLock::new(|| Regex::new(r"(?i)\breported(?: on)?:? (.{6,22})").ok());
static DEPTH: LazyLock<Option<Regex>> = LazyLock::new(|| {
    Regex::new(r"(?i)(?:depth of |\bto |\bfrom |, )([0-9]+(?:[.,][0-9]+)?(?:\s*(?:-|to)\s*[0-9]+(?:[.,][0-9]+)?)?\s*(?:inches|inch|in\.|cm|centimet\w+))").ok()
});
static SAMPLE_FROM: LazyLock<Option<Regex>> = LazyLock::new(|| {
    Regex::new(r"(?i)\bsoil sample (?:from|of|taken (?:from|in)|named|labell?ed) (?:the |your )?([^(,.;]{2,40}?)(?: \(|,|\.|;| taken| was| to a)").ok()
});
static OUR_NUMBER: LazyLock<Option<Regex>> = LazyLock::new(|| {
    Regex::new(r"(?i)\b(?:our|lab|laboratory) (?:number|no\.?|sample number) ([A-Z]{0,4}[-/ ]?[0-9][\w/-]*)")
        .ok()
});
static REPORT_FOR: LazyLock<Option<Regex>> = LazyLock::new(|| {
    Regex::new(
        r"\b[Rr]eport (?:[Nn]o\.? |[Nn]umber )?([A-Z]{0,5}[-/ ]?[0-9][\w/-]*)(?: for ([A-Z][^,.;]{2,60}))?",
    )
    .ok()
});

/// The day a letter carries on a line of its own, and whom it is written to: a name over a street or over the
/// salutation. Both only where no named field says better.
pub fn letter_head(page: &Layout) -> Vec<FieldValue> {
    static STREET: LazyLock<Option<Regex>> = LazyLock::new(|| {
        Regex::new(r"(?i)^[0-9]+\w? [a-z]|\b(?:road|street|lane|avenue|drive|way|row|steps|close|court|hill|square|rd|st|ave|ln)\.?(?:,|$)|^p\.? ?o\.? box").ok()
    });
    let mut out = Vec::new();
    let lines: Vec<&super::layout::Line> = page.lines.iter().take(14).collect();
    let salutation =
        lines.iter().position(|l| l.phrases.first().is_some_and(|p| p.text().starts_with("Dear ")));
    for (i, line) in lines.iter().enumerate() {
        let [phrase] = line.phrases.as_slice() else { continue };
        let text = phrase.text();
        let words = text.split(' ').count();
        let make = |field| FieldValue {
            field,
            text: text.clone(),
            page: page.number,
            area: phrase.area,
            firm: false,
        };
        // `Date received: 2024-04-22` says which day it is, and it is no letter's.
        let named = leading_field(&text, Context { symbols: false, capitals: false }).is_some();
        // A day under `Date received` is that field's.
        let asked = i
            .checked_sub(1)
            .and_then(|i| lines.get(i)?.phrases.first())
            .and_then(|p| leading_field(&p.text(), Context { symbols: false, capitals: false }))
            .is_some_and(|(_, rest, _)| rest.is_empty());
        if words <= 4 && !asked && !named && date(&text, DayOrder::Unknown).is_some() {
            out.push(make(Field::ReportedOn));
            continue;
        }
        let next = lines.get(i + 1).and_then(|l| l.phrases.first()).map(Phrase::text).unwrap_or_default();
        let name = (2..=6).contains(&words)
            && !text
                .chars()
                .any(|c| c.is_ascii_digit() || matches!(c, ':' | '@' | '.') && !text.starts_with('M'))
            && text.chars().next().is_some_and(char::is_uppercase);
        let over_street = STREET.as_ref().is_some_and(|r| r.is_match(&next));
        let before_salutation = salutation.is_none_or(|s| i < s);
        // The first lines are the laboratory's own name and address.
        let dated_above = out.iter().any(|f: &FieldValue| f.field == Field::ReportedOn);
        if i >= 2
            && name
            && over_street
            && before_salutation
            && (dated_above || salutation.is_some())
            && out.iter().all(|f| f.field != Field::Client)
        {
            out.push(make(Field::Client));
        }
    }
    out
}

/// Fields that stand in sentences.
fn prose(page: u32, phrases: &[Phrase]) -> Vec<FieldValue> {
    let mut out = Vec::new();
    for phrase in phrases {
        let text = phrase.text();
        if text.split(' ').count() < 6 {
            continue;
        }
        let mut add = |field, text: &str| {
            out.push(FieldValue {
                field,
                text: text.trim().to_owned(),
                page,
                area: phrase.area,
                firm: false,
            });
        };
        let first = |r: &LazyLock<Option<Regex>>, group: usize| -> Option<String> {
            r.as_ref()?.captures(&text)?.get(group).map(|m| m.as_str().to_owned())
        };
        for (regex, field) in
            [(&SAMPLED, Field::SampledOn), (&RECEIVED, Field::ReceivedOn), (&REPORTED, Field::ReportedOn)]
        {
            if let Some(found) = first(regex, 1).filter(|t| date(t, DayOrder::Unknown).is_some()) {
                add(field, &found);
            }
        }
        if let Some(found) = first(&DEPTH, 1) {
            add(Field::DepthTop, &found);
        }
        if let Some(found) = first(&SAMPLE_FROM, 1) {
            add(Field::SampleLabel, &found);
        }
        if let Some(found) = first(&OUR_NUMBER, 1) {
            add(Field::LabSample, &found);
        }
        if let Some(found) = first(&REPORT_FOR, 1) {
            add(Field::Report, &found);
        }
        if let Some(found) = first(&REPORT_FOR, 2) {
            add(Field::Client, &found);
        }
    }
    out
}

/// The unit a depth heading names.
pub fn depth_unit(text: &str) -> Option<&'static str> {
    let words: Vec<String> = pieces(text).into_iter().map(|w| w.to_lowercase()).collect();
    let has = |list: &[&str]| words.iter().any(|w| list.contains(&w.trim_end_matches('.')));
    if has(&["cm", "centimetres", "centimeters"]) {
        Some("cm")
    } else if has(&["in", "inch", "inches", "\""]) {
        Some("in")
    } else {
        None
    }
}

static DEPTH_VALUE: LazyLock<Option<Regex>> = LazyLock::new(|| {
    Regex::new(r#"(?i)^[^0-9]{0,12}?([0-9]+(?:[.,][0-9]+)?)\s*("|in\b\.?|inch(?:es)?|cm|mm)?\s*(?:(?:-|to|bis|à|a)\s*([0-9]+(?:[.,][0-9]+)?))?\s*("|in\b|inch|cm|mm|zoll|pouces|pulgadas)?"#).ok()
});

/// A depth; a single number is from the surface down. Without a unit, inches only where the report speaks in them.
pub fn depth(top: &str, bottom: Option<&str>, inches_spoken: bool) -> Option<Depth> {
    let read = |text: &str| -> Option<(f64, Option<f64>, Option<String>)> {
        let folded = fold(text);
        let c = DEPTH_VALUE.as_ref()?.captures(&folded)?;
        let number = |i: usize| c.get(i).and_then(|m| m.as_str().replace(',', ".").parse::<f64>().ok());
        let unit = c.get(4).or(c.get(2)).map(|m| m.as_str().to_lowercase());
        Some((number(1)?, number(3), unit))
    };
    let (first, second, unit) = read(top)?;
    let (from, to, unit) = match bottom.and_then(read) {
        Some((end, _, end_unit)) => (first, end, unit.or(end_unit)),
        None => match second {
            Some(second) => (first, second, unit),
            None => (0.0, first, unit),
        },
    };
    if to <= from || to > 400.0 {
        return None;
    }
    match unit.as_deref() {
        Some("cm") => Some(Depth { top_cm: from, bottom_cm: to }),
        Some("mm") => Some(Depth { top_cm: from / 10.0, bottom_cm: to / 10.0 }),
        Some(_) => Some(Depth::inches(from, to)),
        // `6.8` alone is a value of another column.
        None => {
            let whole = from.fract() == 0.0 && to.fract() == 0.0;
            (inches_spoken && whole).then(|| Depth::inches(from, to))
        }
    }
}

/// A date field's day; the year alone where day and month could be either.
pub fn day(text: &str, order: DayOrder) -> (Option<jiff::civil::Date>, Option<i16>) {
    match date(text, order) {
        Some(PrintedDate::Day(day)) => (Some(day), Some(day.year())),
        Some(PrintedDate::Either(a, b)) => (None, (a.year() == b.year()).then(|| a.year())),
        None => (None, None),
    }
}

/// Words a laboratory's name tends to hold.
const LAB_WORDS: &[&str] = &[
    "lab",
    "labs",
    "laboratory",
    "laboratories",
    "analytical",
    "assay",
    "agronomy",
    "testing",
    "bench",
    "soils",
    "soil",
    "agrolab",
    "labor",
    "laboratoire",
    "laboratorio",
    "diagnostics",
    "analysis",
    "analytics",
    "earth",
    "institute",
    "centre",
    "center",
    "rooms",
    "station",
    "services",
    "house",
    "agricultural",
];
/// Words that mark a line as a title, not a name.
const TITLE_WORDS: &[&str] = &[
    "report",
    "results",
    "result",
    "summary",
    "page",
    "certificate",
    "invoice",
    "analysis of",
    "interpretation",
    "fertility",
    "recommendations",
    "date",
    "client",
    "sample",
    "samples",
];

/// The laboratory's name from the letterhead: among the first lines, the one in the largest type whose words are
/// a name and no title.
pub fn letterhead(page: &Layout) -> Option<String> {
    let mut best: Option<(f32, String)> = None;
    for (i, line) in page.lines.iter().take(6).enumerate() {
        // The first row of a table file is the heading of its columns.
        if page.cells && line.phrases.len() > 4 {
            continue;
        }
        for phrase in &line.phrases {
            let text = phrase.text();
            let lower = text.to_lowercase();
            let words: Vec<&str> = lower.split([' ', ',']).filter(|w| !w.is_empty()).collect();
            if words.is_empty()
                || words.len() > 8
                || text.contains(':')
                || lower.chars().filter(char::is_ascii_digit).count() > 2
            {
                continue;
            }
            // `Lab #` over a column asks for a number.
            let asks = leading_field(&text, Context { symbols: false, capitals: false });
            if asks.is_some_and(|(field, rest, _)| field != Field::Lab && rest.is_empty()) {
                continue;
            }
            let named = words.iter().filter(|w| LAB_WORDS.contains(w)).count();
            let titled = TITLE_WORDS.iter().any(|t| lower.contains(t));
            if titled
                || lower.starts_with("soil test")
                || lower.starts_with("soil analysis")
                || lower == "soil analysis"
            {
                continue;
            }
            let size = phrase.tokens.iter().map(|t| t.size).fold(0.0, f32::max);
            #[allow(clippy::cast_precision_loss)]
            let score = size + if named > 0 { 6.0 } else { 0.0 } - i as f32 * 1.5;
            if (named > 0 || i == 0) && best.as_ref().is_none_or(|(s, _)| score > *s) {
                best = Some((score, text));
            }
        }
    }
    best.map(|(_, text)| text)
}

#[cfg(test)]
mod tests {
    use super::super::layout::{layout, tests::typed};
    use super::*;

    const C: Context = Context { symbols: false, capitals: false };

    fn of(lines: &[&str]) -> Vec<(Field, String)> {
        fields(&layout(&typed(lines)), &[], C).into_iter().map(|f| (f.field, f.text)).collect()
    }

    #[test]
    fn a_line_of_unlike_fields_is_a_forms_line_and_a_row_of_one_field_is_none() {
        let context = Context { symbols: false, capitals: false };
        let form = |phrases: &[&str]| is_form_line(phrases.iter().copied(), context);
        assert!(form(&["Report no. HT-24", "Sampled 2024-10-03", "Reported 2024-10-14"]));
        assert!(!form(&["Lab no. 184916/1", "Lab no. 184916/2"]));
        assert!(!form(&["Sample", "Bay 1", "Bay 2"]));
    }

    #[test]
    fn pairs_with_and_without_colons() {
        let found = of(&[
            "Client:   Tollgate Bowls Club     Report no.:   HV-3061",
            "Sampled:  04/17/2017         Depth:  0 - 6 in",
        ]);
        assert!(found.contains(&(Field::Client, "Tollgate Bowls Club".to_owned())), "{found:?}");
        assert!(found.contains(&(Field::Report, "HV-3061".to_owned())), "{found:?}");
        assert!(found.contains(&(Field::SampledOn, "04/17/2017".to_owned())), "{found:?}");
        assert!(found.contains(&(Field::DepthTop, "0 - 6 in".to_owned())), "{found:?}");
        let found = of(&["Client Tollgate Bowls Club Sample Green 7 Lab no. 55120 Depth 0-4 in"]);
        assert!(found.contains(&(Field::Client, "Tollgate Bowls Club".to_owned())), "{found:?}");
        assert!(found.contains(&(Field::SampleLabel, "Green 7".to_owned())), "{found:?}");
        assert_eq!(of(&["Sample mark: Rink 7"]), [(Field::SampleLabel, "Rink 7".to_owned())]);
        assert!(of(&["Area (sq ft): 5200"]).iter().all(|(f, t)| *f != Field::SampleLabel || t != "5200"));
        assert_eq!(of(&["Sample Green 1"]), [(Field::SampleLabel, "Green 1".to_owned())]);
    }

    #[test]
    fn prose_tells_sample_number_day_and_depth() {
        let found = of(&[
            "Thank you for the soil sample from Lower paddock (our number QX407), taken on October 15, 2018",
        ]);
        assert!(found.contains(&(Field::SampleLabel, "Lower paddock".to_owned())), "{found:?}");
        assert!(found.contains(&(Field::LabSample, "QX407".to_owned())), "{found:?}");
    }

    #[test]
    fn depths_in_inches_and_centimetres() {
        assert_eq!(depth("0 - 6 in", None, false), Some(Depth::inches(0.0, 6.0)));
        assert_eq!(depth("4 inches", None, false), Some(Depth::inches(0.0, 4.0)));
        assert_eq!(depth("0 to 7 inches", None, false), Some(Depth::inches(0.0, 7.0)));
        assert_eq!(depth("0-15 cm", None, false), Some(Depth { top_cm: 0.0, bottom_cm: 15.0 }));
        assert_eq!(depth("6-24\"", None, false), Some(Depth::inches(6.0, 24.0)));
        assert_eq!(depth("0-6", None, false), None);
        assert_eq!(depth("0 in", Some("6 in"), false), Some(Depth::inches(0.0, 6.0)));
    }

    #[test]
    fn a_code_is_a_name_though_an_extract_is_called_so() {
        for code in ["B1", "P1", "P2", "K10x"] {
            assert_eq!(of(&[&format!("Location:   {code}")]), [(Field::SampleLabel, code.to_owned())]);
            assert_eq!(of(&[&format!("Location: {code}")]), [(Field::SampleLabel, code.to_owned())]);
        }
        assert!(names_sample("Area Sampled  B1", C));
        assert!(!names_sample("Phosphorus by Bray P1", C));
    }
}
