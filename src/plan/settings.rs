//! What the keeper may set for the plan of a site: `[sites.ID]` of the settings file.

use crate::guide::OwnEdgeSetting;
use crate::reading::fold::fold;
use crate::soil::{Analyte, RateUnit};
use jiff::civil::Date;
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

/// A day of any year, written `MM-DD`.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(try_from = "String", into = "String")]
pub struct MonthDay {
    month: i8,
    day: i8,
}

impl MonthDay {
    /// The day in a year; 29 February is the 28th where there is none.
    pub fn in_year(self, year: i16) -> Option<Date> {
        Date::new(year, self.month, self.day).or_else(|_| Date::new(year, self.month, self.day - 1)).ok()
    }
}

impl From<Date> for MonthDay {
    fn from(day: Date) -> Self {
        Self { month: day.month(), day: day.day() }
    }
}

impl TryFrom<String> for MonthDay {
    type Error = String;

    fn try_from(text: String) -> Result<Self, String> {
        let parts = text.split_once('-').and_then(|(m, d)| Some((m.parse().ok()?, d.parse().ok()?)));
        parts
            .filter(|(month, day)| Date::new(2024, *month, *day).is_ok())
            .map(|(month, day)| Self { month, day })
            .ok_or_else(|| {
                format!("{text:?} is no day of the year: write month and day, for example \"04-15\"")
            })
    }
}

impl From<MonthDay> for String {
    fn from(day: MonthDay) -> Self {
        format!("{:02}-{:02}", day.month, day.day)
    }
}

/// More nitrogen a season than this, lb/1000 ft2, is a slip of the pen: several times what any table names.
pub const MOST_N_LB_PER_1000_FT2: f64 = 20.0;

/// A rate as a laboratory prints it: `130 lb/acre`, `3 lb/1000 ft2`, `150 kg/ha`, `15 g/m2`; kept as lb/1000 ft2.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(try_from = "String", into = "String")]
pub struct PrintedRate {
    /// As printed.
    pub printed: String,
    /// In lb/1000 ft2.
    pub lb_per_1000_ft2: f64,
}

impl TryFrom<String> for PrintedRate {
    type Error = String;

    fn try_from(text: String) -> Result<Self, String> {
        let text = text.trim();
        let cut = text.find(|c: char| !(c.is_ascii_digit() || c == '.')).unwrap_or(text.len());
        let (number, unit) = text.split_at(cut);
        let unit = RateUnit::from_printed(&fold(unit));
        let rate = number.parse().ok().zip(unit).map(|(number, unit)| unit.lb_per_1000_ft2(number));
        match rate {
            Some(lb_per_1000_ft2) if lb_per_1000_ft2.is_finite() => {
                Ok(Self { printed: text.to_owned(), lb_per_1000_ft2 })
            }
            _ => Err(format!(
                "{text:?} is no rate: write for example \"130 lb/acre\", \"3 lb/1000 ft2\", \"150 kg/ha\" or \"15 g/m2\""
            )),
        }
    }
}

impl From<PrintedRate> for String {
    fn from(rate: PrintedRate) -> Self {
        rate.printed
    }
}

/// What becomes of the clippings.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Clippings {
    /// They stay.
    Returned,
    /// They are carried off.
    Removed,
}

/// Where in the published span of nitrogen the site is kept.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Level {
    /// The lower end.
    Low,
    /// The middle.
    #[default]
    Middle,
    /// The upper end.
    High,
}

/// What the keeper set for one site. Everything may be left out; what is needed and missing becomes a question.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
#[serde(deny_unknown_fields, default)]
pub struct SiteSettings {
    /// Area of the site, ft2.
    pub area_ft2: Option<f64>,
    /// Area of each zone, ft2, where there are several.
    pub zones_ft2: BTreeMap<String, f64>,
    /// What grows there, in the guides' words.
    #[serde(rename = "use")]
    pub use_: Option<String>,
    /// Grass or crop.
    pub species: Option<String>,
    /// Where it lies, in the guides' words.
    pub region: Option<String>,
    /// Texture in the guides' words: `sand`, `loam`, `clay` ...
    pub texture: Option<String>,
    /// Free lime is in the soil, or is not.
    pub calcareous: Option<bool>,
    /// Guides asked here, the first is the one that flags follow; the default of the use where none is named.
    pub guides: Vec<String>,
    /// Edges of the site's own, by analyte: `[sites.ID.edges]`.
    pub edges: BTreeMap<Analyte, OwnEdgeSetting>,
    /// First and last day on which nitrogen may go down.
    pub window: Option<(MonthDay, MonthDay)>,
    /// Months (1 to 12) without nitrogen.
    pub exclude_months: Vec<i8>,
    /// Names of the products that may go down here, the most wanted first; all of the file where none is named.
    pub products: Vec<String>,
    /// Since when applications count for a season; 1 January where not set.
    pub season_begins: Option<MonthDay>,
    /// Nitrogen for the season, lb/1000 ft2, where the keeper decides.
    pub n_lb_per_1000_ft2: Option<f64>,
    /// Where in the published span.
    pub n_level: Level,
    /// The laboratory's own nitrogen, as printed.
    pub lab_nitrogen: Option<PrintedRate>,
    /// Most nitrogen at once, lb/1000 ft2.
    pub max_single_n_lb_per_1000_ft2: Option<f64>,
    /// What becomes of the clippings.
    pub clippings: Option<Clippings>,
    /// The keeper has settled that the law allows phosphorus here.
    pub phosphorus_allowed: bool,
    /// pH aimed for.
    pub target_ph: Option<f64>,
    /// Id of the lime table the keeper chose, though it was made for another region.
    pub lime_table: Option<String>,
    /// Most lime at once, lb/1000 ft2.
    pub max_single_lime_lb_per_1000_ft2: Option<f64>,
    /// Water drains here and there is enough of it to leach.
    pub drains: Option<bool>,
    /// Exchangeable sodium aimed for with gypsum, percent of CEC.
    pub target_esp_percent: Option<f64>,
    /// Yield by season, in the unit removal is printed for (bu/acre, ton/acre).
    pub yields: BTreeMap<String, f64>,
    /// Yield expected this season.
    pub expected_yield: Option<f64>,
    /// Samples are taken after the season's applications (in autumn).
    pub sampled_after_season: bool,
    /// The day samples are taken on.
    pub sample_on: Option<MonthDay>,
}

