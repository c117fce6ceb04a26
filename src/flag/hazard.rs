//! `hazard`: salts by the scale of their method, sodium where the salts are known as well, extreme water pH.

use super::facts::{SeriesFacts, ZoneFacts};
use super::{Flag, FlagKind, Severity, severity};
use crate::guide::{Level, Limit, Standing, limit, tolerance};
use crate::soil::table::TableError;
use crate::soil::{Analyte, Method};

/// The flags of a zone.
pub(super) fn raise(zone: &ZoneFacts) -> Result<Vec<Flag>, TableError> {
    let mut flags = Vec::new();
    for facts in zone.current() {
        flags.extend(match facts.analyte() {
            Analyte::Ph => ph(zone, facts)?,
            Analyte::SolubleSalts => salts(zone, facts)?,
            Analyte::Sar | Analyte::SatNa if facts.context.salts_known => by_class(zone, facts),
            _ => None,
        });
    }
    Ok(flags)
}

/// The limit a pH lies beyond, and whether it lies below it. A salt pH runs lower than pH in water, so a low one proves
/// nothing; one whose method is not stated is watched.
pub(super) fn extreme_ph(facts: &SeriesFacts) -> Result<Option<(Limit, bool)>, TableError> {
    let lower = matches!(facts.method(), Method::Cacl2 | Method::Kcl);
    let Some(last) = facts.last().filter(|_| facts.analyte() == Analyte::Ph) else { return Ok(None) };
    Ok(if last.value < limit(Limit::ExtremePhBelow)?.value && !lower {
        Some((Limit::ExtremePhBelow, true))
    } else if last.value > limit(Limit::ExtremePhAbove)?.value {
        Some((Limit::ExtremePhAbove, false))
    } else {
        None
    })
}

fn ph(zone: &ZoneFacts, facts: &SeriesFacts) -> Result<Option<Flag>, TableError> {
    let Some((name, acid)) = extreme_ph(facts)? else { return Ok(None) };
    let edge = limit(name)?;
    let (side, what, severity) = if acid && facts.method() == Method::Unstated {
        (
            "below",
            "aluminium is toxic to roots there, if it is pH in water, which the report does not say",
            Severity::Watch,
        )
    } else if acid {
        ("below", "aluminium is toxic to roots there", Severity::Act)
    } else {
        (
            "above",
            "phosphorus and micronutrients become unavailable there; test sodium and salts",
            Severity::Watch,
        )
    };
    let reason = format!("{} is {side} {}: {what} ({}).", facts.said(), facts.edge(edge.value), edge.source);
    Ok(Flag::of(zone, facts, FlagKind::Hazard, severity, Some(edge.value), None, reason))
}

/// A saturated paste is held against the species where it is known and rated; else the classes of the method speak.
fn salts(zone: &ZoneFacts, facts: &SeriesFacts) -> Result<Option<Flag>, TableError> {
    if facts.method() == Method::Ec1to1 {
        return screened(zone, facts);
    }
    let paste = facts.method() == Method::SaturatedPaste;
    let rated = zone.site.species.as_deref().filter(|_| paste).map(tolerance).transpose()?.flatten();
    let Some((rated, last)) = rated.zip(facts.last()) else { return Ok(by_class(zone, facts)) };
    let beyond = rated.to.filter(|to| last.value >= *to);
    let within = rated.from.filter(|from| last.value >= *from);
    let (edge, severity, word) = match (beyond, within) {
        (Some(edge), _) => (edge, Severity::Act, "beyond"),
        (None, Some(edge)) => (edge, Severity::Watch, "within"),
        (None, None) => return Ok(None),
    };
    let reason = format!(
        "{} lies {word} the span in which {} reaches its limit (from {}); leach, and hold soluble fertiliser.",
        facts.said(),
        rated.species.replace('-', " "),
        facts.edge(edge),
    );
    Ok(Flag::of(zone, facts, FlagKind::Hazard, severity, Some(edge), Some(rated.guide), reason))
}

/// The 1:1 extract has no classes of its own here; above the screening figure the paste test is asked for (rule 40).
fn screened(zone: &ZoneFacts, facts: &SeriesFacts) -> Result<Option<Flag>, TableError> {
    let edge = limit(Limit::PasteTestAboveEc1to1)?;
    if !facts.last().is_some_and(|last| last.value > edge.value) {
        return Ok(None);
    }
    let reason = format!(
        "{} is above {}, from where a saturated paste test tells what it means: ask for one ({}).",
        facts.said(),
        facts.edge(edge.value),
        edge.source
    );
    Ok(Flag::of(zone, facts, FlagKind::Hazard, Severity::Watch, Some(edge.value), None, reason))
}

fn by_class(zone: &ZoneFacts, facts: &SeriesFacts) -> Option<Flag> {
    let rates = |level: &&Level| level.standing == Standing::Information && level.alert.is_some();
    let loudness =
        |level: &&Level| level.alert.map(|alert| severity(alert, level.read, level.outside_region));
    // `Act` sorts before `Watch`.
    let level = facts.also.iter().chain(&facts.levels).filter(rates).min_by_key(loudness)?;
    let (alert, edge) = (level.alert?, level.from?);
    let what = match facts.analyte() {
        Analyte::SolubleSalts => "leach, and hold soluble fertiliser, compost and manure",
        _ => "gypsum helps only with drainage and water to leach",
    };
    let reason = format!(
        "{} is at or above {}, class {} of {}{}: {what}.",
        facts.said(),
        facts.edge(edge),
        level.class,
        level.title,
        if level.read { "" } else { " (unverified figure)" },
    );
    let severity = severity(alert, level.read, level.outside_region);
    Flag::of(zone, facts, FlagKind::Hazard, severity, Some(edge), Some(&level.guide), reason)
}
