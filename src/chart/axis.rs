//! Scales and ticks: sensible numbers on the axis of values, whole seasons on the other.

use super::input::Panel;
use crate::soil::Analyte;

/// A straight map from an amount to a place on the drawing.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Scale {
    /// Amounts at the two ends.
    pub from: (f64, f64),
    /// Places of the two ends.
    pub to: (f64, f64),
}

impl Scale {
    pub(super) fn at(&self, amount: f64) -> f64 {
        let span = self.from.1 - self.from.0;
        let share = if span == 0.0 { 0.5 } else { (amount - self.from.0) / span };
        self.to.0 + share * (self.to.1 - self.to.0)
    }

    /// Within the amounts of the scale.
    pub(super) fn shows(&self, amount: f64) -> bool {
        (self.from.0..=self.from.1).contains(&amount)
    }
}

/// Decimals a laboratory usually prints (common practice, no source).
pub(super) const fn decimals(analyte: Analyte) -> usize {
    use Analyte::*;
    match analyte {
        Ph | BufferPh | OrganicMatter | Cec | Acidity | Zinc | Manganese | Copper | SatK | SatCa | SatMg
        | SatNa | SatH | Sar => 1,
        Boron | SolubleSalts | BulkDensity => 2,
        _ => 0,
    }
}

/// Steps between ticks: 1, 2 or 5 times a power of ten, none finer than the decimals shown; at most `most` ticks.
pub(super) fn ticks(low: f64, high: f64, most: usize, decimals: usize) -> Vec<f64> {
    let finest = 10_f64.powi(-(decimals as i32));
    let (mut power, mut found) = (finest, Vec::new());
    if !(low.is_finite() && high.is_finite() && high > low) {
        return found;
    }
    loop {
        for factor in [1.0, 2.0, 5.0] {
            let step = power * factor;
            let (first, last) = ((low / step - 1e-9).ceil(), (high / step + 1e-9).floor());
            if last - first + 1.0 <= most as f64 {
                let count = (last - first).max(-1.0) as i64;
                found.extend((0..=count).map(|i| (first + i as f64) * step));
                return found;
            }
        }
        power *= 10.0;
    }
}

/// An amount as it is written: the analyte's decimals, one more for a small amount that has it.
pub(super) fn written(value: f64, analyte: Analyte) -> String {
    let usual = decimals(analyte);
    let coarse = format!("{value:.usual$}");
    let finer = format!("{value:.0$}", usual + 1);
    let same =
        coarse.parse::<f64>().ok().zip(finer.parse::<f64>().ok()).is_some_and(|(a, b)| (a - b).abs() < 1e-9);
    let text = if same || value.abs() >= 100.0 { coarse } else { finer };
    text.strip_prefix("-").filter(|rest| rest.parse() == Ok(0.0)).map(str::to_owned).unwrap_or(text)
}

/// The amounts a panel must show, with room above and below. Amounts are never negative; an axis whose lowest amount
/// is small beside the highest begins at 0.
pub(super) fn amounts(panel: &Panel) -> (f64, f64) {
    let mut seen: Vec<f64> = Vec::new();
    for point in panel.lines.iter().flat_map(|line| &line.points) {
        let noise = point.noise.unwrap_or(0.0);
        seen.extend([point.value, point.value - noise, point.value + noise]);
    }
    let data_high = seen.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    if let Some(zone) = &panel.zone {
        seen.push(zone.from);
        // An upper edge far above all values would press them flat.
        seen.extend(zone.to.filter(|to| *to <= data_high.max(zone.from) * 1.5));
    }
    seen.retain(|value| value.is_finite());
    let low = seen.iter().copied().fold(f64::INFINITY, f64::min);
    let high = seen.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    if !low.is_finite() {
        return (0.0, 1.0);
    }
    // A flat series is not blown up: the axis spans at least ten steps of the last decimal, or a tenth of the value.
    let least = (10.0 * 10_f64.powi(-(decimals(panel.analyte) as i32))).max(high.abs() * 0.1);
    let middle = (low + high) / 2.0;
    let half = (high - low).max(least) / 2.0;
    let (low, high) = (middle - half * 1.2, middle + half * 1.2);
    if low < 0.35 * high { (0.0, high) } else { (low, high) }
}

