//! Rows named for what was reckoned from the rows above: `Average A`, `Site average (n=3)`, `Maximum B`.

use super::super::found::{Found, FoundSample};
use super::super::listed::{each_word, note_bad_line};
use super::super::vocabulary::{Field, VocabularyError};
use crate::soil::Doubt;
use rustc_hash::FxHashMap;
use std::sync::LazyLock;

/// What a row may give of the rows above it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Of {
    Mean,
    Middle,
    Least,
    Most,
    Spread,
    /// Of a row whose whole name this is: how many, how far apart, or how much it moved.
    Alone,
}

impl Of {
    /// The statistic of values that stand in order; none for a spread, which is reckoned in too many ways.
    pub fn reckoned(self, values: &[f64]) -> Option<f64> {
        let half = values.len() / 2;
        match self {
            #[allow(clippy::cast_precision_loss)]
            Self::Mean => Some(values.iter().sum::<f64>() / values.len() as f64),
            Self::Least => values.first().copied(),
            Self::Most => values.last().copied(),
            Self::Middle if values.len() % 2 == 1 => values.get(half).copied(),
            Self::Middle => Some(f64::midpoint(*values.get(half.checked_sub(1)?)?, *values.get(half)?)),
            Self::Spread | Self::Alone => None,
        }
    }
}

static WORDS: LazyLock<FxHashMap<&'static str, Of>> = LazyLock::new(|| {
    let mut words = FxHashMap::default();
    note_bad_line(load(|word, of| words.insert(word, of).is_none()));
    words
});

