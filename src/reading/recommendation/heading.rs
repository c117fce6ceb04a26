//! Headings and row names of a table of recommendations: nitrogen, phosphate, potash, and what else.

use crate::place::Rect;
use crate::reading::layout::{Line, Phrase};
use crate::soil::RateUnit;
use regex::Regex;
use std::sync::LazyLock;

/// What a heading names.
#[derive(Debug, Clone, PartialEq)]
pub enum Head {
    /// Nitrogen to put down, with the unit it names.
    Nitrogen {
        /// Its unit, with its letters.
        unit: Option<(RateUnit, String)>,
        /// It says itself that it is recommended.
        explicit: bool,
    },
    /// Phosphate or potash, as a fertiliser's label counts them.
    Oxide,
    /// Anything else.
    Other,
}

/// A heading with its place.
#[derive(Debug, Clone, PartialEq)]
pub struct Item {
    /// What it names.
    pub head: Head,
    /// As printed.
    pub text: String,
    /// Its box.
    pub area: Rect,
}

// `N`, `Nitrogen (N)`, `N rec lb/A`, `Recommended nitrogen, lb/1000 sq ft`: nothing else may be said.
static NITROGEN: LazyLock<Option<Regex>> = LazyLock::new(|| {
    Regex::new(
        r"(?i)^(?P<a>(?:rec(?:\.|ommended|ommendation)?|suggested|required|apply)\s*:?\s+)?(?:actual\s+|annual\s+)?(?:nitrogen\b(?:\s*,?\s*\(?\bn\b\)?)?|n\b)(?P<b>\s*(?:rec\b\.?|recommendation|recommended|required|requirement|needed|to apply))?[\s,:]*\(?\s*(?P<u>[^()]*?)\s*\)?\s*:?$",
    )
    .ok()
});

static OXIDE: LazyLock<Option<Regex>> = LazyLock::new(|| {
    Regex::new(r"(?i)^(?:rec\w*\.?\s+|apply\s+)?(?:p\s*2\s*o\s*5|k\s*2\s*o|phosphate|potash|phosphorus\s*\(?p\s*2\s*o\s*5|potassium\s*\(?k\s*2\s*o)(?:$|[^\p{L}\d])").ok()
});

/// What a text names as a heading or at the head of a row.
pub fn head(text: &str) -> Head {
    // The first letters of all that is told below; most texts open otherwise.
    if text.starts_with(|c: char| c.is_ascii() && !"raspkn".contains(c.to_ascii_lowercase())) {
        return Head::Other;
    }
    if OXIDE.as_ref().is_some_and(|r| r.is_match(text)) {
        return Head::Oxide;
    }
    let Some(found) = NITROGEN.as_ref().and_then(|r| r.captures(text)) else { return Head::Other };
    let explicit = found.name("a").is_some() || found.name("b").is_some();
    let tail = found.name("u").map_or("", |u| u.as_str());
    let unit = RateUnit::from_printed(tail).map(|unit| (unit, tail.to_owned()));
    // `N lb` leaves the area to the caption; `N, %` or `N (g/kg)` is a measurement.
    let mass_alone = matches!(tail.to_lowercase().as_str(), "lb" | "lbs" | "pounds" | "kg");
    if unit.is_none() && !tail.is_empty() && !mass_alone {
        return Head::Other;
    }
    Head::Nitrogen { unit, explicit }
}

/// False where no word of a line begins with the letter of nitrogen, so that no heading of it names any.
pub fn may_name_nitrogen(line: &Line) -> bool {
    let mut words = line.phrases.iter().flat_map(|p| &p.tokens).flat_map(|t| t.text.split(' '));
    words.any(|word| word.starts_with(['n', 'N']))
}

/// The headings of a line, from left to right.
pub fn items(line: &Line) -> Vec<Item> {
    line.phrases.iter().flat_map(phrase_items).collect()
}

/// A phrase is one heading, unless close set columns made one phrase of several nutrients.
fn phrase_items(phrase: &Phrase) -> Vec<Item> {
    let text = phrase.text();
    let whole = head(text);
    if whole == Head::Other && phrase.tokens.len() > 1 {
        let mut parts = Vec::new();
        let mut at = 0;
        while at < phrase.tokens.len() {
            // `P2 O5` are two words of one heading.
            let taken = [2, 1].into_iter().find_map(|count| {
                let part = phrase.part(at, at + count)?;
                let text = part.text();
                let head = head(text);
                (head != Head::Other || count == 1)
                    .then_some((Item { head, text: text.to_owned(), area: part.area }, count))
            });
            let Some((item, count)) = taken else { break };
            parts.push(item);
            at += count;
        }
        if parts.iter().filter(|p| p.head != Head::Other).count() > 1 {
            return parts;
        }
    }
    vec![Item { head: whole, text: text.to_owned(), area: phrase.area }]
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_nitrogen_to_put_down_is_named() {
        let unit = |text: &str| match head(text) {
            Head::Nitrogen { unit, explicit } => Some((unit.map(|u| u.0), explicit)),
            _ => None,
        };
        assert_eq!(unit("N"), Some((None, false)));
        assert_eq!(unit("Nitrogen (N)"), Some((None, false)));
        assert_eq!(unit("Nitrogen, lb/acre"), Some((Some(RateUnit::LbPerAcre), false)));
        assert_eq!(unit("N (lb/1000 sq ft)"), Some((Some(RateUnit::LbPer1000Ft2), false)));
        assert_eq!(unit("N rec lb/A"), Some((Some(RateUnit::LbPerAcre), true)));
        assert_eq!(unit("Recommended N"), Some((None, true)));
        for text in [
            "NO3-N",
            "Nitrate-N",
            "Total nitrogen",
            "N, %",
            "N (g/kg)",
            "N release lb/A",
            "Na",
            "No.",
            "Name",
        ] {
            assert_eq!(unit(text), None, "{text}");
        }
        for text in ["P2O5", "P2 O5", "K 2O", "K2O lb/A", "Phosphate", "Potash (K2O)"] {
            assert_eq!(head(text), Head::Oxide, "{text}");
        }
        assert_eq!(head("Phosphorus"), Head::Other);
    }
}
