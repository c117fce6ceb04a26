//! The fields of a report: laboratory, client, numbers, dates, depth; from `name: value` pairs, stacked pairs and prose.

mod addressee;
mod asked;
mod cards;
mod counted;
mod depth;
mod letter;
mod letterhead;
mod owner;
mod person;
mod plausible;

use super::cut::cut;
use super::date::{DayOrder, PrintedDate, date};
use super::fold::{fold, is_figure, is_punctuation, pieces};
use super::kept::{Kept, kept};
use super::label::year_of;
use super::layout::{Layout, Line, Phrase};
use super::vocabulary::{Context, Field, Hit, Meaning, Sought, hits_where, leading_hit, may_open};
use super::words::List;
use crate::place::Rect;
pub use addressee::addressee;
use asked::{asked, halves_apart, unlike_what_it_asks};
use cards::{cards, spelled};
use counted::number_beside_a_name;
pub use depth::{depth, depth_unit};
pub use letter::letter_head;
use letter::prose;
pub use letterhead::letterhead;
pub use owner::settle;
use person::name_of_a_person;
pub use plausible::{
    ends_with_a_heading, is_depth, is_place, names_a_part, names_sample, reads_like_a_heading,
};
use plausible::{is_code, is_heading, is_size, plausible};
use std::cell::RefCell;

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
    let mut out = cards(page, context);
    for (row, line) in page.lines.iter().enumerate() {
        // The rows and headings of tables are no pairs of a form.
        let heading =
            asks_side_by_side(line, context) && !is_card(page, row) && !ends_with_ground(page, row, context);
        if taken.get(row) == Some(&true) || heading {
            continue;
        }
        let mut at = 0;
        while let Some(phrase) = line.phrases.get(at) {
            let next = line.phrases.get(at + 1);
            let below = under(page, row, phrase);
            let told = told_behind_a_name(page, phrase, context);
            if !told.is_empty() {
                out.extend(told);
                at += 1;
                continue;
            }
            let parts = pairs_apart(&spelled(phrase), context);
            if parts.len() > 1 {
                out.extend(
                    parts.iter().filter_map(|p| phrase_field(page, p, None, &[], (false, false), context).0),
                );
                at += 1;
                continue;
            }
            let alone = line.phrases.len() == 2;
            let ends = at + 2 == line.phrases.len();
            let (found, used_next) = phrase_field(page, phrase, next, &below, (alone, ends), context);
            out.extend(found);
            at += if used_next { 2 } else { 1 };
        }
        out.extend(prose(page.number, &line.phrases));
    }
    number_beside_a_name(page, taken, context, &mut out);
    name_of_a_person(page, &mut out);
    out
}

/// `Sample: North lawn, 0 to 6 inches, taken 3 May 2023`: the name, and what stands behind it where that is a depth and a
/// day and nothing else. Empty where nothing of that kind stands there.
fn told_behind_a_name(page: &Layout, phrase: &Phrase, context: Context) -> Vec<FieldValue> {
    let Some((Field::SampleLabel, rest, true)) = leading_field(&phrase.text(), context) else {
        return Vec::new();
    };
    // `2,400 sq ft` is how large it is, in one figure.
    if is_size(&rest) {
        return Vec::new();
    }
    let make = |field, text: &str| FieldValue {
        field,
        text: text.to_owned(),
        page: page.number,
        area: phrase.area,
        firm: true,
    };
    let mut parts = rest.split([',', ';']).map(str::trim).peekable();
    let Some(name) = parts.next().filter(|name| plausible(Field::SampleLabel, name, true)) else {
        return Vec::new();
    };
    let mut out = vec![make(Field::SampleLabel, name)];
    while let Some(part) = parts.next() {
        // `May 3, 2023` is one day.
        let year = parts.peek().filter(|next| year_of(next).is_some());
        let whole = year.map(|year| format!("{part}, {year}"));
        let day = |text: &str| {
            let text = without(text, List::BeforeDay);
            date(&text, DayOrder::Unknown).is_some().then_some(text)
        };
        let layer = without(part, List::BeforeDepth);
        if let Some(text) = whole.as_deref().and_then(day) {
            out.push(make(Field::SampledOn, &text));
            parts.next();
        } else if let Some(text) = day(part) {
            out.push(make(Field::SampledOn, &text));
        } else if is_depth(&layer) {
            out.push(make(Field::DepthTop, &layer));
        } else {
            return Vec::new();
        }
    }
    if out.len() > 1 { out } else { Vec::new() }
}

