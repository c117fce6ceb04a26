//! Words that name nothing by themselves and tell what a text does: of titles, links, advice, headings.

use super::listed::{each_word, note_bad_line};
use super::vocabulary::VocabularyError;
use rustc_hash::{FxHashMap, FxHashSet};
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
    /// Words of other languages that make a title one of what to put down.
    Counsel,
    /// Names of what is spread against acid soil.
    Lime,
    /// Words before the number of a table.
    Table,
    /// Weights of what is put down.
    Weight,
    /// Words that rate a result, and tell one piece of ground from another.
    Degree,
    /// What a form calls the club or course whose ground it is, where that stands alone before its name.
    Club,
    /// Words before a depth that stands behind a name.
    BeforeDepth,
    /// Words before a day that stands behind a name.
    BeforeDay,
    /// Names of people whom extracts are called after.
    Inventor,
    /// Words that make another extract of the one they stand beside.
    Changed,
    /// Words that make a note speak of its own page alone.
    OfPage,
    /// Words before the number of one of several of a name.
    Number,
    /// Words that may stand in a name without changing it.
    Filler,
    /// Words before the whole of which something is a share.
    Of,
    /// Words that may stand between these and the whole.
    Article,
    /// Words beside a result that say it is not the last, or none.
    Unsettled,
    /// Words beside a result that stand for `<` or `>`.
    Sign,
    /// Words for water that a soil was stirred into.
    Water,
    /// Words for a salt solution that a soil was stirred into.
    Salt,
    /// Words for an instrument or a step of the work in a laboratory, which name no extract.
    Procedure,
    /// Forms of society that the law keeps for farms.
    FarmForm,
    /// Words that ask for the name of a field or for the number of a person.
    Identity,
    /// Names of plots that a limit or a control of the laboratory's bears too.
    Plot,
    /// Words that tell of what kind a soil is.
    Soil,
    /// Words of headings that ask for a name or a number.
    AsksName,
    /// Words in names that ask for a number of the laboratory's.
    AsksNumber,
    /// Parts of words for counting phosphorus by the colour it gives.
    Colour,
    /// Whole words for the same, which begin other words too.
    ColourWord,
    /// Over a column: what an earlier issue of the report said.
    IssueBefore,
    /// Over a column: what the report says now.
    IssueNow,
    /// What grows on a piece of ground, which names none.
    Crop,
    /// Words that ask for a sample, and may mean the laboratory's number of it.
    AsksSample,
    /// Words that ask for the place a sample comes from.
    AsksPlace,
    /// Words and signs behind which stands how something was done.
    TellsHow,
    /// Words between a measurement and its known method.
    TellsIn,
    /// Words between a method and what it is for.
    LeadsTo,
    /// Words and signs that join two names.
    And,
    /// Words behind which stands what is left out.
    Excepts,
    /// Words behind the names of what is left out, `Mn excepted`.
    Excepted,
    /// Words for `as in the line above`.
    Ditto,
    /// Words over a column of years.
    AsksYear,
    /// Asks what a sample is called, in whatever words.
    AsksIdentity,
    /// Words that alone over a column ask for a name, and are none.
    AsksLabel,
    /// Words that make a field's name longer without changing what it asks for.
    FieldName,
    /// Words for a place that open a name.
    Place,
    /// Words a laboratory's name tends to hold.
    Laboratory,
    /// Words of a heading over several nutrients.
    Group,
    /// Words that tell one group of nutrients from another.
    Rank,
    /// Words after which a clause speaks of when, not of how.
    Condition,
    /// Amounts of whatever was measured, `Gehalte`.
    Contents,
    /// Words for what a note leaves out by a mark or by words of its own, behind `unless`.
    Marked,
    /// Words behind which stands in which case a note does not hold.
    Unless,
    /// Words for what has no mark.
    Unmarked,
    /// Words that make a clause advice or arithmetic instead of a procedure.
    NoProcedure,
    /// Over a column from so much to so much, or the name of a piece of ground: `Range`.
    Interval,
    /// Names before a colon for those whose soil it may be.
    AskedParty,
    /// Names before a colon for ground or a bag that may name the sample.
    AskedPlace,
    /// Names before a colon for days in the laboratory.
    AskedDay,
    /// Names before a colon for the day samples came in.
    AskedReceived,
    /// Names before a colon for the day results went out.
    AskedReported,
    /// Names before a colon for whom a letter is to.
    Addressed,
    /// Names before a colon for who shall read it there.
    Attention,
    /// Names before a colon for who wrote it.
    Sender,
    /// Words for people at large in a salutation: nobody's name.
    Greeted,
    /// Words in names of firms, families and societies.
    Firm,
    /// Words that end the name of a farm.
    FarmWord,
    /// Titles before a person's name.
    Courtesy,
    /// Words for those who sample, advise or analyse, and own no ground of the report's.
    Agent,
    /// Words before a number behind a sample's name.
    Reference,
    /// Words over the column of a table that explains codes where these stand.
    AsksCode,
    /// Words over the column where such a table says what they mean.
    AsksMeaning,
    /// Words for the exchangeable cations together.
    Cations,
    /// Nutrients at large, `all nutrients`.
    Nutrients,
    /// Words of headings over several columns that only say of which kind these are.
    Kind,
    /// What stands in the name of organic matter that was reckoned from carbon.
    FromCarbon,
    /// Words before `tests` or `results` that tell nothing of these.
    Further,
    /// Words behind `Sample` that ask for its name before a colon, and without one open the name: `Sample Mark 3`.
    OpensName,
    /// Words before the one of several that something is said of.
    SinglesOut,
    /// Words for kinds of report, copies, packages and seasons: nobody whose soil it is.
    NoOwner,
    /// Words that alone over a column of a table ask for names, and mean something else or are a name anywhere else.
    NamesRows,
    /// Words before the form that something is counted as: `come P2O5`.
    CountedAs,
    /// Words over results that were taken back.
    NoLonger,
    /// Words over results of an earlier issue; of other columns they may be names.
    Formerly,
    /// Words over results that were put right.
    Corrected,
    /// Words over results that count now; of other columns they may be names.
    AtPresent,
    /// What is said of a value that an amended report leaves as it was.
    Unchanged,
}

