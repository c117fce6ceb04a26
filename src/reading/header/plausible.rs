//! What may be the value of a field, and what is rather a heading, a place or a size.

use super::super::across::asks_for_a_name;
use super::super::date::{DayOrder, asked};
use super::super::fold::pieces;
use super::super::kept::{Kept, kept};
use super::super::label::{is_ground, label};
use super::super::vocabulary::{Context, Field, Meaning, hits_where};
use super::super::words::List;
use super::depth::depth;
use super::leading_field;
use compact_str::CompactString;
use regex::Regex;
use std::cell::RefCell;
use std::sync::LazyLock;

/// A value that can be what the field asks for.
pub fn plausible(field: Field, value: &str, firm: bool) -> bool {
    let value = value.trim();
    let first = value.split(' ').next().unwrap_or_default();
    let digits = value.chars().any(|c| c.is_ascii_digit());
    let words = value.split(' ').count();
    match field {
        // `issued 26 April 2023` is a day, whatever it is of.
        Field::Report => digits && words <= 4 && !(words > 2 && asked(value, DayOrder::Unknown).is_some()),
        Field::LabSample => digits && words <= 4,
        Field::SampledOn | Field::ReceivedOn | Field::ReportedOn | Field::Day | Field::Handled => {
            words <= 8 && asked(value, DayOrder::Unknown).is_some()
        }
        Field::DepthTop | Field::DepthBottom => digits && words <= 8,
        // `Account: 10442` is a number, and `Account: Moss Lawn Care` whose it is.
        Field::Account => {
            value.starts_with(char::is_alphabetic) && !digits && plausible(Field::Client, value, firm)
        }
        // Without a colon such a word is of a name, or of a sentence.
        Field::Party | Field::Submitter => firm && plausible(Field::Client, value, firm),
        Field::Place => firm && plausible(Field::SampleLabel, value, firm),
        // `Lab G4-1` is the laboratory's number.
        Field::Lab if looks_like_a_number(value) => false,
        Field::SampleLabel | Field::Client | Field::Farm | Field::Lab => {
            !value.is_empty()
                && !is_heading(value)
                && words <= 9
                && (firm || first.chars().next().is_some_and(|c| c.is_uppercase() || c.is_ascii_digit()))
                && !value.ends_with(':')
                && !is_size(value)
        }
        Field::DepthUnit => super::depth::depth_unit(value).is_some(),
        Field::SampleKind | Field::Ignored => true,
    }
}

/// `G4-1`, `77/3`: one word of capitals, figures and strokes.
pub(super) fn looks_like_a_number(value: &str) -> bool {
    value.contains(|c: char| c.is_ascii_digit())
        && value.chars().all(|c| c.is_ascii_uppercase() || c.is_ascii_digit() || matches!(c, '-' | '/' | '.'))
}

/// `MAJOR NUTRIENTS (MEHLICH 1)` over a table is the title of its part, and never the name of a sample.
pub fn names_a_part(name: &str) -> bool {
    name.to_lowercase().split(|c: char| !c.is_alphabetic()).any(|word| List::Part.has(word))
}

/// `mg/kg`, `Your`, `Critical`: words of a heading, and never the name of a sample. A code (`P1`) is a name, whatever
/// extract goes by it.
pub fn reads_like_a_heading(name: &str) -> bool {
    let l = label(name, Context { symbols: false, capitals: false });
    let heading = l.unit.is_some() || l.role.is_some() || l.decoy || l.rating || !l.methods.is_empty();
    let words = pieces(name);
    if is_ground(&words) || is_ground_by_code(&words) || is_ground_by_word(&words) {
        return false;
    }
    // `Green 16 core`: a numbered piece of ground and how it was sampled, and no extract.
    let numbered = words.get(1).is_some_and(|w| w.chars().all(|c| c.is_ascii_digit()));
    let ground = words.first().is_some_and(|w| List::Place.has(&w.to_lowercase()));
    let plain = l.unit.is_none() && l.role.is_none() && l.analyte.is_none() && !l.decoy && !l.rating;
    if ground && numbered && plain && l.methods.iter().all(Option::is_none) {
        return false;
    }
    let asks = |m: &Meaning| matches!(m, Meaning::Role(_) | Meaning::Field(_) | Meaning::Decoy);
    let hits = hits_where(&words, Context { symbols: false, capitals: false }, &asks);
    let asked = hits.len();
    // `Unit Procedure 1 2 3` is a row of headings, and of names that are numbers.
    let said_by_none = |(i, word): (usize, &CompactString)| {
        word.contains(char::is_alphabetic) && !hits.iter().any(|h| (h.start..h.end).contains(&i))
    };
    // `Description Parameter`: the lower half of a column of names, and the next heading.
    let asks_on = |(i, word): (usize, &CompactString)| {
        !said_by_none((i, word)) && !word.contains(char::is_numeric) || asks_for_a_name(word)
    };
    // `(mg/100` is the first half of a unit.
    let half = name.matches('(').count() > name.matches(')').count();
    // `OM, % p/p`: what was measured and its unit, whatever stands behind.
    let measured = l.analyte.is_some() && l.unit.is_some();
    // `1 as P2O5 in`: the beginning of a note.
    let note = match words.split_first() {
        Some((mark, rest)) if mark.chars().all(|c| c.is_ascii_digit()) && rest.len() > 1 => {
            let rest = rest.join(" ");
            let l = label(&rest, Context { symbols: true, capitals: false });
            l.analyte.is_some() && l.unknown.is_empty()
        }
        _ => false,
    };
    note || measured || half || List::Heading.has(&name.to_lowercase())
        || asked >= 3
        || asked == 2 && !words.iter().enumerate().any(said_by_none)
        || l.role.is_some() && words.len() > 1 && words.iter().enumerate().all(asks_on)
        || (heading || l.analyte.is_some()) && l.unknown.is_empty() && !is_code(name)
        // `4.3 Walkley and Black`: a value and the method of its column.
        || !l.methods.is_empty() && name.contains(' ') && l.unknown.iter().all(|w| !w.contains(char::is_alphabetic)) && !is_code(name)
}