/// A text without the words of a list in front of it.
fn without(text: &str, list: List) -> String {
    let words = text.split(' ').skip_while(|w| list.has(&w.to_lowercase()));
    words.collect::<Vec<_>>().join(" ")
}

/// The line below a name, where its value may stand; nothing below a word that goes on from the line tight above: `field`
/// between `House` and `1` asks for no name.
///
/// What stands under a name of its own is that one's value, and no word goes on from it.
fn under(page: &Layout, row: usize, name: &Phrase) -> Vec<Phrase> {
    let line = |up: usize| row.checked_sub(up).and_then(|i| page.lines.get(i)).filter(|_| !page.cells);
    let above = line(1);
    let value = |p: &Phrase| {
        let names = line(2).into_iter().flat_map(|l| &l.phrases);
        let asks =
            |n: &&Phrase| (n.area.x0 - p.area.x0).abs() < 0.5 * page.em && p.area.y0 - n.area.y1 < page.em;
        let context = Context { symbols: false, capitals: false };
        names
            .filter(asks)
            .any(|n| leading_field(&n.text(), context).is_some_and(|(_, rest, _)| rest.is_empty()))
    };
    let goes_on = above.is_some_and(|line| {
        let tight = name.area.y0 - line.area.y1 < TIGHT * page.em;
        tight
            && !name.text().ends_with(':')
            && line.phrases.iter().any(|p| p.area.overlap_x(&name.area) > 0.0 && !value(p))
    });
    // Another column's line may stand between.
    let under = |l: &&Line| l.phrases.iter().any(|p| p.area.overlap_x(&name.area) > 0.0);
    let staggered = page.lines.iter().skip(row + 1).take(2).find(under).filter(|_| !page.cells);
    let below = staggered.or_else(|| page.lines.get(row + 1)).filter(|_| !goes_on);
    below.map(|l| l.phrases.clone()).unwrap_or_default()
}

/// How close, in ems, the lines of one text follow each other.
const TIGHT: f32 = 0.75;

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
    let second =
        |h: &&Hit| hits.iter().any(|first| end_of_both(words, *first, context) == h.end && first.end < h.end);
    let named = |h: &&Hit| kinds.len() >= 3 && kinds.iter().any(|(_, start)| *start == h.start);
    // `Farm name: Moss End`: the second word belongs to the name of the field.
    let goes_on = |h: &Hit| {
        let word = words.get(h.start).map(|w| w.to_lowercase()).unwrap_or_default();
        h.end == h.start + 1 && List::FieldName.has(&word) && hits.iter().any(|before| before.end == h.start)
    };
    let mut cuts: Vec<usize> = hits
        .iter()
        .filter(|h| h.start > 0 && !goes_on(h) && (firm(h.end, h.start) || named(h)) && !second(h))
        .filter_map(|h| cut.owner(h.start))
        .filter(|i| *i > 0)
        .collect();
    if hits.first().is_none_or(|h| h.start > 0) {
        cuts.clear();
    }
    cuts.dedup();
    Phrase { marks: Vec::new(), ..phrase.clone() }.parted(&cuts)
}

/// One line of values right under a line of names, each under its own, and none below: a card, and no table.
fn is_card(page: &Layout, row: usize) -> bool {
    let (Some(names), Some(values)) = (page.lines.get(row), page.lines.get(row + 1)) else { return false };
    let aligned = |line: &Line| {
        line.phrases.len() == names.phrases.len()
            && line.phrases.iter().zip(&names.phrases).all(|(v, n)| (v.area.x0 - n.area.x0).abs() < 1.0)
    };
    let near = |a: &Line, b: &Line| b.area.y0 - a.area.y1 < page.em;
    let ends = page.lines.get(row + 2).is_none_or(|l| !near(values, l));
    !page.cells && names.phrases.len() > 3 && aligned(values) && near(names, values) && ends
}

