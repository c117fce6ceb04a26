//! How much of a nutrient a soil test asks for: plant use beyond the floor, build-up and removal, or nothing.
//!
//! The rule of a guide stands in `guide_rules.csv`. Where no figure fits, the answer says so; no rate is invented.

use super::limits::{PlanLimit, figure};
use super::nutrients::Nutrient;
use super::removal;
use super::settings::{Clippings, SiteSettings};
use super::sources::known;
use crate::flag::SeriesFacts;
use crate::guide::{Level, Standing, use_of};
use crate::soil::convert::{
    CM_PER_INCH, SOIL_LB_PER_ACRE_INCH, k_to_k2o, lb_per_1000_ft2_to_lb_per_acre,
    lb_per_acre_to_lb_per_1000_ft2, p_to_p2o5,
};
use crate::soil::ids::contract_ids;
use crate::soil::table::{TableError, rows};
use crate::soil::{Analyte, Qualifier, Site};
use crate::trend::drawdown::{buffering, build_up_lb_oxide_per_acre_per_year};
use serde::Deserialize;
use std::sync::LazyLock;

/// What a soil test asks for.
#[derive(Debug, Clone, PartialEq)]
pub enum Need {
    /// Put down this much for the season.
    Apply {
        /// As the label names it (oxides), lb/1000 ft2.
        lb_per_1000_ft2: f64,
        /// Why, in a sentence.
        reason: String,
        /// Source key.
        source: String,
        /// The number it rests on.
        rests_on: String,
    },
    /// Nothing, and why.
    None {
        /// A sentence.
        reason: String,
        /// Source key.
        source: String,
    },
    /// The season's nitrogen must be known first: what the grass uses goes with it.
    OnNitrogen,
    /// Something must be settled first.
    Ask {
        /// A sentence.
        question: String,
        /// Source key.
        source: String,
    },
}

contract_ids! {
    /// How a guide is turned into a rate.
    Rule { Floor = "floor", BuildUp = "build-up" }
}

#[derive(Debug, Deserialize)]
struct Row {
    guide: String,
    rule: Rule,
    k2o_on_top: bool,
    depth_cm: Option<f64>,
    source: String,
}

static RULES: LazyLock<Result<Vec<Row>, TableError>> = LazyLock::new(|| {
    const TABLE: &str = "guide_rules.csv";
    let all: Vec<Row> = rows(TABLE, include_str!("guide_rules.csv"))?;
    for (number, row) in (1..).zip(&all) {
        known(TABLE, number, &row.source)?;
        if row.rule == Rule::Floor && row.depth_cm.is_none() {
            return Err(TableError::new(TABLE, number, "a floor belongs to a depth"));
        }
    }
    match all.iter().any(|row| row.guide == "*") {
        true => Ok(all),
        false => Err(TableError::new(TABLE, 0, "needs a row for every other guide")),
    }
});

fn rule_of(guide: &str) -> Result<&'static Row, TableError> {
    let all = RULES.as_ref().map_err(Clone::clone)?;
    all.iter()
        .find(|row| row.guide == guide)
        .or_else(|| all.iter().find(|row| row.guide == "*"))
        .ok_or_else(|| TableError::new("guide_rules.csv", 0, "no rule"))
}

/// What is known beside the test.
#[derive(Debug, Clone, Copy)]
pub struct Surroundings<'a> {
    /// The site.
    pub site: &'a Site,
    /// What the keeper set.
    pub settings: &'a SiteSettings,
    /// Nitrogen of the season, lb/1000 ft2, where it is known.
    pub season_n: Option<f64>,
    /// The site's own lb of oxide an acre for 1 mg/kg, where the ledger tells it.
    pub own_lb_oxide_per_mg_per_kg: Option<f64>,
}

/// The nutrient of the label that answers an analyte; none for what is not answered by a rate from a soil test.
pub fn label_nutrient(analyte: Analyte) -> Option<Nutrient> {
    Some(match analyte {
        Analyte::Phosphorus => Nutrient::P2o5,
        Analyte::Potassium => Nutrient::K2o,
        Analyte::Magnesium => Nutrient::Mg,
        Analyte::Calcium => Nutrient::Ca,
        Analyte::Sulfur => Nutrient::S,
        Analyte::Iron => Nutrient::Fe,
        Analyte::Manganese => Nutrient::Mn,
        Analyte::Zinc => Nutrient::Zn,
        Analyte::Copper => Nutrient::Cu,
        Analyte::Boron => Nutrient::B,
        _ => return None,
    })
}

/// Whether any guide asked calls the last value more than it wants.
pub fn above_the_top(facts: &SeriesFacts) -> Option<&Level> {
    facts.levels.iter().chain(&facts.also).find(|level| level.standing == Standing::Above)
}

