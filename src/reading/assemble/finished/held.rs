//! Names that hold what no name holds: the number of the report, a day, a season, a depth.

use super::super::super::date::{DayOrder, date};
use super::super::super::label::{label, year_of};
use super::super::super::numbered::{MANY_FIGURES, figures, is_number};
use super::super::super::vocabulary::{Context, Field};
use super::super::parted::holds;
use super::Found;
use super::layer::speaks_of_depth;
use crate::soil::{Report, Sample};

/// A word without the brackets and stops at its ends.
fn bare(word: &str) -> &str {
    word.trim_matches(['(', ')', '[', ']', ',', ';', ':', '.', '\''])
}

/// The year that stands in a name as a word by itself, and the name without it.
fn season(label: &str) -> Option<(i16, String)> {
    let words: Vec<&str> = label.split(' ').filter(|w| !w.is_empty()).collect();
    let at = words.iter().rposition(|w| bare(w).len() == 4 && year_of(bare(w)).is_some())?;
    let year = year_of(bare(words.get(at)?))?;
    let rest: Vec<&str> = words.iter().enumerate().filter(|(i, _)| *i != at).map(|(_, w)| *w).collect();
    let rest = rest.join(" ").trim_matches([' ', '-', ',', ';', ':']).to_lowercase();
    rest.contains(char::is_alphabetic).then_some((year, rest))
}

/// The years a report and a sample bear.
fn own_years(report: &Report, sample: &Sample) -> Vec<i16> {
    let days = [sample.sampled_on, report.received_on, report.reported_on];
    days.into_iter().flatten().map(|d| d.year()).chain(sample.year).collect()
}

/// A word of a name that is a number the laboratory gave: it holds the report's, or has as many figures as nobody
/// numbers a field with and stands beside words. Where the laboratory's number is told besides, such figures are the
/// client's own.
fn number_in<'a>(label: &'a str, report: Option<&str>, numbered: bool) -> Option<&'a str> {
    let worded =
        !numbered && label.split(' ').any(|w| w.chars().all(char::is_alphabetic) && w.chars().count() > 1);
    label
        .split(' ')
        .map(bare)
        .filter(|w| is_number(w))
        .find(|w| report.is_some_and(|report| holds(w, report)) || worded && figures(w) >= MANY_FIGURES)
}

/// `Sample Date`, `Lab No.`: words of a heading that ask for what no sample is called.
fn asks_for_a_day_or_number(text: &str) -> bool {
    let said = label(text, Context { symbols: false, capitals: false });
    let asks = matches!(
        said.field,
        Some(Field::SampledOn | Field::ReceivedOn | Field::ReportedOn | Field::LabSample | Field::Report)
    );
    asks && said.unknown.is_empty() && !text.contains(|c: char| c.is_ascii_digit())
}

/// `Front lawn 1 15785 17 March 2024`: among other words and numbers a day in figures, or in three words.
fn holds_a_day(text: &str) -> bool {
    let words: Vec<&str> = text.split(' ').filter(|w| !w.is_empty()).collect();
    let day = |w: &[&str]| date(&w.join(" "), DayOrder::Unknown).is_some();
    // `NE 14-27-3` is a piece of ground by its section.
    let dated = |w: &str| w.split(['-', '/', '.']).any(|part| part.len() == 4 && year_of(part).is_some());
    let alone =
        |w: &[&str]| w.iter().any(|w| w.matches(['-', '/', '.']).count() == 2 && dated(bare(w))) && day(w);
    let worded = |w: &[&str]| w.iter().any(|w| w.chars().any(char::is_alphabetic)) && day(w);
    words.windows(1).any(alone) || words.windows(3).any(worded)
}

