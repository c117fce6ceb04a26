//! Many sites at once: their series are built column by column, then each site is assessed as a single one is.

use super::{AssessSettings, Assessment, assess_series};
use crate::soil::Site;
use crate::soil::table::TableError;
use crate::trend::bulk;
use crate::trend::columns::ReadingColumns;
use crate::trend::rules::TrendRules;
use jiff::civil::Date;

/// Why many sites could not be assessed.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum BulkError {
    /// A built-in table is damaged.
    #[error(transparent)]
    Table(#[from] TableError),
    /// The frame could not be worked on.
    #[error(transparent)]
    Frame(#[from] bulk::BulkError),
    /// A worker ended before its time.
    #[error("a part of the work on all sites ended before its time; please report this")]
    Worker,
}

/// The assessments of these sites from the readings in the columns, in the order of the sites given. Says of each what
/// [`super::assess`] says of it alone.
///
/// # Errors
/// [`BulkError`].
pub fn assess_all(
    sites: &[(Site, AssessSettings)],
    readings: ReadingColumns,
    today: Date,
) -> Result<Vec<Assessment>, BulkError> {
    let mut found = bulk::build(readings, &TrendRules::built_in()?)?;
    let mut work: Vec<_> = sites
        .iter()
        .map(|(site, settings)| (site, settings, found.remove(&site.id).unwrap_or_default()))
        .collect();
    let workers = std::thread::available_parallelism().map_or(1, usize::from);
    let share = work.len().div_ceil(workers).max(1);
    let mut parts = Vec::new();
    while !work.is_empty() {
        let rest = work.split_off(share.min(work.len()));
        parts.push(std::mem::replace(&mut work, rest));
    }
    let done: Vec<Result<Vec<Assessment>, BulkError>> = std::thread::scope(|scope| {
        let started: Vec<_> = parts
            .into_iter()
            .map(|part| {
                scope.spawn(move || {
                    part.into_iter()
                        .map(|(site, settings, series)| Ok(assess_series(site, series, settings, today)?))
                        .collect()
                })
            })
            .collect();
        started.into_iter().map(|part| part.join().unwrap_or(Err(BulkError::Worker))).collect()
    });
    let mut all = Vec::with_capacity(sites.len());
    for part in done {
        all.extend(part?);
    }
    Ok(all)
}
