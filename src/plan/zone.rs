//! One zone of a site: ledger, nitrogen, what its tests ask for, amendments, the next sample.

use super::amendments::amendments;
use super::application::Application;
use super::dates::{Calendar, season_end};
use super::law::settle_phosphorus;
use super::ledger::{self, OwnBuffering};
use super::limits::{PlanLimit, figure};
use super::need::{Need, Surroundings, above_the_top, label_nutrient};
use super::nutrients::{Nutrient, Nutrients};
use super::outcome::{Left, Plan, Question, ZoneNitrogen};
use super::product::Product;
use super::put_down::{self, Zone};
use super::recommended::Recommended;
use super::retest::retest;
use super::settings::SiteSettings;
use super::{amend, need, nitrogen};
use crate::flag::SeriesFacts;
use crate::guide::Standing;
use crate::soil::table::TableError;
use crate::soil::{Analyte, Site};
use jiff::civil::{Date, date};

/// Who knows what the law allows.
pub(super) const LAW: &str = "the state department of agriculture, then the county and the town";
/// Who knows the soils of the place.
pub(super) const ADVISER: &str = "the laboratory, the local extension office or a certified adviser";
/// Who looks after the site.
pub(super) const KEEPER: &str = "whoever keeps the site";

/// What one zone is planned from.
pub(super) struct Seen<'a> {
    pub(super) site: &'a Site,
    pub(super) settings: &'a SiteSettings,
    pub(super) applications: &'a [Application],
    pub(super) products: &'a [Product],
    pub(super) season: i16,
    pub(super) today: Date,
    pub(super) zone: &'a str,
    pub(super) area_ft2: Option<f64>,
    /// What the newest report of the zone recommends.
    pub(super) recommended: Option<&'a Recommended>,
    /// Analytes the assessment has a word on leaving alone.
    pub(super) told: Vec<Analyte>,
    /// A flag asks for an eye on the zone.
    pub(super) watched: bool,
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

    pub(super) fn left(&self, reason: String, source: &str) -> Left {
        Left { zone: self.zone.to_owned(), reason, plain: None, source: source.to_owned() }
    }

    /// Tells that a nutrient is left out, with a plain sentence for the client, unless the assessment told it already.
    pub(super) fn none(
        &self,
        analytes: &[Analyte],
        nutrient: Nutrient,
        reason: String,
        source: &str,
        plan: &mut Plan,
    ) {
        if self.told.iter().any(|analyte| analytes.contains(analyte)) {
            return;
        }
        let name = nutrient.name().split(" (").next().unwrap_or_default();
        let plain = Some(format!("No {name} this season."));
        plan.leave_alone.push(Left { plain, ..self.left(reason, source) });
    }

    /// A question on the need of a nutrient, with plain words for the client.
    pub(super) fn ask_need(&self, nutrient: Nutrient, question: String, source: &str) -> Question {
        let name = nutrient.name().split(" (").next().unwrap_or_default();
        let plain = match nutrient {
            Nutrient::LimeCce => {
                "Does the soil need lime, and how much? No table in hand fits this test, so we ask before any is spread.".to_owned()
            }
            Nutrient::Gypsum => {
                "Would gypsum help against the sodium? The tests in hand do not settle it.".to_owned()
            }
            _ => format!("The soil may be short of {name}. How much does it take? No table in hand fits this test."),
        };
        Question { plain: Some(plain), ..self.question(question, ADVISER, source) }
    }

    pub(super) fn question(&self, question: String, ask: &str, source: &str) -> Question {
        Question {
            zone: self.zone.to_owned(),
            question,
            plain: None,
            ask: ask.to_owned(),
            source: source.to_owned(),
        }
    }
}

/// Plans one zone.
///
/// # Errors
/// A built-in table is damaged.
pub(super) fn one_zone(seen: &Seen, series: &[&SeriesFacts], plan: &mut Plan) -> Result<(), TableError> {
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

    let short = |nutrient: Nutrient| {
        series.iter().any(|facts| {
            label_nutrient(facts.analyte()) == Some(nutrient)
                && facts.level().is_some_and(|level| level.standing == Standing::Below)
        })
    };
    let about = |nutrient: Nutrient| -> Vec<Analyte> {
        let all = series.iter().map(|facts| facts.analyte());
        all.filter(|analyte| label_nutrient(*analyte) == Some(nutrient)).collect()
    };
    let (target, unsettled) = nitrogen::target(seen.site, seen.settings, seen.recommended)?;
    plan.questions.extend(unsettled.map(|question| {
        let plain = "How much nitrogen does the laboratory mean for the season? Its report leaves it open."
            .to_owned();
        Question { plain: Some(plain), ..seen.question(question, "the laboratory", nitrogen::LABORATORY) }
    }));
    let account = match target {
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
    let waiting: Vec<&str> = needs
        .iter()
        .filter(|(_, need)| *need == Need::OnNitrogen)
        .map(|(nutrient, _)| nutrient.name())
        .collect();
    if !waiting.is_empty() {
        let question = format!(
            "Once the nitrogen is known, so is the need of {}: what the grass uses goes with it.",
            waiting.join(", ")
        );
        plan.questions.push(seen.question(question, KEEPER, "woods-mlsn-manual"));
    }
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
    let mut supplied = Nutrients::default();
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
        plan.nitrogen.push(ZoneNitrogen { zone: seen.zone.to_owned(), account, unplaced: placed.unplaced });
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
            Need::None { reason, source } => {
                // Plenty of what nobody asked for is no news.
                let asked =
                    matches!(nutrient, Nutrient::P2o5 | Nutrient::K2o | Nutrient::Mg) || short(nutrient);
                let about = about(nutrient);
                if asked {
                    seen.none(&about, nutrient, reason, &source, plan);
                }
            }
            Need::OnNitrogen => {}
            Need::Ask { question, source } => {
                plan.questions.push(seen.ask_need(nutrient, question, &source));
            }
        }
    }
    amendments(seen, &zone, series, &forbidden, before, plan)?;
    let correcting = plan.applications.iter().skip(before).any(|one| one.nutrient != Nutrient::N);
    let here = seen.applications.iter().filter(|one| one.put.site == seen.site.id && one.on_zone(seen.zone));
    let spread_on: Vec<Date> =
        here.map(|one| one.put.on).chain(plan.applications.iter().skip(before).map(|one| one.on)).collect();
    plan.retests.extend(retest(
        seen.site,
        seen.settings,
        (seen.zone, series),
        correcting || seen.watched,
        &spread_on,
        seen.today,
    )?);
    Ok(())
}
