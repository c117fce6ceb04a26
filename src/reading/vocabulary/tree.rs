//! The phrases as a tree of spellings.

use super::super::fold::{is_punctuation, pieces};
use super::super::listed::note_bad_line;
use super::load::load;
use super::{Context, Meaning, Sought};
use compact_str::CompactString;
use rustc_hash::{FxHashMap, FxHashSet};
use std::borrow::Cow;
use std::sync::LazyLock;
use unicode_normalization::UnicodeNormalization as _;

/// A spelling of the vocabulary by number: phrases are followed without comparing or copying letters.
pub(super) type Key = u32;

#[derive(Default)]
pub(super) struct Node {
    pub(super) children: FxHashMap<Key, Node>,
    pub(super) meanings: Vec<Meaning>,
}

#[derive(Default)]
pub(super) struct Vocabulary {
    pub(super) root: Node,
    /// Spellings that count with their capitals.
    pub(super) exact: FxHashMap<String, Key>,
    /// Spellings in lower case.
    pub(super) lower: FxHashMap<String, Key>,
    pub(super) count: Key,
    /// What the phrases mean that begin with a spelling, for the kinds that are asked about.
    pub(super) opens: FxHashMap<Key, Opens>,
}

/// What some phrase may mean that begins with a word.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct Opens {
    pub(super) unit: bool,
    pub(super) field: bool,
    pub(super) method: bool,
    pub(super) role: bool,
}

/// Spellings that one word may stand for, at most.
pub(super) const SPELLINGS: usize = 5;

/// A word of a document as the vocabulary may know it.
#[derive(Clone, Copy)]
pub(super) struct Spelled {
    pub(super) keys: [Option<Key>; SPELLINGS],
    /// A bracket, comma, colon or dash, which phrases pass over.
    pub(super) separator: bool,
    /// One letter alone.
    pub(super) letter: bool,
    /// 1 for an opening bracket, -1 for a closing one.
    pub(super) bracket: i32,
    /// The symbol of magnesium, which begins no unit of several words: `Mg kg/ha`.
    pub(super) magnesium: bool,
}

const EXACT: &[&str] = &[
    "Mg", "Mo", "Cl", "As", "Na", "NA", "N.A.", "Ca", "CA", "CL", "Ton", "MO", "AC", "Ac", "P", "K", "S",
    "B", "H", "C", "N", "O", "E", "A", "L", "M", "D", "Al", "Fe", "No", "Co", "IS", "Fer", "Bo", "Db", "Bor",
    "SS", "AA", "SP", "MM", "BI", "LR", "DF", "OP",
];

/// Element symbols that a shouting document prints in capitals.
const SHOUTED: &[(&str, &str)] =
    &[("MG", "Mg"), ("CA", "Ca"), ("NA", "Na"), ("AL", "Al"), ("FE", "Fe"), ("CL", "Cl")];

/// Whether a word is the symbol of an element of two letters, all in capitals (`ZN`) or with its second letter small;
/// none for any other word.
pub fn symbol_in_capitals(word: &str) -> Option<bool> {
    const SYMBOLS: [&str; 8] = ["MG", "CA", "ZN", "MN", "FE", "CU", "AL", "NA"];
    let upper = word.to_uppercase();
    let opens = word.starts_with(char::is_uppercase) && SYMBOLS.contains(&upper.as_str());
    opens.then(|| word == upper)
}

pub(super) static VOCABULARY: LazyLock<Vocabulary> = LazyLock::new(|| {
    let mut vocabulary = Vocabulary::default();
    note_bad_line(load(|phrase, meaning| vocabulary.add(phrase, meaning)));
    // Recognition and plain keyboards lose accents; a phrase that means something itself keeps its meaning.
    let _ = load(|phrase, meaning| {
        if let Some(plain) = without_accents(phrase) {
            vocabulary.add_if_new(&plain, meaning);
        }
    });
    vocabulary
});

/// Every word of the vocabulary in lower case.
static WORDS: LazyLock<FxHashSet<String>> = LazyLock::new(|| {
    let mut words = FxHashSet::default();
    let _ = load(|phrase, _| {
        for phrase in [Some(phrase.to_owned()), without_accents(phrase)].into_iter().flatten() {
            words.extend(phrase_pieces(&phrase).iter().map(|piece| lower(piece).into_owned()));
        }
    });
    words
});