/// True for a line of a form whose last pair is a name and a word for ground.
fn ends_with_ground(page: &Layout, row: usize, context: Context) -> bool {
    let Some([.., name, value]) = page.lines.get(row).map(|l| l.phrases.as_slice()) else { return false };
    let below = under(page, row, name);
    is_ground_of_a_form(page, Field::SampleLabel, name, &value.text(), &below, context)
        && leading_field(&name.text(), context)
            .is_some_and(|(f, rest, _)| f == Field::SampleLabel && rest.is_empty())
}

/// The field a phrase starts with, the words after it, and whether a colon stands between.
pub fn leading_field(text: &str, context: Context) -> Option<(Field, String, bool)> {
    if is_figure(text) {
        return None;
    }
    kept(&LEADING, text, context, || find_leading_field(text, context))
}

thread_local! {
    static LEADING: RefCell<Kept<Option<(Field, String, bool)>>> = RefCell::default();
}

fn find_leading_field(text: &str, context: Context) -> Option<(Field, String, bool)> {
    let context = Context { symbols: false, ..context };
    let text = halves_apart(text);
    let text = text.as_ref();
    if let Some(field) = asked(text) {
        return Some(field);
    }
    if !may_open(text, Sought::Field, context) {
        return None;
    }
    let words = pieces(text);
    let hit = leading_hit(&words, context, &|m| matches!(m, Meaning::Field(_)))?;
    let Meaning::Field(field) = hit.meaning else { return None };
    let hit = Hit { end: end_of_both(&words, hit, context), ..hit };
    // `Sample type: soil` asks for no name.
    let kind = words
        .get(hit.end)
        .is_some_and(|w| w.eq_ignore_ascii_case("type") || w.eq_ignore_ascii_case("matrix"));
    if field == Field::SampleLabel && kind && words.get(hit.end + 1).is_some_and(|w| w == ":") {
        return Some((Field::Ignored, after_words(text, words.len().saturating_sub(hit.end + 2)), true));
    }
    let ends = |w: &String| w == ":" || w == "=";
    let colon = match words.get(hit.end..).unwrap_or_default() {
        [first, ..] if ends(first) => true,
        [first, second, ..] if ends(second) => {
            goes_on_asking(first, field, context) || !first.chars().all(char::is_alphabetic)
        }
        _ => words.get(hit.end - 1).is_some_and(|w| w == ":"),
    };
    // `Sample mark: Rosary`: a word for a name before the colon still belongs to the field's name.
    let name_end = (hit.end..words.len().min(hit.end + 5))
        .find(|i| words.get(*i).is_some_and(|w| w == ":"))
        .filter(|end| {
            let between = words.get(hit.end..*end).unwrap_or_default();
            between.iter().all(|w| goes_on_asking(w, field, context))
        })
        .unwrap_or(hit.end);
    let colon = colon || name_end > hit.end;
    // `Sample condition: dry` asks for something else.
    if !colon && let Some(end) = unlike_what_it_asks(&words, hit.end) {
        return Some((Field::Ignored, after_words(text, words.len().saturating_sub(end + 1)), true));
    }
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

/// `Kliënt / Client: Moss Trust`: where a form asks in two languages, a stroke between, its second name ends here.
fn end_of_both(words: &[String], first: Hit, context: Context) -> usize {
    let rest =
        words.get(first.end..).filter(|rest| rest.first().is_some_and(|w| w == "/")).and_then(|r| r.get(1..));
    let second = rest.and_then(|rest| leading_hit(rest, context, &|m| *m == first.meaning));
    second.map_or(first.end, |second| first.end + 1 + second.end)
}

/// A word between the name of a field and its colon that asks for the same: `Client information:`, `Field / Sample ID:`.
fn goes_on_asking(word: &str, asked: Field, context: Context) -> bool {
    let owner = |field| matches!(field, Field::Client | Field::Account | Field::Farm | Field::Submitter);
    let alike = |m: &Meaning| match m {
        Meaning::Field(field) => *field == asked || owner(*field) && owner(asked),
        _ => false,
    };
    is_punctuation(word)
        || List::FieldName.has(word.to_lowercase().trim_end_matches('.'))
        || leading_hit(&[word.to_owned()], context, &alike).is_some()
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
        let Some(tail) = folded.get(i..) else { break };
        // One letter more of a plain word, or the space before one, is no further piece.
        let same = start < folded.len() && (tail.starts_with(' ') || goes_on_plainly(tail));
        if same || pieces(tail).len() <= count {
            start = i;
        } else {
            break;
        }
    }
    folded.get(start..).unwrap_or_default().trim().to_owned()
}

