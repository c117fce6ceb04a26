//! What to leave alone, and why: things a report may seem to ask for and that need nothing.

use super::facts::{SeriesFacts, ZoneFacts};
use crate::guide::{Level, Limit, Silence, Standing, calcareous, limit, use_of};
use crate::soil::table::TableError;
use crate::soil::{Analyte, Method};
use serde::{Deserialize, Serialize};

/// One thing to leave alone.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct LeaveAlone {
    /// Zone.
    pub zone: String,
    /// About what.
    pub analyte: Analyte,
    /// One sentence.
    pub reason: String,
    /// Source key in `guide/sources.csv`.
    pub source: String,
}

/// What to leave alone in a zone, in the order of the analytes.
///
/// # Errors
/// A built-in table is damaged.
pub fn leave_alone(zone: &ZoneFacts) -> Result<Vec<LeaveAlone>, TableError> {
    let mut all = Vec::new();
    for facts in zone.current() {
        let said = match facts.analyte() {
            Analyte::Ph => ph(zone, facts)?,
            Analyte::Calcium => calcium(facts)?,
            Analyte::SatNa => sodium(facts)?,
            Analyte::Sulfur => low(facts, "soil sulfate does not predict a response reliably", "ndsu2024"),
            Analyte::Boron => low(
                facts,
                "boron turns toxic close above its need and is never applied on one test",
                "common-practice",
            ),
            Analyte::Zinc | Analyte::Iron | Analyte::Manganese | Analyte::Copper => low(
                facts,
                "a low micronutrient test does not prove a response: confirm by tissue or a trial strip first",
                "hoeft2004",
            ),
            Analyte::Phosphorus => bray(facts).or_else(|| plenty(facts)),
            Analyte::Potassium | Analyte::Magnesium => plenty(facts),
            _ => None,
        };
        all.extend(said.map(|(reason, source)| LeaveAlone {
            zone: zone.zone.to_owned(),
            analyte: facts.analyte(),
            reason,
            source: source.to_owned(),
        }));
    }
    all.extend(saturations(zone));
    all.sort_by(|a, b| (a.analyte, &a.reason).cmp(&(b.analyte, &b.reason)));
    // Two series of one analyte may say the same.
    all.dedup_by(|a, b| (a.analyte, &a.reason) == (b.analyte, &b.reason));
    Ok(all)
}

