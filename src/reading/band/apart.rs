//! The phrases of a heading line, parted where several columns were set close together.

use super::super::cut::cut;
use super::super::fold::{is_punctuation, pieces};
use super::super::former::is_word_for_the_past;
use super::super::kept::{Kept, kept};
use super::super::label::{Label, label};
use super::super::layout::{Layout, Line, Phrase};
use super::super::vocabulary::{Context, Field, Meaning, Role, Sought, hits, leading_hit, may_open};
use super::grow::TIGHT;
use std::cell::RefCell;
use std::rc::Rc;

/// A phrase of a heading line with what it says.
pub struct Part {
    /// Its words.
    pub phrase: Phrase,
    /// What they say.
    pub label: Label,
}

/// The usual gap between the words of a page, points.
pub fn word_space(page: &Layout) -> f32 {
    let mut gaps: Vec<f32> = page
        .lines
        .iter()
        .flat_map(|l| &l.phrases)
        .flat_map(|p| p.tokens.windows(2))
        .filter_map(|w| if let [a, b] = w { Some(b.area.x0 - a.area.x1) } else { None })
        .collect();
    gaps.sort_by(f32::total_cmp);
    gaps.get(gaps.len() / 2).copied().unwrap_or(f32::INFINITY)
}

/// Headings of columns set close together stand further apart than the words of each.
pub fn wide_apart(phrase: &Phrase, space: f32) -> Vec<Phrase> {
    let mut out = Vec::new();
    let mut from = 0;
    for (i, pair) in phrase.tokens.windows(2).enumerate() {
        if let [a, b] = pair
            && b.area.x0 - a.area.x1 > (WIDE * space).max(0.5 * a.size)
        {
            out.extend(phrase.part(from, i + 1));
            from = i + 1;
        }
    }
    if from == 0 {
        return vec![phrase.clone()];
    }
    out.extend(phrase.part(from, phrase.tokens.len()));
    if let Some(last) = out.last_mut() {
        last.marks.clone_from(&phrase.marks);
    }
    out
}

/// How many times the usual gap between words parts two headings.
pub const WIDE: f32 = 1.7;

/// The line tight below one of print, in which its headings may go on.
pub fn goes_on(page: &Layout, at: usize) -> Vec<Phrase> {
    let (Some(line), Some(below)) = (page.lines.get(at), page.lines.get(at + 1)) else { return Vec::new() };
    let tight = !page.cells && below.area.y0 - line.area.y1 < TIGHT * page.em;
    if tight { below.phrases.clone() } else { Vec::new() }
}

pub fn parts(line: &Line, below: &[Phrase], space: f32, context: Context) -> Vec<Part> {
    let context = shouted(line, context);
    // `P Sodium` over `bicarbonate` is phosphorus in an extract of that name, and no sodium.
    let one = |p: &Phrase| {
        below.iter().filter(|b| b.area.overlap_x(&p.area) > 0.5 * b.area.width().min(p.area.width())).any(
            |b| {
                let whole = label(&format!("{} {}", p.text(), b.text()), context);
                whole.analyte.is_some() && !whole.several && whole.unknown.is_empty()
            },
        )
    };
    line.phrases
        .iter()
        .flat_map(|p| wide_apart(p, space))
        .flat_map(|p| units_apart(&p))
        .flat_map(|p| {
            if several(&p, context) && !one(&p) { with_their_past(split(&p, context)) } else { vec![p] }
        })
        .map(|phrase| Part { label: phrase.label(context), phrase })
        .collect()
}

/// `Lime T/A Previous` and `pH`, parted from one phrase: the word of the past is of the name behind it.
fn with_their_past(mut parts: Vec<Phrase>) -> Vec<Phrase> {
    for at in 1..parts.len() {
        let Some([before, own]) = parts.get_mut(at - 1..=at) else { continue };
        let past = before
            .tokens
            .last()
            .filter(|t| before.tokens.len() > 1 && is_word_for_the_past(&t.text))
            .cloned();
        let Some((word, rest)) = past.and_then(|word| Some((word, before.part(0, before.tokens.len() - 1)?)))
        else {
            continue;
        };
        own.area = own.area.union(&word.area);
        own.tokens = std::iter::once(word).chain(own.tokens.iter().cloned()).collect();
        *before = rest;
    }
    parts
}

/// A heading in capitals alone prints `CA` for calcium, whatever the rest of the document does.
pub fn shouted(line: &Line, context: Context) -> Context {
    let text: String = line.phrases.iter().map(Phrase::text).collect();
    let capitals = line.phrases.len() > 4
        && text.chars().any(char::is_uppercase)
        && !text.chars().any(char::is_lowercase);
    Context { capitals: context.capitals || capitals, ..context }
}

/// Words of the longest printed unit or method: `two parts of water to one part of soil`, with room.
const LONGEST: usize = 10;

