//! Tables beside the results that are none of the samples': of leaves or water, of products, prices, weather, wishes.
//!
//! What their columns are called tells little (`P`, `K`): their title does, or what their rows are.

use super::atom::{Atom, Kind};
use super::band::Band;
use super::found::FoundSample;
use super::label::Label;
use super::layout::{Layout, Line, Phrase};
use super::listed::{each_word, note_bad_line};
use super::vocabulary::{Context, Field, Form, VocabularyError};
use super::words::List;
use crate::soil::{Analyte, Unit};
use rustc_hash::FxHashSet;
use std::sync::LazyLock;

/// Where a phrase of the list stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
enum At {
    /// Over the names of rows that are no samples.
    Head,
    /// Over a column of prices.
    Price,
    /// Over a column of prices or of amounts: only two of them speak of prices.
    Sum,
    /// In the title of a table of wishes, products, weather.
    Title,
    /// In the title of a table of another matter than soil.
    Matter,
}

static PHRASES: LazyLock<FxHashSet<(At, &'static str)>> = LazyLock::new(|| {
    let mut phrases = FxHashSet::default();
    note_bad_line(load(|entry| phrases.insert(entry)));
    phrases
});

/// Reads the list and hands each phrase over; the first bad line is an error.
fn load(mut add: impl FnMut((At, &'static str)) -> bool) -> Result<usize, VocabularyError> {
    let at = |id: &str| {
        Some(match id {
            "head" => At::Head,
            "price" => At::Price,
            "sum" => At::Sum,
            "title" => At::Title,
            "matter" => At::Matter,
            _ => return None,
        })
    };
    each_word(("another.csv", include_str!("another.csv")), at, |word, kind| add((kind, word)))
}

/// The most words of a phrase in the list.
const LONGEST: usize = 4;
/// More words are a sentence.
const MOST_WORDS: usize = 10;

/// What a table beside the results holds.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Aside {
    /// Results of leaves, water or manure.
    Matter,
    /// No results.
    NoResults,
}

/// What a table is by its title or by what its rows are called, where a table of samples stands above it.
pub fn aside(page: &Layout, band: &Band, above: &[FoundSample]) -> Option<Aside> {
    if !above.iter().any(|s| s.named_by_table && !s.readings.is_empty()) {
        return None;
    }
    let title = title(page, band.first);
    if title.as_deref().is_some_and(|t| opens_with(t, At::Matter) && !t.contains("soil")) && of_soil(above) {
        return Some(Aside::Matter);
    }
    let asks = |field| band.leaves.iter().any(|l| l.label.field == Some(field) && l.label.analyte.is_none());
    if asks(Field::SampleLabel) || asks(Field::LabSample) {
        return None;
    }
    let head = head(page.lines.get(band.first..band.end)?);
    let listed = title.is_some_and(|t| speaks_of_no_results(&t))
        || head.is_some_and(|h| PHRASES.contains(&(At::Head, h.as_str())));
    listed.then_some(Aside::NoResults)
}

/// True where a row of a table opens with the name of a sample above: then its numbers are of that one.
pub fn share_names(page: &Layout, rows: &[usize], above: &[FoundSample]) -> bool {
    let known: FxHashSet<String> =
        above.iter().filter_map(|s| s.field(Field::SampleLabel)).map(str::to_lowercase).collect();
    let opening =
        |i: &usize| page.lines.get(*i).and_then(|l| l.phrases.first()).map(|p| p.text().to_lowercase());
    rows.iter().filter_map(opening).any(|name| known.contains(&name))
}

/// True where what was measured is only ever measured in soil.
fn of_soil(samples: &[FoundSample]) -> bool {
    let readings = samples.iter().flat_map(|s| &s.readings);
    let found: FxHashSet<Analyte> =
        readings.filter(|r| r.label.is_result()).filter_map(|r| r.label.analyte).collect();
    found.contains(&Analyte::BufferPh)
        || found.contains(&Analyte::Ph)
            && (found.contains(&Analyte::Cec) || found.contains(&Analyte::OrganicMatter))
}

/// The line of one phrase right above a heading, in lower case.
fn title(page: &Layout, first: usize) -> Option<String> {
    let line = page.lines.get(first.checked_sub(1)?)?;
    let below = page.lines.get(first)?;
    let [phrase] = line.phrases.as_slice() else { return None };
    let text = phrase.text().to_lowercase();
    let near = page.cells || below.area.y0 - line.area.y1 < 3.0 * page.em;
    (near && text.split(' ').count() <= MOST_WORDS && !text.contains(':')).then_some(text)
}

/// The leftmost words of a heading, in lower case.
fn head(lines: &[Line]) -> Option<String> {
    let phrases = lines.iter().flat_map(|l| &l.phrases);
    let first = phrases.min_by(|a, b| a.area.x0.total_cmp(&b.area.x0))?;
    Some(first.text().to_lowercase())
}

fn words(text: &str) -> Vec<&str> {
    text.split(|c: char| !c.is_alphanumeric() && c != '-').filter(|w| !w.is_empty()).collect()
}

/// True for a title that begins with a phrase of the list: `Leaf analysis, same blocks`.
fn opens_with(title: &str, at: At) -> bool {
    let words = words(title);
    (1..=LONGEST.min(words.len()))
        .any(|n| words.get(..n).is_some_and(|w| PHRASES.contains(&(at, w.join(" ").as_str()))))
}

/// True for a title with a phrase of the list that speaks of no results: `Nutrient removal, lb per ton`.
fn speaks_of_no_results(title: &str) -> bool {
    let main = title.split([',', '(', '-']).next().unwrap_or_default();
    let words = words(main);
    let results = ["result", "test", "sample", "soil", "found"].iter().any(|w| title.contains(w));
    let listed = |from: usize| {
        (from + 1..=words.len().min(from + LONGEST)).any(|to| {
            words.get(from..to).is_some_and(|w| PHRASES.contains(&(At::Title, w.join(" ").as_str())))
        })
    };
    !results && (0..words.len()).any(listed)
}

/// The line where another table begins among the rows of one: words side by side that name nothing of it, each over a
/// value of the row below, and all its values under them.
pub fn begins(page: &Layout, atoms: &[Vec<Atom>], lines: std::ops::Range<usize>) -> Option<usize> {
    let valued = |i: &usize| atoms.get(*i).is_some_and(|row| row.iter().any(|a| a.number().is_some()));
    let first = lines.clone().find(valued)?;
    (first + 1..lines.end).find(|i| {
        let Some(line) = page.lines.get(*i).filter(|_| !valued(i)) else { return false };
        (is_heading(line) || asks_for_rates(page, *i))
            && (i + 1..lines.end.min(i + 3))
                .find(valued)
                .and_then(|below| atoms.get(below))
                .is_some_and(|row| stands_under(row, line, page.em))
    })
}

/// Three or more words or names side by side, of which none is a result's, a field's with its value, or rates one.
fn is_heading(line: &Line) -> bool {
    let context = Context { symbols: true, capitals: false };
    let strange = |p: &&Phrase| {
        let said = p.label(context);
        said.methods.is_empty() && !(said.only_rates() || said.unit.is_some() && said.unknown.is_empty())
    };
    let speaks = |p: &Phrase| {
        let said = p.label(context);
        said.is_result() || p.text().contains(':') || super::atom::is_blank(p.text())
    };
    !line.footnote
        && line.phrases.len() > 2
        && line.phrases.iter().filter(strange).count() > 2
        && !line.phrases.iter().any(speaks)
}

/// `Sample   Lime (tons)   N (lb)   P2O5 (lb)`: weights to put down. Oxides by their weight alone, no extract named, are
/// rates where nitrogen or lime stands beside them, or where the line above is a title of advice.
fn asks_for_rates(page: &Layout, at: usize) -> bool {
    let Some(line) = page.lines.get(at) else { return false };
    let context = Context { symbols: true, capitals: false };
    let said: Vec<(String, Label)> =
        line.phrases.iter().map(|p| (p.text().to_lowercase(), p.label(context))).collect();
    let oxide = |l: &Label| matches!(l.form, Some(Form::Oxide | Form::OxideOrElement)) && l.unit.is_none();
    let weighed = |l: &Label| l.unknown.iter().all(|w| List::Weight.has(&w.to_lowercase()));
    let first = |text: &str| text.split([' ', ',', '(']).next().unwrap_or_default().to_owned();
    let beside = |(text, l): &(String, Label)| {
        let word = first(text);
        l.analyte.is_none() && (word == "n" || word.starts_with("nitrogen") || List::Lime.has(&word))
    };
    let measures = |l: &Label| {
        !l.methods.is_empty()
            || l.is_result() && !oxide(l) && l.analyte.is_some_and(|a| a.unit() != Unit::MgPerKg)
    };
    let titled = at.checked_sub(1).and_then(|i| page.lines.get(i)).is_some_and(super::down::is_title);
    !line.footnote
        && line.phrases.len() > 2
        && said.iter().any(|(_, l)| oxide(l) && !l.unknown.is_empty() && weighed(l))
        && said.iter().filter(|(_, l)| oxide(l)).all(|(_, l)| weighed(l))
        && (titled || said.iter().any(beside))
        && !said.iter().any(|(text, l)| measures(l) || text.contains(':'))
}

/// True where a row has a name and values, and each value its own word over it.
fn stands_under(row: &[Atom], line: &Line, em: f32) -> bool {
    let values: Vec<&Atom> = row.iter().filter(|a| !matches!(a.kind, Kind::Text)).collect();
    let over =
        |a: &Atom| line.phrases.iter().position(|p| p.area.x0 < a.area.x1 + em && p.area.x1 > a.area.x0 - em);
    let mut columns: Vec<Option<usize>> = values.iter().map(|a| over(a)).collect();
    let all = columns.iter().all(Option::is_some);
    columns.sort_unstable();
    columns.dedup();
    let named = row.first().is_some_and(|a| matches!(a.kind, Kind::Text));
    all && named && values.len() > 1 && columns.len() == values.len() && values.len() < line.phrases.len() + 1
}

/// True for the heading of a table of prices: a word for a price over a column, or two for amounts and sums.
fn of_prices(line: &Line) -> bool {
    let columns = line.phrases.iter().skip(1).map(|p| p.text().to_lowercase());
    let of =
        |at: At| columns.clone().filter(|t| words(t).iter().any(|w| PHRASES.contains(&(at, *w)))).count();
    of(At::Price) > 0 || of(At::Sum) > 1
}

/// The lines of a page that are tables of prices, each from its heading on: what tests cost is nobody's result.
pub fn priced(page: &Layout, atoms: &[Vec<Atom>]) -> Vec<usize> {
    let valued = |i: usize| atoms.get(i).is_some_and(|row| row.iter().any(|a| a.number().is_some()));
    let named = |line: &Line| {
        let context = Context { symbols: true, capitals: false };
        line.phrases.iter().any(|p| p.label(context).is_result())
    };
    let mut out = Vec::new();
    let mut within = false;
    for (at, line) in page.lines.iter().enumerate() {
        let heading = !valued(at) && line.phrases.len() > 2 && !line.footnote && !named(line);
        // A word alone parts the list.
        let goes_on = valued(at) || line.phrases.len() == 1 && valued(at + 1);
        within = heading && of_prices(line) || within && goes_on;
        if within {
            out.push(at);
        }
    }
    out
}

/// The rows of a table that begins at a line, where its title or its heading says that it holds no results.
pub fn rows_of_no_results(page: &Layout, atoms: &[Vec<Atom>], at: usize, end: usize) -> Vec<usize> {
    let Some(line) = page.lines.get(at) else { return Vec::new() };
    let prices = of_prices(line);
    let head = head(std::slice::from_ref(line));
    let listed = prices
        || asks_for_rates(page, at)
        || title(page, at).is_some_and(|t| speaks_of_no_results(&t))
        || head.is_some_and(|h| h != "test" && PHRASES.contains(&(At::Head, h.as_str())));
    if !listed {
        return Vec::new();
    }
    let valued = |i: &usize| atoms.get(*i).is_some_and(|row| row.iter().any(|a| a.number().is_some()));
    std::iter::once(at).chain((at + 1..end).take_while(valued)).collect()
}

#[cfg(test)]
mod tests {
    use super::super::atom::atoms;
    use super::super::layout::{layout, tests::typed};
    use super::super::number::Decimal;
    use super::*;

    #[test]
    fn every_line_is_a_phrase() {
        let mut seen = FxHashSet::default();
        assert!(load(|entry| seen.insert(entry)).unwrap() > 80);
        assert!(seen.iter().all(|(_, phrase)| phrase.split(' ').count() <= LONGEST));
    }

    #[test]
    fn titles_of_other_matters_and_of_no_results_are_known() {
        assert!(opens_with("leaf analysis, same trees", At::Matter));
        assert!(
            !opens_with("new leaf analysis group", At::Matter) && !opens_with("leafy lane beds", At::Matter)
        );
        for title in
            ["nutrient removal, lb per ton", "products to hand (guaranteed analysis, %)", "what we look for"]
        {
            assert!(speaks_of_no_results(title), "{title}");
        }
        for title in ["target greens, soil results", "micronutrients", "results, with targets"] {
            assert!(!speaks_of_no_results(title), "{title}");
        }
    }

    #[test]
    fn one_column_of_totals_is_none_of_prices() {
        let listed = |lines: &[&str]| {
            let page = layout(&typed(lines));
            let rows: Vec<Vec<Atom>> = page.lines.iter().map(|l| atoms(l, Decimal::Point)).collect();
            rows_of_no_results(&page, &rows, 0, rows.len())
        };
        assert_eq!(listed(&["Test     Number   Each    Total", "Zinc     2        6.00    12.00"]), [0, 1]);
        assert!(listed(&["Fraction   Bound   Total   Ratio", "Zinc       3       60      0.05"]).is_empty());
    }
}
