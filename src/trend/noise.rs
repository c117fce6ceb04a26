//! Is a change from one result to the next larger than two results of the same soil differ anyway?
//!
//! Critical difference of two single results at 95 %: 1.96 sqrt(s1^2 + s2^2), which is 2.77 s for equal s (ISO 5725
//! rounds to 2.8; from memory). s holds the laboratory's long-run scatter and that of sampling.

use super::shift::same_labs;
use super::{SeasonValue, SeriesKey};
use crate::soil::table::{TableError, rows};
use crate::soil::{Analyte, Method, Qualifier, Unit};
use serde::{Deserialize, Serialize};
use std::sync::LazyLock;

/// Confidence of every critical difference.
pub const CONFIDENCE: f64 = 0.95;

/// How far results of one soil scatter, one analyte. Absolute figures in the canonical unit.
#[derive(Debug, Clone, PartialEq, Deserialize)]
pub struct Variability {
    /// What.
    pub analyte: Analyte,
    /// By this method; none for any method without a row of its own.
    pub method: Option<Method>,
    same_lab_cv_percent: Option<f64>,
    same_lab_sd: Option<f64>,
    same_lab_at_least: Option<f64>,
    /// Published smallest difference worth acting on, canonical unit.
    pub worth_acting_on: Option<f64>,
    /// Coefficient of variation between laboratories that is used, percent.
    pub other_lab_cv_percent: Option<f64>,
    other_lab_sd: Option<f64>,
    other_lab_at_least: Option<f64>,
    /// Lowest published coefficient of variation between laboratories, percent.
    pub published_other_lab_cv_low: Option<f64>,
    /// Highest published coefficient of variation between laboratories, percent.
    pub published_other_lab_cv_high: Option<f64>,
    /// Where the figures come from.
    pub source: String,
    /// READ, MEMORY or COMPUTED.
    pub checked: String,
}

static BUILT_IN: LazyLock<Result<Vec<Variability>, TableError>> =
    LazyLock::new(|| load(include_str!("variability.csv")));

/// The built-in figures.
///
/// # Errors
/// The built-in table is damaged.
pub fn variability() -> Result<&'static [Variability], TableError> {
    BUILT_IN.as_deref().map_err(Clone::clone)
}

fn load(text: &str) -> Result<Vec<Variability>, TableError> {
    const TABLE: &str = "variability.csv";
    let table: Vec<Variability> = rows(TABLE, text)?;
    for (row, line) in (1..).zip(&table) {
        let figures = [
            line.same_lab_cv_percent,
            line.same_lab_sd,
            line.same_lab_at_least,
            line.worth_acting_on,
            line.other_lab_cv_percent,
            line.other_lab_sd,
            line.other_lab_at_least,
            line.published_other_lab_cv_low,
            line.published_other_lab_cv_high,
        ];
        let twin = |other: &&Variability| (other.analyte, other.method) == (line.analyte, line.method);
        let published = line.published_other_lab_cv_low.unwrap_or(0.0)
            ..=line.published_other_lab_cv_high.unwrap_or(f64::INFINITY);
        let why = if figures.iter().flatten().any(|figure| figure.is_nan() || *figure <= 0.0) {
            "a figure that is not above 0"
        } else if line.same_lab_cv_percent.is_some() == line.same_lab_sd.is_some() {
            "needs a coefficient of variation or a standard deviation, not both"
        } else if line.other_lab_cv_percent.is_some() && line.other_lab_sd.is_some() {
            "two figures between laboratories"
        } else if line.worth_acting_on > line.same_lab_at_least {
            "calls a difference remarkable on which the source would not act"
        } else if line.other_lab_cv_percent.is_some_and(|cv| !published.contains(&cv)) {
            "the figure between laboratories is outside the published ones"
        } else if line.method.is_some_and(|method| !method.measures(line.analyte)) {
            "the method does not measure this"
        } else if table.iter().filter(twin).count() > 1 {
            "the analyte stands twice"
        } else if line.source.is_empty() {
            "no source"
        } else {
            continue;
        };
        return Err(TableError::new(TABLE, row, why));
    }
    Ok(table)
}

/// The z of [`CONFIDENCE`], found once.
static Z: LazyLock<f64> = LazyLock::new(|| super::normal::quantile_of_upper_tail((1.0 - CONFIDENCE) / 2.0));

/// Larger than a limit by more than the last binary digits: 6.5 - 6.2 is not larger than 0.3.
fn exceeds(difference: f64, limit: f64) -> bool {
    difference > limit * (1.0 + 1e-9)
}

/// Critical difference of two results with these standard deviations, in their unit.
pub fn critical_difference(sd_a: f64, sd_b: f64) -> f64 {
    *Z * sd_a.hypot(sd_b)
}

/// The same from a coefficient of variation in percent and the two results.
pub fn critical_difference_of_cv(a: f64, b: f64, cv_percent: f64) -> f64 {
    critical_difference(a.abs() * cv_percent / 100.0, b.abs() * cv_percent / 100.0)
}

