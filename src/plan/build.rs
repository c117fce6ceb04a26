//! PIPELINE 3 on one page: a site's assessment, its settings and what went down become the plan of a season.

use super::application::Application;
use super::cautions::{Occasion, cautions};
use super::nutrients::Nutrient;
use super::outcome::{Left, Plan};
use super::plain::plain;
use super::product::{Form, Product};
use super::recommended::Recommended;
use super::settings::SiteSettings;
use super::zone::{Seen, one_zone};
use crate::assess::Assessment;
use crate::flag::{FlagKind, SeriesFacts};
use crate::soil::table::TableError;
use crate::soil::{Analyte, Site};
use jiff::civil::Date;
use std::collections::BTreeSet;

/// The plan of a site for a season, made on a day.
///
/// # Errors
/// A built-in table is damaged.
pub fn plan(
    assessment: &Assessment,
    settings: &SiteSettings,
    applications: &[Application],
    products: &[Product],
    recommended: &[Recommended],
    season: i16,
    today: Date,
) -> Result<Plan, TableError> {
    let site = with_settings(&assessment.site, settings);
    let mut plan = Plan {
        site: site.id.clone(),
        name: site.name.clone(),
        client: site.client.clone(),
        season,
        made_on: today,
        applications: Vec::new(),
        leave_alone: Vec::new(),
        questions: Vec::new(),
        nitrogen: Vec::new(),
        retests: Vec::new(),
        ledger: Vec::new(),
        own_buffering: Vec::new(),
        cautions: Vec::new(),
    };
    let zones: BTreeSet<&str> = assessment.series.iter().map(|one| one.series.key.zone.as_str()).collect();
    let only = zones.len() == 1;
    for zone in zones {
        let series: Vec<&SeriesFacts> =
            assessment.series.iter().filter(|one| one.current && one.series.key.zone == zone).collect();
        let area_ft2 = match settings.zones_ft2.get(zone) {
            Some(area) => Some(*area),
            None => site.area_ft2.filter(|_| only),
        };
        for said in assessment.leave_alone.iter().filter(|said| said.zone == zone) {
            plan.leave_alone.push(Left {
                zone: zone.to_owned(),
                reason: said.reason.clone(),
                plain: Some(plain(said)),
                source: said.source.clone(),
            });
        }
        let told: Vec<Analyte> =
            assessment.leave_alone.iter().filter(|said| said.zone == zone).map(|said| said.analyte).collect();
        let kinds = [FlagKind::BelowSufficiency, FlagKind::DrawingDown];
        let watched = assessment.flags.iter().any(|flag| flag.zone == zone && kinds.contains(&flag.flag));
        let seen = Seen {
            site: &site,
            settings,
            applications,
            products,
            season,
            today,
            zone,
            area_ft2,
            recommended: recommended.iter().find(|found| found.zone == zone),
            told,
            watched,
        };
        one_zone(&seen, &series, &mut plan)?;
    }
    plan.applications.sort_by(|a, b| (a.on, &a.zone, a.nutrient).cmp(&(b.on, &b.zone, b.nutrient)));
    let mut told = BTreeSet::new();
    plan.leave_alone.retain(|left| told.insert((left.zone.clone(), left.reason.clone())));
    plan.questions.dedup();
    let mut occasions = Vec::new();
    for one in &plan.applications {
        occasions.push(match one.nutrient {
            Nutrient::LimeCce => Occasion::Lime,
            Nutrient::Gypsum => Occasion::Gypsum,
            _ => Occasion::Fertiliser,
        });
        let liquid = products.iter().any(|p| Some(&p.name) == one.product.as_ref() && p.form == Form::Liquid);
        occasions.extend(liquid.then_some(Occasion::Liquid));
    }
    plan.cautions = cautions(&occasions)?;
    Ok(plan)
}

/// The site with what the settings know of it where its record is silent.
pub fn with_settings(site: &Site, settings: &SiteSettings) -> Site {
    let mut site = site.clone();
    site.area_ft2 = settings.area_ft2.or(site.area_ft2);
    site.species = settings.species.clone().or(site.species);
    site.use_ = settings.use_.clone().or(site.use_);
    site.region = settings.region.clone().or(site.region);
    site.texture = settings.texture.clone().or(site.texture);
    site.calcareous = settings.calcareous.or(site.calcareous);
    if !settings.guides.is_empty() {
        site.guides.clone_from(&settings.guides);
    }
    site
}
