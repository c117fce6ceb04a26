//! `Sample: S-1   Site visited: Front lawn`: codes for names, and words of each sample's own under something that is not
//! known.

use super::super::super::across::may_name;
use super::super::super::header::leading_field;
use super::super::super::stems::codes;
use super::super::super::vocabulary::Context;
use super::Found;

/// More words before a colon are a sentence.
const MOST_WORDS: usize = 4;

/// A pair of a form under a name that nobody knows.
fn pairs(text: &str) -> Vec<(String, String)> {
    let context = Context { symbols: false, capitals: false };
    let mut out = Vec::new();
    for line in text.lines() {
        let mut phrases = line.split("  ").map(str::trim).filter(|p| !p.is_empty()).peekable();
        while let Some(phrase) = phrases.next() {
            let pair = match phrase.strip_suffix(':') {
                Some(name) => phrases.peek().map(|value| (name, *value)),
                None => phrase.split_once(": "),
            };
            let Some((name, value)) = pair else { continue };
            let plain = name.split(' ').count() <= MOST_WORDS && name.contains(char::is_alphabetic);
            if plain && leading_field(&format!("{name}: {value}"), context).is_none() && may_name(value) {
                out.push((name.to_lowercase(), value.to_owned()));
            }
        }
    }
    out
}

/// Names that are codes of one stem or bare numbers wait where pairs of one unknown name give as many samples words, each
/// its own.
pub(super) fn beside(labels: &[&str], text: &str) -> Vec<Option<Found>> {
    let mut unlike: Vec<&str> = labels.to_vec();
    unlike.sort_unstable();
    unlike.dedup();
    let figures = |l: &&str| !l.is_empty() && l.chars().all(|c| c.is_ascii_digit());
    let coded = unlike.len() > 1 && (codes(&unlike).is_some() || unlike.iter().all(figures));
    let pairs = if coded { pairs(text) } else { Vec::new() };
    let own = pairs.iter().find(|(name, _)| {
        let mut values: Vec<String> =
            pairs.iter().filter(|(n, _)| n == name).map(|(_, v)| v.to_lowercase()).collect();
        let all = values.len();
        values.sort_unstable();
        values.dedup();
        all == values.len() && all == unlike.len()
    });
    let judge = |label: &&str| {
        let (name, value) = own?;
        Some(Found::Unsure(format!(
            "`{label}` may be a number, and what stands under `{name}`, as `{value}`, the name."
        )))
    };
    labels.iter().map(judge).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn words_of_each_samples_own_beside_codes_may_be_the_names() {
        let waits = |labels: &[&str], text: &str| beside(labels, text).iter().all(Option::is_some);
        let text = "Sample: S-1  Qwert: Front lawn\npH  6.1\nSample: S-2  Qwert: Back lawn\npH  6.2";
        assert!(waits(&["S-1", "S-2"], text) && waits(&["1", "2"], text));
        assert!(waits(&["S-1", "S-2"], "Qwert:  Front lawn\nQwert:  Back lawn"));
        assert!(!waits(&["Moss", "Hob"], text) && !waits(&["S-1", "S-2", "S-3"], text));
        assert!(!waits(&["S-1", "S-2"], "Qwert: Front lawn\nQwert: Front lawn"));
        assert!(!waits(&["S-1", "S-2"], "Client: Moss Trust\nClient: Hob Trust"));
        assert!(!waits(&["S-1", "S-2"], "Qwert: 6.1\nQwert: 6.2"));
    }
}
