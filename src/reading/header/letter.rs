//! The fields that a letter tells in its sentences.

use super::super::date::{DayOrder, date};
use super::super::kept::{Kept, kept_of_kind};
use super::super::label::year_of;
use super::super::layout::{Layout, Line, Phrase};
use super::super::vocabulary::{Context, Field};
use super::super::words::List;
use super::head_line::head_line;
use super::person::is_people;
use super::plausible::{is_depth, plausible};
use super::strip::is_name;
use super::whose::is_party;
use super::{FieldValue, leading_field};
use crate::place::Rect;
use regex::Regex;
use std::cell::RefCell;
use std::sync::LazyLock;

pub static SAMPLED: LazyLock<Option<Regex>> =
    LazyLock::new(|| Regex::new(r"(?i)\b(?:sampled|taken|took|collected|pulled)(?: on)?:? (.{6,22})").ok());

pub static RECEIVED: LazyLock<Option<Regex>> =
    LazyLock::new(|| Regex::new(r"(?i)\b(?:received|came in|arrived|reached us)(?: on)?:? (.{6,22})").ok());

pub static REPORTED: LazyLock<Option<Regex>> = LazyLock::new(|| {
    Regex::new(r"(?i)\b(?:reported|report (?:is|was) (?:written|issued|completed|printed|made)|issued|mailed)(?: on)?:? (.{6,22})").ok()
});

pub static DEPTH: LazyLock<Option<Regex>> = LazyLock::new(|| {
    Regex::new(r"(?i)(?:depth of |\bto |\bfrom |, )([0-9]+(?:[.,][0-9]+)?(?:\s*(?:-|to)\s*[0-9]+(?:[.,][0-9]+)?)?\s*(?:inches|inch|in\.|cm|centimet\w+))").ok()
});

pub static SAMPLE_FROM: LazyLock<Option<Regex>> = LazyLock::new(|| {
    Regex::new(r"(?i)\bsoil sample (?:from|of|taken (?:from|in)|named|labell?ed) (?:the |your )?([^(,.;]{2,40}?)(?: \(|,|\.|;| taken| was| to a)").ok()
});

/// `your sample "Herb beds, side yard"`: in quotation marks a name ends where these do.
static QUOTED: LazyLock<Option<Regex>> = LazyLock::new(|| {
    Regex::new(
        r#"(?i)(?:\b(?:your|soil|the) |, )sample,? (?:(?:that |which )?you )?(?:called |named |labell?ed |marked )?(?:as )?["“]([^"“”]{2,60})["”]"#,
    )
    .ok()
});

/// `the sample you called Raised beds (our number 3307)`, `the sample that you labelled "Raised beds"`.
static CALLED: LazyLock<Option<Regex>> = LazyLock::new(|| {
    Regex::new(
        r#"(?i)\bsample,? (?:that |which )?you (?:have )?(?:called|named|labell?ed|marked)(?: as)? ["“]?([^"“”(,.;:]{2,40}?)["”]?(?: \(|,|\.|;| taken| was| is| has| which| from)"#,
    )
    .ok()
});

