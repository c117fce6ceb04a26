//! What a text asks for: the field that it opens with.

use super::super::fold::{fold, is_figure, is_punctuation, pieces};
use super::super::kept::{Kept, kept};
use super::super::numbered::{MANY_FIGURES, figures};
use super::super::vocabulary::{Context, Field, Hit, Meaning, Sought, leading_hit, may_open};
use super::super::words::List;
use super::asked::{asked, halves_apart, unlike_what_it_asks};
use compact_str::CompactString;
use std::cell::RefCell;

thread_local! {
    static LEADING: RefCell<Kept<Option<(Field, String, bool)>>> = RefCell::default();
}

/// The field a phrase starts with, the words after it, and whether a colon stands between.
pub fn leading_field(text: &str, context: Context) -> Option<(Field, String, bool)> {
    if is_figure(text) {
        return None;
    }
    kept(&LEADING, text, context, || find_leading_field(text, context))
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
    let asks = |w: &CompactString| w == ":" || w == "=";
    let hit = match words.get(hit.start..hit.end).unwrap_or_default() {
        [.., _, last]
            if field == Field::SampleLabel
                && List::OpensName.has(&last.to_lowercase())
                && last.starts_with(char::is_uppercase)
                && words.get(hit.end).is_some_and(|w| !asks(w)) =>
        {
            Hit { end: hit.end - 1, ..hit }
        }
        _ => hit,
    };
    // `Sample type: soil` asks for no name.
    let kind = words
        .get(hit.end)
        .is_some_and(|w| w.eq_ignore_ascii_case("type") || w.eq_ignore_ascii_case("matrix"));
    if field == Field::SampleLabel && kind && words.get(hit.end + 1).is_some_and(|w| w == ":") {
        return Some((Field::Ignored, after_words(text, words.len().saturating_sub(hit.end + 2)), true));
    }
    let ends = |w: &CompactString| w == ":" || w == "=";
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
        .map(CompactString::as_str)
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
    // `Identificación: 1720445-9` is a person's, `Identificación: Tabla 7` a field's.
    let identity = words.first().is_some_and(|w| List::Identity.has(&w.to_lowercase()));
    if field == Field::SampleLabel && hit.end == 1 && identity && figures(&rest) >= MANY_FIGURES {
        return Some((Field::Ignored, rest, colon));
    }
    Some((field, rest, colon))
}

/// `Kliënt / Client: Moss Trust`: where a form asks in two languages, a stroke between, its second name ends here.
pub(super) fn end_of_both(words: &[CompactString], first: Hit, context: Context) -> usize {
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
        || leading_hit(&[word.into()], context, &alike).is_some()
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
