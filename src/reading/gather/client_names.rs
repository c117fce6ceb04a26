//! A column called `Client name` that holds the client's names for the samples, beside the laboratory's numbers.

use super::super::across::doubt_all;
use super::super::found::FoundSample;
use super::super::header::FieldValue;
use super::super::vocabulary::Field;
use super::super::words::List;
use crate::soil::Doubt;

/// Shorter ones stand in any number.
const FIGURES: usize = 4;

/// `Sample   Client name` over `60233/1   A green` in report 60233 for another client: where every row's number holds that
/// of the report, and most of what stands beside it are words for pieces of ground, the number is the laboratory's and
/// these are the names of the samples. Of people and firms
/// there nobody knows whether they or the other client own the soil.
pub(super) fn name_samples(samples: &mut [FoundSample], fields: &[FieldValue]) {
    let head = |field| fields.iter().filter(move |f| f.field == field).map(|f| f.text.as_str());
    let figures = |text: &str| text.chars().filter(char::is_ascii_digit).collect::<String>();
    let Some(report) = head(Field::Report).map(figures).find(|f| f.len() >= FIGURES) else { return };
    let told = |s: &FoundSample| {
        let name =
            s.field(Field::Client).filter(|_| s.named_by_table && s.field(Field::LabSample).is_none())?;
        let number = s.field(Field::SampleLabel)?;
        let numbered = !number.contains(char::is_alphabetic) && figures(number).starts_with(&report);
        (numbered && figures(number).len() > report.len()).then(|| name.to_owned())
    };
    let rows = || samples.iter().filter(|s| s.named_by_table);
    let Some(mut names) = rows().map(told).collect::<Option<Vec<String>>>() else { return };
    names.sort_unstable();
    names.dedup();
    let ground = |name: &&String| name.split(' ').any(|word| List::Ground.has(&word.to_lowercase()));
    let grounds = names.iter().filter(ground).count();
    let client =
        head(Field::Client).next().is_some() && !head(Field::Client).any(|c| names.iter().any(|n| n == c));
    if names.len() < 2 || !client {
        return;
    }
    if grounds * 2 < names.len() {
        let sentence =
            "A column asks for clients, and the report names another one: whose soil it is is not clear.";
        doubt_all(samples, Some(&Doubt::new("client-unsure", sentence)));
        return;
    }
    for sample in samples.iter_mut().filter(|s| s.named_by_table) {
        for (field, _) in &mut sample.fields {
            match field {
                Field::SampleLabel => *field = Field::LabSample,
                Field::Client => *field = Field::SampleLabel,
                _ => {}
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn row(number: &str, name: &str) -> FoundSample {
        let fields = vec![(Field::SampleLabel, number.to_owned()), (Field::Client, name.to_owned())];
        FoundSample { named_by_table: true, fields, ..FoundSample::default() }
    }

    fn labels(names: [&str; 3], numbers: [&str; 3], client: &str) -> Vec<String> {
        let value = |field, text: &str| FieldValue {
            field,
            text: text.to_owned(),
            page: 1,
            area: crate::place::Rect::new(0.0, 0.0, 10.0, 10.0),
            firm: true,
        };
        let fields = [value(Field::Client, client), value(Field::Report, "FSC 60233")];
        let mut samples: Vec<FoundSample> = numbers.iter().zip(names).map(|(n, name)| row(n, name)).collect();
        name_samples(&mut samples, &fields);
        samples.iter().filter_map(|s| s.field(Field::SampleLabel)).map(str::to_owned).collect()
    }

    #[test]
    fn names_of_ground_beside_the_reports_numbers_are_those_of_the_samples() {
        let numbers = ["60233/1", "60233/2", "60233/3"];
        let names = ["A green", "B green", "Surround"];
        assert_eq!(labels(names, numbers, "Corrabin Club"), names);
        // People, names without a client over them, and numbers of the client's own stay as they are.
        assert_eq!(labels(["A. Quern", "B. Moss", "Hob Trust"], numbers, "Corrabin Club"), numbers);
        assert_eq!(labels(names, numbers, "A green"), numbers);
        assert_eq!(labels(names, ["1", "2", "3"], "Corrabin Club"), ["1", "2", "3"]);
    }
}
