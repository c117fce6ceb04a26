//! PIPELINE 3 on one page: a site's assessment, its settings and what went down become the plan of a season.

use super::application::Application;
use super::cautions::{Occasion, cautions};
use super::dates::{Calendar, days_between, season_end};
use super::ledger::{self, OwnBuffering};
use super::limits::{PlanLimit, figure};
use super::need::{Need, Surroundings, above_the_top, label_nutrient};
use super::nitrogen;
use super::nutrients::Nutrient;
use super::outcome::{Left, Plan, Planned, Question};
use super::product::{Form, Product};
use super::put_down::{self, Zone};
use super::retest::retest;
use super::settings::SiteSettings;
use super::{amend, liming, need};
use crate::assess::Assessment;
use crate::flag::SeriesFacts;
use crate::guide::condition::word;
use crate::guide::use_of;
use crate::soil::table::TableError;
use crate::soil::{Analyte, Site};
use jiff::civil::{Date, date};
use std::collections::BTreeSet;

/// Who knows what the law allows.
const LAW: &str = "the state department of agriculture, then the county and the town";
/// Who knows the soils of the place.
const ADVISER: &str = "the laboratory, the local extension office or a certified adviser";
/// Who looks after the site.
pub(super) const KEEPER: &str = "whoever keeps the site";

/// The plan of a site for a season, made on a day.
///
/// # Errors
/// A built-in table is damaged.
pub fn plan(
    assessment: &Assessment,
    settings: &SiteSettings,
    applications: &[Application],
    products: &[Product],
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
                plain: None,
                source: said.source.clone(),
            });
        }
        let seen = Seen { site: &site, settings, applications, products, season, today, zone, area_ft2 };
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
    site
}

/// What one zone is planned from.
struct Seen<'a> {
    site: &'a Site,
    settings: &'a SiteSettings,
    applications: &'a [Application],
    products: &'a [Product],
    season: i16,
    today: Date,
    zone: &'a str,
    area_ft2: Option<f64>,
}

impl Seen<'_> {
    /// What went down in the zone since the season began.
    fn this_season(&self) -> impl Iterator<Item = &Application> {
        let begins =
            self.settings.season_begins.and_then(|day| day.in_year(self.season)).unwrap_or_else(|| {
                if (1..=9999).contains(&self.season) { date(self.season, 1, 1) } else { Date::MAX }
            });
        let ends = season_end(self.season);
        self.applications
            .iter()
            .filter(move |one| one.put.site == self.site.id && one.on_zone(self.zone))
            .filter(move |one| begins <= one.put.on && one.put.on <= ends)
    }

    fn down(&self, nutrient: Nutrient) -> f64 {
        self.this_season().map(|one| one.supplied_lb_per_1000_ft2.get(nutrient)).fold(0.0, |sum, lb| sum + lb)
    }

    fn left(&self, reason: String, source: &str) -> Left {
        Left { zone: self.zone.to_owned(), reason, plain: None, source: source.to_owned() }
    }

    /// That a nutrient is left out, with a plain sentence for the client.
    fn none(&self, nutrient: Nutrient, reason: String, source: &str) -> Left {
        let name = nutrient.name().split(" (").next().unwrap_or_default();
        Left { plain: Some(format!("No {name} this season.")), ..self.left(reason, source) }
    }

    fn question(&self, question: String, ask: &str, source: &str) -> Question {
        Question {
            zone: self.zone.to_owned(),
            question,
            plain: None,
            ask: ask.to_owned(),
            source: source.to_owned(),
        }
    }
}

