//! The methods that a text beside an analyte names, as far as they can measure it.

use super::super::ditto::is_sign;
use super::super::fold::pieces;
use super::super::label::{buffered, label};
use super::super::vocabulary::{Context, Hit, Meaning, hits_where};
use super::super::words::List;
use crate::soil::{Analyte, Method};
use compact_str::CompactString;

/// The methods a text beside an analyte names, as far as they can measure it.
pub fn method_in(text: &str, analyte: Analyte, context: Context) -> Vec<Option<Method>> {
    let words = pieces(text);
    let context = Context { symbols: false, ..context };
    let hits = hits_where(&words, context, &|m| method_of(*m, analyte).is_some());
    let named = |hit: &Hit| method_of(hit.meaning, analyte).flatten();
    // `1:5 in 0.01 M CaCl2`: a ratio alone tells how much of the liquid that is named beside it.
    let salt = hits.iter().any(|h| matches!(named(h), Some(Method::Cacl2 | Method::Kcl)));
    let ratio = |h: &Hit| h.end == h.start + 1 && words.get(h.start).is_some_and(|w| w.contains(':'));
    let mut out = Vec::new();
    for hit in hits.iter().filter(|h| !(salt && ratio(h))) {
        out.extend(method_of(hit.meaning, analyte));
    }
    out.dedup();
    if analyte == Analyte::Phosphorus { by_colour(out, text) } else { out }
}

/// The methods that the cell of a column of methods names beside an analyte, also such as cannot measure it, which keep
/// those named elsewhere off. `NH4OAC-7`, `DTPA/ICP`: a code is read in its parts where these say nothing else.
pub fn method_told(cell: &str, analyte: Analyte, context: Context) -> Vec<Option<Method>> {
    let told = method_in(cell, analyte, context);
    if told == [Some(Method::AmmoniumAcetate)] && at_another_ph(cell) {
        return vec![None];
    }
    if !told.is_empty() {
        return told;
    }
    let named = |text: &str| -> Vec<Option<Method>> {
        let is_method = |m: &Meaning| matches!(m, Meaning::Method(_));
        let hits = hits_where(&pieces(text), Context { symbols: false, ..context }, &is_method);
        let method = |hit: &Hit| if let Meaning::Method(method) = hit.meaning { Some(method) } else { None };
        hits.iter().filter_map(method).collect()
    };
    let whole = named(cell);
    if !whole.is_empty() {
        return whole;
    }
    let apart = cell.replace(['-', '/'], " ");
    let parts = named(&apart);
    let said = label(&apart, Context { symbols: false, ..context });
    let clear = said.unknown.iter().all(|word| buffered(&parts, Some(word)));
    // A salt beside an extract makes another of it.
    if clear && parts.len() == 1 && said.liquid.is_none() { parts } else { Vec::new() }
}

/// `NH4OAc pH 8.2`, `ammonium acetate, pH4.65`: an extract is its own at the pH it has its name for.
fn at_another_ph(cell: &str) -> bool {
    let words: Vec<CompactString> = pieces(cell).into_iter().map(|w| w.to_lowercase()).collect();
    let figure = words.iter().enumerate().find_map(|(i, word)| match word.strip_prefix("ph")? {
        "" => words.get(i + 1).map(CompactString::as_str),
        glued => Some(glued),
    });
    figure.and_then(|f| f.replace(',', ".").parse::<f64>().ok()).is_some_and(|ph| (ph - 7.0).abs() > 0.05)
}

/// The method that a phrase gives to an analyte: by name, or because the phrase names this analyte with a method.
fn method_of(meaning: Meaning, analyte: Analyte) -> Option<Option<Method>> {
    match meaning {
        Meaning::Method(Some(m)) => adapt(m, analyte).map(Some),
        Meaning::Analyte(a, Some(m), _) if a == analyte => Some(Some(m)),
        _ => None,
    }
}

/// The contract's method for an analyte under a name that several procedures share: a 1:1 slurry is `water-1:1`
/// for pH and `ec-1:1` for salts; "Mehlich" is a buffer for a buffer pH.
pub fn adapt(method: Method, analyte: Analyte) -> Option<Method> {
    if method.measures(analyte) {
        return Some(method);
    }
    let other = match (method, analyte) {
        (Method::Water1to1, Analyte::SolubleSalts) => Method::Ec1to1,
        (Method::Water1to2, Analyte::SolubleSalts) => Method::Ec1to2,
        (Method::Ec1to1, Analyte::Ph) => Method::Water1to1,
        (Method::Ec1to2, Analyte::Ph) => Method::Water1to2,
        _ => return None,
    };
    Some(other)
}

