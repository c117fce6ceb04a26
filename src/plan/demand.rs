//! What all sites together ask for: the season's products in packages, and what is to be done on which day.

use super::fertiliser::packages;
use super::nutrients::Nutrient;
use super::outcome::{Amount, Plan, Planned};
use super::product::{Form, Product};
use jiff::civil::Date;
use serde::{Deserialize, Serialize};
use std::collections::{BTreeMap, BTreeSet};

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

/// The demand of each day by product.
pub fn loads(plans: &[Plan], products: &[Product]) -> Vec<Load> {
    let mut by_day: BTreeMap<(Date, &str), Vec<(&str, &Planned)>> = BTreeMap::new();
    for plan in plans {
        for one in &plan.applications {
            by_day.entry((one.on, one.what())).or_default().push((&plan.site, one));
        }
    }
    by_day
        .into_iter()
        .map(|((on, what), all)| {
            let sites: BTreeSet<&str> = all.iter().map(|(site, _)| *site).collect();
            let lb = all.iter().filter_map(|(_, one)| one.total).fold(0.0, |sum, total| sum + total.lb);
            Load {
                on,
                what: what.to_owned(),
                amount: Amount::new(lb, density(products, what)),
                sites: sites.len(),
                without_area: all.iter().filter(|(_, one)| one.total.is_none()).count(),
            }
        })
        .collect()
}

/// Density of a liquid of the file, lb/gal.
fn density(products: &[Product], name: &str) -> Option<f64> {
    products.iter().find(|p| p.name == name && p.form == Form::Liquid)?.density_lb_per_gal
}

/// The demand of all plans by product.
pub fn demand(plans: &[Plan], products: &[Product]) -> Vec<Demand> {
    struct Sum<'a> {
        lb: f64,
        sites: Vec<&'a str>,
        without_area: usize,
    }
    let mut sums: BTreeMap<(Option<&str>, Nutrient), Sum> = BTreeMap::new();
    for plan in plans {
        for one in &plan.applications {
            // One product is one line, whatever it is spread for.
            let key = match &one.product {
                Some(name) => (Some(name.as_str()), Nutrient::N),
                None => (None, one.nutrient),
            };
            let sum = sums.entry(key).or_insert(Sum { lb: 0.0, sites: Vec::new(), without_area: 0 });
            match one.total {
                Some(total) => sum.lb += total.lb,
                None => sum.without_area += 1,
            }
            if !sum.sites.contains(&plan.site.as_str()) {
                sum.sites.push(&plan.site);
            }
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
pub fn days(plans: &[Plan]) -> Vec<DayLine> {
    let mut lines: Vec<DayLine> = plans
        .iter()
        .flat_map(|plan| {
            plan.applications.iter().map(|one| DayLine {
                on: one.on,
                site: plan.site.clone(),
                name: plan.name.clone(),
                zone: one.zone.clone(),
                what: one.what().to_owned(),
                per_1000_ft2: one.per_1000_ft2,
                total: one.total,
            })
        })
        .collect();
    lines.sort_by(|a, b| (a.on, &a.site, &a.zone, &a.what).cmp(&(b.on, &b.site, &b.zone, &b.what)));
    lines
}
