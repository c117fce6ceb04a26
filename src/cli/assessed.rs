//! Sites with all that is said of them: what flags, trends, charts and exports are made from.

use super::context::Context;
use crate::assess::Assessment;
use crate::history::History;
use crate::soil::Site;
use anyhow::bail;

impl Context {
    /// The assessments of every site, by site id.
    ///
    /// # Errors
    /// What the store says.
    pub fn assessments(&self, history: &History) -> anyhow::Result<Vec<Assessment>> {
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
        take: impl FnMut(Assessment) -> anyhow::Result<()>,
    ) -> anyhow::Result<()> {
        crate::assessed::each_assessment(history, &self.settings, sites, self.today, take)
    }

    /// What is said of one site.
    ///
    /// # Errors
    /// What the store says.
    pub fn assessment(&self, history: &History, site: Site) -> anyhow::Result<Assessment> {
        Ok(crate::assessed::assessment(history, &self.settings, site, self.today)?)
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
