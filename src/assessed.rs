//! Sites of the history, assessed under the settings: what command line, pages and service all say of them.

use crate::assess::{AssessSettings, Assessment, BulkError, assess, assess_all};
use crate::config::Settings;
use crate::history::{self, Filter, History};
use crate::soil::Site;
use crate::soil::table::TableError;
use jiff::civil::Date;

/// Sites taken together: enough for the columns to pay, few enough for any memory.
const AT_ONCE: usize = 2000;

/// Why a site could not be assessed.
#[derive(Debug, thiserror::Error)]
pub enum Error {
    /// What the store says.
    #[error(transparent)]
    History(#[from] history::Error),
    /// A built-in table is damaged.
    #[error(transparent)]
    Table(#[from] TableError),
    /// The work on many sites failed.
    #[error(transparent)]
    Bulk(#[from] BulkError),
}

/// What is said of a site on a day.
///
/// # Errors
/// [`Error`].
pub fn assessment(
    history: &History,
    settings: &Settings,
    site: Site,
    today: Date,
) -> Result<Assessment, Error> {
    let rows = history.readings(&Filter { site: Some(site.id.clone()), ..Filter::default() })?;
    let (site, how) = prepared(settings, site)?;
    Ok(assess(&site, &rows, &how, today)?)
}

/// Assesses these sites in bulk and hands each on, in the order given: only so many are in memory at once.
///
/// # Errors
/// [`Error`], or what the one who takes them says.
pub fn each_assessment<E: From<Error>>(
    history: &History,
    settings: &Settings,
    sites: Vec<Site>,
    today: Date,
    mut take: impl FnMut(Assessment) -> Result<(), E>,
) -> Result<(), E> {
    let mut rest = sites;
    while !rest.is_empty() {
        let later = rest.split_off(AT_ONCE.min(rest.len()));
        let now = std::mem::replace(&mut rest, later);
        for assessment in bulk(history, settings, now, today)? {
            take(assessment)?;
        }
    }
    Ok(())
}

fn bulk(
    history: &History,
    settings: &Settings,
    sites: Vec<Site>,
    today: Date,
) -> Result<impl IntoIterator<Item = Assessment>, Error> {
    let ids: Vec<&str> = sites.iter().map(|site| site.id.as_str()).collect();
    let readings = history.columns_of(&ids)?;
    let prepared = sites.into_iter().map(|site| prepared(settings, site)).collect::<Result<Vec<_>, _>>()?;
    Ok(assess_all(&prepared, readings, today)?)
}

/// A site with what the settings say of it: of its own first, then of all.
fn prepared(settings: &Settings, mut site: Site) -> Result<(Site, AssessSettings), Error> {
    let own = settings.sites.get(&site.id);
    if let Some(own) = own {
        site = crate::plan::with_settings(&site, own);
    }
    site.use_ = site.use_.or_else(|| settings.guides.default_use.clone());
    site.region = site.region.or_else(|| settings.guides.default_region.clone());
    if site.guides.is_empty() {
        site.guides.clone_from(&settings.guides.default);
    }
    let mut how = AssessSettings::built_in()?;
    if let Some(years) = settings.flags.horizon_years {
        how.horizon_years = f64::from(years);
    }
    let edges = own.iter().flat_map(|own| &own.edges);
    how.own_edges = edges.map(|(analyte, edge)| edge.edge(*analyte)).collect();
    Ok((site, how))
}

/// The calendar day it is now, by universal time.
pub fn today() -> Date {
    jiff::tz::Offset::UTC.to_datetime(jiff::Timestamp::now()).date()
}
