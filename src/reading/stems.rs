//! Numbers of one job, `71204/1`, `71204/2`, and codes that count on: `K19-1`, `K19-2`.
//!
//! `Pond 71204/1` beside `71204/2` and `71204/3`: a laboratory's number of one job, run into the names of samples.

use super::numbered::{MANY_FIGURES, figures};
use crate::soil::{Doubt, Report};
use rustc_hash::FxHashMap;

/// A shorter stem may be a field's own.
const STEM: usize = 3;

/// Codes of one stem that differ in the count at their end.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Codes {
    /// The stem has so many figures that it numbers a job of a laboratory's, and the counts run on without a gap.
    pub of_a_job: bool,
}

/// Whether texts are one word each and of one stem, `S-1`, `S-2`, or `77120-1`, `77120-2`, and no two alike. A stem that is
/// a word, `Green1`, is a name of the client's.
pub fn codes(texts: &[&str]) -> Option<Codes> {
    let split = |text: &&str| -> Option<(String, u64)> {
        let at = text.rfind(|c: char| !c.is_ascii_digit()).map(|i| i + 1)?;
        let (stem, count) = text.split_at_checked(at)?;
        let letters = stem.chars().filter(|c| c.is_alphabetic()).count();
        let plain = !text.contains(' ') && letters <= MOST_LETTERS && count.len() <= STEM;
        Some((stem.to_lowercase(), count.parse().ok().filter(|_| plain)?))
    };
    let all: Vec<(String, u64)> = texts.iter().map(split).collect::<Option<_>>()?;
    let (stem, _) = all.first()?;
    let mut counts: Vec<u64> = all.iter().map(|(_, count)| *count).collect();
    counts.sort_unstable();
    let unlike = counts.windows(2).all(|w| w.first() != w.last());
    let runs = counts.windows(2).all(|w| matches!(w, [a, b] if b - a == 1));
    let one = all.len() > 1 && all.iter().all(|(other, _)| other == stem);
    (one && unlike).then(|| Codes { of_a_job: runs && figures(stem) >= MANY_FIGURES })
}

/// More letters make a word.
const MOST_LETTERS: usize = 3;

/// The job in a number of job and count, `71204/2`, at the end of a name; and whether words stand before it.
fn stem(label: &str) -> Option<(&str, bool)> {
    let (words, last) = label.rsplit_once(' ').map_or(("", label), |(words, last)| (words, last));
    let (stem, count) = last.split_once(['/', '-'])?;
    let digits = |text: &str| !text.is_empty() && text.chars().all(|c| c.is_ascii_digit());
    let job = stem.len() >= STEM && digits(stem) && digits(count) && count.len() < STEM;
    job.then_some((stem, !words.is_empty()))
}

/// Names that end in numbers of one job wait where words stand before some of these and not before all: the words are
/// perhaps halves of names, and the numbers are none.
pub fn doubt_numbers_in_names(report: &mut Report) {
    let mut jobs: FxHashMap<String, (usize, usize)> = FxHashMap::default();
    for (job, worded) in report.samples.iter().filter_map(|s| stem(&s.label)) {
        let (all, named) = jobs.entry(job.to_owned()).or_default();
        *all += 1;
        *named += usize::from(worded);
    }
    for sample in &mut report.samples {
        let Some((job, _)) = stem(&sample.label) else { continue };
        if jobs.get(job).is_some_and(|(all, named)| *named > 0 && named < all) {
            sample.doubts.push(Doubt::new(
                "sample-unnamed",
                format!("`{}` holds a number of job {job}, and perhaps not the whole name.", sample.label),
            ));
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn codes_of_one_stem_are_told_from_names() {
        assert_eq!(codes(&["77120-1", "77120-2"]), Some(Codes { of_a_job: true }));
        assert_eq!(codes(&["77120-1", "77120-4"]), Some(Codes { of_a_job: false }));
        assert_eq!(codes(&["S2", "S1"]), Some(Codes { of_a_job: false }));
        for names in [
            ["Green1", "Green2"],
            ["Bay 1", "Bay 2"],
            ["S-1", "T-2"],
            ["S-1", "S-1"],
            ["12", "13"],
            ["Moss", "Hob"],
        ] {
            assert_eq!(codes(&names), None, "{names:?}");
        }
        assert_eq!(codes(&["S-1"]), None);
    }
}