impl SiteSettings {
    /// The first setting that is out of bounds, with what it must be.
    pub fn wrong(&self) -> Option<(&'static str, &'static str)> {
        let amounts = [
            ("area_ft2", self.area_ft2),
            ("max_single_n_lb_per_1000_ft2", self.max_single_n_lb_per_1000_ft2),
            ("max_single_lime_lb_per_1000_ft2", self.max_single_lime_lb_per_1000_ft2),
            ("target_esp_percent", self.target_esp_percent),
            ("expected_yield", self.expected_yield),
        ];
        let unsound = |value: f64| !(value.is_finite() && value > 0.0);
        if let Some((name, _)) = amounts.iter().find(|(_, value)| value.is_some_and(unsound)) {
            return Some((name, "must be above 0"));
        }
        if self.zones_ft2.values().any(|area| unsound(*area)) {
            return Some(("zones_ft2", "must hold areas above 0"));
        }
        if self.n_lb_per_1000_ft2.is_some_and(|n| !(0.0..=MOST_N_LB_PER_1000_FT2).contains(&n)) {
            return Some(("n_lb_per_1000_ft2", "must lie between 0 and 20"));
        }
        if self.target_ph.is_some_and(|ph| !(4.0..=8.5).contains(&ph)) {
            return Some(("target_ph", "must lie between 4 and 8.5"));
        }
        if self.exclude_months.iter().any(|month| !(1..=12).contains(month)) {
            return Some(("exclude_months", "must hold months from 1 to 12"));
        }
        if self.yields.keys().any(|year| year.parse::<i16>().is_err()) {
            return Some(("yields", "must name years"));
        }
        self.window.filter(|(first, last)| first > last).map(|_| ("window", "must begin before it ends"))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_printed_rate_is_kept_as_printed_and_converted() {
        let rate = |text: &str| PrintedRate::try_from(text.to_owned());
        assert!(rate("100 lb/acre").is_ok_and(|rate| (rate.lb_per_1000_ft2 - 2.2957).abs() < 1e-4));
        assert!(rate("15 g/m2").is_ok_and(|rate| (rate.lb_per_1000_ft2 - 3.0722).abs() < 1e-4));
        assert!(rate("3lb/1000ft2").is_ok_and(|rate| rate.lb_per_1000_ft2 == 3.0));
        assert!(rate("3 lbs/1000 sq ft").is_ok_and(|rate| rate.lb_per_1000_ft2 == 3.0));
        assert!(rate("112.085 kg/ha").is_ok_and(|rate| (rate.lb_per_1000_ft2 - 2.2957).abs() < 1e-4));
        for wrong in ["100", "lb/acre", "3 bags", ""] {
            assert!(rate(wrong).is_err(), "{wrong}");
        }
    }

    #[test]
    fn settings_are_read_and_bounds_are_named() {
        let text = "area_ft2 = 8000\nwindow = [\"04-15\", \"10-31\"]\nexclude_months = [7, 8]\nclippings = \"returned\"\nlab_nitrogen = \"130 lb/acre\"";
        let settings: SiteSettings = toml::from_str(text).unwrap();
        assert_eq!((settings.wrong(), settings.area_ft2), (None, Some(8000.0)));
        let day = settings.window.and_then(|(first, _)| first.in_year(2024)).map(|day| day.to_string());
        assert_eq!(day.as_deref(), Some("2024-04-15"));
        for (text, name) in [
            ("exclude_months = [13]", "exclude_months"),
            ("window = [\"10-01\", \"04-01\"]", "window"),
            ("area_ft2 = 0", "area_ft2"),
        ] {
            let settings: SiteSettings = toml::from_str(text).unwrap();
            assert_eq!(settings.wrong().map(|wrong| wrong.0), Some(name));
        }
        assert!(toml::from_str::<SiteSettings>("window = [\"13-01\", \"14-01\"]").is_err());
    }
}
