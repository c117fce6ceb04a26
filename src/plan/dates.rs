//! Which days: published times of a grass, the site's own window and months, and room between feeds.

use super::limits::{PlanLimit, figure};
use super::settings::{MonthDay, SiteSettings};
use super::sources::{known, was_read};
use crate::soil::ids::contract_ids;
use crate::soil::table::{TableError, rows};
use jiff::civil::{Date, date};
use jiff::{Span, ToSpan};
use serde::Deserialize;
use std::sync::LazyLock;

contract_ids! {
    /// What a time of the year is for.
    Purpose { Cool = "cool", Potash = "potash", Lime = "lime", Sample = "sample" }
}

#[derive(Debug, Deserialize)]
struct Slot {
    #[serde(rename = "for")]
    purpose: Purpose,
    priority: u8,
    from: MonthDay,
    until: MonthDay,
    cap_lb: Option<f64>,
    slow_only: bool,
    source: String,
    checked: String,
}

static SLOTS: LazyLock<Result<Vec<Slot>, TableError>> = LazyLock::new(|| {
    const TABLE: &str = "slots.csv";
    let mut slots: Vec<Slot> = rows(TABLE, include_str!("slots.csv"))?;
    for (number, slot) in (1..).zip(&slots) {
        known(TABLE, number, &slot.source)?;
        was_read(TABLE, number, &slot.checked)?;
        if slot.from > slot.until || slot.cap_lb.is_some_and(|cap| cap <= 0.0) {
            return Err(TableError::new(
                TABLE,
                number,
                "needs a time that begins before it ends and a cap above 0",
            ));
        }
    }
    slots.sort_by_key(|slot| slot.priority);
    Ok(slots)
});

/// What the days are chosen by.
#[derive(Debug, Clone, Copy)]
pub struct Calendar<'a> {
    /// The year.
    pub season: i16,
    /// Nothing is put before it.
    pub today: Date,
    /// Window and excluded months.
    pub settings: &'a SiteSettings,
    /// The last feed that went down, for the room between feeds.
    pub last_feed: Option<Date>,
}

/// A day on which something may go down, and the most of it, where there is a cap.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Opening {
    /// The day.
    pub on: Date,
    /// The most, lb/1000 ft2.
    pub cap: Option<f64>,
    /// Only for a slowly released product.
    pub slow_only: bool,
}

/// Amounts on days, and what found no room.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Placed {
    /// Day and amount, in order of the days.
    pub on: Vec<(Date, f64)>,
    /// What found no room.
    pub unplaced: f64,
}

