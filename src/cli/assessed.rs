//! Sites with all that is said of them: what flags, trends, charts and exports are made from.

use super::context::Context;
use crate::assess::{AssessSettings, Assessment, assess, assess_all};
use crate::history::{Filter, History};
use crate::soil::Site;
use anyhow::bail;

/// Sites taken together: enough for the columns to pay, few enough for any memory.
const AT_ONCE: usize = 2000;

impl Context {
    /// The assessments of every site, or of the one asked for, by site id.
    ///
    /// # Errors
    /// What the store says; a site that is not there, with a near name.
    pub fn assessments(&self, history: &History, site: Option<&str>) -> anyhow::Result<Vec<Assessment>> {
        if let Some(id) = site {
            return Ok(vec![self.assessment(history, find_site(history, id)?)?]);
        }
        let mut all = Vec::new();
        self.each_assessment(history, history.sites()?, |assessment| {
            all.push(assessment);
            Ok(())
        })?;
        Ok(all)
    }

    /// Assesses these sites in bulk and hands each on, in the order given: only so many are in memory at once.
    ///
    /// # Errors
    /// What the store says, or who takes them.
    pub fn each_assessment(
        &self,
        history: &History,
        sites: Vec<Site>,
        mut take: impl FnMut(Assessment) -> anyhow::Result<()>,
    ) -> anyhow::Result<()> {
        let mut rest = sites;
        while !rest.is_empty() {
            let later = rest.split_off(AT_ONCE.min(rest.len()));
            let now = std::mem::replace(&mut rest, later);
            let readings =
                history.columns_of(&now.iter().map(|site| site.id.as_str()).collect::<Vec<_>>())?;
            let prepared = now.into_iter().map(|site| self.prepared(site)).collect::<Result<Vec<_>, _>>()?;
            for assessment in assess_all(&prepared, readings, self.today)? {
                take(assessment)?;
            }
        }
        Ok(())
    }

    /// What is said of one site.
    ///
    /// # Errors
    /// What the store says.
    pub fn assessment(&self, history: &History, site: Site) -> anyhow::Result<Assessment> {
        let rows = history.readings(&Filter { site: Some(site.id.clone()), ..Filter::default() })?;
        let (site, how) = self.prepared(site)?;
        Ok(assess(&site, &rows, &how, self.today)?)
    }

    /// A site with what the settings say of it.
    fn prepared(&self, mut site: Site) -> anyhow::Result<(Site, AssessSettings)> {
        let settings = &self.settings;
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