/// Seasons shown beyond the last measured one to let a trend reach its edge, at most.
const PROJECTED: i32 = 6;

/// The seasons panels share: first, last measured, last shown.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Seasons {
    pub first: i32,
    pub last: i32,
    pub shown: i32,
}

/// From all panels, so that those side by side keep one axis; none without a point.
pub(super) fn seasons(panels: &[&Panel]) -> Option<Seasons> {
    let all = || panels.iter().flat_map(|panel| &panel.lines).flat_map(|line| &line.points);
    let first = i32::from(all().map(|point| point.season).min()?);
    let last = i32::from(all().map(|point| point.season).max()?);
    let ends = panels
        .iter()
        .filter_map(|panel| panel.crossing)
        .flat_map(|crossing| [Some(crossing.season), crossing.high]);
    let shown = ends.flatten().map(|end| end.min(last + PROJECTED)).max().unwrap_or(last).max(last);
    Some(Seasons { first, last, shown })
}

impl Seasons {
    /// Seasons to label when a label takes `label` units of `room`: every one, or every 2nd, 5th, 10th ... year.
    pub(super) fn labelled(&self, room: f64, label: f64) -> Vec<i32> {
        let count = self.shown - self.first + 1;
        let fits = |step: i32| f64::from(count) * label <= room * f64::from(step);
        let step = [1, 2, 5, 10, 20, 50, 100].into_iter().find(|step| fits(*step)).unwrap_or(1000);
        // Counted back from the last measured season: that one is always named.
        (self.first..=self.shown).filter(|season| (self.last - season).rem_euclid(step) == 0).collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::chart::samples;

    #[test]
    fn ticks_are_round_numbers_no_finer_than_the_decimals() {
        let shown = |low, high, most, decimals| -> Vec<String> {
            ticks(low, high, most, decimals).iter().map(|t| format!("{t:.decimals$}")).collect()
        };
        assert_eq!(shown(5.6, 6.7, 6, 1), ["5.6", "5.8", "6.0", "6.2", "6.4", "6.6"]);
        assert_eq!(shown(0.0, 4933.0, 5, 0), ["0", "1000", "2000", "3000", "4000"]);
        assert_eq!(shown(18.0, 21.0, 6, 0), ["18", "19", "20", "21"]);
        assert!(ticks(1.0, f64::NAN, 5, 0).is_empty() && ticks(2.0, 2.0, 5, 0).is_empty());
    }

    #[test]
    fn amounts_keep_a_decimal_that_tells_a_value_from_an_edge() {
        assert_eq!(written(25.6, Analyte::Phosphorus), "25.6");
        assert_eq!(written(26.0, Analyte::Phosphorus), "26");
        assert_eq!(written(4933.0, Analyte::Calcium), "4933");
        assert_eq!(written(6.45, Analyte::Ph), "6.45");
        assert_eq!(written(6.0, Analyte::Ph), "6.0");
    }

    #[test]
    fn the_axis_never_goes_below_nought_and_begins_there_for_widely_spread_amounts() {
        let (low, high) = amounts(&samples::all_below());
        assert_eq!(low, 0.0);
        assert!(high > 16.0);
        let (low, high) = amounts(&samples::ph());
        assert!(low > 4.0 && high < 9.0);
    }

    #[test]
    fn one_value_still_has_a_span() {
        let (low, high) = amounts(&samples::one_season());
        assert!(high - low >= 1.0);
    }

    #[test]
    fn season_labels_thin_out_and_keep_the_last_measured() {
        let seasons = Seasons { first: 2016, last: 2025, shown: 2029 };
        assert_eq!(seasons.labelled(1000.0, 40.0).len(), 14);
        let thin = seasons.labelled(250.0, 40.0);
        assert!(thin.contains(&2025) && thin.len() <= 6);
    }
}
