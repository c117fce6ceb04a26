//! A season's amounts become days and products: within every limit, and nothing along that must not go down.

use super::choose::choose;
use super::dates::{Calendar, Placed, Purpose, days_between, fill};
use super::fertiliser::{for_area, splits, supplied_by};
use super::lime::for_quality;
use super::limits::{PlanLimit, figure};
use super::nitrogen::{Account, Group, grass, single};
use super::nutrients::{Nutrient, Nutrients};
use super::outcome::{Amount, Planned};
use super::product::Product;
use super::settings::SiteSettings;
use crate::guide::use_of;
use crate::soil::Site;
use crate::soil::table::TableError;
use jiff::ToSpan;
use jiff::civil::Date;

/// The zone amounts are put down in.
#[derive(Debug, Clone, Copy)]
pub struct Zone<'a> {
    /// Its name.
    pub name: &'a str,
    /// Its area, ft2.
    pub area_ft2: Option<f64>,
    /// The site.
    pub site: &'a Site,
    /// What the keeper set.
    pub settings: &'a SiteSettings,
    /// What is on the shelf.
    pub products: &'a [Product],
    /// The days.
    pub calendar: Calendar<'a>,
}

/// Why something is put down.
#[derive(Debug, Clone, PartialEq)]
pub struct Why {
    /// A sentence.
    pub reason: String,
    /// Source key.
    pub source: String,
    /// The number it rests on.
    pub rests_on: String,
}

/// What came of an amount.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Outcome {
    /// Applications.
    pub planned: Vec<Planned>,
    /// lb/1000 ft2 that found no day.
    pub unplaced: f64,
    /// What to settle about that.
    pub question: Option<String>,
}

impl Zone<'_> {
    /// One application of so much of a nutrient.
    fn planned(
        &self,
        on: Date,
        nutrient: Nutrient,
        lb_per_1000_ft2: f64,
        product: Option<&Product>,
        why: &Why,
    ) -> Result<Planned, TableError> {
        let percent = match product {
            Some(product) => product.percent.clone(),
            None => Nutrients::default().with(nutrient, 100.0),
        };
        let rate = for_quality(lb_per_1000_ft2, 100.0, percent.get(nutrient)).unwrap_or(lb_per_1000_ft2);
        let density =
            product.filter(|p| p.form == super::product::Form::Liquid).and_then(|p| p.density_lb_per_gal);
        let passes = figure(PlanLimit::SpreaderPasses)?.value;
        Ok(Planned {
            on,
            zone: self.name.to_owned(),
            nutrient,
            product: product.map(|product| product.name.clone()),
            per_1000_ft2: Amount::new(rate, density),
            area_ft2: self.area_ft2,
            total: self.area_ft2.map(|area| Amount::new(for_area(rate, area), density)),
            passes: passes as u32,
            per_pass: Amount::new(rate / passes, density),
            supplies_lb_per_1000_ft2: supplied_by(rate, &percent),
            reason: why.reason.clone(),
            source: why.source.clone(),
            rests_on: why.rests_on.clone(),
        })
    }
}

/// The most of a nutrient at once that the label of a product allows, lb/1000 ft2.
fn label_limit(product: Option<&Product>, nutrient: Nutrient) -> f64 {
    product
        .and_then(|product| Some(product.max_single_lb_per_1000_ft2? * product.percent.get(nutrient) / 100.0))
        .unwrap_or(f64::INFINITY)
}

/// The nitrogen that is left, on the days of the grass or over the site's window.
///
/// # Errors
/// A built-in table is damaged.
pub fn nitrogen(
    zone: &Zone,
    account: &Account,
    forbidden: &[Nutrient],
    wanted: &[Nutrient],
) -> Result<Outcome, TableError> {
    if account.left <= 0.0 {
        return Ok(Outcome::default());
    }
    let product = choose(zone.products, Nutrient::N, forbidden, wanted);
    let slow = product.map_or(0.0, |product| product.slow_share);
    let Some(single) = single(zone.site, zone.settings)? else {
        return Ok(Outcome {
            unplaced: account.left,
            question: Some(format!(
                "{:.2} lb N/1000 ft2 are left: how much may go down at once? Set max_single_n_lb_per_1000_ft2.",
                account.left
            )),
            ..Outcome::default()
        });
    };
    let soluble = single
        .soluble_lb_per_1000_ft2
        .map_or(f64::INFINITY, |lb| if slow < 1.0 { lb / (1.0 - slow) } else { f64::INFINITY });
    let most = single.lb_per_1000_ft2.min(soluble).min(label_limit(product, Nutrient::N));
    let group = zone.site.species.as_deref().map(grass).transpose()?.flatten().map(|(_, group)| group);
    let mut openings = match group {
        Some(Group::Cool) => zone.calendar.openings(Purpose::Cool)?,
        _ => Vec::new(),
    };
    // In early summer only a product that is mostly slow goes down.
    openings.retain(|opening| !opening.slow_only || slow > 0.5);
    if single.by_keeper {
        openings.iter_mut().for_each(|opening| opening.cap = None);
    }
    let mut placed = fill(account.left, &openings, most);
    let by_window = openings.is_empty();
    if by_window {
        placed = zone.calendar.evenly(account.left, most)?;
    } else if single.by_keeper && placed.unplaced > 1e-9 {
        // A small limit of the keeper's own means many small feeds over the window.
        let spread = zone.calendar.evenly(account.left, most)?;
        if spread.unplaced < placed.unplaced {
            placed = spread;
        }
    }
    let question = (placed.unplaced > 1e-9).then(|| no_room(zone, account.left, &placed, by_window, most));
    let why = Why {
        reason: format!(
            "{}{} {:.2} lb N/1000 ft2 are left; at most {most:.2} at once ({}).",
            account.target.reason,
            credit(account),
            account.left,
            if most < single.lb_per_1000_ft2 { "label or soluble limit" } else { &single.source }
        ),
        source: account.target.source.clone(),
        rests_on: format!(
            "target {:.2}, clippings {:.2}, down {:.2} lb N/1000 ft2",
            account.target.lb_per_1000_ft2, account.clippings_credit, account.down
        ),
    };
    let planned = placed
        .on
        .iter()
        .map(|(on, lb)| zone.planned(*on, Nutrient::N, *lb, product, &why))
        .collect::<Result<Vec<_>, _>>()?;
    Ok(Outcome { planned, unplaced: placed.unplaced, question })
}