/// True where the first word of a text is one piece, and is so without its first letter too: small letters alone, or
/// figures with the signs of a date.
fn goes_on_plainly(text: &str) -> bool {
    let word = text.split(' ').next().unwrap_or_default().as_bytes();
    word.len() > 1
        && (word.iter().all(u8::is_ascii_lowercase)
            || word.iter().all(|b| b.is_ascii_digit() || matches!(b, b'-' | b'.' | b'/')))
}

/// `Sample   Green` at the end of a line, over `Lab no.   7731`: names of fields below each other, and a word for ground in
/// the place of their values.
fn is_ground_of_a_form(
    page: &Layout,
    field: Field,
    name: &Phrase,
    value: &str,
    below: &[Phrase],
    context: Context,
) -> bool {
    let asks = |p: &Phrase| {
        leading_field(&p.text(), context)
            .is_some_and(|(f, rest, _)| f != Field::SampleLabel && rest.is_empty())
    };
    let edge = |p: &&Phrase| (p.area.x0 - name.area.x0).abs() < 0.5 * page.em;
    !page.cells
        && field == Field::SampleLabel
        && !List::Ground.has(&name.text().to_lowercase())
        && List::Ground.has(&value.to_lowercase())
        && below.iter().find(edge).is_some_and(asks)
}

fn phrase_field(
    page: &Layout,
    phrase: &Phrase,
    next: Option<&Phrase>,
    below: &[Phrase],
    (alone, ends): (bool, bool),
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
    // `Laboratorio Quillmar`, `Laboratory Services Quill`: without a colon the word belongs to the name.
    if field == Field::Lab && !colon && !rest.is_empty() {
        return (plausible(field, &rest, false).then(|| make(text, false)), false);
    }
    if !rest.is_empty() && !colon && is_place(&text) && field == Field::SampleLabel {
        // `Green 3`, `Block K 1`: the word belongs to the name.
        return (plausible(field, &text, false).then(|| make(text, false)), false);
    }
    if !rest.is_empty() {
        let firm = colon;
        let named = plausible(field, &rest, firm) || firm && field == Field::SampleLabel && is_code(&rest);
        // A name that is none leaves its form unnamed: better than the name of the form before.
        // `Area sampled: 2,400 sq ft` says how large it is, and leaves the name to others.
        let unread = firm && field == Field::SampleLabel && !is_heading(&rest) && !is_size(&rest);
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
            && !is_depth(&value)
            && !(ends && is_ground_of_a_form(page, field, phrase, &value, below, context));
        if !is_field && plausible(field, &value, true) {
            return (Some(make(value, true)), true);
        }
    }
    // A number beside `Account:` is its value, and no name stands under it.
    let below = if field == Field::Account && next.is_some() { &[] } else { below };
    let under = below.iter().find(|p| {
        p.area.overlap_x(&phrase.area) > 0.0
            && (p.area.x0 - phrase.area.x0).abs() < 1.5 * page.em
            && p.area.y0 - phrase.area.y1 < if page.cells { 3.0 * page.em } else { page.em }
    });
    // `Green 8` under `Sample` is a name, though `Green:` asks for one elsewhere.
    let asks = |v: &str| {
        leading_field(v, context).is_some_and(|(asked, rest, colon)| {
            colon || rest.is_empty() || asked != Field::SampleLabel || field != asked || !is_place(v)
        })
    };
    let value = under.map(Phrase::text).filter(|v| plausible(field, v, true) && !asks(v));
    // `Plot` over `1` may name the sample `Plot 1`, or `1`: better none than half a name.
    let half = |v: &String| {
        let ground = List::Ground.has(&text.to_lowercase());
        !page.cells && field == Field::SampleLabel && ground && is_figure(v)
    };
    (value.map(|v| make(if half(&v) { String::new() } else { v }, true)), false)
}