/// What the last value of a series asks for.
///
/// # Errors
/// A built-in table is damaged.
pub fn need(facts: &SeriesFacts, around: &Surroundings) -> Result<Need, TableError> {
    let name = facts.analyte().name();
    let none = |reason: String, source: &str| Need::None { reason, source: source.to_owned() };
    let ask = |question: String, source: &str| Need::Ask { question, source: source.to_owned() };
    if let Some(above) = above_the_top(facts) {
        let edge = above.from.map(|edge| facts.edge(edge)).unwrap_or_default();
        return Ok(none(
            format!("{} is above {edge}, the top of {} (class {}).", facts.said(), above.title, above.class),
            &above.source,
        ));
    }
    let Some(level) = facts.level() else {
        let why = facts.silent.first().map_or("no guide speaks of it.", |silent| silent.reason.as_str());
        return Ok(none(format!("No rate for {name}: {why}"), "osu-ec1478"));
    };
    if level.standing == Standing::Information {
        return Ok(none(format!("{} is information; no rate rests on it.", facts.said()), &level.source));
    }
    if facts.last().is_some_and(|last| last.qualifier == Some(Qualifier::Above)) {
        return Ok(none(format!("{} lies above the laboratory's range.", facts.said()), &level.source));
    }
    if !(level.read && level.edge_read) || level.outside_region {
        let doubt = if level.outside_region { "made for another region" } else { "a figure from memory" };
        return Ok(match level.standing {
            Standing::Below => ask(
                format!(
                    "{} is {} in {}, {doubt}: ask the laboratory or the local extension office for its rate.",
                    facts.said(),
                    level.class,
                    level.title
                ),
                &level.source,
            ),
            _ => none(format!("{} is {} in {}.", facts.said(), level.class, level.title), &level.source),
        });
    }
    let rule = rule_of(&level.guide)?;
    match rule.rule {
        Rule::Floor => floor(facts, level, rule, around),
        Rule::BuildUp => build_up(facts, level, rule, around),
    }
}

/// Need = expected plant use less what lies above the floor (MLSN manual).
fn floor(
    facts: &SeriesFacts,
    level: &Level,
    rule: &'static Row,
    around: &Surroundings,
) -> Result<Need, TableError> {
    let analyte = facts.analyte();
    let (Some(last), Some(edge), Some(nutrient)) =
        (facts.last(), level.sufficient_from, label_nutrient(analyte))
    else {
        return Ok(no_table(facts, level));
    };
    let Some(use_per_n) = removal::plant_use_per_lb_n(analyte)? else { return Ok(no_table(facts, level)) };
    let Some(season_n) = around.season_n else { return Ok(Need::OnNitrogen) };
    let cm = match facts.series.key.depth_cm {
        Some((top, bottom)) if bottom > top => f64::from(bottom - top),
        _ => rule.depth_cm.unwrap_or(0.0),
    };
    let lb_per_ppm = lb_per_acre_to_lb_per_1000_ft2(SOIL_LB_PER_ACRE_INCH / 1e6 * cm / CM_PER_INCH);
    let expected = season_n * use_per_n.value;
    let element = expected - (last.value - edge) * lb_per_ppm;
    let label = match nutrient {
        Nutrient::P2o5 => p_to_p2o5(element),
        Nutrient::K2o => k_to_k2o(element),
        _ => element,
    };
    let way = if last.value < edge { "less" } else { "more" };
    let how = format!(
        "the grass may use {expected:.2} lb/1000 ft2 with {season_n:.2} lb N, and the soil holds {:.0} mg/kg {way} \
         than the floor of {} ({:.2} lb/1000 ft2 in {cm:.0} cm)",
        (last.value - edge).abs(),
        facts.edge(edge),
        ((last.value - edge) * lb_per_ppm).abs()
    );
    Ok(if label < figure(PlanLimit::SmallestRate)?.value {
        Need::None {
            reason: format!("{}: {how}, so the soil feeds the season.", facts.said()),
            source: rule.source.clone(),
        }
    } else {
        Need::Apply {
            lb_per_1000_ft2: label,
            reason: format!("{}: {how}.", facts.said()),
            source: rule.source.clone(),
            rests_on: facts.said(),
        }
    })
}

