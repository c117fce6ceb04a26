//! Which guides are asked about a reading, and in which order: the first that gives a class is the one flags follow.

use super::Level;
use super::catalog::{Guide, guide};
use super::condition::word;
use super::scale::Scale;
use super::uses::use_of;
use crate::soil::table::TableError;
use crate::soil::{Analyte, Method, Site};

/// The guides to ask about an analyte by a method at a site.
///
/// The site's own list where one of its guides speaks of the analyte; else the default of its use, with the guides of
/// the site's own region first (rule 9). A guide of another region is asked only where no other speaks of it.
///
/// # Errors
/// A built-in table is damaged.
pub fn choose(site: &Site, analyte: Analyte, method: Method) -> Result<Vec<&'static Guide>, TableError> {
    let own = speaking(&site.guides, analyte)?;
    if !own.is_empty() {
        return Ok(own);
    }
    let Some(found) = use_of(site)? else { return Ok(Vec::new()) };
    let speaking = speaking(&found.guides, analyte)?;
    let by_method: Vec<&Guide> =
        speaking.iter().copied().filter(|guide| guide.scales_for(analyte).any(|s| fits(s, method))).collect();
    // Where none speaks of the method, or it is not known, all are asked, so that each can say why it is silent.
    let asked = if by_method.is_empty() || method == Method::Unstated { speaking } else { by_method };
    let here = site.region.as_deref().map(word);
    let at_home = |guide: &&Guide| here.as_ref().is_some_and(|here| guide.regions.contains(here));
    let anywhere = |guide: &&Guide| guide.regions.is_empty();
    let mut chosen: Vec<&Guide> = asked.iter().copied().filter(at_home).collect();
    chosen.extend(asked.iter().copied().filter(anywhere));
    Ok(if chosen.is_empty() { asked } else { chosen })
}

/// The guides asked as well at a site, for excess and hazards; they speak of the soil, whatever list it has.
///
/// # Errors
/// A built-in table is damaged.
pub fn also(site: &Site, analyte: Analyte) -> Result<Vec<&'static Guide>, TableError> {
    match use_of(site)? {
        Some(found) => speaking(&found.also, analyte),
        None => Ok(Vec::new()),
    }
}

/// The printed scale that a level was read from; none for the site's own edges, for edges that move, and where two
/// scales would fit.
///
/// # Errors
/// A built-in table is damaged.
pub fn scale_of(
    level: &Level,
    analyte: Analyte,
    method: Method,
) -> Result<Option<&'static Scale>, TableError> {
    let Some(found) = guide(&level.guide)? else { return Ok(None) };
    let edge = |edge: Option<super::scale::Edge>| edge.map(|edge| edge.value);
    let mut fitting = found.scales_for(analyte).filter(|scale| {
        scale.moving.is_none()
            && fits(scale, method)
            && edge(scale.sufficient_from()) == level.sufficient_from
            && edge(scale.sufficient_to()) == level.sufficient_to
            && scale
                .classes
                .iter()
                .any(|class| (&class.name, class.from, class.to) == (&level.class, level.from, level.to))
    });
    let first = fitting.next();
    let other = first.is_some_and(|first| fitting.any(|scale| scale.classes != first.classes));
    Ok(first.filter(|_| !other))
}

fn speaking(ids: &[String], analyte: Analyte) -> Result<Vec<&'static Guide>, TableError> {
    let mut found = Vec::new();
    for id in ids {
        found.extend(guide(id)?.filter(|guide| guide.scales_for(analyte).next().is_some()));
    }
    Ok(found)
}

fn fits(scale: &Scale, method: Method) -> bool {
    scale.method == method || scale.method == Method::Unstated
}