impl Calendar<'_> {
    /// First and last day of the season on which nitrogen may go down; none without a window.
    pub fn window(&self) -> Option<(Date, Date)> {
        let (first, last) = self.settings.window?;
        first.in_year(self.season).zip(last.in_year(self.season))
    }

    fn open(&self, day: Date) -> bool {
        let inside = self.window().is_none_or(|(first, last)| first <= day && day <= last);
        inside && !self.settings.exclude_months.contains(&day.month())
    }

    /// The earliest day after the last feed.
    fn earliest(&self, apart: Span) -> Date {
        let rested = self.last_feed.and_then(|day| day.checked_add(apart).ok());
        rested.map_or(self.today, |day| day.max(self.today))
    }

    /// The openings the table names for a purpose, the most wanted first.
    ///
    /// # Errors
    /// A built-in table is damaged.
    pub fn openings(&self, purpose: Purpose) -> Result<Vec<Opening>, TableError> {
        let apart = days_apart()?;
        let feeds = purpose == Purpose::Cool;
        let mut found: Vec<Opening> = Vec::new();
        for slot in SLOTS.as_ref().map_err(Clone::clone)?.iter().filter(|slot| slot.purpose == purpose) {
            let Some((from, until)) = slot.from.in_year(self.season).zip(slot.until.in_year(self.season))
            else {
                continue;
            };
            let start = from.max(if feeds { self.earliest(apart.days()) } else { self.today });
            let roomy =
                |day: Date| found.iter().all(|other: &Opening| days_between(other.on, day).abs() >= apart);
            let day = days(start, until).find(|day| !feeds || (self.open(*day) && roomy(*day)));
            found.extend(day.map(|on| Opening { on, cap: slot.cap_lb, slow_only: slot.slow_only }));
        }
        Ok(found)
    }

    /// The first day from a day on that the table names for a purpose, in this year or the two after it.
    ///
    /// # Errors
    /// A built-in table is damaged.
    pub fn next(&self, purpose: Purpose, from: Date) -> Result<Option<Date>, TableError> {
        for season in from.year()..=from.year().saturating_add(2) {
            let year = Self { season, today: from, settings: self.settings, last_feed: None };
            let soonest = year.openings(purpose)?.iter().map(|opening| opening.on).min();
            if soonest.is_some() {
                return Ok(soonest);
            }
        }
        Ok(None)
    }

    /// Equal parts at even distances over the open days of the window, as many as the limit asks for and the room
    /// between feeds allows.
    ///
    /// # Errors
    /// A built-in table is damaged.
    pub fn evenly(&self, amount: f64, limit: f64) -> Result<Placed, TableError> {
        let apart = days_apart()?;
        let Some((first, last)) = self.window() else { return Ok(Placed { on: vec![], unplaced: amount }) };
        let start = first.max(self.earliest(apart.days()));
        let open: Vec<Date> = days(start, last).filter(|day| self.open(*day)).collect();
        let wanted = super::fertiliser::splits(amount, limit).map_or(0, |parts| parts.applications);
        let mut count = wanted;
        while count > 0 {
            let chosen: Vec<Date> = (0..count)
                .filter_map(|i| {
                    let share = (f64::from(i) + 0.5) / f64::from(count);
                    open.get((share * open.len() as f64) as usize).copied()
                })
                .collect();
            let roomy = chosen.windows(2).all(|pair| match pair {
                [a, b] => days_between(*a, *b) >= apart,
                _ => true,
            });
            if chosen.len() == count as usize && roomy {
                let each = (amount / f64::from(count)).min(limit);
                let unplaced = (amount - each * f64::from(count)).max(0.0);
                return Ok(Placed { on: chosen.into_iter().map(|day| (day, each)).collect(), unplaced });
            }
            count -= 1;
        }
        Ok(Placed { on: vec![], unplaced: amount.max(0.0) })
    }
}

/// The season a plan is for on a day: this year, or the next once the last feeding days of the table are over.
///
/// # Errors
/// The built-in table is damaged.
pub fn current_season(today: Date) -> Result<i16, TableError> {
    let settings = SiteSettings::default();
    let year = Calendar { season: today.year(), today, settings: &settings, last_feed: None };
    Ok(year.next(Purpose::Cool, today)?.map_or(today.year(), Date::year))
}

/// Puts an amount into the fewest of the most wanted openings, as evenly as their caps allow.
pub fn fill(amount: f64, openings: &[Opening], limit: f64) -> Placed {
    let cap = |opening: &Opening| opening.cap.map_or(limit, |cap| cap.min(limit));
    let mut used: Vec<(Date, f64)> = Vec::new();
    let mut room = 0.0;
    for opening in openings {
        // A breath: the last binary digit asks for no further day.
        if room >= amount - 1e-9 || amount <= 0.0 {
            break;
        }
        room += cap(opening);
        used.push((opening.on, cap(opening)));
    }
    let mut left = amount.min(room).max(0.0);
    used.sort_by(|a, b| a.1.total_cmp(&b.1).then(a.0.cmp(&b.0)));
    let count = used.len();
    let mut on: Vec<(Date, f64)> = used
        .into_iter()
        .enumerate()
        .map(|(i, (day, cap))| {
            // The tightest cap first: what it cannot take is shared by the rest.
            let part = (left / (count - i) as f64).min(cap);
            left -= part;
            (day, part)
        })
        .filter(|(_, part)| *part > 0.0)
        .collect();
    on.sort_by_key(|(day, _)| *day);
    Placed { on, unplaced: (amount - room).max(0.0) }
}

fn days_apart() -> Result<i64, TableError> {
    Ok(figure(PlanLimit::NDaysApart)?.value as i64)
}

/// Days from one to the other, both included.
fn days(from: Date, until: Date) -> impl Iterator<Item = Date> {
    from.series(1.day()).take_while(move |day| *day <= until)
}