/// A sentence and its source.
type Said = Option<(String, &'static str)>;

fn ph(zone: &ZoneFacts, facts: &SeriesFacts) -> Result<Said, TableError> {
    let Some(ph) = facts.context.any_ph() else { return Ok(None) };
    let acid = facts.level().is_some_and(|level| level.standing == Standing::Below);
    let buffer = [Analyte::BufferPh, Analyte::LimeIndex, Analyte::Acidity];
    if acid && buffer.into_iter().all(|analyte| zone.latest(analyte).is_none()) {
        let sentence = format!(
            "Apply no lime on the pH of {ph} alone: the rate needs a buffer result and that buffer's own table."
        );
        return Ok(Some((sentence, "udel-agronomic")));
    }
    if calcareous(zone.site, &facts.context)? == Some(true) {
        let sentence =
            format!("Leave the pH of {ph} alone: the soil holds free lime, too much of it to acidify.");
        return Ok(Some((sentence, "csu-koski2014")));
    }
    let (from, to) = (limit(Limit::TurfPhAcceptableFrom)?, limit(Limit::TurfPhAcceptableUpTo)?);
    let turf = use_of(zone.site)?.is_some_and(|found| found.is_turf());
    let known = facts.context.water_ph.is_some();
    let fine = turf && known && ph >= from.value && ph <= to.value;
    Ok(fine.then(|| {
        let sentence = format!(
            "Leave the pH of {ph} alone: turf does well from {} to {}, and lime would do nothing.",
            from.value, to.value
        );
        (sentence, "rutgers-turf-ph")
    }))
}

fn calcium(facts: &SeriesFacts) -> Result<Said, TableError> {
    if facts.silent.iter().any(|silent| silent.silence == Silence::Soil) {
        let sentence = "Leave calcium alone: on calcareous soil the extract dissolves lime, and the number says nothing of a need.";
        return Ok(Some((sentence.to_owned(), "calc-aa1998")));
    }
    let low = facts.level().is_some_and(|level| level.standing == Standing::Below);
    let edge = limit(Limit::CalciumNeedUpToPh)?.value;
    let known = facts.context.any_ph().zip(facts.context.ph_above(edge));
    Ok(known.filter(|_| low).map(|(ph, above)| {
        let sentence = if above {
            format!("Leave calcium alone: a shortage is not expected above pH {edge}, and the pH is {ph}.")
        } else {
            format!("Apply no gypsum for calcium: at pH {ph} low calcium is a question of lime.")
        };
        (sentence, "hoeft2004")
    }))
}

fn sodium(facts: &SeriesFacts) -> Result<Said, TableError> {
    let edge = limit(Limit::GypsumFromSatNa)?.value;
    Ok(facts.last().and_then(|last| {
        if last.value < edge {
            let sentence = format!("Apply no gypsum: sodium holds {} of the CEC, and gypsum helps from {edge} %.", facts.edge(last.value));
            Some((sentence, "grdc2019"))
        } else if !facts.context.salts_known {
            let sentence = format!(
                "Act on no sodium figure alone: sodium is {}, and without the salt content that is half a picture.",
                facts.edge(last.value)
            );
            Some((sentence, "psu-water2015"))
        } else {
            None
        }
    }))
}

/// One sentence for all saturations of a zone.
fn saturations(zone: &ZoneFacts) -> Option<LeaveAlone> {
    let ratios = [Analyte::SatK, Analyte::SatCa, Analyte::SatMg];
    let found: Vec<Analyte> = ratios.into_iter().filter(|analyte| zone.latest(*analyte).is_some()).collect();
    let names: Vec<&str> = found.iter().map(|analyte| analyte.name()).collect();
    Some(LeaveAlone {
        zone: zone.zone.to_owned(),
        analyte: *found.first()?,
        reason: format!(
            "Apply nothing for {}: base saturations are information; trials found no ideal ratio.",
            names.join(", ")
        ),
        source: "kopittke2007".to_owned(),
    })
}

fn low(facts: &SeriesFacts, why: &str, source: &'static str) -> Said {
    let low = facts.level().is_some_and(|level| level.standing == Standing::Below);
    low.then(|| (format!("Apply no {} on this result: {why}.", facts.analyte().name()), source))
}

fn bray(facts: &SeriesFacts) -> Said {
    let spoilt = facts.silent.iter().any(|silent| silent.silence == Silence::Soil);
    (spoilt && matches!(facts.method(), Method::BrayP1 | Method::BrayP2)).then(|| {
        let sentence =
            "Apply no phosphorus on this result: Bray reads low on such soil; ask the laboratory for Olsen.";
        (sentence.to_owned(), "umn-p-tests")
    })
}

/// More than one guide wants, and too little in none.
fn plenty(facts: &SeriesFacts) -> Said {
    let below = facts.levels.iter().any(|level| level.standing == Standing::Below);
    let above: &Level = facts
        .levels
        .iter()
        .chain(&facts.also)
        .find(|level| level.standing == Standing::Above)
        .filter(|_| !below)?;
    let edge = facts.edge(above.from?);
    let sentence = format!(
        "Apply no {}: {} is plenty; {} expects little or no response above {edge}{}.",
        facts.analyte().name(),
        facts.said_short(),
        above.title,
        drawn_down(facts)
    );
    // Own edges have no published source, and then there is nothing to cite.
    let source = crate::guide::source::source(&above.source).ok().flatten()?;
    Some((sentence, source.key.as_str()))
}

/// That falling from plenty is good management, where the line surely falls.
fn drawn_down(facts: &SeriesFacts) -> String {
    let falls = facts.trend.slope_bounds.is_some_and(|(_, high)| high < 0.0);
    let slope = facts.trend.slope.filter(|_| falls);
    slope.map_or_else(String::new, |slope| {
        format!(", and its fall of {} a year from plenty is good management", facts.edge(-slope))
    })
}
