//! Tables in parts: the first names its samples and numbers them, the next repeats the laboratory's numbers alone.

use super::super::found::FoundSample;
use super::super::gather::Gathered;
use super::super::vocabulary::Field;
use super::forms::Forms;
use super::tables::{TOLD_BY, go_on, overlap};
use super::value::value;
use std::collections::HashMap;

/// Rows without names under numbers that stand with a name elsewhere go on with these, where each row of their page does,
/// on the same page or the one after, and what they measure was not measured there.
pub(super) fn join_tables(gathered: &Gathered, forms: &Forms, found: Vec<FoundSample>) -> Vec<FoundSample> {
    let key = |s: &FoundSample| {
        let number = s.field(Field::LabSample)?.trim().to_lowercase();
        let of = |field| value(gathered, forms, s, field).map(str::to_lowercase);
        let numbered = s.named_by_table && number.contains(|c: char| c.is_ascii_digit());
        numbered.then(|| (number, of(Field::Client), of(Field::Report)))
    };
    let named = |s: &FoundSample| s.field(Field::SampleLabel).is_some_and(|name| !name.trim().is_empty());
    let mut by_number: HashMap<_, Vec<usize>> = HashMap::new();
    for (i, sample) in found.iter().enumerate() {
        if let Some(key) = key(sample) {
            by_number.entry(key).or_default().push(i);
        }
    }
    // For each row without a name the one with it.
    let mut owners: HashMap<usize, usize> = HashMap::new();
    for places in by_number.into_values() {
        let (with, without): (Vec<usize>, Vec<usize>) =
            places.into_iter().partition(|i| found.get(*i).is_some_and(named));
        // `Green 2 | 055.1` over a second table as well: the same name and number are the same sample.
        let name = |i: &usize| {
            found.get(*i).and_then(|s| s.field(Field::SampleLabel)).map(|name| name.trim().to_lowercase())
        };
        let Some((owner, again)) = with.split_first() else { continue };
        if again.iter().any(|i| name(i) != name(owner)) {
            continue;
        }
        let without: Vec<usize> = again.iter().copied().chain(without).collect();
        let all: Vec<&FoundSample> = [*owner].iter().chain(&without).filter_map(|i| found.get(*i)).collect();
        let apart = all.iter().enumerate().all(|(i, a)| all.iter().skip(i + 1).all(|b| !overlap(a, b)));
        let alike = |s: &&FoundSample| {
            TOLD_BY.iter().all(|field| {
                let own = s.field(*field).map(str::to_lowercase);
                own.is_none() || all.first().is_some_and(|o| o.field(*field).map(str::to_lowercase) == own)
            })
        };
        if apart && all.iter().skip(1).all(alike) {
            owners.extend(without.into_iter().map(|i| (i, *owner)));
        }
    }
    let mut out: Vec<Option<FoundSample>> = found.iter().cloned().map(Some).collect();
    let mut pages: Vec<u32> = owners.keys().filter_map(|i| found.get(*i)).map(|s| s.page).collect();
    pages.sort_unstable();
    pages.dedup();
    // What the parts before hold is near as well.
    let mut reached: Vec<u32> = owners.values().filter_map(|i| found.get(*i)).map(|s| s.page).collect();
    for page in pages {
        let rows: Vec<usize> = found
            .iter()
            .enumerate()
            .filter(|(i, s)| s.page == page && key(s).is_some() && (!named(s) || owners.contains_key(i)))
            .map(|(i, _)| i)
            .collect();
        let near = reached.iter().any(|p| *p == page || *p + 1 == page);
        if !near || !rows.iter().all(|i| owners.contains_key(i)) {
            continue;
        }
        reached.push(page);
        for (from, to) in rows.iter().filter_map(|i| owners.get(i).map(|to| (*i, *to))) {
            let more = out.get_mut(from).and_then(Option::take);
            if let (Some(more), Some(Some(kept))) = (more, out.get_mut(to)) {
                go_on(kept, &more);
            }
        }
    }
    out.into_iter().flatten().collect()
}
