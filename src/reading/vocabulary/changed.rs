//! What words beside the name of an extract make of it: `Modified Olsen` and `Morgan (mod.)` are other ones, whatever the one
//! they come of, and `Bray nr. 2` is the second of its name.

use super::super::fold::is_punctuation;
use super::super::words::List;
use super::{Form, Hit, Meaning};
use crate::soil::Method;
use compact_str::CompactString;

/// A phrase beside the words around it: an extract that these say was changed is none of the contract's, where the phrase
/// does not hold them itself, as `modified Morgan` does; a number behind one is part of its name.
pub(super) fn beside(hit: Hit, words: &[CompactString]) -> Hit {
    let hit = numbered(hit, words).unwrap_or(hit);
    let other = match hit.meaning {
        Meaning::Method(Some(m)) if is_extract(m) => Meaning::Method(None),
        Meaning::Analyte(a, Some(m), _) if is_extract(m) => Meaning::Analyte(a, None, Form::Foreign),
        _ => return hit,
    };
    let word = |w: &&CompactString| !is_punctuation(w);
    let before = || words.get(..hit.start).and_then(|w| w.iter().rev().take(REACH).find(word));
    let behind = || words.get(hit.end..).and_then(|w| w.iter().take(REACH).find(word));
    let changed =
        |w: &CompactString| List::Changed.has(w.to_lowercase().trim_matches(|c: char| !c.is_alphanumeric()));
    let changed = before().is_some_and(changed) || behind().is_some_and(changed);
    if changed { Hit { meaning: other, ..hit } } else { hit }
}

/// `P Bray nr. 2`: which of the two of its name an extract is where a number that the phrase does not hold follows it, none of
/// them for any other number; nothing where no number is told so.
fn numbered(hit: Hit, words: &[CompactString]) -> Option<Hit> {
    let (Meaning::Method(Some(Method::BrayP1 | Method::BrayP2))
    | Meaning::Analyte(_, Some(Method::BrayP1 | Method::BrayP2), _)) = hit.meaning
    else {
        return None;
    };
    let held = words.get(hit.start..hit.end).unwrap_or_default();
    if held.iter().any(|w| w.contains(|c: char| c.is_ascii_digit()) || is_roman(w)) {
        return None;
    }
    let mut behind = words.iter().enumerate().skip(hit.end).filter(|(_, w)| !is_punctuation(w));
    behind.next().filter(|(_, w)| List::Number.has(w.to_lowercase().trim_end_matches('.')))?;
    let (at, number) = behind.next()?;
    let method = match number.as_str() {
        "1" | "I" => Some(Method::BrayP1),
        "2" | "II" => Some(Method::BrayP2),
        _ => None,
    };
    let meaning = match hit.meaning {
        Meaning::Analyte(a, _, form) => {
            Meaning::Analyte(a, method, if method.is_some() { form } else { Form::Foreign })
        }
        _ => Meaning::Method(method),
    };
    Some(Hit { meaning, end: at + 1, ..hit })
}

fn is_roman(word: &str) -> bool {
    matches!(word, "I" | "II")
}

fn is_extract(method: Method) -> bool {
    matches!(
        method,
        Method::Morgan
            | Method::Olsen
            | Method::BrayP1
            | Method::BrayP2
            | Method::Mehlich1
            | Method::Mehlich3
    )
}

/// How many pieces away, marks counted, a word still stands beside a phrase.
const REACH: usize = 2;

#[cfg(test)]
mod tests {
    use super::super::super::fold::pieces;
    use super::super::{Context, hits};
    use super::*;

    #[test]
    fn an_extract_that_was_changed_is_another_one() {
        let methods = |text: &str| -> Vec<Option<Method>> {
            let method = |h: &Hit| match h.meaning {
                Meaning::Method(m) | Meaning::Analyte(_, m, _) => Some(m),
                _ => None,
            };
            let context = Context { symbols: false, capitals: false };
            hits(&pieces(text), context).iter().filter_map(method).collect()
        };
        assert_eq!(methods("Modified Morgan's solution"), [Some(Method::ModifiedMorgan)]);
        assert_eq!(methods("Morgan's solution"), [Some(Method::Morgan)]);
        assert_eq!(methods("Morgan modifié"), [Some(Method::ModifiedMorgan)]);
        for text in ["modified Olsen", "Morgan (modif.)", "mod. Bray 1", "Mehlich 3, modificado"] {
            assert_eq!(methods(text), [None], "{text}");
        }
        let second = [Some(Method::BrayP2)];
        for text in ["P Bray nr. 2", "Bray no. 2", "P Bray number 2", "P Bray n° II"] {
            assert_eq!(methods(text), second, "{text}");
        }
        assert_eq!(methods("P Bray nr. 1"), [Some(Method::BrayP1)]);
        assert_eq!(methods("P Bray nr. 4"), [None]);
        assert_eq!(methods("Olsen, a sheet that was modified in May"), [Some(Method::Olsen)]);
    }
}
