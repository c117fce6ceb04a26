//! The fields that a letter tells in its sentences.

use super::super::date::{DayOrder, date};
use super::super::label::year_of;
use super::super::layout::{Layout, Line, Phrase};
use super::super::vocabulary::{Context, Field};
use super::plausible::{is_depth, plausible};
use super::{FieldValue, leading_field};
use regex::Regex;
use std::sync::LazyLock;

pub static SAMPLED: LazyLock<Option<Regex>> =
    LazyLock::new(|| Regex::new(r"(?i)\b(?:sampled|taken|took|collected|pulled)(?: on)?:? (.{6,22})").ok());

pub static RECEIVED: LazyLock<Option<Regex>> =
    LazyLock::new(|| Regex::new(r"(?i)\breceived(?: on)?:? (.{6,22})").ok());

pub static REPORTED: LazyLock<Option<Regex>> =
    LazyLock::new(|| Regex::new(r"(?i)\breported(?: on)?:? (.{6,22})").ok());

pub static DEPTH: LazyLock<Option<Regex>> = LazyLock::new(|| {
    Regex::new(r"(?i)(?:depth of |\bto |\bfrom |, )([0-9]+(?:[.,][0-9]+)?(?:\s*(?:-|to)\s*[0-9]+(?:[.,][0-9]+)?)?\s*(?:inches|inch|in\.|cm|centimet\w+))").ok()
});

pub static SAMPLE_FROM: LazyLock<Option<Regex>> = LazyLock::new(|| {
    Regex::new(r"(?i)\bsoil sample (?:from|of|taken (?:from|in)|named|labell?ed) (?:the |your )?([^(,.;]{2,40}?)(?: \(|,|\.|;| taken| was| to a)").ok()
});

/// `your sample "Herb beds, side yard"`: in quotation marks a name ends where these do.
static QUOTED: LazyLock<Option<Regex>> = LazyLock::new(|| {
    Regex::new(
        r#"(?i)\b(?:your|soil|the) sample,? (?:called |named |labell?ed |marked )?["“]([^"“”]{2,60})["”]"#,
    )
    .ok()
});

pub static OUR_NUMBER: LazyLock<Option<Regex>> = LazyLock::new(|| {
    Regex::new(r"(?i)\b(?:our|lab|laboratory) (?:number|no\.?|sample number) ([A-Z]{0,4}[-/ ]?[0-9][\w/-]*)")
        .ok()
});

pub static REPORT_FOR: LazyLock<Option<Regex>> = LazyLock::new(|| {
    Regex::new(
        r"\b[Rr]eport (?:[Nn]o\.? |[Nn]umber )?([A-Z]{0,5}[-/ ]?[0-9][\w/-]*)(?: for ([A-Z][^,.;]{2,60}))?",
    )
    .ok()
});

/// `Rose bed (lab no. 7719).` before what was found there.
static LEAD_IN: LazyLock<Option<Regex>> = LazyLock::new(|| {
    Regex::new(r"^([A-Z0-9][^(.:;]{1,40}) \((?i:our|lab|laboratory)(?i: sample)? (?i:no\.?|number|ref\.?|#) ?([A-Z]{0,4}[-/ ]?[0-9][\w/-]*)\)[.:]").ok()
});

/// `Soil report HT-88: Far paddock, 0-15 cm, taken 3 May 2024`.
static SUBJECT: LazyLock<Option<Regex>> = LazyLock::new(|| {
    Regex::new(r"(?i)\breport (?:no\.? |number )?[A-Z]{0,5}[-/ ]?[0-9][\w/-]*: (.{3,90})$").ok()
});

/// `Results for report HT-88, client Hob Mill Trust, sampled ...`.
static CLIENT: LazyLock<Option<Regex>> =
    LazyLock::new(|| Regex::new(r"\b[Cc]lient ([A-Z][^,.;:]{2,60})[,.;]").ok());

/// `taken on May 3 (0-4 in)`.
static LAYER: LazyLock<Option<Regex>> = LazyLock::new(|| {
    Regex::new(
        r"(?i)\(([0-9]+(?:[.,][0-9]+)?\s*(?:-|to)\s*[0-9]+(?:[.,][0-9]+)?\s*(?:inches|inch|in\.?|cm))\)",
    )
    .ok()
});

