//! What was in the bag, where a column says so: a sample, or a blank, a control or a repeat of the laboratory's own.

use super::super::atom::is_blank;
use super::super::band::Band;
use super::super::found::FoundSample;
use super::super::label::Label;
use super::super::listed::{each_word, note_bad_line};
use super::super::vocabulary::{Field, VocabularyError};
use super::beside::says_nothing;
use super::control::{is_kind_anywhere, perhaps};
use super::doubt::doubt_all;
use super::row::{Row, text_of};
use rustc_hash::FxHashMap;
use std::collections::HashMap;
use std::sync::LazyLock;

/// What a word of such a column says.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Kind {
    Sample,
    /// A sample of somebody's who sent it, which no treatment of a trial is called.
    Client,
    Control,
    /// A control, also where it stands for a name.
    Code,
}

static KINDS: LazyLock<FxHashMap<&'static str, Kind>> = LazyLock::new(|| {
    let mut kinds = FxHashMap::default();
    note_bad_line(load(|word, kind| kinds.insert(word, kind).is_none()));
    kinds
});

/// Reads the codes and hands each over; the first bad line is an error.
fn load(add: impl FnMut(&'static str, Kind) -> bool) -> Result<usize, VocabularyError> {
    let kind = |id: &str| {
        Some(match id {
            "sample" => Kind::Sample,
            "client" => Kind::Client,
            "control" => Kind::Control,
            "code" => Kind::Code,
            _ => return None,
        })
    };
    each_word(("kinds.csv", include_str!("kinds.csv")), kind, add)
}

/// What the column says; none for a word that is not known.
fn of(text: &str) -> Option<Kind> {
    KINDS.get(text.trim().to_lowercase().as_str()).copied()
}

/// The table, where a column that no heading explains says of each row whether it is a client's sample or a control: every
/// cell holds a word for one of them.
pub(super) fn by_words(band: &Band, rows: &[(usize, Row<'_>)]) -> Band {
    let mut band = band.clone();
    for (heading, leaf) in band.leaves.iter_mut().enumerate().filter(|(_, l)| says_nothing(&l.label)) {
        let kinds: Vec<Option<Kind>> = column(rows, heading).iter().map(|(_, text)| of(text)).collect();
        let clients = kinds.contains(&Some(Kind::Client));
        let controls = kinds.iter().any(|k| matches!(k, Some(Kind::Control | Kind::Code)));
        let known = kinds.iter().all(|k| matches!(k, Some(Kind::Client | Kind::Control | Kind::Code)));
        if clients && controls && known {
            leaf.label = Label::default();
            leaf.label.field = Some(Field::SampleKind);
        }
    }
    band
}

/// The lines of rows that a column which no heading explains perhaps calls controls, `QC` or `control` among others, with the
/// word: it may be a plot of a trial that was left alone.
pub(super) fn perhaps_controls(band: &Band, rows: &[(usize, Row<'_>)]) -> HashMap<usize, String> {
    let mut out = HashMap::new();
    for (heading, _) in band.leaves.iter().enumerate().filter(|(_, l)| says_nothing(&l.label)) {
        let column = column(rows, heading);
        let is_word =
            |text: &str| matches!(of(text), Some(Kind::Control | Kind::Code)) && is_kind_anywhere(text);
        let controls = column.iter().filter(|(_, text)| is_word(text));
        // What most of the rows are called tells of a service, or of nothing.
        if 2 * controls.clone().count() <= rows.len() {
            out.extend(controls.cloned());
        }
    }
    out
}

/// What stands in a column, by line.
fn column(rows: &[(usize, Row<'_>)], heading: usize) -> Vec<(usize, String)> {
    let own = |(line, row): &(usize, Row<'_>)| {
        let (.., atoms, _) = row.cells.iter().find(|(h, ..)| *h == heading)?;
        Some((*line, text_of(atoms))).filter(|(_, text)| !is_blank(text))
    };
    rows.iter().filter_map(own).collect()
}

/// True for a row that its column calls a blank, a control or a repeat.
pub fn is_control(sample: &FoundSample) -> bool {
    matches!(sample.field(Field::SampleKind).and_then(of), Some(Kind::Control | Kind::Code))
}

/// Quality control, before the number of its soil.
const QUALITY: &str = "QC";

/// True for a name that is the code of a control, `MB`, and for a number that ends in one, `25-101-LCS`, or begins so,
/// `QC-7`.
fn named_as_control(sample: &FoundSample) -> bool {
    let code = |text: &str| text.chars().all(|c| c.is_ascii_uppercase()) && of(text) == Some(Kind::Code);
    let ends = |text: &str| {
        let (before, last) = text.rsplit_once(['-', ' ', '/']).unwrap_or_default();
        before.contains(|c: char| c.is_ascii_digit()) && code(last)
    };
    let begins = |text: &str| {
        let (first, rest) = text.split_once(['-', ' ', '/']).unwrap_or_default();
        rest.starts_with(|c: char| c.is_ascii_digit()) && (code(first) || first == QUALITY)
    };
    let number = sample.field(Field::LabSample);
    sample.field(Field::SampleLabel).is_some_and(code) || number.is_some_and(|n| ends(n) || begins(n))
}

/// Rows that may be controls wait: those of a kind that is not known beside rows that are controls, and those whose own
/// name or number is the code of one.
pub fn doubt_controls(samples: &mut [FoundSample], controls: bool) {
    for sample in samples {
        let kind = sample.field(Field::SampleKind);
        let stranger = controls && kind.is_some_and(|k| of(k).is_none());
        let coded =
            !matches!(kind.and_then(of), Some(Kind::Sample | Kind::Client)) && named_as_control(sample);
        if !(stranger || coded) {
            continue;
        }
        let doubt = perhaps(sample.field(Field::SampleLabel).or(kind).unwrap_or_default());
        doubt_all(std::slice::from_mut(sample), Some(&doubt));
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_number_that_begins_with_quality_control_is_that_of_a_control() {
        let numbered = |text: &str| {
            let fields = vec![(Field::LabSample, text.to_owned())];
            named_as_control(&FoundSample { fields, ..FoundSample::default() })
        };
        assert!(numbered("QC-7") && numbered("LCS 3") && numbered("25-101-LCS"));
        assert!(!numbered("QC14-B") && !numbered("Q-14") && !numbered("QC-B2"));
    }

    #[test]
    fn every_line_is_a_kind() {
        let mut seen = FxHashMap::default();
        assert!(load(|word, kind| seen.insert(word, kind).is_none()).unwrap() > 50);
        assert!(of("LCS") == Some(Kind::Code) && of("SA") == Some(Kind::Sample) && of("Tee").is_none());
    }
}