/// Below the edge: build up over years and replace removal; within: replace removal (rule 62 of the trade's framework).
fn build_up(
    facts: &SeriesFacts,
    level: &Level,
    rule: &'static Row,
    around: &Surroundings,
) -> Result<Need, TableError> {
    let analyte = facts.analyte();
    if !matches!(analyte, Analyte::Phosphorus | Analyte::Potassium) {
        return Ok(match level.standing {
            Standing::Below => no_table(facts, level),
            _ => Need::None {
                reason: format!("{} is {} in {}.", facts.said(), level.class, level.title),
                source: level.source.clone(),
            },
        });
    }
    let (removed, how_removed) = match removed_lb_per_acre(analyte, around)? {
        Ok(found) => found,
        Err(question) => return Ok(Need::Ask { question, source: rule.source.clone() }),
    };
    let on_top = match analyte {
        Analyte::Potassium if rule.k2o_on_top && removed > 0.0 => {
            removal::k2o_on_top_of_removal()?.map_or(0.0, |cited| cited.value)
        }
        _ => 0.0,
    };
    let (mut total, mut how) = (removed + on_top, how_removed);
    if on_top > 0.0 {
        how = format!("{how}, and {on_top} lb/acre on top");
    }
    if level.standing == Standing::Below {
        let (Some(last), Some(edge)) = (facts.last(), level.sufficient_from) else {
            return Ok(no_table(facts, level));
        };
        let Some((lb_per_ppm, whose)) = lb_oxide_per_mg_per_kg(facts, around)? else {
            return Ok(no_table(facts, level));
        };
        let years = figure(PlanLimit::BuildUpYears)?.value;
        let build = build_up_lb_oxide_per_acre_per_year(edge - last.value, lb_per_ppm, years).unwrap_or(0.0);
        total += build;
        how = format!(
            "{:.0} mg/kg to build up over {years} years at {lb_per_ppm:.1} lb/acre for each ({whose}) is {build:.0} \
             lb/acre a year; {how}",
            edge - last.value
        );
    }
    let rate = lb_per_acre_to_lb_per_1000_ft2(total);
    Ok(if rate < figure(PlanLimit::SmallestRate)?.value {
        Need::None {
            reason: format!("{} is {} in {}; {how}.", facts.said(), level.class, level.title),
            source: rule.source.clone(),
        }
    } else {
        Need::Apply {
            lb_per_1000_ft2: rate,
            reason: format!("{} is {} in {}: {how}.", facts.said(), level.class, level.title),
            source: rule.source.clone(),
            rests_on: facts.said(),
        }
    })
}

fn no_table(facts: &SeriesFacts, level: &Level) -> Need {
    match level.standing {
        Standing::Below => Need::Ask {
            question: format!(
                "{} is {} in {}, and no published rate fits this nutrient by this extractant: ask the laboratory or \
                 the local extension office for its rate.",
                facts.said(),
                level.class,
                level.title
            ),
            source: level.source.clone(),
        },
        _ => Need::None {
            reason: format!("{} is {} in {}.", facts.said(), level.class, level.title),
            source: level.source.clone(),
        },
    }
}

/// lb oxide an acre for 1 mg/kg: the site's own, else the middle of the published for this extractant and layer.
fn lb_oxide_per_mg_per_kg(
    facts: &SeriesFacts,
    around: &Surroundings,
) -> Result<Option<(f64, &'static str)>, TableError> {
    if let Some(own) = around.own_lb_oxide_per_mg_per_kg {
        return Ok(Some((own, "this site's own figure")));
    }
    let inches = facts.series.key.depth_cm.map(|(top, bottom)| f64::from(bottom - top) / CM_PER_INCH);
    let found: Vec<f64> = buffering()?
        .iter()
        .filter(|line| line.nutrient == facts.analyte() && line.method == facts.method())
        .filter_map(|line| match inches {
            Some(inches) => line.lb_oxide_per_mg_per_kg(facts.context.cec, inches),
            None => line.in_its_own_layer(facts.context.cec),
        })
        .collect();
    Ok(crate::trend::theil_sen::median(&found).map(|middle| (middle, "published for this extractant")))
}

/// Oxide carried off in a season, lb/acre, with the words for it; a question where it cannot be told.
fn removed_lb_per_acre(
    analyte: Analyte,
    around: &Surroundings,
) -> Result<Result<(f64, String), String>, TableError> {
    let pick = |p2o5: f64, k2o: f64| if analyte == Analyte::Phosphorus { p2o5 } else { k2o };
    if use_of(around.site)?.is_some_and(|found| found.is_turf()) {
        return Ok(match (around.settings.clippings, around.season_n) {
            (Some(Clippings::Removed), Some(n)) => {
                let (p2o5, k2o) = removal::with_clippings(n)?;
                let lb = lb_per_1000_ft2_to_lb_per_acre(pick(p2o5, k2o));
                Ok((lb, format!("clippings of {n:.2} lb N/1000 ft2 carry off about {lb:.0} lb/acre")))
            }
            (Some(Clippings::Removed), None) => {
                Err("Clippings are carried off: how much nitrogen will the site get?".to_owned())
            }
            (Some(Clippings::Returned), _) => {
                Ok((0.0, "clippings that stay give back what they took".to_owned()))
            }
            (None, _) => Ok((0.0, "nothing is known to be carried off".to_owned())),
        });
    }
    let crop = around.site.species.as_deref().or(around.site.use_.as_deref()).unwrap_or_default();
    let Some(found) = removal::of_crop(crop, around.site.region.as_deref())? else {
        return Ok(Err(format!(
            "What does {crop:?} carry off? No figure for it was read: ask for a local one."
        )));
    };
    let Some(expected) = around.settings.expected_yield else {
        return Ok(Err(format!(
            "What yield of {crop} is expected? Set expected_yield ({}) to know what is carried off.",
            found.p2o5.unit.trim_start_matches("lb/")
        )));
    };
    let each = pick(found.p2o5.value, found.k2o.value);
    let lb = expected * each;
    let unit = found.p2o5.unit.trim_start_matches("lb/");
    Ok(Ok((lb, format!("{expected} {unit} of {crop} carry off {lb:.0} lb/acre ({})", found.p2o5.source))))
}