/// The sample in the subject of a letter, where nothing but its layer and its day stand behind it.
fn of_subject(text: &str) -> Option<String> {
    let rest = SUBJECT.as_ref()?.captures(text)?.get(1)?.as_str();
    let mut parts = rest.split(',').map(str::trim);
    let name = parts.next().filter(|name| plausible(Field::SampleLabel, name, false))?;
    let mut others = parts.filter(|p| year_of(p).is_none()).peekable();
    others.peek()?;
    let told = |part: &str| {
        let day = part.split_once(' ').map_or(part, |(_, rest)| rest);
        is_depth(part) || [part, day].iter().any(|d| date(d, DayOrder::Unknown).is_some())
    };
    others.all(told).then(|| name.to_owned())
}

/// The day a letter carries on a line of its own, and whom it is written to: a name over a street or over the
/// salutation. Both only where no named field says better.
pub fn letter_head(page: &Layout) -> Vec<FieldValue> {
    static STREET: LazyLock<Option<Regex>> = LazyLock::new(|| {
        Regex::new(r"(?i)^[0-9]+\w? [a-z]|\b(?:road|street|lane|avenue|drive|way|row|steps|close|court|hill|square|rd|st|ave|ln)\.?(?:,|$)|^p\.? ?o\.? box").ok()
    });
    let mut out = Vec::new();
    let lines: Vec<&Line> = page.lines.iter().take(14).collect();
    let salutation =
        lines.iter().position(|l| l.phrases.first().is_some_and(|p| p.text().starts_with("Dear ")));
    for (i, line) in lines.iter().enumerate() {
        // The day may stand at the other edge of the first line of the address.
        let day = |p: &&Phrase| date(&p.text(), DayOrder::Unknown).is_some();
        let (phrase, beside) = match line.phrases.as_slice() {
            [phrase] => (phrase, None),
            [phrase, other] if day(&other) && !day(&phrase) => (phrase, Some(other)),
            _ => continue,
        };
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
        // `Pulled: 3 May 2023` tells what was done that day, whether it is known or not.
        let named = named || text.contains(':');
        if beside.is_none() && words <= 4 && !asked && !named && date(&text, DayOrder::Unknown).is_some() {
            out.push(make(Field::ReportedOn));
            continue;
        }
        let next = lines.get(i + 1).and_then(|l| l.phrases.first()).map(Phrase::text).unwrap_or_default();
        let name = (2..=6).contains(&words)
            && !text
                .chars()
                .any(|c| c.is_ascii_digit() || matches!(c, ':' | '@' | '.') && !text.starts_with('M'))
            && text.chars().next().is_some_and(char::is_uppercase);
        // `Dear Mrs Moss,` under an address that opens with `Mrs A. Moss`.
        let surname =
            |text: &str| text.trim_end_matches([',', ':']).rsplit(' ').next().map(str::to_lowercase);
        let greeted = salutation
            .and_then(|s| lines.get(s)?.phrases.first())
            .is_some_and(|p| surname(&p.text()) == surname(&text) && p.text().contains(' '));
        let over_street = greeted || STREET.as_ref().is_some_and(|r| r.is_match(&next));
        let before_salutation = salutation.is_none_or(|s| i < s);
        // The first lines are the laboratory's own name and address.
        let dated_above = out.iter().any(|f: &FieldValue| f.field == Field::ReportedOn);
        if i >= 2
            && name
            && over_street
            && before_salutation
            && (dated_above || beside.is_some() || salutation.is_some())
            && out.iter().all(|f| f.field != Field::Client)
        {
            out.push(make(Field::Client));
            if let Some(other) = beside.filter(|p| p.text().split(' ').count() <= 4 && !named) {
                out.push(FieldValue { text: other.text(), area: other.area, ..make(Field::ReportedOn) });
            }
        }
    }
    out
}

/// Fields that stand in sentences.
pub fn prose(page: u32, phrases: &[Phrase]) -> Vec<FieldValue> {
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
        if let Some(found) = first(&DEPTH, 1).or_else(|| first(&LAYER, 1)) {
            add(Field::DepthTop, &found);
        }
        if let Some(found) = first(&QUOTED, 1).or_else(|| first(&SAMPLE_FROM, 1)) {
            add(Field::SampleLabel, &found);
        }
        if let Some(found) = first(&OUR_NUMBER, 1) {
            add(Field::LabSample, &found);
        }
        if let Some(found) = first(&REPORT_FOR, 1) {
            add(Field::Report, &found);
        }
        if let Some(found) = first(&REPORT_FOR, 2).or_else(|| first(&CLIENT, 1)) {
            add(Field::Client, &found);
        }
        if let Some(found) = first(&LEAD_IN, 1).or_else(|| of_subject(&text)) {
            add(Field::SampleLabel, &found);
        }
    }
    out
}
