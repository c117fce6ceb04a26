//! Names of what a laboratory measures of its own beside the samples: `Ref soil 12`, `In-house standard`, `Bed 9 (QC)`.

use super::super::found::FoundSample;
use super::super::listed::{each_word, note_bad_line};
use super::super::vocabulary::{Field, VocabularyError};
use super::doubt::doubt_all;
use crate::soil::Doubt;
use std::collections::{HashMap, HashSet};
use std::sync::LazyLock;

/// What a word says of a name.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
enum Says {
    /// `Ref`: what is checked against.
    Kind,
    /// `House`: whose it is, which may be part of a name.
    Owner,
    /// `soil`: what it is.
    Matter,
    /// `Referenzboden`: all of it.
    Whole,
    /// `(QC)`: a control, in brackets behind any name.
    Bracket,
    /// `Wdh.`: measured once more, beside the name of what was.
    Repeat,
    /// `(control)`: the laboratory's, or the plot of a trial that was left alone.
    Perhaps,
}

static WORDS: LazyLock<HashMap<Says, HashSet<&'static str>>> = LazyLock::new(|| {
    let mut words: HashMap<Says, HashSet<&'static str>> = HashMap::new();
    note_bad_line(load(|word, says| words.entry(says).or_default().insert(word)));
    words
});

/// Reads the words and hands each over; the first bad line is an error.
fn load(add: impl FnMut(&'static str, Says) -> bool) -> Result<usize, VocabularyError> {
    let says = |id: &str| {
        Some(match id {
            "kind" => Says::Kind,
            "owner" => Says::Owner,
            "matter" => Says::Matter,
            "whole" => Says::Whole,
            "bracket" => Says::Bracket,
            "repeat" => Says::Repeat,
            "perhaps" => Says::Perhaps,
            _ => return None,
        })
    };
    each_word(("controls.csv", include_str!("controls.csv")), says, add)
}

fn is(says: Says, word: &str) -> bool {
    WORDS.get(&says).is_some_and(|words| words.contains(word))
}

/// How sure a name is of being that of a control.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Control {
    Surely,
    Perhaps,
}

/// The longest mark behind such a name, `Ref soil 12b`.
const LONGEST_MARK: usize = 3;

/// The longest code before one, `ES-12 Check soil`.
const LONGEST_CODE: usize = 6;

/// What a name says of a control; nothing for most.
fn of(name: &str) -> Option<Control> {
    let lower = name.trim().to_lowercase();
    let bracket = lower.strip_suffix([')', ']']).and_then(|rest| rest.rsplit_once(['(', '[']));
    if let Some((before, inside)) = bracket.filter(|(before, _)| !before.trim().is_empty()) {
        let inside = inside.trim();
        return if is(Says::Bracket, inside) {
            Some(Control::Surely)
        } else if is(Says::Perhaps, inside) {
            Some(Control::Perhaps)
        } else {
            words(inside).or_else(|| words(before.trim()))
        };
    }
    // `Kontrole / Control`: the same in two languages.
    let both = lower
        .split_once(" / ")
        .is_some_and(|(one, other)| is(Says::Perhaps, one) && is(Says::Perhaps, other));
    if both { Some(Control::Perhaps) } else { words(&lower).or_else(|| holds_whole(&lower)) }
}

/// `Kontrollboden Charge West`: words that only a control bears, beside others.
fn holds_whole(lower: &str) -> Option<Control> {
    let words: Vec<&str> =
        lower.split(|c: char| !c.is_alphanumeric() && c != '\'').filter(|w| !w.is_empty()).collect();
    let whole = |n: usize| words.windows(n).any(|w| is(Says::Whole, &w.join(" ")));
    (1..=MOST_OF_WHOLE).any(whole).then_some(Control::Perhaps)
}

/// The most words of a name that is one of a control by itself.
const MOST_OF_WHOLE: usize = 4;

/// True for `Wdh.`, `duplo`: measured once more.
pub(super) fn is_repeat(word: &str) -> bool {
    is(Says::Repeat, word)
}

