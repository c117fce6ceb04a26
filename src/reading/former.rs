//! What is of a former season: rows called `in 2022`, sheets named `2022`, tables titled `Results 2022, for comparison`.

use super::across::doubt_all;
use super::atom::Atom;
use super::found::FoundSample;
use super::gather::Gathered;
use super::header::FieldValue;
use super::label::year_of;
use super::layout::{Layout, Line};
use super::listed::{each_word, note_bad_line};
use super::vocabulary::{Field, VocabularyError};
use crate::soil::Doubt;
use rustc_hash::FxHashMap;
use std::sync::LazyLock;

/// What a word says that stands with a year and makes no name of it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Says {
    /// Nothing but that a season is meant.
    Season,
    /// That it is past.
    Past,
    /// That results are meant.
    Results,
}

static WORDS: LazyLock<FxHashMap<&'static str, Says>> = LazyLock::new(|| {
    let mut words = FxHashMap::default();
    note_bad_line(load(|word, says| words.insert(word, says).is_none()));
    words
});

/// Reads the words and hands each over; the first bad line is an error.
fn load(add: impl FnMut(&'static str, Says) -> bool) -> Result<usize, VocabularyError> {
    let says = |id: &str| {
        Some(match id {
            "season" => Says::Season,
            "past" => Says::Past,
            "results" => Says::Results,
            _ => return None,
        })
    };
    each_word(("seasons.csv", include_str!("seasons.csv")), says, add)
}

/// A text that names a season and nothing else.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
struct Season {
    year: i16,
    /// The year stands alone, and may be a number.
    bare: bool,
}

fn words(text: &str) -> Vec<String> {
    text.to_lowercase()
        .split(|c: char| !c.is_alphanumeric())
        .filter(|w| !w.is_empty())
        .map(str::to_owned)
        .collect()
}

fn season(text: &str) -> Option<Season> {
    let words = words(text);
    let mut years = words.iter().filter_map(|w| year_of(w));
    let (year, None) = (years.next()?, years.next()) else { return None };
    let known = |w: &String| year_of(w).is_some() || WORDS.contains_key(w.as_str());
    words.iter().all(known).then_some(Season { year, bare: words.len() == 1 })
}

/// The year of a title that speaks of a former season; 0 where it names none.
fn past(title: &str) -> Option<i16> {
    let words = words(title);
    let says = |what| words.iter().any(|w| WORDS.get(w.as_str()) == Some(&what));
    (says(Says::Past) && says(Says::Results))
        .then(|| words.iter().filter_map(|w| year_of(w)).min().unwrap_or(0))
}

/// True for a text of nothing but words that tell of a former result: `(earlier test)`, `Last year`.
pub fn tells(text: &str) -> bool {
    let known = |w: &String| year_of(w).is_some() || WORDS.contains_key(w.as_str());
    past(text).is_some() && words(text).iter().all(known)
}

/// `Earlier results, same field`, `Previous results (2021)`: a heading of results of the past, whatever is said behind it.
pub fn earlier(heading: &str) -> bool {
    let own = heading.split([',', '(', ';']).next().unwrap_or_default();
    let bare: Vec<&str> = own.split(' ').filter(|w| w.contains(char::is_alphabetic)).collect();
    let bare = bare.join(" ");
    past(&bare).is_some() && tells(&bare)
}

/// True for a text of nothing but words for the past, and perhaps a year: `(previous)`, `2021 (prior)`.
fn is_past(text: &str) -> bool {
    let words = words(text);
    let known = |w: &String| year_of(w).is_some() || WORDS.contains_key(w.as_str());
    words.iter().all(known) && words.iter().any(|w| WORDS.get(w.as_str()) == Some(&Says::Past))
}

/// `previous`, `last`: a word that says of what stands beside it that it is past.
pub fn is_word_for_the_past(word: &str) -> bool {
    WORDS.get(word.trim_matches(|c: char| !c.is_alphanumeric()).to_lowercase().as_str()) == Some(&Says::Past)
}

/// What is left of a name that ends in a year, `Long acre` of `Long acre 2021` or `Long acre (2021)`.
pub fn without_year(name: &str) -> Option<&str> {
    let (stem, year) = name.rsplit_once(' ')?;
    year_of(year.trim_matches(['(', ')', '\'', '[', ']']))?;
    Some(stem.trim_end_matches([',', '-', ' '])).filter(|stem| !stem.is_empty())
}

/// Said of every number that may be of a former season.
fn doubt(text: &str) -> Doubt {
    Doubt::new("former-season", format!("`{text}` over or beside these numbers speaks of a former season."))
}

/// Rows named for a year before the report's are dropped; a year alone may be the number of a bag, and waits.
pub fn rows(samples: &mut Vec<FoundSample>, own: Option<i16>) {
    let of = |s: &FoundSample| s.field(Field::SampleLabel).filter(|_| s.named_by_table).and_then(season);
    let others = samples.iter().any(|s| s.named_by_table && !s.readings.is_empty() && of(s).is_none());
    samples.retain(|s| {
        let former = of(s).is_some_and(|season| !season.bare && own.is_some_and(|own| season.year < own));
        !(former && others && s.field(Field::LabSample).is_none())
    });
    without_past_numbers(samples);
    for reading in samples.iter_mut().flat_map(|s| &mut s.readings) {
        // The latest of the seasons over the columns of a table, and long before the report's own all the same.
        // A year after it is one of a plan.
        if let Some(year) = reading.label.year.filter(|y| own.is_some_and(|own| own - y > 1 || *y > own)) {
            reading.doubts.push(doubt(&year.to_string()));
        }
    }
    for sample in samples.iter_mut().filter(|s| s.named_by_table) {
        let told = sample.fields.iter().find(|(f, text)| *f != Field::SampleLabel && tells(text));
        if let Some(doubt) = told.map(|(_, text)| doubt(text)) {
            doubt_all(std::slice::from_mut(sample), Some(&doubt));
        }
    }
    for sample in samples.iter_mut() {
        if of(sample).is_some() && others && sample.field(Field::LabSample).is_none() {
            let doubt = doubt(sample.field(Field::SampleLabel).unwrap_or_default());
            doubt_all(std::slice::from_mut(sample), Some(&doubt));
        }
    }
}

/// `Field 3 | 51120` over `Field 3 | (previous)`: a row that has a word for the past where the others have the laboratory's
/// number is of a former season. Without a row of the same name that has one nobody knows, and it waits.
fn without_past_numbers(samples: &mut Vec<FoundSample>) {
    let told = |s: &FoundSample| s.named_by_table && s.field(Field::LabSample).is_some_and(is_past);
    let numbered: Vec<String> = samples
        .iter()
        .filter(|s| {
            s.field(Field::LabSample).is_some_and(|n| n.contains(|c: char| c.is_ascii_digit()) && !is_past(n))
        })
        .filter_map(|s| s.field(Field::SampleLabel).map(str::to_owned))
        .collect();
    samples.retain(|s| {
        !(told(s) && s.field(Field::SampleLabel).is_some_and(|l| numbered.iter().any(|n| n == l)))
    });
    for sample in samples.iter_mut().filter(|s| told(s)) {
        let doubt = doubt(sample.field(Field::LabSample).unwrap_or_default());
        doubt_all(std::slice::from_mut(sample), Some(&doubt));
    }
}

/// What the title right above a table says: of a former season (true where its year is before the report's), or nothing.
pub fn titled(page: &Layout, first: usize, own: Option<i16>) -> Option<(bool, Doubt)> {
    let line = page.lines.get(first.checked_sub(1)?)?;
    let below = page.lines.get(first)?;
    let [phrase] = line.phrases.as_slice() else { return None };
    let near = page.cells || below.area.y0 - line.area.y1 < 3.0 * page.em;
    let text = phrase.text();
    let year = past(text).filter(|_| near && text.split(' ').count() <= MOST_WORDS)?;
    Some((year > 0 && own.is_some_and(|own| year < own), doubt(text)))
}

/// True where every row of a table has a year before the report's own, all in one column.
pub fn each_row_before(atoms: &[Vec<Atom>], lines: &[usize], own: Option<i16>) -> bool {
    let before = |a: &&Atom| year_of(&a.text).is_some_and(|year| own.is_some_and(|own| year < own));
    let column = lines.first().and_then(|i| atoms.get(*i)?.iter().find(before)).map(|a| a.area.mid_x());
    column.is_some_and(|x| {
        lines.iter().all(|i| {
            let here = |a: &Atom| before(&a) && (a.area.mid_x() - x).abs() < 1.0;
            atoms.get(*i).is_some_and(|row| row.iter().any(here))
        })
    })
}

/// True for a line of one phrase that begins a table of a former season, or of a year before the report's own.
pub fn begins(line: &Line, own: Option<i16>) -> bool {
    let [phrase] = line.phrases.as_slice() else { return false };
    let text = phrase.text();
    text.split(' ').count() <= MOST_WORDS
        && !text.contains(':')
        && (past(text).is_some() || of_before(text, own))
}

/// `Results of March 2021` in a report of 2024: results, and a season or year before the report's own, and nothing else.
fn of_before(title: &str, own: Option<i16>) -> bool {
    let words = words(title);
    let mut years = words.iter().filter_map(|w| year_of(w));
    let (Some(year), None) = (years.next(), years.next()) else { return false };
    let results = words.iter().any(|w| WORDS.get(w.as_str()) == Some(&Says::Results));
    results && own.is_some_and(|own| year < own)
}

/// What the line right above or the one over its heading says of a table of analytes that begins on line `first`, in
/// the lines that no row above it has taken: of a former season (true where its year is before the report's), or nothing.
pub fn over_rows(page: &Layout, above: usize, first: usize, own: Option<i16>) -> Option<(bool, Doubt)> {
    let lines = page.lines.get(above..first)?;
    let line = lines.iter().rev().find(|l| begins(l, own))?;
    let text = line.phrases.first()?.text();
    let year = past(text).unwrap_or_default();
    let before = of_before(text, own) || year > 0 && own.is_some_and(|own| year < own);
    Some((before, doubt(text)))
}

/// More words are a sentence.
const MOST_WORDS: usize = 12;

/// Sheets named for a season that is not the report's, and without a day of their own: of a former one where the year is
/// before the report's and other sheets hold results, else not sure.
pub fn sheets(gathered: &mut Gathered, names: &[(u32, String)]) {
    for (page, name) in names {
        let Some(season) = season(name).filter(|s| gathered.year != Some(s.year)) else { continue };
        let day = |field: Field| matches!(field, Field::SampledOn | Field::ReceivedOn | Field::ReportedOn);
        let dated = |f: &FieldValue| f.page == *page && day(f.field);
        let own_day = |s: &FoundSample| s.page == *page && s.fields.iter().any(|(f, _)| day(*f));
        if gathered.fields.iter().any(dated) || gathered.samples.iter().any(own_day) {
            continue;
        }
        let before = gathered.year.is_some_and(|own| season.year < own);
        let others = gathered.samples.iter().any(|s| s.page != *page && !s.readings.is_empty());
        if before && others {
            gathered.samples.retain(|s| s.page != *page);
            continue;
        }
        if !others {
            continue;
        }
        for sample in gathered.samples.iter_mut().filter(|s| s.page == *page) {
            doubt_all(std::slice::from_mut(sample), Some(&doubt(name)));
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_line_is_a_word() {
        let mut seen = FxHashMap::default();
        assert!(load(|word, says| seen.insert(word, says).is_none()).unwrap() > 25);
    }

    #[test]
    fn a_season_is_a_year_among_words_of_seasons() {
        assert_eq!(season("in 2021"), Some(Season { year: 2021, bare: false }));
        assert_eq!(season("2021"), Some(Season { year: 2021, bare: true }));
        assert_eq!(season("Spring 2021 results").map(|s| s.year), Some(2021));
        for text in ["Bed 2021", "North", "2020 2021", "40 acres"] {
            assert_eq!(season(text), None, "{text}");
        }
        assert_eq!(past("Results 2021, for comparison"), Some(2021));
        assert_eq!(past("Previous results"), Some(0));
        assert_eq!(past("Past the old mill"), None);
        assert_eq!(past("Results 2021"), None);
        assert!(tells("(earlier test)") && tells("Last year"));
        assert!(!tells("Old test bed") && !tells("Test 2"));
        assert!(earlier("Earlier results, same field") && earlier("Previous results 9/12/2019 9/9/2021"));
        assert!(
            !earlier("Results") && !earlier("Results, earlier by a day") && !earlier("Old test bed results")
        );
        assert!(is_past("(previous)") && is_past("2021 (prior)"));
        assert!(!is_past("51120") && !is_past("2021") && !is_past("Old mill"));
        assert_eq!(without_year("Long acre (2021)"), Some("Long acre"));
        assert_eq!(without_year("Long acre 3"), None);
    }
}