/// `here are the results of Back lawn.`: where the name is one of ground.
static RESULTS_OF: LazyLock<Option<Regex>> = LazyLock::new(|| {
    Regex::new(r"\b(?:[Rr]esults?|[Rr]eport) (?:of|for|from) (?:the |your )?(\p{Lu}[^(,.;:]{2,40}?)(?: \(|,|\.|;| is | are | was | were | show|$)").ok()
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

/// `Report HT-88 for A. Quern received May 2, 2023`: whose it is, up to a word for what was done on a day.
static REPORT_FOR_UNTIL: LazyLock<Option<Regex>> = LazyLock::new(|| {
    Regex::new(
        r"\b[Rr]eport (?:[Nn]o\.? |[Nn]umber )?[A-Z]{0,5}[-/ ]?[0-9][\w/-]* for ((?:[A-Z]\. ?)*[A-Z][^,.;:]{2,60}?) (?:received|reported|sampled|mailed|issued|dated)\b",
    )
    .ok()
});

/// `Here are the numbers for Moss Estate (our report HT/88, ...`: whose they are, before the number of the report in
/// brackets.
static BEFORE_OUR_REPORT: LazyLock<Option<Regex>> = LazyLock::new(|| {
    Regex::new(
        r"\b(?:[Rr]esults|[Nn]umbers|[Ff]igures|[Rr]eadings|[Aa]nalys[ie]s) (?:for|of) (?:the )?(\p{Lu}[^,.;:()]{2,60}) \((?:our|your) (?:report|reference|ref\.?|job|order|batch)(?: no\.?| number)? ([A-Z]{0,5}[-/ ]?[0-9][\w/-]*)",
    )
    .ok()
});

/// `Extract NS-R4-118 for Moss Trust, Hobside; issued 2018-12-03`: a semicolon and a day end whose it is.
static FOR_ISSUED: LazyLock<Option<Regex>> = LazyLock::new(|| {
    Regex::new(
        r"^(?:[Rr]eport|[Ee]xtract|[Ee]xport|[Bb]atch|[Jj]ob|[Oo]rder) ((?:[A-Z0-9]+[-/ ]?)*[0-9][\w/-]*) for ([A-Z][^;.]{2,60}); (?:issued|reported|released) (.{6,22})$",
    )
    .ok()
});

/// `Op 8 maart 2021 ontvingen wij uw monsters`: the day before what was done on it.
static DAY_BEFORE: LazyLock<Option<Regex>> = LazyLock::new(|| {
    Regex::new(r"(?i)\b(?:op|am|on) (.{6,22}?),? (?:ontvingen wij|erhielten wir|we received)\b").ok()
});

/// `Rose bed (lab no. 7719).` before what was found there.
static LEAD_IN: LazyLock<Option<Regex>> = LazyLock::new(|| {
    Regex::new(r"^([A-Z0-9][^(.:;]{1,40}) \((?i:our|lab|laboratory)(?i: sample)? (?i:no\.?|number|ref\.?|#) ?([A-Z]{0,4}[-/ ]?[0-9][\w/-]*)\)[.:]").ok()
});

/// `Soil report HT-88: Far paddock, 0-15 cm, taken 3 May 2024`.
static SUBJECT: LazyLock<Option<Regex>> = LazyLock::new(|| {
    Regex::new(r"(?i)\breport (?:no\.? |number )?[A-Z]{0,5}[-/ ]?[0-9][\w/-]*: (.{3,90})$").ok()
});

/// `Results for report HT-88, client Hob Mill Trust, sampled ...`, `They are finished. Client: Hob Mill Trust. Report: 88.`
static CLIENT: LazyLock<Option<Regex>> =
    LazyLock::new(|| Regex::new(r"\b[Cc]lient:? ([A-Z][^,.;:)]{2,60})[,.;)]").ok());

/// `For Hob Ridge Cooperative. Nitrate by KCl; ...`: the first sentence of a text is nothing but whose it is.
static FOR_FIRST: LazyLock<Option<Regex>> =
    LazyLock::new(|| Regex::new(r"^For (?:the )?(\p{Lu}[^,.;:0-9]{2,60})\. \p{Lu}").ok());

/// `was issued on 26 February 2024 to Moss Growers for five soils`: whom a report went to.
static ISSUED_TO: LazyLock<Option<Regex>> = LazyLock::new(|| {
    Regex::new(
        r"\b[Rr]eport\b[^.;]*? (?:was|is) (?:issued|sent|made|written)(?: on .{6,22}?)? to (?:the )?(\p{Lu}[^,.;:()]{2,60}?) (?:for|on|about|covering)\b",
    )
    .ok()
});

/// `Mrs` of `Client: Mrs. A. Quern`: a title cut short ends with a point of its own, and the name goes on.
fn is_cut_short(name: &str) -> bool {
    name.rsplit(' ').next().is_some_and(|last| List::Courtesy.has(&last.to_lowercase()))
}

/// `taken on May 3 (0-4 in)`.
static LAYER: LazyLock<Option<Regex>> = LazyLock::new(|| {
    Regex::new(
        r"(?i)\(([0-9]+(?:[.,][0-9]+)?\s*(?:-|to)\s*[0-9]+(?:[.,][0-9]+)?\s*(?:inches|inch|in\.?|cm))\)",
    )
    .ok()
});

/// `Depth 0-7.5 cm. P by Olsen.`, `TOPSOIL 0-20 cm. Cations: ...`: a layer that is a sentence of its own.
static OWN_SENTENCE: LazyLock<Option<Regex>> = LazyLock::new(|| {
    Regex::new(
        r"(?i)(?:^|[.;] )(?:(?:(?:sampl(?:e|ed|ing)|soil|core) )?(?:depth|layer)|topsoils?|subsoils?):? ([0-9]+(?:[.,][0-9]+)?\s*(?:-|–|to)\s*[0-9]+(?:[.,][0-9]+)?\s*(?:inches|inch|in|cm|mm))\b(?: throughout| \(all(?: samples)?\)| (?:for|of|in) all(?: samples)?)?(?:[.;]|,? ?$)",
    )
    .ok()
});

/// A layer anywhere in a text.
static ANY_LAYER: LazyLock<Option<Regex>> = LazyLock::new(|| {
    Regex::new(r"(?i)[0-9]\s*(?:-|–|to)\s*[0-9]+(?:[.,][0-9]+)?\s*(?:inches|inch|in|cm|mm)\b").ok()
});

/// The layer that a sentence of its own tells, where the text tells of no other.
fn layer_of_a_sentence(text: &str) -> Option<(String, std::ops::Range<usize>)> {
    let captures = OWN_SENTENCE.as_ref()?.captures(text)?;
    let (whole, layer) = (captures.get(0)?, captures.get(1)?);
    let one = ANY_LAYER.as_ref()?.find_iter(text).count() == 1;
    one.then(|| (layer.as_str().to_owned(), whole.start()..layer.end()))
}

/// True where one of a few words is one for a piece of ground.
fn holds_ground(name: &str) -> bool {
    let ground = |w: &str| {
        let w = w.to_lowercase();
        List::Ground.has(&w) || List::Place.has(&w) || List::AskedPlace.has(&w)
    };
    (2..=5).contains(&name.split(' ').count()) && name.split(' ').any(ground)
}

/// The sample in the subject of a letter, where nothing but its layer and its day stand behind it.
fn of_subject(text: &str) -> Option<String> {
    let rest = SUBJECT.as_ref()?.captures(text)?.get(1)?.as_str();
    let mut parts = rest.split(',').map(str::trim);
    let name = parts.next().filter(|name| plausible(Field::SampleLabel, name, false))?;
    let mut others = parts.filter(|p| year_of(p).is_none()).peekable();
    // Without either the name is ground's: `Soil report HT-88: Allotment plot 14`.
    others.peek().is_some().then_some(()).or_else(|| holds_ground(name).then_some(()))?;
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
        let day = |p: &&Phrase| date(p.text(), DayOrder::Unknown).is_some();
        let (phrase, beside) = match line.phrases.as_slice() {
            [phrase] => (phrase, None),
            [phrase, other] if day(&other) && !day(&phrase) => (phrase, Some(other)),
            _ => continue,
        };
        let text = phrase.text();
        let words = text.split(' ').count();
        let make = |field| FieldValue {
            field,
            text: text.to_owned(),
            page: page.number,
            area: phrase.area,
            firm: false,
        };
        // `Date received: 2024-04-22` says which day it is, and it is no letter's.
        let named = leading_field(text, Context { symbols: false, capitals: false }).is_some();
        // A day under `Date received` is that field's.
        let asked = i
            .checked_sub(1)
            .and_then(|i| lines.get(i)?.phrases.first())
            .and_then(|p| leading_field(p.text(), Context { symbols: false, capitals: false }))
            .is_some_and(|(_, rest, _)| rest.is_empty());
        // `Pulled: 3 May 2023` tells what was done that day, whether it is known or not.
        let named = named || text.contains(':');
        // A day that runs into the lines above and below stands in a cell between them.
        let level = |l: &&&Line| l.area.overlap_y(&phrase.area) > 0.2 * phrase.area.height();
        let named = named || lines.iter().filter(level).count() > 1;
        if beside.is_none() && words <= 4 && !asked && !named && date(text, DayOrder::Unknown).is_some() {
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
        let greeted = salutation.and_then(|s| lines.get(s)?.phrases.first()).is_some_and(|p| {
            p.text().contains(' ') && (surname(p.text()) == surname(text) || by_first_name(p.text(), text))
        });
        let over_street = greeted || STREET.as_ref().is_some_and(|r| r.is_match(next));
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
                out.push(FieldValue {
                    text: other.text().to_owned(),
                    area: other.area,
                    ..make(Field::ReportedOn)
                });
            }
        }
    }
    out
}