/// Reads the words and hands each over; the first bad line is an error.
fn load(add: impl FnMut(&'static str, Of) -> bool) -> Result<usize, VocabularyError> {
    let of = |id: &str| {
        Some(match id {
            "mean" => Of::Mean,
            "middle" => Of::Middle,
            "least" => Of::Least,
            "most" => Of::Most,
            "spread" => Of::Spread,
            "alone" => Of::Alone,
            _ => return None,
        })
    };
    each_word(("statistics.csv", include_str!("statistics.csv")), of, add)
}

/// The longest mark of a group, `Average 12b`; more letters may be a name.
const LONGEST_MARK: usize = 3;
/// Rows of one group that are looked at; a table of many such rows must not take the square of its length.
const ROWS_OF_A_GROUP: usize = 500;
/// From so many numbers that all come out, they were reckoned from the rows above.
const ENOUGH_NUMBERS: usize = 2;

/// True for a name that only a row of means or limits bears: `Mean B`, `Site average (n=3)`.
pub fn is_statistic(name: &str) -> bool {
    if is_alone(name) {
        return true;
    }
    let Some(named) = named(name) else { return false };
    named.counted || named.first && named.rest.chars().count() <= LONGEST_MARK && named.whole
}

/// `MAD`, `Laboratories`, `Relative difference, %`: a name that is nothing but the word for a figure about results.
fn is_alone(name: &str) -> bool {
    let lower = name.to_lowercase();
    let words = lower.split(|c: char| c.is_whitespace() || matches!(c, ',' | '%' | '(' | ')' | '-' | '.'));
    let words: Vec<&str> = words.filter(|w| !w.is_empty()).collect();
    WORDS.get(words.join(" ").as_str()) == Some(&Of::Alone)
}

/// `Average over all fields`, `County mean`: a title that a mean opens or ends, written out.
pub fn opens_or_ends_with_a_mean(title: &str) -> bool {
    named(title).is_some_and(|n| n.whole && matches!(n.of, Of::Mean | Of::Middle))
}

struct Named {
    of: Of,
    /// The word opens the name.
    first: bool,
    /// It is no abbreviation, as people's names are.
    whole: bool,
    /// `(n=3)` stands behind it.
    counted: bool,
    /// The other words of the name, brackets apart.
    rest: String,
}

/// The statistic that opens or ends a name.
fn named(name: &str) -> Option<Named> {
    let (plain, bracket) = match name.split_once('(') {
        Some((plain, rest)) => (plain, rest.trim_end_matches(')')),
        None => (name, ""),
    };
    let lower = plain.to_lowercase();
    let words: Vec<&str> =
        lower.split_whitespace().map(|w| w.trim_matches(|c: char| !c.is_alphanumeric())).collect();
    let of = |word: &str| WORDS.get(word).copied().filter(|of| *of != Of::Alone);
    let find = |word: Option<&&str>| word.and_then(|w| Some((of(w)?, w.len())));
    let (first, last) = (find(words.first()), find(words.last()));
    let (of, long) = first.or(last)?;
    let rest = if first.is_some() { words.get(1..) } else { words.get(..words.len() - 1) };
    let count: String = bracket.to_lowercase().chars().filter(|c| !c.is_whitespace()).collect();
    let counted = count.strip_prefix("n=").is_some_and(|n| n.starts_with(|c: char| c.is_ascii_digit()));
    Some(Named {
        of,
        first: first.is_some(),
        whole: long > LONGEST_MARK,
        counted,
        rest: rest.unwrap_or_default().join(" "),
    })
}

/// What to do with a row that may give a statistic of the rows above it.
#[derive(Debug, Clone, PartialEq)]
pub enum Row {
    /// It is a sample.
    Sample,
    /// It is none.
    Reckoned,
    /// Nobody knows.
    Unsure(Doubt),
}

/// What a row is, by its name and by whether its numbers come out from those of the rows above.
pub fn judge(sample: &FoundSample, above: &[FoundSample]) -> Row {
    let Some(name) = sample.field(Field::SampleLabel) else { return Row::Sample };
    let Some(named) = named(name) else { return Row::Sample };
    if is_statistic(name) || comes_out(sample, above, named.of) {
        return Row::Reckoned;
    }
    // What has a laboratory's number of its own was in a bag.
    if sample.field(Field::LabSample).is_some() {
        return Row::Sample;
    }
    Row::Unsure(Doubt::new(
        "row-of-a-statistic",
        format!("`{name}` may be the name of a sample, or what was reckoned from the rows above it."),
    ))
}

/// The values of one column, as far as they were gone through.
struct Column {
    stated: f64,
    /// Half a unit of its last figure, with a little room.
    room: f64,
    /// In order.
    values: Vec<f64>,
}

impl Column {
    fn add(&mut self, value: f64) {
        let at = self.values.partition_point(|v| *v < value);
        self.values.insert(at, value);
    }

    fn comes_out(&self, of: Of) -> bool {
        self.values.len() > 1
            && of.reckoned(&self.values).is_some_and(|v| (v - self.stated).abs() <= self.room)
    }
}

/// True where every number of a row is what its name says of the rows of some group right above it.
fn comes_out(sample: &FoundSample, above: &[FoundSample], of: Of) -> bool {
    let column = |r: &Found| Column {
        stated: r.number.value,
        room: 0.51 * 10f64.powi(-i32::try_from(r.number.decimals).unwrap_or(0)),
        values: Vec::new(),
    };
    let mut columns: Vec<Column> = sample.readings.iter().map(column).collect();
    if columns.len() < ENOUGH_NUMBERS {
        return false;
    }
    for row in above.iter().rev().take(ROWS_OF_A_GROUP) {
        for (reading, column) in sample.readings.iter().zip(&mut columns) {
            let same = |r: &&Found| {
                r.label.analyte == reading.label.analyte && r.label.methods == reading.label.methods
            };
            if let Some(found) = row.readings.iter().find(same) {
                column.add(found.number.value);
            }
        }
        if columns.iter().all(|c| c.comes_out(of)) {
            return true;
        }
    }
    false
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_line_is_a_word() {
        let mut seen = FxHashMap::default();
        assert!(load(|word, of| seen.insert(word, of).is_none()).unwrap() > 20);
    }

    #[test]
    fn a_group_or_a_count_behind_a_statistic_makes_no_name() {
        for name in ["Average B", "Maximum 3", "Minimum NW", "Field average (n=4)", "Mean (n = 12)"] {
            assert!(is_statistic(name), "{name}");
        }
        for name in
            ["MAD", "Laboratories", "Relative difference %", "No. of laboratories", "z-score", "RPD (%)"]
        {
            assert!(is_statistic(name), "{name}");
        }
        for name in [
            "Max",
            "Mad Lane",
            "Laboratories lawn",
            "Difference bed",
            "Average lawn",
            "Meadow A",
            "Max B",
            "Mean Lane 4 (north)",
        ] {
            assert!(!is_statistic(name), "{name}");
        }
    }
}