fn one_zone(seen: &Seen, series: &[&SeriesFacts], plan: &mut Plan) -> Result<(), TableError> {
    let feeds = seen
        .applications
        .iter()
        .filter(|one| one.put.site == seen.site.id && one.on_zone(seen.zone) && one.put.on <= seen.today)
        .filter(|one| one.supplied_lb_per_1000_ft2.get(Nutrient::N) > 0.0);
    let calendar = Calendar {
        season: seen.season,
        today: seen.today,
        settings: seen.settings,
        last_feed: feeds.map(|one| one.put.on).max(),
    };
    let zone = Zone {
        name: seen.zone,
        area_ft2: seen.area_ft2,
        site: seen.site,
        settings: seen.settings,
        products: seen.products,
        calendar,
    };
    let before = plan.applications.len();

    // The ledger first: the site's own buffering serves the needs.
    let mut own: Vec<OwnBuffering> = Vec::new();
    for facts in series {
        let here: Vec<Application> =
            seen.applications.iter().filter(|one| one.put.site == seen.site.id).cloned().collect();
        let (rows, buffering) = ledger::ledger(seen.site, seen.settings, facts, &here)?;
        plan.ledger.extend(rows);
        own.extend(buffering);
    }

    let account = match nitrogen::target(seen.site, seen.settings)? {
        Ok(target) => Some(nitrogen::account(target, seen.settings, seen.down(Nutrient::N))?),
        Err(question) => {
            plan.questions.push(seen.question(question, KEEPER, "va-dcr-lawn"));
            None
        }
    };
    let mut forbidden: Vec<Nutrient> = series
        .iter()
        .filter(|facts| above_the_top(facts).is_some())
        .filter_map(|facts| label_nutrient(facts.analyte()))
        .collect();

    // Phosphorus, potassium, magnesium and the rest by their own tests.
    let mut needs: Vec<(Nutrient, Need)> = Vec::new();
    for facts in series {
        let Some(nutrient) = label_nutrient(facts.analyte()) else { continue };
        let around = Surroundings {
            site: seen.site,
            settings: seen.settings,
            season_n: account.as_ref().map(|account| account.season),
            own_lb_oxide_per_mg_per_kg: own
                .iter()
                .find(|own| own.nutrient == nutrient && own.method == facts.method())
                // Without both bounds the figure is too loose to dose by.
                .filter(|own| own.low.is_some() && own.high.is_some())
                .map(|own| own.lb_oxide_per_mg_per_kg),
        };
        needs.push((nutrient, amend::refined(facts, need::need(facts, &around)?, series)));
    }
    plan.own_buffering.extend(own);
    settle_phosphorus(seen, series, &mut needs, plan)?;
    if !needs.iter().any(|(nutrient, need)| *nutrient == Nutrient::P2o5 && matches!(need, Need::Apply { .. }))
    {
        forbidden.push(Nutrient::P2o5);
    }
    // One that some test forbids is not applied by another.
    for (nutrient, need) in &mut needs {
        if matches!(need, Need::Apply { .. }) && forbidden.contains(nutrient) {
            *need = Need::None {
                reason: format!(
                    "No {}: another test of this zone has more than enough of it.",
                    nutrient.name()
                ),
                source: "tristate2020-summary".to_owned(),
            };
        }
    }

    let mut wanted: Vec<Nutrient> = Vec::new();
    for (nutrient, need) in &needs {
        if matches!(need, Need::Apply { .. }) {
            wanted.push(*nutrient);
        }
    }
    let mut supplied = super::nutrients::Nutrients::default();
    if let Some(account) = account {
        let placed = put_down::nitrogen(&zone, &account, &forbidden, &wanted)?;
        for one in &placed.planned {
            supplied = supplied.plus(&one.supplies_lb_per_1000_ft2);
        }
        plan.questions
            .extend(placed.question.map(|question| seen.question(question, KEEPER, &account.target.source)));
        if account.over_by > 0.0 {
            let reason = format!(
                "No more nitrogen this season: {:.2} lb N/1000 ft2 are down, {:.2} more than the {:.2} of the season.",
                account.down, account.over_by, account.season
            );
            plan.leave_alone.push(seen.left(reason, &account.target.source));
        } else if account.left == 0.0 {
            let reason =
                format!("No more nitrogen this season: all {:.2} lb N/1000 ft2 are down.", account.down);
            plan.leave_alone.push(seen.left(reason, &account.target.source));
        }
        plan.applications.extend(placed.planned);
        plan.nitrogen.push(super::outcome::ZoneNitrogen {
            zone: seen.zone.to_owned(),
            account,
            unplaced: placed.unplaced,
        });
    }
    for (nutrient, need) in needs {
        match need {
            Need::Apply { lb_per_1000_ft2, reason, source, rests_on } => {
                let left = lb_per_1000_ft2 - seen.down(nutrient) - supplied.get(nutrient);
                if left < figure(PlanLimit::SmallestRate)?.value {
                    let reason = format!("{reason} What is down or comes with the nitrogen covers it.");
                    plan.leave_alone.push(seen.left(reason, &source));
                    continue;
                }
                let why = put_down::Why { reason, source, rests_on };
                let placed = put_down::nutrient(&zone, nutrient, left, &forbidden, &why)?;
                plan.questions
                    .extend(placed.question.map(|question| seen.question(question, KEEPER, &why.source)));
                plan.applications.extend(placed.planned);
            }
            Need::None { reason, source } => plan.leave_alone.push(seen.none(nutrient, reason, &source)),
            Need::Ask { question, source } => {
                plan.questions.push(seen.question(question, ADVISER, &source));
            }
        }
    }
    amendments(seen, &zone, series, &forbidden, before, plan)?;
    let correcting = plan.applications.iter().skip(before).any(|one| one.nutrient != Nutrient::N);
    let planned: Vec<Planned> = plan.applications.iter().skip(before).cloned().collect();
    plan.retests.extend(retest(
        seen.site,
        seen.settings,
        (seen.zone, series),
        correcting,
        &planned,
        seen.today,
    )?);
    Ok(())
}