/// `Dear Ada,` under an address that opens with `Ms Ada Quern`: a first name alone, of somebody named with a title.
fn by_first_name(salutation: &str, name: &str) -> bool {
    let greeted = salutation.trim_start_matches("Dear ").trim_end_matches([',', ':']);
    let words: Vec<&str> = name.split(' ').collect();
    let titled = |w: &str| List::Courtesy.has(&w.trim_end_matches('.').to_lowercase());
    let plain = |w: &str| w.chars().all(|c| c.is_alphabetic() || matches!(c, '\'' | '’' | '-'));
    matches!(words.as_slice(), [title, first, last]
        if titled(title) && *first == greeted && plain(last) && last.starts_with(char::is_uppercase))
}

/// A field told in a sentence: its text, and where in the sentence what tells it begins and ends, in bytes.
#[derive(Clone)]
struct Told {
    field: Field,
    text: String,
    at: std::ops::Range<usize>,
}

thread_local! {
    static TOLD: RefCell<Kept<Vec<Told>>> = RefCell::default();
}

/// The fields that a text of sentences tells.
fn told(text: &str) -> Vec<Told> {
    kept_of_kind(&TOLD, text, 0, || find_told(text))
}

fn find_told(text: &str) -> Vec<Told> {
    let mut out = Vec::new();
    let first = |r: &LazyLock<Option<Regex>>, group: usize| -> Option<(String, std::ops::Range<usize>)> {
        let captures = r.as_ref()?.captures(text)?;
        let part = captures.get(group)?;
        Some((part.as_str().trim().to_owned(), captures.get(0)?.start()..part.end()))
    };
    let mut add = |field, found: Option<(String, std::ops::Range<usize>)>| {
        out.extend(found.map(|(text, at)| Told { field, text, at }));
    };
    for (regex, field) in
        [(&SAMPLED, Field::SampledOn), (&RECEIVED, Field::ReceivedOn), (&REPORTED, Field::ReportedOn)]
    {
        add(field, first(regex, 1).filter(|(t, _)| date(t, DayOrder::Unknown).is_some()));
    }
    add(Field::DepthTop, first(&DEPTH, 1).or_else(|| first(&LAYER, 1)).or_else(|| layer_of_a_sentence(text)));
    let named = first(&QUOTED, 1).or_else(|| first(&CALLED, 1)).or_else(|| first(&SAMPLE_FROM, 1));
    add(Field::SampleLabel, named.or_else(|| first(&RESULTS_OF, 1).filter(|(name, _)| is_ground(name))));
    add(Field::LabSample, first(&OUR_NUMBER, 1));
    add(Field::Report, first(&REPORT_FOR, 1));
    let ours = first(&BEFORE_OUR_REPORT, 1).filter(|(name, _)| is_party_of_a_report(name));
    // The number that tells it may stand on the next line.
    let number = first(&BEFORE_OUR_REPORT, 2).map(|(_, at)| at);
    let ours = ours.map(|(name, at)| (name, number.unwrap_or(at)));
    if ours.is_some() {
        add(Field::Report, first(&BEFORE_OUR_REPORT, 2));
        add(Field::Client, ours);
    }
    let whose =
        first(&FOR_ISSUED, 2).or_else(|| first(&REPORT_FOR_UNTIL, 1)).or_else(|| first(&REPORT_FOR, 2));
    let whose = whose.map(|(name, at)| (before_a_verb(&name).to_owned(), at));
    let over = head_line(text);
    add(Field::ReportedOn, over.as_ref().map(|h| (h.day.clone(), h.at.clone())));
    let opens = first(&FOR_FIRST, 1).filter(|(name, _)| is_people(name) && is_name(name));
    let whose = whose.or(opens).or_else(|| over.and_then(|h| Some((h.client?, h.at))));
    // `(No. 7/24)` ends a sentence for the eye of a pattern only.
    let unbroken = text.replace("No. ", "No ");
    let sent =
        ISSUED_TO.as_ref().and_then(|r| r.captures(&unbroken)?.get(1).map(|m| m.as_str().trim().to_owned()));
    let whose = whose.or_else(|| sent.filter(|name| names_two(name)).map(|name| (name, 0..text.len())));
    add(Field::Client, whose.or_else(|| first(&CLIENT, 1).filter(|(name, _)| !is_cut_short(name))));
    add(Field::ReceivedOn, first(&DAY_BEFORE, 1).filter(|(t, _)| date(t, DayOrder::Unknown).is_some()));
    add(
        Field::SampleLabel,
        first(&LEAD_IN, 1).or_else(|| of_subject(text).map(|name| (name, 0..text.len()))),
    );
    out
}

