//! What needs a person's eye, with the sentence, the edge and the table that say so.

pub mod facts;

mod below_sufficiency;

mod drawing_down;

mod excessive;

mod hazard;

mod retest_due;

mod method_changed;

mod beyond_lab_noise;

pub mod rule;

pub mod removal;

pub mod leave_alone;

pub use facts::{FlagSettings, SeriesFacts, ZoneFacts};
pub use leave_alone::{LeaveAlone, leave_alone};
pub use method_changed::what_changed;
pub use rule::{FlagRule, flag_rule};

use crate::guide::Alert;
use crate::soil::ids::contract_ids;
use crate::soil::table::TableError;
use crate::soil::{Analyte, Unit};
use serde::{Deserialize, Serialize};

contract_ids! {
    /// The flags of the contract.
    FlagKind {
        BelowSufficiency = "below-sufficiency", DrawingDown = "drawing-down", Excessive = "excessive",
        Hazard = "hazard", RetestDue = "retest-due", MethodChanged = "method-changed",
        BeyondLabNoise = "beyond-lab-noise",
    }
}

contract_ids! {
    /// How urgent.
    Severity { Act = "act", Watch = "watch" }
}

/// One flag.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Flag {
    /// Site id.
    pub site: String,
    /// Zone.
    pub zone: String,
    /// The season it speaks of.
    pub season: i16,
    /// About what; none for a flag on the whole site (`retest-due`).
    pub analyte: Option<Analyte>,
    /// Which flag.
    pub flag: FlagKind,
    /// How urgent.
    pub severity: Severity,
    /// The value that raised it, canonical unit.
    pub value: Option<f64>,
    /// The edge it was held against.
    pub edge: Option<f64>,
    /// Unit of both.
    pub unit: Option<Unit>,
    /// The guide, where one speaks.
    pub guide: Option<String>,
    /// One sentence.
    pub reason: String,
}

impl Flag {
    /// A flag on the last value of a series; none for a series without values.
    fn of(
        zone: &ZoneFacts,
        facts: &SeriesFacts,
        flag: FlagKind,
        severity: Severity,
        edge: Option<f64>,
        guide: Option<&str>,
        reason: String,
    ) -> Option<Self> {
        let last = facts.last()?;
        Some(Self {
            site: zone.site.id.clone(),
            zone: zone.zone.to_owned(),
            season: last.season,
            analyte: Some(facts.analyte()),
            flag,
            severity,
            value: Some(last.value),
            edge,
            unit: Some(facts.analyte().unit()),
            guide: guide.map(str::to_owned),
            reason,
        })
    }
}

/// How urgent an alert is: only a figure that was read, in its own region, asks to act (rules 9, 69).
pub(crate) fn severity(alert: Alert, read: bool, outside_region: bool) -> Severity {
    match alert {
        Alert::Act if read && !outside_region => Severity::Act,
        _ => Severity::Watch,
    }
}

/// One kind of flag: raises what it finds in a zone.
type Raise = fn(&ZoneFacts) -> Result<Vec<Flag>, TableError>;

/// Every kind of flag, the most urgent first among equals of severity.
const FLAGS: &[(FlagKind, Raise)] = &[
    (FlagKind::Hazard, hazard::raise),
    (FlagKind::BelowSufficiency, below_sufficiency::raise),
    (FlagKind::DrawingDown, drawing_down::raise),
    (FlagKind::Excessive, excessive::raise),
    (FlagKind::BeyondLabNoise, beyond_lab_noise::raise),
    (FlagKind::MethodChanged, method_changed::raise),
    (FlagKind::RetestDue, retest_due::raise),
];

/// All flags of a zone, the most urgent first. Quiet by design: a zone in order has none.
///
/// # Errors
/// A built-in table is damaged.
pub fn flags(zone: &ZoneFacts) -> Result<Vec<Flag>, TableError> {
    let mut all = Vec::new();
    for (_, raise) in FLAGS {
        all.extend(raise(zone)?);
    }
    sort(&mut all);
    Ok(all)
}

/// From which day on `retest-due` is raised for a zone; none where no day of a sample is known.
///
/// # Errors
/// A built-in table is damaged.
pub fn retest_on(zone: &ZoneFacts) -> Result<Option<jiff::civil::Date>, TableError> {
    Ok(retest_due::due(zone)?.map(|due| due.on))
}

/// Puts flags in a stable order: to act on first, then by kind, site, zone, analyte, season.
pub fn sort(flags: &mut [Flag]) {
    let place = |kind: FlagKind| FLAGS.iter().position(|(found, _)| *found == kind);
    flags.sort_by(|a, b| {
        let key = |flag: &Flag| (flag.severity, place(flag.flag), flag.analyte, flag.season);
        (a.severity, place(a.flag), &a.site, &a.zone)
            .cmp(&(b.severity, place(b.flag), &b.site, &b.zone))
            .then_with(|| key(a).cmp(&key(b)))
            .then_with(|| a.reason.cmp(&b.reason))
    });
}

#[cfg(test)]
mod tests {
    use super::{FLAGS, FlagKind};

    #[test]
    fn every_flag_of_the_contract_is_raised_somewhere() {
        for kind in FlagKind::ALL {
            assert_eq!(FLAGS.iter().filter(|(found, _)| found == kind).count(), 1, "{kind}");
        }
    }
}
