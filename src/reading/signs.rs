//! Signs beside the names of measurements that stand for notes: `Zn‡`, `K* ppm`, `Na ppm (*)`.

use super::label::label;
use super::layout::{Layout, Phrase};
use super::notes::{names_a_method, saves_for_marked};
use super::vocabulary::Context;
use compact_str::CompactString;

/// Signs that stand for notes.
const SIGNS: [&str; 9] = ["*", "**", "***", "†", "††", "‡", "‡‡", "§", "¶"];

fn is_letter_of_signs(c: char) -> bool {
    matches!(c, '*' | '†' | '‡' | '§' | '¶')
}

/// The sign that a word is, alone or in brackets: `**`, `(*)`, `*)`, `†:`.
pub fn alone(word: &str) -> Option<&str> {
    let bare = word.trim_matches(|c| matches!(c, '(' | ')' | '[' | ']' | ':' | '.' | '='));
    SIGNS.contains(&bare).then_some(bare)
}

/// The sign before the first word of a note that stands close to it: `*Ammonium acetate`.
pub fn before(word: &str) -> Option<(&str, &str)> {
    let own = word.trim_start_matches(is_letter_of_signs);
    let sign = word.get(..word.len() - own.len()).filter(|sign| SIGNS.contains(sign))?;
    own.starts_with(char::is_alphanumeric).then_some((sign, own))
}

/// Takes the signs off names that notes explain, as marks beside these. Where a note speaks for all that is not marked, a
/// sign that nobody explains is one as well: what it stands beside may be left out of that note.
pub(super) fn apart(pages: &mut [Layout]) {
    let explained = explained(pages);
    let text = |l: &super::layout::Line| l.phrases.iter().map(Phrase::text).collect::<Vec<_>>().join(" ");
    let all = pages.iter().flat_map(|p| &p.lines).any(|l| saves_for_marked(&text(l)));
    if explained.is_empty() && !all {
        return;
    }
    let stands = |sign: &str| all || explained.iter().any(|known| known == sign);
    for page in pages {
        let lines = page.lines.iter_mut().flat_map(|l| &mut l.phrases);
        for phrase in lines.chain(&mut page.turned) {
            take_off(phrase, &stands);
        }
    }
}

/// The signs that notes open with: at the start of a line and behind that on it, `* saturated paste † loss on ignition`, or
/// anywhere before the name of a method, `P and K by Mehlich-3; * by DTPA`.
fn explained(pages: &[Layout]) -> Vec<String> {
    let mut out = Vec::new();
    for line in pages.iter().flat_map(|p| &p.lines) {
        let words: Vec<&str> =
            line.phrases.iter().flat_map(|p| &p.tokens).flat_map(|t| t.text.split(' ')).collect();
        let Some(first) = words.first() else { continue };
        let close = before(first).filter(|_| !is_name(&words.join(" ")));
        out.extend(close.map(|(sign, _)| sign.to_owned()));
        let opens = alone(first).is_some() || close.is_some();
        for (at, sign) in words.iter().enumerate().filter_map(|(at, word)| Some((at, alone(word)?))) {
            let rest = words.get(at + 1..).unwrap_or_default();
            let told = rest.first().is_some_and(|next| next.contains(char::is_alphanumeric));
            if opens && told || !opens && names_a_method(&rest.join(" ")) {
                out.push(sign.to_owned());
            }
        }
    }
    out
}

/// True for `*K ppm`: a name with a sign before it, and no note.
fn is_name(text: &str) -> bool {
    let own = text.trim_start_matches(is_letter_of_signs);
    names(&label(own, Context { symbols: true, capitals: false }))
}

/// True for what names a measurement, or several, their unit or method, and nothing else.
fn names(said: &super::label::Label) -> bool {
    said.unknown.is_empty() && said.field.is_none() && said.role.is_none() && !said.only_rates()
        || (said.is_result() || said.other) && said.unknown.is_empty()
}

/// A word without the sign beside it, and the sign.
fn of_word<'a>(word: &'a str, stands: &dyn Fn(&str) -> bool) -> Option<(&'a str, &'a str)> {
    if let Some(sign) = alone(word).filter(|sign| stands(sign)) {
        return Some(("", sign));
    }
    let own = word.trim_end_matches(is_letter_of_signs);
    let behind = word.get(own.len()..).filter(|sign| SIGNS.contains(sign) && stands(sign));
    match behind {
        Some(sign) => Some((own, sign)),
        None => before(word).filter(|(sign, _)| stands(sign)).map(|(sign, own)| (own, sign)),
    }
}

/// Takes the signs off a name. A sign alone before words opens a note.
fn take_off(phrase: &mut Phrase, stands: &dyn Fn(&str) -> bool) {
    let text = phrase.text();
    if !text.contains(is_letter_of_signs) || text.split(' ').next().is_some_and(|w| alone(w).is_some()) {
        return;
    }
    // `Elements by Mehlich 3. * Olsen`: behind the end of a sentence a sign opens a note.
    let words: Vec<&str> = text.split(' ').collect();
    let opens = |pair: &[&str]| matches!(pair, [before, sign] if before.ends_with(['.', ';']) && alone(sign).is_some());
    if words.windows(2).any(opens) {
        return;
    }
    let mut signs: Vec<String> = Vec::new();
    let mut own: Vec<CompactString> = Vec::new();
    for token in phrase.tokens.iter() {
        let mut words: Vec<&str> = Vec::new();
        for word in token.text.split(' ') {
            match of_word(word, stands) {
                Some((own, sign)) => {
                    signs.push(sign.to_owned());
                    words.extend(Some(own).filter(|own| !own.is_empty()));
                }
                None => words.push(word),
            }
        }
        own.push(words.join(" ").into());
    }
    let name = own.iter().filter(|text| !text.is_empty()).map(CompactString::as_str).collect::<Vec<_>>();
    let name = name.join(" ");
    if signs.is_empty()
        || !name.contains(char::is_alphabetic)
        || !names(&label(&name, Context { symbols: true, capitals: false }))
    {
        return;
    }
    for (token, own) in phrase.tokens.iter_mut().zip(own) {
        token.text = own;
    }
    phrase.tokens.retain(|token| !token.text.is_empty());
    phrase.marks.extend(signs);
}
