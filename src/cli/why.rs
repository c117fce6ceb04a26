//! `--why`: how each thing said came about, in lines for a person, in one cell, or as JSON.

use crate::assess::{Assessment, LeftOut, ReadingWhy, SeriesWhy, TableWhy, why};
use crate::flag::flag_rule;
use crate::history::{Filter, History};
use serde::Serialize;

/// A row of a table with its reasons.
#[derive(Debug, Serialize)]
pub struct Explained<R, W> {
    /// The row itself, its columns side by side with `why`.
    #[serde(flatten)]
    pub row: R,
    /// How it came about.
    pub why: W,
}

/// Why a flag was raised.
#[derive(Debug, Clone, Serialize)]
pub struct FlagWhy {
    /// When such a flag is raised.
    pub rule: String,
    /// Where the rule comes from.
    pub rule_source: String,
    /// The series it speaks of; none for a flag on the whole zone.
    pub series: Option<SeriesWhy>,
}

/// The reasons of every series of a site, in their order.
///
/// # Errors
/// What the store says.
pub fn of_site(history: &History, assessment: &Assessment) -> anyhow::Result<Vec<SeriesWhy>> {
    let filter = Filter { site: Some(assessment.site.id.clone()), ..Filter::default() };
    Ok(why(assessment, &history.readings(&filter)?)?)
}

/// The reasons of every flag of a site, in their order.
///
/// # Errors
/// A built-in table is damaged.
pub fn of_flags(assessment: &Assessment, series: &[SeriesWhy]) -> anyhow::Result<Vec<FlagWhy>> {
    let mut all = Vec::new();
    for flag in &assessment.flags {
        let rule = flag_rule(flag.flag)?;
        let mine = |(facts, _): &(&crate::flag::SeriesFacts, &SeriesWhy)| {
            facts.current
                && facts.series.key.zone == flag.zone
                && Some(facts.analyte()) == flag.analyte
                && facts.series.values.iter().any(|value| value.season == flag.season)
        };
        let found = assessment.series.iter().zip(series).find(mine).map(|(_, why)| why.clone());
        all.push(FlagWhy { rule: rule.rule.clone(), rule_source: rule.source.clone(), series: found });
    }
    Ok(all)
}

/// A series in lines: a heading, then what it rests on.
pub fn lines(why: &SeriesWhy) -> Vec<String> {
    let mut all = vec![String::new(), format!("{} ({}), {}", why.analyte.name(), why.method, why.zone)];
    all.extend(body(why).into_iter().map(|line| format!("  {line}")));
    all
}

/// A flag in lines.
pub fn flag_lines(why: &FlagWhy) -> Vec<String> {
    let mut all = vec![format!("rule: {} ({})", why.rule, why.rule_source)];
    all.extend(why.series.iter().flat_map(body));
    all
}

/// A series in one cell.
pub fn cell(why: &SeriesWhy) -> String {
    body(why).join(" | ")
}

/// A flag in one cell.
pub fn flag_cell(why: &FlagWhy) -> String {
    flag_lines(why).join(" | ")
}

fn body(why: &SeriesWhy) -> Vec<String> {
    let mut all = Vec::new();
    for season in &why.used {
        let from: Vec<String> = season.readings.iter().map(seen).collect();
        all.push(format!("used: {} {} from {}", season.season, season.value, from.join("; ")));
    }
    all.extend(why.left_out.iter().map(left_out));
    all.extend(why.apart.iter().map(|sentence| format!("apart: {sentence}")));
    all.extend(why.tables.iter().enumerate().map(|(place, table)| said_of(table, place == 0)));
    all.extend(why.silent.iter().map(|reason| format!("no class: {reason}")));
    all.extend(why.rules.iter().map(|rule| format!("rule {}: {} ({})", rule.rule, rule.said, rule.source)));
    all
}

/// `31 ppm, Alder Soil, R-100, report.pdf page 2`.
fn seen(reading: &ReadingWhy) -> String {
    let page = reading.page.map(|page| format!(" page {page}")).unwrap_or_default();
    let file = format!("{}{page}", reading.file);
    let parts = [Some(reading.printed.clone()), reading.lab.clone(), reading.report.clone(), Some(file)];
    parts.into_iter().flatten().filter(|part| !part.is_empty()).collect::<Vec<_>>().join(", ")
}

fn left_out(one: &LeftOut) -> String {
    let season = one.season.map_or("no season".to_owned(), |season| season.to_string());
    format!("left out: {season} {} ({}). {}", seen(&one.reading), one.method, one.why)
}

fn said_of(table: &TableWhy, leads: bool) -> String {
    let role = if leads { "table" } else { "also asked" };
    let edge = table.sufficient_from.map(|edge| format!(", sufficient from {edge}")).unwrap_or_default();
    let cautions = if table.cautions.is_empty() {
        String::new()
    } else {
        format!("; bear in mind: {}", table.cautions.join("; "))
    };
    format!(
        "{role}: {} ({}), class {} ({}{edge}), {}, {}: {}{cautions}",
        table.title, table.guide, table.class, table.range, table.checked, table.source, table.citation
    )
}
