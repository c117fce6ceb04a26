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
    only_names(samples, fields);
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

/// `Grower   A. Quern   B. Moss` or a column `Customer ID`, in a report to a society or a firm that it names: where a table
/// has no other names for its samples, and these are words and unlike, they are what the client calls the samples.
fn only_names(samples: &mut [FoundSample], fields: &[FieldValue]) {
    let owner = |f: &Field| matches!(f, Field::Client | Field::Farm);
    let told: Vec<&str> =
        fields.iter().filter(|f| owner(&f.field) && !f.text.is_empty()).map(|f| f.text.as_str()).collect();
    let head = told.first().filter(|first| told.iter().all(|t| t == *first));
    let Some(head) = head else { return };
    let rows = || samples.iter().filter(|s| s.named_by_table);
    let own = |s: &FoundSample| {
        let mut names = s.fields.iter().filter(|(f, _)| owner(f)).map(|(_, name)| name.trim());
        let name = names.next().filter(|_| names.next().is_none())?;
        let worded = name.chars().filter(|c| c.is_alphabetic()).count() > 1;
        let unnamed = s.field(Field::SampleLabel).is_none_or(|label| label.trim().is_empty());
        (unnamed && worded && name != *head).then(|| name.to_owned())
    };
    let Some(names) = rows().map(own).collect::<Option<Vec<String>>>() else { return };
    // The rows of a long table repeat the name and the number of one sample.
    let numbered = |s: &FoundSample| s.field(Field::LabSample).map(|n| n.trim().to_owned());
    let mut pairs: Vec<(String, Option<String>)> = names.into_iter().zip(rows().map(numbered)).collect();
    pairs.sort_unstable();
    pairs.dedup();
    let unlike = pairs.windows(2).all(|w| matches!(w, [a, b] if a.0 != b.0));
    if pairs.len() < 2 || !unlike {
        return;
    }
    for (field, _) in samples.iter_mut().filter(|s| s.named_by_table).flat_map(|s| &mut s.fields) {
        if owner(field) {
            *field = Field::SampleLabel;
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
    fn the_only_names_of_a_table_in_a_report_to_another_are_those_of_its_samples() {
        let value = |text: &str| FieldValue {
            field: Field::Client,
            text: text.to_owned(),
            page: 1,
            area: crate::place::Rect::new(0.0, 0.0, 10.0, 10.0),
            firm: true,
        };
        let of = |client: &str, rows: &[(&str, &str)]| -> Vec<Option<String>> {
            let sample = |(number, name): &(&str, &str)| FoundSample {
                named_by_table: true,
                fields: vec![(Field::LabSample, (*number).to_owned()), (Field::Client, (*name).to_owned())],
                ..FoundSample::default()
            };
            let mut samples: Vec<FoundSample> = rows.iter().map(sample).collect();
            let fields: Vec<FieldValue> = if client.is_empty() { Vec::new() } else { vec![value(client)] };
            name_samples(&mut samples, &fields);
            samples.iter().map(|s| s.field(Field::SampleLabel).map(str::to_owned)).collect()
        };
        let rows = [("M1", "A. Quern"), ("M2", "B. Moss")];
        assert_eq!(of("Hob Society", &rows), [Some("A. Quern".to_owned()), Some("B. Moss".to_owned())]);
        // No client over them, one of them over them, two fields of one grower, numbers of clients.
        for (client, rows) in [
            ("", rows),
            ("A. Quern", rows),
            ("Hob Society", [("M1", "A. Quern"), ("M2", "A. Quern")]),
            ("Hob Society", [("M1", "4471"), ("M2", "4472")]),
        ] {
            assert_eq!(of(client, &rows), [None, None], "{client} {rows:?}");
        }
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
