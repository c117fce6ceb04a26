//! Whether a zone is limed, and how much: water pH below target, a buffer result, that buffer's own table.

use super::lime::{all_acidity_lb_per_1000_ft2, for_depth};
use super::lime_table::{LimeTable, tables};
use super::limits::{PlanLimit, figure};
use super::need::Need;
use super::settings::SiteSettings;
use crate::flag::SeriesFacts;
use crate::guide::condition::word;
use crate::guide::{Standing, calcareous, use_of};
use crate::soil::chemistry::{acidity_from_buffer, lime_index_to_buffer_ph};
use crate::soil::convert::CM_PER_INCH;
use crate::soil::table::TableError;
use crate::soil::{Analyte, Method, Site};

/// What the pH of a zone asks for, as lime of 100 % neutralising value; none where no pH is known.
///
/// # Errors
/// A built-in table is damaged.
pub fn need(site: &Site, settings: &SiteSettings, zone: &[&SeriesFacts]) -> Result<Option<Need>, TableError> {
    let Some(ph) = latest(zone, Analyte::Ph) else { return Ok(None) };
    let none = |reason: String, source: &str| Ok(Some(Need::None { reason, source: source.to_owned() }));
    let ask = |question: String, source: &str| Ok(Some(Need::Ask { question, source: source.to_owned() }));
    if calcareous(site, &ph.context)? == Some(true) {
        return none(
            "The soil holds free lime: it needs none, and cannot be acidified.".to_owned(),
            "csu-koski2014",
        );
    }
    let Some(now) = ph.context.water_ph else {
        return match ph.level().map(|level| level.standing) {
            Some(Standing::Below) => ask(
                format!("{}: is this pH in water? Lime is worked out from water pH only.", ph.said()),
                "udel-agronomic",
            ),
            _ => none(format!("{}: no pH in water asks for lime.", ph.said()), "udel-agronomic"),
        };
    };
    let wanted = match settings.target_ph {
        Some(target) => Some((target, "the keeper's target".to_owned())),
        None => ph
            .levels
            .iter()
            .filter(|level| level.read && !level.outside_region && level.standing == Standing::Below)
            .filter_map(|level| Some((level.sufficient_from?, level.title.clone())))
            .max_by(|a, b| a.0.total_cmp(&b.0)),
    };
    let Some((wanted, whose)) = wanted else {
        return none(format!("{}: no guide asks for a higher pH.", ph.said()), "rutgers-turf-ph");
    };
    let by = figure(PlanLimit::LimeBelowTargetBy)?;
    if now > wanted - by.value + 1e-9 {
        return none(
            format!(
                "pH {now} is not {} below {wanted} ({whose}): one reading at the edge is no cause to lime.",
                by.value
            ),
            &by.source,
        );
    }
    let Some(reading) = reading(zone, ph) else {
        return ask(
            format!(
                "pH {now} is below {wanted} ({whose}), but there is no buffer result of the same season: ask the \
                 laboratory for one, or for its lime rate."
            ),
            "udel-agronomic",
        );
    };
    rate(site, settings, ph, now, wanted, &reading).map(Some)
}

/// What a lime table is read by.
struct Reading {
    buffer: Method,
    buffer_ph: Option<f64>,
    acidity: Option<f64>,
    said: String,
}

/// The buffer result, lime index or acidity of the same season as the pH.
fn reading(zone: &[&SeriesFacts], ph: &SeriesFacts) -> Option<Reading> {
    let season = ph.last()?.season;
    let of = |analyte| latest(zone, analyte).filter(|facts| facts.last().is_some_and(|v| v.season == season));
    let value = |facts: &SeriesFacts| facts.last().map(|last| last.value);
    let acidity = of(Analyte::Acidity).and_then(value);
    if let Some(facts) = of(Analyte::BufferPh) {
        return Some(Reading {
            buffer: facts.method(),
            buffer_ph: value(facts),
            acidity,
            said: facts.said(),
        });
    }
    if let Some(facts) = of(Analyte::LimeIndex) {
        let buffer_ph = value(facts).map(lime_index_to_buffer_ph);
        return Some(Reading { buffer: facts.method(), buffer_ph, acidity, said: facts.said() });
    }
    of(Analyte::Acidity).map(|facts| Reading {
        buffer: Method::Unstated,
        buffer_ph: None,
        acidity,
        said: facts.said(),
    })
}