/// True where the contract tells methods of this measurement apart.
pub fn has_methods(analyte: Analyte) -> bool {
    Method::ALL.iter().any(|m| *m != Method::Unstated && m.measures(analyte))
}

/// True where words say that phosphorus was counted by the colour it gives, `molybdenum blue`, and nothing of an instrument
/// that counts it by its light.
pub(super) fn says_colour(text: &str) -> bool {
    List::Colour.within(&text.to_lowercase()) && !says_light(text)
}

fn says_light(text: &str) -> bool {
    text.to_lowercase().split(|c: char| !c.is_alphanumeric()).any(|w| w.starts_with("icp"))
}

/// The methods of phosphorus, where words beside an extract of Mehlich 3 say that it was counted by its colour. Beside words
/// for an instrument nobody knows which is meant.
pub fn by_colour(methods: Vec<Option<Method>>, beside: &str) -> Vec<Option<Method>> {
    let lower = beside.to_lowercase();
    let word = || lower.split(|c: char| !c.is_alphanumeric()).any(|w| List::ColourWord.has(w));
    if methods != [Some(Method::Mehlich3)] || !List::Colour.within(&lower) && !word() {
        return methods;
    }
    if says_light(beside) {
        vec![Some(Method::Mehlich3), None]
    } else {
        vec![Some(Method::Mehlich3Colorimetric)]
    }
}

/// True for `NH4OAC-4.8`, a part of which is the name of an extract.
fn names_an_extract(word: &str, context: Context) -> bool {
    let parts = pieces(&word.replace(['-', '/'], " "));
    let context = Context { symbols: false, ..context };
    !hits_where(&parts, context, &|m| matches!(m, Meaning::Method(_))).is_empty()
}

/// More letters before a number are a word.
const MOST_INITIALS: usize = 4;

/// The words of a method that is not known; none of a text that names one, or only the instrument or the step.
pub fn strange_words(text: &str, context: Context) -> Vec<String> {
    // What a sign repeats that was not written out is not known.
    if is_sign(text) {
        return vec![text.to_owned()];
    }
    let said = label(text, Context { symbols: false, ..context });
    if !said.methods.is_empty() {
        return Vec::new();
    }
    // `HM 31`: initials before a number.
    let numbered = text.contains(|c: char| c.is_ascii_digit());
    let initials = |word: &str| {
        numbered && word.chars().count() <= MOST_INITIALS && word.chars().all(|c| c.is_ascii_uppercase())
    };
    let plain = |word: &str| {
        if initials(word) {
            return true;
        }
        let word = word.to_lowercase();
        let word = word.trim_matches(|c: char| !c.is_alphanumeric());
        word.is_empty()
            || word.contains(|c: char| c.is_ascii_digit()) && !names_an_extract(word, context)
            || List::Procedure.has(word)
            || word.split(['-', '/']).all(|w| List::Procedure.has(w))
    };
    said.unknown.iter().filter(|&word| !plain(word)).cloned().collect()
}

/// More words are a sentence, which is understood clause by clause.
const MOST_WORDS: usize = 8;

/// True for a short note that names a procedure in words of which some are not known.
pub fn half_understood(note: &str, context: Context) -> bool {
    if note.split_whitespace().count() > MOST_WORDS {
        return false;
    }
    let said = label(note, Context { symbols: false, ..context });
    let half = !said.methods.is_empty() && said.method().is_none() && !said.unknown.is_empty();
    half || said.methods.is_empty() && !strange_words(note, context).is_empty()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn phosphorus_counted_by_its_colour_is_told_from_that_counted_by_its_light() {
        let told =
            |cell: &str, analyte| method_told(cell, analyte, Context { symbols: false, capitals: false });
        for cell in
            ["Mehlich 3 - molybdenum blue", "Mehlich-3 (spectrophotometry)", "Mehlich 3 extract, colour"]
        {
            assert_eq!(told(cell, Analyte::Phosphorus), [Some(Method::Mehlich3Colorimetric)], "{cell}");
            assert_eq!(told(cell, Analyte::Potassium), [Some(Method::Mehlich3)], "{cell}");
        }
        assert_eq!(told("Mehlich 3, ICP", Analyte::Phosphorus), [Some(Method::Mehlich3)]);
        assert_eq!(told("Olsen, molybdenum blue", Analyte::Phosphorus), [Some(Method::Olsen)]);
        assert_eq!(told("Mehlich 3, ICP or colour", Analyte::Phosphorus), [Some(Method::Mehlich3), None]);
    }
}