/// Days between two dates.
pub fn days_between(a: Date, b: Date) -> i64 {
    a.until(b).map_or(0, |span| i64::from(span.get_days()))
}

/// The last day of a season.
pub fn season_end(season: i16) -> Date {
    if (1..=9999).contains(&season) { date(season, 12, 31) } else { Date::MAX }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn calendar(settings: &SiteSettings, today: Date) -> Calendar<'_> {
        Calendar { season: 2024, today, settings, last_feed: None }
    }

    fn window(first: &str, last: &str) -> SiteSettings {
        let day = |text: &str| MonthDay::try_from(text.to_owned()).unwrap();
        SiteSettings { window: Some((day(first), day(last))), ..SiteSettings::default() }
    }

    #[test]
    fn cool_grass_is_fed_in_early_september_first_then_in_may() {
        let none = SiteSettings::default();
        let openings = calendar(&none, date(2024, 1, 1)).openings(Purpose::Cool).unwrap();
        assert_eq!(fill(0.8, &openings, 0.9).on, [(date(2024, 9, 1), 0.8)]);
        let two = fill(1.2, &openings, 0.9);
        assert_eq!(two.on, [(date(2024, 5, 1), 0.5), (date(2024, 9, 1), 0.7)]);
        assert_eq!(two.unplaced, 0.0);
    }

    #[test]
    fn today_the_last_feed_the_window_and_excluded_months_move_or_close_a_day() {
        let mut settings = window("04-15", "10-10");
        let on = |calendar: &Calendar| -> Vec<Date> {
            calendar.openings(Purpose::Cool).unwrap().iter().map(|opening| opening.on).collect()
        };
        // Late October lies outside the window.
        assert_eq!(on(&calendar(&settings, date(2024, 9, 12))), [date(2024, 9, 12)]);
        let fed = Calendar { last_feed: Some(date(2024, 8, 20)), ..calendar(&settings, date(2024, 8, 25)) };
        assert_eq!(on(&fed), [date(2024, 9, 17)]);
        settings.exclude_months = vec![9];
        assert_eq!(on(&calendar(&settings, date(2024, 7, 1))), Vec::<Date>::new());
    }

    #[test]
    fn once_the_last_feeding_days_are_over_the_next_season_is_planned() {
        assert_eq!(current_season(date(2024, 3, 1)), Ok(2024));
        assert_eq!(current_season(date(2024, 11, 10)), Ok(2024));
        assert_eq!(current_season(date(2024, 11, 11)), Ok(2025));
    }

    #[test]
    fn without_a_window_nothing_is_spread_and_a_short_one_takes_what_fits() {
        let none = SiteSettings::default();
        assert_eq!(calendar(&none, date(2024, 1, 1)).evenly(2.0, 1.0).unwrap().unplaced, 2.0);
        let settings = window("06-01", "06-30");
        let placed = calendar(&settings, date(2024, 1, 1)).evenly(2.0, 1.0).unwrap();
        assert_eq!((placed.on.len(), placed.unplaced), (1, 1.0));
    }

    proptest! {
        #[test]
        fn what_is_placed_and_not_placed_is_the_whole_and_no_day_passes_its_limit(
            amount in 0.0..6.0_f64, limit in 0.1..1.5_f64, today in 0_i32..360, even in any::<bool>()
        ) {
            let settings = window("04-01", "10-31");
            let today = date(2024, 1, 1).checked_add(today.days()).unwrap();
            let calendar = calendar(&settings, today);
            let placed = if even {
                calendar.evenly(amount, limit).unwrap()
            } else {
                fill(amount, &calendar.openings(Purpose::Cool).unwrap(), limit)
            };
            let sum: f64 = placed.on.iter().map(|(_, part)| part).sum();
            prop_assert!((sum + placed.unplaced - amount).abs() < 1e-9);
            for (day, part) in &placed.on {
                prop_assert!(*part <= limit * (1.0 + 1e-8) && *day >= today && day.month() >= 4 && day.month() <= 10);
            }
            for pair in placed.on.windows(2) {
                prop_assert!(days_between(pair[0].0, pair[1].0) >= 28);
            }
        }
    }
}
