//! Words that name nothing by themselves and tell what a text does: of titles, links, advice, headings.

use super::listed::each_word;
use super::vocabulary::VocabularyError;
use rustc_hash::FxHashSet;
use std::sync::LazyLock;

/// What the words of a list are for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum List {
    /// Words of titles, beside those of the vocabulary.
    Title,
    /// Words between a name and its value.
    Link,
    /// Links that state nothing by themselves: "organic matter of 3 % holds water" speaks of soils at large.
    BareLink,
    /// Words before a value that make it the reader's own.
    Yours,
    /// Words that make a sentence speak of a wish, a rule or advice.
    Advice,
    /// Words that open a part of a sentence that only comments on what was said.
    Comment,
    /// Words that show that a sentence tells of this sample.
    OfThis,
    /// Verbs between a name and its value.
    Verb,
    /// Words before how something was measured.
    Manner,
    /// Words that alone are a heading and never the name of a sample.
    Heading,
    /// Words in titles of parts of a report.
    Part,
    /// Words for a piece of ground that samples are named for.
    Ground,
    /// Words for a piece of ground that open its name: `Block 3`.
    Place,
    /// Words that stand in a name without changing it, beside those in `label.rs`.
    Filler,
    /// Words of other languages that make a title one of what to put down.
    Counsel,
    /// Words that rate a result, and tell one piece of ground from another.
    Degree,
    /// Words before a depth that stands behind a name.
    BeforeDepth,
    /// Words before a day that stands behind a name.
    BeforeDay,
}

impl List {
    fn from_id(id: &str) -> Option<Self> {
        Some(match id {
            "title" => Self::Title,
            "link" => Self::Link,
            "bare-link" => Self::BareLink,
            "yours" => Self::Yours,
            "advice" => Self::Advice,
            "comment" => Self::Comment,
            "of-this" => Self::OfThis,
            "verb" => Self::Verb,
            "manner" => Self::Manner,
            "heading" => Self::Heading,
            "part" => Self::Part,
            "ground" => Self::Ground,
            "place" => Self::Place,
            "filler" => Self::Filler,
            "counsel" => Self::Counsel,
            "degree" => Self::Degree,
            "before-depth" => Self::BeforeDepth,
            "before-day" => Self::BeforeDay,
            _ => return None,
        })
    }

    /// True for a word of this list; `word` in lower case.
    pub fn has(self, word: &str) -> bool {
        WORDS.contains(&(self, word))
    }
}

/// A word of a list.
type Entry<'a> = (List, &'a str);

static WORDS: LazyLock<FxHashSet<Entry<'static>>> = LazyLock::new(|| {
    let mut words = FxHashSet::default();
    let _ = load(|entry| words.insert(entry));
    words
});

/// Reads the file and hands each word over; the first bad line is an error.
///
/// # Errors
/// A [`VocabularyError`] for an unknown list, a word that is not in lower case, or one that stands twice.
fn load(mut add: impl FnMut(Entry<'static>) -> bool) -> Result<usize, VocabularyError> {
    each_word(("words.csv", include_str!("words.csv")), List::from_id, |word, kind| add((kind, word)))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_line_is_a_word_of_a_list_and_a_bare_link_is_a_link() {
        let mut seen = FxHashSet::default();
        assert!(load(|entry| seen.insert(entry)).unwrap() > 200);
        let bare = || seen.iter().filter(|(list, _)| *list == List::BareLink);
        assert!(bare().count() > 10 && bare().all(|(_, word)| List::Link.has(word)));
        assert!(List::Title.has("bodenuntersuchung") && !List::Title.has("quibble"));
    }
}
