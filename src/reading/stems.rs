//! `Pond 71204/1` beside `71204/2` and `71204/3`: a laboratory's number of one job, run into the names of samples.

use crate::soil::{Doubt, Report};
use rustc_hash::FxHashMap;

/// A shorter stem may be a field's own.
const STEM: usize = 3;

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
