//! `1 Front lawn`, `2 Back lawn`, `Orchard S-3`: names all of which open or end with a count of their own.

use super::super::super::across::is_running;
use super::super::super::numbered::FIGURES;
use super::super::super::stems::codes;
use super::Found;
use rustc_hash::FxHashSet;

/// A name cut into the word at one of its ends and the rest.
fn cut(label: &str, first: bool) -> Option<(String, String)> {
    let (word, rest) =
        if first { label.split_once(' ')? } else { label.rsplit_once(' ').map(|(a, b)| (b, a))? };
    let bare = |text: &str| {
        text.trim_matches([' ', '.', ':', ',', ';', '-', '|', '(', ')', '[', ']', '#']).to_lowercase()
    };
    let rest = bare(rest);
    rest.contains(char::is_alphabetic).then(|| (bare(word), rest))
}

/// Whether the words at one end of all names count the samples: they run from 1, number bags, or are codes of one stem;
/// and what is left names each sample by itself.
fn counts(labels: &[&str], first: bool, numbered: bool) -> bool {
    let Some(cuts) = labels.iter().map(|l| cut(l, first)).collect::<Option<Vec<_>>>() else { return false };
    let words: Vec<&str> = cuts.iter().map(|(word, _)| word.as_str()).collect();
    let rests: FxHashSet<&String> = cuts.iter().map(|(_, rest)| rest).collect();
    let owned: Vec<String> = words.iter().map(|w| (*w).to_owned()).collect();
    let long = words.iter().all(|w| w.len() >= FIGURES && w.bytes().all(|b| b.is_ascii_digit()));
    let runs = is_running(&owned) && (words.contains(&"1") || long);
    // Long figures are the client's own where the laboratory's are told besides.
    let own = numbered && long;
    rests.len() == cuts.len() && cuts.len() > 1 && !own && (runs || codes(&words).is_some())
}

/// Names that a count stands beside wait: it is perhaps that of the bags, another one in the next year.
/// `numbered` is true where every sample has a number of the laboratory's besides.
pub(super) fn counted(labels: &[&str], numbered: bool) -> Vec<Option<Found>> {
    let mut unlike: Vec<&str> = labels.to_vec();
    unlike.sort_unstable();
    unlike.dedup();
    if !counts(&unlike, true, numbered) && !counts(&unlike, false, numbered) {
        return vec![None; labels.len()];
    }
    let why = |label: &&str| {
        Some(Found::Unsure(format!("`{label}` may hold a count of the samples that is no part of the name.")))
    };
    labels.iter().map(why).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_count_beside_unlike_names_waits() {
        for labels in [
            ["1 Front lawn", "2 Back lawn", "3 Orchard"],
            ["1. Front lawn", "2. Back lawn", "3. Orchard"],
            ["A1 Front lawn", "A2 Back lawn", "A3 Orchard"],
            ["S-1 (Front lawn)", "S-2 (Back lawn)", "S-3 (Orchard)"],
            ["Front lawn S-1", "Back lawn S-2", "Orchard S-3"],
            ["Front lawn [4471]", "Back lawn [4472]", "Orchard [4473]"],
        ] {
            assert!(counted(&labels, false).iter().all(Option::is_some), "{labels:?}");
        }
        for labels in [
            ["1 Fairway", "2 Fairway", "3 Fairway"],
            ["1 Front lawn", "5 Back lawn", "9 Orchard"],
            ["TP01 topsoil", "TP02 topsoil", "TP03 topsoil"],
            ["Green 4", "Tee 5", "Lawn 6"],
            ["Bay 1", "Bay 2", "Orchard"],
            ["Creek 1A", "Hill 2A", "North 3A"],
            ["12 Mill Lane", "14 Mill Lane", "Orchard"],
        ] {
            assert!(counted(&labels, false).iter().all(Option::is_none), "{labels:?}");
        }
        assert_eq!(counted(&["1 Front lawn"], false), [None]);
        let bags = ["Front lawn 04471", "Back lawn 04472"];
        assert!(
            counted(&bags, false).iter().all(Option::is_some)
                && counted(&bags, true).iter().all(Option::is_none)
        );
        assert!(counted(&["1 Front lawn", "2 Back lawn"], true).iter().all(Option::is_some));
    }
}
