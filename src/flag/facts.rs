//! What is known of a zone before a flag is raised: its series with trend, levels, crossing and latest change.

use crate::guide::{Context, Level, NoLevel, Standing};
use crate::soil::{Analyte, Method, Site};
use crate::trend::crossing::Crossing;
use crate::trend::noise::{Change, amount};
use crate::trend::shift::LabShift;
use crate::trend::{SeasonValue, Series, Trend};
use jiff::civil::Date;
use serde::{Deserialize, Serialize};

/// One series and everything that is said of it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct SeriesFacts {
    /// One value a season by one method.
    pub series: Series,
    /// What it does over the years.
    pub trend: Trend,
    /// No other series of the same zone and analyte reaches a later season.
    pub current: bool,
    /// What else was known of the soil in its last season.
    pub context: Context,
    /// Levels of its last value, the first is the one flags follow.
    pub levels: Vec<Level>,
    /// Levels of its last value in guides on excess and hazards.
    pub also: Vec<Level>,
    /// Why guides say nothing.
    pub silent: Vec<NoLevel>,
    /// When the line meets the lower edge of sufficiency of the first level; none without a trend or an edge.
    pub crossing: Option<Crossing>,
    /// From the season before the last to the last.
    pub change: Option<Change>,
    /// `change` in a sentence.
    pub change_sentence: Option<String>,
    /// The change that the line of the earlier seasons expected, canonical unit; none where they have no slope.
    pub expected_change: Option<f64>,
    /// What may be said of a series too short for a trend.
    pub early_word: Option<String>,
    /// A sure fall held against what is carried off, in a sentence.
    pub removal_word: Option<String>,
    /// Changes of laboratory within the series.
    pub lab_shifts: Vec<LabShift>,
}

impl SeriesFacts {
    /// What is measured.
    pub fn analyte(&self) -> Analyte {
        self.series.key.analyte
    }

    /// How.
    pub fn method(&self) -> Method {
        self.series.key.method
    }

    /// The last season with a value.
    pub fn last(&self) -> Option<&SeasonValue> {
        self.series.values.last()
    }

    /// The level that flags follow.
    pub fn level(&self) -> Option<&Level> {
        self.levels.first()
    }

    /// The last value as a person reads it: name, sign, number, unit, method, season.
    pub fn said(&self) -> String {
        let Some(last) = self.last() else { return self.analyte().name().to_owned() };
        let sign = last.qualifier.map_or("", |qualifier| qualifier.id());
        let value = amount(last.value, self.analyte().unit());
        let name = capital(self.analyte().name());
        match self.method() {
            Method::Unstated => format!("{name} {sign}{value} in {}", last.season),
            method => format!("{name} {sign}{value} ({method}) in {}", last.season),
        }
    }

    /// The same without the name: `168 mg/kg (mehlich-3) in 2026`.
    pub fn said_short(&self) -> String {
        let said = self.said();
        let name = capital(self.analyte().name());
        said.strip_prefix(&name).map_or(said.clone(), |rest| rest.trim_start().to_owned())
    }

    /// An edge as a person reads it.
    pub fn edge(&self, edge: f64) -> String {
        amount(edge, self.analyte().unit())
    }

    /// What to bear in mind of the sampled layer, where it is not the one of the guide; else empty.
    pub fn depth_word(&self) -> String {
        let layer = self.series.key.depth_cm.filter(|_| self.level().is_some_and(|level| level.other_depth));
        layer.map_or_else(String::new, |(top, bottom)| {
            format!("; sampled {top} to {bottom} cm deep, which is not the layer of the guide")
        })
    }

    /// Guides that stand elsewhere than the first, in words; empty where all agree.
    pub fn disagreement(&self) -> String {
        let Some(first) = self.level() else { return String::new() };
        let others: Vec<String> = self
            .levels
            .iter()
            .skip(1)
            .filter(|other| other.standing != first.standing && other.standing != Standing::Information)
            .map(|other| format!("{} calls it {}", other.title, other.class))
            .collect();
        if others.is_empty() { String::new() } else { format!("; {}", others.join(", ")) }
    }
}

/// The first letter in upper case, unless the word has one further on (`pH` stays).
fn capital(text: &str) -> String {
    let mut letters = text.chars();
    match letters.next() {
        Some(first) if !letters.clone().next().is_some_and(char::is_uppercase) => {
            first.to_uppercase().chain(letters).collect()
        }
        _ => text.to_owned(),
    }
}

/// What the keeper may set.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct FlagSettings {
    /// How far ahead a fall below sufficiency is flagged, years.
    pub horizon_years: f64,
}

/// A zone of a site as the flags see it.
#[derive(Debug, Clone, Copy)]
pub struct ZoneFacts<'a> {
    /// The site.
    pub site: &'a Site,
    /// The zone.
    pub zone: &'a str,
    /// Its series.
    pub series: &'a [SeriesFacts],
    /// The latest day a sample of it is known from, held ones included.
    pub last_day: Option<Date>,
    /// What the keeper set.
    pub settings: FlagSettings,
    /// Today.
    pub today: Date,
}

impl<'a> ZoneFacts<'a> {
    /// Series no other one of the same analyte outlasts.
    pub fn current(&self) -> impl Iterator<Item = &'a SeriesFacts> {
        self.series.iter().filter(|facts| facts.current)
    }

    /// The current series of an analyte that ends last.
    pub fn latest(&self, analyte: Analyte) -> Option<&'a SeriesFacts> {
        self.current().find(|facts| facts.analyte() == analyte)
    }
}
