//! The class of a reading in a guide, or the reason why the guide says nothing.

use super::catalog::Guide;
use super::condition::{Holds, REGION, word};
use super::depth;
use super::eligible::{self, Answer};
use super::moving::settled;
use super::region::region;
use super::scale::{Class, Scale};
use super::tolerance;
use super::uses::use_of;
use super::{Context, Level, Measured, NoLevel, Silence, Standing};
use crate::soil::table::TableError;
use crate::soil::{Analyte, Method, Qualifier, Site};
use std::borrow::Cow;

/// The class of a reading in a guide.
///
/// # Errors
/// A built-in table is damaged. That the guide says nothing of the reading is no error but the inner `NoLevel`.
pub fn interpret(
    reading: &Measured,
    context: &Context,
    site: &Site,
    guide: &Guide,
) -> Result<Result<Level, NoLevel>, TableError> {
    let silent = |silence: Silence, reason: String| NoLevel { guide: guide.id.clone(), silence, reason };
    if guide.id == tolerance::GUIDE {
        let reason = format!("{} rates species and gives no class to a soil.", guide.title);
        return Ok(Err(silent(Silence::NoScale, reason)));
    }
    let scales: Vec<&Scale> = guide.scales_for(reading.analyte).collect();
    if scales.is_empty() {
        let reason = format!("{} has no scale for {}.", guide.title, reading.analyte.name());
        return Ok(Err(silent(Silence::NoScale, reason)));
    }
    let serving = serving(&scales, site)?;
    if serving.is_empty() {
        let reason =
            format!("{} has no scale of {} for what grows here.", guide.title, reading.analyte.name());
        return Ok(Err(silent(Silence::Crop, reason)));
    }
    let mut matching: Vec<(&Scale, Vec<String>)> = Vec::new();
    let mut why: Option<(Silence, String)> = None;
    for scale in serving {
        match screened(reading, guide, scale, site, context)? {
            Ok(cautions) => matching.push((scale, cautions)),
            // The reason that got furthest tells most: a wrong basis by the right method beats a wrong method.
            Err(stop) if why.as_ref().is_none_or(|(before, _)| stop.0 > *before) => why = Some(stop),
            Err(_) => {}
        }
    }
    let mut open: Vec<Open> = Vec::new();
    let mut known: Option<(Cow<Scale>, Vec<String>)> = None;
    for (scale, mut cautions) in matching {
        let scale = match settled(scale, context) {
            Ok(scale) => scale,
            Err(missing) => {
                if why.as_ref().is_none_or(|(before, _)| Silence::Condition > *before) {
                    let reason = format!("its edge moves with {missing}, which is not known");
                    why = Some((Silence::Condition, reason));
                }
                continue;
            }
        };
        if let Some(moving) = scale.moving {
            let index = moving.words(reading.analyte.symbol());
            cautions.push(format!("the edge moves with {} (index {index})", moving.figure.name()));
        }
        match eligible::condition_of(&scale, site, context)? {
            // A scale for the very condition beats one for all soils of the same crop.
            Holds::Yes if known.as_ref().is_none_or(|(before, _)| closer(&scale, before)) => {
                known = Some((scale, cautions));
            }
            Holds::Yes => {}
            Holds::Unknown(what) => open.push(Open { scale, cautions, what }),
            Holds::No => {
                let reason =
                    format!("its scale holds for {} only", scale.condition.as_deref().unwrap_or("-"));
                why = Some((Silence::Condition, reason));
            }
        }
    }
    let away = known.is_none() && open.iter().any(|one| one.what == REGION);
    let Some((scale, cautions)) = known.or_else(|| agreed(reading, &open)) else {
        let (silence, reason) = match open.first() {
            Some(first) => (Silence::Condition, outcomes(reading, &open, first.what)),
            None => why.unwrap_or((Silence::NoScale, "it has no scale that fits".to_owned())),
        };
        return Ok(Err(silent(silence, format!("{} gives no class: {reason}.", guide.title))));
    };
    let Some(class) = class_of(reading, &scale) else {
        let reason = format!(
            "{} gives no class: {}{} could lie in more than one class or outside those it prints.",
            guide.title,
            reading.qualifier.map_or("", Qualifier::id),
            reading.value
        );
        return Ok(Err(silent(Silence::Range, reason)));
    };
    let mut level = level(reading, site, guide, &scale, class, cautions)?;
    level.outside_region |= away;
    Ok(Ok(level))
}

/// A scale whose condition is not known to hold.
struct Open<'a> {
    scale: Cow<'a, Scale>,
    cautions: Vec<String>,
    /// What is not known.
    what: &'static str,
}