/// A date field's day; the year alone where day and month could be either.
pub fn day(text: &str, order: DayOrder) -> (Option<jiff::civil::Date>, Option<i16>) {
    match date(text, order) {
        Some(PrintedDate::Day(day)) => (Some(day), Some(day.year())),
        Some(PrintedDate::Either(a, b)) => (None, (a.year() == b.year()).then(|| a.year())),
        None => (None, None),
    }
}

#[cfg(test)]
mod tests {
    use super::super::layout::{layout, tests::typed};
    use super::*;
    use crate::soil::Depth;

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
        assert_eq!(of(&["Farm name: Moss End"]), [(Field::Farm, "Moss End".to_owned())]);
        assert_eq!(of(&["Laboratorio Quillmar"]), [(Field::Lab, "Laboratorio Quillmar".to_owned())]);
        assert_eq!(of(&["Laboratory: Quillmar Soils"]), [(Field::Lab, "Quillmar Soils".to_owned())]);
        let kind = of(&["Sample name:   Rink 7", "Sample type:   Soil mixed", "Depth:         0-75 mm"]);
        assert_eq!(kind.iter().filter(|f| f.0 == Field::SampleLabel).count(), 1, "{kind:?}");
        let sized = of(&["Sample ID: Rink 7", "Depth: 0-6 in   Area sampled: about 2,400 sq ft"]);
        assert_eq!(sized.iter().filter(|f| f.0 == Field::SampleLabel).count(), 1, "{sized:?}");
        assert!(of(&["Area (sq ft): 5200"]).iter().all(|(f, t)| *f != Field::SampleLabel || t != "5200"));
        assert_eq!(of(&["Sample Green 1"]), [(Field::SampleLabel, "Green 1".to_owned())]);
    }

    #[test]
    fn a_club_is_whose_ground_it_is_and_a_word_for_ground_a_name_among_values() {
        let found = of(&[
            "Club      Hob Mill Bowls Club      Sample      Green",
            "Contact   D. Quern                 Lab no.     7731/2",
            "Report    HM 7731                  Depth       0-100 mm",
        ]);
        assert!(found.contains(&(Field::Farm, "Hob Mill Bowls Club".to_owned())), "{found:?}");
        assert!(found.contains(&(Field::SampleLabel, "Green".to_owned())), "{found:?}");
        assert!(of(&["Club lawn      6.2"]).iter().all(|(f, _)| *f != Field::Farm));
        let heading = of(&["Sample    Green", "12        7731/2"]);
        assert!(!heading.contains(&(Field::SampleLabel, "Green".to_owned())), "{heading:?}");
    }

    #[test]
    fn a_plain_name_above_the_samples_is_whose_soil_it_is() {
        let client = |name: &str, number: &str, sample: &str| {
            let form = [format!("Name        {name}   {number}   552"), format!("Sample ID   {sample}")];
            let found = of(&form.each_ref().map(String::as_str));
            found.iter().any(|f| *f == (Field::Client, name.to_owned()))
        };
        assert!(client("Ada Fernshaw", "Report number", "Rose bed"));
        assert!(!client("Ada Fernshaw", "Report number", "55-2"));
        assert!(!client("Ada Fernshaw", "Lab number", "Rose bed"));
        assert!(!client("North Field", "Report number", "Rose bed"));
        let named = of(&[
            "Client      Moss Trust",
            "Name        Ada Fernshaw   Report number   552",
            "Sample ID   Rose bed",
        ]);
        assert!(!named.contains(&(Field::Client, "Ada Fernshaw".to_owned())), "{named:?}");
    }

    #[test]
    fn a_line_of_names_over_one_line_of_values_is_a_card() {
        let names = "Grower            Field      Lab sample   Report     Next crop";
        let found = of(&[names, "Hob Mill Farms    Block 14   24611-3      HM-24      Oats"]);
        for pair in
            [(Field::Client, "Hob Mill Farms"), (Field::SampleLabel, "Block 14"), (Field::Report, "HM-24")]
        {
            assert!(found.contains(&(pair.0, pair.1.to_owned())), "{found:?}");
        }
        let rows = of(&[
            names,
            "Hob Mill Farms    Block 14   24611-3      HM-24      Oats",
            "Weir Farms        Block 15   24611-4      HM-25      Oats",
        ]);
        assert!(rows.iter().all(|(f, _)| *f != Field::Client), "{rows:?}");
    }

    #[test]
    fn a_word_in_the_middle_of_a_broken_name_asks_for_none() {
        let found = of(&["          House", "          field", "Unit      1"]);
        assert!(found.iter().all(|(field, _)| *field != Field::SampleLabel), "{found:?}");
        assert_eq!(of(&["Field", "Rink 7"]), [(Field::SampleLabel, "Rink 7".to_owned())]);
        let golf = of(&["Sample     Lab No.    Depth", "Green 8    5507       0-4 in"]);
        assert!(golf.contains(&(Field::SampleLabel, "Green 8".to_owned())), "{golf:?}");
        let found = of(&["Client", "Moss Trust", "Depth", "0 - 25 cm"]);
        assert!(found.contains(&(Field::DepthTop, "0 - 25 cm".to_owned())), "{found:?}");
    }

    #[test]
    fn a_depth_and_a_day_behind_a_name_are_no_part_of_it() {
        for text in [
            "Sample: North lawn, 0 to 6 inches, taken 3 May 2023",
            "Sample: North lawn, taken May 3, 2023; depth 0 to 6 inches",
        ] {
            let found = of(&[text]);
            let first = |field| found.iter().find(|(f, _)| *f == field).map(|(_, t)| t.clone());
            assert_eq!(first(Field::SampleLabel).as_deref(), Some("North lawn"), "{found:?}");
            let when = first(Field::SampledOn).unwrap();
            assert_eq!(day(&when, DayOrder::default()).1, Some(2023), "{found:?}");
            let layer = depth(&first(Field::DepthTop).unwrap(), None, true);
            assert_eq!(layer, Some(Depth::inches(0.0, 6.0)), "{found:?}");
        }
        assert_eq!(
            of(&["Sample: Moss, Fern and Hay"]),
            [(Field::SampleLabel, "Moss, Fern and Hay".to_owned())]
        );
    }

    #[test]
    fn prose_tells_sample_number_day_and_depth() {
        let found = of(&[
            "Thank you for the soil sample from Lower paddock (our number QX407), taken on October 15, 2018",
        ]);
        assert!(found.contains(&(Field::SampleLabel, "Lower paddock".to_owned())), "{found:?}");
        assert!(found.contains(&(Field::LabSample, "QX407".to_owned())), "{found:?}");
        let found = of(&["Re: your sample \"Rose beds, side yard\", laboratory no. 16-1, report HT-16,"]);
        assert!(found.contains(&(Field::SampleLabel, "Rose beds, side yard".to_owned())), "{found:?}");
    }

    #[test]
    fn depths_in_inches_and_centimetres() {
        assert_eq!(depth("0 - 6 in", None, false), Some(Depth::inches(0.0, 6.0)));
        assert_eq!(depth("4 inches", None, false), Some(Depth::inches(0.0, 4.0)));
        assert_eq!(depth("0 to 7 inches", None, false), Some(Depth::inches(0.0, 7.0)));
        assert_eq!(depth("0-15 cm", None, false), Some(Depth { top_cm: 0.0, bottom_cm: 15.0 }));
        assert_eq!(depth("6-24\"", None, false), Some(Depth::inches(6.0, 24.0)));
        assert_eq!(depth("0-6", None, false), None);
        assert_eq!(depth("inches 5", None, true), None);
        assert_eq!(depth("0 in", Some("6 in"), false), Some(Depth::inches(0.0, 6.0)));
    }

    #[test]
    fn a_name_in_two_languages_asks_once() {
        assert_eq!(of(&["Kliënt / Client: Moss Trust"]), [(Field::Client, "Moss Trust".to_owned())]);
        let apart = of(&[
            "Kliënt / Client:   Moss Trust (Edms) Bpk   Verslag nr / Report no:   KV/9   Gerapporteer / Reported:   2023-08-15",
        ]);
        assert_eq!(apart.len(), 3, "{apart:?}");
        assert_eq!(of(&["Ontvang / Received: 2023-08-08"]), [(Field::ReceivedOn, "2023-08-08".to_owned())]);
        let unlike = leading_field("Client / Report: Moss Trust", C);
        assert!(unlike.is_some_and(|(field, ..)| field == Field::Ignored));
    }

    #[test]
    fn a_word_for_a_piece_of_ground_belongs_to_the_name_under_a_heading() {
        let found = of(&["Klant              Monster", "Hof Terbrug        Perceel 8 Achter"]);
        assert!(found.contains(&(Field::SampleLabel, "Perceel 8 Achter".to_owned())), "{found:?}");
        assert!(found.iter().all(|(_, text)| text != "8 Achter"), "{found:?}");
    }

    #[test]
    fn a_code_is_a_name_though_an_extract_is_called_so() {
        for code in ["B1", "P1", "P2", "K10x"] {
            assert_eq!(of(&[&format!("Location:   {code}")]), [(Field::SampleLabel, code.to_owned())]);
            assert_eq!(of(&[&format!("Location: {code}")]), [(Field::SampleLabel, code.to_owned())]);
        }
        assert!(reads_like_a_heading("Unit Procedure 1 2 3") && !reads_like_a_heading("Unit 7 north"));
        assert!(!reads_like_a_heading("P2 field") && !reads_like_a_heading("Block B1"));
        assert!(reads_like_a_heading("Description Parameter") && !reads_like_a_heading("Parameter hill 3"));
        assert!(!reads_like_a_heading("Bore Field") && reads_like_a_heading("Bore"));
        assert!(reads_like_a_heading("Sample Block") && reads_like_a_heading("Method field"));
        assert!(ends_with_a_heading("Pitch 1 Optimum Range") && !ends_with_a_heading("Driving range"));
        assert!(reads_like_a_heading("Bray P1") && reads_like_a_heading("P2 ppm"));
        assert!(reads_like_a_heading("(cmol c (g/100") && !reads_like_a_heading("Moss (north)"));
        assert!(reads_like_a_heading("4.3 Walkley and Black") && !reads_like_a_heading("Walkley field 3"));
        assert!(names_sample("Area Sampled  B1", C));
        assert!(!names_sample("Phosphorus by Bray P1", C));
    }

    #[test]
    fn another_columns_line_may_stand_between_a_name_and_its_value() {
        use super::super::rewrap::tests::set;
        let page = layout(&set(&[
            (100.0, "Client"),
            (106.0, "                                Order no: 44"),
            (112.0, "Ada Fernshaw"),
            (118.0, "                                Depth: 0-15 cm"),
        ]));
        let found = fields(&page, &[], Context { symbols: false, capitals: false });
        let client = found.iter().find(|f| f.field == Field::Client).map(|f| f.text.as_str());
        assert_eq!(client, Some("Ada Fernshaw"), "{found:?}");
    }
}