/// Lime by the pH and its buffer, gypsum by the sodium; both less what went down since the sample.
fn amendments(
    seen: &Seen,
    zone: &Zone,
    series: &[&SeriesFacts],
    forbidden: &[Nutrient],
    before: usize,
    plan: &mut Plan,
) -> Result<(), TableError> {
    let feeds: Vec<Date> = plan
        .applications
        .iter()
        .skip(before)
        .filter(|one| one.nutrient == Nutrient::N)
        .map(|one| one.on)
        .collect();
    let found = [
        (Nutrient::LimeCce, Analyte::Ph, liming::need(seen.site, seen.settings, series)?),
        (Nutrient::Gypsum, Analyte::SatNa, amend::gypsum(seen.site, seen.settings, series)?),
    ];
    for (nutrient, analyte, need) in found {
        match need {
            None => {}
            Some(Need::None { reason, source }) => {
                plan.leave_alone.push(seen.none(nutrient, reason, &source));
            }
            Some(Need::Ask { question, source }) => {
                plan.questions.push(seen.question(question, ADVISER, &source));
            }
            Some(Need::Apply { lb_per_1000_ft2, reason, source, rests_on }) => {
                let sampled =
                    liming::latest(series, analyte).and_then(|facts| facts.last()).map(|v| v.season);
                let since: f64 = seen
                    .applications
                    .iter()
                    .filter(|one| one.put.site == seen.site.id && one.on_zone(seen.zone))
                    .filter(|one| sampled.is_none_or(|season| one.put.on.year() >= season))
                    .map(|one| one.supplied_lb_per_1000_ft2.get(nutrient))
                    .sum();
                let left = lb_per_1000_ft2 - since;
                if left <= figure(PlanLimit::SmallestRate)?.value {
                    let reason =
                        format!("{reason} {since:.0} lb/1000 ft2 went down since; test again first.");
                    plan.leave_alone.push(seen.left(reason, &source));
                    continue;
                }
                let why = put_down::Why { reason, source, rests_on };
                plan.applications.extend(put_down::amendment(zone, nutrient, left, forbidden, &why, &feeds)?);
            }
        }
    }
    Ok(())
}

/// Phosphorus on turf is put down only where the keeper has settled that the law allows it, on a recent test.
fn settle_phosphorus(
    seen: &Seen,
    series: &[&SeriesFacts],
    needs: &mut [(Nutrient, Need)],
    plan: &mut Plan,
) -> Result<(), TableError> {
    if !use_of(seen.site)?.is_some_and(|found| found.is_turf()) {
        return Ok(());
    }
    let region = seen.site.region.as_deref().map(word);
    for (nutrient, need) in needs.iter_mut().filter(|(nutrient, _)| *nutrient == Nutrient::P2o5) {
        let Need::Apply { lb_per_1000_ft2, reason, source, .. } = &*need else { continue };
        let law = match &region {
            Some(region) => super::removal::lawn_p_test_months(region)?,
            None => None,
        };
        let usual = figure(PlanLimit::LawnPTestMonths)?;
        let (months, of) = law.map_or((usual.value, usual.source.as_str()), |law| (law.value, law.source));
        let tested = series
            .iter()
            .filter(|facts| facts.analyte() == Analyte::Phosphorus)
            .filter_map(|facts| facts.last())
            .map(|last| last.season)
            .max();
        // A season may have been sampled on its first day: the test is as old as it may be.
        let fresh = tested.filter(|season| (1..=9999).contains(season)).is_some_and(|season| {
            days_between(date(season, 1, 1), seen.today) as f64 <= months / 12.0 * 365.25
        });
        if seen.settings.phosphorus_allowed && fresh {
            continue;
        }
        let place = region.as_deref().map_or("here".to_owned(), |region| format!("in {region}"));
        let question = if seen.settings.phosphorus_allowed {
            format!(
                "{reason} {lb_per_1000_ft2:.2} lb P2O5/1000 ft2 would do, but the test of {} may be older than the {months} months a law may allow: test again first.",
                tested.unwrap_or_default()
            )
        } else {
            format!(
                "{reason} {lb_per_1000_ft2:.2} lb P2O5/1000 ft2 would do: may phosphorus go on established turf {place}? \
                 Many states forbid it without a recent test that shows need (here up to {months} months old). \
                 Once settled, set phosphorus_allowed."
            )
        };
        let plain = "The soil is short of phosphorus. May it go on established grass here, or does the law forbid it?";
        plan.questions.push(Question { plain: Some(plain.to_owned()), ..seen.question(question, LAW, of) });
        *need = Need::None {
            reason: format!("No {} until the question of the law is settled.", nutrient.name()),
            source: source.clone(),
        };
    }
    Ok(())
}
