//! What all sites together ask for: the season's products in packages, and what is to be done on which day.

use super::fertiliser::packages;
use super::nutrients::Nutrient;
use super::outcome::{Amount, Plan};
use super::product::{Form, Product};
use jiff::civil::Date;
use serde::{Deserialize, Serialize};
use std::collections::{BTreeMap, BTreeSet};

/// What one site asks for: the part of its plan that the sums over all sites are made from.
#[derive(Debug, Clone, PartialEq)]
pub struct SiteDemand {
    /// Site id.
    pub site: String,
    /// Its name.
    pub name: String,
    /// Questions to settle first.
    pub questions: usize,
    /// Applications in order of the days.
    pub applications: Vec<Due>,
}

/// One application of a site.
#[derive(Debug, Clone, PartialEq)]
pub struct Due {
    /// The day.
    pub on: Date,
    /// Zone.
    pub zone: String,
    /// What it is for.
    pub nutrient: Nutrient,
    /// The user's product, where one fits.
    pub product: Option<String>,
    /// For 1000 ft2.
    pub per_1000_ft2: Amount,
    /// For the whole area, where it is known.
    pub total: Option<Amount>,
}

impl SiteDemand {
    /// Of a plan.
    pub fn of(plan: &Plan) -> Self {
        let due = plan.applications.iter().map(|one| Due {
            on: one.on,
            zone: one.zone.clone(),
            nutrient: one.nutrient,
            product: one.product.clone(),
            per_1000_ft2: one.per_1000_ft2,
            total: one.total,
        });
        Self {
            site: plan.site.clone(),
            name: plan.name.clone(),
            questions: plan.questions.len(),
            applications: due.collect(),
        }
    }
}

impl Due {
    /// What goes down, in words.
    pub fn what(&self) -> &str {
        self.product.as_deref().unwrap_or_else(|| self.nutrient.name())
    }
}

/// One product over all sites.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Demand {
    /// The product, or the nutrient where no product of the file fits.
    pub what: String,
    /// True for a product of the file.
    pub is_product: bool,
    /// How much for all sites whose area is known.
    pub amount: Amount,
    /// Whole packages, where the file says what one holds.
    pub packages: Option<u64>,
    /// What they cost, where the file says a price.
    pub cost: Option<f64>,
    /// Sites that get it.
    pub sites: usize,
    /// Applications whose area is not known, so that they are missing in the amount.
    pub without_area: usize,
}

/// One line of the day list.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct DayLine {
    /// The day.
    pub on: Date,
    /// Site id.
    pub site: String,
    /// Its name.
    pub name: String,
    /// Zone.
    pub zone: String,
    /// The product or nutrient.
    pub what: String,
    /// For 1000 ft2.
    pub per_1000_ft2: Amount,
    /// For the whole area, where it is known.
    pub total: Option<Amount>,
}

/// What goes on the truck on one day.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Load {
    /// The day.
    pub on: Date,
    /// The product or nutrient.
    pub what: String,
    /// How much for all its sites whose area is known.
    pub amount: Amount,
    /// Sites that get it that day.
    pub sites: usize,
    /// Applications whose area is not known, so that they are missing in the amount.
    pub without_area: usize,
}

/// The demand of each day by product; sites by id, so that sums are the same to the last digit wherever they are made.
pub fn loads<'a>(sites: impl IntoIterator<Item = &'a SiteDemand>, products: &[Product]) -> Vec<Load> {
    let mut by_day: BTreeMap<(Date, &str), Sum<'_>> = BTreeMap::new();
    for site in sites {
        for one in &site.applications {
            by_day.entry((one.on, one.what())).or_default().add(site, one);
        }
    }
    by_day
        .into_iter()
        .map(|((on, what), sum)| Load {
            on,
            what: what.to_owned(),
            amount: Amount::new(sum.lb, density(products, what)),
            sites: sum.sites.len(),
            without_area: sum.without_area,
        })
        .collect()
}

/// What is summed up of applications.
#[derive(Default)]
struct Sum<'a> {
    lb: f64,
    sites: BTreeSet<&'a str>,
    without_area: usize,
}

impl<'a> Sum<'a> {
    fn add(&mut self, site: &'a SiteDemand, one: &Due) {
        match one.total {
            Some(total) => self.lb += total.lb,
            None => self.without_area += 1,
        }
        self.sites.insert(&site.site);
    }
}

/// Density of a liquid of the file, lb/gal.
fn density(products: &[Product], name: &str) -> Option<f64> {
    products.iter().find(|p| p.name == name && p.form == Form::Liquid)?.density_lb_per_gal
}

/// The demand of all sites by product; sites by id.
pub fn demand<'a>(sites: impl IntoIterator<Item = &'a SiteDemand>, products: &[Product]) -> Vec<Demand> {
    let mut sums: BTreeMap<(Option<&str>, Nutrient), Sum<'_>> = BTreeMap::new();
    for site in sites {
        for one in &site.applications {
            // One product is one line, whatever it is spread for.
            let key = match &one.product {
                Some(name) => (Some(name.as_str()), Nutrient::N),
                None => (None, one.nutrient),
            };
            sums.entry(key).or_default().add(site, one);
        }
    }
    sums.into_iter()
        .map(|((name, nutrient), sum)| {
            let product = products.iter().find(|product| Some(product.name.as_str()) == name);
            let amount = Amount::new(sum.lb, name.and_then(|name| density(products, name)));
            let count = product
                .and_then(|product| product.package)
                .and_then(|package| packages(amount.gal.unwrap_or(amount.lb), package));
            Demand {
                what: name.unwrap_or_else(|| nutrient.name()).to_owned(),
                is_product: name.is_some(),
                amount,
                packages: count,
                cost: count.zip(product.and_then(|p| p.price)).map(|(count, price)| count as f64 * price),
                sites: sum.sites.len(),
                without_area: sum.without_area,
            }
        })
        .collect()
}

/// Everything to do, by day, then by site.
pub fn days<'a>(sites: impl IntoIterator<Item = &'a SiteDemand>) -> Vec<DayLine> {
    let mut lines: Vec<DayLine> = Vec::new();
    for site in sites {
        lines.extend(site.applications.iter().map(|one| DayLine {
            on: one.on,
            site: site.site.clone(),
            name: site.name.clone(),
            zone: one.zone.clone(),
            what: one.what().to_owned(),
            per_1000_ft2: one.per_1000_ft2,
            total: one.total,
        }));
    }
    lines.sort_by(|a, b| (a.on, &a.site, &a.zone, &a.what).cmp(&(b.on, &b.site, &b.zone, &b.what)));
    lines
}
