//! Reads the files of the vocabulary.

use super::super::units::printed_unit_id;
use super::{Field, Form, Meaning, Role};
use crate::soil::{Analyte, Method};

/// A line of a vocabulary file that means nothing.
#[derive(Debug, PartialEq, Eq, thiserror::Error)]
#[error("{file}, line {line}: {problem}")]
pub struct VocabularyError {
    /// Which file.
    pub file: &'static str,
    /// Which line.
    pub line: u64,
    /// What is wrong.
    pub problem: String,
}

/// Reads both vocabulary files and hands each phrase over; the first bad line is an error.
///
/// # Errors
/// A [`VocabularyError`] for an unknown target, method, unit or form, or a phrase without a source.
pub(super) fn load(mut add: impl FnMut(&str, Meaning)) -> Result<usize, VocabularyError> {
    let files: [(&'static str, &str); 2] = [
        ("vocabulary.csv", include_str!("../vocabulary.csv")),
        ("columns.csv", include_str!("../columns.csv")),
    ];
    files.into_iter().map(|file| each_phrase(file, &mut add)).sum()
}

pub(super) fn each_phrase(
    (file, text): (&'static str, &str),
    add: &mut impl FnMut(&str, Meaning),
) -> Result<usize, VocabularyError> {
    let mut count = 0;
    let mut reader = csv::Reader::from_reader(text.as_bytes());
    for record in reader.records() {
        let record = record.map_err(|e| VocabularyError { file, line: 0, problem: e.to_string() })?;
        let line = record.position().map_or(0, csv::Position::line);
        let bad = |problem: String| VocabularyError { file, line, problem };
        let field = |i: usize| record.get(i).unwrap_or_default();
        let (phrase, meaning) = if file == "columns.csv" {
            (field(1), role(field(0)).ok_or_else(|| bad(format!("unknown role `{}`", field(0))))?)
        } else {
            (field(2), meaning(field(0), field(1), field(2), field(3)).map_err(bad)?)
        };
        if record.iter().next_back().is_none_or(|source| source.trim().is_empty()) {
            return Err(bad(format!("`{phrase}` has no source")));
        }
        add(phrase, meaning);
        count += 1;
    }
    Ok(count)
}

fn role(word: &str) -> Option<Meaning> {
    Some(Meaning::Role(match word {
        "analyte" => Role::Analyte,
        "result" => Role::Result,
        "unit" => Role::Unit,
        "method" => Role::Method,
        "qualifier" => Role::Qualifier,
        _ => return None,
    }))
}

fn meaning(target: &str, qualifies: &str, phrase: &str, form: &str) -> Result<Meaning, String> {
    Ok(match target {
        "_method" if qualifies.is_empty() => Meaning::Method(None),
        "_method" => Meaning::Method(Some(
            Method::from_id(qualifies).ok_or_else(|| format!("unknown method `{qualifies}`"))?,
        )),
        "_unit" => {
            Meaning::Unit(printed_unit_id(qualifies).ok_or_else(|| format!("unknown unit `{qualifies}`"))?)
        }
        "_field" => Meaning::Field(field(qualifies).ok_or_else(|| format!("unknown field `{qualifies}`"))?),
        "_rating" => Meaning::Rating,
        "_qualifier" => Meaning::Blank,
        "_decoy" => Meaning::Decoy,
        "_other" => Meaning::Other,
        "_group" => Meaning::Saturation,
        _ => {
            let analyte =
                Analyte::from_id(target).ok_or_else(|| format!("unknown target `{target}` of `{phrase}`"))?;
            let method = match qualifies {
                "" => None,
                id => Some(Method::from_id(id).ok_or_else(|| format!("unknown method `{id}`"))?),
            };
            Meaning::Analyte(analyte, method, form_of(form).ok_or_else(|| format!("unknown form `{form}`"))?)
        }
    })
}

fn field(id: &str) -> Option<Field> {
    Some(match id {
        "sample_label" => Field::SampleLabel,
        "lab_sample" => Field::LabSample,
        "report" => Field::Report,
        "sampled_on" => Field::SampledOn,
        "received_on" => Field::ReceivedOn,
        "reported_on" => Field::ReportedOn,
        "depth_top_cm" => Field::DepthTop,
        "depth_bottom_cm" => Field::DepthBottom,
        "depth_unit" => Field::DepthUnit,
        "client" => Field::Client,
        "account" => Field::Account,
        "farm" => Field::Farm,
        "submitter" => Field::Submitter,
        "day" => Field::Day,
        "lab" => Field::Lab,
        "sample_kind" => Field::SampleKind,
        "" => Field::Ignored,
        _ => return None,
    })
}

fn form_of(id: &str) -> Option<Form> {
    Some(match id {
        "" => Form::Plain,
        "oxide" => Form::Oxide,
        "oxide-or-element" => Form::OxideOrElement,
        "ion-or-element" => Form::IonOrElement,
        "ion" => Form::Ion,
        "foreign" => Form::Foreign,
        "equivalent" => Form::Equivalent,
        "solution" => Form::Solution,
        "profile" => Form::Profile,
        "unclear" => Form::Unclear,
        "by-unit" => Form::ByUnit,
        _ => return None,
    })
}
