//! When the line of a trend meets an edge, and the earliest and latest season its bounds allow.
//!
//! A straight line is an early bound for a falling test: below the responsive range the fall flattens (Ciampitti and
//! others, SSSAJ 75, 2011; Messiga and others, Ambio 44, 2015).

use super::Trend;
use serde::{Deserialize, Serialize};

/// Seasons in which a line meets an edge; none where it does not within the horizon after the last season.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize, Deserialize)]
pub struct Crossing {
    /// Of the slope itself.
    pub season: Option<i32>,
    /// Of the bound that runs toward the edge the fastest.
    pub earliest: Option<i32>,
    /// Of the other bound.
    pub latest: Option<i32>,
}

/// The moment (a broken season) a line through `pivot` meets the edge: after the last season and within the horizon,
/// else none.
pub fn moment(pivot: (f64, f64), slope: f64, edge: f64, last_season: f64, horizon_years: f64) -> Option<f64> {
    let (x, y) = pivot;
    let t = x + (edge - y) / slope;
    (t.is_finite() && t > last_season && t <= last_season + horizon_years).then_some(t)
}

/// The season a moment falls in: the first one whose value is at or beyond the edge.
pub fn season_of(moment: f64) -> i32 {
    // A line that meets the edge in 2027 exactly must not be put into 2028 by a binary fraction.
    (moment - 1e-9).ceil() as i32
}

/// The seasons in which the line of a trend and its bounds meet an edge, all through the same pivot.
pub fn crossing(trend: &Trend, edge: f64, last_season: i16, horizon_years: f64) -> Crossing {
    let Some(pivot) = trend.pivot else { return Crossing::default() };
    let meets = |slope: f64| moment(pivot, slope, edge, f64::from(last_season), horizon_years).map(season_of);
    let (toward, away) = match trend.slope_bounds {
        Some((low, high)) if edge < pivot.1 => (Some(low), Some(high)),
        Some((low, high)) => (Some(high), Some(low)),
        None => (None, None),
    };
    Crossing {
        season: trend.slope.and_then(meets),
        earliest: toward.and_then(meets),
        latest: away.and_then(meets),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn trend(slope: f64, bounds: (f64, f64), pivot: (f64, f64)) -> Trend {
        Trend {
            n: 10,
            slope: Some(slope),
            slope_bounds: Some(bounds),
            confidence: Some(0.9),
            s: 0,
            p: None,
            pivot: Some(pivot),
        }
    }

    #[test]
    fn a_flat_series_may_fall_by_its_lower_bound_only() {
        let found = crossing(&trend(0.0625, (-0.5, 0.667), (2018.5, 25.25)), 20.0, 2023, 25.0);
        assert_eq!(found, Crossing { season: None, earliest: Some(2029), latest: None });
    }

    #[test]
    fn a_rise_toward_an_upper_edge_is_earliest_by_its_upper_bound() {
        let found = crossing(&trend(2.0, (1.0, 4.0), (2020.0, 30.0)), 50.0, 2022, 25.0);
        assert_eq!(found, Crossing { season: Some(2030), earliest: Some(2025), latest: Some(2040) });
    }

    #[test]
    fn an_edge_already_passed_or_beyond_the_horizon_is_not_met() {
        assert_eq!(moment((2020.0, 30.0), -5.0, 29.0, 2023.0, 25.0), None);
        assert_eq!(moment((2020.0, 30.0), -0.1, 20.0, 2023.0, 25.0), None);
        assert_eq!(moment((2020.0, 30.0), 0.0, 20.0, 2023.0, 25.0), None);
        assert_eq!(moment((2020.0, 30.0), 0.0, 30.0, 2023.0, 25.0), None);
        assert_eq!(season_of(2_027.000_000_000_01), 2027);
    }
}