fn credit(account: &Account) -> String {
    let mut said = String::new();
    if account.clippings_credit > 0.0 {
        said += &format!(" Clippings that stay are worth {:.2}.", account.clippings_credit);
    }
    if account.down > 0.0 {
        said += &format!(" {:.2} are down.", account.down);
    }
    said
}

fn no_room(zone: &Zone, left: f64, placed: &Placed, by_window: bool, most: f64) -> String {
    if by_window && zone.calendar.window().is_none() {
        return format!(
            "{left:.2} lb N/1000 ft2 are left and no days are known for it: set window, the first and last day on \
             which nitrogen may go down here."
        );
    }
    format!(
        "{:.2} of {left:.2} lb N/1000 ft2 found no day left this season at {most:.2} at once: leave it out, widen \
         the window, or use a slow-release product; do not crowd it.",
        placed.unplaced
    )
}

/// Potash, phosphate or another nutrient, in parts no larger than the limits.
///
/// # Errors
/// A built-in table is damaged.
pub fn nutrient(
    zone: &Zone,
    nutrient: Nutrient,
    lb_per_1000_ft2: f64,
    forbidden: &[Nutrient],
    why: &Why,
) -> Result<Outcome, TableError> {
    let product = choose(zone.products, nutrient, forbidden, &[]);
    let turf = use_of(zone.site)?.is_some_and(|found| found.is_turf());
    let most = match turf {
        true => figure(PlanLimit::K2oSingle)?.value,
        false => f64::MAX,
    };
    let most = most.min(label_limit(product, nutrient));
    let placed = fill(lb_per_1000_ft2, &zone.calendar.openings(Purpose::Potash)?, most);
    let question = (placed.unplaced > 1e-9).then(|| {
        format!(
            "{:.2} of {lb_per_1000_ft2:.2} lb {}/1000 ft2 found no day left this season: carry it into the next.",
            placed.unplaced, nutrient
        )
    });
    let planned = placed
        .on
        .iter()
        .map(|(on, lb)| zone.planned(*on, nutrient, *lb, product, why))
        .collect::<Result<Vec<_>, _>>()?;
    Ok(Outcome { planned, unplaced: placed.unplaced, question })
}

/// Lime or gypsum, in parts the turf bears, months apart, and not beside nitrogen.
///
/// # Errors
/// A built-in table is damaged.
pub fn amendment(
    zone: &Zone,
    nutrient: Nutrient,
    lb_per_1000_ft2: f64,
    forbidden: &[Nutrient],
    why: &Why,
    feeds: &[Date],
) -> Result<Vec<Planned>, TableError> {
    // Lime is put down for the pH: that it brings calcium is no matter.
    let forbidden: Vec<Nutrient> = forbidden.iter().copied().filter(|not| *not != Nutrient::Ca).collect();
    let product = choose(zone.products, nutrient, &forbidden, &[]);
    let found = use_of(zone.site)?;
    let turf = found.is_some_and(|found| found.is_turf());
    let greens = found.is_some_and(|found| found.id == "turf-greens");
    let single = match zone.settings.max_single_lime_lb_per_1000_ft2 {
        Some(set) => set,
        None if greens => figure(PlanLimit::LimeSingleGreens)?.value,
        None if turf => figure(PlanLimit::LimeSingleTurf)?.value,
        None => f64::MAX,
    };
    // The limit is for what is spread, whatever its neutralising value.
    let share = product.map_or(100.0, |product| product.percent.get(nutrient)) / 100.0;
    let label = product.and_then(|product| product.max_single_lb_per_1000_ft2).unwrap_or(f64::INFINITY);
    let Some(parts) = splits(lb_per_1000_ft2 / share, single.min(label)) else { return Ok(Vec::new()) };
    let apart = figure(PlanLimit::LimeMonthsApart)?.value as i64;
    let from_feed = figure(PlanLimit::LimeNDaysApart)?.value as i64;
    // In the season the plan is for, or the next that has days left.
    let begins = jiff::civil::Date::new(zone.calendar.season, 1, 1).unwrap_or(zone.calendar.today);
    let first = zone.calendar.next(Purpose::Lime, begins.max(zone.calendar.today))?;
    let Some(mut on) = first else { return Ok(Vec::new()) };
    let mut planned = Vec::new();
    for part in 1..=parts.applications {
        while let Some(feed) = feeds.iter().find(|feed| days_between(**feed, on).abs() < from_feed) {
            let Ok(later) = feed.checked_add(from_feed.days()) else { return Ok(planned) };
            on = later;
        }
        let said = Why {
            reason: format!(
                "{} Part {part} of {}, at most {} lb/1000 ft2 of product at once.",
                why.reason,
                parts.applications,
                super::outcome::short(single.min(label))
            ),
            ..why.clone()
        };
        planned.push(zone.planned(on, nutrient, parts.each * share, product, &said)?);
        let Ok(rested) = on.checked_add(apart.months()) else { break };
        let Some(next) = zone.calendar.next(Purpose::Lime, rested)? else { break };
        on = next;
    }
    Ok(planned)
}