/// What the words of a name say, all of which have to be of this kind.
fn words(lower: &str) -> Option<Control> {
    // `Kontrollboden KB-7`: a code with a figure behind all that says what it is.
    let coded = lower.rsplit_once(' ').filter(|(_, last)| {
        last.chars().count() <= LONGEST_CODE
            && last.contains(['-', '/', '.'])
            && last.contains(|c: char| c.is_ascii_digit())
            && last.chars().all(|c| c.is_alphanumeric() || matches!(c, '-' | '/' | '.'))
    });
    if let Some((before, _)) = coded
        && let Some(told) = self::words(before.trim())
    {
        return Some(told);
    }
    let spaced = lower.replace(['-', '_'], " ");
    let mut words: Vec<&str> = spaced
        .split_whitespace()
        .map(|w| w.trim_matches(|c: char| !c.is_alphanumeric()))
        .filter(|w| !w.is_empty())
        .collect();
    let mark = |w: &&&str| {
        let letters = w.chars().count();
        letters <= LONGEST_MARK && (letters == 1 || w.contains(|c: char| c.is_ascii_digit()))
    };
    if words.len() > 1 && words.last().filter(mark).is_some() {
        words.pop();
    }
    // `ES-9 Check soil`: a mark in front of all that says what it is.
    let marked = lower.split_once(' ').filter(|(first, _)| {
        first.chars().count() <= LONGEST_CODE && first.contains(|c: char| c.is_ascii_digit())
    });
    if let Some(told) = marked.and_then(|(_, rest)| self::words(rest.trim()))
        && told == Control::Surely
    {
        return Some(told);
    }
    if is(Says::Whole, &words.join(" ")) {
        return Some(Control::Surely);
    }
    let mut rest = words.as_slice();
    let (mut parts, mut kinds, mut owners) = (0, 0, 0);
    while let [first, more @ ..] = rest {
        let two = more.first().map(|second| format!("{first} {second}"));
        rest = more;
        parts += 1;
        if two.is_some_and(|two| is(Says::Kind, &two)) {
            kinds += 1;
            rest = more.get(1..).unwrap_or_default();
        } else if is(Says::Kind, first) {
            kinds += 1;
        } else if is(Says::Owner, first) {
            owners += 1;
        } else if !is(Says::Matter, first) {
            return None;
        }
    }
    match (parts, kinds, owners) {
        (0 | 1, ..) | (_, 0, 0) => None,
        (_, 0, _) => Some(Control::Perhaps),
        _ => Some(Control::Surely),
    }
}

/// True for a word that says of a row in whatever column that it is perhaps a control's.
pub(super) fn is_kind_anywhere(text: &str) -> bool {
    let lower = text.trim().to_lowercase();
    is(Says::Bracket, &lower) || is(Says::Perhaps, &lower)
}

/// True for a name that only a control bears.
pub fn is_control(name: &str) -> bool {
    of(name) == Some(Control::Surely)
}

/// `Batch quality control`: the title of a table of what the laboratory checks itself by.
pub fn is_title_of_controls(title: &str) -> bool {
    let lower = title.to_lowercase();
    let words: Vec<&str> = lower.split(|c: char| !c.is_alphanumeric()).filter(|w| !w.is_empty()).collect();
    let says = |n: usize| words.windows(n).any(|w| matches!(w.join(" ").as_str(), "qc" | "quality control"));
    words.len() <= MOST_WORDS && !title.ends_with('.') && (says(1) || says(2))
}

/// More words make a sentence.
const MOST_WORDS: usize = 6;

/// Samples whose names may be those of controls wait.
pub fn doubt_controls(samples: &mut [FoundSample]) {
    for sample in samples {
        let name = sample.field(Field::SampleLabel).filter(|name| of(name).is_some());
        if let Some(doubt) = name.map(perhaps) {
            doubt_all(std::slice::from_mut(sample), Some(&doubt));
        }
    }
}

/// Said of what may be a control.
pub fn perhaps(name: &str) -> Doubt {
    Doubt::new(
        "control-perhaps",
        format!("`{name}` may be a blank or a control of the laboratory's own, and no sample."),
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_line_is_a_word() {
        let mut seen = HashSet::new();
        assert!(load(|word, says| seen.insert((says, word))).unwrap() > 30);
    }

    #[test]
    fn the_title_over_controls_says_so() {
        assert!(is_title_of_controls("Batch quality control") && is_title_of_controls("QC results"));
        assert!(!is_title_of_controls("Quality of turf") && !is_title_of_controls("Weed control"));
    }

    #[test]
    fn soils_to_check_against_and_words_in_brackets_are_controls() {
        let surely = [
            "Ref soil 12",
            "Check soil",
            "In-house reference",
            "Standard soil B",
            "Soil standard 2",
            "Certified reference material 7",
            "House standard",
            "Referenzboden 3",
            "House soil 9 (QC)",
            "ES-9 Check soil",
            "12 Reference soil",
            "Bed 4 [blank]",
            "Bed 4 (in-house reference)",
            "Kontrollboden KB-7",
            "Kontrolljord",
            "Próbka kontrolna 2",
            "Amostra de referência AR-1",
        ];
        for name in surely {
            assert_eq!(of(name), Some(Control::Surely), "{name}");
        }
        for name in [
            "House soil",
            "House soil 9",
            "Lab soil 2",
            "Plot 4 (control)",
            "Bed 2 (check)",
            "Kontrole / Control",
            "Kontrollboden Charge West",
            "Lot 7 suelo de referencia",
        ] {
            assert_eq!(of(name), Some(Control::Perhaps), "{name}");
        }
        let names = [
            "House lawn",
            "Soil 3",
            "Ref",
            "Standard roses",
            "Check strip 2",
            "House",
            "Old soil (B)",
            "R-2 Check strip",
            "3 House lawn",
            "Lab bed 3",
            "Topsoil check bed",
            "(QC)",
            "Internal road",
            "Material store",
            "Control / West",
            "Kontrollacker KB-7",
            "Referenzhof 2",
            "Am Kontrollweg",
        ];
        for name in names {
            assert_eq!(of(name), None, "{name}");
        }
    }
}