/// The most lenient of scales that all say the same whatever the condition: too little, too much, or an alert.
///
/// That a value is wanted is never taken so, for its edge would be a guess.
fn agreed<'a>(reading: &Measured, open: &[Open<'a>]) -> Option<(Cow<'a, Scale>, Vec<String>)> {
    let classes: Vec<(&Open<'a>, &Class)> =
        open.iter().map(|one| Some((one, class_of(reading, &one.scale)?))).collect::<Option<_>>()?;
    let standing = classes.first()?.1.meaning.standing;
    let same = classes.len() > 1 && classes.iter().all(|(_, class)| class.meaning.standing == standing);
    let loud = classes.iter().all(|(_, class)| class.meaning.alert.is_some());
    let edge = |(one, class): &&(&Open<'a>, &Class)| match standing {
        Standing::Below => one.scale.sufficient_from().map(|edge| -edge.value),
        _ => class.from,
    };
    let agree = same && standing != Standing::Within && (loud || standing != Standing::Information);
    let (one, _) = classes
        .iter()
        .filter(|_| agree)
        .max_by(|a, b| edge(a).unwrap_or(f64::MIN).total_cmp(&edge(b).unwrap_or(f64::MIN)))?;
    let mut cautions = one.cautions.clone();
    cautions.push(format!("{} of the site is not known; every scale of the guide says the same", one.what));
    Some((one.scale.clone(), cautions))
}

/// The tests of one scale in order: what to bear in mind, or the first that stops it.
fn screened(
    reading: &Measured,
    guide: &Guide,
    scale: &Scale,
    site: &Site,
    context: &Context,
) -> Result<Result<Vec<String>, (Silence, String)>, TableError> {
    let tests: [(Silence, Answer); 4] = [
        (Silence::Method, eligible::method(reading, scale, site)),
        (Silence::Basis, eligible::basis(reading, scale)),
        (Silence::Depth, eligible::depth(reading, guide, scale)),
        (Silence::Soil, eligible::soil(reading, site, context)),
    ];
    let mut cautions = Vec::new();
    for (silence, answer) in tests {
        match answer? {
            Ok(more) => cautions.extend(more),
            Err(reason) => return Ok(Err((silence, reason))),
        }
    }
    Ok(Ok(cautions))
}

/// The scales of the crop that serves the site best, if any.
fn serving<'a>(scales: &[&'a Scale], site: &Site) -> Result<Vec<&'a Scale>, TableError> {
    // Information on ratios speaks for any crop.
    const ANY: &str = "information-only";
    let species = site.species.as_deref().map(word);
    let Some(found) = use_of(site)? else {
        return Ok(scales.iter().copied().filter(|scale| scale.crop == ANY).collect());
    };
    let of = |crop: &str| -> Vec<&'a Scale> {
        scales.iter().copied().filter(|scale| scale.crop == crop).collect()
    };
    Ok(found
        .crops_of(species.as_deref())
        .chain([ANY])
        .map(of)
        .find(|scales| !scales.is_empty())
        .unwrap_or_default())
}

fn closer(scale: &Scale, before: &Scale) -> bool {
    let rank = |one: &Scale| (one.moving.is_some(), one.condition.is_some(), one.method != Method::Unstated);
    rank(scale) > rank(before)
}

/// What the scales would say under each condition that is not known (rule 20).
fn outcomes(reading: &Measured, open: &[Open], what: &str) -> String {
    let each: Vec<String> = open
        .iter()
        .filter_map(|one| {
            let class = class_of(reading, &one.scale)?;
            Some(format!("{} if {}", class.name, one.scale.condition.as_deref()?))
        })
        .collect();
    match each.is_empty() {
        true => format!("{what} of the site is not known"),
        false => format!("{what} of the site is not known ({})", each.join(", ")),
    }
}

/// The class of the number. A result outside the laboratory's range has one only where all it may be lies in one.
fn class_of<'a>(reading: &Measured, scale: &'a Scale) -> Option<&'a Class> {
    match reading.qualifier {
        None => scale.class_of(reading.value),
        Some(Qualifier::Below) => scale
            .classes
            .first()
            .filter(|class| class.from.is_none() && class.to.is_none_or(|to| reading.value <= to)),
        Some(Qualifier::Above) => scale
            .classes
            .last()
            .filter(|class| class.to.is_none() && class.from.is_none_or(|from| reading.value >= from)),
    }
}

fn level(
    reading: &Measured,
    site: &Site,
    guide: &Guide,
    scale: &Scale,
    class: &Class,
    mut cautions: Vec<String>,
) -> Result<Level, TableError> {
    let (from, to) = (scale.sufficient_from(), scale.sufficient_to());
    let assumed = reading.analyte == Analyte::Ph
        && reading.method == Method::Unstated
        && !region(site.region.as_deref())?.is_some_and(|region| region.read);
    let outside_region = !guide.regions.is_empty()
        && !site.region.as_deref().map(word).is_some_and(|word| guide.regions.contains(&word));
    if outside_region {
        cautions.push(match &site.region {
            Some(region) => format!("made for {} and not for {region}", guide.regions.join(", ")),
            None => format!("made for {}; the region of the site is not known", guide.regions.join(", ")),
        });
    }
    if !guide.caution.is_empty() {
        cautions.push(guide.caution.clone());
    }
    let other_depth = depth::differs(&guide.id, &scale.crop, reading.depth_cm)?;
    let edges_read = [from, to].iter().flatten().all(|edge| {
        let used = class.from == Some(edge.value) || class.to == Some(edge.value);
        edge.read || !used
    });
    Ok(Level {
        guide: guide.id.clone(),
        title: guide.title.clone(),
        class: class.name.clone(),
        from: class.from,
        to: class.to,
        as_printed: class.as_printed.clone(),
        sufficient_from: from.map(|edge| edge.value),
        sufficient_to: to.map(|edge| edge.value),
        standing: class.meaning.standing,
        alert: class.meaning.alert,
        alert_below: scale.alert_below(),
        read: class.read && edges_read && !assumed,
        edge_read: from.is_none_or(|edge| edge.read) && !assumed,
        outside_region,
        other_depth,
        source: class.source.clone(),
        meaning: if class.gloss.is_empty() { class.meaning.reason.clone() } else { class.gloss.clone() },
        cautions,
    })
}
