//! Rows that measure a sample once more, `Wdh. Long meadow` below `Long meadow`: none of the client's samples.

use super::super::found::FoundSample;
use super::super::vocabulary::Field;
use super::control::{is_repeat, perhaps};
use super::doubt::doubt_all;

/// The longest mark beside such a word, `dup 2`.
const LONGEST_MARK: usize = 2;

/// What stands in a name beside the word for a repeat that opens or ends it, in small letters; none without such a word.
fn repeated(name: &str) -> Option<String> {
    let lower = name.to_lowercase();
    let bare = |w: &str| w.trim_matches(|c: char| !c.is_alphanumeric()).to_owned();
    let words: Vec<String> = lower.split([' ', '_']).map(bare).filter(|w| !w.is_empty()).collect();
    let mark = |w: &String| w.chars().count() <= LONGEST_MARK && w.chars().all(|c| c.is_ascii_digit());
    let rest = match words.as_slice() {
        [first, number, rest @ ..] if is_repeat(first) && mark(number) => rest,
        [first, rest @ ..] if is_repeat(first) => rest,
        [rest @ .., last, number] if is_repeat(last) && mark(number) => rest,
        [rest @ .., last] if is_repeat(last) => rest,
        _ => return None,
    };
    Some(rest.join(" "))
}

fn plain(name: &str) -> String {
    let lower = name.to_lowercase();
    let bare = |w: &str| w.trim_matches(|c: char| !c.is_alphanumeric()).to_owned();
    lower.split([' ', '_']).map(bare).filter(|w| !w.is_empty()).collect::<Vec<_>>().join(" ")
}

/// Drops rows that repeat a sample of the same table and bear no number of the laboratory's; others whose names speak of a
/// repeat wait. Where every other row does, these are the plots of a trial.
pub(super) fn settle(samples: &mut Vec<FoundSample>) {
    let name = |s: &FoundSample| s.field(Field::SampleLabel).unwrap_or_default().to_owned();
    let names: Vec<String> = samples.iter().map(|s| plain(&name(s))).collect();
    let repeats: Vec<Option<String>> = samples.iter().map(|s| repeated(&name(s))).collect();
    if 2 * repeats.iter().flatten().count() >= samples.len() {
        return;
    }
    let mut told = repeats.into_iter();
    samples.retain_mut(|sample| {
        let Some(Some(rest)) = told.next() else { return true };
        let again = !rest.is_empty() && names.contains(&rest);
        if again && sample.field(Field::LabSample).is_none() {
            return false;
        }
        let doubt = perhaps(&name(sample));
        doubt_all(std::slice::from_mut(sample), Some(&doubt));
        true
    });
}

#[cfg(test)]
mod tests {
    use super::*;

    fn settled(names: &[(&str, &str)]) -> Vec<String> {
        let sample = |(name, number): &(&str, &str)| {
            let mut fields = vec![(Field::SampleLabel, (*name).to_owned())];
            if !number.is_empty() {
                fields.push((Field::LabSample, (*number).to_owned()));
            }
            FoundSample { fields, ..FoundSample::default() }
        };
        let mut samples: Vec<FoundSample> = names.iter().map(sample).collect();
        settle(&mut samples);
        samples.iter().filter_map(|s| s.field(Field::SampleLabel)).map(str::to_owned).collect()
    }

    #[test]
    fn what_opens_or_ends_with_a_word_for_a_repeat_is_parted() {
        assert_eq!(repeated("Wdh. Long meadow").as_deref(), Some("long meadow"));
        assert_eq!(repeated("Long meadow (duplo)").as_deref(), Some("long meadow"));
        assert_eq!(repeated("Long meadow dup 2").as_deref(), Some("long meadow"));
        assert_eq!(repeated("Doppelbestimmung").as_deref(), Some(""));
        assert!(repeated("Dupont field").is_none() && repeated("Old repeat lane").is_none());
    }

    #[test]
    fn the_repeat_of_a_sample_is_none_of_its_own() {
        let three = [("Long meadow", ""), ("Hob", ""), ("Wdh. Long meadow", "")];
        assert_eq!(settled(&three), ["Long meadow", "Hob"]);
        // A bag of its own, another name, and the plots of a trial stay.
        let bag = [("Long meadow", "11"), ("Hob", "12"), ("Wdh. Long meadow", "13")];
        assert_eq!(settled(&bag).len(), 3);
        let other = [("Long meadow", ""), ("Hob", ""), ("Wdh. Fern", "")];
        assert_eq!(settled(&other).len(), 3);
        let trial = [("Nil", ""), ("Nil wdh. 2", ""), ("Lime wdh. 1", ""), ("Lime wdh. 2", "")];
        assert_eq!(settled(&trial).len(), 4);
    }
}