fn rate(
    site: &Site,
    settings: &SiteSettings,
    ph: &SeriesFacts,
    now: f64,
    wanted: f64,
    reading: &Reading,
) -> Result<Need, TableError> {
    let turf = use_of(site)?.is_some_and(|found| found.is_turf());
    let region = site.region.as_deref().map(word).unwrap_or_default();
    let fitting: Vec<&LimeTable> = tables()?
        .iter()
        .filter(|table| turf || !table.turf_only)
        .filter(|table| match table.reading {
            // Acidity is read in the region's own table only: how it was measured is not printed.
            Analyte::Acidity => reading.acidity.is_some() && table.regions.contains(&region),
            _ => reading.buffer_ph.is_some() && table.buffers.contains(&reading.buffer),
        })
        .collect();
    let chosen = |table: &&&LimeTable| settings.lime_table.as_deref() == Some(table.id.as_str());
    let at_home = |table: &LimeTable| table.regions.contains(&region);
    let Some(table) = fitting
        .iter()
        .find(chosen)
        .or_else(|| fitting.iter().find(|table| table.read && at_home(table)))
        .or_else(|| fitting.iter().find(|table| table.read))
        .or_else(|| fitting.first())
    else {
        return Ok(Need::Ask {
            question: format!(
                "pH {now} is below {wanted}, and no lime table fits {}: ask the laboratory for its lime rate.",
                reading.said
            ),
            source: "udel-agronomic".to_owned(),
        });
    };
    let read_by = match table.reading {
        Analyte::Acidity => reading.acidity,
        _ => reading.buffer_ph,
    };
    let target = table.target_for(wanted);
    let found = match read_by.zip(target) {
        Some((value, target)) => table.rate(value, now, target)?.map(|rate| (rate, target)),
        None => None,
    };
    let Some((rate, target)) = found else {
        return Ok(Need::Ask {
            question: format!(
                "pH {now} is below {wanted}, and {} lies outside {}: ask the laboratory for its lime rate.",
                reading.said, table.title
            ),
            source: table.source.clone(),
        });
    };
    let mut lb = table.lb_per_1000_ft2(rate) * table.cce_percent / 100.0;
    let sampled = ph.series.key.depth_cm.map(|(top, bottom)| f64::from(bottom - top) / CM_PER_INCH);
    let mut depth = table.depth_in;
    if let (true, Some(basis), Some(inches)) = (turf, table.depth_in, sampled) {
        // Established turf is limed on the surface, for the layer that was sampled.
        lb = for_depth(lb, basis, inches).unwrap_or(lb);
        depth = Some(inches);
    }
    let deep =
        depth.map_or_else(|| "the surface of turf".to_owned(), |inches| format!("{inches:.1} in of soil"));
    let said = format!(
        "{} and {} to reach pH {target} in {deep}: {lb:.0} lb/1000 ft2 of pure lime by {}",
        ph.said(),
        reading.said,
        table.title
    );
    let by_keeper = settings.lime_table.as_deref() == Some(table.id.as_str());
    if !table.read || !(at_home(table) || by_keeper) {
        let doubt = if table.read {
            "a table made for another region"
        } else {
            "figures from memory, which must not be spread by"
        };
        return Ok(Need::Ask {
            question: format!("{said}, {doubt}: ask the laboratory for its own lime rate."),
            source: table.source.clone(),
        });
    }
    let acidity = match reading.acidity {
        Some(acidity) => Some(acidity),
        None => match reading.buffer_ph {
            Some(value) => acidity_from_buffer(reading.buffer, value)?.map(|found| found.meq_per_100),
            None => None,
        },
    };
    let most = figure(PlanLimit::LimeStoichiometryMost)?;
    if let (Some(acidity), Some(inches)) = (acidity, depth) {
        let all = all_acidity_lb_per_1000_ft2(acidity, inches);
        if lb > most.value * all {
            return Ok(Need::Ask {
                question: format!(
                    "{said}, but all the acidity takes about {all:.0}: have the buffer result checked."
                ),
                source: most.source.clone(),
            });
        }
    }
    Ok(if rate <= 0.0 {
        Need::None { reason: format!("{said}.",), source: table.source.clone() }
    } else {
        Need::Apply {
            lb_per_1000_ft2: lb,
            reason: format!("{said}."),
            source: table.source.clone(),
            rests_on: format!("{}; {}", ph.said(), reading.said),
        }
    })
}

/// The current series of an analyte that ends last.
pub fn latest<'a>(zone: &[&'a SeriesFacts], analyte: Analyte) -> Option<&'a SeriesFacts> {
    zone.iter()
        .filter(|facts| facts.current && facts.analyte() == analyte)
        .max_by_key(|facts| facts.last().map(|last| last.season))
        .copied()
}
