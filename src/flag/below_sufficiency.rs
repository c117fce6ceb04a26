//! `below-sufficiency`: the last value lies below the lower edge of the guide that flags follow.

use super::facts::{SeriesFacts, ZoneFacts};
use super::{Flag, FlagKind, hazard, severity};
use crate::guide::{Alert, Limit, Standing, limit};
use crate::soil::Analyte;
use crate::soil::table::TableError;

/// The flags of a zone.
pub(super) fn raise(zone: &ZoneFacts) -> Result<Vec<Flag>, TableError> {
    let mut flags = Vec::new();
    for facts in zone.current() {
        flags.extend(of_series(zone, facts)?);
    }
    Ok(flags)
}

fn of_series(zone: &ZoneFacts, facts: &SeriesFacts) -> Result<Option<Flag>, TableError> {
    let Some(level) = facts.level().filter(|level| level.standing == Standing::Below) else {
        return Ok(None);
    };
    let Some((alert, edge)) = level.alert.zip(level.sufficient_from) else { return Ok(None) };
    if no_shortage(facts)? {
        return Ok(None);
    }
    let lime = match facts.analyte() {
        Analyte::Calcium => "; low calcium on acid soil is a question of lime",
        _ => "",
    };
    let reason = format!(
        "{} is below {}, the lower edge of {} (class {}{}){}{}{lime}.",
        facts.said(),
        facts.edge(edge),
        level.title,
        level.class,
        if level.read { "" } else { ", unverified figure" },
        facts.depth_word(),
        facts.disagreement(),
    );
    let severity = severity(alert, level.read, level.outside_region);
    Ok(Flag::of(zone, facts, FlagKind::BelowSufficiency, severity, Some(edge), Some(&level.guide), reason))
}

/// Low calcium without acid soil is no shortage (rule 25), and an extreme pH is raised as a hazard.
pub(super) fn no_shortage(facts: &SeriesFacts) -> Result<bool, TableError> {
    Ok(match facts.analyte() {
        Analyte::Calcium => facts.context.ph_above(limit(Limit::CalciumNeedUpToPh)?.value) == Some(true),
        Analyte::Ph => hazard::extreme_ph(facts)?.is_some(),
        _ => false,
    })
}

/// Whether something is being put right in this zone: a lack to act on.
pub(super) fn correcting(zone: &ZoneFacts) -> Result<bool, TableError> {
    let raised = raise(zone)?;
    Ok(raised.iter().any(|flag| flag.severity == severity(Alert::Act, true, false)))
}
