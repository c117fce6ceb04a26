//! Gypsum by the sodium of a zone, and the nutrients whose low test is no cause to apply them.

use super::gypsum::{Help, Sodic, Sodium, helps, ton_per_acre};
use super::liming::latest;
use super::limits::{PlanLimit, figure};
use super::need::Need;
use super::settings::SiteSettings;
use crate::flag::SeriesFacts;
use crate::guide::Standing;
use crate::guide::condition::{Holds, condition};
use crate::soil::convert::short_ton_per_acre_to_lb_per_1000_ft2;
use crate::soil::table::TableError;
use crate::soil::{Analyte, Site};

/// What the sodium of a zone asks for, as pure gypsum; none where sodium was never measured.
///
/// # Errors
/// A built-in table is damaged.
pub fn gypsum(
    site: &Site,
    settings: &SiteSettings,
    zone: &[&SeriesFacts],
) -> Result<Option<Need>, TableError> {
    let (share, sar) = (latest(zone, Analyte::SatNa), latest(zone, Analyte::Sar));
    let Some(facts) = share.or(sar) else { return Ok(None) };
    let value = |facts: Option<&SeriesFacts>| facts.and_then(|facts| facts.last()).map(|last| last.value);
    let clay = match condition("clay-bearing")?.map(|asked| asked.holds(site, &facts.context, None)) {
        Some(Holds::Yes) => Some(true),
        Some(Holds::No) => Some(false),
        _ => None,
    };
    let sodium = Sodium {
        sat_na_percent: value(share),
        sar: value(sar),
        salts_known: facts.context.salts_known,
        clay_bearing: clay,
        drains: settings.drains,
    };
    Ok(Some(match helps(&sodium)? {
        Help::No(why, source) => {
            Need::None { reason: format!("No gypsum: {why}."), source: source.to_owned() }
        }
        Help::Ask(why, source) => {
            Need::Ask { question: format!("{}: {why}.", facts.said()), source: source.to_owned() }
        }
        Help::Yes(esp) => {
            let ask = |what: &str| Need::Ask {
                question: format!("{} is sodic: {what}", facts.said()),
                source: "ndsu-gr".to_owned(),
            };
            let Some(target) = settings.target_esp_percent else {
                return Ok(Some(ask(
                    "which share of sodium is aimed for? Settle it with an adviser and set target_esp_percent.",
                )));
            };
            let (Some(cec), Some((top, bottom))) = (facts.context.cec, facts.series.key.depth_cm) else {
                return Ok(Some(ask("the CEC and the sampled depth are needed to work out gypsum.")));
            };
            let density = value(latest(zone, Analyte::BulkDensity));
            let sodic = Sodic {
                factor: figure(PlanLimit::GypsumFactor)?.value,
                depth_m: f64::from(bottom - top) / 100.0,
                bulk_density_g_per_cm3: density.unwrap_or(figure(PlanLimit::GypsumBulkDensity)?.value),
                cec_cmol: cec,
                esp_percent: esp,
                target_esp_percent: target,
                purity_percent: figure(PlanLimit::GypsumPurity)?.value,
            };
            let lb = short_ton_per_acre_to_lb_per_1000_ft2(ton_per_acre(&sodic));
            if lb <= 0.0 {
                return Ok(Some(Need::None {
                    reason: format!("No gypsum: {} is not above the {target} % aimed for.", facts.said()),
                    source: "ndsu-gr".to_owned(),
                }));
            }
            Need::Apply {
                lb_per_1000_ft2: lb,
                reason: format!(
                    "{} down to {target} % in {} cm of soil with CEC {cec:.1}: {lb:.0} lb/1000 ft2 of pure gypsum.",
                    facts.said(),
                    bottom - top
                ),
                source: "ndsu-gr".to_owned(),
                rests_on: facts.said(),
            }
        }
    }))
}

/// A need with the rules for nutrients whose low test proves nothing, and with lime before magnesium and calcium.
pub fn refined(facts: &SeriesFacts, need: Need, zone: &[&SeriesFacts]) -> Need {
    let asks = !matches!(need, Need::None { .. });
    let none = |reason: String, source: &str| Need::None { reason, source: source.to_owned() };
    let name = facts.analyte().name();
    let acid = latest(zone, Analyte::Ph)
        .and_then(|ph| ph.level())
        .is_some_and(|level| level.standing == Standing::Below);
    match facts.analyte() {
        _ if !asks => need,
        Analyte::Zinc | Analyte::Iron | Analyte::Manganese | Analyte::Copper => none(
            format!("No {name} on this result: a low test does not prove a response; confirm by tissue or a trial strip."),
            "hoeft2004",
        ),
        Analyte::Boron => {
            none(format!("No {name} on one test: it turns toxic close above its need."), "common-practice")
        }
        Analyte::Sulfur => none(
            format!("No {name} on this result: soil sulfate does not predict a response; texture, organic matter and symptoms decide."),
            "ndsu2024",
        ),
        Analyte::Calcium => none(
            "No calcium: a shortage is not expected unless the soil is acid, and then it is a question of lime.".to_owned(),
            "hoeft2004",
        ),
        Analyte::Magnesium if acid => {
            none(format!("No {name} by itself on acid soil: choose a magnesian lime first."), "common-practice")
        }
        _ => need,
    }
}