/// Two words or more with capitals.
fn names_two(name: &str) -> bool {
    name.split(' ').filter(|w| w.starts_with(char::is_uppercase)).count() > 1
}

/// `Moss Trust are below`: a sentence goes on behind whose the report is.
fn before_a_verb(name: &str) -> &str {
    let verb = |w: &str| matches!(w, "is" | "are" | "was" | "were" | "has" | "have" | "follow" | "follows");
    let at = name
        .match_indices(' ')
        .find(|(at, _)| name.get(at + 1..).and_then(|rest| rest.split(' ').next()).is_some_and(verb));
    at.and_then(|(at, _)| name.get(..at)).unwrap_or(name)
}

/// Two words or more with one for a firm, or for whoever owns the ground, last; no piece of ground and no figure.
fn is_party_of_a_report(name: &str) -> bool {
    let last = name.rsplit(' ').next().unwrap_or_default().to_lowercase();
    is_people(name) || is_party(name) && List::AskedParty.has(&last)
}

/// A shorter text is no sentence.
const SENTENCE: usize = 6;

/// Fields that stand in sentences.
pub fn prose(page: u32, phrases: &[Phrase]) -> Vec<FieldValue> {
    let sentences = phrases.iter().filter(|p| p.text().split(' ').count() >= SENTENCE);
    let told = sentences.flat_map(|p| told(p.text()).into_iter().map(|t| (p.area, t)));
    told.map(|(area, t)| FieldValue { field: t.field, text: t.text, page, area, firm: false }).collect()
}