/// `Bore Field`: a word before one for ground is part of its name, though boron is called so elsewhere. Symbols and words
/// for units, methods and columns are not.
fn is_ground_by_word(words: &[CompactString]) -> bool {
    let [first, last] = words else { return false };
    let l = label(first, Context { symbols: false, capitals: false });
    let heading = l.unit.is_some() || l.role.is_some() || l.field.is_some() || l.decoy || l.rating || l.other;
    List::Ground.has(&last.to_lowercase())
        && !heading
        && l.methods.is_empty()
        && first.chars().count() > 2
        && first.starts_with(char::is_uppercase)
}

/// `Pitch 1 Optimum range`: a name, and the heading of the next column in two words or more.
pub fn ends_with_a_heading(name: &str) -> bool {
    let words = pieces(name);
    let hits = hits_where(&words, Context { symbols: false, capitals: false }, &|m| *m == Meaning::Decoy);
    hits.iter().any(|h| h.start > 0 && h.end == words.len() && h.end - h.start > 1)
}

/// `P2 field`, `Block K1`: a piece of ground and its code, whatever extract goes by that.
fn is_ground_by_code(words: &[CompactString]) -> bool {
    let ground = |w: &CompactString| List::Ground.has(&w.to_lowercase());
    let [first, last] = words else { return false };
    is_code(first) && ground(last) || ground(first) && is_code(last)
}

/// True for a name that opens with a word for a place: without a colon the word is part of the name.
pub fn is_place(text: &str) -> bool {
    text.split(' ').next().is_some_and(|w| List::Place.has(&w.to_lowercase())) && text.contains(' ')
}

/// `0-8 in`, `6 inches`: a layer, whatever it names.
pub fn is_depth(value: &str) -> bool {
    value.starts_with(|c: char| c.is_ascii_digit()) && depth(value, None, true).is_some()
}

/// `Unit`, `Method`, `Optimum range`: the next heading of a table, not a name.
pub fn is_heading(value: &str) -> bool {
    let l = label(value, Context { symbols: false, capitals: false });
    l.unknown.is_empty() && (l.role.is_some() || l.decoy || l.analyte.is_some())
}

/// `B1`, `P-2`, `K10x`: letters and a count, as beds and greens are numbered.
pub fn is_code(value: &str) -> bool {
    static CODE: LazyLock<Option<Regex>> =
        LazyLock::new(|| Regex::new(r"^[A-Z]{1,2}[- ]?\d{1,3}[a-z]?$").ok());
    CODE.as_ref().is_some_and(|r| r.is_match(value.trim()))
}

/// True for a line that names the sample, the client or the report: it says nothing of procedures.
pub fn names_sample(text: &str, context: Context) -> bool {
    kept(&NAMES, text, context, || opens_as_a_name(text, context))
}

thread_local! {
    static NAMES: RefCell<Kept<bool>> = RefCell::default();
}

fn opens_as_a_name(text: &str, context: Context) -> bool {
    leading_field(text, context).is_some_and(|(field, rest, _)| {
        matches!(
            field,
            Field::SampleLabel
                | Field::LabSample
                | Field::Client
                | Field::Account
                | Field::Farm
                | Field::Party
                | Field::Submitter
                | Field::Place
                | Field::Report
        ) && (1..=4).contains(&rest.split(' ').filter(|w| !w.is_empty()).count())
    })
}

/// `Area (ha)`, `Field size, acres`: words that ask how large a piece of ground is.
pub fn asks_size(text: &str) -> bool {
    static ASKS: LazyLock<Option<Regex>> = LazyLock::new(|| {
        Regex::new(r"(?i)^[^0-9:/]{0,24}?[\p{L})]?[ ,(\[]*\b(?:ha|hectares?|hect[aá]reas|acres?|ac|sq\.? ?(?:ft|feet|m|met(?:re|er)s|yds?)|sqft|m2|ft2|yd2)\.?[)\]]?:?$").ok()
    });
    ASKS.as_ref().is_some_and(|r| r.is_match(text.trim()))
}

/// `6,500 sq ft`, `2.4 acres`: how large, not which.
pub fn is_size(value: &str) -> bool {
    static SIZE: LazyLock<Option<Regex>> = LazyLock::new(|| {
        Regex::new(r"(?i)^(?:(?:approx(?:\.|imately)?|about|around|ca\.?|c\.|~) ?)?[0-9][0-9.,/ ]*(sq\.? ?(ft|feet|foot|m|yd|yards?|met)|sqft|sqm|sf\b|square|ft2|m2|yd2|acres?|ac\b|ha\b|hectares?)").ok()
    });
    SIZE.as_ref().is_some_and(|r| r.is_match(value))
}
