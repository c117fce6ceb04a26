//! What is drawn: plain values, no store and no clock behind them. Amounts are in the analyte's canonical unit.

use crate::soil::{Analyte, Qualifier};
use serde::{Deserialize, Serialize};

/// For which width a chart is laid out. Text keeps its size: a narrow chart stacks what a wide one sets side by side.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
pub enum Width {
    /// A page, a desk, print: 960 units.
    Wide,
    /// A telephone: 360 units.
    Narrow,
}

/// The charts of one site or zone.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
pub struct ChartInput {
    /// The site.
    pub title: String,
    /// Client, zone, guide: whatever tells it from another.
    pub subtitle: String,
    /// One an analyte.
    pub panels: Vec<Panel>,
}

/// One analyte over the seasons.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Panel {
    /// What.
    pub analyte: Analyte,
    /// How, in words; where there are several lines their own labels are shown instead.
    pub method: String,
    /// One a method series, the oldest first.
    pub lines: Vec<Line>,
    /// The range of sufficiency for the method of the latest line.
    pub zone: Option<Zone>,
    /// Changes of method.
    pub breaks: Vec<Break>,
    /// Changes of laboratory within a method.
    pub lab_changes: Vec<Break>,
    /// When the trend of the latest line meets the lower edge of the zone.
    pub crossing: Option<Crossing>,
    /// One sentence where nothing can be classed, or of other use.
    pub note: Option<String>,
}

impl Panel {
    /// An analyte that was never measured.
    pub fn empty(analyte: Analyte) -> Self {
        Self {
            analyte,
            method: String::new(),
            lines: Vec::new(),
            zone: None,
            breaks: Vec::new(),
            lab_changes: Vec::new(),
            crossing: None,
            note: None,
        }
    }
}

/// One series: one method throughout, so that its points may be joined.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
pub struct Line {
    /// The method in words.
    pub method: String,
    /// The laboratory, where it makes the series.
    pub lab: Option<String>,
    /// Points in order of season.
    pub points: Vec<Point>,
    /// The trend.
    pub trend: Option<TrendLine>,
}

/// The value of a season.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Point {
    /// The year.
    pub season: i16,
    /// The value, or the limit where there is a qualifier.
    pub value: f64,
    /// Below or above the laboratory's range.
    pub qualifier: Option<Qualifier>,
    /// Below the sufficiency edge of its own method.
    pub below: bool,
    /// A flag speaks of it.
    pub flagged: bool,
    /// Half height of the noise bar: how far one result may lie off by laboratory scatter alone.
    pub noise: Option<f64>,
}

/// A straight line through a pivot.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct TrendLine {
    /// Season and value it goes through.
    pub pivot: (f64, f64),
    /// Change a year.
    pub slope: f64,
    /// Confidence bounds of the change a year.
    pub bounds: Option<(f64, f64)>,
}

/// The range a guide calls sufficient.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Zone {
    /// Lower edge.
    pub from: f64,
    /// Upper edge, none where open.
    pub to: Option<f64>,
    /// Class and guide in words.
    pub label: String,
    /// The first season it holds for, none for all: it speaks of one method only.
    pub since: Option<i16>,
    /// The guide's own classes from the lowest; empty where only the range of sufficiency is known.
    pub classes: Vec<Band>,
}

/// One class of the guide in use.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Band {
    /// The guide's own word.
    pub name: String,
    /// Lower edge, none where open.
    pub from: Option<f64>,
    /// Upper edge, none where open.
    pub to: Option<f64>,
}

/// Something changed between the season before and this one.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Break {
    /// The first season of the new state.
    pub season: i16,
    /// The new state in words.
    pub label: String,
}

/// The season in which a trend meets the edge, with its bounds where they exist.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
pub struct Crossing {
    /// By the trend itself.
    pub season: i32,
    /// Earliest season by the bounds.
    pub low: Option<i32>,
    /// Latest season by the bounds; none where the slow bound never meets the edge.
    pub high: Option<i32>,
}

/// All sites of a company, the worst first.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
pub struct OverviewInput {
    /// The company, or what the list is of.
    pub title: String,
    /// More words.
    pub subtitle: String,
    /// Sites; drawn in the order of [`overview::worst_first`](super::overview::worst_first).
    pub sites: Vec<SiteRow>,
}

/// One site's seasons.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
pub struct SiteRow {
    /// The name a person reads.
    pub name: String,
    /// Whose site; empty where unknown.
    pub client: String,
    /// One a season with a sample, in order.
    pub seasons: Vec<SiteSeason>,
}

/// How a site stood in a season.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct SiteSeason {
    /// The year.
    pub season: i16,
    /// The gravest state of its analytes.
    pub state: State,
    /// Symbols of the analytes in that state: `P K`; empty where there is nothing to name.
    pub analytes: String,
}

/// How grave: the worst first.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
pub enum State {
    /// A flag of severity `act`.
    Act,
    /// A flag of severity `watch`.
    Watch,
    /// Classed, and nothing to say.
    Good,
    /// Sampled, but no guide may speak of it.
    Unclassed,
}