impl List {
    fn from_id(id: &str) -> Option<Self> {
        Some(match id {
            "title" => Self::Title,
            "no-owner" => Self::NoOwner,
            "names-rows" => Self::NamesRows,
            "counted-as" => Self::CountedAs,
            "no-longer" => Self::NoLonger,
            "formerly" => Self::Formerly,
            "corrected" => Self::Corrected,
            "at-present" => Self::AtPresent,
            "unchanged" => Self::Unchanged,
            "singles-out" => Self::SinglesOut,
            "opens-name" => Self::OpensName,
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
            "counsel" => Self::Counsel,
            "lime" => Self::Lime,
            "table" => Self::Table,
            "weight" => Self::Weight,
            "degree" => Self::Degree,
            "club" => Self::Club,
            "before-depth" => Self::BeforeDepth,
            "before-day" => Self::BeforeDay,
            "inventor" => Self::Inventor,
            "changed" => Self::Changed,
            "of-page" => Self::OfPage,
            "number" => Self::Number,
            "filler" => Self::Filler,
            "of" => Self::Of,
            "article" => Self::Article,
            "unsettled" => Self::Unsettled,
            "sign" => Self::Sign,
            "water" => Self::Water,
            "salt" => Self::Salt,
            "procedure" => Self::Procedure,
            "farm-form" => Self::FarmForm,
            "identity" => Self::Identity,
            "plot" => Self::Plot,
            "soil" => Self::Soil,
            "asks-name" => Self::AsksName,
            "asks-number" => Self::AsksNumber,
            "colour" => Self::Colour,
            "colour-word" => Self::ColourWord,
            "issue-before" => Self::IssueBefore,
            "issue-now" => Self::IssueNow,
            "crop" => Self::Crop,
            "asks-sample" => Self::AsksSample,
            "asks-place" => Self::AsksPlace,
            "tells-how" => Self::TellsHow,
            "tells-in" => Self::TellsIn,
            "leads-to" => Self::LeadsTo,
            "and" => Self::And,
            "excepts" => Self::Excepts,
            "excepted" => Self::Excepted,
            "ditto" => Self::Ditto,
            "asks-year" => Self::AsksYear,
            "asks-identity" => Self::AsksIdentity,
            "asks-label" => Self::AsksLabel,
            "field-name" => Self::FieldName,
            "place" => Self::Place,
            "laboratory" => Self::Laboratory,
            "group" => Self::Group,
            "rank" => Self::Rank,
            "condition" => Self::Condition,
            "contents" => Self::Contents,
            "marked" => Self::Marked,
            "unless" => Self::Unless,
            "unmarked" => Self::Unmarked,
            "no-procedure" => Self::NoProcedure,
            "interval" => Self::Interval,
            "asked-party" => Self::AskedParty,
            "asked-place" => Self::AskedPlace,
            "addressed" => Self::Addressed,
            "attention" => Self::Attention,
            "sender" => Self::Sender,
            "asked-day" => Self::AskedDay,
            "asked-received" => Self::AskedReceived,
            "asked-reported" => Self::AskedReported,
            "greeted" => Self::Greeted,
            "firm" => Self::Firm,
            "farm-word" => Self::FarmWord,
            "courtesy" => Self::Courtesy,
            "reference" => Self::Reference,
            "cations" => Self::Cations,
            "nutrients" => Self::Nutrients,
            "kind" => Self::Kind,
            "from-carbon" => Self::FromCarbon,
            "further" => Self::Further,
            "agent" => Self::Agent,
            "asks-code" => Self::AsksCode,
            "asks-meaning" => Self::AsksMeaning,
            _ => return None,
        })
    }

    /// True for a word of this list; `word` in lower case.
    pub fn has(self, word: &str) -> bool {
        WORDS.contains(&(self, word))
    }

    /// True where a word of this list stands anywhere in the text, parts of words too; the text in lower case. Asks each
    /// word of the list.
    pub fn within(self, text: &str) -> bool {
        LISTS.get(&self).is_some_and(|words| words.iter().any(|w| text.contains(w)))
    }

    /// True where a word of this list stands among the words of a text that has a space at each end; in lower case. Asks
    /// each word of the list.
    pub fn among(self, text: &str) -> bool {
        let own = |w: &&str| {
            text.match_indices(*w).any(|(at, w)| {
                let before = text.get(..at).is_some_and(|t| t.ends_with(' '));
                before && text.get(at + w.len()..).is_some_and(|t| t.starts_with(' '))
            })
        };
        LISTS.get(&self).is_some_and(|words| words.iter().any(own))
    }
}

/// A word of a list.
type Entry<'a> = (List, &'a str);

static WORDS: LazyLock<FxHashSet<Entry<'static>>> = LazyLock::new(|| {
    let mut words = FxHashSet::default();
    note_bad_line(load(|entry| words.insert(entry)));
    words
});

static LISTS: LazyLock<FxHashMap<List, Vec<&'static str>>> = LazyLock::new(|| {
    let mut lists: FxHashMap<_, Vec<_>> = FxHashMap::default();
    for (list, word) in WORDS.iter() {
        lists.entry(*list).or_default().push(*word);
    }
    lists
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
        assert!(List::Soil.within("sandy loam") && !List::Soil.within("moss") && !List::Soil.has("sandy"));
    }
}