/// How close, in ems, the lines of a paragraph follow each other.
const TIGHT: f32 = 0.8;

/// Fields that a paragraph tells over the end of a line: `... for the sample you called Raised` `beds (our number 3307)`.
pub fn goes_on(page: &Layout, taken: &[bool]) -> Vec<FieldValue> {
    let mut out = Vec::new();
    let mut paragraph: Vec<&Phrase> = Vec::new();
    for (i, line) in page.lines.iter().enumerate() {
        let alone = match line.phrases.as_slice() {
            [phrase] if !page.cells && taken.get(i) != Some(&true) => Some(phrase),
            _ => None,
        };
        let follows = alone.zip(paragraph.last()).is_some_and(|(own, above)| {
            (own.area.x0 - above.area.x0).abs() < 0.5 * page.em
                && own.area.y0 - above.area.y1 < TIGHT * page.em
                && above.text().split(' ').count() >= SENTENCE
        });
        if !follows {
            out.extend(over_lines(page.number, &std::mem::take(&mut paragraph)));
        }
        paragraph.extend(alone);
    }
    out.extend(over_lines(page.number, &paragraph));
    out
}

/// What the lines of a paragraph tell together and none of them alone.
fn over_lines(page: u32, lines: &[&Phrase]) -> Vec<FieldValue> {
    let mut text = String::new();
    // Where each line ends.
    let mut ends: Vec<(usize, Rect)> = Vec::new();
    for line in lines {
        if !text.is_empty() {
            text.push(' ');
        }
        text.push_str(line.text());
        ends.push((text.len(), line.area));
    }
    if lines.len() < 2 {
        return Vec::new();
    }
    let whole = |t: &Told| ends.iter().any(|(end, _)| t.at.start < *end && *end < t.at.end);
    let area = |t: &Told| ends.iter().find(|(end, _)| t.at.start < *end).map(|(_, area)| *area);
    told(&text)
        .into_iter()
        .filter(whole)
        .filter_map(|t| Some(FieldValue { field: t.field, area: area(&t)?, text: t.text, page, firm: false }))
        .collect()
}

/// `Back lawn`: a name of its own that ends in a word for ground.
pub(super) fn is_ground(name: &str) -> bool {
    let last = name.rsplit(' ').next().unwrap_or_default().to_lowercase();
    name.contains(' ')
        && (List::Ground.has(&last) || List::Place.has(&last) || List::AskedPlace.has(&last))
        && plausible(Field::SampleLabel, name, false)
}