/// Why the names of a report may be none, each by itself or beside the others.
pub(super) fn unsure(report: &Report) -> Vec<Option<Found>> {
    let seasons: Vec<Option<(i16, String)>> = report.samples.iter().map(|s| season(&s.label)).collect();
    let names: Vec<String> = report.samples.iter().map(|s| s.label.to_lowercase()).collect();
    let judge = |(at, sample): (usize, &Sample)| -> Option<String> {
        let label = &sample.label;
        if let Some(number) = number_in(label, report.number.as_deref(), sample.lab_number.is_some()) {
            return Some(format!("`{number}` in `{label}` looks like a number of the laboratory's."));
        }
        if asks_for_a_day_or_number(label) {
            return Some(format!("`{label}` asks for something and names no sample."));
        }
        if speaks_of_depth(label) {
            return Some(format!("`{label}` holds a depth, which is no part of a name."));
        }
        if date(label, DayOrder::Unknown).is_some() || holds_a_day(label) {
            return Some(format!("`{label}` holds a day, which is no part of a name."));
        }
        let (year, rest) = seasons.get(at)?.as_ref()?;
        let other = |(i, s): (usize, &Option<(i16, String)>)| {
            i != at && s.as_ref().is_some_and(|(y, r)| r == rest && y != year)
        };
        let beside = names.contains(rest) || seasons.iter().enumerate().any(other);
        let own = own_years(report, sample).contains(year);
        (own || beside).then(|| {
            format!("`{label}` holds a season, which is no part of a name, or is of a former season.")
        })
    };
    report.samples.iter().enumerate().map(|s| judge(s).map(Found::Unsure)).collect()
}

#[cfg(test)]
mod tests {
    use super::super::tests::report;
    use super::*;

    fn waits(number: Option<&str>, labels: &[&str]) -> Vec<bool> {
        unsure(&report(number, labels)).iter().map(Option::is_some).collect()
    }

    #[test]
    fn a_number_of_the_laboratorys_in_a_name_waits() {
        assert_eq!(waits(Some("CoA-26-00418"), &["26-00418-002", "Moss 00418", "Moss"]), [true, true, false]);
        assert_eq!(waits(Some("77120"), &["77120-1", "77120-2"]), [true, true]);
        assert_eq!(
            waits(None, &["Moss 77120", "77120-1", "12 Mill Lane", "B 77120"]),
            [true, false, false, false]
        );
        assert_eq!(waits(Some("W-118"), &["Hole 11", "Plot 118", "NE-14-27-3"]), [false, true, false]);
        // Of these the laboratory's own numbers are known.
        assert_eq!(number_in("Moss 77120", None, true), None);
        assert_eq!(number_in("Moss 77120", Some("77120"), true), Some("77120"));
    }

    #[test]
    fn words_that_ask_for_a_day_or_a_number_name_no_sample() {
        let asked = ["Sample Date", "Lab No.", "Date Received", "Report No."];
        assert_eq!(waits(None, &asked), [true; 4]);
        assert_eq!(waits(None, &["Lab field", "Sample 3", "Date palm", "Moss"]), [false; 4]);
    }

    #[test]
    fn a_depth_a_day_or_a_season_in_a_name_waits() {
        assert_eq!(waits(None, &["Moss 15-30 cm", "Moss 3 May 2021", "Moss 2021-05-03"]), [true, true, true]);
        assert_eq!(waits(None, &["Moss 1 15785 17 March 2024", "Moss 15785 2024-03-17 A"]), [true, true]);
        assert_eq!(waits(None, &["NE-14-27-3", "Block 2 May tree 7", "Field 1.2.3"]), [false; 3]);
        // 2024 is the season of the report.
        assert_eq!(waits(None, &["Moss 2024", "Hob (2024)", "Planted 2019"]), [true, true, false]);
        assert_eq!(waits(None, &["Long acre 2021", "Long acre", "Hob"]), [true, false, false]);
        assert_eq!(waits(None, &["Long acre 2021", "Long Acre 2022", "Hob 2021"]), [true, true, false]);
        assert_eq!(waits(None, &["Field 2000", "2024", "2024-3", "Bay 12"]), [false; 4]);
    }
}
