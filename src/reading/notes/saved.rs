//! Notes that speak for all but what is marked: `All elements by Mehlich 3 unless marked`.

use super::super::fold::pieces;
use super::super::vocabulary::{Context, Meaning, hits_where};
use super::super::words::List;

/// Words between `unless` and `marked`: `unless it is otherwise`.
const MOST_BETWEEN: usize = 5;

/// True where a text leaves out what is marked or said otherwise.
pub fn saves_for_marked(text: &str) -> bool {
    let words: Vec<String> = pieces(text).iter().map(|w| w.trim_end_matches('.').to_lowercase()).collect();
    let opens = |word: &str| List::Excepts.has(word) || List::Unless.has(word);
    words.iter().enumerate().any(|(at, word)| {
        List::Unmarked.has(word)
            || opens(word) && words.iter().skip(at + 1).take(MOST_BETWEEN).any(|w| List::Marked.has(w))
    })
}

/// True for a text that names a method.
pub fn names_a_method(text: &str) -> bool {
    let context = Context { symbols: false, capitals: false };
    let method = |m: &Meaning| matches!(m, Meaning::Method(_) | Meaning::Analyte(_, Some(_), _));
    !hits_where(&pieces(text), context, &method).is_empty()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_note_may_leave_out_what_is_marked() {
        for text in [
            "All elements by Mehlich 3 unless marked.",
            "Mehlich 3 extract except where otherwise stated",
            "All unmarked nutrients: Mehlich-3",
            "Nährstoffe in CAL, sofern nicht anders angegeben.",
        ] {
            assert!(saves_for_marked(text), "{text}");
        }
        for text in ["All elements by Mehlich 3.", "Marked samples are kept", "Mehlich 3 except zinc (DTPA)"]
        {
            assert!(!saves_for_marked(text), "{text}");
        }
    }
}