/// Coefficient of variation of sampling with so many cores a sample, percent; none for no cores.
pub fn sampling_cv_percent(field_cv_percent: f64, cores: u32) -> Option<f64> {
    (cores > 0).then(|| field_cv_percent / f64::from(cores).sqrt())
}

/// Laboratory and sampling together, percent.
pub fn total_cv_percent(lab_cv_percent: f64, sampling_cv_percent: f64) -> f64 {
    lab_cv_percent.hypot(sampling_cv_percent)
}

/// Standard error of a straight-line slope through `n` equally spaced seasons of scatter `sd`, a season; none for
/// fewer than two.
pub fn slope_standard_error(sd: f64, n: u32) -> Option<f64> {
    let n = f64::from(n);
    (n > 1.0).then(|| sd * (12.0 / (n * (n * n - 1.0))).sqrt())
}

impl Variability {
    /// The critical difference of two results, canonical unit; none where no figure is known.
    pub fn critical(&self, a: f64, b: f64, same_lab: bool) -> Option<f64> {
        let (cv, sd, at_least) = if same_lab {
            (self.same_lab_cv_percent, self.same_lab_sd, self.same_lab_at_least)
        } else {
            (self.other_lab_cv_percent, self.other_lab_sd, self.other_lab_at_least)
        };
        let of_cv = cv.map(|cv| critical_difference_of_cv(a, b, cv));
        let of_sd = sd.map(|sd| critical_difference(sd, sd));
        of_cv.or(of_sd).map(|critical| critical.max(at_least.unwrap_or(0.0)))
    }
}

/// A change between two seasons of a series.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Change {
    /// What.
    pub analyte: Analyte,
    /// Earlier season.
    pub from_season: i16,
    /// Later season.
    pub to_season: i16,
    /// Earlier value, canonical unit.
    pub from: f64,
    /// Later value.
    pub to: f64,
    /// Two results of the same soil differ by up to this, canonical unit; none where no figure is known or a value
    /// lies outside the laboratory's range.
    pub critical: Option<f64>,
    /// Both seasons come from the same laboratory; none where it is not named in both. Judged as different then.
    pub same_lab: Option<bool>,
    /// The earlier value is a limit.
    pub from_qualifier: Option<Qualifier>,
    /// The later value is a limit.
    pub to_qualifier: Option<Qualifier>,
    /// The change is larger than `critical`.
    pub beyond: bool,
}

/// The figures for an analyte by a method; none where nothing is known.
///
/// # Errors
/// The built-in table is damaged.
pub fn variability_of(analyte: Analyte, method: Method) -> Result<Option<&'static Variability>, TableError> {
    let of_analyte = || variability().map(|table| table.iter().filter(move |line| line.analyte == analyte));
    let own = of_analyte()?.find(|line| line.method == Some(method));
    Ok(match own {
        Some(line) => Some(line),
        None => of_analyte()?.find(|line| line.method.is_none()),
    })
}

/// The change from one season of a series to another, judged by the built-in figures.
///
/// # Errors
/// The built-in table is damaged.
pub fn change(key: &SeriesKey, from: &SeasonValue, to: &SeasonValue) -> Result<Change, TableError> {
    let analyte = key.analyte;
    let named = !from.labs.is_empty() && !to.labs.is_empty();
    let same_lab = named.then(|| same_labs(from, to));
    let measured = from.qualifier.is_none() && to.qualifier.is_none();
    let known = variability_of(analyte, key.method)?.filter(|_| measured);
    let critical = known.and_then(|line| line.critical(from.value, to.value, same_lab == Some(true)));
    Ok(Change {
        analyte,
        from_season: from.season,
        to_season: to.season,
        from: from.value,
        to: to.value,
        critical,
        same_lab,
        from_qualifier: from.qualifier,
        to_qualifier: to.qualifier,
        beyond: critical.is_some_and(|critical| exceeds((to.value - from.value).abs(), critical)),
    })
}

impl Change {
    /// One sentence: what changed, and whether that alone proves anything.
    pub fn sentence(&self) -> String {
        let (name, unit, difference) = (self.analyte.symbol(), self.analyte.unit(), self.to - self.from);
        if self.from_qualifier.is_some() || self.to_qualifier.is_some() {
            let value =
                |v, q: Option<Qualifier>| format!("{}{}", q.map_or("", Qualifier::id), amount(v, unit));
            return format!(
                "{name} was {} in {} and {} in {}; a value outside the laboratory's range tells no difference.",
                value(self.from, self.from_qualifier),
                self.from_season,
                value(self.to, self.to_qualifier),
                self.to_season
            );
        }
        let moved = match difference {
            d if d < 0.0 => format!("{name} fell {}", amount(-d, unit)),
            d if d > 0.0 => format!("{name} rose {}", amount(d, unit)),
            _ => format!("{name} stayed at {}", amount(self.to, unit)),
        };
        let seasons = format!("from {} to {}", self.from_season, self.to_season);
        let whose = match self.same_lab {
            Some(true) => "",
            Some(false) => " tested by different laboratories",
            None => " tested by laboratories not known to be the same",
        };
        match self.critical {
            None => format!("{moved} {seasons}; no figure says how far two results of the same soil differ."),
            Some(_) if difference == 0.0 => format!("{moved} {seasons}."),
            Some(critical) => {
                let end =
                    if self.beyond { "so this is more than noise" } else { "so this alone proves nothing" };
                let critical = amount(critical, unit);
                format!(
                    "{moved} {seasons}; two results of the same soil{whose} differ by up to {critical}, {end}."
                )
            }
        }
    }
}

