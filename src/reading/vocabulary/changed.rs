//! `Modified Olsen`, `Morgan (mod.)`: an extract that somebody changed is another one, whatever the one it comes of.

use super::super::fold::is_punctuation;
use super::super::words::List;
use super::{Form, Hit, Meaning};
use crate::soil::Method;
use compact_str::CompactString;

/// What a phrase means beside the words around it: an extract that these say was changed is none of the contract's, where
/// the phrase does not hold them itself, as `modified Morgan` does.
pub(super) fn beside(hit: Hit, words: &[CompactString]) -> Meaning {
    let other = match hit.meaning {
        Meaning::Method(Some(m)) if is_extract(m) => Meaning::Method(None),
        Meaning::Analyte(a, Some(m), _) if is_extract(m) => Meaning::Analyte(a, None, Form::Foreign),
        same => return same,
    };
    let word = |w: &&CompactString| !is_punctuation(w);
    let before = || words.get(..hit.start).and_then(|w| w.iter().rev().take(REACH).find(word));
    let behind = || words.get(hit.end..).and_then(|w| w.iter().take(REACH).find(word));
    let changed =
        |w: &CompactString| List::Changed.has(w.to_lowercase().trim_matches(|c: char| !c.is_alphanumeric()));
    if before().is_some_and(changed) || behind().is_some_and(changed) { other } else { hit.meaning }
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
        assert_eq!(methods("Olsen, a sheet that was modified in May"), [Some(Method::Olsen)]);
    }
}
