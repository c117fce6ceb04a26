//! The nightly copy beside the home: one store a day, seven days and twelve months back, and every original once.

use super::context::Context;
use crate::health::{self, Kind};
use crate::history::{History, journal_of};
use crate::home;
use anyhow::Context as _;
use jiff::civil::Date;
use std::collections::BTreeSet;
use std::fs::{self, File};
use std::path::{Path, PathBuf};

/// Days of which the copy is kept.
const DAYS: usize = 7;

/// Months of which the first copy is kept.
const MONTHS: usize = 12;

/// Makes the copy of the night if anything changed; gives a sentence where there is something to say.
///
/// # Errors
/// What the disk or the store says; the home is as sound as before.
pub fn make(context: &Context, history: &mut History) -> anyhow::Result<Option<String>> {
    let Some(line) = history.changed_since_copy()? else { return Ok(None) };
    let folder = folder_of(context.home.root());
    fs::create_dir_all(&folder).with_context(|| format!("{} cannot be made", folder.display()))?;
    let missing = history.to_copy()?;
    let needed = history.bytes()? + missing.iter().map(|one| one.bytes).sum::<u64>();
    let spare = context.settings.watch.keep_free_mib << 20;
    if let Some(free) = home::bytes_free(&folder).filter(|free| *free < needed + spare) {
        return Ok(Some(format!(
            "No copy was made: it needs {} MB in {}, and {} MB are free.",
            (needed + spare) >> 20,
            folder.display(),
            free >> 20
        )));
    }
    // The store first: originals are kept before it knows them, so those copied after it can only be more.
    let part = folder.join("history.next.db");
    match fs::remove_file(&part) {
        Err(error) if error.kind() != std::io::ErrorKind::NotFound => return Err(error.into()),
        _ => {}
    }
    history.backup_by_night(&part)?;
    // What was found of the copy holds of the store itself.
    health::checked(&context.home, Kind::Store, Vec::new());
    let missing = history.to_copy()?;
    for one in &missing {
        let target = place_of(&folder, &one.kept_at);
        copy_whole(&context.home.root().join(&one.kept_at), &target)?;
    }
    copy_whole(&journal_of(&context.home.history()), &folder.join("journal.jsonl"))?;
    fs::rename(&part, store_of(&folder, context.today))?;
    File::open(&folder)?.sync_all()?;
    history.copied(&missing, line)?;
    for old in expendable(&days(&folder)) {
        fs::remove_file(store_of(&folder, old))?;
    }
    Ok(None)
}

/// Beside the home, never in it: what befalls one folder spares the other.
pub fn folder_of(root: &Path) -> PathBuf {
    let mut name = root.as_os_str().to_owned();
    name.push("-copies");
    name.into()
}

fn store_of(folder: &Path, day: Date) -> PathBuf {
    folder.join(format!("history-{day}.db"))
}

/// Where the copy of an original lies: by its stored name, whichever shelf it is on.
pub fn place_of(folder: &Path, kept_at: &str) -> PathBuf {
    let name = kept_at.rsplit('/').next().unwrap_or(kept_at);
    folder.join("originals").join(name.get(..2).unwrap_or("00")).join(name)
}

fn copy_whole(from: &Path, to: &Path) -> anyhow::Result<()> {
    let said = || format!("{} cannot be copied to {}", from.display(), to.display());
    let folder = to.parent().unwrap_or(to);
    fs::create_dir_all(folder).with_context(said)?;
    let mut part = to.as_os_str().to_owned();
    part.push(".part");
    let part = PathBuf::from(part);
    fs::copy(from, &part).with_context(said)?;
    File::open(&part).and_then(|file| file.sync_all()).with_context(said)?;
    fs::rename(&part, to).with_context(said)?;
    File::open(folder).and_then(|folder| folder.sync_all()).with_context(said)
}

fn days(folder: &Path) -> Vec<Date> {
    let names = fs::read_dir(folder).into_iter().flatten().flatten();
    let mut days: Vec<Date> = names
        .filter_map(|entry| {
            let name = entry.file_name().into_string().ok()?;
            name.strip_prefix("history-")?.strip_suffix(".db")?.parse().ok()
        })
        .collect();
    days.sort_unstable();
    days
}

/// The last store of a folder of copies.
pub fn latest(folder: &Path) -> Option<PathBuf> {
    days(folder).last().map(|day| store_of(folder, *day))
}

/// Of these days, ascending, those whose copy goes: neither among the last days nor the first of one of the last months.
fn expendable(days: &[Date]) -> Vec<Date> {
    let month = |day: &Date| (day.year(), day.month());
    let months: BTreeSet<_> = days.iter().map(month).collect();
    let kept: BTreeSet<_> = months.iter().rev().take(MONTHS).copied().collect();
    let last = days.len().saturating_sub(DAYS);
    let first_of_month = |at: usize, day: &Date| {
        let before = at.checked_sub(1).and_then(|at| days.get(at));
        before.is_none_or(|before| month(before) != month(day)) && kept.contains(&month(day))
    };
    let old = days.iter().enumerate().take(last);
    old.filter(|(at, day)| !first_of_month(*at, day)).map(|(_, day)| *day).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use jiff::ToSpan;
    use jiff::civil::date;

    #[test]
    fn seven_days_and_the_first_of_twelve_months_are_kept() {
        let mut days = Vec::new();
        let mut day = date(2022, 1, 1);
        while day <= date(2024, 6, 20) {
            days.push(day);
            let gone = expendable(&days);
            days.retain(|day| !gone.contains(day));
            day += 1.day();
        }
        let firsts: Vec<Date> =
            (7..=12).map(|m| date(2023, m, 1)).chain((1..=6).map(|m| date(2024, m, 1))).collect();
        let last: Vec<Date> = (14..=20).map(|d| date(2024, 6, d)).collect();
        assert_eq!(days, firsts.into_iter().chain(last).collect::<Vec<_>>());
    }

    #[test]
    fn few_copies_all_stay() {
        assert!(expendable(&[date(2024, 1, 5), date(2024, 1, 6)]).is_empty());
        assert!(expendable(&[]).is_empty());
    }
}
