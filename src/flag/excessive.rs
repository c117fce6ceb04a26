//! `excessive`: more than a guide wants, where the guide says so out loud or a state limits it.

use super::facts::{SeriesFacts, ZoneFacts};
use super::{Flag, FlagKind, severity};
use crate::guide::{Level, Standing};
use crate::soil::table::TableError;

/// The flags of a zone.
pub(super) fn raise(zone: &ZoneFacts) -> Result<Vec<Flag>, TableError> {
    Ok(zone.current().filter_map(|facts| of_series(zone, facts)).collect())
}

fn of_series(zone: &ZoneFacts, facts: &SeriesFacts) -> Option<Flag> {
    let above = |level: &&Level| level.standing == Standing::Above && level.alert.is_some();
    let law = facts.also.iter().find(above);
    let level = law.or_else(|| facts.level().filter(above))?;
    let (alert, edge) = (level.alert?, level.from?);
    let check =
        if law.is_some() { "; state rules may limit phosphorus, check the current statute" } else { "" };
    let reason = format!(
        "{} is at or above {}, where {} says {} ({}){}{check}.",
        facts.said(),
        facts.edge(edge),
        level.title,
        level.class,
        if level.meaning.is_empty() { "more than wanted" } else { &level.meaning },
        if level.read { "" } else { ", unverified figure" },
    );
    let severity = severity(alert, level.read, level.outside_region);
    Flag::of(zone, facts, FlagKind::Excessive, severity, Some(edge), Some(&level.guide), reason)
}
