//! Sites with all that is said of them: what flags, trends, charts and exports are made from.

use super::context::Context;
use crate::assess::{AssessSettings, Assessment, assess};
use crate::history::{Filter, History};
use crate::soil::Site;
use anyhow::bail;

impl Context {
    /// The assessments of every site, or of the one asked for, by site id.
    ///
    /// # Errors
    /// What the store says; a site that is not there, with a near name.
    pub fn assessments(&self, history: &History, site: Option<&str>) -> anyhow::Result<Vec<Assessment>> {
        let sites = match site {
            Some(id) => vec![find_site(history, id)?],
            None => history.sites()?,
        };
        sites.into_iter().map(|site| self.assessment(history, site)).collect()
    }

    /// What is said of one site.
    ///
    /// # Errors
    /// What the store says.
    pub fn assessment(&self, history: &History, mut site: Site) -> anyhow::Result<Assessment> {
        let settings = &self.settings;
        if let Some(own) = settings.sites.get(&site.id) {
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
        let rows = history.readings(&Filter::counting(&site.id))?;
        Ok(assess(&site, &rows, &how, self.today)?)
    }
}

/// The site with this id, else the one whose id alone contains what was asked for.
///
/// # Errors
/// A sentence that lists what there is.
pub fn find_site(history: &History, asked: &str) -> anyhow::Result<Site> {
    if let Some(site) = history.site(asked)? {
        return Ok(site);
    }
    let word = crate::soil::site::slug(asked);
    let near: Vec<Site> =
        history.sites()?.into_iter().filter(|s| !word.is_empty() && s.id.contains(&word)).collect();
    match near.as_slice() {
        [] => bail!("there is no site `{asked}`: `loamline sites` lists them"),
        [one] => Ok(one.clone()),
        several => {
            let ids: Vec<&str> = several.iter().take(5).map(|s| s.id.as_str()).collect();
            bail!("`{asked}` could be any of {}: name one", ids.join(", "))
        }
    }
}