/// The phrase without its accents; none where it has none. Signs of units (`µ`, `°`) are no accents.
pub(super) fn without_accents(phrase: &str) -> Option<String> {
    let accent = |c: &char| ('\u{300}'..'\u{370}').contains(c);
    let plain: String = phrase.nfd().filter(|c| !accent(c)).nfc().collect();
    (plain != phrase).then_some(plain)
}

impl Vocabulary {
    fn add(&mut self, phrase: &str, meaning: Meaning) {
        let Some(node) = self.node(phrase) else { return };
        if !node.meanings.contains(&meaning) {
            node.meanings.push(meaning);
        }
        self.note_opening(phrase, meaning);
    }

    fn note_opening(&mut self, phrase: &str, meaning: Meaning) {
        let Some(first) = phrase_pieces(phrase).into_iter().next() else { return };
        let key = match EXACT.contains(&first.as_str()) {
            true => self.exact.get(first.as_str()),
            false => self.lower.get(lower(&first).as_ref()),
        };
        if let Some(key) = key {
            let opens = self.opens.entry(*key).or_default();
            opens.unit |= Sought::Unit.is(&meaning);
            opens.field |= Sought::Field.is(&meaning);
            opens.method |= Sought::Method.is(&meaning);
            opens.role |= Sought::Role.is(&meaning);
        }
    }

    fn add_if_new(&mut self, phrase: &str, meaning: Meaning) {
        if let Some(node) = self.node(phrase).filter(|node| node.meanings.is_empty()) {
            node.meanings.push(meaning);
            self.note_opening(phrase, meaning);
        }
    }

    /// The place of a phrase; none for one of bare marks (`-`, `<`), which are the number reader's business.
    fn node(&mut self, phrase: &str) -> Option<&mut Node> {
        if phrase_pieces(phrase).is_empty() {
            return None;
        }
        let mut node = &mut self.root;
        for piece in phrase_pieces(phrase) {
            let exact = EXACT.contains(&piece.as_str());
            let (keys, spelling) = if exact {
                (&mut self.exact, piece.into())
            } else {
                (&mut self.lower, lower(&piece).into_owned())
            };
            let key = *keys.entry(spelling).or_insert_with(|| {
                self.count += 1;
                self.count
            });
            node = node.children.entry(key).or_default();
        }
        Some(node)
    }

    /// Every spelling a word may stand for, the nearest first.
    pub(super) fn spelled(&self, word: &str, context: Context) -> Spelled {
        let bare = word.trim_end_matches('.');
        let shouted = SHOUTED.iter().find(|(shouted, _)| context.capitals && *shouted == bare);
        let exact = |word: &str| self.exact.get(word);
        let low = self.lower.get(lower(word).as_ref());
        // A point may end a sentence.
        let short = if bare.len() < word.len() { exact(bare) } else { None };
        let short_low = if bare.len() < word.len() { self.lower.get(lower(bare).as_ref()) } else { None };
        let all = [exact(word), low, short, short_low, shouted.and_then(|(_, symbol)| exact(symbol))];
        let mut keys = [None; SPELLINGS];
        let mut free = 0;
        for key in all.into_iter().flatten() {
            if !keys.contains(&Some(*key)) {
                if let Some(place) = keys.get_mut(free) {
                    *place = Some(*key);
                }
                free += 1;
            }
        }
        let mut letters = word.chars();
        let letter = letters.next().is_some_and(char::is_alphabetic) && letters.next().is_none();
        let bracket = i32::from(matches!(word, "(" | "[")) - i32::from(matches!(word, ")" | "]"));
        Spelled {
            keys,
            separator: is_punctuation(word) && word != "*",
            letter,
            bracket,
            magnesium: word == "Mg",
        }
    }
}

pub(super) fn lower(piece: &str) -> Cow<'_, str> {
    if piece.bytes().all(|b| b.is_ascii() && !b.is_ascii_uppercase()) {
        return Cow::Borrowed(piece.trim_end_matches('.'));
    }
    Cow::Owned(piece.to_lowercase().trim_end_matches('.').to_owned())
}

/// The pieces of a vocabulary phrase, separators left out so that `Phosphorus (P)` and `Phosphorus, P` are one.
pub(super) fn phrase_pieces(phrase: &str) -> Vec<CompactString> {
    pieces(phrase).into_iter().filter(|p| !is_punctuation(p) || p == "%").collect()
}

/// True for a word that stands in some phrase of the vocabulary: of two readings of a print, the likelier.
pub fn is_word(word: &str) -> bool {
    let pieces = phrase_pieces(word);
    !pieces.is_empty() && pieces.iter().all(|piece| WORDS.contains(lower(piece).as_ref()))
}