#[cfg(test)]
mod tests {
    use super::super::super::layout::layout;
    use super::super::super::layout::tests::typed;
    use super::super::super::rewrap::tests::set;
    use super::*;

    fn of(lines: &[&str]) -> Vec<(Field, String)> {
        let page = layout(&typed(lines));
        super::super::fields(&page, &[], Context { symbols: false, capitals: false })
            .into_iter()
            .map(|f| (f.field, f.text))
            .collect()
    }

    #[test]
    fn a_client_is_told_among_other_sentences() {
        let client = |text: &str| {
            let found = of(&[text]);
            found.into_iter().find(|(f, _)| *f == Field::Client).map(|(_, text)| text)
        };
        let text =
            "The soils you sent are finished. Client: Hob Mill Golf Club. Report: HT-88. Sampled 3 May 2023.";
        assert_eq!(client(text).as_deref(), Some("Hob Mill Golf Club"));
        assert_eq!(client("The soils you sent are finished. Client: Mrs. Ada Quern. Report: HT-88."), None);
    }

    #[test]
    fn a_sentence_names_the_sample_and_goes_on_over_the_end_of_its_line() {
        let found = of(&[
            "Thank you for sending us your soil. This is the result for the sample you called Raised beds (our number",
            "3307, report W-3307). It was taken from your garden.",
        ]);
        let pair = |field, text: &str| found.contains(&(field, text.to_owned()));
        assert!(pair(Field::SampleLabel, "Raised beds"), "{found:?}");
        assert!(pair(Field::LabSample, "3307") && pair(Field::Report, "W-3307"), "{found:?}");
        let found = of(&[
            "We have looked with care at the soil of the sample that you labelled Long",
            "border, and it lacks nothing that a rose would miss in any year.",
        ]);
        assert!(found.contains(&(Field::SampleLabel, "Long border".to_owned())), "{found:?}");
        let found = of(&["We tested the sample you marked \"Rose beds\" and these are the results."]);
        assert!(found.contains(&(Field::SampleLabel, "Rose beds".to_owned())), "{found:?}");
        let found = of(&["For the sample you sent, which was dry, we ask that you take another."]);
        assert!(found.iter().all(|(f, _)| *f != Field::SampleLabel), "{found:?}");
    }

    #[test]
    fn a_day_in_a_cell_between_two_lines_is_no_letters() {
        let days = |lines: &[(f32, &str)]| {
            letter_head(&layout(&set(lines))).iter().filter(|f| f.field == Field::ReportedOn).count()
        };
        let cell = [(100.0, "Date of"), (106.5, "                 29-05-2021"), (113.0, "sampling")];
        assert_eq!((days(&cell), days(&[(100.0, "Hob Mill"), (113.0, "29-05-2021")])), (0, 1));
    }

    #[test]
    fn results_of_a_piece_of_ground_name_it() {
        let name = |line: &str| of(&[line]).into_iter().find(|(f, _)| *f == Field::SampleLabel).map(|f| f.1);
        let lawn = name("Hello Ada Fernshaw, here are the results of Back lawn.");
        assert_eq!(lawn.as_deref(), Some("Back lawn"));
        assert_eq!(name("Your results for Front lawn are ready, and good.").as_deref(), Some("Front lawn"));
        assert_eq!(name("Here are at last the results of your soil test."), None);
        assert_eq!(name("Here are at last the results for Quern Golf Club."), None);
        assert_eq!(name("We compare the results of every field with those before."), None);
    }

    #[test]
    fn who_is_greeted_by_a_first_name_is_named_over_the_letter() {
        let client = |name: &str, greeting: &str| {
            let lines =
                ["Hob Mill Soil Check", "3 Canal Row", "26 April 2022", name, "Rose Cottage", "", greeting];
            let found = letter_head(&layout(&typed(&lines)));
            found.into_iter().find(|f| f.field == Field::Client).map(|f| f.text)
        };
        assert_eq!(client("Ms Ada Quern", "Dear Ada,").as_deref(), Some("Ms Ada Quern"));
        for (name, greeting) in
            [("Ms Ada Quern", "Dear Eve,"), ("Ada Lawn", "Dear Ada,"), ("Ms Ada Quern", "Ada,")]
        {
            assert_eq!(client(name, greeting), None, "{name}");
        }
    }
}