/// `ppm meq/100 g`, `1:1 water Mehlich 3`, `Lab Number Depth`, `Result Method`: a phrase of units alone, of methods alone,
/// or of unlike fields of a sample or unlike words for what columns hold alone, is those of neighbouring columns.
pub fn units_apart(phrase: &Phrase) -> Vec<Phrase> {
    if phrase.tokens.len() < 2 {
        return vec![phrase.clone()];
    }
    let words: Vec<&str> = phrase.tokens.iter().map(|t| t.text.as_str()).collect();
    // Words alone decide, and headings come again: a word of a table file may hold spaces, so they are joined by none.
    let text = words.join("\u{1f}");
    let ends = kept(&APART, &text, Context { symbols: false, capitals: false }, || ends_apart(phrase));
    if ends.len() < 2 {
        // What stands alone keeps its marks.
        return vec![phrase.clone()];
    }
    let starts = [0].into_iter().chain(ends.iter().copied());
    starts.zip(ends.iter()).filter_map(|(from, to)| phrase.part(from, *to)).collect()
}

thread_local! {
    static APART: RefCell<Kept<Rc<[usize]>>> = RefCell::default();
}

/// Where the parts of a phrase end that is nothing but units, methods, fields or roles; none for any other.
fn ends_apart(phrase: &Phrase) -> Rc<[usize]> {
    let apart = each_apart(phrase, Sought::Unit)
        .or_else(|| each_apart(phrase, Sought::Method).filter(|parts| !said_twice(phrase, parts)))
        .or_else(|| each_apart(phrase, Sought::Field).filter(|parts| unlike(parts)))
        .or_else(|| each_apart(phrase, Sought::Role).filter(|parts| unlike_roles(parts)));
    let lengths = apart.iter().flatten().map(|part| part.tokens.len());
    lengths
        .scan(0, |end, length| {
            *end += length;
            Some(*end)
        })
        .collect()
}

/// `Ammonacetat / NH4OAc`: one method, said again behind a stroke.
fn said_twice(phrase: &Phrase, parts: &[Phrase]) -> bool {
    let context = Context { symbols: false, capitals: false };
    let methods: Vec<_> = parts.iter().map(|p| p.label(context).method()).collect();
    phrase.tokens.iter().any(|t| t.text == "/")
        && methods.iter().all(Option::is_some)
        && methods.windows(2).all(|w| w.first() == w.last())
}

/// True where each part asks for another field of a sample.
fn unlike(parts: &[Phrase]) -> bool {
    use Field::{DepthTop, LabSample, SampleLabel, SampledOn};
    let context = Context { symbols: false, capitals: false };
    let fields: Vec<Option<Field>> = parts.iter().map(|p| p.label(context).field).collect();
    fields.iter().enumerate().all(|(i, f)| {
        matches!(f, Some(SampleLabel | LabSample | DepthTop | SampledOn))
            && !fields.iter().skip(i + 1).any(|other| other == f)
    })
}

/// True where each part says that its column holds another thing.
fn unlike_roles(parts: &[Phrase]) -> bool {
    let context = Context { symbols: false, capitals: false };
    let roles: Vec<Option<Role>> = parts.iter().map(|p| p.label(context).role).collect();
    roles.iter().enumerate().all(|(i, r)| r.is_some() && !roles.iter().skip(i + 1).any(|other| other == r))
}

/// A phrase cut into pieces each of which is one phrase of the vocabulary, taken as long as possible from the left.
fn each_apart(phrase: &Phrase, sought: Sought) -> Option<Vec<Phrase>> {
    let context = Context { symbols: false, capitals: false };
    let one = |part: &Phrase| {
        let words = pieces(part.text());
        let ends = words.iter().rposition(|w| !is_punctuation(w)).map_or(0, |i| i + 1);
        leading_hit(&words, context, &|m| sought.is(m)).is_some_and(|hit| hit.end >= ends)
    };
    let mut out = Vec::new();
    let mut at = 0;
    while let Some(first) = phrase.tokens.get(at) {
        if !may_open(&first.text, sought, context) {
            return None;
        }
        let ends = (at + 1..=phrase.tokens.len().min(at + LONGEST)).rev();
        let (part, end) =
            ends.filter_map(|end| Some((phrase.part(at, end)?, end))).find(|(part, _)| one(part))?;
        out.push(part);
        at = end;
    }
    Some(out)
}

/// True for a phrase of several words that names several measurements.
fn several(phrase: &Phrase, context: Context) -> bool {
    phrase.tokens.len() > 1 && phrase.label(context).several
}

/// A phrase that names several measurements side by side is several headings set close together.
pub fn split(phrase: &Phrase, context: Context) -> Vec<Phrase> {
    if !several(phrase, context) {
        return vec![phrase.clone()];
    }
    let cut = cut(&phrase.tokens);
    let starts: Vec<usize> = hits(&cut.pieces, context)
        .into_iter()
        .filter(|h| matches!(h.meaning, Meaning::Analyte(..) | Meaning::Other))
        .filter_map(|h| cut.owner(h.start))
        .collect();
    let mut cuts: Vec<usize> = starts.into_iter().skip(1).filter(|s| *s > 0).collect();
    cuts.dedup();
    Phrase { marks: Vec::new(), ..phrase.clone() }.parted(&cuts)
}
