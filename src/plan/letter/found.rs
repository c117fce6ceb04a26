//! What was found and what changed, in a client's words.

use super::words::{name, of_zone, short_value, unit};
use crate::assess::Assessment;
use crate::flag::{FlagKind, SeriesFacts};
use crate::guide::Standing;
use crate::soil::Analyte;

/// The analytes a client is told of, the soil's main ones.
const TOLD: [Analyte; 7] = [
    Analyte::Ph,
    Analyte::OrganicMatter,
    Analyte::Phosphorus,
    Analyte::Potassium,
    Analyte::Magnesium,
    Analyte::SolubleSalts,
    Analyte::SatNa,
];

/// A row of what was measured.
pub(super) struct Found {
    /// What.
    pub(super) name: String,
    /// The value with its unit, and the year where it is not the latest.
    pub(super) value: String,
    /// How it stands.
    pub(super) standing: &'static str,
}

fn told(assessment: &Assessment) -> impl Iterator<Item = &SeriesFacts> {
    TOLD.iter().flat_map(move |analyte| {
        assessment.series.iter().filter(move |facts| facts.current && facts.analyte() == *analyte)
    })
}

/// A flag says that it is being drawn down.
fn falls(assessment: &Assessment, facts: &SeriesFacts) -> bool {
    assessment.flags.iter().any(|flag| {
        flag.flag == FlagKind::DrawingDown
            && flag.zone == facts.series.key.zone
            && flag.analyte == Some(facts.analyte())
    })
}

/// The latest season of the site.
pub(super) fn latest(assessment: &Assessment) -> Option<i16> {
    told(assessment).filter_map(|facts| facts.last()).map(|last| last.season).max()
}

/// The last values.
pub(super) fn measured(assessment: &Assessment) -> Vec<Found> {
    let latest = latest(assessment);
    told(assessment)
        .filter_map(|facts| {
            let last = facts.last()?;
            let sign = last.qualifier.map_or("", |q| if q.id() == "<" { "less than " } else { "more than " });
            let year =
                if Some(last.season) == latest { String::new() } else { format!(", in {}", last.season) };
            let falling = falls(assessment, facts);
            let standing = match facts.level().map(|level| level.standing) {
                Some(Standing::Below) => "lower than wanted",
                Some(Standing::Within) if falling => "enough so far, but falling",
                Some(Standing::Within) => "as it should be",
                Some(Standing::Above) => "more than needed",
                _ => "for information",
            };
            Some(Found {
                name: format!("{}{}", of_zone(&facts.series.key.zone), name(facts.analyte())),
                value: format!("{sign}{}{}{year}", short_value(last.value), unit(facts.analyte().unit())),
                standing,
            })
        })
        .collect()
}

/// What moved for certain since the first test.
pub(super) fn changed(assessment: &Assessment) -> Vec<String> {
    let lines = told(assessment).filter_map(|facts| {
        let first = facts.series.values.first()?;
        let last = facts.last()?;
        let bounds = facts.trend.slope_bounds?;
        let way = if bounds.0 > 0.0 {
            "has risen"
        } else if bounds.1 < 0.0 {
            "has fallen"
        } else {
            return None;
        };
        let ahead = match facts.crossing.and_then(|crossing| crossing.season) {
            _ if !falls(assessment, facts) => String::new(),
            Some(season) => format!(" At this pace it drops below what is wanted in about {season}."),
            None => " It now stands at the lower edge of what is wanted.".to_owned(),
        };
        Some(format!(
            "{}{} {way} from {} to {} since {}.{ahead}",
            of_zone(&facts.series.key.zone),
            name(facts.analyte()).split(" (").next().unwrap_or_default(),
            short_value(first.value),
            short_value(last.value),
            first.season
        ))
    });
    let lines: Vec<String> = lines.collect();
    if lines.is_empty() {
        return vec!["Nothing beyond the usual scatter between two tests.".to_owned()];
    }
    lines
}
