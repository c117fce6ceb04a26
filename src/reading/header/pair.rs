//! Names and values beside, behind or under each other.

use super::super::cut::cut;
use super::super::fold::is_figure;
use super::super::layout::{Layout, Line, Phrase, joined};
use super::super::vocabulary::{Context, Field, Hit, Meaning, hits_where};
use super::super::words::List;
use super::FieldValue;
use super::asked::asked;
use super::leading::{end_of_both, leading_field};
use super::plausible::{is_code, is_depth, is_heading, is_place, is_size, plausible};
use compact_str::CompactString;

/// The line below a name, where its value may stand; nothing below a word that goes on from the line tight above: `field`
/// between `House` and `1` asks for no name.
///
/// What stands under a name of its own is that one's value, and no word goes on from it.
pub(super) fn under(page: &Layout, row: usize, name: &Phrase) -> Vec<Phrase> {
    let line = |up: usize| row.checked_sub(up).and_then(|i| page.lines.get(i)).filter(|_| !page.cells);
    let above = line(1);
    let value = |p: &Phrase| {
        let names = line(2).into_iter().flat_map(|l| &l.phrases);
        let asks =
            |n: &&Phrase| (n.area.x0 - p.area.x0).abs() < 0.5 * page.em && p.area.y0 - n.area.y1 < page.em;
        let context = Context { symbols: false, capitals: false };
        names
            .filter(asks)
            .any(|n| leading_field(n.text(), context).is_some_and(|(_, rest, _)| rest.is_empty()))
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

/// Words behind one for ground among which the end of a firm's name stands.
const FIRM: usize = 3;

/// How close, in ems, the lines of one text follow each other.
const TIGHT: f32 = 0.75;

/// `Lab   Sample   100   P`: names of fields side by side without a value, among other words, are the heading of a table.
pub(super) fn asks_side_by_side(line: &Line, context: Context) -> bool {
    let asks = |p: &Phrase| {
        leading_field(p.text(), context).is_some_and(|(_, rest, colon)| rest.is_empty() && !colon)
    };
    line.phrases.len() > 3
        && line.phrases.windows(2).any(|w| w.iter().all(asks))
        && line.phrases.iter().any(|p| leading_field(p.text(), context).is_none())
}

/// `Field   1000   1000   mg pro 1000`: one figure again and again beside a name without a colon is of the units of a
/// heading, broken over its lines, and no value.
pub(super) fn heads_units(line: &Line, context: Context) -> bool {
    let figures: Vec<&str> = line.phrases.iter().map(Phrase::text).filter(|t| is_figure(t)).collect();
    let again = figures.iter().any(|f| figures.iter().filter(|o| *o == f).count() >= AGAIN);
    let colon = |p: &Phrase| leading_field(p.text(), context).is_some_and(|(.., colon)| colon);
    again && line.phrases.len() > AGAIN && !line.phrases.iter().any(colon)
}

/// So often one figure stands in a line of units.
const AGAIN: usize = 2;

/// `Sample ID: Tunnel 3 Lab # 66120 Report # 2023-66` set close together: cut before each further name that a colon
/// or number sign follows.
pub(super) fn pairs_apart(phrase: &Phrase, context: Context) -> Vec<Phrase> {
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
    // `Prepared for Moss Lawn Care LLC`: words of a firm go on behind one for ground.
    let of_a_firm = |h: &Hit| {
        let behind = words.get(h.end..words.len().min(h.end + FIRM)).unwrap_or_default();
        let bare = |w: &CompactString| w.trim_end_matches(['.', ',']).to_lowercase();
        h.meaning == Meaning::Field(Field::SampleLabel)
            && behind.iter().take_while(|w| *w != "." && *w != ":").any(|w| List::Firm.has(&bare(w)))
    };
    for hit in hits.iter().filter(|h| capital(h.start) && !of_a_firm(h)) {
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
    let stroke = |h: &Hit| parted_by_a_stroke(words, &hits, h);
    let mut cuts: Vec<usize> = hits
        .iter()
        .filter(|h| {
            h.start > 0 && !goes_on(h) && (firm(h.end, h.start) || named(h) || stroke(h)) && !second(h)
        })
        .filter_map(|h| cut.owner(h.start))
        .filter(|i| *i > 0)
        .collect();
    // `Club: Moss Links Sample: Green 2`: what only its colon makes a field opens a line of a form too.
    let opens = || leading_field(phrase.text(), context).is_some_and(|(_, _, colon)| colon);
    if hits.first().is_none_or(|h| h.start > 0) && !opens() {
        cuts.clear();
    } else {
        // `Customer: Fern Trust | In: 3 May 2021`: what a colon makes a field behind a stroke.
        let opens = |i: &usize| {
            let behind =
                i.checked_sub(1).and_then(|i| phrase.tokens.get(i)).is_some_and(|t| is_stroke(&t.text));
            let rest = phrase.tokens.get(*i..).unwrap_or_default();
            behind && asked(&joined(rest)).is_some_and(|(_, _, colon)| colon)
        };
        cuts.extend((1..phrase.tokens.len()).filter(opens));
        // `Batch 5529 Grower: Moss Farms In 17/05/2022 Out 30/05/2022`.
        let told = |i: &usize| {
            let two: Vec<&str> = phrase.tokens.iter().skip(*i).take(2).map(|t| t.text.as_str()).collect();
            let day = two.last().is_some_and(|w| w.matches(['/', '-', '.']).count() == 2);
            let capital = two.first().is_some_and(|w| w.starts_with(char::is_uppercase));
            let asks = asked(&two.join(" "));
            let known = |f: Field| matches!(f, Field::ReceivedOn | Field::ReportedOn);
            day && capital && asks.is_some_and(|(f, _, colon)| known(f) && !colon)
        };
        if !cuts.is_empty() {
            cuts.extend((1..phrase.tokens.len()).filter(told));
        }
        cuts.sort_unstable();
    }
    cuts.dedup();
    // `Client: Moss Board. Described and sampled: 10 June 2022`: a sentence that ends there is no part of the value.
    let word = |i: usize| phrase.tokens.get(i).map(|t| t.text.as_str()).unwrap_or_default();
    let sentences: Vec<usize> = cuts
        .iter()
        .filter_map(|i| i.checked_sub(2).filter(|i| *i > 0))
        .filter(|i| {
            matches!(word(i + 1), "and" | "&" | "und" | "et" | "y" | "e")
                && word(*i).starts_with(char::is_uppercase)
                && word(i - 1).ends_with('.')
                && word(i - 1).len() > 4
        })
        .collect();
    cuts.extend(sentences);
    cuts.sort_unstable();
    cuts.dedup();
    cuts.extend(wide_room(phrase, &cuts));
    cuts.sort_unstable();
    cuts.dedup();
    let parts = Phrase { marks: Vec::new(), ..phrase.clone() }.parted(&cuts);
    if cuts.is_empty() { parts } else { parts.into_iter().filter_map(without_stroke).collect() }
}

/// Where the pairs of a line stand several spaces apart, what stands as far behind a value is none of it:
/// `Client: Moss Farms    office copy    Report: 44`. The tokens before which such room lies.
fn wide_room(phrase: &Phrase, cuts: &[usize]) -> Vec<usize> {
    /// So many times as wide as between words.
    const WIDE: f32 = 2.5;
    let gap = |i: usize| {
        let (a, b) = (phrase.tokens.get(i.checked_sub(1)?)?, phrase.tokens.get(i)?);
        Some(b.area.x0 - a.area.x1)
    };
    let all = || 1..phrase.tokens.len();
    let words = all().filter(|i| !cuts.contains(i)).filter_map(gap).fold(f32::INFINITY, f32::min);
    let between = cuts.iter().filter_map(|i| gap(*i)).fold(f32::INFINITY, f32::min);
    if cuts.is_empty() || words <= 0.0 || between < WIDE * words {
        return Vec::new();
    }
    // `Client:      Moss Farms` has its room before the value.
    let asks = |i: usize| phrase.tokens.get(i - 1).is_some_and(|t| t.text.ends_with(':'));
    all().filter(|i| !asks(*i) && gap(*i).is_some_and(|g| g >= WIDE * words && g > 0.8 * between)).collect()
}

/// What stands between two pairs of one line: `Client: Moss Trust - Order 4471 | Received 3 May 2024`.
fn is_stroke(word: &str) -> bool {
    matches!(word, "-" | "|" | "·" | "•" | ";")
}

/// A part of a line without the stroke behind it.
fn without_stroke(part: Phrase) -> Option<Phrase> {
    let end = part.tokens.iter().rposition(|t| !is_stroke(&t.text))? + 1;
    if end == part.tokens.len() { Some(part) } else { part.part(0, end) }
}

/// True for a name of a field right behind a stroke that has a value of its kind: a day for a day, a number for a report.
/// Behind the name of a sample only a day is none of it: `Compost - Batch 3`.
fn parted_by_a_stroke(words: &[CompactString], hits: &[Hit], hit: &Hit) -> bool {
    let (Some(first), Meaning::Field(field)) = (hits.first(), hit.meaning) else { return false };
    let Meaning::Field(before) = first.meaning else { return false };
    let behind = hit.start.checked_sub(1).and_then(|i| words.get(i)).is_some_and(|w| is_stroke(w));
    let rest = words.get(hit.end..).unwrap_or_default();
    let end = rest.iter().position(|w| is_stroke(w) && w != "-").unwrap_or(rest.len());
    let value = rest.get(..end).unwrap_or_default();
    let value = value.split(|w| is_stroke(w)).next().unwrap_or_default().join(" ");
    let day = matches!(field, Field::SampledOn | Field::ReceivedOn | Field::ReportedOn);
    let number = matches!(field, Field::Report | Field::LabSample)
        && matches!(
            before,
            Field::Client
                | Field::Farm
                | Field::Report
                | Field::LabSample
                | Field::ReceivedOn
                | Field::ReportedOn
                | Field::SampledOn
        )
        && value.chars().filter(char::is_ascii_digit).count() > 1;
    behind && first.start == 0 && (day || number) && plausible(field, &value, true)
}

/// One line of values right under a line of names, each under its own, and none below: a card, and no table.
pub(super) fn is_card(page: &Layout, row: usize) -> bool {
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
pub(super) fn ends_with_ground(page: &Layout, row: usize, context: Context) -> bool {
    let Some([.., name, value]) = page.lines.get(row).map(|l| l.phrases.as_slice()) else { return false };
    let below = under(page, row, name);
    is_ground_of_a_form(page, Field::SampleLabel, name, value.text(), &below, context)
        && leading_field(name.text(), context)
            .is_some_and(|(f, rest, _)| f == Field::SampleLabel && rest.is_empty())
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
        leading_field(p.text(), context)
            .is_some_and(|(f, rest, _)| f != Field::SampleLabel && rest.is_empty())
    };
    let edge = |p: &&Phrase| (p.area.x0 - name.area.x0).abs() < 0.5 * page.em;
    !page.cells
        && field == Field::SampleLabel
        && !List::Ground.has(&name.text().to_lowercase())
        && List::Ground.has(&value.to_lowercase())
        && below.iter().find(edge).is_some_and(asks)
}

pub(super) fn phrase_field(
    page: &Layout,
    phrase: &Phrase,
    next: Option<&Phrase>,
    below: &[Phrase],
    (alone, ends): (bool, bool),
    context: Context,
) -> (Option<FieldValue>, bool) {
    let text = phrase.text();
    let Some((field, rest, colon)) = leading_field(text, context) else { return (None, false) };
    // `0-8 in` is a depth by itself and names none beside or below it.
    if is_depth(text) {
        let value = FieldValue {
            field: Field::DepthTop,
            text: text.to_owned(),
            page: page.number,
            area: phrase.area,
            firm: false,
        };
        return (Some(value), false);
    }
    let make = |text: &str, firm| {
        let text = text.to_owned();
        FieldValue { field, text, page: page.number, area: phrase.area, firm }
    };
    // `Laboratorio Quillmar`, `Laboratory Services Quill`: without a colon the word belongs to the name.
    if field == Field::Lab && !colon && !rest.is_empty() {
        return (plausible(field, &rest, false).then(|| make(text, false)), false);
    }
    if !rest.is_empty() && !colon && is_place(text) && field == Field::SampleLabel {
        // `Green 3`, `Block K 1`: the word belongs to the name.
        return (plausible(field, text, false).then(|| make(text, false)), false);
    }
    if !rest.is_empty() {
        let firm = colon;
        let named = plausible(field, &rest, firm) || firm && field == Field::SampleLabel && is_code(&rest);
        // A name that is none leaves its form unnamed: better than the name of the form before.
        // `Area sampled: 2,400 sq ft` says how large it is, and leaves the name to others.
        let unread = firm && field == Field::SampleLabel && !is_heading(&rest) && !is_size(&rest);
        return match (named, unread) {
            (true, _) => (Some(make(&rest, firm)), false),
            (false, true) => (Some(make("", true)), false),
            _ => (None, false),
        };
    }
    if let Some(next) = next {
        // `Location: B1` is a bed's code, whatever extract goes by that name; alone on its line it is no heading.
        if field == Field::SampleLabel && (colon || alone) && is_code(next.text()) {
            return (Some(make(next.text(), true)), true);
        }
        let value = next.text();
        let is_field = leading_field(value, context).is_some_and(|(_, rest, colon)| colon || rest.is_empty())
            && !is_depth(value)
            && !(ends && is_ground_of_a_form(page, field, phrase, value, below, context));
        if !is_field && plausible(field, value, true) {
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
    let half = |v: &str| {
        let ground = List::Ground.has(&text.to_lowercase());
        !page.cells && field == Field::SampleLabel && ground && is_figure(v)
    };
    (value.map(|v| make(if half(v) { "" } else { v }, true)), false)
}

#[cfg(test)]
mod tests {
    use super::super::super::layout::{layout, tests::typed};
    use super::super::fields;
    use super::*;
    use crate::document::Content;

    /// A line set so narrow that four spaces make no phrase of their own.
    fn of(line: &str) -> Vec<(Field, String)> {
        let mut page = typed(&[line]);
        if let Content::Words(words) = &mut page.content {
            for word in words {
                (word.area.x0, word.area.x1) = (0.3 * word.area.x0, 0.3 * word.area.x1);
            }
        }
        let context = Context { symbols: false, capitals: false };
        fields(&layout(&page), &[], context).into_iter().map(|f| (f.field, f.text)).collect()
    }

    #[test]
    fn a_value_ends_where_the_room_is_as_wide_as_before_the_next_pair() {
        let line = "Client: Moss Farms    County office copy    Report: SU 44    Date received: 1/22/2015";
        let found = of(line);
        assert!(found.contains(&(Field::Client, "Moss Farms".to_owned())), "{found:?}");
        assert!(found.contains(&(Field::Report, "SU 44".to_owned())), "{found:?}");
        let found = of("Client: Moss Farms and Sons Report: SU 44 Date received: 1/22/2015");
        assert!(found.contains(&(Field::Client, "Moss Farms and Sons".to_owned())), "{found:?}");
        let found = of("Client:    Moss Farms    Report:    SU 44    Date received:    1/22/2015");
        assert!(found.contains(&(Field::Client, "Moss Farms".to_owned())), "{found:?}");
    }
}