/// A number with its unit for a sentence: two figures of precision below 10, one below 100, else none.
pub fn amount(value: f64, unit: Unit) -> String {
    let decimals = match value.abs() {
        v if v < 10.0 => 2,
        v if v < 100.0 => 1,
        _ => 0,
    };
    let digits = format!("{value:.decimals$}");
    let short =
        if digits.contains('.') { digits.trim_end_matches('0').trim_end_matches('.') } else { &digits };
    match unit.suffix() {
        "" => short.to_owned(),
        "%" => format!("{short} %"),
        suffix => format!("{short} {suffix}"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn value(season: i16, value: f64, lab: &str) -> SeasonValue {
        let labs = if lab.is_empty() { vec![] } else { vec![lab.to_owned()] };
        SeasonValue { season, value, qualifier: None, labs, readings: vec![] }
    }

    fn change(analyte: Analyte, from: &SeasonValue, to: &SeasonValue) -> Result<Change, TableError> {
        super::change(&SeriesKey { analyte, ..super::super::sample_key() }, from, to)
    }

    #[test]
    fn the_built_in_figures_are_sound_and_a_damaged_table_is_refused() {
        assert!(variability().is_ok());
        let head = include_str!("variability.csv").lines().next().unwrap();
        for row in [
            "ph,,,,,,,,,,,x,READ",
            "ph,,5,0.1,,,,,,,,x,READ",
            "ph,,,0.1,,,,,,,,,READ",
            "ph,,,-1,,,,,,,,x,READ",
            "ph,,,0.1,0.1,0.2,,,,,,x,READ",
            "ph,,5,,,,50,,,10,20,x,READ",
            "ph,olsen,5,,,,,,,,,x,READ",
        ] {
            assert!(load(&format!("{head}\n{row}\n")).is_err(), "{row}");
        }
    }

    #[test]
    fn a_change_within_the_noise_is_said_to_prove_nothing() {
        let change = change(Analyte::Potassium, &value(2022, 150.0, "A"), &value(2023, 135.0, "A")).unwrap();
        assert!(!change.beyond);
        assert_eq!(
            change.sentence(),
            "K fell 15 mg/kg from 2022 to 2023; two results of the same soil differ by up to 39.6 mg/kg, so this alone proves nothing."
        );
    }

    #[test]
    fn another_laboratory_or_an_unnamed_one_asks_for_more() {
        let ph = |a, b| change(Analyte::Ph, &value(2022, 6.5, a), &value(2023, 6.1, b)).unwrap();
        assert!(ph("A", "A").beyond);
        assert!(!ph("A", "B").beyond);
        assert!(!ph("", "").beyond);
        assert!(ph("A", "B").sentence().contains("different laboratories"));
        assert!(ph("", "A").sentence().contains("not known to be the same"));
        // Micronutrients between laboratories: no figure, never judged on one pair.
        let zinc = change(Analyte::Zinc, &value(2022, 1.0, "A"), &value(2023, 9.0, "B")).unwrap();
        assert_eq!((zinc.critical, zinc.beyond), (None, false));
    }

    #[test]
    fn a_small_number_is_held_to_the_absolute_floor() {
        // 10 % of 6 mg/kg would make 2 mg/kg remarkable; nobody acts on less than 5.
        let change = change(Analyte::Phosphorus, &value(2022, 8.0, "A"), &value(2023, 4.0, "A")).unwrap();
        assert_eq!((change.critical, change.beyond), (Some(5.0), false));
    }

    #[test]
    fn a_method_with_a_row_of_its_own_follows_it() {
        let cv = |method| variability_of(Analyte::Phosphorus, method).ok().flatten()?.other_lab_cv_percent;
        assert_eq!((cv(Method::Olsen), cv(Method::BrayP1)), (Some(22.0), Some(18.0)));
    }

    #[test]
    fn a_value_outside_the_range_is_not_judged() {
        let below = SeasonValue { qualifier: Some(Qualifier::Below), ..value(2022, 2.0, "A") };
        let change = change(Analyte::Phosphorus, &below, &value(2023, 40.0, "A")).unwrap();
        assert_eq!((change.critical, change.beyond), (None, false));
        assert!(
            change.sentence().starts_with("P was <2 mg/kg in 2022 and 40 mg/kg in 2023;"),
            "{}",
            change.sentence()
        );
    }
}
